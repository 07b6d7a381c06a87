"""What things are called in a list: colours of tubes and fibres, trays, marks as the sheath prints them, far ends.

Plain values, no sentences. A fibre that a cable does not have keeps its number and gets no colour, so that a wrong
record can still be read in a list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from model.colours import colour_at
from model.entities import Cable, FibreEnd, GlassEnd, LegEnd, Stop
from model.glass import opening_m
from model.graph import Continuity, node_end
from model.ids import SiteId
from model.layout import tube_runs
from model.lengths import FOOT_M
from model.lists.source import Source
from model.lookup import cable_type, passes, stop_of, stops_at, tube_of
from model.plant import Plant
from model.trace import EndKind, Way, walk


def site_name(plant: Plant, site: str) -> str:
    """Name of a site, or its id where the plant has none."""
    return plant.sites[site].name if site in plant.sites else site


def tray_name(plant: Plant, tray: str | None) -> str:
    """Name of a tray; empty for none."""
    if not tray:
        return ""
    return plant.trays[tray].name if tray in plant.trays else tray


def called(what: str, name: str) -> str:
    """A name with what it is the name of, unless it says so itself: "tray 1", "Tray 1", "bay"."""
    return name if name.casefold().startswith(what) else f"{what} {name}"


def tube_colour(plant: Plant, cable: Cable, tube: int) -> str:
    """Colour of a tube in plain words, stripes included."""
    return colour_at(plant.schemes[cable_type(plant, cable).tube_scheme], tube).words


def fibre_colour(plant: Plant, cable: Cable, fibre: int) -> str:
    """Colour of a fibre in plain words; colours count anew in every tube, and in every ribbon."""
    kind = cable_type(plant, cable)
    _, position = tube_of(kind, fibre)
    if kind.ribbon:
        position = (position - 1) % kind.ribbon + 1
    return colour_at(plant.schemes[kind.fibre_scheme], position).words


def printed_mark(cable: Cable, mark_m: float | None) -> float | None:
    """A mark as the sheath prints it, in the cable's own unit, from metres."""
    return None if mark_m is None else mark_m / FOOT_M if cable.mark_unit == "ft" else mark_m


@dataclass(frozen=True, slots=True)
class EndName:
    """One end of glass as a list names it.

    ``side`` is ``<`` or ``>`` for a fibre, ``in`` or ``out`` for a splitter's leg. ``number`` is the running fibre
    number or the leg; ``position`` the number in its tube, 0 with empty colours where there is none.
    """

    owner: str
    name: str
    side: str
    number: int
    tube: int = 0
    tube_colour: str = ""
    position: int = 0
    colour: str = ""

    @property
    def text(self) -> str:
        """``TM-B1:13`` or ``SP-1 leg 3``."""
        if self.side in ("in", "out"):
            return f"{self.name} {'input' if self.side == 'in' else 'leg'} {self.number}"
        return f"{self.name}:{self.number}"


def end_name(plant: Plant, end: GlassEnd) -> EndName:
    """The names of an end of glass; a cable or splitter the plant lacks is called by its id."""
    if isinstance(end, LegEnd):
        splitter = plant.splitters.get(end.splitter)
        return EndName(end.splitter, splitter.name if splitter else end.splitter, end.role, end.number)
    cable = plant.cables.get(end.cable)
    if cable is None:
        return EndName(end.cable, end.cable, end.side, end.fibre)
    kind = cable_type(plant, cable)
    if not 1 <= end.fibre <= kind.fibre_count:
        return EndName(cable.id, cable.name, end.side, end.fibre)
    tube, position = tube_of(kind, end.fibre)
    return EndName(
        cable.id,
        cable.name,
        end.side,
        end.fibre,
        tube,
        tube_colour(plant, cable, tube),
        position,
        fibre_colour(plant, cable, end.fibre),
    )


@dataclass(frozen=True, slots=True)
class Reach:
    """Where a light path ends, for one or more fibres: ``numbers`` of ports, fibres or legs of ``name`` at ``site``.

    Empty everywhere when there is no glass that way.
    """

    site: str = ""
    name: str = ""
    numbers: tuple[int, ...] = ()
    kind: EndKind | str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """What fibres that reach the same place have in common."""
        return self.site, self.name, str(self.kind)


def together(reaches: Iterable[Reach]) -> Reach:
    """Reaches with one key as one."""
    held = list(reaches)
    if not held:
        return Reach()
    first = held[0]
    return Reach(first.site, first.name, tuple(n for reach in held for n in reach.numbers), first.kind)


def reach(continuity: Continuity, node: str, way: Way) -> Reach:
    """Where the light path from a node ends, by its inside or its outside first."""
    if node not in continuity.graph:
        return Reach()
    found = walk(continuity.graph, node, way)
    plant = continuity.plant
    if found.end.endswith(("/rear", "/front")):
        port = plant.ports.get(found.end.rpartition("/")[0])
        if port is None:
            return Reach(name=found.end, kind=found.kind)
        return Reach(site_name(plant, port.site), port.panel, (port.number,), found.kind)
    end = node_end(found.end)
    if isinstance(end, FibreEnd) and end.cable in plant.cables:
        cable = plant.cables[end.cable]
        return Reach(site_name(plant, stop_of(cable, end.stop).site), cable.name, (end.fibre,), found.kind)
    if isinstance(end, LegEnd) and end.splitter in plant.splitters:
        splitter = plant.splitters[end.splitter]
        role = "input" if end.role == "in" else "leg"
        return Reach(site_name(plant, splitter.site), f"{splitter.name} {role}", (end.number,), found.kind)
    return Reach(name=found.end, kind=found.kind)


def cut_places(source: Source, site: str) -> dict[tuple[str, int], float]:
    """Where each worked tube of the cables passing a site is cut, by stop and tube: mm from the exchange-side sheath
    end. Read off the drawn routes; a tube without one is cut where it is recorded, else at the far end of the opening.
    """
    found: dict[tuple[str, int], float] = {}
    for cable, index, stop in stops_at(source.plant, site):
        opened = opening_m(stop) if passes(cable, index) else None
        for work in stop.tubes:
            if work.cut_at_mm is not None:
                found[stop.id, work.tube] = work.cut_at_mm
            elif opened is not None:
                found[stop.id, work.tube] = opened * 1000.0
    for box in source.boxes.get(SiteId(site), ()):
        for run in tube_runs(source.plant, box, source.drawn(box)):
            if run.cut_mm is not None and run.b is not None:
                found[run.stop.id, run.tube] = run.cut_mm
    return found


def mark_at(cable: Cable, stop: Stop, along_mm: float | None) -> float | None:
    """Printed mark beside a place in a sheath opening, in the cable's unit; marks may fall along the cable."""
    if along_mm is None or stop.mark_in_m is None:
        return None
    falls = stop.mark_out_m is not None and stop.mark_out_m < stop.mark_in_m
    return printed_mark(cable, stop.mark_in_m + (-along_mm if falls else along_mm) / 1000.0)
