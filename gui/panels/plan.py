"""The Plan panel under the canvas: the question, its ranked ways, why this one and what is left alone.

It makes no edit and reads no plant: the question goes out as text for the Line and comes back read. What would change
is shown as for any typed line: in the picture, the rows and the gauges.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QListWidget,
    QSizePolicy,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from gui.panels.plan_form import PlanForm
from gui.panels.skin import LABEL, TITLE, Skin, Words, button
from gui.theme import DAY, Tokens
from model.line.questions import Planned, Question
from model.line.readback import Reading
from model.planning import Proposal

TALL, LEAST_TALL = 292, 150
"""Height where there is room, and the least, pixels at normal size."""
ROOMY = 720
"""From this width on the question has fields."""
NONE = {
    "drops": "No way was found",
    "trays": "The joints lie best already: there is nothing to change",
    "stubs": "All loose glass has its place: there is nothing to change",
}


class WayList(QListWidget):
    """The ways, best first; ``entered`` carries an Enter."""

    entered = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Enter does the way that is chosen."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
            return
        super().keyPressEvent(event)


class PlanPanel(QWidget):
    """``asked`` carries the line of a question; ``applied`` and ``dropped`` what is wanted of it."""

    asked = Signal(str)
    applied = Signal()
    dropped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._skin = Skin()
        self._filling = False
        self.plan: Planned | None = None
        self.setObjectName("planPanel")
        self.setAccessibleName("Plan")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.form = PlanForm()
        self.form.asked.connect(lambda question: self.asked.emit(question.text()))
        self.form.entered.connect(self.applied)
        self.apply = button("Apply  Enter", main=True, name="planApply", about="Do the chosen way as one step")
        self.close_button = button("Drop  Esc", name="planDrop", about="Drop the proposal; nothing is changed")
        self.apply.clicked.connect(self.applied)
        self.close_button.clicked.connect(self.dropped)
        self.title = Words("Plan", TITLE, bold=True)
        self.ways = WayList()
        self.ways.setObjectName("planWays")
        self.ways.setAccessibleName("Ways, best first")
        self.ways.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.ways.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.ways.setWordWrap(True)
        self.ways.setFrameShape(QFrame.Shape.NoFrame)
        self.ways.currentRowChanged.connect(self._taken)
        self.ways.entered.connect(self.applied)
        self.why = QTextBrowser()
        self.why.setObjectName("planWhy")
        self.why.setAccessibleName("Why, and what is left alone")
        self.why.setOpenLinks(False)
        self.why.setFrameShape(QFrame.Shape.NoFrame)
        top = QHBoxLayout()
        top.setSpacing(12)
        top.addWidget(self.title)
        top.addLayout(self.form.head)
        top.addStretch(1)
        top.addWidget(self.close_button)
        top.addWidget(self.apply)
        below = QHBoxLayout()
        below.setSpacing(12)
        below.addWidget(self.ways, 3)
        below.addWidget(self.why, 5)
        self.column = QVBoxLayout(self)
        self.column.setSpacing(8)
        self.column.addLayout(top)
        self.column.addWidget(self.form)
        self.column.addLayout(below, 1)
        self.set_tokens()

    # -- what is shown -------------------------------------------------------------------------------------------

    def show_reading(self, reading: Reading, cables: Sequence[str]) -> None:
        """Show what a line that asks the planner reads as, or why it does not read."""
        if reading.plan is not None:
            self._show_plan(reading.plan, cables)
            return
        self.plan = None
        self._fill_ways((), 0)
        fault = reading.error
        words = "" if fault is None else fault.message + (f". {fault.hint}" if fault.hint else "")
        tone = self._skin.tokens.ink2 if fault is None or fault.incomplete else self._skin.tokens.error
        self.why.setHtml(f"<p style='color:{tone}'>{escape(words)}</p>")
        self.apply.setEnabled(False)

    def _show_plan(self, plan: Planned, cables: Sequence[str]) -> None:
        self.plan = plan
        self.form.show_question(plan.question, cables)
        self._fill_ways(plan.ways, plan.taken)
        self.apply.setEnabled(bool(plan.ways))
        self._say_why()

    def take_focus(self) -> None:
        """Go to the first field, or to the ways where no field is in sight."""
        first = self.form.first()
        (first if first.isVisible() else self.ways).setFocus(Qt.FocusReason.OtherFocusReason)

    def ask_first(self, question: Question, cables: Sequence[str]) -> None:
        """Show the fields of a question that is not asked yet."""
        self.form.show_question(question, cables)

    def _fill_ways(self, ways: Sequence[Proposal], taken: int) -> None:
        self._filling = True
        words = [f"{n} \u00b7 {way.name}\n{_costs(way)}" for n, way in enumerate(ways, start=1)]
        if words != [self.ways.item(n).text() for n in range(self.ways.count())]:
            self.ways.clear()
            self.ways.addItems(words)
        self.ways.setCurrentRow(taken - 1)
        self.ways.setAccessibleDescription(f"{len(ways)} ways")
        self._filling = False

    def _say_why(self) -> None:
        plan = self.plan
        if plan is None:
            return
        if not plan.ways:
            self.why.setHtml(f"<p>{NONE[plan.question.kind]}</p>")
            return
        way = plan.ways[plan.taken - 1]
        quiet = self._skin.tokens.ink2

        def block(head: str, lines: Sequence[str]) -> str:
            said = "".join(f"<li style='margin-bottom:3px'>{escape(line)}</li>" for line in lines)
            title = f"<p style='color:{quiet}; margin:0 0 2px 0'>{head}</p>"
            return f"{title}<ul style='margin:0 0 8px 0; -qt-list-indent:0'>{said}</ul>" if lines else ""

        costs = [f"{what}: {value}" for what, value in way.cost]
        self.why.setHtml(
            block("Why", way.reasons) + block("Left alone", way.left_alone) + block("What it costs, in order", costs)
        )

    # -- what is wanted ------------------------------------------------------------------------------------------

    def _taken(self, row: int) -> None:
        if not self._filling and self.plan is not None and 0 <= row < len(self.plan.ways):
            self.asked.emit(self.plan.question.text(row + 1))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc drops the proposal."""
        if event.key() == Qt.Key.Key_Escape:
            self.dropped.emit()
            return
        super().keyPressEvent(event)

    def _room(self) -> None:
        """Where there is little width, no fields: the Line says the same."""
        narrow = self.width() < self._skin.px(ROOMY)
        self.form.set_narrow(narrow)
        self.title.setVisible(not narrow)
        self.apply.setText("Apply" if narrow else "Apply  Enter")
        self.close_button.setVisible(not narrow)
        self.form.setVisible(not narrow)
        edge = 6 if narrow else 16
        self.column.setContentsMargins(edge, 8, edge, 8)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Wide or narrow."""
        self._room()
        super().resizeEvent(event)

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """As tall as it likes to be."""
        return QSize(self._skin.px(ROOMY), self._skin.px(TALL))

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """It gives way to the canvas where there is little height."""
        return QSize(240, self._skin.px(LEAST_TALL))

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self._skin = Skin(tokens, large)
        self._room()
        self.updateGeometry()
        self.title.set_skin(skin)
        self.form.set_tokens(tokens, large)
        self.ways.setFont(skin.font())
        size = skin.px(LABEL + 1)
        self.why.setStyleSheet(f"QTextBrowser {{ background: {tokens.panel}; border: none; font-size: {size}px; }}")
        self.setStyleSheet(f"QWidget#planPanel {{ background: {tokens.panel}; border-top: 1px solid {tokens.line}; }}")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._say_why()


def _costs(way: Proposal) -> str:
    """The first two costs, which rank it."""
    return ", ".join(f"{what}: {value}" for what, value in way.cost[:2])
