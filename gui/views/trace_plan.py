"""The course of one light path as the Trace view lays it out: stations, spans with their tubes, marks and route.

Everything is placed by fibre metres from the exchange end of the path, which is the one scale that strip, plot and
rulers share. Pure functions of the plant; where a length is not known, places stand evenly and ``true`` says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from model.entities import Cable, Ticket
from model.glass import Piece, fibre_per_sheath, mark_runs
from model.graph import Continuity
from model.line.names import natural
from model.lookup import cable_type, passes, tube_of
from model.nodes import site_of
from model.optics.loss import outward
from model.parts import CableType
from model.tickets import heard_of
from model.trace import Trace, service_node, trace
from render.hopwords import site_name
from render.looks import GlassLook, tube_look
from render.passing import parts_between, passings

EVEN_M = 1000.0
"""Distance between places whose true distance is not known."""


@dataclass(frozen=True, slots=True)
class Station:
    """A site on the path, ``at_m`` fibre metres from its exchange end; marks and route in metres where known."""

    site: str
    name: str
    kind: str
    at_m: float
    marks: tuple[float, ...] = ()
    mark_unit: str = "m"
    route_m: float | None = None


@dataclass(frozen=True, slots=True)
class Run:
    """Printed marks that run on without a jump: fibre metres of the path from and to, and the marks there, metres."""

    from_m: float
    to_m: float
    first: float
    last: float

    def at(self, mark_m: float) -> float | None:
        """Fibre metres of a mark; None for one beyond the run."""
        part = (mark_m - self.first) / (self.last - self.first) if self.last != self.first else -1.0
        return self.from_m + part * (self.to_m - self.from_m) if -1e-9 <= part <= 1 + 1e-9 else None


@dataclass(frozen=True, slots=True)
class Span:
    """Cable between two neighbouring stations; ``stop`` is the one on the exchange side, marks run along it.

    ``key`` is the stop that names the span in its cable, ``stop`` itself unless the cable is laid backwards.
    """

    cable: str
    name: str
    stop: str
    far_stop: str
    from_m: float
    to_m: float
    tube: int
    fibre: int
    tubes: tuple[GlassLook, ...]
    key: str = ""
    runs: tuple[Run, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole path; ``losses`` are (fibre metres, dB by wavelength) after every step, from the exchange outward."""

    node: str
    stations: tuple[Station, ...]
    spans: tuple[Span, ...]
    length_m: float
    losses: tuple[tuple[float, dict[int, float]], ...] = ()
    true: bool = True

    def mark_at(self, at_m: float) -> float | None:
        """The printed mark, metres, at a place of the path; None where the sheath has none known."""
        for span in self.spans:
            for run in span.runs:
                if run.from_m - 1e-6 <= at_m <= run.to_m + 1e-6 and run.to_m > run.from_m:
                    return run.first + (at_m - run.from_m) / (run.to_m - run.from_m) * (run.last - run.first)
        return None

    def at_mark(self, cable: str, mark_m: float) -> float | None:
        """Fibre metres of a printed mark of a cable; in an opening or a jump of the print the nearest end of a run."""
        runs = [run for span in self.spans if span.cable == cable for run in span.runs]
        for run in runs:
            found = run.at(mark_m)
            if found is not None:
                return found
        ends = [end for run in runs for end in ((run.first, run.from_m), (run.last, run.to_m))]
        return min(ends, key=lambda end: abs(end[0] - mark_m))[1] if ends else None


def plan_of(continuity: Continuity, node: str, wavelengths_nm: tuple[int, ...] = (1310, 1550)) -> Plan | None:
    """The course of the light path through a node; None for a node that is not there."""
    if not node or node not in continuity.graph:
        return None
    path = trace(continuity, node)
    stages = outward(continuity, path.steps, wavelengths_nm)
    true = all(stage.at_m is not None for stage in stages)
    stations: list[Station] = []
    spans: list[Span] = []
    losses: list[tuple[float, dict[int, float]]] = []
    at_m = 0.0
    _stand(continuity, stations, site_of(continuity.plant, path.exchange), at_m)
    for stage in stages:
        step = stage.loss.step
        if isinstance(step.by, Piece):
            at_m = _glass(continuity, step.by, step.start.endswith(">"), at_m, true, stations, spans)
            if true and stage.at_m is not None:
                at_m = stage.at_m  # the sum over parts and the sum over steps are one; rounding is not added up
        losses.append((at_m, dict(stage.sum_db)))
    return Plan(node, tuple(stations), tuple(spans), at_m, tuple(losses), true)


