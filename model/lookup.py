"""Questions about a plant that need more than one id: which tube a fibre is in, which tray a slot belongs to.

Pure functions over a plant; no geometry, no loss. Indexes are kept by the plant until what they list changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from model.entities import Cable, Enclosure, FibreEnd, GlassEnd, Stop, Tray, TubeWork
from model.errors import PlantError
from model.parts import CableType, EnclosureType, TrayType
from model.plant import Plant


def tube_of(kind: CableType, fibre: int) -> tuple[int, int]:
    """(tube, position) of a running fibre number; formula F1, t = (N-1) div k + 1, also for unequal tubes.

    Raises PlantError when the cable has no such fibre.
    """
    rest = fibre
    if fibre >= 1:
        for index, count in enumerate(kind.tubes, start=1):
            if rest <= count:
                return index, rest
            rest -= count
    raise PlantError(f"there is no fibre {fibre} in {kind.title}", hint=f"It has fibres 1-{kind.fibre_count}")


def fibres_of(kind: CableType, tube: int) -> range:
    """Running numbers of a tube's fibres. Raises PlantError when the cable has no such tube."""
    if not 1 <= tube <= len(kind.tubes):
        raise PlantError(f"there is no tube {tube} in {kind.title}", hint=f"It has tubes 1-{len(kind.tubes)}")
    first = sum(kind.tubes[: tube - 1]) + 1
    return range(first, first + kind.tubes[tube - 1])


