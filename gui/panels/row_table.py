"""The joints of a site as a table: what is uncut is bold, colours of glass stand beside its names. It makes no edit."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QItemSelection, QItemSelectionModel, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon, QPainter, QPixmap, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from gui.panels.joint_rows import JointRow, count_of, fibres_of_bundles
from gui.panels.rows_model import Index, RowsModel
from gui.panels.skin import Skin
from gui.theme import DAY, Tokens

HEADS = ("Slot", "From", "To", "Service", "Status", "Loss dB")
ROOMY = 640
"""From this width on, pixels, no column has to be cut."""


class RowModel(RowsModel[JointRow]):
    """The rows for the table."""

    def __init__(self) -> None:
        super().__init__(HEADS)
        self.skin = Skin()
        self._swatches: dict[str, QIcon] = {}

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """A cell's words; what is uncut is bold, so that it is loud without a colour."""
        row = self.rows[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return row.cells[index.column()]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return row.spoken if index.column() == 0 else row.cells[index.column()]
        if role == Qt.ItemDataRole.DecorationRole and index.column() in (1, 2):
            fill = row.fills[index.column() - 1]
            return self._swatch(fill) if fill else None
        if role == Qt.ItemDataRole.FontRole:
            font: QFont = self.skin.font(bold=row.kind in ("uncut", "loop"))
            font.setItalic(row.kind == "preview")
            return font
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() == len(HEADS) - 1:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _swatch(self, fill: str) -> QIcon:
        """The outlined square of a colour of glass, the same when its row is chosen."""
        key = f"{fill} {self.skin}"
        if key not in self._swatches:
            size = self.skin.px(14)
            made = QPixmap(size, size)
            made.fill(QColor(self.skin.tokens.ink))
            painter = QPainter(made)
            painter.fillRect(1, 1, size - 2, size - 2, QColor(fill))
            painter.end()
            self._swatches[key] = QIcon(made)
            self._swatches[key].addPixmap(made, QIcon.Mode.Selected)
        return self._swatches[key]

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Heads of the columns, each at the side of what stands under it."""
        if role == Qt.ItemDataRole.TextAlignmentRole:
            right = section == len(HEADS) - 1
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        return super().headerData(section, orientation, role)


class EdgeDelegate(QStyledItemDelegate):
    """Paints a chosen row with one accent edge at its left, not one at every cell."""

    def __init__(self, model: RowModel, parent: QWidget) -> None:
        super().__init__(parent)
        self.model_ = model

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a cell."""
        super().paint(painter, option, index)
        if index.column() == 0 and option.state & QStyle.StateFlag.State_Selected:
            edge = option.rect
            edge.setWidth(4)
            painter.fillRect(edge, QColor(self.model_.skin.tokens.accent))


class RowTable(QTableView):
    """The table; ``picked`` carries the refs of the rows chosen by hand."""

    picked = Signal(list)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("rowTable")
        self.setAccessibleName("Joints, row by row")
        self.joints = RowModel()
        self.setModel(self.joints)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.setItemDelegate(EdgeDelegate(self.joints, self))
        self.setStyleSheet("QTableView::item:selected { border-left: none; } QTableView::item { padding: 1px 8px; }")
        self._filling = False
        self.set_tokens()
        self.selectionModel().selectionChanged.connect(self._chosen)

    def show_rows(self, rows: list[JointRow], pick: Iterable[str]) -> None:
        """Show a site's rows with the picked ones chosen."""
        self._filling = True
        self.joints.show_rows(rows)
        self.setAccessibleDescription(count_of(rows).words)
        self._filling = False
        self.show_pick(pick)

    def show_pick(self, refs: Iterable[str]) -> None:
        """Choose the rows of the picked things; a row in sight stays where it is."""
        wanted = set(refs)
        if wanted == set(self.chosen()):
            return
        numbers = [i for i, row in enumerate(self.joints.rows) if row.ref in wanted or row.glass & wanted]
        self._filling = True
        selection = QItemSelection()
        last = len(HEADS) - 1
        for number in numbers:
            selection.select(self.joints.index(number, 0), self.joints.index(number, last))
        self.selectionModel().select(selection, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        if numbers:
            first = self.joints.index(numbers[0], 0)
            self.selectionModel().setCurrentIndex(first, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.scrollTo(first)
        self._filling = False

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Share the width out where there is enough; else every column is as wide as its words, and it scrolls."""
        roomy = self.viewport().width() >= self.joints.skin.px(ROOMY)
        mode = QHeaderView.ResizeMode.Stretch if roomy else QHeaderView.ResizeMode.ResizeToContents
        for column in (1, 2, 3):
            self.horizontalHeader().setSectionResizeMode(column, mode)
        super().resizeEvent(event)

    def chosen(self) -> list[str]:
        """Refs of the chosen rows, top down, bundles fibre by fibre."""
        numbers = sorted({index.row() for index in self.selectionModel().selectedRows()})
        return fibres_of_bundles(ref for n in numbers if (ref := self.joints.rows[n].ref))

    def _chosen(self, selected: QItemSelection, deselected: QItemSelection) -> None:
        if not self._filling:
            self.picked.emit(self.chosen())

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        skin = Skin(tokens, large)
        self.joints.skin = skin
        self.setFont(skin.font())
        self.verticalHeader().setDefaultSectionSize(skin.row)
        self.viewport().update()
