"""The bill of materials of an enclosure: housing, trays, sleeves, seals, plugs, tubing and splitters, counted.

Sleeves are those of joints planned or done in this job, by length and with a tenth more for joints made again; joints
that exist already have theirs. Generic descriptions only, no maker. Diameters and lengths in millimetres, transport
tubing in metres as drawn.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from model.entities import Enclosure, Splice
from model.lists.naming import site_name
from model.lists.source import Source
from model.lookup import cable_type, enclosure_at, enclosure_type, passes, sheaths_at, tray_type, trays_of
from model.parts import CableType

SPARE_PERCENT = 10
"""Sleeves beyond the joints, common practice, no source."""


@dataclass(frozen=True, slots=True)
class MaterialRow:
    """One item: ``net`` is what the drawing holds, ``quantity`` what to bring, ``spare_percent`` the difference."""

    site: str
    enclosure: str
    item: str
    description: str
    net: float
    quantity: float
    unit: str
    spare_percent: int = 0


def with_spare(count: int, percent: int = SPARE_PERCENT) -> int:
    """A count with so many per cent more, rounded up to whole pieces."""
    return -(-count * (100 + percent) // 100)


def materials(source: Source, enclosure: Enclosure) -> tuple[MaterialRow, ...]:
    """What an enclosure is made up of, in the order it is packed."""
    plant = source.plant
    place = site_name(plant, enclosure.site)
    rows: list[MaterialRow] = []

    def add(item: str, description: str, net: float, unit: str = "pc") -> None:
        rows.append(MaterialRow(place, enclosure.name, item, description, net, net, unit))

    def with_more(item: str, description: str, net: int) -> None:
        more = with_spare(net)
        rows.append(MaterialRow(place, enclosure.name, item, description, net, more, "pc", SPARE_PERCENT))

    add("enclosure", enclosure_type(plant, enclosure).title, 1)
    trays = Counter(tray_type(plant, tray).title for tray in trays_of(plant, enclosure.id))
    for title, count in sorted(trays.items()):
        add("tray", title, count)
    for (kind, length_mm), count in sorted(_sleeves(source, enclosure).items()):
        words = {"fusion": "Splice sleeve", "ribbon": "Ribbon splice sleeve"}[kind]
        with_more("sleeve", f"{words} {length_mm:g} mm", count)
    mechanical = sum(1 for splice in _joints(source, enclosure) if splice.method == "mechanical")
    if mechanical:
        with_more("splice", "Mechanical splice", mechanical)
    for size, count in sorted(_seals(source, enclosure).items()):
        add("seal", f"Seal for cable {size}", count)
    for size, count in sorted(_plugs(source, enclosure).items()):
        add("plug", f"Plug for entry {size}", count)
    for od_mm, length_mm in sorted(_tubing(source, enclosure).items()):
        # Whole centimetres upward: nobody cuts tubing to the millimetre.
        metres = -(-length_mm // 10) / 100
        add("transport tube", f"Transport tube {od_mm:g} mm", metres, unit="m")
    if enclosure_at(plant, enclosure.site) == enclosure:
        here = (splitter for splitter in plant.splitters.values() if splitter.site == enclosure.site)
        splitters = Counter(plant.splitter_types[splitter.type].title for splitter in here)
        for title, count in sorted(splitters.items()):
            add("splitter", title, count)
    return tuple(rows)


def _joints(source: Source, enclosure: Enclosure) -> list[Splice]:
    """Joints planned or done in an enclosure; those on no tray belong to the first enclosure of their site."""
    plant = source.plant
    main = enclosure_at(plant, enclosure.site) == enclosure
    found = []
    for splice in source.splices_at.get(enclosure.site, ()):
        tray = plant.trays.get(splice.tray) if splice.tray else None
        if splice.status in ("planned", "done") and (tray.enclosure == enclosure.id if tray else main):
            found.append(splice)
    return found


def _sleeves(source: Source, enclosure: Enclosure) -> dict[tuple[str, float], int]:
    """Sleeves by kind and length; one holds a fibre, or the ribbon of one slot. Without a tray the length is 0."""
    plant = source.plant
    found: dict[tuple[str, float], int] = {}
    ribbons: set[tuple[str, int]] = set()
    lengths = [tray_type(plant, tray).sleeve_mm for tray in trays_of(plant, enclosure.id)]
    for splice in _joints(source, enclosure):
        if splice.method == "mechanical":
            continue
        tray = plant.trays.get(splice.tray) if splice.tray else None
        if tray is not None:
            length_mm = tray.sleeve_mm if tray.sleeve_mm is not None else tray_type(plant, tray).sleeve_mm
        else:
            length_mm = lengths[0] if lengths else 0.0
        if splice.method == "ribbon" and tray is not None and splice.slot is not None:
            if (tray.id, splice.slot) in ribbons:
                continue
            ribbons.add((tray.id, splice.slot))
        found[splice.method, length_mm] = found.get((splice.method, length_mm), 0) + 1
    return found


def _seals(source: Source, enclosure: Enclosure) -> dict[str, int]:
    """Sheaths that come in, by outside diameter; a passing cable counts twice. Of the first enclosure of a site."""
    if enclosure_at(source.plant, enclosure.site) != enclosure:
        return {}
    found: dict[str, int] = {}
    for cable, index, _ in sheaths_at(source.plant, enclosure.site):
        size = _size(cable_type(source.plant, cable))
        found[size] = found.get(size, 0) + (2 if passes(cable, index) else 1)
    return found


def _size(kind: CableType) -> str:
    flat = kind.od_minor_mm is not None and kind.od_minor_mm != kind.od_mm
    return f"{kind.od_mm:g} x {kind.od_minor_mm:g} mm" if flat else f"{kind.od_mm:g} mm"


def _plugs(source: Source, enclosure: Enclosure) -> dict[str, int]:
    """Plugged entries by the range their seals take."""
    entries = {entry.name: entry for entry in enclosure_type(source.plant, enclosure).entries}
    found: dict[str, int] = {}
    for name in enclosure.plugged:
        entry = entries.get(name)
        size = f"{entry.seal_min_mm:g} to {entry.seal_max_mm:g} mm" if entry else f"{name}"
        found[size] = found.get(size, 0) + 1
    return found


def _tubing(source: Source, enclosure: Enclosure) -> dict[float, float]:
    """Millimetres of transport tubing as drawn, by outside diameter."""
    found: dict[float, float] = {}
    for drawn in source.drawn(enclosure):
        od_mm = drawn.route.transport_od_mm
        if od_mm is not None and drawn.course is not None:
            found[od_mm] = found.get(od_mm, 0.0) + drawn.course.length_mm
    return found
