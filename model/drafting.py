"""First routes for an enclosure, drafted to scale: legs, uncut tubes in the bay, opened tubes and drops to a tray.

A draft is a proposal like any other: routes a person then moves. Courses start on the axis of an entry's sheath end and
use only straights and true arcs; lanes keep a constant pitch. All lengths are millimetres on the enclosure type.
Works for enclosures whose bay lies straight above a pair of entries (heading up the page) with the tray to its right;
where a course would kink, leave the box or bend below the limit, an EditError says so instead of a bad draft.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin

from model.drafting_parts import (
    Course,
    bay_of,
    drops_bend_mm,
    drops_entry,
    drops_route,
    entry_named,
    lane_of_length,
    lanes,
    leg_offsets,
    opened_route,
    s_supports,
    sheath_end,
    tray_corners,
    uncut_routes,
)
from model.entities import Cable, Enclosure, Route, Stop, Support, Tray
from model.errors import EditError
from model.geometry.loops import racetrack_mm
from model.ids import RouteId
from model.layout import course_of
from model.lookup import enclosure_type
from model.parts import Bay
from model.plant import Plant


def sheath_leg(plant: Plant, enclosure: Enclosure, stop: Stop, entry_name: str, outside_mm: float = 44.0) -> Route:
    """A straight leg of sheath from outside through its entry and clamp to its end."""
    entry = entry_named(plant, enclosure, entry_name)
    heading = radians(entry.heading_deg)
    x, y = sheath_end(entry)
    start = (entry.x_mm - outside_mm * cos(heading), entry.y_mm - outside_mm * sin(heading))
    side = "<" if entry_name == stop.entry_in else ">"
    return Route(
        RouteId(f"sheath {stop.id}{side}"),
        enclosure.id,
        "sheath",
        (stop.id,),
        (
            Support("anchor", *start, heading_deg=entry.heading_deg),
            Support("anchor", x, y, heading_deg=entry.heading_deg),
        ),
        side=side,  # type: ignore[arg-type]  # a leg is on one side or the other
    )


def _wraps(bay: Bay, lane_mm: float, turns: int) -> list[Support]:
    """Clockwise up the left of a bay, ``turns`` and a half times round, and down its right."""
    if bay.straight_mm == 0:
        return [Support("wrap", bay.x_mm, bay.y_mm, lane_mm, 1, turns, guide=bay.name)]
    top, low = bay.y_mm - bay.straight_mm / 2, bay.y_mm + bay.straight_mm / 2
    upper = Support("wrap", bay.x_mm, top, lane_mm, 1, guide=bay.name)
    lower = Support("wrap", bay.x_mm, low, lane_mm, 1, guide=bay.name)
    return [upper, *([lower, upper] * turns)]


@dataclass(frozen=True, slots=True)
class Legs:
    """Where the two legs of a passing cable stand, and its offsets for each tube, outermost first."""

    a: tuple[float, float]
    b: tuple[float, float]


def legs_of(plant: Plant, enclosure: Enclosure, stop: Stop) -> Legs:
    """The two sheath ends of a passing cable."""
    return Legs(
        sheath_end(entry_named(plant, enclosure, stop.entry_in)),
        sheath_end(entry_named(plant, enclosure, stop.entry_out)),
    )


def express_course(bay: Bay, legs: Legs, offset: float, lane_mm: float, turns: int) -> Course:
    """Supports of one uncut tube: up leg A, round the bay, down leg B. ``offset`` is outward from both axes."""
    ax, ay = legs.a[0] - offset, legs.a[1]
    bx, by = legs.b[0] + offset, legs.b[1]
    low = bay.y_mm + bay.straight_mm / 2
    left, right = bay.x_mm - lane_mm, bay.x_mm + lane_mm
    return (
        Support("anchor", ax, ay, heading_deg=-90.0),
        *s_supports(ax, ay, left, low, vertical=True),
        *_wraps(bay, lane_mm, turns),
        *s_supports(right, low, bx, by, vertical=True),
        Support("anchor", bx, by, heading_deg=90.0),
    )


def express_routes(
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
    """Routes of the uncut tubes through the bay, lanes inner to outer in tube order.

    The mean lane is the one on which the mean course is just the opening: most whole turns first that keep every lane
    between hub and ring. Raises EditError when the opening is too short for half a turn, or where a course would kink,
    leave the box or bend below the tube's limit. Where the bay is narrower than the group, lanes lie closer than the
    tubes are thick: they are stacked, which the bay's section (not the plan) has to allow.
    ``extra_outer`` leaves room in the leg for as many opened tubes outside the group.
    """
    bay = bay_of(plant, enclosure)
    kind = plant.cable_types[cable.type]
    legs = legs_of(plant, enclosure, stop)
    low, high, pitch = lanes(bay, kind, len(tubes))
    lane, turns = solve_lane(bay, legs, opening_mm, low, high)

    def course(lane_mm: float, offset_mm: float) -> Course:
        return express_course(bay, legs, offset_mm, lane_mm, turns)

    return uncut_routes(plant, enclosure, cable, stop, tubes, lane, pitch, course, extra_outer=extra_outer, level=level)


def solve_lane(bay: Bay, legs: Legs, opening_mm: float, low_mm: float, high_mm: float) -> tuple[float, int]:
    """(mean lane radius, whole turns) that take up an opening in a bay: the most turns whose lane fits.

    Where no number of turns fits exactly, the nearest lane is taken; the remainder is then the drafter's to see.
    """
    low_y = bay.y_mm + bay.straight_mm / 2
    legs_mm = abs(legs.a[1] - low_y) + abs(legs.b[1] - low_y)
    stored = opening_mm - legs_mm
    least = pi * low_mm + 2 * bay.straight_mm
    if stored < least - 1e-6:
        raise EditError(
            f"an opening of {opening_mm:.0f} mm is too short to go round the bay",
            hint=f"Open at least {legs_mm + least:.0f} mm",
        )
    most = int((stored - least) / racetrack_mm(low_mm, bay.straight_mm) + 1e-9)
    for turns in range(most, -1, -1):
        straights = 2 * bay.straight_mm * (turns + 1)
        lane = (stored - straights) / (2 * pi * (turns + 0.5))
        if lane <= high_mm + 1e-9:
            return max(lane, low_mm), turns
    return high_mm, most


def opened_routes(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tube: int,
    tray: Tray,
    *,
    lane_mm: float | None = None,
    index: int = 0,
    of: int = 1,
    fillet_mm: float | None = None,
) -> tuple[Route, Route]:
    """Both ends of an opened tube to the tube side of a tray: A over the top of the bay, B straight up its leg.

    ``lane_mm`` is the radius at which A rounds the bay (default: just inside the ring). ``index`` of ``of`` opened
    tubes. Raises EditError where a course would kink, leave the box or bend below the tube's limit.
    """
    bay = bay_of(plant, enclosure)
    kind = plant.cable_types[cable.type]
    legs = legs_of(plant, enclosure, stop)
    corners = tray_corners(plant, enclosure, tray, "tube")
    if len(corners) < 2:
        raise EditError(f"tray {tray.name} has no two tube corners", hint="Choose another tray type")
    corner_a, corner_b = corners[min(2 * index, len(corners) - 2)], corners[min(2 * index + 1, len(corners) - 1)]
    lane = bay.ring_mm - kind.tube_od_mm if lane_mm is None else lane_mm
    offset = leg_offsets(len(kind.tubes), kind.tube_od_mm, kind.od_mm)[-1 - (of - 1 - index)]
    ax, ay = legs.a[0] - offset, legs.a[1]
    top, low = bay.y_mm - bay.straight_mm / 2, bay.y_mm + bay.straight_mm / 2
    left = bay.x_mm - lane
    a = (
        Support("anchor", ax, ay, heading_deg=-90.0),
        *s_supports(ax, ay, left, low, vertical=True),
        Support("wrap", bay.x_mm, top, lane, 1, guide=bay.name),
        *s_supports(bay.x_mm, top - lane, corner_a.x_mm, corner_a.y_mm, vertical=False),
        Support("anchor", corner_a.x_mm, corner_a.y_mm, heading_deg=corner_a.heading_deg),
    )
    bx, by = legs.b[0] + offset, legs.b[1]
    radius = fillet_mm if fillet_mm is not None else max(kind.tube_bend_mm * 1.05, 40.0)
    b = (
        Support("anchor", bx, by, heading_deg=-90.0),
        Support("corner", bx, corner_b.y_mm, radius),
        Support("anchor", corner_b.x_mm, corner_b.y_mm, heading_deg=corner_b.heading_deg),
    )
    return (
        opened_route(plant, enclosure, cable, stop, tube, "<", a, tray),
        opened_route(plant, enclosure, cable, stop, tube, ">", b, tray),
    )


def tune_bare(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tube: int,
    tray: Tray,
    tubes_mm: float,
) -> tuple[Route, Route] | None:
    """The opened tube's routes with the lane of A chosen so that both together are ``tubes_mm``; None if none does."""
    bay = bay_of(plant, enclosure)
    low, high = bay.hub_mm, bay.ring_mm

    def length(lane_mm: float) -> float:
        pair = opened_routes(plant, enclosure, cable, stop, tube, tray, lane_mm=lane_mm)
        return sum(course_of(route).length_mm for route in pair)

    if not length(low) <= tubes_mm <= length(high):
        return None
    lane = round(lane_of_length(length, tubes_mm, low, high), 3)
    return opened_routes(plant, enclosure, cable, stop, tube, tray, lane_mm=lane)


