"""Opening trace files of an OTDR: by the File menu, by the button of the Trace view, or dropped on it.

What could be read of a damaged file is shown, and a warning names the block; a file of which nothing can be read gets
one line and changes nothing. A ticket in hand takes the end of the trace as its reading, which is one step to undo.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QFileDialog, QWidget

from gui.beside import Beside
from gui.document import Notice
from model.errors import PlantError
from model.otdr.sor import MOST_BYTES, read_sor
from model.otdr.trace_file import TraceFile
from model.storage.files import read_bytes

TRACES = "Trace files (*.sor);;All files (*)"
ENDING = ".sor"
QUICK_BYTES = 400_000
"""A larger file is read beside the window."""
NAMED = 2
"""Warnings named in a notice; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A trace file with the name it had."""

    name: str
    trace: TraceFile

    @property
    def taken(self) -> str:
        """When it was taken, UTC; empty where the file does not say."""
        if not 0 < self.trace.taken < 4_102_444_800:
            return ""
        return datetime.datetime.fromtimestamp(self.trace.taken, datetime.UTC).strftime("%Y-%m-%d %H:%M")


def opened(path: Path) -> Opened:
    """Read a trace file. Raises PlantError for one of which nothing can be read, with its name."""
    data = read_bytes(path, MOST_BYTES, "a trace", "sor")
    try:
        return Opened(path.name, read_sor(data))
    except PlantError as fault:
        raise PlantError(fault.message, where=path.name, hint=fault.hint) from None


def warned(file: Opened) -> str:
    """What a notice says of a file that is not whole; empty for one that is."""
    warnings = file.trace.warnings
    if not warnings:
        return ""
    more = f"; and {len(warnings) - NAMED} more" if len(warnings) > NAMED else ""
    return f"{file.name}: {'; '.join(warnings[:NAMED])}{more}"


class TraceFiles(QObject):
    """Brings files to ``take``."""

    def __init__(self, page: QWidget, tell: Callable[[Notice], None], take: Callable[[Opened], None]) -> None:
        super().__init__(page)
        self.page, self._tell, self._take = page, tell, take
        self.beside = Beside(self)
        self.folder = ""
        page.setAcceptDrops(True)
        page.installEventFilter(self)

    def choose(self) -> None:
        """Ask for a file with the system's own chooser."""
        name, _ = QFileDialog.getOpenFileName(self.page.window(), "Open a trace file", self.folder, TRACES)
        if name:
            self.open_path(Path(name))

    def open_path(self, path: Path) -> None:
        """Open a file, at once or beside the window."""
        self.folder = str(path.parent)
        try:
            large = path.stat().st_size > QUICK_BYTES
        except OSError:
            large = False  # reading says what is wrong
        if large:
            self.beside.run(lambda: opened(path), self._arrived)
            return
        try:
            self._arrived(opened(path))
        except PlantError as fault:
            self._arrived(fault)

    def _arrived(self, found: Opened | PlantError) -> None:
        if isinstance(found, PlantError):
            self._tell(Notice("error", str(found)))
            return
        self._take(found)
        warning = warned(found)
        if warning:
            self._tell(Notice("warning", warning))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Files dropped on the view; others than traces are refused in words, not silently."""
        if isinstance(event, QDragEnterEvent) and event.mimeData().hasUrls():
            event.acceptProposedAction()
            return True
        if isinstance(event, QDropEvent) and event.mimeData().hasUrls():
            paths = [Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile()]
            traces = [path for path in paths if path.suffix.lower() == ENDING]
            if traces:
                self.open_path(traces[0])
            else:
                self._tell(
                    Notice("warning", f"{paths[0].name if paths else 'That'} is no trace file: drop a *.sor here")
                )
            event.acceptProposedAction()
            return True
        return super().eventFilter(watched, event)
