"""What every field of Details does: Enter or leaving it gives what was typed, Esc puts back what was there."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from gui.panels.skin import Skin


class TypedField(QLineEdit):
    """``refused`` says what is wrong with what was typed, or nothing; a kind of field says what it gives."""

    refused = Signal(str)

    def __init__(self, label: str, longest: int) -> None:
        super().__init__()
        self.setObjectName(f"field {label.lower()}")
        self.setAccessibleName(label)
        self.setMaxLength(longest)
        self._skin = Skin()
        self._bad = False
        self.returnPressed.connect(self.commit)

    def shown(self) -> str:
        """What stands in the field when nothing is typed."""
        raise NotImplementedError

    def commit(self) -> None:
        """Give what was typed, if it will do and is another than before."""
        raise NotImplementedError

    def show_anew(self) -> None:
        """Show what there is now; a field that is being typed over is left alone."""
        if not (self.hasFocus() and self.isModified()):
            self.setText(self.shown())
            self.say("")

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self._dress()

    def _dress(self) -> None:
        # A thick lower edge tells it in grey as well; the words stand below the field.
        self.setStyleSheet(f"border-bottom: 4px solid {self._skin.tokens.error};" if self._bad else "")

    def say(self, fault: str) -> None:
        """Say what is wrong with what was typed, or with an empty text that nothing is."""
        self._bad = bool(fault)
        self._dress()
        self.refused.emit(fault)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc puts back what was there."""
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self.setText(self.shown())
            self.say("")
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
        """Select what is there, ready to be typed over."""
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Leaving gives what was typed."""
        super().focusOutEvent(event)
        self.commit()
