"""The head of the answer: where to go, the printed mark and its band, a few lines of what they rest on.

It is the darkest thing in the window, so that it is read before anything else; mark and band are never cut off.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QLabel, QVBoxLayout

from gui.panels.skin import LABEL, LARGE, TITLE, Skin
from gui.theme import READING


class AnswerHead(QFrame):
    """Where to go, which mark, what band."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("answer")
        self.setAccessibleName("Answer")
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.head, self.mark, self.band = QLabel(), QLabel(), QLabel()
        self.lines: list[QLabel] = []
        self.head.setWordWrap(True)
        self.row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self.row.setSpacing(2)
        self.row.addWidget(self.mark)
        self.row.addStretch(1)
        self.row.addWidget(self.band, 0, Qt.AlignmentFlag.AlignBottom)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(16, 14, 16, 14)
        self.column.setSpacing(4)
        self.column.addWidget(self.head)
        self.column.addLayout(self.row)
        self._skin = Skin()

    def show_words(self, head: str, mark: str, band: str, lines: Sequence[str]) -> None:
        """Show an answer."""
        self.head.setText(head)
        self.mark.setText(f"mark {mark}" if mark else "")
        self.band.setText(band)
        for label in (self.mark, self.band):
            label.setVisible(bool(label.text()))
        while len(self.lines) < len(lines):
            label = QLabel()
            label.setWordWrap(True)
            self.lines.append(label)
            self.column.addWidget(label)
        for number, label in enumerate(self.lines):
            label.setText(lines[number] if number < len(lines) else "")
            label.setVisible(number < len(lines))
        self.set_skin(self._skin)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size: ink is the ground here."""
        self._skin = skin
        tokens = skin.tokens
        self.setStyleSheet(
            f"QFrame#answer {{ background: {tokens.ink}; border: none; }} "
            f"QFrame#answer:focus {{ border: 3px solid {tokens.accent}; }} "
            f"QFrame#answer QLabel {{ color: {tokens.paper}; background: none; }}"
        )
        for label, size, bold in (
            (self.head, TITLE, True),
            (self.mark, READING, True),
            (self.band, LARGE - 2, True),
            *((line, LABEL, False) for line in self.lines),
        ):
            weight = "bold" if bold else "normal"
            label.setStyleSheet(f"font-size: {skin.px(size)}px; font-weight: {weight};")
        self._break()

    def _break(self) -> None:
        """The band beside the mark, or under it: neither is ever cut off."""
        for label in (self.mark, self.band):
            label.ensurePolished()
        wanted = self.mark.sizeHint().width() + self.band.sizeHint().width() + 16
        beside = wanted <= self.width() - 36
        ways = QBoxLayout.Direction
        self.row.setDirection(ways.LeftToRight if beside else ways.TopToBottom)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Another width."""
        super().resizeEvent(event)
        self._break()
