"""What the Line understands, as one page in place of the canvas: Esc or any other view leaves it."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QTextBrowser

from gui.theme import DAY, Tokens
from model.line.help import EXAMPLES, PIECES


def page(tokens: Tokens) -> str:
    """The page as rich text."""

    def rows(pairs: tuple[tuple[str, str], ...]) -> str:
        return "".join(
            f"<tr><td style='padding:5px 28px 5px 0; font-family:DejaVu Sans Mono; white-space:pre'>{escape(say)}</td>"
            f"<td style='padding:5px 0; color:{tokens.ink2}'>{escape(means)}</td></tr>"
            for say, means in pairs
        )

    return (
        f"<h2>What the Line understands</h2><table>{rows(EXAMPLES)}</table>"
        f"<h3>Pieces</h3><table>{rows(PIECES)}</table>"
        "<p>Names come before ranges; a name with spaces is quoted. With a cable picked its name may be left out. "
        "<b>;</b> joins steps into one line, which is one undo step. Tab takes an ending, Enter does the line, "
        "Esc drops it. A line that darkens a live service is held once: Enter again, or add <b>outage</b> and its name."
        "</p><p>Esc goes back.</p>"
    )


class LineHelp(QTextBrowser):
    """The page; ``left`` when a person wants back."""

    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("lineHelp")
        self.setAccessibleName("What the Line understands")
        self.setOpenLinks(False)
        self.set_tokens()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        size = 19 if large else 14
        self.setStyleSheet(
            f"QTextBrowser {{ background: {tokens.paper}; border: none; padding: 24px 40px; font-size: {size}px; }}"
        )
        self.setHtml(page(tokens))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc leaves."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)
