"""A pulse on its way: which glass it is in after so many metres of fibre, with every cable's own index and excess.

Distances are kept as metres times index, because that is what an OTDR measures: glass of another index takes more or
less of it. Raises PlantError where a printed mark is missing on the way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from model.entities import Cable
from model.errors import PlantError
from model.glass import fibre_per_sheath, span_m
from model.graph import Continuity
from model.lists.naming import site_name
from model.lookup import cable_type
from model.otdr.reading import DEFAULT_INDEX, Known, Reading, checked, index_at, true_m
from model.otdr.way import Crossing, Stretch, Way, mark_at, route_in, way_of
from model.plant import Plant

Shifts = Mapping[str, float]
"""What is added to the excess, by cable id."""


@dataclass(frozen=True, slots=True)
class Before:
    """What lies between the first sheath and the joint that is counted from, metres of fibre, sheath and route."""

    site: str = ""
    fibre_m: float = 0.0
    sheath_m: float = 0.0
    route_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Launch:
    """A way with what the reading says of its start.

    ``index_set`` is what the instrument reckoned with, ``index_first`` that of the first cable. ``tail_m`` is the
    glass between connector and first sheath; it is no longer part of the way. ``unknown`` names cables without index.

    Where the reading is counted from a known joint, the way begins there, the reading is what is left of it, and
    ``before`` is the glass on the way to that joint.
    """

    way: Way
    reading: Reading
    index_set: float
    index_first: float
    tail_m: float
    unknown: tuple[str, ...]
    before: Before = Before()

    @property
    def true_m(self) -> float:
        """Fibre from the instrument to the place, metres (formula F16)."""
        return true_m(self.reading.shown_m, self.index_set, self.index_first)

    @property
    def fibre_m(self) -> float:
        """The same without launch lead and tail; below zero in either."""
        return self.true_m - self.reading.lead_m - self.tail_m

    @property
    def optical_m(self) -> float:
        """Metres times index from the first sheath on."""
        return self.fibre_m * self.index_first


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a stretch, ``offset_m`` of sheath from its exchange-side end; in a tail 0, and ``tail_m`` deep in it.

    ``fibre_m``, ``sheath_m`` and ``route_m`` are metres from the first sheath to here: of fibre, of sheath, along the
    ground.
    """

    stretch: Stretch
    offset_m: float
    fibre_m: float
    sheath_m: float
    route_m: float
    tail_m: float = 0.0

    @property
    def mark_m(self) -> float | None:
        """The printed mark here, metres; in a tail the last mark of its sheath."""
        cable, kind, stop = self.stretch.cable, self.stretch.kind, self.stretch.stop
        if kind != "tail":
            return mark_at(cable, kind, stop, self.offset_m)
        if stop == 0:
            return mark_at(cable, "span", 0, 0.0)
        return mark_at(cable, "span", stop - 1, span_m(cable, stop - 1) or 0.0)


def launch_of(continuity: Continuity, node: str, reading: Reading) -> Launch:
    """The way of a reading. Raises PlantError for a path without glass or numbers that cannot be, KeyError for a node
    that is not in the graph."""
    checked(reading)
    way = whole = way_of(continuity, node, reading.from_end)
    plant = continuity.plant
    stretches = way.stretches
    if not stretches:
        raise PlantError("there is no glass on this path", where="locate", hint="Name a fibre of a cable")
    known = index_at(cable_type(plant, stretches[0].cable), reading.wavelength_nm)
    real = known or reading.index or DEFAULT_INDEX
    unknown = dict.fromkeys(s.cable.name for s in stretches if not cable_type(plant, s.cable).group_index)
    tail_m = 0.0
    if stretches[0].kind == "tail" and len(stretches) > 1:
        tail_m = stretches[0].fibre_m or 0.0
        at = way.items.index(stretches[0])
        way = replace(way, items=way.items[:at] + way.items[at + 1 :])
    if reading.tail_m is not None:
        tail_m = reading.tail_m
    launch = Launch(way, reading, reading.index or real, real, tail_m, tuple(unknown))
    return launch if reading.known is None else _from_joint(plant, launch, whole, reading.known)