def whole_ribbons(kind: CableType, fibres: Iterable[int]) -> tuple[int, ...]:
    """The ribbons of which every fibre is among some, ascending; none for a cable of loose fibres."""
    if not kind.ribbon:
        return ()
    held = Counter((fibre - 1) // kind.ribbon + 1 for fibre in set(fibres))
    return tuple(sorted(ribbon for ribbon, count in held.items() if count == kind.ribbon))


def cable_type(plant: Plant, cable: Cable) -> CableType:
    """The type of a cable."""
    return plant.cable_types[cable.type]


def enclosure_type(plant: Plant, enclosure: Enclosure) -> EnclosureType:
    """The type of an enclosure."""
    return plant.enclosure_types[enclosure.type]


def tray_type(plant: Plant, tray: Tray) -> TrayType:
    """The type of a tray."""
    return plant.tray_types[tray.type]


def _stops_by_id(plant: Plant) -> dict[str, tuple[Cable, int]]:
    found: dict[str, tuple[Cable, int]] = {}
    for cable in plant.cables.values():
        for index, stop in enumerate(cable.stops):
            found.setdefault(stop.id, (cable, index))
    return found


def find_stop(plant: Plant, stop_id: str) -> tuple[Cable, int]:
    """The cable a stop belongs to and the stop's index. Raises PlantError if there is none."""
    found = plant.kept(_stops_by_id, "cables").get(stop_id)
    if found is not None:
        return found
    raise PlantError(f"there is no stop {stop_id!r}", hint="It may have been removed")


def stop_of(cable: Cable, stop_id: str) -> Stop:
    """A cable's stop by id. Raises PlantError if the cable has no such stop."""
    for stop in cable.stops:
        if stop.id == stop_id:
            return stop
    raise PlantError(f"{cable.name} has no stop {stop_id!r}", hint="It may have been removed")


def passes(cable: Cable, index: int) -> bool:
    """True when the sheath passes at this stop, false at the cable's two ends."""
    return 0 < index < len(cable.stops) - 1


def stays_inside(cable: Cable) -> bool:
    """True for a patch cord or pigtail: both its ends are at one site, so its sheath enters no box."""
    return cable.stops[0].site == cable.stops[-1].site


def _stops_by_site(plant: Plant) -> dict[str, list[tuple[Cable, int, Stop]]]:
    found: dict[str, list[tuple[Cable, int, Stop]]] = {}
    for cable in sorted(plant.cables.values(), key=lambda c: (c.name, c.id)):
        for index, stop in enumerate(cable.stops):
            found.setdefault(stop.site, []).append((cable, index, stop))
    return found


def stops_at(plant: Plant, site: str) -> Iterator[tuple[Cable, int, Stop]]:
    """Every cable stopping at a site with the index of the stop, by cable name and order."""
    yield from plant.kept(_stops_by_site, "cables").get(site, ())


def sheaths_at(plant: Plant, site: str) -> Iterator[tuple[Cable, int, Stop]]:
    """The cables of ``stops_at`` whose sheath comes into a box there: all but cords and pigtails."""
    return (found for found in stops_at(plant, site) if not stays_inside(found[0]))


def work_on(stop: Stop, tube: int) -> TubeWork | None:
    """What is done to a tube at a stop; None when it passes express."""
    return next((work for work in stop.tubes if work.tube == tube), None)


def cut_fibres(kind: CableType, stop: Stop) -> frozenset[int]:
    """Running numbers of all fibres cut at a passing stop."""
    cut: set[int] = set()
    for work in stop.tubes:
        cut.update(fibres_of(kind, work.tube) if work.state == "cut" else work.cut)
    return frozenset(cut)


def looped_fibres(kind: CableType, stop: Stop) -> tuple[int, ...]:
    """Fibres of opened tubes that loop through uncut at a passing stop, ascending."""
    loops: set[int] = set()
    for work in stop.tubes:
        if work.state == "opened":
            loops.update(set(fibres_of(kind, work.tube)) - set(work.cut))
    return tuple(sorted(loops))


def ends_at(plant: Plant, cable: Cable, index: int) -> Iterator[FibreEnd]:
    """Every fibre end of a cable at one of its stops, exchange side first."""
    kind = cable_type(plant, cable)
    stop = cable.stops[index]
    if passes(cable, index):
        for fibre in sorted(cut_fibres(kind, stop)):
            yield FibreEnd(cable.id, fibre, stop.id, "<")
            yield FibreEnd(cable.id, fibre, stop.id, ">")
    else:
        for fibre in range(1, kind.fibre_count + 1):
            yield FibreEnd(cable.id, fibre, stop.id, ">" if index == 0 else "<")


def end_exists(plant: Plant, end: GlassEnd) -> bool:
    """True when the plant has this end of glass: the fibre ends or is cut at that stop, or the splitter has the leg."""
    if not isinstance(end, FibreEnd):
        splitter = plant.splitters.get(end.splitter)
        if splitter is None:
            return False
        kind = plant.splitter_types[splitter.type]
        return 1 <= end.number <= (kind.inputs if end.role == "in" else len(kind.legs_db))
    cable = plant.cables.get(end.cable)
    if cable is None or not 1 <= end.fibre <= cable_type(plant, cable).fibre_count:
        return False
    for index, stop in enumerate(cable.stops):
        if stop.id == end.stop:
            if passes(cable, index):
                return end.fibre in cut_fibres(cable_type(plant, cable), stop)
            return end.side == (">" if index == 0 else "<")
    return False


def _enclosures_by_site(plant: Plant) -> dict[str, list[Enclosure]]:
    found: dict[str, list[Enclosure]] = {}
    for enclosure in sorted(plant.enclosures.values(), key=lambda e: (e.name, e.id)):
        found.setdefault(enclosure.site, []).append(enclosure)
    return found


def enclosures_at(plant: Plant, site: str) -> tuple[Enclosure, ...]:
    """The enclosures of a site, by name."""
    return tuple(plant.kept(_enclosures_by_site, "enclosures").get(site, ()))


def enclosure_at(plant: Plant, site: str) -> Enclosure | None:
    """The enclosure of a site, the first by name if there are several; None if there is none."""
    found = enclosures_at(plant, site)
    return found[0] if found else None


def _trays_by_enclosure(plant: Plant) -> dict[str, list[Tray]]:
    found: dict[str, list[Tray]] = {}
    for tray in sorted(plant.trays.values(), key=lambda t: (t.position, t.id)):
        found.setdefault(tray.enclosure, []).append(tray)
    return found


def trays_of(plant: Plant, enclosure: str) -> list[Tray]:
    """Trays of an enclosure by position."""
    return list(plant.kept(_trays_by_enclosure, "trays").get(enclosure, ()))


def service_name(plant: Plant, service: str) -> str:
    """Name of a service with its customer, as printed."""
    entry = plant.services[service]
    return f"{entry.name} {entry.customer}".strip()
