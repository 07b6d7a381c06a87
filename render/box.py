"""A box on the page: left, top, width and height in millimetres, y downwards.

Blocks, gutters and obstacles are measured with it, and straight strokes are tested against it and against
each other. It is a plain tuple, so that it can stand as the frame of a drawing.
"""

from __future__ import annotations

import math
from typing import NamedTuple


class Box(NamedTuple):
    """Left, top, width and height in mm."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge, mm."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Lower edge, mm."""
        return self.y + self.height

    def grown(self, pad: float) -> Box:
        """The box with ``pad`` mm more on every side (less, if negative)."""
        return Box(self.x - pad, self.y - pad, self.width + 2 * pad, self.height + 2 * pad)

    def overlaps(self, other: Box) -> bool:
        """Whether the two share some area; touching edges do not count."""
        return self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom

    def holds(self, other: Box, slack: float = 1e-6) -> bool:
        """Whether ``other`` lies inside, edges included."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


class Leg(NamedTuple):
    """A straight stroke from (x1, y1) to (x2, y2), mm."""

    x1: float
    y1: float
    x2: float
    y2: float

    @property
    def length(self) -> float:
        """Length in mm."""
        return math.hypot(self.x2 - self.x1, self.y2 - self.y1)


def leg_meets_box(leg: Leg, box: Box) -> bool:
    """Whether any point of the stroke lies in the box, edges included.

    The stroke is clipped against the four sides in turn (Liang and Barsky's method).
    """
    dx, dy = leg.x2 - leg.x1, leg.y2 - leg.y1
    start, end = 0.0, 1.0
    for step, room in (
        (-dx, leg.x1 - box.x),
        (dx, box.right - leg.x1),
        (-dy, leg.y1 - box.y),
        (dy, box.bottom - leg.y1),
    ):
        if step == 0.0:
            if room < 0.0:
                return False
            continue
        share = room / step
        if step < 0.0:
            start = max(start, share)
        else:
            end = min(end, share)
        if start > end:
            return False
    return True


def legs_cross(a: Leg, b: Leg) -> bool:
    """Whether the two strokes share a point; a touch counts."""
    d1 = _turn(a.x1, a.y1, a.x2, a.y2, b.x1, b.y1)
    d2 = _turn(a.x1, a.y1, a.x2, a.y2, b.x2, b.y2)
    d3 = _turn(b.x1, b.y1, b.x2, b.y2, a.x1, a.y1)
    d4 = _turn(b.x1, b.y1, b.x2, b.y2, a.x2, a.y2)
    if d1 * d2 > 0.0 or d3 * d4 > 0.0:
        return False
    if d1 == d2 == d3 == d4 == 0.0:
        return max(min(a.x1, a.x2), min(b.x1, b.x2)) <= min(max(a.x1, a.x2), max(b.x1, b.x2)) and max(
            min(a.y1, a.y2), min(b.y1, b.y2)
        ) <= min(max(a.y1, a.y2), max(b.y1, b.y2))
    return True


def legs_nearer_than(a: Leg, b: Leg, gap: float) -> bool:
    """Whether the two strokes cross or come nearer to each other than ``gap`` mm."""
    if (
        min(a.x1, a.x2) - gap > max(b.x1, b.x2)
        or min(b.x1, b.x2) - gap > max(a.x1, a.x2)
        or min(a.y1, a.y2) - gap > max(b.y1, b.y2)
        or min(b.y1, b.y2) - gap > max(a.y1, a.y2)
    ):
        return False
    # Two strokes that do not cross are nearest to each other at one of their four ends.
    return (
        legs_cross(a, b)
        or _to_leg(a.x1, a.y1, b) < gap
        or _to_leg(a.x2, a.y2, b) < gap
        or _to_leg(b.x1, b.y1, a) < gap
        or _to_leg(b.x2, b.y2, a) < gap
    )


def _turn(ax: float, ay: float, bx: float, by: float, px: float, py: float) -> float:
    return (bx - ax) * (py - ay) - (by - ay) * (px - ax)


def _to_leg(px: float, py: float, leg: Leg) -> float:
    dx, dy = leg.x2 - leg.x1, leg.y2 - leg.y1
    square = dx * dx + dy * dy
    share = 0.0 if square == 0.0 else ((px - leg.x1) * dx + (py - leg.y1) * dy) / square
    share = min(1.0, max(0.0, share))
    return math.hypot(px - leg.x1 - share * dx, py - leg.y1 - share * dy)
