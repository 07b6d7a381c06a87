"""A field for a name or a line of words. Enter or leaving it gives the text; Esc puts back the one that was there."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from gui.panels.detail_types import Entry
from gui.panels.skin import Skin


class TextField(QLineEdit):
    """``given`` carries another text than before; ``refused`` what is wrong with what was typed, or nothing."""

    given = Signal(str)
    refused = Signal(str)

    def __init__(self, label: str, entry: Entry) -> None:
        super().__init__()
        self.setObjectName(f"field {label.lower()}")
        self.setAccessibleName(label)
        self.setMaxLength(120)
        self._skin = Skin()
        self._bad = False
        self.show_entry(entry)
        self.returnPressed.connect(self.commit)

    def show_entry(self, entry: Entry) -> None:
        """Show a text; one that is being typed over is left alone."""
        self.entry = entry
        self.setPlaceholderText("" if entry.needed else "none yet")
        if not (self.hasFocus() and self.isModified()):
            self.setText(entry.value)
            self._say("")

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self._dress()

    def _dress(self) -> None:
        # A thick lower edge tells it in grey as well; the words stand below the field.
        self.setStyleSheet(f"border-bottom: 4px solid {self._skin.tokens.error};" if self._bad else "")

    def _say(self, fault: str) -> None:
        self._bad = bool(fault)
        self._dress()
        self.refused.emit(fault)

    def commit(self) -> None:
        """Give the text typed, if it is another than before."""
        if not self.isModified():
            return
        text = " ".join(self.text().split())
        if self.entry.needed and not text:
            self._say("A name is needed here")
            return
        self.setModified(False)
        self._say("")
        before = self.entry.value
        self.setText(text)
        if text != before:
            self.given.emit(text)
            # What the edit made of it counts: a refused name shows as it was.
            self.setText(self.entry.value)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc puts the old text back."""
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.setText(self.entry.value)
            self._say("")
            self.selectAll()
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keep Esc for the field while something is typed: a window's shortcut would take it first."""
        mine = event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if mine and event.key() == Qt.Key.Key_Escape and self.isModified():  # type: ignore[attr-defined]
            event.accept()
            return True
        return super().event(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Select the text, ready to be typed over."""
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Leaving gives the text."""
        super().focusOutEvent(event)
        self.commit()
