"""The rail of trays at the left of the Trays view: each with its name, how full it is, and what else lies on it.

A list like any other: a click or the arrows show a tray. Dragged onto another, or with Alt and an arrow, two trays
change places. It knows trays by id and nothing of the canvas, and makes no edit.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QKeyEvent, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from gui.panels.skin import Skin, focus_ring
from gui.theme import DAY, LABEL, Tokens
from model.layout import tray_load
from model.lookup import enclosure_at, trays_of
from model.plant import Plant

Index = QModelIndex | QPersistentModelIndex
WIDE, NARROW, HIGH = 168, 92, 72
START_PX = 4
"""A press that moves less than this many pixels is a click."""


@dataclass(frozen=True, slots=True)
class TrayRow:
    """One tray: joints of the most it holds (sleeves, where one holds a ribbon), and uncut and dark fibres beside."""

    tray: str
    name: str
    joints: int
    most: int
    loops: int
    stubs: int
    kept: int = 0

    @property
    def count(self) -> str:
        """``4 of 24``."""
        return f"{self.joints} of {self.most}"

    @property
    def rest(self) -> str:
        """``8 uncut, 4 stubs``; empty where nothing else lies there."""
        uncut = f"{self.loops} uncut" if self.loops else ""
        stubs = f"{self.stubs} stub{'s' * (self.stubs != 1)}" if self.stubs else ""
        kept = f"keep {self.kept}" if self.kept else ""
        return ", ".join(filter(None, (uncut, stubs, kept)))

    @property
    def words(self) -> str:
        """What is read out."""
        return ", ".join(filter(None, (f"Tray {self.name}", f"joints {self.count}", self.rest)))


def tray_rows(plant: Plant, site: str | None) -> list[TrayRow]:
    """The trays of the enclosure at a site, by position; none where there is no enclosure."""
    enclosure = enclosure_at(plant, site) if site is not None else None
    if enclosure is None:
        return []
    loads = [tray_load(plant, tray) for tray in trays_of(plant, enclosure.id)]
    return [
        TrayRow(
            load.tray.id,
            load.tray.name,
            load.sleeves,
            load.most,
            load.loops,
            load.stubs,
            load.tray.reserve,
        )
        for load in loads
    ]


class TrayModel(QAbstractListModel):
    """Trays for the list."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[TrayRow] = []

    def show_rows(self, rows: list[TrayRow]) -> None:
        """Show other trays, or the same with other contents."""
        if [row.tray for row in rows] == [row.tray for row in self.rows]:
            self.rows = rows
            if rows:
                self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))
            return
        self.beginResetModel()
        self.rows = rows
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: N802, B008  # Qt's name and default
        """How many trays."""
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words of a row."""
        row = self.rows[index.row()]
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return row.words
        return row if role == Qt.ItemDataRole.UserRole else None


class TrayDelegate(QStyledItemDelegate):
    """Paints a tray: name and count, a bar of how full it is, and the rest."""

    def __init__(self, view: QListView) -> None:
        super().__init__(view)
        self.view = view
        self.skin = Skin()
        self.narrow = False
        self.target: str | None = None
        """The tray under one that is dragged."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """Height of a row; above what a finger needs."""
        return QSize(self.skin.px(NARROW if self.narrow else WIDE) - 2, self.skin.px(HIGH))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint."""
        row: TrayRow = index.data(Qt.ItemDataRole.UserRole)
        skin, rect = self.skin, QRectF(option.rect)
        tokens, px = skin.tokens, skin.px
        chosen = index == self.view.currentIndex()
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(rect, QColor(tokens.tint if chosen else tokens.panel))
        if chosen:
            painter.fillRect(QRectF(rect.x(), rect.y(), 4, rect.height()), QColor(tokens.accent))
        inner = rect.adjusted(px(14), px(8), -px(12), -px(6))
        line = QRectF(inner.x(), inner.y(), inner.width(), px(20))
        painter.setPen(QColor(tokens.ink))
        painter.setFont(skin.font(bold=True))
        count = 0 if self.narrow else skin.metrics(LABEL).horizontalAdvance(row.count) + 8
        name = painter.fontMetrics().elidedText(
            f"Tray {row.name}", Qt.TextElideMode.ElideRight, int(inner.width() - count)
        )
        painter.drawText(line, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, name)
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink if chosen else tokens.ink2))
        if not self.narrow:
            painter.drawText(line, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, row.count)
        bar = QRectF(inner.x(), line.bottom() + px(5), inner.width(), px(8))
        painter.setPen(QColor(tokens.ink2))
        painter.setBrush(QColor(tokens.raised))
        painter.drawRect(bar)
        share = min(row.joints / row.most, 1.0) if row.most else 0.0
        painter.fillRect(bar.adjusted(1, 1, -1 - (bar.width() - 2) * (1 - share), -1), QColor(tokens.ink2))
        if row.kept and row.most:
            at = bar.left() + bar.width() * max(row.most - row.kept, 0) / row.most
            painter.fillRect(QRectF(at - 1, bar.top() - 3, 2, bar.height() + 6), QColor(tokens.ink))
        under = QRectF(inner.x(), bar.bottom() + px(2), inner.width(), px(20))
        said = row.count if self.narrow else row.rest
        if row.tray == self.target:
            said = "change places"
            painter.setPen(QPen(QColor(tokens.accent), 2, Qt.PenStyle.DashLine))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(rect.adjusted(2, 2, -2, -2), 5, 5)
            painter.setPen(QColor(tokens.ink))
        painter.drawText(under, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, said)
        if chosen and option.state & QStyle.StateFlag.State_HasFocus:
            focus_ring(painter, rect, tokens)
        painter.restore()


