"""What a line does to the trays it touches: joints and stored fibres before and after, with the limits."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from model.changes import ChangeSet
from model.ids import TrayId
from model.lookup import tray_type
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class Gauge:
    """A tray's joints or stored fibres before and after the line, with its limit."""

    tray: TrayId
    title: str
    before: int
    after: int
    limit: int


def tray_counts(plant: Plant, trays: set[TrayId]) -> dict[TrayId, tuple[int, int]]:
    """(slots in use, fibres stored) of trays. Uncut loops, stubs and the slack of joints all count as stored."""
    slots: dict[TrayId, set[int | None]] = {tray: set() for tray in trays}
    loose: Counter[TrayId] = Counter()
    stored: Counter[TrayId] = Counter()
    for splice in plant.splices.values():
        if splice.tray in slots:
            stored[splice.tray] += 1
            if splice.method == "ribbon":
                slots[splice.tray].add(splice.slot)
            else:
                loose[splice.tray] += 1
    for cable in plant.cables.values():
        for stop in cable.stops:
            for record in stop.stored:
                if record.tray in slots:
                    stored[record.tray] += len(record.fibres)
    return {tray: (len(slots[tray]) + loose[tray], stored[tray]) for tray in trays}


def gauges(plant: Plant, after: Plant, changes: ChangeSet | None) -> list[Gauge]:
    """Gauges of every tray whose joints or stored fibres the changes touch."""
    touched: set[TrayId] = set()
    for change in changes.changes if changes else ():
        for value in (change.old, change.new):
            tray = getattr(value, "tray", None)
            if tray:
                touched.add(tray)
            for stop in getattr(value, "stops", ()) if change.table == "cables" else ():
                touched.update(record.tray for record in stop.stored if record.tray)
    before, now = tray_counts(plant, touched), tray_counts(after, touched)
    found = []
    for tray in sorted(
        (after.trays.get(key) or plant.trays[key] for key in touched), key=lambda t: (t.enclosure, t.position, t.id)
    ):
        kind = tray_type(after if tray.type in after.tray_types else plant, tray)
        joints = (before[tray.id][0], now[tray.id][0])
        stored = (before[tray.id][1], now[tray.id][1])
        if joints[0] != joints[1]:
            found.append(Gauge(tray.id, f"Tray {tray.name} joints", *joints, kind.slots * kind.per_slot))
        if stored[0] != stored[1]:
            found.append(Gauge(tray.id, f"Tray {tray.name} stored fibres", *stored, kind.stored_max))
    return found
