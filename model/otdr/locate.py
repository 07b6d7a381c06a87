"""From a reading to a place: fibre metres, sheath metres, the printed mark, the nearest site, the route, and a band.

The steps are those done on paper (formulas F16 to F18): shown distance to true by the index, less lead and tail, to
sheath by the excess of each cable on the way, to the mark printed there, to metres along the ground. Metres
throughout; a mark is also given in the unit its sheath prints.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Cable
from model.errors import PlantError
from model.glass import span_m
from model.graph import Continuity
from model.ids import CableId
from model.lists.naming import printed_mark, site_name
from model.nodes import site_of
from model.otdr.band import Band, band_of, fibre_tol_m
from model.otdr.reading import LaunchEnd, Reading
from model.otdr.walk import Launch, Spot, launch_of, walk
from model.otdr.way import Crossing, Way, route_in
from model.otdr.working import working_lines
from model.plant import Plant

NearSide = Literal["in", "out", ""]


@dataclass(frozen=True, slots=True)
class Nearest:
    """The nearest site on the cable. ``side`` "in" is toward the exchange, "out" toward the field, "" inside the site.

    ``offset_m`` is metres of sheath from the end of its opening.
    """

    site: str
    name: str
    side: NearSide
    offset_m: float
    words: str


@dataclass(frozen=True, slots=True)
class Located:
    """Where a reading lies.

    ``true_m`` is the fibre from the instrument, or from the first sheath where the place was counted from a known
    joint; ``fibre_m`` that without launch lead and launch-end tail. ``sheath_m``
    and ``route_m`` count from the first sheath at the launch end. ``mark`` is as printed (``3153 m``). ``band_m`` are
    marks in metres, lower first, and ``band`` the same as printed; where the print jumps between them the one toward
    the exchange is first. ``between`` are the two sites of the span, or the one site the place lies inside.
    ``chainage_m`` is metres along the ground from the exchange, where the site records say it.
    """

    true_m: float
    fibre_m: float
    sheath_m: float
    route_m: float
    chainage_m: float | None
    cable: CableId
    cable_name: str
    fibre: int
    stop: int
    mark_m: float
    mark: str
    band_m: tuple[float, float]
    band: tuple[str, str]
    near_m: float
    far_m: float
    between: tuple[str, ...]
    """Ids of sites."""
    between_names: tuple[str, ...]
    nearest: Nearest
    from_end: LaunchEnd
    launch: str
    working: tuple[str, ...]
    notes: tuple[str, ...]


def locate(continuity: Continuity, node: str, reading: Reading, agreed: str = "") -> Located:
    """The place of a reading on the path through ``node``. ``agreed`` tells how a second reading moved this one: excess
    has then been measured out, so that the band does not count its tolerance.

    Raises PlantError when the reading ends before the first sheath or beyond the path by more than its error, when a
    mark is missing on the way, or for a path without glass; KeyError for a node that is not in the graph.
    """
    plant = continuity.plant
    launch = launch_of(continuity, node, reading)
    notes: list[str] = []
    if launch.unknown:
        names = ", ".join(launch.unknown)
        notes.append(f"No index is known for {names}: reckoned with {launch.index_first:g}.")
    off_m = fibre_tol_m(plant, launch)
    notes += _short_notes(launch, off_m)
    spot, past_m = walk(plant, launch, max(launch.optical_m, 0.0))
    if past_m > 0.0:
        end = site_name(plant, site_of(plant, launch.way.end))
        if past_m > off_m:
            raise PlantError(
                f"a reading of {reading.shown_m:.1f} m lies {past_m:.0f} m beyond the end of the path at {end}",
                where="locate",
                hint="Check the fibre, the end it was measured from, the unit, the index and the lead",
            )
        notes.append(
            f"The reading ends {past_m:.1f} m beyond the path, within its error: the place is its end at {end}."
        )
    notes += _splitter_notes(plant, launch.way, spot)
    band = band_of(plant, launch, spot, bool(agreed))
    notes += [
        f"The band reaches past the {end} end of {spot.stretch.cable.name} into what is joined there."
        for end in band.over
    ]
    return _located(plant, launch, spot, past_m, band, notes, agreed)


def _short_notes(launch: Launch, off_m: float) -> list[str]:
    """What is said of a reading that ends before the first sheath; raises PlantError when it cannot be."""
    short = -launch.fibre_m
    if short <= 0.0:
        return []
    if short > launch.tail_m + off_m:
        raise PlantError(
            f"a reading of {launch.reading.shown_m:.1f} m ends in the launch lead, "
            f"{short - launch.tail_m:.1f} m before the path begins",
            where="locate",
            hint="Check the reading, its unit and the lead",
        )
    return [f"The reading ends in the tail at the launch end, {short:.1f} m before the first mark."]


def _splitter_notes(plant: Plant, way: Way, spot: Spot) -> list[str]:
    """A warning for every splitter that a pulse from the exchange crosses before the spot: its legs add up."""
    if way.from_end == "field":
        return []
    found: list[str] = []
    for item in way.items:
        if item == spot.stretch:
            break
        if isinstance(item, Crossing) and item.joint.kind == "splitter":
            name = plant.splitters[item.joint.id].name
            found.append(
                f"Beyond splitter {name} a trace from the exchange adds up all its legs: the place is on this leg only "
                "if the others are ruled out. Measure from the field end."
            )
    return found


def _located(
    plant: Plant, launch: Launch, spot: Spot, past_m: float, band: Band, notes: list[str], agreed: str
) -> Located:
    stretch = spot.stretch
    cable, mark = stretch.cable, spot.mark_m or 0.0
    sites = [cable.stops[stretch.stop].site]
    if stretch.kind == "span":
        sites.append(cable.stops[stretch.stop + 1].site)
    nearest = _nearest(plant, spot)
    marks = _in_order(cable, stretch.stop, stretch.kind == "span", band.marks_m)
    start = site_name(plant, site_of(plant, launch.way.start))
    true_m = launch.true_m if not launch.before.site else launch.before.fibre_m + launch.true_m
    place = f"Mark {mark_words(cable, mark)} on {cable.name}: {nearest.words}"
    return Located(
        true_m=true_m,
        fibre_m=min(launch.fibre_m, 0.0) + spot.fibre_m + past_m,
        sheath_m=spot.sheath_m,
        route_m=spot.route_m,
        chainage_m=_chainage_m(plant, spot),
        cable=cable.id,
        cable_name=cable.name,
        fibre=stretch.fibre,
        stop=stretch.stop,
        mark_m=mark,
        mark=mark_words(cable, mark),
        band_m=marks,
        band=(mark_words(cable, marks[0]), mark_words(cable, marks[1])),
        near_m=band.near_m,
        far_m=band.far_m,
        between=tuple(sites),
        between_names=tuple(site_name(plant, site) for site in sites),
        nearest=nearest,
        from_end=launch.way.from_end,
        launch=f"from the {launch.way.from_end} end at {start}",
        working=working_lines(plant, launch, spot, band, start, place, agreed),
        notes=tuple(notes),
    )


def mark_words(cable: Cable, mark_m: float) -> str:
    """A mark as the sheath prints it, to the whole unit: nobody finds a tenth on a sheath."""
    return f"{printed_mark(cable, mark_m) or 0.0:.0f} {cable.mark_unit}"


def _in_order(cable: Cable, stop: int, in_span: bool, marks: tuple[float, float]) -> tuple[float, float]:
    """Lower mark first, unless a jump of the print lies in the span: then as they lie."""
    if in_span and cable.stops[stop].jumps:
        return marks
    return min(marks), max(marks)


def _nearest(plant: Plant, spot: Spot) -> Nearest:
    stretch = spot.stretch
    cable, stop = stretch.cable, stretch.stop
    side: NearSide = ""
    offset = 0.0
    if stretch.kind == "span":
        whole = span_m(cable, stop) or 0.0
        side, offset = (
            ("out", spot.offset_m) if spot.offset_m <= whole - spot.offset_m else ("in", whole - spot.offset_m)
        )
        stop += side == "in"
    site = cable.stops[stop].site
    name = site_name(plant, site)
    if stretch.kind == "tail":
        words = f"inside {name}, {spot.tail_m:.1f} m into the glass beyond the sheath of {cable.name}"
    elif stretch.kind == "opening":
        words = f"inside {name}, in the sheath opening of {cable.name}"
    else:
        coil = cable.stops[stop].coil_out_m if side == "out" else cable.stops[stop].coil_in_m
        toward = "field" if side == "out" else "exchange"
        stored = ", in the coil or riser there" if offset <= coil else ""
        words = f"{name}, {side} side (toward the {toward}), {offset:.1f} m along the sheath{stored}"
    return Nearest(site, name, side, offset, words)


def _chainage_m(plant: Plant, spot: Spot) -> float | None:
    """Metres along the ground from the exchange, from the chainage recorded for the site before the place."""
    stretch = spot.stretch
    site = plant.sites.get(stretch.cable.stops[stretch.stop].site)
    if site is None or site.chainage_m is None:
        return None
    return site.chainage_m + route_in(stretch, 0.0, spot.offset_m)
