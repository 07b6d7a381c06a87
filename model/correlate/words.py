"""Elements in words for a person: ``MF-48 T2 orange, K2 to K3``, ``SP-1 leg 3``, ``splice MF-48:13 to D-1:1 at K2``.

Each function gets what follows the kind in an element's key.
"""

from __future__ import annotations

from typing import Final

from model.entities import Cable, GlassEnd, LegEnd
from model.lists.naming import called, end_name, site_name, tube_colour
from model.lookup import cable_type, cut_fibres, find_stop, looped_fibres, passes, tube_of
from model.numbers import to_text
from model.plant import Plant


def _ends(plant: Plant, cable: Cable, first: int, last: int) -> str:
    return " to ".join(site_name(plant, cable.stops[index].site) for index in (first, last))


def _sheath(plant: Plant, stop: str) -> str:
    cable, index = find_stop(plant, stop)
    return f"{cable.name} sheath, {_ends(plant, cable, index, index + 1)}"


def tube_words(plant: Plant, cable: Cable, tube: int) -> str:
    """``MF-48 T2 orange``; a cable of one tube has no number."""
    kind = cable_type(plant, cable)
    if len(kind.tubes) == 1:
        return f"{cable.name} tube"
    colour = tube_colour(plant, cable, tube) if kind.tube_scheme in plant.schemes else ""
    return f"{cable.name} T{tube} {colour}".rstrip()


def _tube(plant: Plant, rest: str) -> str:
    tube, stop = rest.split("|", 1)
    cable, index = find_stop(plant, stop)
    return f"{tube_words(plant, cable, int(tube))}, {_ends(plant, cable, index, index + 1)}"


def _tube_at(plant: Plant, rest: str) -> str:
    role, number, stop = rest.split("|", 2)
    cable, index = find_stop(plant, stop)
    head, place = tube_words(plant, cable, int(number)), site_name(plant, cable.stops[index].site)
    if role == "express":
        return f"{head} express through {place}"
    if role == "loop":
        kind = cable_type(plant, cable)
        loops = [f for f in looped_fibres(kind, cable.stops[index]) if tube_of(kind, f)[0] == int(number)]
        return f"{head} looped through at {place} (f{to_text(loops)})"
    return f"{head}, entry at {place}" if role == "entry" else f"{head}, leaving {place}"


def _tray(plant: Plant, tray: str) -> str:
    found = plant.trays[tray]
    enclosure = plant.enclosures.get(found.enclosure)
    place = site_name(plant, enclosure.site) if enclosure else found.enclosure
    return f"{called('tray', found.name)} at {place}"


def _splice(plant: Plant, splice: str) -> str:
    found = plant.splices[splice]
    slot = f", slot {found.slot}" if found.slot is not None else ""
    where = ""
    if found.tray is not None and found.tray in plant.trays:
        where = f" ({called('tray', plant.trays[found.tray].name)}{slot})"
    return f"splice {_end(plant, found.a)} to {_end(plant, found.b)} at {site_name(plant, found.site)}{where}"


def _end(plant: Plant, end: GlassEnd) -> str:
    return end_name(plant, end).text


def _leg(plant: Plant, rest: str) -> str:
    number, splitter = rest.split("|", 1)
    return end_name(plant, LegEnd(splitter, "out", int(number))).text  # type: ignore[arg-type]


def _input(plant: Plant, rest: str) -> str:
    number, splitter = rest.split("|", 1)
    found = plant.splitters[splitter]
    inputs = plant.splitter_types[found.type].inputs
    return f"{found.name} input" + (f" {number}" if inputs > 1 else "")


def _splitter(plant: Plant, splitter: str) -> str:
    return f"{plant.splitters[splitter].name} itself"


def _port(plant: Plant, port: str) -> str:
    found = plant.ports[port]
    if found.role == "outlet":
        return f"{called('outlet', found.panel)} {found.number} at {site_name(plant, found.site)}"
    return f"port {found.panel}/{found.number} at {site_name(plant, found.site)}"


def _drop(plant: Plant, cable: str) -> str:
    found = plant.cables[cable]
    return f"drop {found.name}, {_ends(plant, found, 0, -1)}"


def _cord(plant: Plant, cable: str) -> str:
    found = plant.cables[cable]
    return f"cord {found.name} at {site_name(plant, found.stops[0].site)}"


def _fibre(plant: Plant, rest: str) -> str:
    number, stop = rest.split("|", 1)
    cable, first = find_stop(plant, stop)
    last = next(
        (i for i in range(first + 1, len(cable.stops)) if not passes(cable, i) or _cut(plant, cable, i, int(number))),
        len(cable.stops) - 1,
    )
    return f"fibre {cable.name}:{number}, {_ends(plant, cable, first, last)}"


def _cut(plant: Plant, cable: Cable, index: int, fibre: int) -> bool:
    return fibre in cut_fibres(cable_type(plant, cable), cable.stops[index])


def _site(plant: Plant, site: str) -> str:
    return f"all at {site_name(plant, site)}"


WORDS: Final = {
    "sheath": _sheath,
    "tube": _tube,
    "tube_at": _tube_at,
    "tray": _tray,
    "splice": _splice,
    "input": _input,
    "splitter": _splitter,
    "leg": _leg,
    "port": _port,
    "drop": _drop,
    "cord": _cord,
    "fibre": _fibre,
    "site": _site,
}
