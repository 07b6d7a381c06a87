"""The right of the Trace view: the answer first, then what it rests on. Without a ticket, the loss of the lit path.

The head is the darkest thing in the window, so that it is read before anything else. It makes no edit.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from gui.panels.skin import BODY, LABEL, LARGE, TITLE, Skin, Words, button
from gui.panels.suspect_list import SuspectList
from gui.theme import DAY, READING, Tokens
from gui.views.trace_answer import AnswerData

WIDE = 360
LOW = 560
"""Height, pixels, below which there is room for one thing at a time."""
MINDED = 5
"""Tubes named that must not be disturbed; the number of services at the heading counts them all."""
CLEARED = 3
"""Elements cleared that are shown at first."""


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


class AnswerPanel(QWidget):
    """``inside_asked`` and ``print_asked`` by the two buttons."""

    inside_asked = Signal()
    print_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("answerPanel")
        self.data = AnswerData()
        self.skin = Skin()
        self.width_asked = WIDE
        self._all_cleared = False
        self.head = AnswerHead()
        self.suspects = SuspectList()
        self.statement = Words("", LABEL)
        self.statement.setWordWrap(True)
        self.statement.setContentsMargins(14, 0, 14, 4)
        self.suspect_part = Section("Suspects", "suspectPart")
        self.suspect_part.body.addWidget(self.statement)
        self.suspect_part.body.addWidget(self.suspects)
        self.cleared_part = Section("Cleared", "cleared")
        self.more = button("", name="moreCleared")
        self.more.clicked.connect(self._more)
        self.test_part = Section("Cheapest next test", "nextTest")
        self.mind_part = Section("Do not disturb", "doNotDisturb")
        self.loss_part = Section("Loss of the path", "pathLoss")
        self.print_button = button("Print the fault sheet", main=True, name="printFault")
        self.inside_button = button("Show inside", name="showInside", about="The Enclosure view with the suspect lit")
        self.print_button.clicked.connect(self.print_asked)
        self.inside_button.clicked.connect(self.inside_asked)
        content = QWidget()
        content.setObjectName("answerBody")
        column = QVBoxLayout(content)
        column.setContentsMargins(0, 0, 0, 8)
        column.setSpacing(0)
        for part in (self.suspect_part, self.cleared_part):
            column.addWidget(part)
        self.cleared_part.head.insertWidget(1, self.more)
        for part in (self.test_part, self.loss_part):
            column.addWidget(part)
        column.addStretch(1)
        self.scroller = QScrollArea()
        self.scroller.setObjectName("answerScroll")
        self.scroller.setWidget(content)
        self.scroller.setWidgetResizable(True)
        self.scroller.setFrameShape(QFrame.Shape.NoFrame)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.scroller.viewport().installEventFilter(self)
        buttons = QHBoxLayout()
        buttons.setContentsMargins(14, 8, 14, 12)
        buttons.setSpacing(8)
        buttons.addWidget(self.print_button, 3)
        buttons.addWidget(self.inside_button, 2)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addWidget(self.head)
        outer.addWidget(self.scroller, 1)
        # Whom not to disturb is never scrolled out of sight, unless there is no room: then it comes first.
        outer.addWidget(self.mind_part)
        self._outer, self._inner = outer, column
        outer.addLayout(buttons)

    def show_data(self, data: AnswerData) -> None:
        """Show another answer."""
        if data == self.data:
            return
        self.data = data
        self._fill()

    def _fill(self) -> None:
        data = self.data
        self.head.show_words(data.head, data.mark, data.band, data.lines)
        self.head.setAccessibleDescription(data.words)
        self.suspect_part.setVisible(bool(data.suspects or data.statement))
        self.suspect_part.right.setText(data.fit)
        # That they explain all and contradict nobody is said at the right of the heading already.
        self.statement.setText("" if data.single else data.statement)
        self.statement.setVisible(bool(self.statement.text()))
        self.suspects.show_rows(data.suspects)
        shown = data.cleared if self._all_cleared else data.cleared[:CLEARED]
        self.cleared_part.setVisible(bool(data.cleared))
        self.cleared_part.say_pairs(shown)
        hidden = len(data.cleared) - len(shown)
        self.more.setVisible(bool(hidden) or (self._all_cleared and len(data.cleared) > CLEARED))
        self.more.setText(f"{hidden} more" if hidden else "Fewer")
        self.more.setAccessibleName(self.more.text())
        self.cleared_part.right.setText(f"and {data.minor} fibres and joints" if data.minor else "")
        self.test_part.setVisible(bool(data.test))
        self.test_part.right.setText(data.test_note)
        self.test_part.say([(data.test[:1].upper() + data.test[1:], True), *((o, False) for o in data.outcomes)])
        self._fill_mind()
        self.loss_part.setVisible(bool(data.losses))
        self.loss_part.say_pairs(data.losses)
        self.inside_button.setVisible(bool(data.suspects))
        self.print_button.setVisible(bool(data.suspects))

    def _fill_mind(self) -> None:
        data = self.data
        self.mind_part.setVisible(bool(data.mind_site))
        self.mind_part.title.setText(f"Do not disturb at {data.mind_site}")
        self.mind_part.right.setText(f"{data.mind_count} live")
        lines = list(data.mind[:MINDED]) or [("Nobody else is live here", False)]
        if len(data.mind) > MINDED:
            lines.append((f"and {len(data.mind) - MINDED} more tubes: take every tube here for live", False))
        self.mind_part.say(lines, LABEL)

    def _more(self) -> None:
        self._all_cleared = not self._all_cleared
        self._fill()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Another width breaks the lines elsewhere."""
        if event.type() == QEvent.Type.Resize:
            self.suspects.fit()
        return super().eventFilter(watched, event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Lines break elsewhere, and there is more or less room."""
        super().resizeEvent(event)
        self.suspects.fit()
        low = self.height() < self.skin.px(LOW)
        if low != (self._inner.indexOf(self.mind_part) >= 0):
            shown = not self.mind_part.isHidden()
            if low:
                self._inner.insertWidget(0, self.mind_part)
            else:
                self._outer.insertWidget(2, self.mind_part)
            self.mind_part.setVisible(shown)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self.skin = Skin(tokens, large)
        self.setStyleSheet(
            f"QWidget#answerPanel, QWidget#answerBody, QScrollArea#answerScroll {{ background: {tokens.panel}; }}"
        )
        self.width_asked = WIDE if not large else round(WIDE * 1.15)
        self.setFixedWidth(self.width_asked)
        self.head.set_skin(skin)
        self.statement.set_skin(skin)
        for part in (self.suspect_part, self.cleared_part, self.test_part, self.mind_part, self.loss_part):
            part.set_skin(skin)
        for made in (self.print_button, self.inside_button):
            made.setMinimumHeight(skin.target)
        self.more.setMinimumHeight(skin.target if large else 24)
        self.more.setStyleSheet(f"padding: 1px 8px; min-height: 20px; font-size: {skin.px(LABEL)}px;")
        self.suspects.set_tokens(tokens, large)
