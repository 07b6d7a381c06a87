"""Loss against distance: what was measured solid, what the record expects dashed, events numbered, missing ones named.

It stands on the scale of the strip above and the rulers below. Two cursors are dragged or walked by arrows; what lies
between them is read off by two points and by least squares. Wheel with Ctrl zooms at the pointer, wheel alone moves.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from gui.panels.mark_window import MarkWindow, paint_window, window_size
from gui.panels.skin import LABEL, Skin, focus_ring
from gui.panels.trace_cursors import NO_CURVE, Cursors, Curve, Readout, measured_readout, readout
from gui.panels.trace_paint import CENTRE, Clear, guide, ring
from gui.panels.trace_scale import TraceScale, steps
from gui.theme import DAY, Tokens
from gui.views.trace_plan import Plan
from model.otdr.trace_file import Curve as OtdrCurve

LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
GRIP = 7
LOW = 150
"""Height asked for, pixels; it takes what there is."""
BELOW_DB = 2.0
"""How far below the expected end of the path the picture reaches."""
EventKind = Literal["as expected", "differs", "missing", "extra", "end"]


@dataclass(frozen=True, slots=True)
class PlotEvent:
    """A numbered event: where, what it is, and whether the record expects it."""

    number: int
    at_m: float
    words: str
    kind: EventKind = "as expected"


@dataclass(frozen=True, slots=True)
class PlotData:
    """What the plot shows. ``found_m`` is the place read off, ``band`` the fibre metres it may lie between."""

    plan: Plan | None = None
    expected: Curve = NO_CURVE
    measured: Curve = NO_CURVE
    events: tuple[PlotEvent, ...] = ()
    found_m: float | None = None
    band: tuple[float, float] | None = None
    window: MarkWindow | None = None
    wavelength_nm: int = 1310
    note: str = ""
    trace: OtdrCurve | None = None
    file_m: Callable[[float], float] = float
    """Distance of the trace file at a place of the path."""


class LossPlot(QWidget):
    """The plot; ``moved`` after a cursor was moved."""

    moved = Signal()

    def __init__(self, scale: TraceScale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("lossPlot")
        self.setAccessibleName("Loss along the path")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMouseTracking(True)
        self.scale = scale
        self.skin = Skin()
        self.data = PlotData()
        self.cursors = Cursors()
        self.reading_off = False
        """The cursors are in sight: a trace was measured, or somebody took one in hand."""
        self._held: int | None = None
        self._pan: float | None = None
        self._paths: dict[str, QPainterPath] = {}
        self._heights = _heights(self.data)
        scale.changed.connect(self._moved_scale)

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Wide and low."""
        return QSize(800, self.skin.px(LOW))

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """High enough for its labels."""
        return QSize(200, self.skin.px(LOW))

    def _moved_scale(self) -> None:
        self._paths.clear()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """The curves lie elsewhere."""
        self._paths.clear()
        super().resizeEvent(event)

    def show_data(self, data: PlotData) -> None:
        """Show another path, reading or trace; the cursors stay where they are on the same path."""
        other = (data.plan.node if data.plan else "") != (self.data.plan.node if self.data.plan else "")
        self.data = data
        self._paths.clear()
        self._heights = _heights(data)
        if other:
            end = data.plan.length_m if data.plan else 1000.0
            self.cursors = Cursors(end * 0.25, end * 0.5)
            self.reading_off = False
        self.reading_off = self.reading_off or bool(data.measured)
        self._describe()
        self.update()

    def _describe(self) -> None:
        read_off = self.readout().words if self.reading_off else ""
        said = [f"{event.number} {event.words}" for event in self.data.events]
        self.setAccessibleDescription("; ".join(filter(None, [read_off, *said, self.data.note])))

    def readout(self) -> Readout:
        """What lies between the cursors, off the measured curve if there is one."""
        if self.data.trace is not None:
            return measured_readout(self.data.trace, self.cursors, self.data.file_m)
        return readout(self.data.expected, self.cursors)

    # -- geometry ------------------------------------------------------------------------------------------------

    def _area(self) -> QRectF:
        px = self.skin.px
        top, bottom = px(34.0), px(26.0)
        return QRectF(
            self.scale.left_px,
            top,
            max(self.width() - self.scale.left_px - self.scale.right_px, 10.0),
            max(self.height() - top - bottom, 20.0),
        )

    def _y(self, db: float) -> float:
        area = self._area()
        high, low = self._heights
        return area.top() + (high - db) / (high - low) * area.height()

    def _path(self, name: str, curve: Curve) -> QPainterPath:
        """The curve in pixels, kept until the zoom changes; of many points in one column the extremes are kept."""
        found = self._paths.get(name)
        if found is not None:
            return found
        path = QPainterPath()
        low, high = self.scale.shown
        first = max(bisect_left(curve.at_m, low) - 1, 0)
        last = min(bisect_right(curve.at_m, high) + 1, len(curve.at_m))
        column: int | None = None
        for n in range(first, last):
            point = QPointF(self.scale.x_of(curve.at_m[n]), self._y(curve.db[n]))
            if column is None:
                path.moveTo(point)
            elif last - first < 4000 or int(point.x()) != column:
                path.lineTo(point)
            else:
                # Only what stands out within one column of pixels is drawn.
                here = path.currentPosition()
                if abs(point.y() - here.y()) > 1.0:
                    path.lineTo(point)
            column = int(point.x())
        self._paths[name] = path
        return path

    # -- painting ------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint all of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tokens = self.skin.tokens
        painter.fillRect(self.rect(), QColor(tokens.paper))
        if self.data.plan is not None:
            self._paint_grid(painter)
            self._paint_curves(painter)
            self._paint_cursors(painter)
            self._paint_found(painter)
            clear = self._paint_window(painter)
            self._paint_events(painter, clear)
            self._paint_key(painter)
            self._paint_readout(painter)
        if self.hasFocus():
            focus_ring(painter, QRectF(self.rect()), tokens)

    def _paint_grid(self, painter: QPainter) -> None:
        skin, tokens, area = self.skin, self.skin.tokens, self._area()
        high, low = self._heights
        painter.setFont(skin.font(LABEL))
        for value in steps(low, high, 4):
            y = self._y(value)
            painter.fillRect(QRectF(area.left(), y, area.width(), 1.0), QColor(tokens.line))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(QRectF(0, y - 10, area.left() - 8, 20), RIGHT, f"{value:g}".replace("-", "\u2212"))
        painter.setPen(QColor(tokens.ink2))
        head = f"dB, {self.data.wavelength_nm}"
        painter.drawText(QRectF(skin.px(14), skin.px(6), area.left(), skin.px(20)), LEFT, head)
        for station in self.data.plan.stations if self.data.plan else ():
            x = self.scale.x_of(station.at_m)
            if area.left() <= x <= area.right():
                guide(painter, x, 0, self.height(), skin)

    def _paint_curves(self, painter: QPainter) -> None:
        tokens = self.skin.tokens
        painter.save()
        painter.setClipRect(self._area().adjusted(0, -self.skin.px(28), 0, self.skin.px(20)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if self.data.expected:
            pen = QPen(QColor(tokens.ink2), 1.8)
            pen.setDashPattern([4.0, 3.0])
            painter.setPen(pen)
            painter.drawPath(self._path("expected", self.data.expected))
        if self.data.measured:
            painter.setPen(QPen(QColor(tokens.ink), 1.8))
            painter.drawPath(self._path("measured", self.data.measured))
        painter.restore()

    def _paint_cursors(self, painter: QPainter) -> None:
        skin, tokens, area = self.skin, self.skin.tokens, self._area()
        for number, at_m in enumerate(self.cursors.places if self.reading_off else ()):
            x = self.scale.x_of(at_m)
            if not area.left() <= x <= area.right():
                continue
            active = number == self.cursors.active
            painter.setPen(QPen(QColor(tokens.accent), 2.0 if active else 1.2))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
            size = skin.px(16)
            box = QRectF(x - size / 2, area.bottom(), size, size)
            painter.setBrush(QColor(tokens.accent if active else tokens.raised))
            painter.drawRoundedRect(box, 3, 3)
            painter.setFont(skin.font(LABEL - 1, bold=True))
            painter.setPen(QColor(tokens.on_accent if active else tokens.ink))
            painter.drawText(box, CENTRE, "AB"[number])

    def _paint_found(self, painter: QPainter) -> None:
        if self.data.found_m is None:
            return
        area, colour = self._area(), QColor(self.skin.tokens.error)
        x = self.scale.x_of(self.data.found_m)
        if area.left() <= x <= area.right():
            painter.setPen(QPen(colour, 2.0))
            painter.drawLine(QPointF(x, 0), QPointF(x, self.height()))

    def _paint_window(self, painter: QPainter) -> Clear:
        """The enlarged marks, beside the place, where the picture is emptiest; returns what is taken."""
        clear = Clear()
        window, found = self.data.window, self.data.found_m
        if window is None or found is None:
            return clear
        area = self._area()
        size = window_size(self.skin)
        x = self.scale.x_of(found)
        room_right = area.right() - x >= size.width() + self.skin.px(34)
        left = x + self.skin.px(26) if room_right else x - self.skin.px(26) - size.width()
        if left < area.left() - 8 or left + size.width() > self.width() or size.height() > area.height():
            return clear
        box = QRectF(QPointF(left, area.top()), size)
        tip = QPointF(x + (3 if room_right else -3), box.top() + self.skin.px(30))
        side = box.left() if room_right else box.right()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self.skin.tokens.ink))
        half = self.skin.px(7)
        painter.drawPolygon(QPolygonF([tip, QPointF(side, tip.y() - half), QPointF(side, tip.y() + half)]))
        paint_window(painter, box, window, self.skin)
        clear.takes(box)
        return clear

    def _paint_events(self, painter: QPainter, clear: Clear) -> None:
        """Rings and words at the curve, moved to where they touch nothing; what has no room keeps its ring."""
        skin, tokens, area, px = self.skin, self.skin.tokens, self._area(), self.skin.px
        clear.taken.append(QRectF(0, area.bottom() + 1, self.width(), px(40)))
        clear.taken.append(QRectF(0, -px(40), self.width(), px(40) + px(30)))
        curve = self.data.measured or self.data.expected
        for event in sorted(self.data.events, key=lambda e: (e.kind == "as expected", e.number)):
            x = self.scale.x_of(event.at_m)
            if not area.left() - 1 <= x <= area.right() + 1:
                continue
            level = curve.at(event.at_m)
            y = self._y(level if level is not None else sum(self._heights) / 2)
            # A level below the picture, as noise behind an end is, keeps its label in it.
            y = min(max(y, area.top() + px(30)), area.bottom() - px(60))
            bold = event.kind in ("end", "extra", "differs")
            painter.setFont(skin.font(LABEL, bold=bold))
            wide, high, size = painter.fontMetrics().horizontalAdvance(event.words) + 4, px(20), px(22)
            for dy in (px(22), -px(24), px(46), -px(48), px(70), px(94), px(118)):
                top = min(max(y + dy, area.top() + size / 2), area.bottom() - size / 2)
                placed = False
                for to_left in (x + size + wide + 8 > area.right(), x + size + wide + 8 <= area.right()):
                    ring_x = x - size * 0.8 if to_left else x + size * 0.8
                    words = QRectF(
                        ring_x - size / 2 - 6 - wide if to_left else ring_x + size / 2 + 6, top - high / 2, wide, high
                    )
                    whole = words.united(QRectF(ring_x - size / 2, top - size / 2, size, size))
                    if whole.left() > area.left() - px(10) and whole.right() < self.width() and clear.takes(whole):
                        ring(painter, QPointF(ring_x, top), str(event.number), skin)
                        painter.setFont(skin.font(LABEL, bold=bold))
                        painter.setPen(QColor(tokens.ink))
                        painter.drawText(words, LEFT, event.words)
                        placed = True
                        break
                if placed:
                    break

    def _paint_key(self, painter: QPainter) -> None:
        """What solid and dashed mean, at the foot; a file that could not be read whole is named here too."""
        skin, tokens, area, px = self.skin, self.skin.tokens, self._area(), self.skin.px
        painter.setFont(skin.font(LABEL))
        x, y = area.left(), area.bottom() + px(13)
        for words, curve, dashed in (("measured", self.data.measured, False), ("expected", self.data.expected, True)):
            if not curve:
                continue
            painter.setPen(QColor(tokens.ink if not dashed else tokens.ink2))
            wide = painter.fontMetrics().horizontalAdvance(words)
            painter.drawText(QRectF(x, y - 10, wide + 2, 20), LEFT, words)
            pen = QPen(QColor(tokens.ink if not dashed else tokens.ink2), 1.8)
            if dashed:
                pen.setDashPattern([4.0, 3.0])
            painter.setPen(pen)
            painter.drawLine(QPointF(x + wide + 8, y), QPointF(x + wide + 44, y))
            x += wide + px(72)
        if self.data.note:
            painter.setPen(QColor(tokens.ink))
            room = self.width() - x - px(14)
            words = painter.fontMetrics().elidedText(self.data.note, Qt.TextElideMode.ElideRight, int(room))
            painter.drawText(QRectF(x, y - 10, room, 20), LEFT, words)

    def _paint_readout(self, painter: QPainter) -> None:
        skin, tokens, px = self.skin, self.skin.tokens, self.skin.px
        if not self.reading_off:
            return
        words = self.readout().words
        painter.setFont(skin.font(LABEL, fixed=True))
        painter.setPen(QColor(tokens.ink))
        left = px(90)
        room = self.width() - left - px(14)
        painter.drawText(
            QRectF(left, px(6), room, px(20)),
            RIGHT,
            painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideLeft, int(room)),
        )

    # -- by hand -------------------------------------------------------------------------------------------------

    def _put(self, number: int, at_m: float) -> None:
        self.reading_off = True
        self.cursors = self.cursors.put(number, min(max(at_m, self.scale.whole[0]), self.scale.whole[1]))
        self._describe()
        self.moved.emit()
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Take the cursor under the pointer, or bring the active one there; Shift brings the other. Middle pans."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        x = event.position().x()
        if event.button() == Qt.MouseButton.MiddleButton:
            self._pan = x
            return
        if event.button() != Qt.MouseButton.LeftButton or self.data.plan is None:
            return
        near = [abs(self.scale.x_of(at_m) - x) for at_m in self.cursors.places]
        if min(near) <= GRIP:
            self._held = near.index(min(near))
        else:
            other = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._held = 1 - self.cursors.active if other else self.cursors.active
        self._put(self._held, self.scale.m_of(x))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Carry the cursor, or the picture."""
        x = event.position().x()
        if self._held is not None:
            self._put(self._held, self.scale.m_of(x))
        elif self._pan is not None:
            self.scale.pan((self._pan - x) / self.scale.px_per_m)
            self._pan = x

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Let go."""
        self._held = self._pan = None

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802  # Qt's name
        """Zoom at the pointer with Ctrl, else move along."""
        turn = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.scale.zoom(1.25 ** (turn / 120), self.scale.m_of(event.position().x()))
        else:
            low, high = self.scale.shown
            self.scale.pan(-(high - low) * 0.1 * turn / 120)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows walk the active cursor, Shift by ten and Alt by a tenth; Space takes the other one."""
        key = Qt.Key(event.key())
        way = {Qt.Key.Key_Right: 1.0, Qt.Key.Key_Left: -1.0}.get(key, 0.0)
        held = event.modifiers()
        if way and self.data.plan is not None and not held & Qt.KeyboardModifier.ControlModifier:
            by = (
                10.0
                if held & Qt.KeyboardModifier.ShiftModifier
                else 0.1
                if held & Qt.KeyboardModifier.AltModifier
                else 1.0
            )
            here = self.cursors.places[self.cursors.active] + way * by
            self._put(self.cursors.active, here)
            if not self.scale.shown[0] <= here <= self.scale.shown[1]:
                self.scale.pan(here - sum(self.scale.shown) / 2)
            return
        if way and held & Qt.KeyboardModifier.ControlModifier:
            self.scale.pan(way * (self.scale.shown[1] - self.scale.shown[0]) * 0.1)
            return
        if key == Qt.Key.Key_Space:
            self.cursors = self.cursors.other()
            self._describe()
            self.update()
            return
        super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Show where the focus is."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """No ring any more."""
        super().focusOutEvent(event)
        self.update()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self._paths.clear()
        self.updateGeometry()
        self.update()


def _heights(data: PlotData) -> tuple[float, float]:
    """(highest, lowest) dB in the picture: that of the whole path, so that zooming along it keeps the heights.

    Found once for each data, not for each point: a trace file has tens of thousands.
    """
    values = [v for curve in (data.expected, data.measured) if curve for v in (min(curve.db), max(curve.db))]
    high, low = max([0.0, *values]), min([-3.0, *values])
    if data.expected:
        # Noise far below the light that is looked for would press everything else together.
        low = max(low, min(data.expected.db) - BELOW_DB)
    return high + 0.06 * (high - low), low - 0.10 * (high - low)
