"""In which order equally good suspects are looked at: by grain, then where work is going on, then along the path.

Grain order after the trade's fault tables (common practice, no source): with several customers down the cause is
sooner something large, and with one customer sooner the drop and what stands at its end. A site counts as worked on
when an outage is approved at one of its stops, or when it holds planned or removed joints beside finished ones: an
enclosure that is being re-entered. Nothing here is measured, so nothing here changes a score.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from model.entities import Port, Splice, Splitter
from model.lookup import find_stop
from model.plant import Plant

SEVERAL_DOWN: Final = (
    ("sheath",),
    ("tube", "tube_at"),
    ("tray",),
    ("input",),
    ("splitter",),
    ("port", "cord"),
    ("fibre",),
    ("splice",),
    ("leg",),
    ("drop",),
)
ONE_DOWN: Final = (
    ("drop",),
    ("port", "cord"),
    ("splice",),
    ("leg",),
    ("fibre",),
    ("tray",),
    ("tube", "tube_at"),
    ("input",),
    ("splitter",),
    ("sheath",),
)


def ranks(downs: int) -> Mapping[str, int]:
    """Rank of each kind of element, the sooner suspected first."""
    order = ONE_DOWN if downs == 1 else SEVERAL_DOWN
    return MappingProxyType({kind: rank for rank, kinds in enumerate(order) for kind in kinds})


def sites_of(plant: Plant, key: str) -> tuple[str, ...]:
    """Sites at which an element lies or ends, the exchange side first."""
    kind, rest = key.split("|", 1)
    if kind in ("sheath", "tube"):
        cable, index = find_stop(plant, rest if kind == "sheath" else rest.split("|", 1)[1])
        return cable.stops[index].site, cable.stops[index + 1].site
    if kind == "tube_at":
        cable, index = find_stop(plant, rest.split("|", 2)[2])
        return (cable.stops[index].site,)
    if kind == "fibre":
        cable, index = find_stop(plant, rest.split("|", 1)[1])
        return (cable.stops[index].site,)
    if kind in ("drop", "cord"):
        return tuple(stop.site for stop in plant.cables[rest].stops)
    if kind == "tray":
        tray = plant.trays.get(rest)
        box = plant.enclosures.get(tray.enclosure) if tray else None
        return (box.site,) if box else ()
    if kind in ("input", "leg"):
        rest = rest.split("|", 1)[1]
    tables: dict[str, Mapping[str, Splice | Port | Splitter]] = {"splice": plant.splices, "port": plant.ports}
    found = tables.get(kind, plant.splitters).get(rest)
    return (found.site,) if found else ()


def _worked_on(plant: Plant) -> frozenset[str]:
    finished: set[str] = set()
    open_work: set[str] = set()
    for splice in plant.splices.values():
        (open_work if splice.status in ("planned", "remove") else finished).add(splice.site)
    outages = {stop.site for cable in plant.cables.values() for stop in cable.stops if stop.outage}
    return frozenset(finished & open_work | outages)


def worked_on(plant: Plant) -> frozenset[str]:
    """Sites where the record shows work going on."""
    return plant.kept(_worked_on, "splices", "cables")
