"""The Trace view laid out: ticket or hops, then reading, strip, plot and rulers in the middle, the answer at the right.

Where the window is narrow, ticket and answer share the left and a switch over them says which one is in sight. Strip,
plot and rulers stand on one scale, whose room is set here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QScrollArea,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gui.canvas.view import CanvasView
from gui.panels.answer_panel import AnswerPanel
from gui.panels.loss_plot import LossPlot
from gui.panels.path_strip import PathStrip
from gui.panels.reading_form import ReadingForm
from gui.panels.skin import BODY, LABEL, Skin, Words, button
from gui.panels.ticket_panel import TicketPanel
from gui.panels.trace_rulers import TraceRulers
from gui.panels.trace_scale import TraceScale
from gui.theme import DAY, Tokens
from model.line.heard import HeardList
from model.tickets import Heard

NARROW = 1180
"""Below this width, pixels, ticket and answer share one place."""
LEFT_PX, RIGHT_PX = 84, 30


class TracePage(QWidget):
    """All parts of the view; ``sheet`` is the canvas with the printed path sheet, ``shown`` is called to draw it."""

    def __init__(self, sheet: CanvasView, read: Callable[[str, Heard], HeardList], shown: Callable[[], None]) -> None:
        super().__init__()
        self.setObjectName("tracePage")
        self.sheet = sheet
        self.scale = TraceScale(self)
        self.ticket = TicketPanel(read)
        self.form = ReadingForm()
        self.steps = Words("", LABEL, fixed=True)
        self.steps.setObjectName("allStepsWords")
        self.steps.setWordWrap(True)
        self.steps.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.steps.setContentsMargins(14, 6, 14, 8)
        self.steps.hide()
        self.strip = PathStrip(self.scale)
        self.plot = LossPlot(self.scale)
        self.rulers = TraceRulers(self.scale)
        self.answer = AnswerPanel()
        self.middle = QStackedWidget()
        self.middle.addWidget(self._pictures())
        self.middle.addWidget(sheet)
        self.form.steps_asked.connect(self.steps.setVisible)
        self._sheet_shown = shown
        self.sheet_button = button(
            "Path sheet", name="pathSheet", about="The printed sheet of this path, in place of strip and plot"
        )
        self.sheet_button.setCheckable(True)
        self.sheet_button.toggled.connect(self.show_sheet)
        self.head_buttons = (self.form.steps, self.form.other, self.form.drop, self.sheet_button)
        centre = QWidget()
        centre.setObjectName("traceCentre")
        column = QVBoxLayout(centre)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._head())
        column.addWidget(self.form)
        column.addWidget(self.steps)
        column.addWidget(self.middle, 1)
        self.scroller = QScrollArea()
        self.scroller.setObjectName("traceScroll")
        self.scroller.setWidget(centre)
        self.scroller.setWidgetResizable(True)
        self.scroller.setFrameShape(QFrame.Shape.NoFrame)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.sides = QStackedWidget()
        self.switch = self._switch()
        left = QWidget()
        side = QVBoxLayout(left)
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(0)
        side.addWidget(self.switch)
        side.addWidget(self.sides, 1)
        self.sides.addWidget(self.ticket)
        self.row = QHBoxLayout(self)
        self.row.setContentsMargins(0, 0, 0, 0)
        self.row.setSpacing(0)
        self.row.addWidget(left)
        self.row.addWidget(self.scroller, 1)
        self.row.addWidget(self.answer)
        self.strip.installEventFilter(self)
        self._skin = Skin()
        self.set_narrow(False)

    def _head(self) -> QWidget:
        """The line over everything in the middle: what is read or traced, and the switch to the sheet."""
        self.title, self.right = Words("", BODY, bold=True, elide=True), Words("", LABEL, tone="ink2", elide=True)
        self.title.setObjectName("traceTitle")
        self.head_line = QWidget()
        self.head_line.setObjectName("traceHead")
        row = QHBoxLayout(self.head_line)
        row.setContentsMargins(14, 8, 14, 0)
        row.setSpacing(10)
        row.addWidget(self.title, 1)
        row.addWidget(self.right)
        for made in self.head_buttons:
            row.addWidget(made)
        return self.head_line

    def say(self, title: str, right: str) -> None:
        """What is read or traced, and the file it was read from."""
        self.title.setText(title)
        self.right.setText(right)

    def _pictures(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.strip, 10)
        column.addWidget(self.plot, 11)
        column.addWidget(self.rulers)
        return page

    def _switch(self) -> QWidget:
        bar = QWidget()
        row = QHBoxLayout(bar)
        row.setContentsMargins(14, 6, 14, 2)
        row.setSpacing(0)
        group = QButtonGroup(bar)
        self.side_buttons = {}
        for side, text in (("ticket", "Ticket"), ("answer", "Answer")):
            made = button(text, name=f"side {side}")
            made.setCheckable(True)
            made.clicked.connect(lambda _=False, side=side: self.show_side(side))
            group.addButton(made)
            row.addWidget(made, 1)
            self.side_buttons[side] = made
        self.side_buttons["ticket"].setChecked(True)
        return bar

    # -- room ----------------------------------------------------------------------------------------------------

    def set_narrow(self, narrow: bool) -> None:
        """Ticket and answer side by side with the path between, or in one place."""
        self.narrow = narrow
        self.switch.setVisible(narrow)
        if narrow and self.answer.parent() is not self.sides:
            self.sides.addWidget(self.answer)
        elif not narrow and self.sides.indexOf(self.answer) >= 0:
            self.sides.removeWidget(self.answer)
            self.row.addWidget(self.answer)
            self.answer.show()
        self._widen()

    def show_side(self, side: str) -> None:
        """Ticket or answer, where they share a place."""
        self.side_buttons[side].setChecked(True)
        if self.narrow:
            self.sides.setCurrentWidget(self.ticket if side == "ticket" else self.answer)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Narrow or wide."""
        super().resizeEvent(event)
        narrow = self.width() < self._skin.px(NARROW)
        if narrow != self.narrow:
            self.set_narrow(narrow)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """The width of the strip is that of the plot and of the rulers."""
        if watched is self.strip and event.type() == QEvent.Type.Resize:
            self._room()
        return super().eventFilter(watched, event)

    def _room(self) -> None:
        self.scale.set_room(self.strip.width(), self._skin.px(LEFT_PX), self._skin.px(RIGHT_PX))

    def _widen(self) -> None:
        wide = self.ticket.width_asked
        self.sides.setFixedWidth(max(wide, self.answer.width_asked) if self.narrow else wide)

    @property
    def regions(self) -> list[QWidget]:
        """Ticket or hops, reading, strip and plot or the sheet, answer and suspects: what F6 walks."""
        pictures = [self.sheet] if self.sheet_shown else [self.strip, self.plot]
        return [self.ticket.front, self.form.shown, *pictures, self.answer.head, self.answer.suspects]

    @property
    def sheet_shown(self) -> bool:
        """True while the path sheet is in sight."""
        return self.middle.currentIndex() == 1

    def show_sheet(self, on: bool) -> None:
        """The path sheet in place of strip and plot, or these again."""
        self.sheet_button.setChecked(on)
        self.middle.setCurrentIndex(int(on))
        if on:
            self._sheet_shown()

    @property
    def front(self) -> QWidget:
        """What takes the focus."""
        return self.sheet if self.sheet_shown else self.strip

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        for part in (self.ticket, self.form, self.strip, self.plot, self.rulers, self.answer):
            part.set_tokens(tokens, large)
        for words in (self.steps, self.title, self.right):
            words.set_skin(self._skin)
        for made in self.head_buttons:
            made.setMinimumHeight(self._skin.target - 6)
            made.setStyleSheet("padding: 2px 10px;")
        # Words() takes its ground from what is under it.
        self.setStyleSheet(
            f"QWidget#tracePage {{ background: {tokens.panel}; }} "
            f"QWidget#traceHead, QWidget#traceCentre {{ background: {tokens.panel}; }}"
        )
        self._widen()
        self._room()
