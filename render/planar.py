"""Plane geometry for the checks of a finished sheet: do two boxes overlap, does a stroke enter a box, how far apart.

A box here is a convex polygon, mostly the four corners of a turned line of text, in mm. Curves are flattened
first; nothing here is exact enough, or meant, for computing a route.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from math import acos, atan2, ceil, cos, hypot, radians, sin, sqrt, tau

from render.drawing import ArcTo, Circle, Close, CurveTo, Line, LineTo, MoveTo, Path, PathStep, Rect, Text
from render.text import font_size, text_width

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Segment = tuple[Point, Point]
Bounds = tuple[float, float, float, float]

FLAT_MM = 0.02  # greatest distance of a flattened curve from the true one
CURVE_PIECES = 16
TAIL_RATIO = 0.21  # tail of a g below the base line over the font size
_LOW = frozenset("gjpqyQJ()[]{}|,;/\\_@§µçşţ")


def text_box(text: Text) -> Polygon:
    """The turned box of a line of lettering, from its base line (or its tails, where it has any) to its capitals."""
    width = text_width(text.content, text.height, text.weight)
    left = text.x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    low = text.y + (TAIL_RATIO * font_size(text.height) if _LOW.intersection(text.content) else 0.0)
    top = text.y - text.height
    corners = ((left, top), (left + width, top), (left + width, low), (left, low))
    if not text.angle:
        return corners
    c, s = cos(radians(text.angle)), sin(radians(text.angle))
    return tuple(
        (text.x + (x - text.x) * c - (y - text.y) * s, text.y + (x - text.x) * s + (y - text.y) * c) for x, y in corners
    )


def outlines(shape: Line | Rect | Circle | Path) -> list[Polygon]:
    """The flattened outlines of a shape, one per sub-path, closed ones ending where they start."""
    match shape:
        case Line(x1, y1, x2, y2):
            return [((x1, y1), (x2, y2))]
        case Rect(x, y, width, height):
            right, low = x + width, y + height
            return [((x, y), (right, y), (right, low), (x, low), (x, y))]
        case Circle(cx, cy, r):
            around = (tau * step / 32 for step in range(33))
            return [tuple((cx + r * cos(a), cy + r * sin(a)) for a in around)]
        case Path(steps):
            return _flatten(steps)


def _flatten(steps: Sequence[PathStep]) -> list[Polygon]:
    lines: list[list[Point]] = []
    for step in steps:
        if isinstance(step, MoveTo) or not lines:
            lines.append([])
        line = lines[-1]
        match step:
            case MoveTo(x, y) | LineTo(x, y):
                line.append((x, y))
            case ArcTo():
                line.extend(_arc_points(line[-1], step) if line else [(step.x, step.y)])
            case CurveTo(x1, y1, x2, y2, x, y):
                x0, y0 = line[-1] if line else (x1, y1)
                for piece in range(1, CURVE_PIECES + 1):
                    t = piece / CURVE_PIECES
                    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                    line.append((a * x0 + b * x1 + c * x2 + d * x, a * y0 + b * y1 + c * y2 + d * y))
            case Close():
                if line:
                    line.append(line[0])
    return [tuple(line) for line in lines if line]


def _arc_points(start: Point, arc: ArcTo) -> Iterator[Point]:
    """Points after ``start`` along an arc given by its end, after the centre form of SVG 1.1, F.6.5."""
    dx, dy = arc.x - start[0], arc.y - start[1]
    chord = hypot(dx, dy)
    if chord == 0 or arc.r == 0:
        yield (arc.x, arc.y)
        return
    r = max(arc.r, chord / 2)
    off = sqrt(max(0.0, r * r - chord * chord / 4)) * (1 if arc.large == arc.sweep else -1)
    cx = (start[0] + arc.x) / 2 + off * dy / chord
    cy = (start[1] + arc.y) / 2 - off * dx / chord
    first = atan2(start[1] - cy, start[0] - cx)
    turn = (atan2(arc.y - cy, arc.x - cx) - first) % tau
    if not arc.sweep:
        turn -= tau
    pieces = max(2, ceil(abs(turn) / (2 * acos(1 - min(1.0, FLAT_MM / r)))))
    for piece in range(1, pieces):
        angle = first + turn * piece / pieces
        yield (cx + r * cos(angle), cy + r * sin(angle))
    yield (arc.x, arc.y)


def bounds(points: Sequence[Point], grow: float = 0.0) -> Bounds:
    """Left, top, right and bottom of some points, grown on all sides."""
    xs, ys = zip(*points, strict=True)
    return min(xs) - grow, min(ys) - grow, max(xs) + grow, max(ys) + grow


def depth(one: Polygon, other: Polygon) -> float:
    """How far two convex polygons reach into one another in mm, 0 or less when they are apart.

    By separating axes: the least overlap over the directions square to all sides.
    """
    least = float("inf")
    for polygon in (one, other):
        for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
            length = hypot(x2 - x1, y2 - y1)
            if length == 0:
                continue
            nx, ny = (y2 - y1) / length, (x1 - x2) / length
            a = [x * nx + y * ny for x, y in one]
            b = [x * nx + y * ny for x, y in other]
            least = min(least, max(a) - min(b), max(b) - min(a))
            if least <= 0:
                return least
    return least


def inside(point: Point, outline: Polygon) -> bool:
    """Whether a point lies within a closed outline of any form, by the even-odd rule."""
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            odd = not odd
    return odd


def gap(point: Point, segment: Segment) -> float:
    """Distance of a point from a segment."""
    (x1, y1), (x2, y2) = segment
    dx, dy = x2 - x1, y2 - y1
    square = dx * dx + dy * dy
    part = min(1.0, max(0.0, ((point[0] - x1) * dx + (point[1] - y1) * dy) / square)) if square else 0.0
    return hypot(point[0] - x1 - part * dx, point[1] - y1 - part * dy)


def distance(one: Segment, other: Segment) -> float:
    """Shortest distance of two segments, 0 when they meet."""
    if crossing(one, other, 0.0):
        return 0.0
    return min(gap(one[0], other), gap(one[1], other), gap(other[0], one), gap(other[1], one))


def crossing(one: Segment, other: Segment, slack: float = 0.05) -> bool:
    """Whether two segments cross, each passing the other by more than ``slack`` mm; a touch of an end is none.

    Two that run on top of one another for more than ``slack`` cross as well.
    """
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    u, v = hypot(ux, uy), hypot(vx, vy)
    if u == 0 or v == 0:
        return False
    cross = ux * vy - uy * vx
    if abs(cross) < 1e-9 * u * v:
        if abs((cx - ax) * uy - (cy - ay) * ux) / u > 1e-6:
            return False
        c, d = (((x - ax) * ux + (y - ay) * uy) / u for x, y in other)
        return min(u, max(c, d)) - max(0.0, min(c, d)) > slack
    # How far each end lies off the line of the other segment, signed.
    a, b = (((x - cx) * vy - (y - cy) * vx) / v for x, y in one)
    c, d = (((x - ax) * uy - (y - ay) * ux) / u for x, y in other)
    return min(a, b) < -slack and max(a, b) > slack and min(c, d) < -slack and max(c, d) > slack


def enters(segment: Segment, box: Polygon, slack: float = 0.05) -> float:
    """Length in mm of a segment within a convex polygon shrunk by ``slack``; 0 when it stays out."""
    (x1, y1), (x2, y2) = segment
    length = hypot(x2 - x1, y2 - y1)
    first, last = 0.0, 1.0
    area = sum(x * q - p * y for (x, y), (p, q) in zip(box, (*box[1:], box[0]), strict=True))
    side = 1.0 if area > 0 else -1.0
    for (ax, ay), (bx, by) in zip(box, (*box[1:], box[0]), strict=True):
        edge = hypot(bx - ax, by - ay)
        if edge == 0:
            continue
        nx, ny = side * (ay - by) / edge, side * (bx - ax) / edge
        start = (x1 - ax) * nx + (y1 - ay) * ny - slack
        end = (x2 - ax) * nx + (y2 - ay) * ny - slack
        if start < 0 and end < 0:
            return 0.0
        if start < 0:
            first = max(first, start / (start - end))
        elif end < 0:
            last = min(last, start / (start - end))
    return max(0.0, last - first) * length


def hull(points: Sequence[Point]) -> Polygon:
    """The convex polygon around some points, by the monotone chain."""
    sorted_points = sorted(set(points))
    if len(sorted_points) < 3:
        return tuple(sorted_points)
    chain: list[Point] = []
    for ordered in (sorted_points, sorted_points[::-1]):
        base = len(chain)
        for point in ordered:
            while len(chain) - base >= 2 and _turn(chain[-2], chain[-1], point) <= 0:
                chain.pop()
            chain.append(point)
        chain.pop()
    return tuple(chain)


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


class Grid:
    """Where things lie, in squares of some mm, so that only neighbours are compared."""

    def __init__(self, square: float = 12.0) -> None:
        self.square = square
        self.cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def _keys(self, box: Bounds) -> Iterator[tuple[int, int]]:
        left, top, right, low = (int(side // self.square) for side in box)
        return ((column, row) for column in range(left, right + 1) for row in range(top, low + 1))

    def put(self, index: int, box: Bounds) -> None:
        """Remember that the thing of this index lies within the box."""
        for key in self._keys(box):
            self.cells[key].append(index)

    def near(self, box: Bounds) -> list[int]:
        """Indices of things that may reach into the box, in the order of their indices."""
        return sorted({index for key in self._keys(box) for index in self.cells.get(key, ())})
