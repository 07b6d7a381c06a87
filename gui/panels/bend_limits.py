"""Which bend limit a drawn route has, whose it is, and how each of its bends stands against it.

Radii in millimetres. The limit of a sheath is its cable's bend under load, of a tube the tube's, of drops that of their
stripped part or of the transport tube about them; the largest of a bundle counts. No widget is known here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gui.marks import State
from model.entities import Route, Support
from model.errors import PlantError
from model.geometry.course import Bend, Course
from model.layout import TRANSPORT_BEND_MM, Drawn
from model.lookup import find_stop
from model.plant import Plant
from model.rules.bends import route_least_mm, sheath_limit_mm
from model.rules.context import Here
from model.rules.profiles import profile_of


@dataclass(frozen=True, slots=True)
class BendLimit:
    """The least radius a route may have, and whose it is: sheath, tube, fibre, transport tube."""

    radius_mm: float
    whose: str


def bend_limit(plant: Plant, route: Route) -> BendLimit | None:
    """The limit that binds a route, the same as the bend rules use; None when nothing it carries has one."""
    rule = {"sheath": "bend.sheath", "tube": "bend.tube", "bundle": "bend.drop"}[route.kind]
    own = dict(profile_of(plant).limits).get(rule, 0.0)
    found: list[BendLimit] = []
    if route.transport_od_mm is not None:
        found.append(BendLimit(TRANSPORT_BEND_MM, "transport tube"))
    for stop in route.stops:
        try:
            cable, index = find_stop(plant, stop)
        except PlantError:
            continue
        kind = plant.cable_types[cable.type]
        if route.kind == "sheath":
            found.append(BendLimit(sheath_limit_mm(Here(cable, index, kind), own), "sheath"))
        else:
            found.append(BendLimit(own or route_least_mm(plant, kind, route), "tube"))
    found = [limit for limit in found if limit.radius_mm > 0]
    return max(found, key=lambda limit: limit.radius_mm) if found else None


@dataclass(frozen=True, slots=True)
class Corner:
    """One bend of a route: its name on the canvas, the support that makes it, and the radius there.

    ``radius_mm`` is 0 for a kink. ``support`` is an index into the route's supports.
    """

    name: str
    support: int
    radius_mm: float
    state: State


def support_names(route: Route) -> list[str]:
    """What each support is called: the ends, C1, C2 ... for corners, the guide's name for wraps."""
    names = []
    corners = 0
    for index, support in enumerate(route.supports):
        if index == 0:
            names.append("Start")
        elif index == len(route.supports) - 1:
            names.append("Tray entry" if route.tray else "End")
        elif support.kind == "wrap" and support.guide:
            names.append(support.guide[:1].upper() + support.guide[1:])
        else:
            corners += 1
            names.append(f"C{corners}")
    return names


def _made_by(support: Support, bend: Bend) -> bool:
    if not math.isclose(support.radius_mm, bend.radius_mm, rel_tol=1e-9, abs_tol=1e-9):
        return False
    apart = math.hypot(support.x_mm - bend.arc.cx, support.y_mm - bend.arc.cy)
    # A fillet's centre lies at R / cos(turn / 2) from its corner, a wrap's on the support itself.
    wanted = 0.0 if support.kind == "wrap" else bend.radius_mm / math.cos(bend.sweep_rad / 2)
    return abs(apart - wanted) <= 1e-6 * max(1.0, bend.radius_mm)


def radii_at(route: Route, course: Course) -> dict[int, float]:
    """Radius of the bend at every support that bends the route, 0 where it kinks."""
    found = {kink.support: 0.0 for kink in course.kinks if kink.support is not None}
    index = 1
    for bend in course.bends():
        while index < len(route.supports) - 1:
            support = route.supports[index]
            index += 1
            if support.kind != "anchor" and _made_by(support, bend):
                found[index - 1] = bend.radius_mm
                break
    return dict(sorted(found.items()))


def bend_state(radius_mm: float, limit: BendLimit | None) -> State:
    """A bend below its limit is an error; a millionth of a millimetre is rounding."""
    return "error" if limit is not None and radius_mm < limit.radius_mm - 1e-6 else "fine"


def corners(plant: Plant, drawn: Drawn) -> list[Corner]:
    """Every bend of a route in order; empty when it has no course."""
    if drawn.course is None:
        return []
    limit = bend_limit(plant, drawn.route)
    names = support_names(drawn.route)
    return [
        Corner(names[index], index, radius_mm, bend_state(radius_mm, limit))
        for index, radius_mm in radii_at(drawn.route, drawn.course).items()
    ]


@dataclass(frozen=True, slots=True)
class Tightest:
    """The most endangered bend of some routes: the smallest share of its own limit."""

    drawn: Drawn
    corner: Corner
    limit: BendLimit

    @property
    def share(self) -> float:
        """Radius over limit; below 1 is too tight."""
        return self.corner.radius_mm / self.limit.radius_mm


def tightest(plant: Plant, routes: tuple[Drawn, ...]) -> Tightest | None:
    """The most endangered bend; None when nothing bends or nothing is limited."""
    best: Tightest | None = None
    for drawn in routes:
        limit = bend_limit(plant, drawn.route)
        if limit is None:
            continue
        for corner in corners(plant, drawn):
            found = Tightest(drawn, corner, limit)
            if best is None or found.share < best.share:
                best = found
    return best
