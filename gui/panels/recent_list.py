"""Plants opened lately, and what can be brought back after a crash, as the start page shows them. Plain data in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QAbstractItemView, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gui.marks import State, paint_mark
from gui.panels.skin import BODY, LABEL, Skin, focus_ring

Index = QModelIndex | QPersistentModelIndex
ENTRY_ROLE = Qt.ItemDataRole.UserRole + 1
NOWHERE = QModelIndex()
COUNTED: tuple[State, ...] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class RecentEntry:
    """A plant opened lately. ``counts`` are its errors, warnings and notes when it was last seen, if known."""

    path: str
    name: str
    second: str = ""
    when: str = ""
    counts: tuple[int, int, int] | None = None
    missing: bool = False
    read_only: bool = False

    @property
    def words(self) -> str:
        """As a screen reader says it."""
        parts = [self.name, self.second, self.when]
        if self.counts is not None:
            parts += [f"{n} {what}s" for n, what in zip(self.counts, COUNTED, strict=True) if n]
        parts += ["read only"] if self.read_only else []
        parts += ["not found where it was: Enter looks for it"] if self.missing else []
        return ", ".join(part for part in parts if part)


class RecentModel(QAbstractListModel):
    """Entries, the latest first."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.entries: tuple[RecentEntry, ...] = ()

    def show_entries(self, entries: Sequence[RecentEntry]) -> None:
        """Show these."""
        self.beginResetModel()
        self.entries = tuple(entries)
        self.endResetModel()

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802  # Qt's name
        """Number of plants."""
        return 0 if parent.isValid() else len(self.entries)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """The entry, or its words."""
        if not index.isValid() or index.row() >= len(self.entries):
            return None
        entry = self.entries[index.row()]
        if role == ENTRY_ROLE:
            return entry
        if role == Qt.ItemDataRole.DisplayRole:
            return entry.name
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return entry.words
        if role == Qt.ItemDataRole.ToolTipRole:
            return entry.path
        return None


class RecentDelegate(QStyledItemDelegate):
    """Name over second line, marks, date."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.skin = Skin()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """Two lines."""
        return QSize(200, self.skin.px(54))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one plant."""
        entry: RecentEntry = index.data(ENTRY_ROLE)
        rect: QRect = option.rect
        skin, tokens = self.skin, self.skin.tokens
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if option.state & (QStyle.StateFlag.State_MouseOver | QStyle.StateFlag.State_Selected):
            painter.fillRect(rect, QColor(tokens.tint))
        painter.setPen(QPen(QColor(tokens.line), 1))
        painter.drawLine(rect.bottomLeft(), rect.bottomRight())
        box = QRectF(rect).adjusted(8, 4, -8, -4)
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        half = box.height() / 2
        date = skin.metrics(LABEL).horizontalAdvance(entry.when) + 12
        badge_words = "Look for it" if entry.missing else "read only" if entry.read_only else ""
        middle = self._middle_width(entry, badge_words)
        room = box.width() - date - middle - 12
        painter.setFont(skin.font(BODY, bold=True))
        painter.setPen(QColor(tokens.ink2 if entry.missing else tokens.ink))
        name = skin.metrics(BODY, bold=True).elidedText(entry.name, Qt.TextElideMode.ElideMiddle, room)
        painter.drawText(QRectF(box.left(), box.top(), room, half), left, name)
        second = "not found where it was" if entry.missing else entry.second
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink2))
        second = skin.metrics(LABEL).elidedText(second, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(box.left(), box.top() + half, room, half), left, second)
        painter.drawText(QRectF(box.right() - date, box.top(), date, box.height()), right, entry.when)
        at = box.right() - date - middle
        if badge_words:
            place = QRectF(at, box.center().y() - skin.px(14), middle - 8, skin.px(28))
            painter.setPen(QPen(QColor(tokens.ink2), 1))
            painter.setBrush(QColor(tokens.raised))
            radius = 6 if entry.missing else place.height() / 2
            painter.drawRoundedRect(place, radius, radius)
            painter.setPen(QColor(tokens.ink))
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, badge_words)
        elif entry.counts is not None:
            self._paint_counts(painter, QRectF(at, box.top(), middle, box.height()), entry.counts)
        if option.state & QStyle.StateFlag.State_HasFocus:
            focus_ring(painter, QRectF(rect), tokens)
        painter.restore()

    def _middle_width(self, entry: RecentEntry, badge: str) -> float:
        if badge:
            return self.skin.metrics(LABEL).horizontalAdvance(badge) + 36
        shown = [count for count in entry.counts or () if count]
        return len(shown) * (self.skin.px(20) + 5 + self.skin.metrics(LABEL).horizontalAdvance("00") + 10)

    def _paint_counts(self, painter: QPainter, box: QRectF, counts: tuple[int, int, int]) -> None:
        skin, left = self.skin, box.left()
        size = skin.px(20)
        for state, count in zip(COUNTED, counts, strict=True):
            if not count:
                continue
            paint_mark(painter, QRectF(left, box.center().y() - size / 2, size, size), state, skin.tokens)
            painter.setPen(QColor(skin.tokens.ink))
            painter.setFont(skin.font(LABEL))
            wide = skin.metrics(LABEL).horizontalAdvance("00") + 10
            align = Qt.AlignmentFlag.AlignVCenter
            painter.drawText(QRectF(left + size + 5, box.top(), wide, box.height()), align, str(min(count, 99)))
            left += size + 5 + wide


class RecentList(QListView):
    """The list; ``taken`` carries the entry that was clicked or entered."""

    taken = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.recent = RecentModel(self)
        self.painter = RecentDelegate(self)
        self.setObjectName("recentList")
        self.setAccessibleName("Recent plants")
        self.setModel(self.recent)
        self.setItemDelegate(self.painter)
        self.setMouseTracking(True)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.clicked.connect(self._take)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self.painter.skin = skin
        self.setStyleSheet(f"QListView {{ background: {skin.tokens.paper}; border: none; }}")
        self.fit()

    def show_entries(self, entries: Sequence[RecentEntry]) -> None:
        """Show these at full height: the page scrolls, not the list."""
        self.recent.show_entries(entries[:12])
        self.fit()

    def fit(self) -> None:
        """Be as high as the rows."""
        self.setFixedHeight(self.recent.rowCount() * self.painter.skin.px(54) + 2)
        self.scheduleDelayedItemsLayout()

    def _take(self, index: QModelIndex) -> None:
        self.taken.emit(index.data(ENTRY_ROLE))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Enter opens."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self._take(self.currentIndex())
            return
        super().keyPressEvent(event)
