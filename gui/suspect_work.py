"""Asking for the suspects: at once where it is quick, else beside the window on a copy of the plant.

An answer is kept for what it was asked of; one that arrives when the plant or the lists have moved on is dropped.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from gui.beside import Beside
from gui.document import Document
from model.correlate.suspects import Answer, suspects
from model.errors import PlantError
from model.graph import Continuity
from model.plant import Plant

QUICK = 120
"""Services up to which the answer is there within a tenth of a second; 12 take 9 ms."""

READ = ("cables", "splices", "matings", "ports", "splitters", "trays", "enclosures", "sites", "services")
"""Tables an answer depends on."""

Lists = tuple[tuple[str, ...], tuple[str, ...]]


def _on_copy(plant: Plant, lists: Lists) -> Answer:
    """The answer from a plant that nobody else touches."""
    return suspects(Continuity(plant), *lists)


class SuspectWork(QObject):
    """``done`` carries an answer that was not there when it was asked for."""

    done = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.beside = Beside(self)
        self._stamp: object = None
        self._answer: Answer | None = None

    def ask(self, document: Document, lists: Lists | None) -> Answer | None:
        """The answer if it is there or quick; None while it is worked out, and for no lists."""
        stamp = (id(document.history), document.plant.version(*READ), lists)
        if stamp == self._stamp:
            return self._answer
        self._stamp, self._answer = stamp, None
        self.beside.drop()
        if lists is None:
            return None
        if len(document.plant.services) > QUICK:
            plant = document.plant.copy()
            self.beside.run(lambda: _on_copy(plant, lists), self._arrived)
            return None
        try:
            self._answer = suspects(document.continuity, *lists)
        except PlantError:
            self._answer = None
        return self._answer

    def _arrived(self, answer: Answer | PlantError) -> None:
        if isinstance(answer, Answer):
            self._answer = answer
            self.done.emit(answer)
