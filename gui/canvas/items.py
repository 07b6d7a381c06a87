"""One item per thing a person picks: it paints its whole group, with less detail the farther away it is.

An item per fibre would not scale; the fibre inside is found by geometry (``picking.py``). Lettering too small to read
is left out, thin strokes become hairlines; far out only the bands remain.
"""

from __future__ import annotations

from math import ceil, log2

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPainterPathStroker, QPen
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from gui.canvas.shapes import Stroke, group_strokes
from render.drawing import Group

READABLE_PX = 4.5
"""Lettering whose capitals are lower than this on the screen is not painted."""
HAIR_PX = 0.6
"""Strokes thinner than this on the screen are painted as hairlines, which is far faster."""
CROWD = 48
"""A group with more strokes than this leaves out, far away, those that fall on the pixels of another."""


class GroupItem(QGraphicsItem):
    """Paints one group of a drawing; ``data(0)`` is its ref."""

    def __init__(self, group: Group, night: bool = False) -> None:
        super().__init__()
        self.picture = group
        self._strokes: list[Stroke] = []
        self._bounds = QRectF()
        self._hairs: dict[int, QPen] = {}
        self._sparse: dict[int, list[int]] = {}
        self._hit: QPainterPath | None = None
        self.setData(0, group.ref)
        self.show_group(group, night)

    def show_group(self, group: Group, night: bool) -> None:
        """Take another picture of the same thing."""
        made = group_strokes(group, night)
        bounds = QRectF()
        for stroke in made:
            bounds = bounds.united(stroke.bounds)
        if bounds != self._bounds:
            self.prepareGeometryChange()
        self.picture, self._strokes, self._bounds = group, made, bounds
        self._hairs.clear()
        self._sparse.clear()
        self._hit = None
        if group.title:
            self.setToolTip(group.title)
        self.update()

    def boundingRect(self) -> QRectF:  # noqa: N802  # Qt's name
        """Bounds of everything painted, in the drawing's millimetres."""
        return self._bounds

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Paint what can be seen at the present scale."""
        scale = QStyleOptionGraphicsItem.levelOfDetailFromTransform(painter.worldTransform())
        exposed = option.exposedRect
        shown = range(len(self._strokes)) if len(self._strokes) <= CROWD else self._apart(scale)
        crowded = 2 * len(shown) < len(self._strokes)
        if crowded:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        for index in shown:
            stroke = self._strokes[index]
            if stroke.text and stroke.text * scale < READABLE_PX:
                continue
            if not exposed.intersects(stroke.bounds):
                continue
            pen = stroke.pen
            if pen.style() != Qt.PenStyle.NoPen and pen.widthF() * scale < HAIR_PX:
                pen = self._hairs.get(index) or self._hair(index, pen)
            painter.setPen(pen)
            painter.setBrush(stroke.brush)
            painter.drawPath(stroke.path)
        if crowded:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)

    def _apart(self, scale: float) -> list[int]:
        """Strokes that a scale tells apart: of hairlines with ends and bounds on the same pixels only the first.

        Kept for each doubling of the scale, worked out at its finer end.
        """
        step = ceil(log2(scale)) if scale > 0 else 0
        if step not in self._sparse:
            fine, seen, kept = 2.0**step, set(), []
            for index, stroke in enumerate(self._strokes):
                line = not stroke.text and stroke.brush.style() == Qt.BrushStyle.NoBrush and not stroke.path.isEmpty()
                if line and stroke.pen.style() != Qt.PenStyle.NoPen and stroke.pen.widthF() * fine < HAIR_PX:
                    box, path = stroke.bounds, stroke.path
                    first, last = path.elementAt(0), path.currentPosition()
                    places = (box.x(), box.y(), box.right(), box.bottom(), first.x, first.y, last.x(), last.y())
                    pixels = tuple([round(place * fine) for place in places])
                    if pixels in seen:
                        continue
                    seen.add(pixels)
                kept.append(index)
            self._sparse[step] = kept
        return self._sparse[step]

    def _hair(self, index: int, pen: QPen) -> QPen:
        hair = QPen(pen.color(), 0)
        hair.setCosmetic(True)
        self._hairs[index] = hair
        return hair

    def hit_shape(self) -> QPainterPath:
        """What can be hit: the strokes as wide as drawn, never thinner than half a millimetre; built when asked."""
        if self._hit is None:
            self._hit = QPainterPath()
            # A core on its casing is one shape, not a hole in it.
            self._hit.setFillRule(Qt.FillRule.WindingFill)
            for stroke in self._strokes:
                if stroke.text:
                    if self.picture.role == "slash":
                        self._hit.addRect(stroke.bounds)  # a slash alone is too thin to be hit: its number counts too
                    continue
                if stroke.brush.style() != Qt.BrushStyle.NoBrush:
                    self._hit.addPath(stroke.path)
                elif stroke.pen.style() != Qt.PenStyle.NoPen:
                    wide = QPainterPathStroker()
                    wide.setWidth(max(stroke.pen.widthF(), 0.5))
                    self._hit.addPath(wide.createStroke(stroke.path))
        return self._hit

    def shape(self) -> QPainterPath:
        """Qt's own hit test."""
        return self.hit_shape()
