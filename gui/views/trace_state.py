"""What the Trace view knows at a moment: the ticket and its services, the course of a path, the place of its reading.

Pure functions of the plant, the ticket in hand and the path that is lit. What takes long, the suspects, is asked for
apart, so that the view need not wait for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from gui.panels.strip_layout import Spot
from gui.panels.ticket_model import ServiceRow, service_rows
from gui.views.trace_plan import SITES_FROM, Hung, Plan, hung_under, plan_of, sites_of_services
from model.correlate.suspects import Answer, Suspect
from model.dispatch.facts import reading_of
from model.dispatch.showing import Showing
from model.entities import Shot, Ticket
from model.errors import PlantError
from model.graph import Continuity, end_node
from model.lookup import find_stop
from model.otdr.locate import Located, locate
from model.otdr.reading import DEFAULT_INDEX, index_at
from model.otdr.twoended import two_ended
from model.tickets import UNIT_M, shown_m
from model.trace import service_node, trace

LAMPS_NM = (1310, 1550)
POINT_M = 5.0
"""A shorter stretch is a place, not a length: an enclosure."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """How shown distances and the path's fibre metres follow from each other; ``real`` is the index of the glass."""

    set_index: float
    real: float
    lead_m: float
    length_m: float
    from_field: bool = False

    def at_shown(self, shown: float) -> float:
        """Fibre metres from the exchange end of the path behind a shown distance."""
        at_m = shown * self.set_index / self.real - self.lead_m
        return self.length_m - at_m if self.from_field else at_m

    def shown_of(self, at_m: float) -> float:
        """Distance the instrument shows for a place."""
        own = self.length_m - at_m if self.from_field else at_m
        return (own + self.lead_m) * self.real / self.set_index


def instrument_of(continuity: Continuity, plan: Plan | None, shot: Shot | None) -> Instrument:
    """The scale of an instrument on a path: the index of most of its glass, and what was set."""
    length = plan.length_m if plan is not None else 1000.0
    nm = shot.wavelength_nm if shot is not None else LAMPS_NM[0]
    real = DEFAULT_INDEX
    if plan is not None and plan.spans:
        longest = max(plan.spans, key=lambda s: s.to_m - s.from_m)
        plant = continuity.plant
        real = index_at(plant.cable_types[plant.cables[longest.cable].type], nm) or DEFAULT_INDEX
    if shot is None:
        return Instrument(real, real, 0.0, length)
    return Instrument(shot.index or real, real, shot.lead_m, length, shot.from_side == ">")


@dataclass(frozen=True, slots=True)
class TraceState:
    """Everything but the suspects. ``fault`` says why a reading has no place."""

    ticket: Ticket | None
    rows: tuple[ServiceRow, ...]
    plan: Plan | None
    hung: tuple[Hung, ...]
    shot: Shot | None
    instrument: Instrument
    located: Located | None
    found_m: float | None
    fault: str = ""
    both_ends: str = ""
    """What readings from both ends of the path say together; empty without the second one."""


def trace_state(
    continuity: Continuity,
    ticket: Ticket | None,
    lit: str,
    wavelength_nm: int = 1310,
    instrument: Instrument | None = None,
) -> TraceState:
    """Work the view out; ``instrument`` is that of a trace file where no reading of a ticket says another."""
    rows = tuple(service_rows(continuity, ticket)) if ticket is not None else ()
    shot = ticket.shots[-1] if ticket is not None and ticket.shots else None
    node = _node(continuity, ticket, shot, lit)
    plan = plan_of(continuity, node, tuple(dict.fromkeys((*LAMPS_NM, wavelength_nm))))
    hung = tuple(hung_under(continuity, plan, ticket, [row.service for row in rows])) if plan and ticket else ()
    located, found, fault = None, None, ""
    if shot is not None:
        try:
            if end_node(shot.glass) not in continuity.graph:
                raise PlantError(
                    "the glass of the reading is cut elsewhere now", hint="Read again from a fibre that is there"
                )
            located = locate(continuity, end_node(shot.glass), reading_of(shot))
        except PlantError as problem:
            fault = str(problem)
    if located is not None and plan is not None and plan.true:
        found = plan.at_mark(located.cable, located.mark_m)
    scale = instrument_of(continuity, plan, shot)
    if instrument is not None and shot is None:
        scale = replace(instrument, real=scale.real, length_m=scale.length_m)
    both = _both_ends(continuity, ticket, shot) if shot is not None and ticket is not None else ""
    return TraceState(ticket, rows, plan, hung, shot, scale, located, found, fault, both)


