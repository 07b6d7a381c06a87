"""The lists of a place in the window: any of the tables that go to spreadsheets, in place of the canvas until Esc.

Nothing is typed here: the rows follow the plant. What is picked is copied as text that a spreadsheet takes.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QTableView, QVBoxLayout, QWidget

from gui.theme import DAY, Tokens
from render.tables import Table, Value, inert, values

Index = QModelIndex | QPersistentModelIndex


def as_text(table: Table, picked: Sequence[int] | None = None) -> str:
    """Rows of a table, or all of them, as lines of cells with tabs between, the headings first."""
    rows = values(table)
    chosen = range(len(rows)) if picked is None else picked
    lines = [table.columns, *([_cell(value) for value in rows[index]] for index in chosen)]
    return "\n".join("\t".join(cell.replace("\t", " ").replace("\n", " ") for cell in line) for line in lines)


def _cell(value: Value) -> str:
    return "" if value is None else inert(value) if isinstance(value, str) else f"{value:g}"


class TableModel(QAbstractTableModel):
    """One table; numbers stand to the right with the decimals of their column."""

    def __init__(self) -> None:
        super().__init__()
        self.table: Table | None = None

    def show_table(self, table: Table) -> None:
        """Show another table, or the same with other rows."""
        self.beginResetModel()
        self.table = table
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """Rows of the table."""
        return 0 if parent.isValid() or self.table is None else len(self.table.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """Columns of the table."""
        return 0 if parent.isValid() or self.table is None else len(self.table.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """A cell: its words, or a number with its decimals."""
        if self.table is None or not index.isValid():
            return None
        value = self.table.rows[index.row()][index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            if value is None or isinstance(value, str):
                return value or ""
            return f"{value:.{self.table.digits[index.column()]}f}"
        if role == Qt.ItemDataRole.TextAlignmentRole and not isinstance(value, str):
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Heading of a column; number of a row."""
        if role != Qt.ItemDataRole.DisplayRole or self.table is None:
            return None
        return self.table.columns[section] if orientation == Qt.Orientation.Horizontal else str(section + 1)


class ListsPage(QWidget):
    """The page; ``left`` when a person wants back, ``told`` with words for the notice."""

    left = Signal()
    told = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("listsPage")
        self.setAccessibleName("Lists")
        self.tables: list[Table] = []
        self.heading = QLabel()
        self.heading.setObjectName("listsHeading")
        self.picker = QComboBox()
        self.picker.setObjectName("listPicker")
        self.picker.setAccessibleName("Which list")
        self.picker.setMinimumWidth(280)
        self.picker.currentIndexChanged.connect(self._show)
        self.copy_button = QPushButton("Copy as text")
        self.copy_button.setObjectName("listCopy")
        self.copy_button.setAccessibleName("Copy the picked rows, or all, as text for a spreadsheet")
        self.copy_button.clicked.connect(self.copy)
        self.model = TableModel()
        self.view = QTableView()
        self.view.setObjectName("listTable")
        self.view.setModel(self.model)
        self.view.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        self.view.setWordWrap(False)
        self.view.setAlternatingRowColors(True)
        self.view.setCornerButtonEnabled(False)
        self.view.verticalHeader().hide()  # the lists number their own rows where rows have numbers
        self.view.verticalHeader().setDefaultSectionSize(28)
        self.view.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.empty = QLabel("Nothing in this list yet")
        self.empty.setObjectName("listEmpty")
        row = QHBoxLayout()
        row.addWidget(self.heading)
        row.addStretch(1)
        row.addWidget(self.picker)
        row.addWidget(self.copy_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 16, 24, 16)
        column.setSpacing(12)
        column.addLayout(row)
        column.addWidget(self.empty)
        column.addWidget(self.view, 1)
        self.setFocusProxy(self.picker)
        self.set_tokens()

    def show_tables(self, place: str, tables: list[Table]) -> None:
        """Show the lists of a place; the list in sight stays."""
        name = self.picker.currentData()
        self.tables = tables
        self.heading.setText(f"Lists of {place}")
        self.picker.blockSignals(True)
        self.picker.clear()
        for table in tables:
            count = len(table.rows)
            self.picker.addItem(f"{table.title}, {count} {'row' if count == 1 else 'rows'}", table.name)
        found = self.picker.findData(name) if name else 0
        self.picker.setCurrentIndex(max(found, 0))
        self.picker.blockSignals(False)
        self._show(self.picker.currentIndex())

    def _show(self, index: int) -> None:
        if not 0 <= index < len(self.tables):
            return
        table = self.tables[index]
        self.model.show_table(table)
        self.view.setAccessibleName(table.title)
        self.empty.setVisible(not table.rows)
        self.view.resizeColumnsToContents()
        for column in range(len(table.columns)):
            self.view.setColumnWidth(column, min(self.view.columnWidth(column) + 8, 320))

    def copy(self) -> None:
        """Copy the picked rows, or all when none is picked, with the headings."""
        table = self.model.table
        if table is None:
            return
        picked = sorted(index.row() for index in self.view.selectionModel().selectedRows())
        QGuiApplication.clipboard().setText(as_text(table, picked or None))
        count = len(picked) or len(table.rows)
        self.told.emit(
            f"{count} {'row' if count == 1 else 'rows'} of {table.title} copied, to be pasted in a spreadsheet"
        )

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        size = 19 if large else 14
        self.view.verticalHeader().setDefaultSectionSize(38 if large else 28)
        self.setStyleSheet(
            f"#listsPage {{ background: {tokens.paper}; }}"
            f" #listsHeading {{ font-size: {size + 2}px; font-weight: bold; }} "
            f"#listTable {{ background: {tokens.raised}; alternate-background-color: {tokens.panel};"
            f" gridline-color: {tokens.line}; font-size: {size}px; }} #listEmpty {{ color: {tokens.ink2}; }}"
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc leaves; Ctrl+C copies."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        else:
            super().keyPressEvent(event)
