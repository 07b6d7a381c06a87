"""Asking for the suspects: at once where it is quick, else beside the window on a copy of the plant.

An answer is kept for what it was asked of; one that arrives when the plant or the lists have moved on is dropped.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

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


class _Arrival(QObject):
    arrived = Signal(object, object)


class _Job(QRunnable):
    def __init__(self, plant: Plant, lists: Lists, stamp: object, arrival: _Arrival) -> None:
        super().__init__()
        self._plant, self._lists, self._stamp, self._arrival = plant, lists, stamp, arrival

    def run(self) -> None:
        """Work on the copy; nothing of the window is touched here."""
        try:
            answer = suspects(Continuity(self._plant), *self._lists)
        except PlantError:
            return
        self._arrival.arrived.emit(self._stamp, answer)


class SuspectWork(QObject):
    """``done`` carries an answer that was not there when it was asked for."""

    done = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.pool = QThreadPool(self)
        self.pool.setMaxThreadCount(1)
        self._arrival = _Arrival(self)
        self._arrival.arrived.connect(self._arrived)
        self._stamp: object = None
        self._answer: Answer | None = None

    def ask(self, document: Document, lists: Lists | None) -> Answer | None:
        """The answer if it is there or quick; None while it is worked out, and for no lists."""
        stamp = (id(document.history), document.plant.version(*READ), lists)
        if lists is None:
            self._stamp, self._answer = stamp, None
            return None
        if stamp == self._stamp:
            return self._answer
        self._stamp, self._answer = stamp, None
        if len(document.plant.services) <= QUICK:
            try:
                self._answer = suspects(document.continuity, *lists)
            except PlantError:
                self._answer = None
            return self._answer
        self.pool.clear()
        self.pool.start(_Job(document.plant.copy(), lists, stamp, self._arrival))
        return None

    @property
    def waiting(self) -> bool:
        """True while an answer is on its way."""
        return self._stamp is not None and self._answer is None and self.pool.activeThreadCount() > 0

    @Slot(object, object)
    def _arrived(self, stamp: object, answer: Answer) -> None:
        if stamp == self._stamp:
            self._answer = answer
            self.done.emit(answer)
