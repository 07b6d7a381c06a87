"""Who must not be disturbed at a place: live services on glass that is there and has not failed, tube by tube.

Read off the record. What it calls dark is not proved dark, and what it does not hold may still be there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from model.correlate.carried import services_in, source_of
from model.correlate.paths import whole_key
from model.entities import Cable, FibreEnd, Splice, Stop
from model.graph import Continuity, end_node
from model.lists.naming import called, tray_name
from model.lookup import cable_type, cut_fibres, fibres_of, passes, sheaths_at, work_on
from model.numbers import natural
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class Beside:
    """Fibres of one tube with live services on them, and how they lie there: ``uncut tube``, ``loop, tray 1``."""

    cable: str
    tube: int
    fibres: tuple[int, ...]
    where: str
    tray: str
    services: tuple[str, ...]


def beside(continuity: Continuity, site: str, down: Collection[str] = ()) -> tuple[Beside, ...]:
    """By cable and tube, those on trays before those that pass unopened; services in ``down`` are left out."""
    plant = continuity.plant
    found: dict[tuple[str, int, str, str], tuple[list[int], list[str]]] = {}
    for cable, index, stop in sheaths_at(plant, site):
        if whole_key(plant, cable):
            continue
        for tube, fibre, where, tray, services in _glass(continuity, cable, index, stop):
            live = [s for s in services if s not in down and plant.services[s].status == "live"]
            if live:
                fibres, names = found.setdefault((cable.id, tube, where, tray), ([], []))
                fibres.append(fibre)
                names += [s for s in live if s not in names]
    rows = [
        Beside(cable, tube, tuple(dict.fromkeys(fibres)), where, tray, _by_name(plant, names))
        for (cable, tube, where, tray), (fibres, names) in found.items()
    ]
    return tuple(sorted(rows, key=lambda row: (not row.tray, row.cable, row.tube, row.where)))


def _by_name(plant: Plant, services: list[str]) -> tuple[str, ...]:
    return tuple(sorted(services, key=lambda s: natural(plant.services[s].name)))


def _glass(
    continuity: Continuity, cable: Cable, index: int, stop: Stop
) -> Iterator[tuple[int, int, str, str, tuple[str, ...]]]:
    """(tube, fibre, how it lies, tray id, services) of every fibre at a stop, twice where it is cut."""
    plant, source = continuity.plant, source_of(continuity)
    kind = cable_type(plant, cable)
    cut = cut_fibres(kind, stop)
    stored = {fibre: record for record in stop.stored if not record.side for fibre in record.fibres}
    for tube in range(1, len(kind.tubes) + 1):
        for fibre in fibres_of(kind, tube):
            if passes(cable, index) and fibre not in cut:
                services = services_in(continuity, [source.piece_on(cable, fibre, index)])
                if work_on(stop, tube) is None:
                    yield tube, fibre, "uncut tube", "", services
                    continue
                record = stored.get(fibre)
                tray = (record.tray or "") if record else ""
                where = f"loop, {called('tray', tray_name(plant, tray))}" if tray else "loop"
                yield tube, fibre, where, tray, services
                continue
            for side, at in (("<", index - 1), (">", index)):
                if 0 <= at < len(cable.stops) - 1:
                    end = FibreEnd(cable.id, fibre, stop.id, side)  # type: ignore[arg-type]  # one side or the other
                    where, tray = _joint(continuity, end)
                    yield tube, fibre, where, tray, services_in(continuity, [source.piece_on(cable, fibre, at)])


def _joint(continuity: Continuity, end: FibreEnd) -> tuple[str, str]:
    """(how a cut end lies, tray id)."""
    held = source_of(continuity).users.get(end_node(end), ())
    splice = next((one for one in held if isinstance(one, Splice)), None)
    if splice is None:
        return ("port" if held else "stub"), ""
    if not splice.tray:
        return "joint", ""
    return f"joint, {called('tray', tray_name(continuity.plant, splice.tray))}", splice.tray