class TrayRail(QListView):
    """All trays of the enclosure in sight; ``picked`` carries the id of the one chosen.

    ``swapped`` carries the ids of two that shall change places, ``asked_here`` one with a point of the screen.
    """

    picked = Signal(str)
    swapped = Signal(str, str)
    asked_here = Signal(str, QPoint)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("trayRail")
        self.setAccessibleName("Trays here")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.trays = TrayModel()
        self.setModel(self.trays)
        self.painter_ = TrayDelegate(self)
        self.setItemDelegate(self.painter_)
        self.setFixedWidth(WIDE)
        self._filling = False
        self._press: QPoint | None = None
        self._dragged: str | None = None
        self.selectionModel().currentChanged.connect(self._current)

    def show_trays(self, rows: list[TrayRow], shown: str | None) -> None:
        """Show these trays, the one in sight chosen."""
        self._filling = True
        self.trays.show_rows(rows)
        self.setVisible(bool(rows))
        for number, row in enumerate(rows):
            if row.tray == shown:
                self.setCurrentIndex(self.trays.index(number))
                self.setAccessibleDescription(row.words)
        self._filling = False
        self.viewport().update()

    def _current(self, now: QModelIndex, before: QModelIndex) -> None:
        self.viewport().update()
        if now.isValid() and not self._filling:
            self.picked.emit(self.trays.rows[now.row()].tray)

    # -- changing places -----------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Choose a tray; it may be dragged from here."""
        point = event.position().toPoint()
        if event.button() == Qt.MouseButton.RightButton:
            self.put_back()
        elif event.button() == Qt.MouseButton.LeftButton:
            self._press = point
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Carry a tray over the others; the one under the pointer says what letting go would do."""
        point = event.position().toPoint()
        if not event.buttons() & Qt.MouseButton.LeftButton:
            self.put_back()
            return
        if self._dragged is None and self._press is not None and (point - self._press).manhattanLength() >= START_PX:
            index = self.indexAt(self._press)
            self._dragged = self.trays.rows[index.row()].tray if index.isValid() else None
        if self._dragged is not None:
            index = self.indexAt(point)
            under = self.trays.rows[index.row()].tray if index.isValid() else None
            self._aim(under if under != self._dragged else None)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Let the two trays change places, if it was carried onto another."""
        dragged, target = self._dragged, self.painter_.target
        self.put_back()
        super().mouseReleaseEvent(event)
        if dragged is not None and target is not None:
            self.swapped.emit(dragged, target)

    def put_back(self) -> bool:
        """Nothing is carried any more; False when nothing was."""
        held = self._dragged is not None
        self._press = self._dragged = None
        self._aim(None)
        return held

    def _aim(self, target: str | None) -> None:
        if target != self.painter_.target:
            self.painter_.target = target
            self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Alt with an arrow lets a tray change places with its neighbour; Esc puts a carried one back."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
        if event.key() == Qt.Key.Key_Escape and self.put_back():
            return
        if step is not None and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            row = self.currentIndex().row()
            if row >= 0 and 0 <= row + step < len(self.trays.rows):
                self.swapped.emit(self.trays.rows[row].tray, self.trays.rows[row + step].tray)
            return
        super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802  # Qt's name
        """What can be done with a tray."""
        tray = self.tray_at(event.globalPos())
        if tray is not None:
            self.asked_here.emit(tray, event.globalPos())

    def tray_at(self, point: QPoint) -> str | None:
        """The tray under a point of the screen; None beside the rail."""
        if not self.isVisible():
            return None
        place = self.viewport().mapFromGlobal(point)
        index = self.indexAt(place) if self.viewport().rect().contains(place) else QModelIndex()
        return self.trays.rows[index.row()].tray if index.isValid() else None

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.painter_.skin = Skin(tokens, large)
        self._widen()

    def set_narrow(self, narrow: bool) -> None:
        """Leave out what else lies on the trays where the picture needs the room."""
        if narrow != self.painter_.narrow:
            self.painter_.narrow = narrow
            self._widen()

    def _widen(self) -> None:
        self.setFixedWidth(self.painter_.skin.px(NARROW if self.painter_.narrow else WIDE))
        self.scheduleDelayedItemsLayout()
        self.viewport().update()
