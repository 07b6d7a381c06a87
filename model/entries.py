"""Entries of an enclosure: who is in them, which seal a cable and have room. Diameters are millimetres."""

from __future__ import annotations

from model.entities import Enclosure
from model.lookup import passes, stops_at
from model.parts import CableType, EnclosureType, Entry
from model.plant import Plant


def users_of(plant: Plant, site: str) -> dict[str, int]:
    """How many legs of sheath are in each entry of a site's enclosure."""
    found: dict[str, int] = {}
    for cable, index, stop in stops_at(plant, site):
        names = [stop.entry_in, stop.entry_out] if passes(cable, index) else [stop.entry_in or stop.entry_out]
        for name in names:
            if name:
                found[name] = found.get(name, 0) + 1
    return found


def fits(entry: Entry, kind: CableType) -> bool:
    """True where an entry's seal takes a cable, of a flat one both diameters."""
    sizes = [kind.od_mm, *([kind.od_minor_mm] if kind.od_minor_mm is not None else [])]
    return all(entry.seal_min_mm - 1e-9 <= size <= entry.seal_max_mm + 1e-9 for size in sizes)


def free_entries(plant: Plant, box: Enclosure, kind: CableType) -> list[Entry]:
    """Entries of an enclosure that seal a cable and have room for one more, those in use before empty ones."""
    used = users_of(plant, box.site)
    type_: EnclosureType = plant.enclosure_types[box.type]
    free = [e for e in type_.entries if fits(e, kind) and used.get(e.name, 0) < e.cables]
    return sorted(free, key=lambda e: (e.rod_x_mm is not None, -used.get(e.name, 0)))


def entry_pair(plant: Plant, box: Enclosure, kind: CableType) -> tuple[str, str] | None:
    """Two entries for a cable that passes: a group of two if one is free, else the outermost two; None for none."""
    free = [e for e in plant.enclosure_types[box.type].entries if e in free_entries(plant, box, kind)]
    used = users_of(plant, box.site)
    free = [e for e in free if not used.get(e.name)]
    groups: dict[str, list[str]] = {}
    for entry in free:
        if entry.group:
            groups.setdefault(entry.group, []).append(entry.name)
    for names in groups.values():
        if len(names) == 2:
            return names[0], names[1]
    names = [e.name for e in free if e.rod_x_mm is not None] or [e.name for e in free]
    return (names[0], names[-1]) if len(names) > 1 else None
