"""What lies over the picture while a person works: halo and handles of what is picked, and the judged course of a drag.

Handles and marks keep their size on the screen; courses are in the drawing's millimetres. The overlay belongs to the
window alone: no sheet ever shows it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from gui.theme import DAY, Tokens, font
from model.entities import Support
from model.geometry.course import Course
from model.geometry.segments import Arc, Straight

HANDLE_PX = 12.0


def course_path(course: Course) -> QPainterPath:
    """A course as a Qt path, true arcs."""
    path = QPainterPath()
    path.moveTo(*course.start)
    for piece in course.segments:
        if isinstance(piece, Straight):
            path.lineTo(*piece.end)
        else:
            add_arc(path, piece)
    return path


def add_arc(path: QPainterPath, arc: Arc) -> None:
    """Append an arc of a course; more than a turn goes round more than once."""
    box = QRectF(arc.cx - arc.radius_mm, arc.cy - arc.radius_mm, 2 * arc.radius_mm, 2 * arc.radius_mm)
    start, left = -math.degrees(arc.start_rad), -math.degrees(arc.sweep_rad)
    while abs(left) > 1e-9:
        step = math.copysign(min(abs(left), 350.0), left)
        path.arcTo(box, start, step)
        start, left = start + step, left - step


def _around(outline: QPainterPath) -> QPainterPath:
    """Everything near a shape that is not the shape."""
    ground = QPainterPath()
    ground.addRect(outline.boundingRect().adjusted(-50, -50, 50, 50))
    return ground.subtracted(outline)


@dataclass(frozen=True, slots=True)
class Shown:
    """What the overlay shows of one picked route: its course, its old course, its supports, its tightest bend."""

    course: Course | None = None
    before: Course | None = None
    supports: tuple[Support, ...] = ()
    active: int = -1
    tight: Arc | None = None
    limit_mm: float = 0.0
    bad: bool = False
    kinks: tuple[tuple[float, float], ...] = ()


class Overlay(QGraphicsItem):
    """Paints the picked route and the drag in hand, above everything."""

    def __init__(self) -> None:
        super().__init__()
        self.tokens: Tokens = DAY
        self.shown = Shown()
        self.outlines: tuple[QPainterPath, ...] = ()
        """Outlines of other picked things, in scene millimetres."""
        self._outside: tuple[QPainterPath, ...] = ()
        self.suspects: tuple[QPainterPath, ...] = ()
        """Outlines of what is suspected of a fault, in scene millimetres."""
        self.setZValue(1e6)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    def show_route(self, shown: Shown) -> None:
        """Show another route, or none."""
        self.prepareGeometryChange()
        self.shown = shown
        self.update()

    def show_outlines(self, outlines: tuple[QPainterPath, ...]) -> None:
        """Outline other picked things."""
        self.prepareGeometryChange()
        self.outlines = outlines
        self._outside = tuple(_around(outline) for outline in outlines)
        self.update()

    def show_suspects(self, suspects: tuple[QPainterPath, ...]) -> None:
        """Hatch what is suspected."""
        self.prepareGeometryChange()
        self.suspects = suspects
        self.update()

    def boundingRect(self) -> QRectF:  # noqa: N802  # Qt's name
        """Everything shown, with room for handles and the limit circle."""
        box = QRectF()
        for course in (self.shown.course, self.shown.before):
            if course is not None:
                box = box.united(course_path(course).boundingRect())
        for support in self.shown.supports:
            box = box.united(QRectF(support.x_mm, support.y_mm, 0.1, 0.1))
        for outline in (*self.outlines, *self.suspects):
            box = box.united(outline.boundingRect())
        grow = 20.0 + 2 * self.shown.limit_mm
        return box.adjusted(-grow, -grow, grow, grow) if not box.isNull() else box

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Halo, old course, tight arc with both circles, handles."""
        scale = QStyleOptionGraphicsItem.levelOfDetailFromTransform(painter.worldTransform())
        px = 1.0 / max(scale, 1e-6)
        tokens = self.tokens
        accent, ink = QColor(tokens.accent), QColor(tokens.ink2)
        self._suspected(painter, px)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for outline, outside in zip(self.outlines, self._outside, strict=True):
            # Only outside, so that the edge hides nothing of what is picked.
            painter.save()
            painter.setClipPath(outside, Qt.ClipOperation.IntersectClip)
            painter.strokePath(outline, QPen(accent, 6 * px))
            painter.restore()
        if self.shown.before is not None:
            painter.setPen(QPen(ink, 1.2 * px, Qt.PenStyle.DotLine))
            painter.drawPath(course_path(self.shown.before))
        if self.shown.course is not None:
            halo = QColor(tokens.accent)
            halo.setAlphaF(0.28)
            painter.setPen(QPen(halo, 9 * px, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
            painter.drawPath(course_path(self.shown.course))
            if self.shown.before is not None:
                painter.setPen(QPen(accent, 2 * px))
                painter.drawPath(course_path(self.shown.course))
        if self.shown.tight is not None and self.shown.bad:
            self._tight(painter, self.shown.tight, px)
        for x, y in self.shown.kinks:
            self._kink(painter, x, y, px)
        self._handles(painter, px)

    def _suspected(self, painter: QPainter, px: float) -> None:
        """A hatch falling to the right, in the colour of suspects, and the word where there is room for it."""
        colour = QColor(self.tokens.suspect)
        for shape in self.suspects:
            box = shape.boundingRect()
            painter.save()
            painter.setClipPath(shape, Qt.ClipOperation.IntersectClip)
            painter.setPen(QPen(colour, 1.6 * px))
            step, x = 7 * px, box.left() - box.height()
            while x < box.right():
                painter.drawLine(QPointF(x, box.top()), QPointF(x + box.height(), box.bottom()))
                x += step
            painter.restore()
            painter.strokePath(shape, QPen(colour, 1.8 * px))
        clear: list[QRectF] = []
        for shape in sorted(self.suspects, key=lambda s: -s.length()):
            self._word(painter, shape, px, clear)

    def _word(self, painter: QPainter, shape: QPainterPath, px: float, taken: list[QRectF]) -> None:
        """The word on a shape, unless another word stands there already."""
        wide, high = 74 * px, 20 * px
        at = shape.pointAtPercent(0.06)
        place = QRectF(at.x() - wide / 2, at.y() - high / 2, wide, high)
        if any(place.adjusted(-wide, -24 * high, wide, 24 * high).intersects(other) for other in taken):
            return
        taken.append(place)
        painter.save()
        painter.setPen(QPen(QColor(self.tokens.suspect), 1.4 * px))
        painter.setBrush(QColor(self.tokens.paper))
        painter.drawRoundedRect(place, high / 2, high / 2)
        # Lettering keeps its size on the screen, whatever the zoom.
        painter.translate(place.center())
        painter.scale(px, px)
        painter.setFont(font(12, bold=True))
        painter.drawText(QRectF(-40, -12, 80, 24), Qt.AlignmentFlag.AlignCenter, "suspect")
        painter.restore()

    def _tight(self, painter: QPainter, arc: Arc, px: float) -> None:
        """The tight arc's radial ticks, its own circle dotted, its radius, and the limit circle through its apex."""
        error = QColor(self.tokens.error)
        centre = QPointF(arc.cx, arc.cy)
        painter.setPen(QPen(error, 1.2 * px, Qt.PenStyle.DotLine))
        painter.drawEllipse(centre, arc.radius_mm, arc.radius_mm)
        middle = arc.start_rad + arc.sweep_rad / 2
        apex = QPointF(arc.cx + arc.radius_mm * math.cos(middle), arc.cy + arc.radius_mm * math.sin(middle))
        painter.setPen(QPen(error, 1.6 * px))
        painter.drawLine(centre, apex)
        painter.drawEllipse(centre, 2 * px, 2 * px)
        ticks = max(int(abs(arc.sweep_rad) * arc.radius_mm / (5 * px)), 2)
        for i in range(min(ticks, 60) + 1):
            angle = arc.start_rad + arc.sweep_rad * i / min(ticks, 60)
            inner, outer = arc.radius_mm - 5 * px, arc.radius_mm + 5 * px
            painter.drawLine(
                QPointF(arc.cx + inner * math.cos(angle), arc.cy + inner * math.sin(angle)),
                QPointF(arc.cx + outer * math.cos(angle), arc.cy + outer * math.sin(angle)),
            )
        limit = self.shown.limit_mm
        shift = limit - arc.radius_mm
        painter.setPen(QPen(QColor(self.tokens.ink), 1.4 * px, Qt.PenStyle.DashLine))
        painter.drawEllipse(QPointF(arc.cx - shift * math.cos(middle), arc.cy - shift * math.sin(middle)), limit, limit)

    def _kink(self, painter: QPainter, x: float, y: float, px: float) -> None:
        painter.setPen(QPen(QColor(self.tokens.error), 2 * px))
        painter.drawLine(QPointF(x - 9 * px, y - 6 * px), QPointF(x, y))
        painter.drawLine(QPointF(x, y), QPointF(x - 9 * px, y + 6 * px))

    def _handles(self, painter: QPainter, px: float) -> None:
        supports = self.shown.supports
        if not supports:
            return
        accent = QColor(self.tokens.accent)
        painter.setPen(QPen(accent, 1 * px))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for one, two in pairwise(supports):
            if "wrap" not in (one.kind, two.kind):
                painter.drawLine(QPointF(one.x_mm, one.y_mm), QPointF(two.x_mm, two.y_mm))
        half = HANDLE_PX * px / 2
        for index, support in enumerate(supports):
            centre = QPointF(support.x_mm, support.y_mm)
            painter.setPen(QPen(accent, 2 * px))
            painter.setBrush(accent if index == self.shown.active else QColor(self.tokens.raised))
            box = QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half)
            if support.kind == "wrap":
                painter.drawEllipse(box)
            else:
                painter.drawRect(box)
