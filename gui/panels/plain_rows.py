"""A list model of frozen rows that say their own words: what the lists of the Trace view are made of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt

Index = QModelIndex | QPersistentModelIndex


class Row(Protocol):
    """A row as it is read out."""

    @property
    def words(self) -> str:
        """All of it in one line."""
        ...


R = TypeVar("R", bound=Row)


class PlainRows(QAbstractListModel, Generic[R]):
    """Rows for a list; a delegate takes the row itself as the user's role."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[R, ...] = ()

    def show_rows(self, rows: Sequence[R]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self.rows = tuple(rows)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """How many."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words of a row, or the row."""
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.UserRole:
            return row
        words = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)
        return row.words if role in words else None