def _both_ends(continuity: Continuity, ticket: Ticket, shot: Shot) -> str:
    """The check of a reading against the last one from the other end of the same path."""
    node = end_node(shot.glass)
    if node not in continuity.graph:
        return ""
    on_path = set(trace(continuity, node).nodes)
    other = next(
        (s for s in reversed(ticket.shots) if s.from_side != shot.from_side and end_node(s.glass) in on_path), None
    )
    if other is None:
        return ""
    near, far = (shot, other) if shot.from_side == "<" else (other, shot)
    try:
        return two_ended(continuity, node, reading_of(near), reading_of(far)).words
    except PlantError as problem:
        return str(problem)


def _node(continuity: Continuity, ticket: Ticket | None, shot: Shot | None, lit: str) -> str:
    """The path that is shown: that of the reading, else the one lit, else the longest of somebody down."""
    if shot is not None and end_node(shot.glass) in continuity.graph:
        return end_node(shot.glass)
    if lit and lit in continuity.graph:
        return lit
    if ticket is None:
        return ""
    passed = continuity.kept(sites_of_services, *SITES_FROM)
    keys = [key for key in (ticket.down or ticket.up) if passed.get(key)]
    farthest = max(keys, key=lambda key: len(passed[key]), default=None)
    return service_node(continuity, farthest) if farthest is not None else ""


# -- suspects -----------------------------------------------------------------------------------------------------


def suspects_in(answer: Answer | None) -> tuple[Suspect, ...]:
    """The suspects to show, best first: those of the best pair where no single fault fits."""
    if answer is None:
        return ()
    if answer.pair is not None and not answer.single:
        return (*answer.pair.first, *answer.pair.second)
    return answer.suspects


def spots_of(continuity: Continuity, plan: Plan | None, suspects: Iterable[Suspect]) -> tuple[Spot, ...]:
    """Where suspects lie on the path; those that lie elsewhere are left out."""
    if plan is None:
        return ()
    found: list[Spot] = []
    for rank, suspect in enumerate(suspects, start=1):
        for part in (suspect.element, *suspect.also):
            spot = _spot(continuity, plan, part.key, rank, suspect.words)
            if spot is not None:
                found.append(spot)
                break
    return tuple(found)


def _spot(continuity: Continuity, plan: Plan, key: str, rank: int, words: str) -> Spot | None:
    kind, rest = key.split("|", 1)
    maker: Callable[[], Spot | None] | None = {
        "sheath": lambda: _in_span(plan, rest, 0, rank, words),
        "tube": lambda: _in_span(plan, rest.split("|")[1], int(rest.split("|")[0]), rank, words),
        "tube_at": lambda: _at_stop(continuity, plan, rest.split("|", 2)[2], int(rest.split("|")[1]), rank, words),
        "fibre": lambda: _of_glass(plan, rest.split("|", 1)[1], int(rest.split("|", 1)[0]), rank, words),
    }.get(kind)
    return maker() if maker is not None else None


def _in_span(plan: Plan, stop: str, tube: int, rank: int, words: str) -> Spot | None:
    for span in plan.spans:
        if span.key == stop:
            return Spot(span.cable, tube, span.from_m, span.to_m, rank, words)
    return None


def _of_glass(plan: Plan, stop: str, fibre: int, rank: int, words: str) -> Spot | None:
    """A piece of glass: every span of its cable on the path from its first stop on."""
    first = next((s for s in plan.spans if s.key == stop and s.fibre == fibre), None)
    if first is None:
        return None
    own = [s for s in plan.spans if (s.cable, s.fibre) == (first.cable, fibre)]
    return Spot(first.cable, first.tube, min(s.from_m for s in own), max(s.to_m for s in own), rank, words)


def _at_stop(continuity: Continuity, plan: Plan, stop: str, tube: int, rank: int, words: str) -> Spot | None:
    cable, _ = find_stop(continuity.plant, stop)
    ends = [x for s in plan.spans for name, x in ((s.far_stop, s.to_m), (s.stop, s.from_m)) if name == stop]
    return Spot(cable.id, tube, min(ends), max(ends), rank, words) if ends else None


def reading_words(state: TraceState, showing: Showing | None, spot: Spot | None) -> str:
    """How the reading stands to a suspect: it lands there, at an end of it, or would be another."""
    if showing is None or state.shot is None:
        return ""
    if not showing.fits:
        unit = UNIT_M[state.shot.unit]
        edge = showing.near_m if showing.near_m > shown_m(state.shot) else showing.far_m
        more = " or more" if showing.far_m - showing.near_m > POINT_M and edge == showing.near_m else ""
        return f"reading would be {edge / unit:.0f}{more}"
    long = spot is not None and spot.to_m - spot.from_m > POINT_M and state.located is not None
    if long and spot is not None and state.located is not None and state.found_m is not None and state.plan is not None:
        reach = max(state.located.near_m, state.located.far_m)
        for edge_m in (spot.from_m, spot.to_m):
            if abs(edge_m - state.found_m) <= reach:
                site = min(state.plan.stations, key=lambda s: abs(s.at_m - edge_m)).name
                return f"the reading lands at its {site} end"
    return "the reading lands here"