def _from_joint(plant: Plant, launch: Launch, whole: Way, known: Known) -> Launch:
    """The launch counted from a joint. Raises PlantError when none is there, or the reading lies before it."""
    name = site_name(plant, known.site)
    items = whole.items
    at = max((i for i, x in enumerate(items) if isinstance(x, Crossing) and x.site == known.site), default=None)
    if at is None or not any(isinstance(item, Stretch) for item in items[at:]):
        raise PlantError(
            f"no joint of this path at {name} has glass behind it",
            where="known event",
            hint="Name a site it is spliced at",
        )
    left = launch.reading.shown_m - known.shown_m
    if left < 0.0:
        raise PlantError(
            f"the reading, {launch.reading.shown_m:.1f} m, lies before the joint at {name}, {known.shown_m:.1f} m",
            where="known event",
            hint="Name a joint nearer to the instrument, or none",
        )
    gone = [item for item in items[:at] if isinstance(item, Stretch)]
    if gone and gone[0].kind == "tail":
        del gone[0]  # metres count from the first sheath
    unknown = next((s for s in gone if s.fibre_m is None), None)
    if unknown is not None:
        raise _no_length(plant, unknown)
    before = Before(
        known.site,
        sum(s.fibre_m or 0.0 for s in gone),
        sum(s.sheath_m for s in gone),
        sum(route_in(s, s.low_m, s.high_m) for s in gone),
    )
    way = replace(whole, items=items[at:])
    real = index_of(plant, way.stretches[0].cable, launch)
    reading = replace(launch.reading, shown_m=left, lead_m=0.0, tail_m=0.0)
    return Launch(way, reading, launch.reading.index or real, real, 0.0, launch.unknown, before)


def index_of(plant: Plant, cable: Cable, launch: Launch) -> float:
    """Real group index of a cable on the way; that of the launch end for a cable that says none."""
    return index_at(cable_type(plant, cable), launch.reading.wavelength_nm) or launch.index_first


def walk(plant: Plant, launch: Launch, optical_m: float, shifts: Shifts | None = None) -> tuple[Spot, float]:
    """(the place after so many metres times index from the first sheath, true metres beyond the end of the path).

    Raises PlantError when the length of glass on the way there is not known.
    """
    left = optical_m
    spot = _start(launch.way.stretches[0], launch.before)
    index = launch.index_first
    for stretch in launch.way.stretches:
        index = index_of(plant, stretch.cable, launch)
        factor = fibre_per_sheath(cable_type(plant, stretch.cable), (shifts or {}).get(stretch.cable.id, 0.0))
        if stretch.fibre_m is None:
            raise _no_length(plant, stretch)
        length = stretch.fibre_m if stretch.kind == "tail" else stretch.sheath_m * factor
        if left <= length * index:
            return _onward(spot, stretch, left / index, factor), 0.0
        left -= length * index
        spot = _onward(spot, stretch, length, factor)
    return spot, left / index


def _no_length(plant: Plant, stretch: Stretch) -> PlantError:
    where = site_name(plant, stretch.cable.stops[stretch.stop].site)
    return PlantError(
        f"the sheath of {stretch.cable.name} beyond {where} has no length: a printed mark is missing",
        where="locate",
        hint="Enter the marks of its stops",
    )


def _start(stretch: Stretch, before: Before) -> Spot:
    at = stretch.high_m if stretch.inward else stretch.low_m
    return Spot(stretch, at, before.fibre_m, before.sheath_m, before.route_m)


def _onward(spot: Spot, stretch: Stretch, fibre_m: float, factor: float) -> Spot:
    """The place ``fibre_m`` into a stretch that begins at ``spot``."""
    fibre = spot.fibre_m + fibre_m
    if stretch.kind == "tail":
        return Spot(stretch, 0.0, fibre, spot.sheath_m, spot.route_m, fibre_m)
    along = min(fibre_m / factor, stretch.sheath_m)
    offset = stretch.high_m - along if stretch.inward else stretch.low_m + along
    low, high = (offset, stretch.high_m) if stretch.inward else (stretch.low_m, offset)
    return Spot(stretch, offset, fibre, spot.sheath_m + along, spot.route_m + route_in(stretch, low, high))
