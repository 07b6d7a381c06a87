"""A field for a name or a line of words."""

from __future__ import annotations

from PySide6.QtCore import Signal

from gui.panels.detail_types import Entry
from gui.panels.typed_field import TypedField


class TextField(TypedField):
    """``given`` carries another text than before."""

    given = Signal(str)

    def __init__(self, label: str, entry: Entry) -> None:
        super().__init__(label, 120)
        self.show_entry(entry)

    def show_entry(self, entry: Entry) -> None:
        """Show a text."""
        self.entry = entry
        self.setPlaceholderText("" if entry.needed else entry.blank)
        self.show_anew()

    def shown(self) -> str:
        """The text as it is in the plant."""
        return self.entry.value

    def commit(self) -> None:
        """Give the text typed, if it is another than before."""
        if not self.isModified():
            return
        text = " ".join(self.text().split())
        if self.entry.needed and not text:
            self.say("A name is needed here")
            return
        self.setModified(False)
        self.say("")
        before = self.entry.value
        self.setText(text)
        if text != before:
            self.given.emit(text)
            # What the edit made of it counts: a refused name shows as it was.
            self.setText(self.entry.value)
