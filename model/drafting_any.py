"""Which first draft suits: up from entries below, or across from those at the ends, or in transport tubes.

A cable of one stiff tube, or of ribbon tubes, is cut back at its sheath where the tube itself cannot bend to the tray:
its glass then goes on in a transport tube. Millimetres; an EditError says where no draft fits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final, TypeVar

from model.changes import Draft
from model.drafting import drop_route, express_routes, opened_routes
from model.drafting_across import along, comes_across, express_across, opened_across, to_tray
from model.drafting_ends import end_route, side_routes
from model.drafting_parts import drops_entry, drops_route, entry_named
from model.entities import Cable, Enclosure, Route, Stop, Tray
from model.errors import EditError
from model.layout import TRANSPORT_BEND_MM, is_stiff
from model.plant import Plant

TRANSPORT_OD_MM: Final = 5.0
"""Outside diameter of the transport tube that takes the place of a stiff tube: common size, from memory."""

T = TypeVar("T")


def is_across(plant: Plant, enclosure: Enclosure, stop: Stop) -> bool:
    """True where a cable comes in along the page. Raises EditError for entries that head neither up nor along it."""
    names = [name for name in (stop.entry_in, stop.entry_out) if name]
    entries = [entry_named(plant, enclosure, name) for name in names]
    ways = {comes_across(enclosure, entry) for entry in entries}
    if len(ways) > 1:
        raise EditError(
            f"entries {' and '.join(names)} are on two neighbouring sides",
            where=enclosure.name,
            hint="Use entries on one side or on opposite ends",
        )
    return any(ways)


def express_any(
    plant: Plant,
    enclosure: Enclosure,
    cable: Cable,
    stop: Stop,
    tubes: tuple[int, ...],
    opening_mm: float,
    *,
    extra_outer: int = 0,
) -> list[Route]:
    """Routes of the uncut tubes through the bay, by whichever way the cable comes in. Raises EditError."""
    draft = express_across if is_across(plant, enclosure, stop) else express_routes
    return draft(plant, enclosure, cable, stop, tubes, opening_mm, extra_outer=extra_outer)


def opened_any(
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
) -> tuple[Route, Route]:
    """Both ends of an opened tube to a tray: round the bay, up the side, or across the body. Raises EditError."""

    def across(plant: Plant) -> tuple[Route, Route]:
        return opened_across(plant, enclosure, cable, stop, tube, tray, index=index)

    def up(plant: Plant) -> tuple[Route, Route]:
        try:
            return opened_routes(plant, enclosure, cable, stop, tube, tray, lane_mm=lane_mm, index=index, of=of)
        except EditError as fault:
            try:
                return side_routes(plant, enclosure, cable, stop, tube, tray, index=index)
            except EditError:
                raise fault from None

    a, b = _in_transport(plant, cable, across if is_across(plant, enclosure, stop) else up, _both)
    return a, b


def end_any(
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
    """Tubes of an ending cable to a tray. Raises EditError."""

    def draft(plant: Plant) -> Route:
        return end_route(plant, enclosure, cable, stop, tubes, tray, index=index, of=of)

    return _in_transport(plant, cable, draft, _one)


def drop_any(
    plant: Plant,
    enclosure: Enclosure,
    stops: tuple[tuple[Cable, Stop], ...],
    tray: Tray,
    *,
    index: int = 0,
    of: int = 1,
    transport_od_mm: float | None = None,
) -> Route:
    """The drops of one entry to a tray. Raises EditError."""
    entry = drops_entry(plant, enclosure, stops)

    def draft(plant: Plant) -> Route:
        if not along(entry):
            return drop_route(plant, enclosure, stops, tray, index=index, of=of, transport_od_mm=transport_od_mm)
        shift = (index - (of - 1) / 2) * 1.6
        course = to_tray(plant, enclosure, entry, tray, index=index, shift_mm=shift)
        return drops_route(plant, enclosure, stops, course, tray, transport_od_mm)

    return _in_transport(plant, stops[0][0], draft, _one)


def _in_transport(plant: Plant, cable: Cable, draft: Callable[[Plant], T], carried: Callable[[T], T]) -> T:
    """A draft with the cable's own tube, else for a stiff one with a transport tube in its place."""
    kind = plant.cable_types[cable.type]
    try:
        return draft(plant)
    except EditError:
        if not is_stiff(kind) or kind.tube_bend_mm <= TRANSPORT_BEND_MM:
            raise
    soft = Draft(plant)
    soft.put(replace(kind, tube_bend_mm=TRANSPORT_BEND_MM, tube_od_mm=TRANSPORT_OD_MM))
    return carried(draft(soft.plant))


def _one(route: Route) -> Route:
    return replace(route, transport_od_mm=route.transport_od_mm or TRANSPORT_OD_MM)


def _both(pair: tuple[Route, Route]) -> tuple[Route, Route]:
    return _one(pair[0]), _one(pair[1])
