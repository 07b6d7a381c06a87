"""Findings as a list model: those of one place or of the whole plant, gravest first, with what a drag adds as live.

A refresh keeps rows that are still there, so that the current finding, and a reason being typed, are not lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from gui.marks import WORDS
from model.history import Edit
from model.rules.registry import Finding

Index = QModelIndex | QPersistentModelIndex
ROW_ROLE = Qt.ItemDataRole.UserRole + 1
NOWHERE = QModelIndex()


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding as shown: its title in words, and whether only a drag in hand makes it."""

    finding: Finding
    title: str
    live: bool = False

    @property
    def key(self) -> tuple[str, str, tuple[str, ...]]:
        """What makes it the same finding after an edit."""
        return self.finding.site, self.finding.rule, self.finding.refs


def title_of(rule: str, titles: Mapping[str, str]) -> str:
    """A rule's title; an unknown rule's own name with its dots as spaces."""
    return titles.get(rule) or rule.replace(".", " ").replace("-", " ").replace("_", " ").capitalize()


def cure_words(cure: Sequence[Edit]) -> str:
    """What a cure does, as its button says."""
    words = ", then ".join(dict.fromkeys(edit.name for edit in cure))
    return words[:1].upper() + words[1:]


class FindingsModel(QAbstractListModel):
    """Rows of findings; ``ROW_ROLE`` gives the whole row."""

    def __init__(self, titles: Mapping[str, str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._titles = titles
        self.rows: list[FindingRow] = []

    def show_findings(self, findings: Iterable[Finding], live: Iterable[Finding] = ()) -> None:
        """Show these, ``live`` ones first among their kind and marked."""
        order = {"error": 0, "warning": 1, "note": 2}
        rows = [FindingRow(finding, title_of(finding.rule, self._titles), True) for finding in live]
        moving = {row.key for row in rows}
        rows += [
            row
            for row in (FindingRow(finding, title_of(finding.rule, self._titles)) for finding in findings)
            if row.key not in moving
        ]
        rows.sort(key=lambda row: (row.finding.accepted, order[row.finding.severity], not row.live))
        if [row.key for row in rows] == [row.key for row in self.rows]:
            for number, row in enumerate(rows):
                if row != self.rows[number]:
                    self.rows[number] = row
                    self.dataChanged.emit(self.index(number), self.index(number))
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def row_of(self, key: tuple[str, str, tuple[str, ...]]) -> int:
        """Row of a finding, -1 when it is gone."""
        return next((number for number, row in enumerate(self.rows) if row.key == key), -1)

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """Number of findings."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """The row, or its words for a screen reader."""
        if not index.isValid() or index.row() >= len(self.rows):
            return None
        row = self.rows[index.row()]
        if role == ROW_ROLE:
            return row
        if role == Qt.ItemDataRole.DisplayRole:
            return row.title
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            words = [WORDS[row.finding.severity], row.title, row.finding.message]
            words += ["accepted"] if row.finding.accepted else []
            words += ["live"] if row.live else []
            words += [f"cure: {cure_words(row.finding.cures[0])}"] if row.finding.cures else []
            return ", ".join(words)
        return None
