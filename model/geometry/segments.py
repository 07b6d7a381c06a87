"""The two pieces every route is made of: a straight and a circular arc, both exact.

Millimetres, y down, angles in radians growing clockwise on the page. Positions along a piece are
``s`` in mm from its start. A straight may rise or fall on its way (its length then is the slope);
an arc lies flat. Nothing here knows what runs along the piece or how it is drawn.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from model.geometry.angles import TAU
from model.geometry.errors import GeometryError, require_finite, require_positive

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom in mm."""

SLACK_MM = 1e-6
"""Positions this far outside a piece are its end: sums of many lengths round by far less."""


def within(s: float, length_mm: float) -> float:
    """``s`` clamped into [0, length]; GeometryError when it lies outside by more than rounding."""
    if not -SLACK_MM <= s <= length_mm + SLACK_MM:
        raise GeometryError(f"position {s:g} mm is not on this piece; give 0 to {length_mm:g} mm")
    return min(max(s, 0.0), length_mm)


def inside(s: float, length_mm: float) -> float:
    """``s`` if it lies strictly between the ends of a piece; GeometryError otherwise."""
    if not 0 < s < length_mm:
        raise GeometryError(f"cannot cut at {s:g} mm; give a place between 0 and {length_mm:g} mm")
    return s


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight from (x1, y1) to (x2, y2) in mm that rises by ``rise_mm`` on its way."""

    x1: float
    y1: float
    x2: float
    y2: float
    rise_mm: float = 0.0

    def __post_init__(self) -> None:
        require_finite("straight", self.x1, self.y1, self.x2, self.y2, self.rise_mm)

    @property
    def plan_mm(self) -> float:
        """Length seen from above."""
        return math.hypot(self.x2 - self.x1, self.y2 - self.y1)

    @property
    def length_mm(self) -> float:
        """True length: plan and rise at right angles."""
        return math.hypot(self.plan_mm, self.rise_mm)

    @property
    def start(self) -> Point:
        """First point."""
        return (self.x1, self.y1)

    @property
    def end(self) -> Point:
        """Last point."""
        return (self.x2, self.y2)

    @property
    def start_heading(self) -> float:
        """Direction of travel on the page; 0 for a piece that only rises."""
        return math.atan2(self.y2 - self.y1, self.x2 - self.x1)

    @property
    def end_heading(self) -> float:
        """As at the start."""
        return self.start_heading

    @property
    def bbox(self) -> Box:
        """Smallest upright box around the straight."""
        return (
            min(self.x1, self.x2),
            min(self.y1, self.y2),
            max(self.x1, self.x2),
            max(self.y1, self.y2),
        )

    def point_at(self, s: float) -> Point:
        """Point ``s`` mm of true length from the start; GeometryError off the piece."""
        length = self.length_mm
        part = within(s, length) / length if length else 0.0
        if part == 1.0:  # x1 + (x2 - x1) need not round to x2
            return self.end
        return (self.x1 + part * (self.x2 - self.x1), self.y1 + part * (self.y2 - self.y1))

    def heading_at(self, s: float) -> float:
        """Direction of travel at ``s``; GeometryError off the piece."""
        within(s, self.length_mm)
        return self.start_heading

    def split_at(self, s: float) -> tuple[Straight, Straight]:
        """Two straights meeting at ``s``, the rise shared by length; ``s`` strictly inside."""
        length = self.length_mm
        x, y = self.point_at(inside(s, length))
        rise = self.rise_mm * s / length
        return Straight(self.x1, self.y1, x, y, rise), Straight(x, y, self.x2, self.y2, self.rise_mm - rise)

    def reversed(self) -> Straight:
        """The same straight travelled the other way."""
        return Straight(self.x2, self.y2, self.x1, self.y1, -self.rise_mm)

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Distance in plan from (x, y), and the ``s`` of the nearest point."""
        dx, dy = self.x2 - self.x1, self.y2 - self.y1
        square = dx * dx + dy * dy
        along = ((x - self.x1) * dx + (y - self.y1) * dy) / square if square else 0.0
        part = min(max(along, 0.0), 1.0)
        gap = math.hypot(x - self.x1 - part * dx, y - self.y1 - part * dy)
        return gap, part * self.length_mm


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc around (cx, cy) from ``start_rad`` through ``sweep_rad``, positive clockwise on the page.

    The sweep may exceed a whole turn: a coil of three turns is one arc of 6*pi.
    """

    cx: float
    cy: float
    radius_mm: float
    start_rad: float
    sweep_rad: float

    def __post_init__(self) -> None:
        require_finite("arc", self.cx, self.cy, self.start_rad, self.sweep_rad)
        require_positive("arc radius in mm", self.radius_mm)

    @property
    def side(self) -> int:
        """+1 when travelled clockwise on the page, -1 when counter-clockwise."""
        return -1 if self.sweep_rad < 0 else 1

    @property
    def end_rad(self) -> float:
        """Angle of the last point as seen from the centre."""
        return self.start_rad + self.sweep_rad

    @property
    def length_mm(self) -> float:
        """Radius times swept angle."""
        return self.radius_mm * abs(self.sweep_rad)

    @property
    def start(self) -> Point:
        """First point."""
        return self._at_angle(self.start_rad)

    @property
    def end(self) -> Point:
        """Last point."""
        return self._at_angle(self.end_rad)

    @property
    def start_heading(self) -> float:
        """Direction of travel at the first point, not folded into one turn."""
        return self.start_rad + self.side * math.pi / 2

    @property
    def end_heading(self) -> float:
        """Direction of travel at the last point, not folded into one turn."""
        return self.end_rad + self.side * math.pi / 2

    @property
    def bbox(self) -> Box:
        """Smallest upright box around the arc, exact at the quadrant points it passes."""
        low, high = sorted((self.start_rad, self.end_rad))
        points = [self.start, self.end]
        first = math.ceil(low / (math.pi / 2))
        for quarter in range(first, min(math.floor(high / (math.pi / 2)), first + 3) + 1):
            ux, uy = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]
            points.append((self.cx + ux * self.radius_mm, self.cy + uy * self.radius_mm))
        xs, ys = zip(*points, strict=True)
        return (min(xs), min(ys), max(xs), max(ys))

    def _at_angle(self, angle_rad: float) -> Point:
        return (
            self.cx + self.radius_mm * math.cos(angle_rad),
            self.cy + self.radius_mm * math.sin(angle_rad),
        )

    def point_at(self, s: float) -> Point:
        """Point ``s`` mm along the arc from its start; GeometryError off the piece."""
        s = within(s, self.length_mm)
        return self._at_angle(self.start_rad + self.side * s / self.radius_mm)

    def heading_at(self, s: float) -> float:
        """Direction of travel at ``s``, not folded into one turn; GeometryError off the piece."""
        return self.start_heading + self.side * within(s, self.length_mm) / self.radius_mm

    def split_at(self, s: float) -> tuple[Arc, Arc]:
        """Two arcs of the same circle meeting at ``s``, which lies strictly inside."""
        swept = self.side * inside(s, self.length_mm) / self.radius_mm
        return (
            Arc(self.cx, self.cy, self.radius_mm, self.start_rad, swept),
            Arc(self.cx, self.cy, self.radius_mm, self.start_rad + swept, self.sweep_rad - swept),
        )

    def reversed(self) -> Arc:
        """The same arc travelled the other way."""
        return Arc(self.cx, self.cy, self.radius_mm, self.end_rad, -self.sweep_rad)

    def passes_at(self, x: float, y: float) -> list[float]:
        """Every ``s`` at which the arc stands in the direction of (x, y) seen from its centre.

        One entry per turn, in order; empty where the arc does not reach that direction.
        """
        first = (self.side * (math.atan2(y - self.cy, x - self.cx) - self.start_rad)) % TAU
        slack = SLACK_MM / 1000 / self.radius_mm
        if first > TAU - slack:  # just before the start is the start
            first = 0.0
        total = abs(self.sweep_rad)
        turns = math.floor((total + slack - first) / TAU) + 1
        return [min(first + TAU * turn, total) * self.radius_mm for turn in range(max(turns, 0))]

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """Distance in plan from (x, y), and the ``s`` of the nearest point (of the first turn)."""
        places = self.passes_at(x, y)
        if places:
            return abs(math.hypot(x - self.cx, y - self.cy) - self.radius_mm), places[0]
        to_start = math.hypot(x - self.start[0], y - self.start[1])
        to_end = math.hypot(x - self.end[0], y - self.end[1])
        return (to_start, 0.0) if to_start <= to_end else (to_end, self.length_mm)


Segment = Straight | Arc
