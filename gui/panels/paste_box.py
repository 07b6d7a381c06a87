"""A box to paste a list of services into: it says at once what the list comes to, and which names nobody has.

Nothing is changed before a button is pressed; Ctrl+Enter presses the first. Esc closes it and keeps nothing.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from gui.panels.skin import BODY, LABEL, Skin, Words, button
from gui.theme import DAY, Tokens
from model.line.heard import HeardList
from model.tickets import Heard

SHOWN = 6
"""Bad names listed; the rest are counted."""


def said_of(found: HeardList) -> tuple[str, str]:
    """(what a list comes to, what is wrong with it), both in words."""
    if found.refused:
        return "", found.refused
    parts = [
        f"{len(keys)} {word}"
        for keys, word in ((found.down, "down"), (found.up, "up"), (found.unknown, "not known"))
        if keys
    ]
    bad = [str(name) for name in found.bad[:SHOWN]]
    if len(found.bad) > SHOWN:
        bad.append(f"and {len(found.bad) - SHOWN} more")
    return ", ".join(parts), "\n".join(bad)


class PasteBox(QWidget):
    """``given`` carries the text and the state of names that say none; ``left`` when it is closed without."""

    given = Signal(str, str)
    left = Signal()

    def __init__(self, read: Callable[[str, Heard], HeardList]) -> None:
        super().__init__()
        self._read = read
        self.setObjectName("pasteBox")
        self.field = QPlainTextEdit()
        self.field.setObjectName("pasteField")
        self.field.setAccessibleName("List of services")
        self.field.setPlaceholderText("C5, C6\nC9 down\nC12 up")
        self.field.setTabChangesFocus(True)
        self.found = Words("", BODY)
        self.bad = Words("", LABEL, tone="error")
        for words, name in ((self.found, "pasteFound"), (self.bad, "pasteBad")):
            words.setObjectName(name)
            words.setWordWrap(True)
            words.hide()
        self.down = button("They are down", main=True, name="pasteDown")
        self.up = button("They are up", name="pasteUp")
        self.close_button = button("Close", name="pasteClose")
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(self.up)
        row.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 4, 14, 8)
        column.setSpacing(6)
        for widget in (self.field, self.found, self.bad, self.down):
            column.addWidget(widget)
        column.addLayout(row)
        self.field.textChanged.connect(self._changed)
        self.down.clicked.connect(lambda: self._give("down"))
        self.up.clicked.connect(lambda: self._give("up"))
        self.close_button.clicked.connect(self.leave)

    def bring(self, text: str = "") -> None:
        """Show it, with a text if there is one."""
        if text:
            self.field.setPlainText(text)
        self.show()
        self.field.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _changed(self) -> None:
        found, bad = said_of(self._read(self.field.toPlainText(), "down"))
        for words, text in ((self.found, found), (self.bad, bad)):
            words.setText(text)
            words.setVisible(bool(text))
        self.field.setAccessibleDescription(" ".join(filter(None, (found, bad))))

    def _give(self, heard: Heard) -> None:
        self.given.emit(self.field.toPlainText(), heard)

    def leave(self) -> None:
        """Close it."""
        self.field.clear()
        self.hide()
        self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc closes, Ctrl+Enter takes."""
        if event.key() == Qt.Key.Key_Escape:
            self.leave()
            return
        enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if enter and event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._give("down")
            return
        super().keyPressEvent(event)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = Skin(tokens, large)
        self.found.set_skin(skin)
        self.bad.set_skin(skin)
        self.field.setStyleSheet(
            f"QPlainTextEdit {{ background: {tokens.raised}; border: 1px solid {tokens.ink2}; border-radius: 6px;"
            f" padding: 4px; }} QPlainTextEdit:focus {{ border: 2px solid {tokens.accent}; }}"
        )
        self.field.setFixedHeight(skin.px(108))
        for made in (self.down, self.up, self.close_button):
            made.setMinimumHeight(skin.target)
