"""What a typed line makes and what it costs, at the right while it is typed: its rows, then who goes dark.

It shows; the Line does. The one button puts the word for an outage into the Line, to be finished there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QScrollArea,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from gui.marks import State, paint_mark
from gui.panels.rows_model import Index, RowsModel
from gui.panels.skin import LABEL, TITLE, Painted, Skin, Words, button
from gui.theme import DAY, Tokens
from gui.views.preview import PreviewRow
from model.line.readback import Reading
from model.line.wording import plural
from render.looks import GlassLook

HEADS = ("Slot", "From", "To", "dB", "")
NAMED = 6
"""Services that are named; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Cost:
    """One thing to know before Enter: its mark, a bold line, and a plain one."""

    state: State
    head: str
    text: str


def costs(reading: Reading) -> list[Cost]:
    """What a line costs, the gravest first: who goes dark, what is cut, what the trays hold then."""
    found: list[Cost] = []
    if reading.dark:
        count = len(reading.dark)
        names = ", ".join(f"{held.name}, on {held.on}" for held in reading.dark[:NAMED])
        more = f" and {count - NAMED} more" if count > NAMED else ""
        todo = " Name an outage, or press Enter a second time and it is recorded as yours." if reading.holds else ""
        verb = "goes" if count == 1 else "go"
        state: State = "warning" if reading.holds else "note"
        found.append(Cost(state, f"{plural(count, 'live service')} {verb} dark", f"{names}{more}.{todo}"))
    cuts = [chip.text for chip in reading.chips if chip.label == "first"]
    found += [Cost("note", text, "The cut comes first; the other side becomes stubs.") for text in cuts]
    for gauge in reading.gauges:
        state = "fine" if gauge.after <= gauge.limit else "warning"
        found.append(Cost(state, gauge.title, f"{gauge.after} of {gauge.limit}, was {gauge.before}"))
    return found


class PreviewModel(RowsModel[PreviewRow]):
    """The rows for the table."""

    def __init__(self) -> None:
        super().__init__(HEADS)
        self.skin = Skin()

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words, swatches, and the ground of a row that darkens somebody."""
        row = self.rows[index.row()]
        cells = (row.slot, row.a, row.b, f"{row.planned_db:.2f}", "LIVE" if row.dark else row.state)
        if role == Qt.ItemDataRole.DisplayRole:
            return cells[index.column()]
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return row.words
        if role == Qt.ItemDataRole.DecorationRole and index.column() in (1, 2):
            look = row.looks[index.column() - 1]
            return self._swatch(look) if look is not None else None
        if role == Qt.ItemDataRole.BackgroundRole and row.dark:
            return QColor(self.skin.tokens.warning)
        if role == Qt.ItemDataRole.ForegroundRole and row.dark:
            return QColor(self.skin.tokens.on_warning)
        if role == Qt.ItemDataRole.FontRole:
            return self.skin.font(LABEL)
        return None

    def _swatch(self, look: GlassLook) -> QIcon:
        size = self.skin.px(12)
        made = QPixmap(size, size)
        made.fill(QColor(self.skin.tokens.ink))
        painter = QPainter(made)
        painter.fillRect(1, 1, size - 2, size - 2, QColor(look.fill))
        painter.end()
        return QIcon(made)

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Heads of the columns, at the left."""
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return super().headerData(section, orientation, role)


class CostRow(QWidget):
    """A mark, a bold line and a plain one."""

    def __init__(self, cost: Cost, skin: Skin) -> None:
        super().__init__()
        self.cost = cost
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self.mark = Painted(22, 22, lambda painter, rect, skin: paint_mark(painter, rect, cost.state, skin.tokens))
        row.addWidget(self.mark, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(1)
        self.head, self.text = Words(cost.head, bold=True), Words(cost.text, LABEL, tone="ink2")
        for words in (self.head, self.text):
            words.setWordWrap(True)
            column.addWidget(words)
        row.addLayout(column, 1)
        self.set_skin(skin)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        for part in (self.mark, self.head, self.text):
            part.set_skin(skin)


class LinePreview(QScrollArea):
    """The panel; ``outage_asked`` when somebody wants to name an outage. It scrolls where the dock is low."""

    outage_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("linePreview")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside = QWidget()
        inside.setObjectName("linePreviewBody")
        self.setAccessibleName("Rows this line makes")
        self.skin = Skin()
        self.model = PreviewModel()
        self.title, self.count = Words("Rows this line makes", TITLE, bold=True), Words("", LABEL, tone="ink2")
        self.before = Words("Before you press Enter", TITLE, bold=True)
        self.table = QTableView()
        self.table.setObjectName("previewTable")
        self.table.setAccessibleName("Rows this line makes")
        self.table.setModel(self.model)
        self.table.setFrameShape(QFrame.Shape.NoFrame)
        self.table.setShowGrid(False)
        self.table.verticalHeader().hide()
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.table.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        head = self.table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setStretchLastSection(True)
        self.table.setMinimumHeight(120)
        self.outage = button("Name an outage  Alt+O", name="nameOutage", about="Puts the word outage into the Line")
        self.outage.clicked.connect(lambda: self.outage_asked.emit())
        self.rows: list[CostRow] = []
        self.list = QVBoxLayout()
        self.list.setSpacing(8)
        top = QHBoxLayout()
        top.addWidget(self.title)
        top.addStretch(1)
        top.addWidget(self.count)
        column = QVBoxLayout(inside)
        column.setContentsMargins(16, 14, 16, 12)
        column.addLayout(top)
        column.addWidget(self.table, 1)
        column.addWidget(self.before)
        column.addLayout(self.list)
        column.addWidget(self.outage)
        self.setWidget(inside)

    @property
    def shown(self) -> list[Cost]:
        """The costs in sight, top down."""
        return [row.cost for row in self.rows]

    def show_line(self, reading: Reading, rows: Sequence[PreviewRow]) -> None:
        """Show what a line makes and costs."""
        self.model.show_rows(rows)
        self.count.setText(str(len(rows)))
        self.table.setVisible(bool(rows))
        self.title.setText("Rows this line makes" if rows else "This line makes no joint")
        found = costs(reading)
        if found != self.shown:
            for row in self.rows:
                self.list.removeWidget(row)
                row.hide()
                row.deleteLater()
            self.rows = [CostRow(cost, self.skin) for cost in found]
            for row in self.rows:
                self.list.addWidget(row)
        self.before.setVisible(bool(found))
        self.outage.setVisible(bool(reading.holds))
        self.setAccessibleDescription("; ".join(f"{cost.head}: {cost.text}" for cost in found))

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = self.skin = self.model.skin = Skin(tokens, large)
        ground = f"background: {tokens.panel}; border: none;"
        self.setStyleSheet(f"QScrollArea {{ {ground} }} QWidget#linePreviewBody {{ {ground} }}")
        for words in (self.title, self.count, self.before):
            words.set_skin(skin)
        for row in self.rows:
            row.set_skin(skin)
        self.table.verticalHeader().setDefaultSectionSize(skin.px(26))
        self.table.viewport().update()
