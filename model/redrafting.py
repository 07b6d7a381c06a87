"""Edits that make the drawing of a place whole: missing courses are drafted, those that are no longer true go.

A draft never touches what a person has drawn and what is still true. Where the uncut tubes still lie exactly as
drafted they are drafted anew with the room the opened ones need. All lengths are millimetres on the enclosure type.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from typing import Final

from model.changes import Draft
from model.drafting import sheath_leg
from model.drafting_any import express_any, opened_any
from model.drafting_parts import LANE_GAP_MM
from model.edits.parts import Remove
from model.edits.routing import DrawRoute
from model.entities import Route, Tray
from model.errors import EditError
from model.glass import opening_m
from model.history import Edit
from model.layout import course_of
from model.lookup import fibres_of
from model.missing import (
    Place,
    led_astray,
    missing_legs,
    opened_missing,
    place_of,
    places,
    stale_routes,
    tray_for,
    uncut_missing,
    undrawn_end,
)
from model.numbers import to_text
from model.plant import Plant
from model.redrafting_ends import draft_end, in_entries

UNCUT: Final = "draft the uncut tubes"


def draft_legs(place: Place) -> list[Edit]:
    """Edits that draw the missing legs of sheath."""
    return [
        DrawRoute(sheath_leg(place.plant, place.enclosure, place.stop, name), name="draft the leg")
        for name in missing_legs(place)
    ]


def _take_name(tubes: tuple[int, ...]) -> str:
    return f"draft T{to_text(tubes)}"


def _take_away(place: Place) -> list[Edit]:
    """Edits that take the tubes off their stale routes."""
    opened = {work.tube for work in place.stop.tubes}
    edits: list[Edit] = []
    for route in stale_routes(place):
        kept = tuple(t for t in route.tubes if (t in opened) != (route.side == ""))
        if kept:
            edits.append(DrawRoute(replace(route, tubes=kept), name=_take_name(route.tubes)))
        else:
            edits.append(Remove("routes", route.id, _take_name(route.tubes)))
    return edits


def as_drafted(place: Place) -> bool:
    """True while every uncut tube drawn here lies exactly where a draft of the whole group would put it."""
    drawn = {r.id: r.supports for r in place.routes if r.kind == "tube" and r.side == ""}
    tubes = tuple(sorted(t for r in place.routes if r.kind == "tube" and r.side == "" for t in r.tubes))
    opening = opening_m(place.stop)
    if not drawn or opening is None:
        return True
    count = len(place.kind.tubes)
    for spare in {0, count - len(tubes)}:
        try:
            again = express_any(
                place.plant,
                place.enclosure,
                place.cable,
                place.stop,
                tubes,
                opening * 1000.0,
                extra_outer=spare,
            )
        except EditError:
            return False
        if {r.id: r.supports for r in again} == drawn:
            return True
    return False


def draft_uncut(place: Place) -> list[Edit]:
    """Edits that draw the uncut tubes through the bay, all of them anew. Raises EditError where they do not fit."""
    opening = opening_m(place.stop)
    if not place.express:
        return []
    in_entries(place)
    if opening is None or opening <= 0:
        raise EditError(
            f"{place.cable.name} has no opening by its marks here",
            where=place.enclosure.name,
            hint=f"Give its marks: mark {place.cable.name} IN/OUT",
        )
    spare = len(place.kind.tubes) - len(place.express)
    routes = express_any(
        place.plant,
        place.enclosure,
        place.cable,
        place.stop,
        place.express,
        opening * 1000.0,
        extra_outer=spare,
    )
    new: set[str] = {route.id for route in routes}
    gone: list[Edit] = [
        Remove("routes", r.id, UNCUT) for r in place.routes if r.kind == "tube" and r.side == "" and r.id not in new
    ]
    return [*gone, *(DrawRoute(route, name=UNCUT) for route in routes)]


def _on_their_trays(place: Place, tray: Tray | None, tubes: Iterable[int]) -> dict[int, Tray]:
    """Tray of each opened tube: the one said for those asked for, else where it is drawn to or joined."""
    asked = set(tubes)
    found: dict[int, Tray] = {}
    planned: Counter[str] = Counter()
    drawn = {t: r.tray for r in place.routes if r.kind == "tube" and r.side and r.tray for t in r.tubes}
    for work in place.stop.tubes:
        if work.tube in asked and tray is not None:
            found[work.tube] = tray
            continue
        held = place.plant.trays.get(drawn.get(work.tube) or "") if work.tube not in asked else None
        fibres = fibres_of(place.kind, work.tube)
        own = held or tray_for(place, fibres, planned)
        if own is not None:
            found[work.tube] = own
            planned[own.id] += len(fibres)
    return found


def draft_opened(place: Place, tubes: Collection[int], tray: Tray | None = None) -> list[Edit]:
    """Edits that draw both ends of opened tubes to their tray, or to one said. Raises EditError where none fits."""
    if tubes:
        in_entries(place)
    where = _on_their_trays(place, tray, tubes)
    edits: list[Edit] = []
    for tube in tubes:
        own = where.get(tube)
        if own is None:
            raise EditError(f"{place.enclosure.name} has no tray", hint="Add one: add tray TYPE")
        beside = [t for t, held in where.items() if held.id == own.id]
        index = beside.index(tube)
        bay = place.plant.enclosure_types[place.enclosure.type].bays
        pitch = place.kind.tube_od_mm + LANE_GAP_MM
        lane = bay[0].ring_mm - place.kind.tube_od_mm - index * pitch if bay else None
        pair = _pair(place, tube, own, max(lane, bay[0].hub_mm) if lane is not None else None, index, len(beside))
        kept = {r.side for r in _sides(place, tube) if tray is None and r.tray == own.id}
        edits += [DrawRoute(route, name=f"draft T{tube}") for route in pair if route.side not in kept]
        ids = {route.id for route in pair}
        edits += [
            Remove("routes", r.id, f"draft T{tube}")
            for r in _sides(place, tube)
            if r.side not in kept | {""} and r.id not in ids and r.tubes == (tube,)
        ]
    return edits


def _pair(place: Place, tube: int, tray: Tray, lane_mm: float | None, index: int, of: int) -> tuple[Route, Route]:
    """Both ends of an opened tube."""
    plant, enclosure, cable, stop = place.plant, place.enclosure, place.cable, place.stop
    return opened_any(plant, enclosure, cable, stop, tube, tray, lane_mm=lane_mm, index=index, of=of)


def tune_opened(place: Place, tube: int, tray: Tray, tubes_mm: float) -> list[Edit]:
    """Edits that draw both ends of an opened tube so that together they are ``tubes_mm``, by the lane round the bay.

    None where no lane between hub and ring does it. The length grows with the lane, nearly in proportion, so false
    position (with the Illinois rule: an end that stays put twice counts half) finds it in a few drafts.
    """
    where = _on_their_trays(place, tray, (tube,))
    beside = [t for t, held in where.items() if held.id == tray.id]
    bays = place.plant.enclosure_types[place.enclosure.type].bays
    if not bays:
        return []

    def pair(lane_mm: float) -> tuple[Route, Route]:
        return _pair(place, tube, tray, lane_mm, beside.index(tube), len(beside))

    def length(lane_mm: float) -> float:
        return sum(course_of(route).length_mm for route in pair(lane_mm))

    low, high = bays[0].hub_mm, bays[0].ring_mm
    under, over = length(low) - tubes_mm, length(high) - tubes_mm
    if not under <= 0.0 <= over:
        return []
    moved = 0
    for _ in range(50):
        if over == under or high - low < 1e-7:
            break
        middle = low - under * (high - low) / (over - under)
        off = length(middle) - tubes_mm
        if abs(off) < 1e-7:
            low = high = middle
            break
        if off < 0:
            low, under, over = middle, off, over / 2 if moved < 0 else over
            moved = -1
        else:
            high, over, under = middle, off, under / 2 if moved > 0 else under
            moved = 1
    return [DrawRoute(route, name=f"draft T{tube}") for route in pair(round((low + high) / 2, 3))]


def _sides(place: Place, tube: int) -> list[Route]:
    """Courses of one end of a tube here."""
    return [r for r in place.routes if r.kind == "tube" and r.side and tube in r.tubes]


def _in_order(edits: list[Edit], drafted: list[Edit]) -> list[Edit]:
    """Both lists, what is drafted before the uncut tubes: the name of the first edit says what matters."""
    uncut = [edit for edit in edits if edit.name == UNCUT]
    return [*(edit for edit in edits if edit.name != UNCUT), *drafted, *uncut]


def draft_through(place: Place) -> list[Edit]:
    """Edits that draw only what runs through: stale courses go, uncut tubes are drafted. Raises EditError."""
    wanted = place.passing and (uncut_missing(place) or stale_routes(place))
    return _through(place) if wanted else []


def draft_tubes(place: Place, tubes: Iterable[int] = (), tray: Tray | None = None) -> list[Edit]:
    """Edits that make the drawing of a passing cable true again: stale courses go, missing ones are drafted.

    ``tubes`` are opened ones to draft in any case, to ``tray`` where it is given. Raises EditError.
    """
    if not place.passing:
        return []
    wanted = sorted({*tubes, *opened_missing(place)})
    return _in_order(_through(place), draft_opened(place, wanted, tray))


def _through(place: Place) -> list[Edit]:
    edits = _take_away(place)
    untouched = as_drafted(place)
    again = bool(uncut_missing(place)) or (bool(stale_routes(place)) and untouched)
    if again and place.plant.enclosure_types[place.enclosure.type].bays:
        drafted = draft_uncut(place)
        if not untouched:
            held = {r.id for r in place.routes if r.side == "" and not set(r.tubes) - set(place.express)}
            drafted = [e for e in drafted if isinstance(e, DrawRoute) and e.route.id not in held]
        ids: set[str] = {edit.route.id for edit in drafted if isinstance(edit, DrawRoute)}
        ids |= {edit.id for edit in drafted if isinstance(edit, Remove)}
        edits = [
            edit
            for edit in edits
            if not (isinstance(edit, Remove) and edit.id in ids)
            and not (isinstance(edit, DrawRoute) and edit.route.id in ids)
        ]
        edits += drafted
    return edits


def _draft_astray(place: Place) -> list[Edit]:
    """Edits that draw the opened tubes of a passing cable to the trays their joints were moved to."""
    astray = led_astray(place) if place.passing else {}
    by_tray = {tray.id: tray for tray in astray.values()}
    return [
        edit
        for key, tray in by_tray.items()
        for edit in draft_tubes(place, [tube for tube, own in astray.items() if own.id == key], tray)
    ]


def draft_all(plant: Plant, site: str) -> tuple[list[Edit], list[str]]:
    """(edits that draw all that is missing at a site or leads to a tray its joints have left, what could not be
    drafted and why), cable by cable.
    """
    edits: list[Edit] = []
    faults: list[str] = []
    draft = Draft(plant)
    steps: tuple[Callable[[Place], list[Edit]], ...] = (
        draft_legs,
        draft_through,
        lambda place: draft_opened(place, opened_missing(place)) if place.passing else [],
        _draft_astray,
        lambda place: draft_end(place) if place.entries and (undrawn_end(place) or led_astray(place)) else [],
    )
    for key in [place.stop.id for place in places(plant, site)]:
        for step in steps:
            # Each step sees what the earlier ones have drawn: drops that share an entry share their course.
            place = place_of(draft.plant, key)
            if place is None:
                continue
            try:
                found = step(place)
                for edit in found:
                    edit.write(draft)
            except EditError as fault:
                faults.append(str(fault))
                continue
            edits += found
    return edits, faults
