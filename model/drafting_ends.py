"""First routes for a cable that ends in an enclosure: its tubes up the nearer side of the box to a tray.

Like ``drafting`` it proposes courses of straights and true arcs, in millimetres on the enclosure type, and says by an
EditError where none fits. Works for entries that head up the page, and along it as ``drafting_across`` does.
"""

from __future__ import annotations

from model.drafting_across import comes_across, to_tray
from model.drafting_parts import Course, entry_named, facing_corner, opened_pair, s_supports, sheath_end, sound
from model.entities import Cable, Enclosure, Route, Stop, Support, Tray
from model.ids import RouteId
from model.lookup import enclosure_type
from model.parts import Entry
from model.plant import Plant

PITCH_MM = 1.6
"""Between the lanes of two groups of tubes that go up one side of a box; the groups lie over each other."""
LEAST_TURN_MM = 40.0


def end_route(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tubes: tuple[int, ...],
    tray: Tray,
    *,
    index: int = 0,
    of: int = 1,
) -> Route:
    """Tubes of an ending cable from its sheath end to the nearer side of a tray. ``index`` of ``of`` groups there.

    A cable of one tube gives a bundle of that cable, so that its jacket is judged like a drop's; one of several gives a
    tube route. Raises EditError where a course would kink, leave the box or bend below the tube's limit.
    """
    kind = plant.cable_types[cable.type]
    side = "<" if stop.id == cable.stops[-1].id else ">"
    entry = entry_named(plant, enclosure, (stop.entry_in if side == "<" else stop.entry_out) or stop.entry_in)
    supports = _up_the_side(plant, enclosure, cable, entry, tray, index, 0.0)
    several = len(kind.tubes) > 1
    route = Route(
        RouteId(f"tube {stop.id} T{tubes[0]}{side}" if several else f"drops {enclosure.id} {entry.name}"),
        enclosure.id,
        "tube" if several else "bundle",
        (stop.id,),
        supports,
        tubes if several else (),
        side if several else "",  # type: ignore[arg-type]  # one of the two sides
        tray.id,
        2,
    )
    return sound(plant, enclosure, route, kind.tube_bend_mm)


def side_routes(
    plant: Plant, enclosure: Enclosure, cable: Cable, stop: Stop, tube: int, tray: Tray, *, index: int = 0
) -> tuple[Route, Route]:
    """Both ends of an opened tube up the left of a box to the tube side of a tray that lies above the bay.

    ``index`` counts the opened tubes that go there. Raises EditError where a course would kink, leave the box or bend
    below the tube's limit.
    """

    def course(entry: Entry, number: int, shift_mm: float) -> Course:
        return _up_the_side(plant, enclosure, cable, entry, tray, 2 * index + number, shift_mm, left=True)

    return opened_pair(plant, enclosure, cable, stop, tube, tray, course)


def _up_the_side(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    entry: Entry,
    tray: Tray,
    index: int,
    shift_mm: float,
    *,
    left: bool | None = None,
) -> Course:
    """From an entry's sheath end by a long S to a lane beside the trays, up it, and round into a corner of the tray."""
    kind = plant.cable_types[cable.type]
    box = enclosure_type(plant, enclosure)
    if comes_across(enclosure, entry):
        return to_tray(plant, enclosure, entry, tray, index=index, shift_mm=shift_mm)
    x, y = sheath_end(entry)
    x += shift_mm
    left = x <= box.width_mm / 2 if left is None else left
    corner = facing_corner(plant, enclosure, tray, "tube" if left else "drop", index)
    out = -1.0 if left else 1.0
    turn = max(kind.tube_bend_mm * 1.05, LEAST_TURN_MM) + index * PITCH_MM
    lane = corner.x_mm + out * (turn + 2.0)
    lane = min(lane, x) if left else max(lane, x)
    reach = kind.tube_od_mm / 2
    lane = min(max(lane, reach), box.width_mm - reach)
    supports = [Support("anchor", x, y, heading_deg=entry.heading_deg)]
    supports += s_supports(x, y, lane, corner.y_mm + turn, vertical=True)
    supports += [
        Support("corner", lane, corner.y_mm, turn),
        Support("anchor", corner.x_mm, corner.y_mm, heading_deg=corner.heading_deg),
    ]
    return tuple(supports)
