"""First routes in a body whose cables come in at its two ends: along it, round the bay, and to either side of a tray.

Like ``drafting`` it proposes courses of straights and true arcs, in millimetres on the enclosure type, and says by an
EditError where none fits. Works for entries that head along the page, to the right or to the left.
"""

from __future__ import annotations

from math import cos, pi, radians, sin

from model.drafting_parts import (
    Course,
    bay_of,
    entry_named,
    facing_corner,
    lane_of_length,
    lanes,
    opened_pair,
    s_supports,
    sheath_end,
    uncut_routes,
)
from model.entities import Cable, Enclosure, Route, Stop, Support, Tray
from model.errors import EditError
from model.ids import RouteId
from model.layout import course_of
from model.parts import Bay, Entry
from model.plant import Plant


def along(entry: Entry) -> bool:
    """True for an entry that heads along the page, to the right or the left."""
    return abs(sin(radians(entry.heading_deg))) < 1e-6


def comes_across(enclosure: Enclosure, entry: Entry) -> bool:
    """True for an entry that heads along the page, False for one that heads up it; raises EditError for any other."""
    if along(entry):
        return True
    if abs(entry.heading_deg + 90.0) > 1e-6:
        raise EditError(
            f"entry {entry.name} heads neither up the page nor along it", where=enclosure.name, hint="Draw it by hand"
        )
    return False


def _rightward(entry: Entry) -> bool:
    return cos(radians(entry.heading_deg)) > 0


def to_tray(
    plant: Plant, enclosure: Enclosure, entry: Entry, tray: Tray, *, index: int = 0, shift_mm: float = 0.0
) -> Course:
    """From an entry's sheath end by one long S to the side of a tray that faces it. ``index`` counts the corners."""
    x, y = sheath_end(entry)
    corner = facing_corner(plant, enclosure, tray, "tube" if _rightward(entry) else "drop", index)
    return (
        Support("anchor", x, y + shift_mm, heading_deg=entry.heading_deg),
        *s_supports(x, y + shift_mm, corner.x_mm, corner.y_mm, vertical=False),
        Support("anchor", corner.x_mm, corner.y_mm, heading_deg=corner.heading_deg),
    )


def opened_across(
    plant: Plant, enclosure: Enclosure, cable: Cable, stop: Stop, tube: int, tray: Tray, *, index: int = 0
) -> tuple[Route, Route]:
    """Both ends of an opened tube, each from its own end of the body to the tray. Raises EditError where none fits."""

    def course(entry: Entry, _: int, shift_mm: float) -> Course:
        return to_tray(plant, enclosure, entry, tray, index=index, shift_mm=shift_mm)

    return opened_pair(plant, enclosure, cable, stop, tube, tray, course)


def express_across(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tubes: tuple[int, ...],
    opening_mm: float,
    *,
    extra_outer: int = 0,
    level: int = 1,
) -> list[Route]:
    """Routes of the uncut tubes from one end of the body round the bay to the other, or back to the same end.

    The mean lane is the one on which the mean course is just the opening: most whole turns first. Raises EditError
    when the opening is too short, or where a course would kink, leave the box or bend below the tube's limit.
    """
    bay = bay_of(plant, enclosure)
    kind = plant.cable_types[cable.type]
    way = _Way(bay, entry_named(plant, enclosure, stop.entry_in), entry_named(plant, enclosure, stop.entry_out))
    low, high, pitch = lanes(bay, kind, len(tubes))
    lane, turns = _solved(way, opening_mm, low, high)

    def course(lane_mm: float, offset_mm: float) -> Course:
        return way.supports(lane_mm, turns, offset_mm)

    return uncut_routes(plant, enclosure, cable, stop, tubes, lane, pitch, course, extra_outer=extra_outer, level=level)


class _Way:
    """How a cable comes in, goes round the bay and out again: at which side of the bay, and in which sense."""

    def __init__(self, bay: Bay, entry_in: Entry, entry_out: Entry) -> None:
        if bay.straight_mm:
            raise EditError("the bay is long and the cable comes in across it", hint="Draw it by hand")
        self.bay = bay
        self.a, self.b = sheath_end(entry_in), sheath_end(entry_out)
        self.heading_in, self.heading_out = entry_in.heading_deg, entry_out.heading_deg + 180.0
        self.back = _rightward(entry_in) == _rightward(entry_out)
        top = self.a[1] <= self.b[1] if self.back else self.a[1] + self.b[1] <= 2 * bay.y_mm
        self.near, self.far = (-1.0, 1.0) if top else (1.0, -1.0)
        self.side = 1 if top == _rightward(entry_in) else -1

    def supports(self, lane_mm: float, turns: int, offset_mm: float = 0.0) -> Course:
        """Supports of one tube on a lane, ``offset_mm`` off the sheath's axis; with no turn it passes the bay by."""
        bay, (ax, ay), (bx, by) = self.bay, self.a, self.b
        ay, by = ay + offset_mm, by + offset_mm
        start = Support("anchor", ax, ay, heading_deg=self.heading_in)
        end = Support("anchor", bx, by, heading_deg=self.heading_out)
        if not turns and not self.back:
            return (start, *s_supports(ax, ay, bx, by, vertical=False), end)
        y1 = bay.y_mm + self.near * lane_mm
        y2 = bay.y_mm + (self.far if self.back else self.near) * lane_mm
        return (
            start,
            *s_supports(ax, ay, bay.x_mm, y1, vertical=False),
            Support("wrap", bay.x_mm, bay.y_mm, lane_mm, self.side, turns, guide=bay.name),  # type: ignore[arg-type]
            *s_supports(bay.x_mm, y2, bx, by, vertical=False),
            end,
        )

    def length_mm(self, lane_mm: float, turns: int) -> float:
        """Length of the course on a lane."""
        route = Route(RouteId("mean"), "", "tube", (), self.supports(lane_mm, turns))  # type: ignore[arg-type]
        return course_of(route).length_mm


def _solved(way: _Way, opening_mm: float, low_mm: float, high_mm: float) -> tuple[float, int]:
    """(mean lane, whole turns) that take up an opening: the most turns whose lane fits, else the nearest lane."""
    least = way.length_mm(low_mm, 0)
    if opening_mm < least - 1e-6:
        raise EditError(
            f"an opening of {opening_mm:.0f} mm is too short to reach from entry to entry",
            hint=f"Open at least {least:.0f} mm",
        )
    for turns in range(int(opening_mm / (2 * pi * low_mm)) + 1, 0, -1):
        if way.length_mm(low_mm, turns) > opening_mm:
            continue
        if way.length_mm(high_mm, turns) < opening_mm:
            return high_mm, turns
        return lane_of_length(lambda lane, turns=turns: way.length_mm(lane, turns), opening_mm, low_mm, high_mm), turns  # type: ignore[misc]
    if way.back and way.length_mm(high_mm, 0) > opening_mm:
        return lane_of_length(lambda lane: way.length_mm(lane, 0), opening_mm, low_mm, high_mm), 0
    return high_mm, 0
