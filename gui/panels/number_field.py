"""A field for one number with its unit, which takes any unit of length and says in its place what it cannot take.

Enter or leaving the field gives the number; Esc puts back the one that was there. Up and Down step by one, with Shift
by ten, with Alt by a tenth.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit

from gui.panels.detail_types import Field
from gui.panels.lengths import parse_length
from gui.panels.skin import Skin
from model.errors import PlantError


class NumberField(QLineEdit):
    """``given`` carries a new number in the field's unit; ``refused`` what is wrong with what was typed, or nothing."""

    given = Signal(float)
    refused = Signal(str)

    def __init__(self, label: str, field: Field) -> None:
        super().__init__()
        self.setObjectName(f"field {label.lower()}")
        self.setAccessibleName(label)
        self.setMaxLength(60)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self._skin = Skin()
        self._bad = False
        self.show_field(field)
        self.returnPressed.connect(self.commit)

    def show_field(self, field: Field) -> None:
        """Show a number; one that is being typed over is left alone."""
        self.field = field
        self.setAccessibleDescription(f"{field.text} {field.unit}".strip())
        if not (self.hasFocus() and self.isModified()):
            self.setText(self._shown())
            self._say("")

    def _shown(self) -> str:
        return f"{self.field.text} {self.field.unit}".strip()

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self._dress()

    def _dress(self) -> None:
        colour = self._skin.tokens.error
        # A thick lower edge tells it in grey as well; the words stand below the field.
        self.setStyleSheet(f"border-bottom: 4px solid {colour};" if self._bad else "")

    def _say(self, fault: str) -> None:
        self._bad = bool(fault)
        self._dress()
        self.refused.emit(fault)

    def commit(self) -> None:
        """Give the number typed, if it is one and another than before."""
        if not self.isModified():
            return
        try:
            value = parse_length(self.text(), self.field.unit)
        except PlantError as fault:
            self._say(str(fault))
            return
        self.setModified(False)
        self._say("")
        if abs(value - self.field.value) > 1e-9 and f"{value:.9g}" != self.field.text:
            self.given.emit(value)
        self.setText(self._shown())

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc and the stepping keys."""
        steps = {Qt.Key.Key_Up: 1.0, Qt.Key.Key_Down: -1.0}
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self.isModified():
            self.setText(self._shown())
            self._say("")
            self.selectAll()
            return
        if key in steps:
            step = steps[key]
            if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
                step *= 10
            elif event.modifiers() & Qt.KeyboardModifier.AltModifier and self.field.decimals:
                step /= 10
            self.setModified(False)
            self.given.emit(round(self.field.value + step, 6))
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
        """Select the number, ready to be typed over."""
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Leaving gives the number."""
        super().focusOutEvent(event)
        self.commit()
