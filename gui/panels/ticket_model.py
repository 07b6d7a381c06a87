"""The services of a plant with what the ticket in hand heard of each: rows for the table, and how a row is painted.

A row has two buttons, Down and Up. Neither pressed is not known. It makes no edit; the table says what was asked.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QTableView

from gui.panels.rows_model import Index, RowsModel
from gui.panels.skin import BODY, LABEL, Skin, focus_ring
from model.entities import Ticket
from model.glass import Piece
from model.graph import Continuity
from model.line.names import natural
from model.tickets import Heard, heard_of
from model.trace import service_node, trace

SERVICE, DOWN, UP = range(3)
HIGH = 44
BUTTON = 48
SAID = {"down": "down", "up": "up", "unknown": "not known"}


@dataclass(frozen=True, slots=True)
class ServiceRow:
    """One service: its name with the customer, where it leaves the cable, what was heard of it."""

    service: str
    title: str
    where: str
    heard: Heard

    @property
    def words(self) -> str:
        """What is read out: ``C5 Elm Court, at K3, fibre 15, down``."""
        return ", ".join(filter(None, (self.title, self.where, SAID[self.heard])))


@dataclass(frozen=True, slots=True)
class Counts:
    """How many services are what."""

    down: int
    up: int
    unknown: int

    @property
    def words(self) -> str:
        """``5 down, 7 up, 0 not known``."""
        return f"{self.down} down, {self.up} up, {self.unknown} not known"


def count_of(rows: list[ServiceRow]) -> Counts:
    """Counts over rows."""
    heard = [row.heard for row in rows]
    return Counts(heard.count("down"), heard.count("up"), heard.count("unknown"))


def service_rows(continuity: Continuity, ticket: Ticket | None) -> list[ServiceRow]:
    """Every service that has not ceased, by name."""
    plant = continuity.plant
    places = continuity.kept(_places, "services", "sites", "ports")
    return [
        ServiceRow(s.id, f"{s.name} {s.customer}".strip(), places.get(s.id, ""), heard_of(ticket, s.id))
        for s in sorted(plant.services.values(), key=lambda s: (natural(s.name), s.id))
        if s.status != "ceased"
    ]


def _places(continuity: Continuity) -> dict[str, str]:
    """Where each service leaves the last cable that is not its own drop, and on which fibre."""
    found: dict[str, str] = {}
    plant = continuity.plant
    for service in plant.services.values():
        node = service_node(continuity, service.id)
        if node not in continuity.graph:
            continue
        pieces = [step.by for step in reversed(trace(continuity, node).steps) if isinstance(step.by, Piece)]
        shared = [p for p in pieces if plant.sites[_far(continuity, p)].kind != "premises"] or pieces
        if shared:
            found[service.id] = f"at {plant.sites[_far(continuity, shared[-1])].name}, fibre {shared[-1].fibre}"
    return found


def _far(continuity: Continuity, piece: Piece) -> str:
    return continuity.plant.cables[piece.cable].stops[piece.last].site


class TicketModel(RowsModel[ServiceRow]):
    """Rows for the table: the service, Down, Up."""

    def __init__(self) -> None:
        super().__init__(("Service", "Down", "Up"))

    def key(self, row: ServiceRow) -> str:
        """Where only what was heard differs, the place in the table is kept."""
        return row.service

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words of a cell; a button says whether it is pressed."""
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.UserRole:
            return row
        if role == Qt.ItemDataRole.DisplayRole:
            return (row.title, "Down", "Up")[index.column()]
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.words
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return (
                row.words if index.column() == SERVICE else f"{'Down' if index.column() == DOWN else 'Up'}, {row.words}"
            )
        return None


class TicketDelegate(QStyledItemDelegate):
    """Paints a row: name over place, and the two buttons, the pressed one told by ground and weight."""

    def __init__(self, view: QTableView) -> None:
        super().__init__(view)
        self.view = view
        self.skin = Skin()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802  # Qt's name
        """Room for two lines."""
        return QSize(self.skin.px(BUTTON), self.skin.px(HIGH))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint a cell."""
        row: ServiceRow = index.data(Qt.ItemDataRole.UserRole)
        tokens, rect = self.skin.tokens, QRectF(option.rect)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(rect, QColor(tokens.tint if chosen else tokens.panel))
        if index.column() == SERVICE:
            self._service(painter, rect, row, chosen)
        else:
            self._button(painter, rect, index.column(), row)
        here = index.row() == self.view.currentIndex().row() and self.view.hasFocus()
        if here and index.column() == SERVICE:
            focus_ring(painter, rect, tokens)
        painter.restore()

    def _service(self, painter: QPainter, rect: QRectF, row: ServiceRow, chosen: bool) -> None:
        skin, px = self.skin, self.skin.px
        if chosen:
            painter.fillRect(QRectF(rect.x(), rect.y(), 4, rect.height()), QColor(skin.tokens.accent))
        inner = rect.adjusted(px(14), px(3), -px(4), -px(3))
        half = inner.height() / 2
        left = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        for text, top, size, bold, colour in (
            (row.title, inner.top(), BODY, row.heard == "down", skin.tokens.ink),
            (row.where or "no path", inner.top() + half, LABEL, False, skin.tokens.ink if chosen else skin.tokens.ink2),
        ):
            painter.setFont(skin.font(size, bold=bold))
            painter.setPen(QColor(colour))
            words = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, int(inner.width()))
            painter.drawText(QRectF(inner.x(), top, inner.width(), half), left, words)

    def _button(self, painter: QPainter, rect: QRectF, column: int, row: ServiceRow) -> None:
        skin, tokens = self.skin, self.skin.tokens
        down, pressed = column == DOWN, row.heard == ("down" if column == DOWN else "up")
        box = rect.adjusted(1, skin.px(5), -1, -skin.px(5))
        ground = tokens.raised if not pressed else tokens.ink if down else tokens.tint
        painter.setPen(QPen(QColor(tokens.ink if pressed else tokens.ink2), 1.6 if pressed else 1.0))
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(box, 5, 5)
        painter.setFont(skin.font(LABEL, bold=pressed))
        painter.setPen(QColor(tokens.paper if pressed and down else tokens.ink if pressed else tokens.ink2))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "Down" if down else "Up")
