"""The right of the Trace view: the answer first, then what it rests on. Without a ticket, the loss of the lit path.

Whom not to disturb is never scrolled out of sight. It makes no edit.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from gui.panels.answer_head import AnswerHead
from gui.panels.answer_section import Section
from gui.panels.skin import LABEL, Skin, Words, button
from gui.panels.suspect_list import SuspectList
from gui.theme import DAY, Tokens
from gui.views.trace_answer import AnswerData

WIDE = 360
LOW = 560
"""Height, pixels, below which there is room for one thing at a time."""
MINDED = 5
"""Tubes named that must not be disturbed; the number of services at the heading counts them all."""
CLEARED = 3
"""Elements cleared that are shown at first."""


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
