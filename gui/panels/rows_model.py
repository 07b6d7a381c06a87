"""A table model of frozen rows under named columns; what a cell says is left to the table that uses it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

Index = QModelIndex | QPersistentModelIndex
R = TypeVar("R")


class RowsModel(QAbstractTableModel, Generic[R]):
    """Rows in ``rows``, under the names of its columns."""

    def __init__(self, heads: Sequence[str]) -> None:
        super().__init__()
        self.heads = tuple(heads)
        self.rows: Sequence[R] = ()

    def key(self, row: R) -> object:
        """What a row is of; by default itself."""
        return row

    def show_rows(self, rows: Sequence[R]) -> None:
        """Show other rows; where they are of the same things in the same order, the place in the table is kept."""
        if [self.key(row) for row in rows] != [self.key(row) for row in self.rows]:
            self.beginResetModel()
            self.rows = rows
            self.endResetModel()
        elif rows and rows != self.rows:
            self.rows = rows
            self.dataChanged.emit(self.index(0, 0), self.index(len(rows) - 1, len(self.heads) - 1))

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """How many rows."""
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """How many columns."""
        return 0 if parent.isValid() else len(self.heads)

    def headerData(  # noqa: N802  # Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Heads of the columns; the screen reader reads them even where the header is hidden."""
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self.heads[section]
        return None
