"""What the Line understands, as one page in place of the canvas and the docks: Esc or any other view leaves it."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QTextBrowser

from gui.theme import DAY, Tokens
from model.line.help import PIECES, by_topic

Rows = tuple[tuple[str, str], ...]

LEFT_TOPICS = 5
"""Topics in the left column; the others and the pieces stand in the right one."""
LAST = (
    "Names come before ranges; a name with spaces is quoted. With a cable picked its name may be left out. "
    "<b>;</b> joins steps into one line, which is one undo step. Tab takes an ending, Enter does the line, Esc drops "
    "it. A line that darkens a live service is held once: Enter again, or add <b>outage</b> and its name. "
    "<b>Esc goes back.</b>"
)


def page(tokens: Tokens) -> str:
    """The page as rich text, in two columns."""

    def block(title: str, rows: Rows) -> str:
        lines = "".join(
            f"<tr><td style='padding:1px 14px 1px 0; white-space:pre'><b>{escape(say)}</b></td>"
            f"<td style='padding:1px 0; color:{tokens.ink2}'>{escape(means)}</td></tr>"
            for say, means in rows
        )
        return f"<tr><td colspan='2' style='padding:7px 0 1px 0; color:{tokens.accent}'>{title}</td></tr>{lines}"

    def column(blocks: Iterable[tuple[str, Rows]]) -> str:
        return f"<table>{''.join(block(title, rows) for title, rows in blocks)}</table>"

    topics = by_topic()
    right = (*topics[LEFT_TOPICS:], ("Pieces", PIECES))
    return (
        "<table width='100%'><tr>"
        f"<td width='50%' style='padding-right:24px'>{column(topics[:LEFT_TOPICS])}</td>"
        f"<td width='50%'>{column(right)}</td></tr></table><p>{LAST}</p>"
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
        size = 17 if large else 12
        self.setStyleSheet(
            f"QTextBrowser {{ background: {tokens.paper}; border: none; padding: 6px 20px; font-size: {size}px; "
            "font-family: 'DejaVu Sans Condensed'; }"
        )
        self.setHtml(page(tokens))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc leaves."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)
