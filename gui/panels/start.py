"""The start page: what an earlier day left unsaved, recent plants, templates to begin with, and the ten-minute path.

Everything on it does something: what the window cannot do yet is not offered. Plain data in, signals out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from gui.marks import paint_mark
from gui.panels.recent_list import RecentEntry, RecentList
from gui.panels.skin import BODY, LABEL, LARGE, TITLE, Painted, Skin, Words, button
from gui.panels.template_cards import TemplateGrid, cards_for
from gui.theme import DAY, READING, Tokens

WIDE_PX = 1080
STEPS = (
    ("Take a template", "1 min"),
    ("Name cables, marks", "2 min"),
    ("Say what is joined", "3 min"),
    ("Settle the findings", "3 min"),
    ("Print the sheet", "1 min"),
)
Answer = Literal["bring", "look", "leave"]


@dataclass(frozen=True, slots=True)
class RecoverData:
    """Steps that a stopped program left: how many, of which file, when, and the latest few as (time, words)."""

    file: str
    count: int
    stopped: str = ""
    steps: tuple[tuple[str, str], ...] = ()


class RecoverCard(QFrame):
    """Bring them back, look first, or leave them."""

    answered = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._skin = Skin()
        self.setObjectName("recoverCard")
        self.setAccessibleName("Edits that were not saved")
        self._mark = Painted(28, 28, lambda p, r, s: paint_mark(p, r, "warning", s.tokens))
        self.title, self.file = Words("", LARGE, bold=True), Words("", BODY, tone="ink2")
        self.steps = Words("", LABEL)
        self.note = Words("Leaving them drops them for good. The saved file is whole either way.", LABEL, tone="ink2")
        for words in (self.title, self.file, self.steps, self.note):
            words.setWordWrap(True)
        self.bring = button("Bring them back", main=True, name="recoverBring")
        self.look = button("Look first", name="recoverLook")
        self.leave = button("Leave them", name="recoverLeave")
        answers: tuple[tuple[Answer, QWidget], ...] = (
            ("bring", self.bring),
            ("look", self.look),
            ("leave", self.leave),
        )
        buttons = QHBoxLayout()
        buttons.setSpacing(12)
        for made, (answer, _) in zip((self.bring, self.look, self.leave), answers, strict=True):
            made.clicked.connect(lambda _=False, answer=answer: self.answered.emit(answer))
            buttons.addWidget(made)
        buttons.addStretch(1)
        words_column = QVBoxLayout()
        words_column.setSpacing(8)
        for widget in (self.title, self.file, self.steps):
            words_column.addWidget(widget)
        words_column.addLayout(buttons)
        words_column.addWidget(self.note)
        row = QHBoxLayout(self)
        row.setContentsMargins(28, 18, 20, 16)
        row.setSpacing(12)
        row.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(words_column, 1)

    def show_data(self, data: RecoverData) -> None:
        """Say what can be brought back."""
        self.title.setText(f"{data.count} edit{'s were' if data.count != 1 else ' was'} not saved")
        self.file.setText(data.file + (f", when the program stopped at {data.stopped}" if data.stopped else ""))
        lines = [f"{time}  {words}".strip() for time, words in data.steps[:3]]
        rest = data.count - len(lines)
        if lines and rest > 0:
            lines.append(f"and {rest} earlier")
        self.steps.setText("\n".join(lines))
        self.steps.setVisible(bool(lines))
        self.setAccessibleDescription(", ".join([self.title.text(), self.file.text(), *lines]))

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self._mark.set_skin(skin)
        for words in (self.title, self.file, self.steps, self.note):
            words.set_skin(skin)
        for made in (self.bring, self.look, self.leave):
            made.setMinimumHeight(max(skin.target, 48))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """A card with a heavy left edge."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tokens = self._skin.tokens
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(QColor(tokens.ink), 1.6))
        painter.setBrush(QColor(tokens.raised))
        painter.drawRoundedRect(box, 7, 7)
        painter.fillRect(QRectF(2, 6, 7, self.height() - 12), QColor(tokens.ink))


