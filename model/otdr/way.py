"""The glass of one light path in the order a pulse meets it, from the end the OTDR stands at.

A way is tails, spans of sheath and sheath openings, with the joints between them. A tail is glass without sheath; an
opening is sheath by its marks but gets no further along the route. Metres; nothing here knows what an OTDR shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from model.entities import Cable
from model.glass import Piece, cut_m, fibre_per_sheath, mark_runs, opening_m, span_m
from model.graph import Continuity, Joint
from model.lookup import cable_type, passes
from model.otdr.reading import LaunchEnd
from model.plant import Plant
from model.trace import EndKind, Step, trace


@dataclass(frozen=True, slots=True)
class Stretch:
    """Glass of one cable: its tail at an end, a span between two stops, or an opening it runs through.

    ``stop`` is the index of the stop, of a span the one toward the exchange. ``low_m`` and ``high_m`` are sheath metres
    from the exchange-side end of that span or opening. ``fibre_m`` is ``None`` where a printed mark is missing.
    ``inward``: the pulse runs toward the exchange here.
    """

    kind: Literal["tail", "span", "opening"]
    cable: Cable
    fibre: int
    stop: int
    low_m: float
    high_m: float
    fibre_m: float | None
    inward: bool

    @property
    def sheath_m(self) -> float:
        """Sheath metres of the stretch; a tail has none."""
        return self.high_m - self.low_m


@dataclass(frozen=True, slots=True)
class Crossing:
    """A joint on the way, as the step the pulse takes, and the site it is at."""

    step: Step
    joint: Joint
    site: str


Item = Stretch | Crossing


@dataclass(frozen=True, slots=True)
class Way:
    """A light path from one of its ends. ``start`` and ``end`` are nodes, ``end_kind`` says why it ends there."""

    from_end: LaunchEnd
    start: str
    end: str
    end_kind: EndKind
    items: tuple[Item, ...]

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """The glass alone."""
        return tuple(item for item in self.items if isinstance(item, Stretch))


def way_of(continuity: Continuity, node: str, from_end: LaunchEnd) -> Way:
    """The way through ``node``, seen from its exchange end or from its field end.

    From the field a way runs up through every splitter. From the exchange it follows the one leg that leads to
    ``node``. Raises KeyError for a node that is not in the graph.
    """
    traced = trace(continuity, node)
    if from_end == "field":
        return Way("field", traced.field, traced.exchange, traced.exchange_kind, _items(continuity, traced.steps))
    steps = tuple(step.reversed() for step in reversed(traced.steps))
    return Way("exchange", traced.exchange, traced.field, traced.field_kind, _items(continuity, steps))


def _items(continuity: Continuity, steps: tuple[Step, ...]) -> tuple[Item, ...]:
    plant = continuity.plant
    found: list[Item] = []
    for step in steps:
        if isinstance(step.by, Piece):
            along = list(_stretches(plant, step.by, step.start.endswith("<")))
            found += along[::-1] if along and along[0].inward else along
        else:
            found.append(Crossing(step, step.by, joint_site(plant, step.by)))
    return tuple(found)


def _stretches(plant: Plant, piece: Piece, inward: bool) -> Iterator[Stretch]:
    """A piece from its exchange-side end outward, whichever way the pulse runs."""
    cable = plant.cables[piece.cable]
    kind = cable_type(plant, cable)
    factor = fibre_per_sheath(kind)

    def made(what: Literal["span", "opening"], stop: int, low_m: float, high_m: float | None) -> Stretch:
        fibre_m = None if high_m is None else (high_m - low_m) * factor
        return Stretch(what, cable, piece.fibre, stop, low_m, low_m if high_m is None else high_m, fibre_m, inward)

    def at_end(stop: int, outer: bool) -> Iterator[Stretch]:
        if passes(cable, stop):
            cut = cut_m(cable, kind, piece.fibre, stop)
            low, high = (cut, opening_m(cable.stops[stop]) or 0.0) if outer else (0.0, cut)
            if high > low:
                yield made("opening", stop, low, high)
        elif cable.stops[stop].tail_m:
            yield Stretch("tail", cable, piece.fibre, stop, 0.0, 0.0, cable.stops[stop].tail_m, inward)

    yield from at_end(piece.first, True)
    for stop in range(piece.first, piece.last):
        if stop > piece.first:
            yield made("opening", stop, 0.0, opening_m(cable.stops[stop]))
        yield made("span", stop, 0.0, span_m(cable, stop))
    yield from at_end(piece.last, False)


def joint_site(plant: Plant, joint: Joint) -> str:
    """Site id of a joint."""
    if joint.kind == "splice":
        return plant.splices[joint.id].site
    if joint.kind == "splitter":
        return plant.splitters[joint.id].site
    return plant.ports[joint.id if joint.kind == "pair" else plant.matings[joint.id].port].site


SheathPart = Literal["span", "opening"]


def sheath_parts(cable: Cable) -> list[tuple[SheathPart, int, float | None]]:
    """The spans and openings of a cable from the exchange outward: (which, index of the stop, sheath metres)."""
    found: list[tuple[SheathPart, int, float | None]] = []
    for stop in range(len(cable.stops) - 1):
        if stop:
            found.append(("opening", stop, opening_m(cable.stops[stop])))
        found.append(("span", stop, span_m(cable, stop)))
    return found


def mark_at(cable: Cable, part: SheathPart, index: int, offset_m: float) -> float | None:
    """Printed mark, in metres, ``offset_m`` of sheath from the exchange-side end of a span or opening.

    ``None`` where a mark is missing.
    """
    stop = cable.stops[index]
    if part == "opening":
        if stop.mark_in_m is None or stop.mark_out_m is None:
            return None
        return _along(stop.mark_in_m, stop.mark_out_m, offset_m)
    left = offset_m
    runs = mark_runs(cable, index)
    for first, last in runs:
        if left <= abs(last - first) or (first, last) == runs[-1]:
            return _along(first, last, left)
        left -= abs(last - first)
    return None


def _along(first_m: float, last_m: float, metres: float) -> float:
    return first_m + metres if last_m >= first_m else first_m - metres


def route_in(stretch: Stretch, low_m: float, high_m: float) -> float:
    """Metres along the ground between two places of a stretch, as offsets from its exchange-side end.

    Coils lie at the two ends of a span and openings in the boxes: neither gets any further (formula F18).
    """
    if stretch.kind != "span":
        return 0.0
    cable = stretch.cable
    whole = span_m(cable, stretch.stop) or 0.0
    coiled = cable.stops[stretch.stop].coil_out_m
    laid = max(0.0, whole - coiled - cable.stops[stretch.stop + 1].coil_in_m)
    low, high = (min(max(at - coiled, 0.0), laid) for at in (low_m, high_m))
    return high - low
