"""The bends of a route as a table: name, radius, bar with the limit's tick, mark. Radii in millimetres.

The bar runs to twice the limit, so that the tick stands in the middle and a shortfall is seen at once.
"""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
)

from gui.marks import paint_gauge, paint_mark
from gui.panels.detail_types import BendRow
from gui.panels.skin import BODY, Skin

Index = QModelIndex | QPersistentModelIndex
BEND_ROLE = Qt.ItemDataRole.UserRole + 1
NOWHERE = QModelIndex()
NAME, RADIUS, BAR, MARK = range(4)
HEADS = ("Bend", "Radius", "Against limit", "State")
SPAN = 2.0


class BendModel(QAbstractTableModel):
    """Bends, one a row."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.bends: tuple[BendRow, ...] = ()

    def show_bends(self, bends: tuple[BendRow, ...]) -> None:
        """Show these; rows that only change their numbers stay current."""
        if [bend.support for bend in bends] == [bend.support for bend in self.bends]:
            self.bends = bends
            if bends:
                self.dataChanged.emit(self.index(0, 0), self.index(len(bends) - 1, MARK))
            return
        self.beginResetModel()
        self.bends = bends
        self.endResetModel()

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """Number of bends."""
        return 0 if parent.isValid() else len(self.bends)

    def columnCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """Name, radius, bar, mark."""
        return 0 if parent.isValid() else 4

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Column names, for a screen reader: the header itself is hidden."""
        if role == Qt.ItemDataRole.DisplayRole and orientation == Qt.Orientation.Horizontal:
            return HEADS[section]
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Words of a cell, or the bend."""
        if not index.isValid() or index.row() >= len(self.bends):
            return None
        bend = self.bends[index.row()]
        if role == BEND_ROLE:
            return bend
        if role == Qt.ItemDataRole.DisplayRole:
            radius = "kink" if bend.radius_mm == 0 else f"{bend.radius_mm:.1f}"
            return (bend.name, radius, "", "")[index.column()]
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return bend.words
        return None


class BendDelegate(QStyledItemDelegate):
    """Paints the cells."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.skin = Skin()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """A row of the list."""
        return QSize(40, self.skin.row)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one cell of a bend."""
        bend: BendRow = index.data(BEND_ROLE)
        rect: QRect = option.rect
        tokens, skin = self.skin.tokens, self.skin
        bad = bend.state == "error"
        painter.save()
        selected = bool(option.state & QStyle.StateFlag.State_Selected)
        if bad:
            painter.fillRect(rect, QColor(tokens.error_tint))
        elif selected:
            painter.fillRect(rect, QColor(tokens.tint))
        if selected and index.column() == NAME:
            painter.fillRect(QRect(rect.left(), rect.top(), 4, rect.height()), QColor(tokens.accent))
        box = QRectF(rect)
        if index.column() in (NAME, RADIUS):
            painter.setFont(skin.font(BODY, bold=bad))
            painter.setPen(QColor(tokens.ink))
            side = Qt.AlignmentFlag.AlignLeft if index.column() == NAME else Qt.AlignmentFlag.AlignRight
            measure = skin.metrics(BODY, bold=bad)
            inner = box.adjusted(8, 0, -8, 0)
            text = measure.elidedText(str(index.data()), Qt.TextElideMode.ElideRight, inner.width())
            painter.drawText(inner, side | Qt.AlignmentFlag.AlignVCenter, text)
        elif index.column() == BAR and bend.limit_mm:
            high = skin.px(7)
            bar = QRectF(box.left() + 8, box.center().y() - high / 2, box.width() - 16, high)
            share = bend.radius_mm / (bend.limit_mm * SPAN)
            paint_gauge(painter, bar, share, 1 / SPAN, bend.state, tokens)
        elif index.column() == MARK:
            size = skin.px(18)
            place = QRectF(box.center().x() - size / 2, box.center().y() - size / 2, size, size)
            paint_mark(painter, place, bend.state, tokens)
        painter.restore()


class BendTable(QTableView):
    """As high as its rows: the panel scrolls, not the table."""

    def __init__(self) -> None:
        super().__init__()
        self.bends = BendModel(self)
        self.painter = BendDelegate(self)
        self.setObjectName("bendTable")
        self.setAccessibleName("Bends")
        self.setModel(self.bends)
        self.setItemDelegate(self.painter)
        self.horizontalHeader().hide()
        self.verticalHeader().hide()
        self.setShowGrid(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.horizontalHeader().setMinimumSectionSize(10)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.horizontalHeader().setSectionResizeMode(BAR, QHeaderView.ResizeMode.Stretch)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self.painter.skin = skin
        measure = skin.metrics(BODY, bold=True)
        self.setColumnWidth(NAME, round(measure.horizontalAdvance("Tray entry")) + 18)
        self.setColumnWidth(RADIUS, round(measure.horizontalAdvance("1235.6")) + 18)
        self.setColumnWidth(MARK, skin.px(18) + 18)
        self.verticalHeader().setDefaultSectionSize(skin.row)
        self.fit()
        self.viewport().update()

    def show_bends(self, bends: tuple[BendRow, ...]) -> None:
        """Show these bends at their full height."""
        self.bends.show_bends(bends)
        self.fit()

    def fit(self) -> None:
        """Be as high as the rows."""
        rows = self.bends.rowCount()
        self.setFixedHeight(max(rows * self.painter.skin.row, 1) + 2)
        self.setVisible(rows > 0)