class PathStrip(QWidget):
    """The five steps from nothing to a printed sheet."""

    def __init__(self) -> None:
        super().__init__()
        self._skin = Skin()
        self.done = 0
        self.setAccessibleName("A printed sheet in ten minutes")
        self.setAccessibleDescription("; ".join(f"{n}. {what}, {time}" for n, (what, time) in enumerate(STEPS, 1)))
        self.set_skin(self._skin)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self.setFixedHeight(skin.px(84))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Circles on a line, words below, each wrapped in its own fifth."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        skin, tokens = self._skin, self._skin.tokens
        part = self.width() / len(STEPS)
        radius = skin.px(15)
        painter.setPen(QPen(QColor(tokens.accent), 2))
        painter.drawLine(round(radius), round(radius + 1), round(part * 4 + radius), round(radius + 1))
        for number, (what, time) in enumerate(STEPS):
            x = part * number
            current = number == self.done
            circle = QRectF(x + 1, 1, 2 * radius, 2 * radius)
            painter.setPen(QPen(QColor(tokens.accent), 2))
            painter.setBrush(QColor(tokens.accent if current else tokens.raised))
            painter.drawEllipse(circle)
            painter.setFont(skin.font(BODY, bold=True))
            painter.setPen(QColor(tokens.on_accent if current else tokens.ink))
            painter.drawText(circle, Qt.AlignmentFlag.AlignCenter, str(number + 1))
            left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
            painter.setFont(skin.font(LABEL, bold=current))
            painter.setPen(QColor(tokens.ink))
            wrap = int(left) | int(Qt.TextFlag.TextWordWrap)
            place = QRectF(x, 2 * radius + 6, part - 8, skin.px(34))
            used = painter.boundingRect(place, wrap, what)
            painter.drawText(place, wrap, what)
            painter.setFont(skin.font(LABEL))
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(QRectF(x, used.bottom() + 1, part - 8, skin.px(18)), left, time)


