"""The templates as cards with a line drawing each: what one begins with, seen before it is read.

Cards are buttons; arrows walk the grid, Enter takes one. Drawings are made in a box of 120 by 70 and scaled.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPainterPath, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from gui.panels.skin import LABEL, TITLE, Skin, focus_ring
from gui.theme import DAY, Tokens


@dataclass(frozen=True, slots=True)
class Template:
    """A card: the template's key, its title, one line about it, and the name of its drawing."""

    key: str
    title: str
    about: str
    drawing: str = "box"


KNOWN = {
    "mid-span": Template("mid-span", "Mid-span", "48 fibres pass a wall box, one drop", "pass"),
    "straight-joint": Template("straight-joint", "Straight joint", "two 96-fibre cables in a dome", "straight"),
    "drop-terminal": Template("drop-terminal", "Drop terminal", "12 fibres, twelve single drops", "drops"),
    "mid-span-small": Template("mid-span-small", "Sample: a tap", "four fibres joined to a drop", "tap"),
    "mid-span-large": Template("mid-span-large", "Sample: ten drops", "one tube cut, ten drops joined", "drops"),
    "straight": Template("straight", "Straight joint", "two cables, end to end", "straight"),
    "cabinet": Template("cabinet", "Cabinet", "feeder, splitters, distribution", "cabinet"),
    "dome": Template("dome", "Dome, several trays", "passing cables and branches", "dome"),
    "pedestal": Template("pedestal", "Pedestal", "looped cable, a few drops", "pedestal"),
}
"""Cards of the templates by key, or by a word their key holds."""


def cards_for(keys: Sequence[str]) -> list[Template]:
    """A card for every template; an unknown one gets its key as title and the plain box."""
    made = []
    for key in keys:
        held = KNOWN.get(key) or next((card for word, card in KNOWN.items() if word in key), None)
        title = key.replace("-", " ").capitalize()
        exact = held is not None and held.key == key
        made.append(
            Template(key, held.title if exact else title, held.about, held.drawing)
            if held
            else Template(key, title, "")
        )
    return made


