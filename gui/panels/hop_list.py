"""The hops of a light path as a list, from the exchange outward, each with where it is and the loss so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import QFrame, QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gui.panels.plain_rows import PlainRows
from gui.panels.skin import BODY, LABEL, Skin, focus_ring
from gui.theme import DAY, Tokens
from render.hops import Hop, PathDescription, hop_words
from render.hopwords import tray_words

HIGH = 44
ROW = Qt.ItemDataRole.UserRole
WAVE_NM = 1310
KINDS = {"pair": "Mated pair", "plug": "Plug", "pigtail": "Pigtail splice", "splice": "Splice"}


@dataclass(frozen=True, slots=True)
class HopRow:
    """One hop: what it is, what more there is to say, the running loss at 1310 nm, and its ref."""

    title: str
    second: str
    loss: str
    ref: str

    @property
    def words(self) -> str:
        """What is read out."""
        return ", ".join(filter(None, (self.title, self.second, self.loss)))


def hop_rows(path: PathDescription) -> list[HopRow]:
    """The rows of a path, from its exchange end outward."""
    return [_row(hop) for hop in reversed(path.hops)]


def _row(hop: Hop) -> HopRow:
    at_db = hop.at_db.get(WAVE_NM)
    loss = f"{at_db:.2f} dB" if at_db is not None else ""
    if hop.kind == "glass":
        length = f"{hop.length_m:.0f} m" if hop.length_m is not None else ""
        colours = f"T{hop.tube} {hop.tube_colour}, {hop.fibre_colour}" if hop.tube else ""
        words = " \u00b7 ".join(filter(None, (length, f"{hop.to} to {hop.site}", colours)))
        return HopRow(hop_words(hop), words, loss, hop.ref)
    slot = f"slot {hop.slot}" if hop.slot is not None else ""
    port = f"{hop.panel} {hop.port}" if hop.port is not None else ""
    parts = (hop.site, port, tray_words(hop.tray) if hop.tray else "", slot, hop.ways)
    return HopRow(KINDS.get(hop.kind, hop.splitter or hop.kind), ", ".join(filter(None, parts)), loss, hop.ref)


class _Delegate(QStyledItemDelegate):
    def __init__(self, view: HopList) -> None:
        super().__init__(view)
        self.view = view

    def sizeHint(  # noqa: N802  # Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Two lines."""
        return QSize(40, self.view.skin.px(HIGH))

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Paint a hop."""
        row: HopRow = index.data(ROW)
        skin, tokens = self.view.skin, self.view.skin.tokens
        rect, px = QRectF(option.rect), skin.px
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.fillRect(rect, QColor(tokens.tint if chosen else tokens.panel))
        if chosen:
            painter.fillRect(QRectF(rect.x(), rect.y(), 4, rect.height()), QColor(tokens.accent))
        inner = rect.adjusted(px(14), px(3), -px(12), -px(3))
        half = inner.height() / 2
        painter.setFont(skin.font(LABEL, fixed=True))
        painter.setPen(QColor(tokens.ink))
        wide = painter.fontMetrics().horizontalAdvance(row.loss) + 8
        middle = Qt.AlignmentFlag.AlignVCenter
        painter.drawText(
            QRectF(inner.x(), inner.y(), inner.width(), half), Qt.AlignmentFlag.AlignRight | middle, row.loss
        )
        for text, top, size, room, colour in (
            (row.title, inner.y(), BODY, inner.width() - wide, tokens.ink),
            (row.second, inner.y() + half, LABEL, inner.width(), tokens.ink if chosen else tokens.ink2),
        ):
            painter.setFont(skin.font(size))
            painter.setPen(QColor(colour))
            words = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, int(room))
            painter.drawText(QRectF(inner.x(), top, room, half), Qt.AlignmentFlag.AlignLeft | middle, words)
        if index == self.view.currentIndex() and self.view.hasFocus():
            focus_ring(painter, rect, tokens)
        painter.restore()


class HopList(QListView):
    """The list; ``picked`` carries the ref of the hop chosen by hand."""

    picked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("hopList")
        self.setAccessibleName("Hops of the path")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.skin = Skin()
        self.hops: PlainRows[HopRow] = PlainRows()
        self.setModel(self.hops)
        self.setItemDelegate(_Delegate(self))
        self.activated.connect(self._pick)
        self.clicked.connect(self._pick)

    @property
    def rows(self) -> tuple[HopRow, ...]:
        """The hops shown."""
        return self.hops.rows

    def show_rows(self, rows: Sequence[HopRow]) -> None:
        """Show the hops of a path; the same ones are left alone."""
        if tuple(rows) != self.rows:
            self.hops.show_rows(rows)

    def _pick(self, index: QModelIndex) -> None:
        row = self.rows[index.row()]
        if row.ref:
            self.picked.emit(row.ref)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self.scheduleDelayedItemsLayout()
        self.viewport().update()
