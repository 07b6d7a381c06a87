"""First routes for an enclosure, drafted to scale: legs, uncut tubes in the bay, opened tubes and drops to a tray.

A draft is a proposal like any other: routes a person then moves. Courses start on the axis of an entry's sheath end and
use only straights and true arcs; lanes keep a constant pitch. All lengths are millimetres on the enclosure type.
Works for enclosures whose bay lies straight above a pair of entries (heading up the page) with the tray to its right;
where a course would kink, leave the box or bend below the limit, an EditError says so instead of a bad draft.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, pi, radians, sin, sqrt

from model.entities import Cable, Enclosure, Route, Stop, Support, Tray
from model.errors import EditError
from model.geometry.errors import GeometryError
from model.geometry.loops import racetrack_mm
from model.ids import RouteId, StopId
from model.layout import course_of
from model.lookup import enclosure_type, tray_type
from model.parts import Bay, CableType, Entry, TrayCorner
from model.plant import Plant

LANE_GAP_MM = 0.4
"""Clear room between neighbouring tubes of one group."""


def sound(plant: Plant, enclosure: Enclosure, route: Route, least_mm: float) -> Route:
    """The route itself; raises EditError if it has no course, kinks, leaves the box or bends under ``least_mm``."""
    what = f"a draft of {route.id!r}"
    hint = "Draw it by hand, or choose another enclosure or tray"
    try:
        course = course_of(route)
    except GeometryError as fault:
        raise EditError(f"{what} has no course: {fault}", where=enclosure.name, hint=hint) from None
    if course.kinks:
        kink = course.kinks[0]
        place = f"x {kink.x:.0f}, y {kink.y:.0f} mm"
        raise EditError(f"{what} kinks at {place}", where=enclosure.name, hint=hint)
    box = enclosure_type(plant, enclosure)
    left, top, right, bottom = course.bbox
    if left < -1e-6 or top < -1e-6 or right > box.width_mm + 1e-6 or bottom > box.height_mm + 1e-6:
        raise EditError(f"{what} runs out of the box", where=enclosure.name, hint=hint)
    tightest = course.tightest()
    if tightest is not None and tightest[0] < least_mm - 1e-6:
        raise EditError(
            f"{what} bends to {tightest[0]:.0f} mm, its limit is {least_mm:.0f} mm", where=enclosure.name, hint=hint
        )
    return route


def entry_named(plant: Plant, enclosure: Enclosure, name: str) -> Entry:
    """An entry of an enclosure by name; raises EditError naming those it has."""
    entries = enclosure_type(plant, enclosure).entries
    for entry in entries:
        if entry.name == name:
            return entry
    raise EditError(f"{enclosure.name} has no entry {name!r}", hint="It has " + ", ".join(e.name for e in entries))


def sheath_end(entry: Entry) -> tuple[float, float]:
    """Where the sheath of an entry ends inside."""
    heading = radians(entry.heading_deg)
    return entry.x_mm + entry.end_mm * cos(heading), entry.y_mm + entry.end_mm * sin(heading)


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


def tray_corners(plant: Plant, enclosure: Enclosure, tray: Tray, side: str) -> list[TrayCorner]:
    """A tray's corners of one side ("tube" or "drop"), top first, in the enclosure's coordinates."""
    kind = tray_type(plant, tray)
    positions = {p.number: p for p in enclosure_type(plant, enclosure).tray_positions}
    place = positions.get(tray.position)
    if place is None:
        raise EditError(f"{enclosure.name} has no tray position {tray.position}", hint=f"It has {len(positions)}")
    found = [
        replace(corner, x_mm=corner.x_mm + place.x_mm, y_mm=corner.y_mm + place.y_mm)
        for corner in kind.corners
        if corner.side == side
    ]
    return sorted(found, key=lambda c: (c.y_mm, c.name))


def leg_offsets(count: int, tube_od_mm: float, sheath_od_mm: float) -> list[float]:
    """Offsets of tubes from the sheath's axis at its end, left to right, packed within the sheath where they can be."""
    if count < 2:
        return [0.0] * count
    pitch = min(tube_od_mm + LANE_GAP_MM, max(sheath_od_mm - tube_od_mm, 0.0) / (count - 1))
    return [(i - (count - 1) / 2) * pitch for i in range(count)]


def s_supports(x1: float, y1: float, x2: float, y2: float, *, vertical: bool) -> list[Support]:
    """Two filleted corners that carry a course from one parallel line to another by two equal arcs; none if in line."""
    length, offset = (abs(y2 - y1), abs(x2 - x1)) if vertical else (abs(x2 - x1), abs(y2 - y1))
    if offset < 1e-9:
        return []
    # Middle half of the length is the slant; fillets that just meet there and use half of each straight.
    slant = sqrt((length / 2) ** 2 + offset**2)
    reach = min(slant / 2, length / 4) * 0.98
    # tan(a/2) = sin a / (1 + cos a) for the angle a of the slant against the straights.
    half = (offset / slant) / (1 + (length / 2) / slant)
    radius = min(reach / half, 2000.0)
    if vertical:
        quarter = (y2 - y1) / 4
        return [
            Support("corner", x1, y1 + quarter, radius),
            Support("corner", x2, y2 - quarter, radius),
        ]
    quarter = (x2 - x1) / 4
    return [Support("corner", x1 + quarter, y1, radius), Support("corner", x2 - quarter, y2, radius)]


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