class Sketch:
    """A pen for the little drawings."""

    def __init__(self, painter: QPainter, tokens: Tokens) -> None:
        self._painter, self._tokens = painter, tokens

    def _pen(self, width: float, dashed: bool = False) -> None:
        pen = QPen(QColor(self._tokens.ink), width)
        if dashed:
            pen.setDashPattern([3, 2])
        self._painter.setPen(pen)

    def line(self, *points: tuple[float, float], width: float = 1.0, dashed: bool = False) -> None:
        """A line through points."""
        self._pen(width, dashed)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.drawPolyline([QPointF(x, y) for x, y in points])

    def box(self, x: float, y: float, w: float, h: float, r: float = 4.0, *, face: str = "") -> None:
        """A rounded box; ``face`` fills it."""
        self._pen(1.0)
        self._painter.setBrush(QColor(face or self._tokens.panel))
        self._painter.drawRoundedRect(QRectF(x, y, w, h), r, r)

    def sleeve(self, x: float, y: float) -> None:
        """A splice sleeve centred at a point."""
        self.box(x - 5, y - 1.8, 10, 3.6, 1.8, face=self._tokens.raised)

    def curve(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """A soft step from one point to another."""
        path = QPainterPath(QPointF(x1, y1))
        middle = (x1 + x2) / 2
        path.cubicTo(middle, y1, middle, y2, x2, y2)
        self._pen(0.8)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.drawPath(path)

    def ring(self, x: float, y: float, r: float) -> None:
        """A coil."""
        self._pen(1.4)
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        self._painter.drawEllipse(QPointF(x, y), r, r)


def _tap(s: Sketch) -> None:
    s.box(26, 18, 68, 30)
    for y in (24, 29, 34):
        s.line((2, y), (118, y), width=2.2)
    s.line((2, 41), (70, 41), (76, 46), (76, 58))
    s.sleeve(56, 41)


def _pass(s: Sketch) -> None:
    s.box(26, 16, 68, 32)
    for y in (21, 26, 31, 36):
        s.line((2, y), (118, y), width=2.2)
    s.line((76, 66), (76, 44), width=1.4)
    s.line((71, 44), (81, 44))


def _drops(s: Sketch) -> None:
    s.box(20, 16, 46, 34)
    s.line((2, 33), (30, 33), width=2.2)
    s.box(30, 28, 22, 10, 2)
    for number in range(6):
        s.curve(52, 33, 118, 12 + number * 8.4)


def _straight(s: Sketch) -> None:
    s.box(26, 18, 68, 30)
    for y in (24, 30, 36, 42):
        s.line((2, y), (118, y))
        s.sleeve(60, y)


def _cabinet(s: Sketch) -> None:
    s.box(34, 10, 52, 46, 2)
    s.line((2, 33), (46, 33), width=1.6)
    for number in range(6):
        s.line((66, 18 + number * 6), (118, 18 + number * 6))
    s.line((46, 33), (66, 14), (66, 52), (46, 33))


def _dome(s: Sketch) -> None:
    s.box(32, 10, 56, 44, 14)
    for y in (20, 27, 34, 41):
        s.box(42, y - 2, 36, 4, 1.5, face="")
    for x in (44, 54, 68, 78):
        s.line((x, 54), (x, 64), width=1.8)


def _pedestal(s: Sketch) -> None:
    s.box(46, 8, 28, 42, 5)
    s.line((2, 58), (118, 58), dashed=True)
    s.line((2, 62), (55, 62), (55, 26), width=1.8)
    s.line((65, 26), (65, 62), (118, 62), width=1.8)
    s.ring(60, 22, 8)


def _box(s: Sketch) -> None:
    s.box(30, 14, 60, 38)
    s.line((2, 33), (118, 33), width=1.6)


DRAWINGS: dict[str, Callable[[Sketch], None]] = {
    "pass": _pass,
    "tap": _tap,
    "drops": _drops,
    "straight": _straight,
    "cabinet": _cabinet,
    "dome": _dome,
    "pedestal": _pedestal,
    "box": _box,
}

ARROWS = (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down)


class Card(QAbstractButton):
    """One template."""

    def __init__(self, template: Template, parent: QWidget) -> None:
        super().__init__(parent)
        self.template = template
        self._skin = Skin()
        self.setObjectName(f"template {template.key}")
        self.setAccessibleName(template.title)
        self.setAccessibleDescription(template.about)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Drawing above, two lines below."""
        return QSize(self._skin.px(230), 110 + self._skin.px(64))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows and Enter belong to the grid: a button would walk the tab order with them."""
        if event.key() in (*ARROWS, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.ignore()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """The drawing, the title, one line."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        skin, tokens = self._skin, self._skin.tokens
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(QColor(tokens.line), 1.2))
        painter.setBrush(QColor(tokens.tint if self.underMouse() else tokens.raised))
        painter.drawRoundedRect(box, 6, 6)
        words = skin.px(58)
        room = QRectF(16, 10, box.width() - 32, box.height() - words - 10)
        scale = min(room.width() / 120, room.height() / 70)
        painter.save()
        painter.translate(room.center().x() - 60 * scale, room.center().y() - 35 * scale)
        painter.scale(scale, scale)
        DRAWINGS.get(self.template.drawing, _box)(Sketch(painter, tokens))
        painter.restore()
        align = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        top = box.bottom() - words
        painter.setFont(skin.font(TITLE, bold=True))
        painter.setPen(QColor(tokens.ink))
        measure = skin.metrics(TITLE, bold=True)
        title = measure.elidedText(self.template.title, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(QRectF(16, top, room.width(), skin.px(24)), align, title)
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink2))
        about = skin.metrics(LABEL).elidedText(self.template.about, Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(QRectF(16, top + skin.px(26), room.width(), skin.px(20)), align, about)
        if self.hasFocus():
            focus_ring(painter, QRectF(self.rect()), tokens, 7)


class TemplateGrid(QWidget):
    """Cards in rows; ``taken`` carries the key of a template."""

    taken = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self.cards: list[Card] = []
        self.columns = 3
        self.setObjectName("templateGrid")
        self.setAccessibleName("Begin with")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_templates(self, templates: Sequence[Template]) -> None:
        """Show these cards."""
        for card in self.cards:
            card.deleteLater()
        self.cards = [Card(template, self) for template in templates]
        for card in self.cards:
            card.set_skin(self._skin)
            card.clicked.connect(lambda _=False, key=card.template.key: self.taken.emit(key))
            card.show()
        self._place()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        for card in self.cards:
            card.set_skin(self._skin)
        self._place()

    def _place(self) -> None:
        gap = 16
        least = self._skin.px(210)
        self.columns = max(1, min((self.width() + gap) // (least + gap), 3, max(len(self.cards), 2)))
        wide = (self.width() - gap * (self.columns - 1)) // self.columns
        high = 110 + self._skin.px(64)
        for number, card in enumerate(self.cards):
            row, column = divmod(number, self.columns)
            card.setGeometry(column * (wide + gap), row * (high + gap), wide, high)
        lines = -(-len(self.cards) // self.columns)
        self.setFixedHeight(max(lines * (high + gap) - gap, 0))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Place the cards anew."""
        self._place()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows walk the cards, Enter takes one."""
        at = next((number for number, card in enumerate(self.cards) if card.hasFocus()), -1)
        steps = {
            Qt.Key.Key_Right: 1,
            Qt.Key.Key_Left: -1,
            Qt.Key.Key_Down: self.columns,
            Qt.Key.Key_Up: -self.columns,
        }
        key = Qt.Key(event.key())
        if at >= 0 and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.taken.emit(self.cards[at].template.key)
        elif at >= 0 and key in steps:
            to = at + steps[key]
            if 0 <= to < len(self.cards):
                self.cards[to].setFocus(Qt.FocusReason.TabFocusReason)
        else:
            super().keyPressEvent(event)
