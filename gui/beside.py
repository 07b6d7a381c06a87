"""Work beside the window: a function of values that nobody else touches runs in another thread, its result comes back.

One piece of work at a time; a newer one takes the place of one that has not begun, and only the newest is answered.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal, Slot

from model.errors import PlantError


class _Arrival(QObject):
    arrived = Signal(int, object)


class _Job(QRunnable):
    def __init__(self, turn: int, work: Callable[[], Any], arrival: _Arrival) -> None:
        super().__init__()
        self._turn, self._work, self._arrival = turn, work, arrival

    def run(self) -> None:
        """Work; what a person can mend comes back as the fault it is."""
        result: object
        try:
            result = self._work()
        except PlantError as fault:
            result = fault
        self._arrival.arrived.emit(self._turn, result)


class Beside(QObject):
    """``run`` calls ``done`` in the window's own thread, with the result or with a PlantError."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.pool = QThreadPool(self)
        self.pool.setMaxThreadCount(1)
        self._arrival = _Arrival(self)
        self._arrival.arrived.connect(self._arrived)
        self._turn = 0
        self._done: Callable[[Any], None] | None = None

    @property
    def busy(self) -> bool:
        """True while something is on its way."""
        return self._done is not None

    def run(self, work: Callable[[], Any], done: Callable[[Any], None]) -> None:
        """Do ``work`` beside the window; an earlier answer is not waited for any more."""
        self.pool.clear()
        self._turn += 1
        self._done = done
        self.pool.start(_Job(self._turn, work, self._arrival))

    def drop(self) -> None:
        """Wait for nothing any more."""
        self.pool.clear()
        self._turn += 1
        self._done = None

    @Slot(int, object)
    def _arrived(self, turn: int, result: object) -> None:
        done = self._done
        if turn == self._turn and done is not None:
            self._done = None
            done(result)