def express_course(bay: Bay, legs: Legs, offset: float, lane_mm: float, turns: int) -> tuple[Support, ...]:
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
    bay = _bay(plant, enclosure)
    kind = plant.cable_types[cable.type]
    legs = legs_of(plant, enclosure, stop)
    low, high, pitch = lanes(bay, kind, len(tubes))
    lane, turns = solve_lane(bay, legs, opening_mm, low, high)
    offsets = leg_offsets(len(tubes) + extra_outer, kind.tube_od_mm, kind.od_mm)[: len(tubes)]
    routes = []
    for index, tube in enumerate(tubes):
        lane_mm = lane + (index - (len(tubes) - 1) / 2) * pitch
        route = Route(
            RouteId(f"tube {stop.id} T{tube}"),
            enclosure.id,
            "tube",
            (stop.id,),
            express_course(bay, legs, offsets[index], lane_mm, turns),
            (tube,),
            level=level,
        )
        routes.append(sound(plant, enclosure, route, kind.tube_bend_mm))
    return routes


def lanes(bay: Bay, kind: CableType, count: int) -> tuple[float, float, float]:
    """(least and most mean lane, pitch) of a group in a bay: between the hub, or the tube's limit, and the ring.

    Where the bay is narrower than the group, lanes lie closer than the tubes are thick: they are stacked.
    """
    pitch_mm = kind.tube_od_mm + LANE_GAP_MM
    inner, outer = max(bay.hub_mm, kind.tube_bend_mm), bay.ring_mm - kind.tube_od_mm / 2
    spread = (count - 1) / 2 * pitch_mm
    if inner + spread <= outer - spread:
        return inner + spread, outer - spread, pitch_mm
    inner = min(inner, outer)
    middle = (inner + outer) / 2
    return middle, middle, (outer - inner) / max(count - 1, 1)


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


def _bay(plant: Plant, enclosure: Enclosure) -> Bay:
    bays = enclosure_type(plant, enclosure).bays
    if not bays:
        raise EditError(f"{enclosure.name} has no slack bay", hint="Choose an enclosure with one")
    return bays[0]


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
    bay = _bay(plant, enclosure)
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
    stops, tubes = (stop.id,), (tube,)
    route_a = Route(RouteId(f"tube {stop.id} T{tube}<"), enclosure.id, "tube", stops, a, tubes, "<", tray.id, 2)
    route_b = Route(RouteId(f"tube {stop.id} T{tube}>"), enclosure.id, "tube", stops, b, tubes, ">", tray.id, 2)
    limit = kind.tube_bend_mm
    return sound(plant, enclosure, route_a, limit), sound(plant, enclosure, route_b, limit)


def tune_bare(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tube: int,
    tray: Tray,
    tubes_mm: float,
) -> tuple[Route, Route] | None:
    """The opened tube's routes with the lane of A chosen so that both together are ``tubes_mm``; None if none does.

    The length grows with the lane, so a bisection finds it.
    """
    bay = _bay(plant, enclosure)
    low, high = bay.hub_mm, bay.ring_mm

    def length(lane_mm: float) -> float:
        pair = opened_routes(plant, enclosure, cable, stop, tube, tray, lane_mm=lane_mm)
        return sum(course_of(route).length_mm for route in pair)

    if not length(low) <= tubes_mm <= length(high):
        return None
    for _ in range(60):
        middle = (low + high) / 2
        if length(middle) < tubes_mm:
            low = middle
        else:
            high = middle
    lane = round((low + high) / 2, 3)
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
    entry = entry_named(plant, enclosure, stops[0][1].entry_in or stops[0][1].entry_out)
    x, y = sheath_end(entry)
    corner = tray_corners(plant, enclosure, tray, "drop")[0]
    shift = (index - (of - 1) / 2) * pitch_mm
    least = max([_drop_bend(plant.cable_types[cable.type]) for cable, _ in stops] + ([38.0] if transport_od_mm else []))
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
    ids: tuple[StopId, ...] = tuple(stop.id for _, stop in stops)
    route = Route(
        RouteId(f"drops {enclosure.id} {entry.name}"),
        enclosure.id,
        "bundle",
        ids,
        tuple(supports),
        tray=tray.id,
        level=3,
        transport_od_mm=transport_od_mm,
    )
    return sound(plant, enclosure, route, least)


def _drop_bend(kind: CableType) -> float:
    """Least radius of a drop's stripped part: its tube's where it has one, else its fibres' storage radius."""
    return kind.tube_bend_mm or 30.0
