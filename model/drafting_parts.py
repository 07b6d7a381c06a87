"""What every first draft is made of: sheath ends, tray corners, lanes and long S curves, and the routes drawn by them.

All lengths are millimetres on the enclosure type. A route is given out only when its course is sound: without a kink,
inside the box, no bend below the limit; else an EditError says which.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, sin, sqrt

from model.entities import Cable, Enclosure, Route, Side, Stop, Support, Tray
from model.errors import EditError
from model.geometry.errors import GeometryError
from model.ids import RouteId
from model.layout import TRANSPORT_BEND_MM, course_of
from model.lookup import enclosure_type, tray_type
from model.parts import Bay, CableType, Entry, TrayCorner
from model.plant import Plant

Course = tuple[Support, ...]
"""The supports of a course, in order."""
DROP_BEND_MM = 30.0
"""Least radius of a drop without a tube of its own: its fibres' storage radius."""
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


def facing_corner(plant: Plant, enclosure: Enclosure, tray: Tray, side: str, index: int) -> TrayCorner:
    """A tray's corner of one side by its place from the top, or the lowest; raises EditError where it has none."""
    corners = tray_corners(plant, enclosure, tray, side)
    if not corners:
        raise EditError(f"tray {tray.name} has no corner on that side", hint="Choose another tray type")
    return corners[min(index, len(corners) - 1)]


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


def bay_of(plant: Plant, enclosure: Enclosure) -> Bay:
    """The first slack bay of an enclosure; raises EditError where it has none."""
    bays = enclosure_type(plant, enclosure).bays
    if not bays:
        raise EditError(f"{enclosure.name} has no slack bay", hint="Choose an enclosure with one")
    return bays[0]


def lane_of_length(length_mm: Callable[[float], float], wanted_mm: float, low_mm: float, high_mm: float) -> float:
    """The lane between two whose length is the wanted one; the length grows with the lane, so a bisection finds it."""
    for _ in range(60):
        middle = (low_mm + high_mm) / 2
        low_mm, high_mm = (middle, high_mm) if length_mm(middle) < wanted_mm else (low_mm, middle)
    return (low_mm + high_mm) / 2


def uncut_routes(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tubes: tuple[int, ...],
    mean_lane_mm: float,
    pitch_mm: float,
    course: Callable[[float, float], Course],
    *,
    extra_outer: int,
    level: int,
) -> list[Route]:
    """Routes of a group of uncut tubes, lanes inner to outer in tube order, about a mean lane.

    ``course`` gives the supports of a tube from its lane's radius and its offset from the sheath's axis.
    ``extra_outer`` leaves room in the leg for as many opened tubes outside the group. Raises EditError.
    """
    kind = plant.cable_types[cable.type]
    offsets = leg_offsets(len(tubes) + extra_outer, kind.tube_od_mm, kind.od_mm)[: len(tubes)]
    routes = []
    for index, tube in enumerate(tubes):
        lane_mm = mean_lane_mm + (index - (len(tubes) - 1) / 2) * pitch_mm
        route = Route(
            RouteId(f"tube {stop.id} T{tube}"),
            enclosure.id,
            "tube",
            (stop.id,),
            course(lane_mm, offsets[index]),
            (tube,),
            level=level,
        )
        routes.append(sound(plant, enclosure, route, kind.tube_bend_mm))
    return routes


def opened_route(
    plant: Plant, enclosure: Enclosure, cable: Cable, stop: Stop, tube: int, side: Side, course: Course, tray: Tray
) -> Route:
    """One end of an opened tube, from the sheath end of that side to a tray. Raises EditError."""
    name = RouteId(f"tube {stop.id} T{tube}{side}")
    route = Route(name, enclosure.id, "tube", (stop.id,), course, (tube,), side, tray.id, 2)
    return sound(plant, enclosure, route, plant.cable_types[cable.type].tube_bend_mm)


def opened_pair(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tube: int,
    tray: Tray,
    course: Callable[[Entry, int, float], Course],
) -> tuple[Route, Route]:
    """Both ends of an opened tube, each from its own entry to a tray.

    ``course`` gives the supports of an end from its entry, its number (0 exchange side, 1 field side) and its offset
    from the sheath's axis. Raises EditError.
    """
    kind = plant.cable_types[cable.type]
    offset = leg_offsets(len(kind.tubes), kind.tube_od_mm, kind.od_mm)[-1]

    def end(number: int, side: Side, name: str, shift_mm: float) -> Route:
        supports = course(entry_named(plant, enclosure, name), number, shift_mm)
        return opened_route(plant, enclosure, cable, stop, tube, side, supports, tray)

    return end(0, "<", stop.entry_in, -offset), end(1, ">", stop.entry_out, offset)


def drops_entry(plant: Plant, enclosure: Enclosure, stops: tuple[tuple[Cable, Stop], ...]) -> Entry:
    """The entry that drops share, which is that of the first; raises EditError."""
    first = stops[0][1]
    return entry_named(plant, enclosure, first.entry_in or first.entry_out)


def drops_bend_mm(plant: Plant, stops: tuple[tuple[Cable, Stop], ...], transport_od_mm: float | None) -> float:
    """Least radius of drops that share a course: the largest of theirs and, in a transport tube, its own."""
    own = [plant.cable_types[cable.type].tube_bend_mm or DROP_BEND_MM for cable, _ in stops]
    return max(own + ([TRANSPORT_BEND_MM] if transport_od_mm else []))


def drops_route(
    plant: Plant,
    enclosure: Enclosure,
    stops: tuple[tuple[Cable, Stop], ...],
    course: Course,
    tray: Tray,
    transport_od_mm: float | None,
) -> Route:
    """The drops of one entry to a tray by a course. Raises EditError."""
    route = Route(
        RouteId(f"drops {enclosure.id} {drops_entry(plant, enclosure, stops).name}"),
        enclosure.id,
        "bundle",
        tuple(stop.id for _, stop in stops),
        course,
        tray=tray.id,
        level=3,
        transport_od_mm=transport_od_mm,
    )
    return sound(plant, enclosure, route, drops_bend_mm(plant, stops, transport_od_mm))
