"""The border of a sheet: frame line, zones with their numbers and letters, centring marks and trim marks.

After ISO 5457: zones of 50 counted outwards from the centring marks, numbers from left to right, letters
from top to bottom without I and O. Millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence

from render import style
from render.box import Box
from render.drawing import Group, Line, Part, Pen, Rect, Text
from render.marks import polygon

BORDER = 5.0
ZONE = 50.0
LEAST_ZONE = 10.0  # a narrower rest at the end belongs to its neighbour
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
CARD_RADIUS = 2.0


def zone_edges(start: float, length: float) -> list[float]:
    """The edges of the zones along one side, ends included; always an even number of zones.

    ``start`` and ``length`` are those of the frame; the middle edge is the centring mark.
    """
    half = length / 2
    count = int(half / ZONE)
    if half - count * ZONE < LEAST_ZONE and count > 0:
        count -= 1
    inner = [start + half + i * ZONE for i in range(-count, count + 1)]
    return [start, *inner, start + length]


def border(width: float, height: float, frame: Box) -> Group:
    """Border of a sheet of that size about its frame."""
    outer = frame.grown(BORDER)
    parts: list[Part] = [
        Rect(*frame, style.FRAME),
        Rect(*outer, style.ZONE_BORDER),
        *_trim_marks(width, height),
    ]
    columns = zone_edges(frame.x, frame.width)
    rows = zone_edges(frame.y, frame.height)
    half = style.H_LABEL / 2
    for name, middle in _names([str(n) for n in range(1, len(columns))], columns):
        above_below = (frame.y - BORDER / 2, frame.bottom + BORDER / 2)
        parts += [Text(middle, y + half, name, anchor="middle") for y in above_below]
    for name, middle in _names(LETTERS, rows):
        sides = (frame.x - BORDER / 2, frame.right + BORDER / 2)
        parts += [Text(x, middle + half, name, anchor="middle") for x in sides]
    for i, x in enumerate(columns[1:-1], 1):
        pen = style.FRAME if 2 * i == len(columns) - 1 else style.ZONE_BORDER
        parts.append(Line(x, outer.y, x, frame.y, pen))
        parts.append(Line(x, frame.bottom, x, outer.bottom, pen))
    for i, y in enumerate(rows[1:-1], 1):
        pen = style.FRAME if 2 * i == len(rows) - 1 else style.ZONE_BORDER
        parts.append(Line(outer.x, y, frame.x, y, pen))
        parts.append(Line(frame.right, y, outer.right, y, pen))
    return Group(tuple(parts), role="frame")


def card_border(frame: Box) -> Group:
    """The plain rounded frame of a card."""
    return Group((Rect(*frame, style.FRAME, CARD_RADIUS),), role="frame")


def _names(names: Sequence[str], edges: Sequence[float]) -> list[tuple[str, float]]:
    """Each zone's name with its middle."""
    return [(name, (a + b) / 2) for name, a, b in zip(names[: len(edges) - 1], edges, edges[1:], strict=False)]


def _trim_marks(width: float, height: float) -> list[Part]:
    """Angles of 4 mm in the corners of the sheet."""
    pen, marks = Pen(None, style.W_THIN, style.EDGE), []
    for x, sx in ((0.0, 1.0), (width, -1.0)):
        for y, sy in ((0.0, 1.0), (height, -1.0)):
            corner = ((0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4))
            marks.append(polygon(tuple((x + sx * dx, y + sy * dy) for dx, dy in corner), pen))
    return list(marks)
