"""Edits that draft cables that end in an enclosure: drops with the others of their entry, feeders tube by tube.

Lengths are millimetres on the enclosure type. What is drawn already for other cables of an entry is kept.
"""

from __future__ import annotations

from dataclasses import replace

from model.drafting_any import drop_any, end_any
from model.edits.parts import Remove
from model.edits.routing import DrawRoute
from model.entities import Cable, Route, Stop, Tray
from model.errors import EditError
from model.geometry.errors import GeometryError
from model.history import Edit
from model.ids import RouteId
from model.layout import course_of
from model.lookup import fibres_of, tray_type, trays_of
from model.missing import (
    Place,
    bundled,
    joined_trays,
    places,
    tray_for,
    undrawn_end,
)
from model.plant import Plant


def in_entries(place: Place) -> None:
    """Raises EditError unless a cable is in entries."""
    if not place.entries:
        raise EditError(f"{place.cable.name} is in no entry", where=place.enclosure.name, hint="Give it an entry")


def draft_end(place: Place, tray: Tray | None = None) -> list[Edit]:
    """Edits that draw a cable that ends here to its tray: with the other drops of its entry, or tube by tube."""
    in_entries(place)
    plant, enclosure = place.plant, place.enclosure
    if bundled(place):
        return _draft_bundle(place, tray)
    groups: dict[str, list[int]] = {}
    held = joined_trays(place)
    first = tray or tray_for(place, ())
    if first is None:
        raise EditError(f"{enclosure.name} has no tray", hint="Add one: add tray TYPE")
    trays = trays_of(plant, enclosure.id)
    order = [*trays[trays.index(first) :], *trays[: trays.index(first)]]
    room: dict[str, int] = {t.id: tray_type(plant, t).slots for t in order}
    for tube in range(1, len(place.kind.tubes) + 1):
        fibres = fibres_of(place.kind, tube)
        own = next((held[f] for f in fibres if f in held), None) if tray is None else tray.id
        if own is None:
            own = next((key for key, left in room.items() if left >= len(fibres)), order[-1].id)
        room[own] = room.get(own, 0) - len(fibres)
        groups.setdefault(own, []).append(tube)
    edits: list[Edit] = []
    for index, (key, tubes) in enumerate(groups.items()):
        own_tray = next(t for t in trays if t.id == key)
        route = end_any(plant, enclosure, place.cable, place.stop, tuple(tubes), own_tray, index=index, of=len(groups))
        edits.append(DrawRoute(route, name=f"draft {place.cable.name}"))
    new = {edit.route.id for edit in edits if isinstance(edit, DrawRoute)}
    gone: list[Edit] = [
        Remove("routes", r.id, f"draft {place.cable.name}")
        for r in place.routes
        if r.kind in ("tube", "bundle") and r.stops == (place.stop.id,) and r.id not in new
    ]
    return [*gone, *edits]


def _draft_bundle(place: Place, tray: Tray | None) -> list[Edit]:
    """The drops of an entry share one course to each tray their joints are on."""
    plant, enclosure = place.plant, place.enclosure
    entry, name = place.entries[0], f"draft {place.cable.name}"
    own = tray or tray_for(place, range(1, place.kind.fibre_count + 1))
    if own is None:
        raise EditError(f"{enclosure.name} has no tray", hint="Add one: add tray TYPE")
    mates = {p.stop.id: p for p in places(plant, enclosure.site) if not p.passing and p.entries[:1] == [entry]}
    held = [r for r in plant.routes.values() if r.kind == "bundle" and set(r.stops) & set(mates)]
    mine = next((r for r in held if place.stop.id in r.stops), None)
    base = next((r for r in held if r.tray == own.id), None)
    new = [key for key, p in mates.items() if undrawn_end(p) and _goes_to(p, own)]
    stops = tuple(dict.fromkeys([*(base.stops if base else ()), place.stop.id, *new]))
    group = tuple((mates[key].cable, mates[key].stop) for key in stops if key in mates)
    left: list[Edit] = []
    if mine is not None and mine is not base:
        rest = tuple(key for key in mine.stops if key != place.stop.id)
        left = [DrawRoute(replace(mine, stops=rest), name=name) if rest else Remove("routes", mine.id, name)]
    if base is not None and tray is None and _wide_enough(base, group, plant):
        return [*left, DrawRoute(replace(base, stops=stops), name=name)]
    entries = sorted({p.entries[0] for p in places(plant, enclosure.site) if not p.passing and bundled(p)})
    route = drop_any(
        plant,
        enclosure,
        group,
        own,
        index=entries.index(entry),
        of=len(entries),
        transport_od_mm=base.transport_od_mm if base else None,
    )
    taken = {r.id for r in held if r is not base and set(r.stops) - {place.stop.id}}
    key = base.id if base else RouteId(f"{route.id} to {own.id}") if route.id in taken else route.id
    left = [edit for edit in left if not (isinstance(edit, Remove) and edit.id == key)]
    return [*left, DrawRoute(replace(route, id=key), name=name)]


def _goes_to(place: Place, tray: Tray) -> bool:
    """True for a drop whose joints are on this tray, or that has none yet."""
    held = set(joined_trays(place).values())
    return not held or tray.id in held


def _wide_enough(route: Route, group: tuple[tuple[Cable, Stop], ...], plant: Plant) -> bool:
    """True where a drawn bundle bends no tighter than every drop of a group may."""
    try:
        tightest = course_of(route).tightest()
    except GeometryError:
        return False
    least = max(plant.cable_types[cable.type].tube_bend_mm or 0.0 for cable, _ in group)
    return tightest is None or tightest[0] >= least - 1e-6
