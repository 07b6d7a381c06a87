"""The window as a program: application, fonts, settings, the document, and the window on the screen."""

from __future__ import annotations

import datetime
import os
import socket
import sys
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication

from gui.document import Document
from gui.filework import strings
from gui.line_control import user_name
from gui.theme import load_fonts
from gui.window import MainWindow
from model.storage.lock import Holder


def today() -> str:
    """The date on sheets and acceptances."""
    return datetime.date.today().isoformat()


def holder() -> Holder:
    """Who opens plants here, for the lock file."""
    now = datetime.datetime.now().isoformat(sep=" ", timespec="minutes")
    return Holder(user_name(), socket.gethostname(), os.getpid(), now)


def make_window(settings: QSettings, log_folder: Path | None = None) -> MainWindow:
    """A window with nothing open; needs a QApplication."""
    load_fonts()
    window = MainWindow(Document(holder(), log_folder), settings, today)
    window.line.set_lines(tuple(strings(settings.value("lines"))))
    geometry = settings.value("geometry")
    if geometry is not None:
        window.restoreGeometry(geometry)
    window.set_large(settings.value("large", False, bool) is True)
    window.set_night(settings.value("night", False, bool) is True)
    return window


def run_window(path: Path | None = None) -> int:
    """Open the window, on a plant if one is named; the exit code of the program."""
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Glasswright")
    app.setOrganizationName("Glasswright")
    app.setStyle("Fusion")
    window = make_window(QSettings())
    if path is not None:
        window.open_path(path)
    window.show()
    return app.exec()