def drop_route(
    plant: Plant,
    enclosure: Enclosure,
    stops: tuple[tuple[Cable, Stop], ...],
    tray: Tray,
    *,
    index: int = 0,
    of: int = 1,
    gather_mm: float = 60.0,
    pitch_mm: float = 1.6,
    transport_od_mm: float | None = None,
) -> Route:
    """The drops of one entry to a tray's drop side, up a lane right of it. ``index`` of ``of`` entries in the lane.

    The lane's radius into the tray is at least the largest bend limit of the drops, and 38 mm in a transport tube.
    Raises EditError where the course would kink, leave the box or bend below that.
    """
    x, y = sheath_end(drops_entry(plant, enclosure, stops))
    corner = tray_corners(plant, enclosure, tray, "drop")[0]
    shift = (index - (of - 1) / 2) * pitch_mm
    least = drops_bend_mm(plant, stops, transport_od_mm)
    turn = least * 1.05 + (of - 1) / 2 * pitch_mm + shift
    box = enclosure_type(plant, enclosure)
    lane = min(corner.x_mm + least * 1.05 + (of - 1) / 2 * pitch_mm + 2.0, box.width_mm - 6.0) + shift
    gather = y - gather_mm - shift
    turn_out = min(least * 1.05 + (of - 1 - index) * pitch_mm, gather_mm * 0.8, abs(lane - x) / 2 * 0.98)
    supports = [Support("anchor", x, y, heading_deg=-90.0)]
    if abs(lane - x) > 1e-6 and turn_out < least:
        # Too near the lane for two quarter turns: a long S takes up the little offset at a wide radius.
        supports += s_supports(x, y, lane, corner.y_mm - shift + turn, vertical=True)
    elif abs(lane - x) > 1e-6:
        supports += [Support("corner", x, gather, turn_out), Support("corner", lane, gather, turn_out)]
    supports += [
        Support("corner", lane, corner.y_mm - shift, turn),
        Support("anchor", corner.x_mm, corner.y_mm - shift, heading_deg=corner.heading_deg),
    ]
    return drops_route(plant, enclosure, stops, tuple(supports), tray, transport_od_mm)