def _stand(
    continuity: Continuity,
    stations: list[Station],
    site: str,
    at_m: float,
    marks: tuple[float | None, ...] = (),
    unit: str = "m",
) -> None:
    """Add a station, or more marks to the one that stands there already."""
    found = continuity.plant.sites.get(site)
    known = tuple(mark for mark in marks if mark is not None)
    if stations and stations[-1].site == site:
        if known and not stations[-1].marks:
            stations[-1] = replace(stations[-1], marks=known, mark_unit=unit)
        return
    kind, route = (found.kind, found.chainage_m) if found else ("", None)
    stations.append(Station(site, site_name(continuity.plant, site), kind, at_m, known, unit, route))


def _glass(
    continuity: Continuity,
    piece: Piece,
    outward_laid: bool,
    at_m: float,
    true: bool,
    stations: list[Station],
    spans: list[Span],
) -> float:
    """Lay one piece of glass out from ``at_m``; returns where it ends."""
    plant = continuity.plant
    cable: Cable = plant.cables[piece.cable]
    kind = cable_type(plant, cable)
    tube = tube_of(kind, piece.fibre)[0]
    looks = tuple(tube_look(plant, cable, number) for number in range(1, len(kind.tubes) + 1))
    parts = [part.fibre_m for part in parts_between(plant, cable, piece)]
    gaps = [(p.opening_m or 0.0) * fibre_per_sheath(kind) for p in passings(plant, cable, piece)] + [0.0]
    order = list(range(piece.first, piece.last))
    ends = {index for index in (piece.first, piece.last) if not passes(cable, index)}
    if not outward_laid:
        order.reverse()
        gaps = [*gaps[-2::-1], 0.0]
        parts.reverse()
    for part, gap, index in zip(parts, gaps, order, strict=True):
        near, far = (cable.stops[index], cable.stops[index + 1])[:: 1 if outward_laid else -1]
        _stand(continuity, stations, near.site, at_m, (near.mark_in_m, near.mark_out_m), cable.mark_unit)
        to_m = at_m + (part if true and part is not None else EVEN_M)
        # The tails are glass beyond the last marks: the marks begin after the one and end before the other.
        tails = [stop.tail_m if true and cable.stops.index(stop) in ends else 0.0 for stop in (near, far)]
        sheath = (at_m + tails[0], to_m - tails[1])
        spans.append(
            Span(
                cable.id,
                cable.name,
                near.id,
                far.id,
                *sheath,
                tube,
                piece.fibre,
                looks,
                cable.stops[index].id,
                _runs(cable, kind, index, outward_laid, sheath[0]) if true else (),
            )
        )
        _stand(continuity, stations, far.site, to_m, (far.mark_in_m, far.mark_out_m), cable.mark_unit)
        at_m = to_m + (gap if true else 0.0)
    return at_m


def _runs(cable: Cable, kind: CableType, index: int, outward_laid: bool, from_m: float) -> tuple[Run, ...]:
    """The marks of a span along the path, from where its sheath begins."""
    marks = list(mark_runs(cable, index))
    if not outward_laid:
        marks = [(last, first) for first, last in reversed(marks)]
    found: list[Run] = []
    for first, last in marks:
        to_m = from_m + abs(last - first) * fibre_per_sheath(kind)
        found.append(Run(from_m, to_m, first, last))
        from_m = to_m
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Hung:
    """Services whose light leaves the path at a station, by name: who is down, who is up, who was not asked."""

    down: tuple[str, ...] = ()
    up: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


def hung_under(continuity: Continuity, plan: Plan, ticket: Ticket | None, services: Iterable[str]) -> list[Hung]:
    """For every station of a plan the services that leave it there: at the last station they share with it."""
    order = {station.site: index for index, station in enumerate(plan.stations) if station.kind != "premises"}
    found: list[dict[str, list[str]]] = [{"down": [], "up": [], "unknown": []} for _ in plan.stations]
    passed = continuity.kept(sites_of_services, *SITES_FROM)
    for key in services:
        shared = [order[site] for site in passed.get(key, ()) if site in order]
        if shared:
            found[max(shared)][heard_of(ticket, key)].append(continuity.plant.services[key].name)
    return [Hung(*(tuple(sorted(f[heard], key=natural)) for heard in ("down", "up", "unknown"))) for f in found]


SITES_FROM = ("services", "ports", "sites")
"""Tables that the sites of services are read from, besides the graph."""


def sites_of_services(continuity: Continuity) -> dict[str, frozenset[str]]:
    """Every site that the path of each service stops at or passes; kept while the glass stays as it is."""
    found: dict[str, frozenset[str]] = {}
    for key in continuity.plant.services:
        node = service_node(continuity, key)
        if node in continuity.graph:
            found[key] = frozenset(sites_on(continuity, trace(continuity, node)))
    return found


def sites_on(continuity: Continuity, path: Trace) -> set[str]:
    """Every site that a path stops at or passes."""
    plant = continuity.plant
    sites = {site_of(plant, node) for node in path.nodes}
    for step in path.steps:
        if isinstance(step.by, Piece):
            sites |= {stop.site for stop in plant.cables[step.by.cable].stops[step.by.first : step.by.last + 1]}
    return sites
