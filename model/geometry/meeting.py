"""Where two pieces of route meet on the page: line with line, line with arc, arc with arc.

Answers in closed form, as (s on the first, s on the second, x, y) in mm. Touching counts as meeting.
Pieces that lie on one another over a stretch (same line, same circle) have no single meeting point
and give none. Levels are not looked at: on the page a tube above another crosses it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from model.geometry.segments import Arc, Point, Segment, Straight

TOUCH_MM = 1e-9


class Crossing(NamedTuple):
    """A common point: mm along the first, mm along the second, and the point in mm."""

    at_mm: float
    other_mm: float
    x: float
    y: float


def meetings(first: Segment, second: Segment) -> list[Crossing]:
    """All common points of two pieces; an arc of several turns reports each of its passes."""
    if not _boxes_touch(first, second):
        return []
    return [
        Crossing(s, t, x, y)
        for x, y in _common_points(first, second)
        for s in _places(first, x, y)
        for t in _places(second, x, y)
    ]


def _boxes_touch(first: Segment, second: Segment) -> bool:
    left, top, right, bottom = first.bbox
    left2, top2, right2, bottom2 = second.bbox
    return (
        left <= right2 + TOUCH_MM
        and left2 <= right + TOUCH_MM
        and top <= bottom2 + TOUCH_MM
        and top2 <= bottom + TOUCH_MM
    )


def _common_points(first: Segment, second: Segment) -> list[Point]:
    """Common points of the whole lines and circles the pieces lie on."""
    if isinstance(first, Straight):
        return _line_line(first, second) if isinstance(second, Straight) else _line_circle(first, second)
    return _line_circle(second, first) if isinstance(second, Straight) else _circle_circle(first, second)


def _places(piece: Segment, x: float, y: float) -> list[float]:
    """Positions along the piece of a point known to lie on its line or circle."""
    if isinstance(piece, Arc):
        return piece.passes_at(x, y)
    gap, s = piece.nearest(x, y)
    return [s] if gap <= TOUCH_MM else []


def _line_line(one: Straight, two: Straight) -> list[Point]:
    ax, ay = one.x2 - one.x1, one.y2 - one.y1
    bx, by = two.x2 - two.x1, two.y2 - two.y1
    turn = ax * by - ay * bx
    if abs(turn) <= 1e-12 * math.hypot(ax, ay) * math.hypot(bx, by):
        return _shared_ends(one, two)
    part = ((two.x1 - one.x1) * by - (two.y1 - one.y1) * bx) / turn
    return [(one.x1 + part * ax, one.y1 + part * ay)]


def _shared_ends(one: Straight, two: Straight) -> list[Point]:
    """Parallel straights meet in a point only when one goes on where the other stops."""
    ends = [p for p in (one.start, one.end) if min(math.dist(p, two.start), math.dist(p, two.end)) <= TOUCH_MM]
    return ends if len(ends) == 1 and not _overlap(one, two) else []


def _overlap(one: Straight, two: Straight) -> bool:
    ux, uy = math.cos(one.start_heading), math.sin(one.start_heading)
    places = sorted((x - one.x1) * ux + (y - one.y1) * uy for x, y in (two.start, two.end))
    return min(places[1], one.plan_mm) - max(places[0], 0.0) > TOUCH_MM


def _line_circle(line: Straight, arc: Arc) -> list[Point]:
    plan = line.plan_mm
    if plan == 0:
        return []
    ux, uy = (line.x2 - line.x1) / plan, (line.y2 - line.y1) / plan
    along = (arc.cx - line.x1) * ux + (arc.cy - line.y1) * uy
    foot_x, foot_y = line.x1 + along * ux, line.y1 + along * uy
    aside = abs((arc.cx - line.x1) * uy - (arc.cy - line.y1) * ux)
    # A tangent found by rounding as two points would be reported twice, and far apart.
    if abs(aside - arc.radius_mm) <= TOUCH_MM:
        return [(foot_x, foot_y)]
    if aside > arc.radius_mm:
        return []
    half = math.sqrt((arc.radius_mm - aside) * (arc.radius_mm + aside))
    return [(foot_x - half * ux, foot_y - half * uy), (foot_x + half * ux, foot_y + half * uy)]


def _circle_circle(one: Arc, two: Arc) -> list[Point]:
    apart = math.hypot(two.cx - one.cx, two.cy - one.cy)
    if apart <= TOUCH_MM:
        return []
    ux, uy = (two.cx - one.cx) / apart, (two.cy - one.cy) / apart
    big, small = one.radius_mm, two.radius_mm
    along = (apart + (big - small) * (big + small) / apart) / 2
    foot_x, foot_y = one.cx + along * ux, one.cy + along * uy
    if abs(apart - big - small) <= TOUCH_MM or abs(apart - abs(big - small)) <= TOUCH_MM:
        return [(foot_x, foot_y)]
    square = (big - along) * (big + along)
    if square <= 0 or apart > big + small or apart < abs(big - small):
        return []
    half = math.sqrt(square)
    return [(foot_x + half * uy, foot_y - half * ux), (foot_x - half * uy, foot_y + half * ux)]