class StartPage(QScrollArea):
    """The page. ``recovery_answered`` is "bring", "look" or "leave"."""

    template_asked = Signal(str)
    open_asked = Signal()
    empty_asked = Signal()
    import_asked = Signal()
    ticket_asked = Signal()
    recent_asked = Signal(str)
    look_for_asked = Signal(str)
    recovery_answered = Signal(str)
    guide_asked = Signal()

    def __init__(self, templates: Sequence[str] = (), parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self.setObjectName("startPage")
        self.setAccessibleName("Start")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.title = Words("Glasswright", READING, bold=True)
        self.motto = Words("Draw it, judge it, trace it, print it.", BODY, tone="ink2")
        self.card = RecoverCard()
        self.card.answered.connect(self.recovery_answered)
        self.card.hide()
        self.recent_head = Words("Recent", TITLE, bold=True)
        self.recent = RecentList()
        self.recent.taken.connect(self._recent)
        self.recent_empty = Words("No plant has been opened here yet. Begin with a template.", BODY, tone="ink2")
        self.recent_empty.setWordWrap(True)
        self.open_button = button("Open another  Ctrl+O", name="openPlant", about="Opens a plant file")
        self.open_button.clicked.connect(self.open_asked)
        self.begin_head = Words("Begin with", TITLE, bold=True)
        self.begin_hint = Words("arrow keys, then Enter", LABEL, tone="ink2")
        self.grid = TemplateGrid()
        self.grid.taken.connect(self.template_asked)
        self.empty_button = button("Empty plant  Ctrl+N", name="emptyPlant")
        self.import_button = button("From a spreadsheet  Ctrl+I", name="importPlant")
        self.ticket_button = button("A fault ticket  Ctrl+T", name="faultTicket")
        self.empty_button.clicked.connect(self.empty_asked)
        self.import_button.clicked.connect(self.import_asked)
        self.ticket_button.clicked.connect(self.ticket_asked)
        self.path_head = Words("First time? A printed sheet in ten minutes", TITLE, bold=True)
        self.path_head.setWordWrap(True)
        self.guide = button("Show me as I go", name="guide")
        self.guide.clicked.connect(self.guide_asked)
        self.path = PathStrip()
        self._build()
        self.offer()
        self.grid.show_templates(cards_for(templates))
        self.show_recent(())
        self.set_tokens()

    def _build(self) -> None:
        left = QVBoxLayout()
        left.setSpacing(10)
        for words in (self.title, self.motto):
            left.addWidget(words)
        left.addSpacing(10)
        left.addWidget(self.card)
        row = QHBoxLayout()
        row.addWidget(self.recent_head)
        row.addStretch(1)
        row.addWidget(self.open_button)
        left.addLayout(row)
        left.addWidget(self.recent)
        left.addWidget(self.recent_empty)
        left.addStretch(1)
        right = QVBoxLayout()
        right.setSpacing(14)
        row = QHBoxLayout()
        row.addWidget(self.begin_head)
        row.addStretch(1)
        row.addWidget(self.begin_hint)
        right.addLayout(row)
        right.addWidget(self.grid)
        row = QHBoxLayout()
        row.setSpacing(16)
        for made in (self.empty_button, self.import_button, self.ticket_button):
            row.addWidget(made, 1)
        right.addLayout(row)
        self.path_box = QFrame()
        self.path_box.setObjectName("tenMinutes")
        inner = QVBoxLayout(self.path_box)
        inner.setContentsMargins(24, 16, 24, 16)
        row = QHBoxLayout()
        row.addWidget(self.path_head, 1)
        row.addWidget(self.guide)
        inner.addLayout(row)
        inner.addWidget(self.path)
        right.addWidget(self.path_box)
        right.addStretch(1)
        body = QWidget()
        body.setObjectName("startBody")
        self._columns = QBoxLayout(QBoxLayout.Direction.LeftToRight, body)
        self._columns.setContentsMargins(48, 40, 48, 32)
        self._columns.setSpacing(56)
        self._columns.addLayout(left, 4)
        self._columns.addLayout(right, 7)
        self.setWidget(body)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = skin = Skin(tokens, large)
        ground = f"background: {tokens.paper};"
        self.setStyleSheet(
            f"QScrollArea {{ {ground} }} QWidget#startBody {{ {ground} }}"
            f"QFrame#tenMinutes {{ background: {tokens.tint}; border-radius: 8px; }}"
        )
        for words in (
            *(self.title, self.motto, self.recent_head, self.recent_empty),
            *(self.begin_head, self.begin_hint, self.path_head),
        ):
            words.set_skin(skin)
        for made in (self.open_button, self.empty_button, self.import_button, self.ticket_button, self.guide):
            made.setMinimumHeight(skin.target)
        self.card.set_skin(skin)
        self.recent.set_skin(skin)
        self.path.set_skin(skin)
        self.grid.set_tokens(tokens, large)
        self._fold()

    def offer(self, *, spreadsheet: bool = False, ticket: bool = False, guide: bool = False, path: bool = True) -> None:
        """Offer what the window can do; ``path`` False hides the ten-minute path once it has been walked."""
        self.import_button.setVisible(spreadsheet)
        self.ticket_button.setVisible(ticket)
        self.guide.setVisible(guide)
        self.path_box.setVisible(path)

    def show_recent(self, entries: Sequence[RecentEntry]) -> None:
        """Show plants opened lately."""
        self.recent.show_entries(entries)
        self.recent.setVisible(bool(entries))
        self.recent_empty.setVisible(not entries)

    def show_recovery(self, data: RecoverData | None) -> None:
        """Offer what a crash left, focused; None takes the card away."""
        self.card.setVisible(data is not None)
        if data is not None:
            self.card.show_data(data)
            self.card.bring.setFocus(Qt.FocusReason.OtherFocusReason)

    def focus_first(self) -> None:
        """Focus what is most wanted: what a crash left, else the first template."""
        if self.card.isVisibleTo(self):
            self.card.bring.setFocus(Qt.FocusReason.TabFocusReason)
        elif self.grid.cards:
            self.grid.cards[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _recent(self, entry: RecentEntry) -> None:
        (self.look_for_asked if entry.missing else self.recent_asked).emit(entry.path)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Two columns where there is room, else one."""
        super().resizeEvent(event)
        self._fold()

    def _fold(self) -> None:
        narrow = self.width() < (WIDE_PX if not self._skin.large else round(WIDE_PX * 1.25))
        way = QBoxLayout.Direction.TopToBottom if narrow else QBoxLayout.Direction.LeftToRight
        self._columns.setDirection(way)
        edge = 24 if narrow else 48
        self._columns.setContentsMargins(edge, 28 if narrow else 40, edge, 32)
        self._columns.setSpacing(24 if narrow else 56)
