"""A part of the answer: a heading under a rule, with lines or pairs of words that are replaced as a whole."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from gui.panels.skin import BODY, LABEL, Skin, Words


class Section(QWidget):
    """A heading with a rule over it, a few words at its right, and what stands under it."""

    def __init__(self, title: str, name: str) -> None:
        super().__init__()
        self.setObjectName(name)
        self.title = Words(title, BODY, bold=True)
        self.right = Words("", LABEL, tone="ink2", elide=True)
        self.right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.head = QHBoxLayout()
        self.head.setContentsMargins(14, 10, 14, 4)
        self.head.setSpacing(8)
        self.head.addWidget(self.title)
        self.head.addWidget(self.right, 1)
        rule = QFrame()
        rule.setProperty("kind", "rule")
        rule.setFixedHeight(1)
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(0, 0, 0, 6)
        self.body.setSpacing(4)
        self.body.addWidget(rule)
        self.body.addLayout(self.head)
        self.lines: list[Words] = []
        self.fixed = self.body.count()
        self._skin = Skin()

    def say(self, lines: Sequence[tuple[str, bool]], size: float = BODY) -> None:
        """Lines under the heading, each bold, then of a ``size``, or not."""
        for label in self.lines:
            label.hide()
            label.deleteLater()
        self.lines = []
        while self.body.count() > self.fixed:
            self.body.takeAt(self.fixed)
        for text, bold in lines:
            label = Words(text, size if bold else LABEL, bold=bold)
            label.setWordWrap(True)
            label.setContentsMargins(14, 0, 14, 0)
            label.set_skin(self._skin)
            self.lines.append(label)
            self.body.addWidget(label)
        self.setAccessibleDescription(". ".join(text for text, _ in lines))

    def say_pairs(self, pairs: Sequence[tuple[str, str]]) -> None:
        """Pairs of words, the second at the right end; what has no room ends in dots and stands in the tool tip."""
        self.say(())
        for first, second in pairs:
            row = QHBoxLayout()
            row.setContentsMargins(14, 0, 14, 0)
            row.setSpacing(8)
            for text, stretch in ((first, 1), (second, 0)):
                label = Words(text, LABEL, tone="ink" if stretch else "ink2", elide=bool(stretch))
                label.set_skin(self._skin)
                self.lines.append(label)
                row.addWidget(label, stretch)
            self.body.addLayout(row)
        self.setAccessibleDescription(". ".join(": ".join(pair) for pair in pairs))

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        for label in (self.title, self.right, *self.lines):
            label.set_skin(skin)
