"""Judging one route while it moves: its exact course, its tightest bend against its own limit, its length. No Qt.

This is what a drag shows in every frame; the rules then say the same after the edit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gui.panels.bend_limits import bend_limit, radii_at, support_names
from model.entities import Route, Support
from model.geometry.course import Bend, Course
from model.geometry.errors import GeometryError
from model.layout import course_of
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class Judged:
    """A route as it would be: its course or the reason why it has none, and how it stands to its limit."""

    route: Route
    course: Course | None
    fault: str
    limit_mm: float
    whose: str
    tight: Bend | None
    place: str

    @property
    def radius_mm(self) -> float | None:
        """Tightest radius; 0 for a kink; None for a straight course or none."""
        if self.course is None:
            return None
        if self.course.kinks:
            return 0.0
        return self.tight.radius_mm if self.tight else None

    @property
    def bad(self) -> bool:
        """True when it cannot be drawn or bends tighter than it may."""
        radius = self.radius_mm
        return bool(self.fault) or (radius is not None and radius < self.limit_mm - 1e-6)


def judge(plant: Plant, route: Route) -> Judged:
    """How a route stands; never raises for a course that cannot be."""
    found = bend_limit(plant, route)
    limit_mm, whose = (found.radius_mm, found.whose) if found else (0.0, "")
    try:
        course = course_of(route)
    except GeometryError as fault:
        return Judged(route, None, str(fault), limit_mm, whose, None, "")
    bends = course.bends()
    tight = min(bends, key=lambda b: (b.radius_mm, b.start_mm)) if bends else None
    radii = radii_at(route, course)
    place = support_names(route)[min(radii, key=lambda i: (radii[i], i))] if radii else ""
    return Judged(route, course, "", limit_mm, whose, tight, place)


def with_support(route: Route, index: int, support: Support) -> Route:
    """The route with one support replaced."""
    return replace(route, supports=(*route.supports[:index], support, *route.supports[index + 1 :]))


def moved(route: Route, index: int, x_mm: float, y_mm: float) -> Route:
    """The route with a corner moved to a point, or a wrap's lane drawn out to it.

    A corner and the corners beside it keep their fillets where they fit, else take the largest that do: so a corner
    pulled too close to its neighbours bends tighter, and they with it, as the tube would. Where a held end would kink,
    a corner near it eases the way.
    """
    support = route.supports[index]
    if support.kind == "wrap":
        reach = ((x_mm - support.x_mm) ** 2 + (y_mm - support.y_mm) ** 2) ** 0.5
        return eased(with_support(route, index, replace(support, radius_mm=round(max(reach, 1.0), 3))))
    placed = with_support(route, index, replace(support, x_mm=round(x_mm, 3), y_mm=round(y_mm, 3)))
    return eased(placed if support.kind != "corner" else relaxed(placed, index))


def level_with(route: Route, index: int, x_mm: float, y_mm: float, reach_mm: float) -> tuple[float, float]:
    """A corner's place, level with or plumb over a neighbouring end or corner that it is within reach of being so.

    An end that is held in a direction keeps it that way, without a kink.
    """
    if route.supports[index].kind != "corner":
        return x_mm, y_mm
    near = [route.supports[i] for i in (index - 1, index + 1) if route.supports[i].kind != "wrap"]
    plumb = min(near, key=lambda s: abs(s.x_mm - x_mm), default=None)
    level = min(near, key=lambda s: abs(s.y_mm - y_mm), default=None)
    x = plumb.x_mm if plumb is not None and abs(plumb.x_mm - x_mm) <= reach_mm else x_mm
    y = level.y_mm if level is not None and abs(level.y_mm - y_mm) <= reach_mm else y_mm
    return x, y


def relaxed(route: Route, index: int) -> Route:
    """The route with the fillets at a corner and beside it no larger than one radius: the largest that can be drawn."""
    near = range(max(index - 1, 0), min(index + 2, len(route.supports)))
    fillets = [route.supports[i].radius_mm for i in near if route.supports[i].kind == "corner"]

    def capped(most_mm: float) -> Route:
        made = route
        for i in near:
            support = made.supports[i]
            if support.kind == "corner" and support.radius_mm > most_mm:
                made = with_support(made, i, replace(support, radius_mm=round(most_mm, 3)))
        return made

    if _draws(route) or not fillets or not _draws(capped(0.0)):
        return route
    low, high = 0.0, max(fillets)
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if _draws(capped(middle)) else (low, middle)
    return capped(low * 0.9999)


def widest(route: Route, index: int, most_mm: float) -> Route:
    """The route with the largest fillet up to ``most_mm`` at a corner that its straights leave room for."""
    support = route.supports[index]
    whole = with_support(route, index, replace(support, radius_mm=most_mm))
    if _draws(whole):
        return whole
    low, high = 0.0, most_mm
    for _ in range(24):
        middle = (low + high) / 2
        if _draws(with_support(route, index, replace(support, radius_mm=middle))):
            low = middle
        else:
            high = middle
    return with_support(route, index, replace(support, radius_mm=round(low * 0.9999, 3)))


EASE_SHARE, EASE_MOST_MM, EASE_RADIUS_MM = 0.4, 60.0, 120.0
"""How far along its heading a held end runs straight before it turns: a share of the way, at most so many mm; and the
largest fillet there."""


def eased(route: Route) -> Route:
    """The route with a filleted corner beside each end that is held in a direction it would not follow."""
    try:
        course = course_of(route)
    except GeometryError:
        return route
    kinked = {kink.support for kink in course.kinks if abs(kink.angle_rad) > 0.005}
    last = len(route.supports) - 1
    for at, beside in ((last, last - 1), (0, 1)):
        end = route.supports[at]
        if at not in kinked or end.heading_deg is None:
            continue
        x, y = _easing_place(end, route.supports[beside], 1.0 if at == 0 else -1.0)
        corner = Support("corner", round(x, 3), round(y, 3), 0.0)
        place = 1 if at == 0 else at
        grown = replace(route, supports=(*route.supports[:place], corner, *route.supports[place:]))
        if _draws(grown):
            route = widest(grown, place, EASE_RADIUS_MM)
    return route


def _easing_place(end: Support, other: Support, way: float) -> tuple[float, float]:
    """Where a held end is eased toward its neighbour; ``way`` is 1 along its heading, -1 against it."""
    run = way * min(EASE_SHARE * math.hypot(other.x_mm - end.x_mm, other.y_mm - end.y_mm), EASE_MOST_MM)
    heading = math.radians(end.heading_deg or 0.0)
    return end.x_mm + run * math.cos(heading), end.y_mm + run * math.sin(heading)


def shifted(before: Route, after: Route, index: int) -> int:
    """Where a support stands after a move: one place further where an easing corner was put before it."""
    if len(after.supports) == len(before.supports):
        return index
    end, first, other = after.supports[:3]
    x, y = _easing_place(end, other, 1.0)
    return index + 1 if math.hypot(first.x_mm - x, first.y_mm - y) < 0.01 and end.heading_deg is not None else index


def _draws(route: Route) -> bool:
    try:
        course_of(route)
    except GeometryError:
        return False
    return True


def just_legal(plant: Plant, start: Route, index: int, x_mm: float, y_mm: float) -> Route | None:
    """The farthest place that keeps the limit on the way from a support's place in ``start`` to a point, if any."""
    support = start.supports[index]
    home = (support.x_mm, support.y_mm)
    if support.kind == "wrap":
        home = (support.x_mm, support.y_mm - support.radius_mm)
    if judge(plant, start).bad:
        return None
    low, high = 0.0, 1.0
    for _ in range(18):
        middle = (low + high) / 2
        at = (home[0] + (x_mm - home[0]) * middle, home[1] + (y_mm - home[1]) * middle)
        if judge(plant, moved(start, index, *at)).bad:
            high = middle
        else:
            low = middle
    return moved(start, index, home[0] + (x_mm - home[0]) * low, home[1] + (y_mm - home[1]) * low)


