"""Where suspects are seen on the canvases: their refs, and on the Route view the spans between two boxes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainterPath, QPainterPathStroker

from gui.canvas.board import Board
from model.correlate.prior import sites_of
from model.errors import PlantError
from model.lookup import find_stop
from model.plant import Plant
from render.refs import cable_ref, fibre_ref, port_ref, site_ref, splice_ref, tray_ref, tube_ref

SPAN_MM = 9.0
"""Width of the band over a suspected span on the Route view, its own millimetres."""

FRAME_MM = 4.0
"""Width of the frame around a suspected site there."""


def refs_of(plant: Plant, keys: Iterable[str]) -> list[str]:
    """What to pick or outline for elements; those that are gone are left out."""
    found: list[str] = []
    for key in keys:
        try:
            found.append(_ref(plant, key))
        except (KeyError, PlantError):
            continue
    return list(dict.fromkeys(ref for ref in found if ref))


def _ref(plant: Plant, key: str) -> str:
    kind, rest = key.split("|", 1)
    if kind == "sheath":
        return cable_ref(find_stop(plant, rest)[0].id)
    if kind == "tube":
        tube, stop = rest.split("|", 1)
        return tube_ref(find_stop(plant, stop)[0].id, int(tube))
    if kind == "tube_at":
        _, tube, stop = rest.split("|", 2)
        return tube_ref(find_stop(plant, stop)[0].id, int(tube))
    if kind == "fibre":
        number, stop = rest.split("|", 1)
        return fibre_ref(find_stop(plant, stop)[0].id, int(number))
    makers = {
        "tray": tray_ref,
        "splice": splice_ref,
        "port": port_ref,
        "drop": cable_ref,
        "cord": cable_ref,
        "site": site_ref,
    }
    return makers[kind](rest) if kind in makers else ""


def here(plant: Plant, keys: Iterable[str], site: str | None) -> list[str]:
    """Keys of elements that lie or end at a site."""
    found = []
    for key in keys:
        try:
            if site in sites_of(plant, key):
                found.append(key)
        except (KeyError, PlantError):
            continue
    return found


def route_shapes(plant: Plant, board: Board, keys: Iterable[str]) -> tuple[QPainterPath, ...]:
    """Suspects on the Route view: a box for a site, a band between two boxes for a span."""
    shapes: list[QPainterPath] = []
    for sites in dict.fromkeys(_sites(plant, key) for key in keys):
        boxes = [box for box in (_box(board, site) for site in sites) if box is not None]
        if len(boxes) == 2:
            shapes.append(_band(boxes))
        elif boxes:
            # A frame, so that what the box says stays readable.
            path = QPainterPath()
            path.addRect(boxes[0].adjusted(-FRAME_MM, -FRAME_MM, FRAME_MM, FRAME_MM))
            path.addRect(boxes[0])
            shapes.append(path)
    return tuple(shapes)


def _sites(plant: Plant, key: str) -> tuple[str, ...]:
    try:
        return sites_of(plant, key)
    except (KeyError, PlantError):
        return ()


def _box(board: Board, site: str) -> QRectF | None:
    box = QRectF()
    for item in board.scene.items_of(site_ref(site)):
        box = box.united(item.sceneBoundingRect())
    return None if box.isNull() else box


def _band(boxes: Sequence[QRectF]) -> QPainterPath:
    """A band from the one box to the other, clear of both."""
    boxes = [box.adjusted(-FRAME_MM, -FRAME_MM, FRAME_MM, FRAME_MM) for box in boxes]
    line = QLineF(boxes[0].center(), boxes[1].center())
    ends = [_edge(line, boxes[0], line.p1()), _edge(line, boxes[1], line.p2())]
    path = QPainterPath(ends[0])
    path.lineTo(ends[1])
    stroker = QPainterPathStroker()
    stroker.setWidth(SPAN_MM)
    stroker.setCapStyle(Qt.PenCapStyle.FlatCap)
    return stroker.createStroke(path)


def _edge(line: QLineF, box: QRectF, inside: QPointF) -> QPointF:
    """Where a line leaves a box."""
    sides = (
        QLineF(box.topLeft(), box.topRight()),
        QLineF(box.topRight(), box.bottomRight()),
        QLineF(box.bottomRight(), box.bottomLeft()),
        QLineF(box.bottomLeft(), box.topLeft()),
    )
    for side in sides:
        kind, point = line.intersects(side)
        if kind == QLineF.IntersectionType.BoundedIntersection:
            return point
    return inside
