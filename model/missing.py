"""What lies in the enclosure of a place and is not drawn, or is drawn as it no longer is.

Cables are looked at stop by stop; which tray a fibre is on follows from its joint or from where it is stored.
Nothing is drafted here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from model.entities import Cable, Enclosure, FibreEnd, Route, Stop, Tray
from model.ids import TrayId
from model.layout import tray_load
from model.lookup import enclosure_at, passes, sheaths_at, trays_of, tube_of, work_on
from model.parts import CableType
from model.plant import Plant


@dataclass(frozen=True, slots=True)
class Place:
    """A cable at a stop inside an enclosure."""

    plant: Plant
    enclosure: Enclosure
    cable: Cable
    index: int

    @property
    def stop(self) -> Stop:
        """The stop itself."""
        return self.cable.stops[self.index]

    @property
    def kind(self) -> CableType:
        """The cable's type."""
        return self.plant.cable_types[self.cable.type]

    @property
    def passing(self) -> bool:
        """True where the sheath passes."""
        return passes(self.cable, self.index)

    @property
    def routes(self) -> list[Route]:
        """Routes here that are for this stop."""
        held = self.plant.routes.values()
        return [r for r in held if r.enclosure == self.enclosure.id and self.stop.id in r.stops]

    @property
    def entries(self) -> list[str]:
        """Entries of its legs, exchange side first."""
        stop = self.stop
        if self.passing:
            return [name for name in (stop.entry_in, stop.entry_out) if name]
        own = stop.entry_out if self.index == 0 else stop.entry_in
        return [name for name in (own or stop.entry_in or stop.entry_out,) if name]

    @property
    def express(self) -> tuple[int, ...]:
        """Tubes that pass uncut."""
        count = len(self.kind.tubes) if self.passing else 0
        return tuple(t for t in range(1, count + 1) if work_on(self.stop, t) is None)


def places(plant: Plant, site: str) -> Iterator[Place]:
    """Every cable at the enclosure of a site, by cable name; none where the site has no enclosure."""
    enclosure = enclosure_at(plant, site)
    if enclosure is None:
        return
    for cable, index, _ in sheaths_at(plant, site):
        yield Place(plant, enclosure, cable, index)


def place_of(plant: Plant, stop_id: str) -> Place | None:
    """The place of a stop; None where its site has no enclosure."""
    for cable in plant.cables.values():
        for index, stop in enumerate(cable.stops):
            if stop.id == stop_id:
                enclosure = enclosure_at(plant, stop.site)
                return Place(plant, enclosure, cable, index) if enclosure else None
    return None


def joined_trays(place: Place) -> dict[int, str]:
    """Tray of the joints of each fibre of a stop, else of its stored glass; the lowest slot first."""
    found: dict[int, str] = {}
    for record in place.stop.stored:
        if record.tray is not None:
            found.update(dict.fromkeys(record.fibres, record.tray))
    for splice in place.plant.splices.values():
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and end.stop == place.stop.id and splice.tray is not None:
                found[end.fibre] = splice.tray
    return {fibre: tray for fibre, tray in found.items() if tray in place.plant.trays}


def tray_for(place: Place, fibres: Iterable[int], planned: Mapping[str, int] | None = None) -> Tray | None:
    """The tray on which most of these fibres lie, else the first with room for them, else the first of all.

    ``planned`` counts by tray the fibres that other tubes are about to bring there.
    """
    trays = trays_of(place.plant, place.enclosure.id)
    wanted = tuple(fibres)
    held = joined_trays(place)
    count = Counter(held[fibre] for fibre in wanted if fibre in held)
    if count:
        return max(trays, key=lambda t: count[t.id])
    soon = planned or {}
    for tray in trays:
        load = tray_load(place.plant, tray)
        if load.stored + soon.get(tray.id, 0) + len(wanted) <= load.kind.stored_max:
            return tray
    return trays[0] if trays else None


def missing_legs(place: Place) -> list[str]:
    """Entries of a cable whose leg of sheath is not drawn; one picture of a leg serves all the drops of an entry."""
    plant, stop = place.plant, place.stop
    known = {entry.name for entry in plant.enclosure_types[place.enclosure.type].entries}
    drawn = {r.side for r in place.routes if r.kind == "sheath"}
    legs = [name for name in place.entries if name in known and ("<" if name == stop.entry_in else ">") not in drawn]
    if not legs or place.passing:
        return legs
    shown = {key for r in plant.routes.values() if r.kind == "sheath" for key in r.stops}
    beside = (p for p in places(plant, place.enclosure.site) if legs[0] in p.entries)
    return [] if any(p.stop.id in shown for p in beside) else legs


def stale_routes(place: Place) -> list[Route]:
    """Tube routes of a passing stop that say uncut where the tube is opened, or opened where it passes uncut."""
    if not place.passing:
        return []
    opened = {work.tube for work in place.stop.tubes}
    return [
        r
        for r in place.routes
        if r.kind == "tube" and any((t in opened) == (r.side == "") for t in r.tubes if t <= len(place.kind.tubes))
    ]


def opened_missing(place: Place) -> list[int]:
    """Opened or cut tubes that lack a course on a side."""
    if not place.passing:
        return []
    drawn = {(t, r.side) for r in place.routes if r.kind == "tube" for t in r.tubes}
    return [work.tube for work in place.stop.tubes if {(work.tube, "<"), (work.tube, ">")} - drawn]


def uncut_missing(place: Place) -> list[int]:
    """Uncut tubes without a course through; none where the enclosure has no slack bay to put them in."""
    if not place.passing or not place.plant.enclosure_types[place.enclosure.type].bays:
        return []
    drawn = {t for r in place.routes if r.kind == "tube" and r.side == "" for t in r.tubes}
    return [t for t in place.express if t not in drawn]


def undrawn_end(place: Place) -> bool:
    """True for a cable that ends here and has no course to a tray."""
    return not place.passing and not any(r.kind in ("bundle", "tube") for r in place.routes)


def led_astray(place: Place) -> dict[int, Tray]:
    """Tubes of a stop that are drawn to a tray none of their joints is on, with the one tray that has them all."""
    on: dict[int, set[str]] = {}
    for splice in place.plant.splices.values():
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and end.stop == place.stop.id and splice.tray in place.plant.trays:
                on.setdefault(tube_of(place.kind, end.fibre)[0], set()).add(str(splice.tray))
    drawn: dict[int, set[str]] = {}
    for route in place.routes:
        if route.kind in ("tube", "bundle") and route.tray is not None:
            # The course of a bundle says no tubes: a drop goes with it whole.
            for tube in route.tubes or tuple(on):
                drawn.setdefault(tube, set()).add(route.tray)
    astray = (tube for tube, trays in on.items() if len(trays) == 1 and drawn.get(tube) and not trays & drawn[tube])
    return {tube: place.plant.trays[TrayId(*on[tube])] for tube in sorted(astray)}


def bundled(place: Place) -> bool:
    """True where a cable shares its entry with others, or its entry has no anchor: it goes with the drops."""
    kind = place.plant.enclosure_types[place.enclosure.type]
    entry = next((e for e in kind.entries if e.name in place.entries[:1]), None)
    return entry is not None and entry.rod_x_mm is None
