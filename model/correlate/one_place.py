"""When a tube in an enclosure and a tray there are one thing: the tray holds this tube's glass and nothing else.

Then whatever hurts one hurts the other, and no service or dark fibre can tell them apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.entities import Cable, FibreEnd, Splice, Stored
from model.graph import Continuity, Joint
from model.lookup import cable_type, cut_fibres, fibres_of, find_stop, looped_fibres, passes, stops_at, tube_of
from model.plant import Plant
from model.trace import ways_on


def _by_tray(plant: Plant) -> dict[str, list[Splice]]:
    found: dict[str, list[Splice]] = {}
    for splice in plant.splices.values():
        if splice.tray:
            found.setdefault(splice.tray, []).append(splice)
    return found


def splices_on(plant: Plant, tray: str) -> list[Splice]:
    """The splices on a tray."""
    return plant.kept(_by_tray, "splices").get(tray, [])


def stored_on(plant: Plant, tray: str) -> Iterator[tuple[Cable, int, Stored]]:
    """(cable, index of the stop, record) of everything recorded as stored on a tray."""
    box = plant.enclosures.get(plant.trays[tray].enclosure)
    for cable, index, stop in stops_at(plant, box.site) if box else ():
        yield from ((cable, index, record) for record in stop.stored if record.tray == tray)


def also_there(continuity: Continuity, key: str) -> str | None:
    """Key of the tray that is one with a tube in an enclosure (``entry``, ``loop`` or ``exit``); None for none."""
    plant = continuity.plant
    _, role, number, stop_id = key.split("|", 3)
    if role == "express":
        return None
    cable, index = find_stop(plant, stop_id)
    kind, stop, tube = cable_type(plant, cable), cable.stops[index], int(number)
    fibres = fibres_of(kind, tube)
    loops = set(looped_fibres(kind, stop)) & set(fibres) if passes(cable, index) else set()
    cut = set(cut_fibres(kind, stop)) & set(fibres) if passes(cable, index) else set(fibres)
    trays: set[str | None] = set()
    if role != "loop":
        side = "<" if role == "entry" else ">"
        for fibre in sorted(cut):
            for _, by in ways_on(continuity.graph, f"{cable.id}:{fibre}@{stop.id}{side}", "outside"):
                if isinstance(by, Joint) and by.kind == "splice":
                    trays.add(plant.splices[by.id].tray)
                else:
                    trays.add(None)
    stored = {f: record.tray for record in stop.stored if record.side == "" for f in record.fibres}
    trays |= {stored.get(f) for f in loops}
    if len(trays) != 1:
        return None
    tray = trays.pop()
    if tray is None or any(own != (stop_id, tube) for own in _tubes_on(plant, tray, stop_id, tube, role)):
        return None
    return f"tray|{tray}"


def _tubes_on(plant: Plant, tray: str, stop_id: str, tube: int, role: str) -> Iterator[tuple[str, int]]:
    """(stop, tube) of everything a tray holds; a splice counts as the tube asked about where one of its ends is."""
    side = {"entry": "<", "exit": ">"}.get(role)
    for splice in splices_on(plant, tray):
        ends = [(e.stop, _tube(plant, e)) for e in (splice.a, splice.b) if isinstance(e, FibreEnd) and e.side == side]
        yield (stop_id, tube) if (stop_id, tube) in ends else ("", 0)
    for splitter in plant.splitters.values():
        if splitter.tray == tray:
            yield "", 0
    for cable, index, record in stored_on(plant, tray):
        if record.side == "" and passes(cable, index):
            yield from ((cable.stops[index].id, tube_of(cable_type(plant, cable), f)[0]) for f in record.fibres)


def _tube(plant: Plant, end: FibreEnd) -> int:
    return tube_of(plant.cable_types[plant.cables[end.cable].type], end.fibre)[0]
