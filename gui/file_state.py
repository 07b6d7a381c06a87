"""What the window says of its file: the name and state in the corner and the title, and which steps can be undone.

A plant that may only be read says why on every button and action that would change it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QLabel

if TYPE_CHECKING:
    from gui.window import MainWindow

UNDO_SHOWN, REDO_SHOWN = 40, 24
"""Characters of a step's name on the buttons; the menu has all of it."""


class FileState(QObject):
    """Follows the document; ``label`` stands in the corner of the menu bar."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_, self.document = window, window.document
        self.label = QLabel()
        self.label.setObjectName("fileState")
        self.label.setContentsMargins(0, 8, 16, 0)
        window.menuBar().setCornerWidget(self.label)
        self.document.state_changed.connect(self.refresh)

    def refresh(self) -> None:
        """Say all of it anew."""
        self._steps()
        self._name()

    def _steps(self) -> None:
        window, document, actions = self.window_, self.document, self.window_.actions_by_key
        undo, redo = document.history.undo_name, document.history.redo_name
        editable = not document.read_only
        why = "" if editable else f"Read only: {document.why_read_only()}"
        window.undo_button.setText(f"Undo: {undo[:UNDO_SHOWN]}" if undo else "Undo")
        window.redo_button.setText(f"Redo: {redo[:REDO_SHOWN]}" if redo else "Redo")
        for widget, name in ((window.undo_button, undo), (window.redo_button, redo)):
            widget.setEnabled(bool(name) and editable)
            widget.setToolTip(why)
        for key in ("undo", "redo", "save", "cure"):
            actions[key].setToolTip(why)
            actions[key].setStatusTip(why)
        actions["cure"].setEnabled(editable)
        actions["undo"].setText(f"&Undo {undo}" if undo else "&Undo")
        actions["redo"].setText(f"&Redo {redo}" if redo else "&Redo")
        actions["undo"].setEnabled(bool(undo) and editable)
        actions["redo"].setEnabled(bool(redo) and editable)
        actions["save"].setEnabled(document.is_open and editable)

    def _name(self) -> None:
        window, document = self.window_, self.document
        revisions = document.plant.job.revisions
        rev = f"rev {revisions[-1].letter} · " if revisions else ""
        self.label.setText(f"<b>{document.name}</b>  {rev}{document.state}" if document.is_open else "")
        # A menu bar lays its corner out only when it is given one.
        self.label.setMinimumWidth(self.label.sizeHint().width())
        window.menuBar().setCornerWidget(self.label)
        self.label.show()
        window.setWindowTitle(f"{document.name} - Glasswright" if document.is_open else "Glasswright")
