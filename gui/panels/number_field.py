"""A field for one number with its unit, which takes any unit of length and says in its place what it cannot take.

Up and Down step by one, with Shift by ten, with Alt by a tenth.
"""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent

from gui.panels.detail_types import Field
from gui.panels.typed_field import TypedField
from model.errors import PlantError
from model.lengths import parse_length


class NumberField(TypedField):
    """``given`` carries a new number in the field's unit."""

    given = Signal(float)

    def __init__(self, label: str, field: Field) -> None:
        super().__init__(label, 60)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.show_field(field)

    def show_field(self, field: Field) -> None:
        """Show a number."""
        self.field = field
        self.setAccessibleDescription(self.shown())
        self.show_anew()

    def shown(self) -> str:
        """The number and its unit."""
        return f"{self.field.text} {self.field.unit}".strip()

    def commit(self) -> None:
        """Give the number typed, if it is one and another than before."""
        if not self.isModified():
            return
        try:
            value = parse_length(self.text(), self.field.unit)
        except PlantError as fault:
            self.say(str(fault))
            return
        self.setModified(False)
        self.say("")
        if abs(value - self.field.value) > 1e-9 and f"{value:.9g}" != self.field.text:
            self.given.emit(value)
        self.setText(self.shown())

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """The stepping keys."""
        step = {Qt.Key.Key_Up: 1.0, Qt.Key.Key_Down: -1.0}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
            return
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            step *= 10
        elif event.modifiers() & Qt.KeyboardModifier.AltModifier and self.field.decimals:
            step /= 10
        self.setModified(False)
        self.given.emit(round(self.field.value + step, 6))
