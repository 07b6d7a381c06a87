"""Shapes of a drawing as things Qt can paint: paths with pen and brush, built once and kept.

Lettering becomes outlines at exactly the width the sheet computed, so that what the canvas shows is what the sheet
prints. Units are the drawing's millimetres; nothing here knows a widget.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainterPath, QPen, QTransform

from gui.theme import night_colour
from render.drawing import ArcTo, Circle, Close, CurveTo, Group, Line, LineTo, MoveTo, Path, Pen, Rect, Shape, Text
from render.text import font_size, text_width

CAPS = {
    "butt": Qt.PenCapStyle.FlatCap,
    "round": Qt.PenCapStyle.RoundCap,
    "square": Qt.PenCapStyle.SquareCap,
}
JOINS = {
    "miter": Qt.PenJoinStyle.MiterJoin,
    "round": Qt.PenJoinStyle.RoundJoin,
    "bevel": Qt.PenJoinStyle.BevelJoin,
}
OUTLINE_PX = 64
"""Lettering is outlined at this pixel size, then scaled: large enough that hinting leaves no trace."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One paint call: a path with its pen and brush; ``text`` is the capitals' height of lettering in mm, 0 for lines.

    Lettering too small to read is left out, all of one height together.
    """

    path: QPainterPath
    pen: QPen
    brush: QBrush
    text: float
    bounds: QRectF


@lru_cache(maxsize=512)
def qt_pen(pen: Pen, night: bool) -> QPen:
    """The Qt pen of a drawing's pen; dashes are in multiples of the width there."""
    if pen.stroke is None or pen.width <= 0:
        return QPen(Qt.PenStyle.NoPen)
    made = QPen(QColor(night_colour(pen.stroke) if night else pen.stroke), pen.width)
    made.setCapStyle(CAPS[pen.cap])
    made.setJoinStyle(JOINS[pen.join])
    if pen.dash:
        dashes = [length / pen.width for length in pen.dash]
        made.setDashPattern(dashes * 2 if len(dashes) % 2 else dashes)
    return made


@lru_cache(maxsize=256)
def qt_brush(fill: str | None, night: bool) -> QBrush:
    """The Qt brush of a fill colour."""
    if fill is None:
        return QBrush(Qt.BrushStyle.NoBrush)
    return QBrush(QColor(night_colour(fill) if night else fill))


@lru_cache(maxsize=4096)
def _outline(content: str, bold: bool) -> tuple[QPainterPath, float]:
    """Outline of a line of lettering at ``OUTLINE_PX``, and its advance there."""
    font = QFont("DejaVu Sans Condensed")
    font.setPixelSize(OUTLINE_PX)
    font.setBold(bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    path = QPainterPath()
    path.addText(0.0, 0.0, font, content)
    return path, QFontMetricsF(font).horizontalAdvance(content)


def text_path(text: Text) -> QPainterPath:
    """Outline of one line of lettering, as wide as the sheet says it is."""
    outline, natural = _outline(text.content, text.weight == "bold")
    width = text_width(text.content, text.height, text.weight)
    scale = font_size(text.height) / OUTLINE_PX
    squeeze = width / (natural * scale) if natural > 0 and width > 0 else 1.0
    shift = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    place = (
        QTransform().translate(text.x, text.y).rotate(text.angle).translate(shift, 0.0).scale(scale * squeeze, scale)
    )
    return place.map(outline)


def arc_path(path: QPainterPath, start: QPointF, step: ArcTo) -> None:
    """Append a circular arc from ``start``; a chord longer than the diameter is drawn as a half circle on it."""
    dx, dy = step.x - start.x(), step.y - start.y()
    chord = math.hypot(dx, dy)
    if chord < 1e-9:
        return
    radius = max(step.r, chord / 2)
    rise = math.sqrt(max(radius * radius - chord * chord / 4, 0.0))
    turn = 1.0 if step.large != step.sweep else -1.0
    cx = (start.x() + step.x) / 2 - turn * rise * dy / chord
    cy = (start.y() + step.y) / 2 + turn * rise * dx / chord
    first = math.degrees(math.atan2(cy - start.y(), start.x() - cx))
    last = math.degrees(math.atan2(cy - step.y, step.x - cx))
    sweep = (last - first) % 360.0
    if step.sweep:
        sweep -= 360.0
    path.arcTo(QRectF(cx - radius, cy - radius, 2 * radius, 2 * radius), first, sweep)


def route_path(shape: Path) -> QPainterPath:
    """Outline of a path made of straights, arcs and cubics."""
    path = QPainterPath()
    for step in shape.steps:
        if isinstance(step, MoveTo):
            path.moveTo(step.x, step.y)
        elif isinstance(step, LineTo):
            path.lineTo(step.x, step.y)
        elif isinstance(step, ArcTo):
            arc_path(path, path.currentPosition(), step)
        elif isinstance(step, CurveTo):
            path.cubicTo(step.x1, step.y1, step.x2, step.y2, step.x, step.y)
        elif isinstance(step, Close):
            path.closeSubpath()
    return path


def shape_path(shape: Line | Rect | Circle | Path) -> QPainterPath:
    """Outline of any shape but lettering."""
    if isinstance(shape, Path):
        return route_path(shape)
    path = QPainterPath()
    if isinstance(shape, Line):
        path.moveTo(shape.x1, shape.y1)
        path.lineTo(shape.x2, shape.y2)
    elif isinstance(shape, Rect):
        box = QRectF(shape.x, shape.y, shape.width, shape.height)
        if shape.radius > 0:
            path.addRoundedRect(box, shape.radius, shape.radius)
        else:
            path.addRect(box)
    else:
        path.addEllipse(QPointF(shape.cx, shape.cy), shape.r, shape.r)
    return path


def _grown(path: QPainterPath, pen: QPen) -> QRectF:
    reach = pen.widthF() if pen.style() != Qt.PenStyle.NoPen else 0.0
    return path.boundingRect().adjusted(-reach, -reach, reach, reach)


def strokes(shape: Shape, night: bool = False) -> Iterator[Stroke]:
    """The paint calls of one shape, in order."""
    if isinstance(shape, Text):
        path = text_path(shape)
        if shape.halo is not None:
            halo = QPen(QColor(night_colour(shape.halo) if night else shape.halo), shape.height * 0.4)
            halo.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            yield Stroke(path, halo, QBrush(Qt.BrushStyle.NoBrush), shape.height, _grown(path, halo))
        yield Stroke(path, QPen(Qt.PenStyle.NoPen), qt_brush(shape.colour, night), shape.height, path.boundingRect())
        return
    path = shape_path(shape)
    pen = qt_pen(shape.pen, night)
    fill = None if isinstance(shape, Line) else shape.pen.fill
    yield Stroke(path, pen, qt_brush(fill, night), 0.0, _grown(path, pen))


def group_strokes(group: Group, night: bool = False) -> list[Stroke]:
    """The paint calls of a whole group, nested groups included, in painting order.

    A chip keeps its colours at night: they are the fibre's, and its lettering was chosen for them.
    """
    made: list[Stroke] = []
    night = night and group.role != "chip"
    for part in group.parts:
        if isinstance(part, Group):
            made += group_strokes(part, night)
        else:
            made += strokes(part, night)
    return made