def farthest_drawn(
    start: Route, index: int, near: tuple[float, float], wanted: tuple[float, float]
) -> tuple[float, float]:
    """The farthest place from ``near``, where the support of ``start`` has a course, straight toward ``wanted``."""
    low, high = 0.0, 1.0
    for _ in range(12):
        middle = (low + high) / 2
        at = [a + (b - a) * middle for a, b in zip(near, wanted, strict=True)]
        low, high = (middle, high) if _draws(moved(start, index, *at)) else (low, middle)
    x, y = (a + (b - a) * low for a, b in zip(near, wanted, strict=True))
    return x, y


CURE_STEP_MM, CURE_REACH_MM, CURE_WAYS = 2.0, 80.0, 16
"""How finely, how far and in how many directions a place is looked for where a corner has room for its fillet."""


def nearest_legal(plant: Plant, route: Route) -> Route | None:
    """The route with one corner moved as little as will do for it to keep its limit; None where no such place is near.

    Every corner is tried; a corner tighter than the limit takes the limit for its fillet.
    """
    start = judge(plant, route)
    if not start.bad or start.limit_mm <= 0:
        return None
    corners = [index for index, support in enumerate(route.supports) if support.kind == "corner"]
    for ring in range(round(CURE_REACH_MM / CURE_STEP_MM) + 1):
        for index in corners:
            support = route.supports[index]
            radius_mm = max(support.radius_mm, start.limit_mm)
            for way in range(CURE_WAYS if ring else 1):
                angle = 2 * math.pi * way / CURE_WAYS
                x = support.x_mm + ring * CURE_STEP_MM * math.cos(angle)
                y = support.y_mm + ring * CURE_STEP_MM * math.sin(angle)
                placed = replace(support, x_mm=round(x, 3), y_mm=round(y, 3), radius_mm=radius_mm)
                made = with_support(route, index, placed)
                if not judge(plant, made).bad:
                    return made
    return None
