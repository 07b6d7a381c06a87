"""The answer of a ticket in words: where to go, which mark, what band; suspects; what is cleared; what to test next.

Everything comes from the correlation and the located reading; here it is only put into the order of a call at night,
the answer first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from gui.views.trace_state import TraceState, reading_words, spots_of, suspects_in
from model.correlate.next_tests import Outcome
from model.correlate.prior import sites_of
from model.correlate.suspects import Answer, Cleared, Suspect
from model.dispatch.beside import Beside, beside
from model.dispatch.facts import narrowed, reading_of
from model.dispatch.showing import Showing, showings, tests_as_shown
from model.graph import Continuity, end_node
from model.lists.naming import site_name
from model.numbers import to_text
from model.otdr.locate import Located

NAMED = 3
"""Services named in a few words; more are counted."""
BROAD = ("sheath", "tube", "tube_at", "tray", "input", "splitter")
"""Grains whose clearing is news; that one splice cannot explain five down is not."""


@dataclass(frozen=True, slots=True)
class SuspectRow:
    """A suspect: rank, words, why, how the reading stands to it, and where to see it."""

    rank: int
    title: str
    second: str
    keys: tuple[str, ...]
    site: str

    @property
    def words(self) -> str:
        """What is read out."""
        return f"{self.rank}, {self.title}, {self.second}"


@dataclass(frozen=True, slots=True)
class AnswerData:
    """What the right side shows; what there is nothing to say of is empty."""

    head: str = ""
    mark: str = ""
    band: str = ""
    lines: tuple[str, ...] = ()
    statement: str = ""
    fit: str = ""
    single: bool = False
    suspects: tuple[SuspectRow, ...] = ()
    cleared: tuple[tuple[str, str], ...] = ()
    minor: int = 0
    """Elements cleared that are too small to list: single fibres, splices, ports."""
    test: str = ""
    outcomes: tuple[str, ...] = ()
    test_note: str = ""
    mind_id: str = ""
    mind_site: str = ""
    mind: tuple[tuple[str, bool], ...] = ()
    """(whom not to disturb on the glass of one tube, True for glass on a tray)."""
    mind_count: int = 0
    working: tuple[str, ...] = ()
    losses: tuple[tuple[str, str], ...] = ()
    """(wavelength, loss) of the lit path, without a ticket."""

    @property
    def words(self) -> str:
        """The answer as it is read out."""
        mark = f"mark {self.mark}" if self.mark else ""
        band = f"between {self.band}" if self.band else ""
        return ". ".join(filter(None, (self.head, mark, band, *self.lines, self.statement)))


def without_ticket(state: TraceState) -> AnswerData:
    """The right side of a path without a ticket: its loss by wavelength."""
    if state.plan is None:
        return AnswerData("Nothing is lit", lines=("Pick a fibre, or say trace D-1:3", "Ctrl+T opens a ticket"))
    last = state.plan.losses[-1][1] if state.plan.losses else {}
    losses = tuple((f"{nm} nm", f"{db:.2f} dB") for nm, db in sorted(last.items()))
    length = f"{state.plan.length_m:.0f} m of fibre" if state.plan.true else "a length is not known"
    ends = f"{state.plan.stations[0].name} to {state.plan.stations[-1].name}" if state.plan.stations else ""
    return AnswerData(ends, lines=(length,), losses=losses)


def answer_of(continuity: Continuity, state: TraceState, answer: Answer | None) -> AnswerData:
    """Put the answer of a ticket together; ``answer`` is None while nobody is down."""
    if state.ticket is None:
        return without_ticket(state)
    if not state.ticket.down:
        found: tuple[str, str, str, tuple[str, ...]] = ("Mark who is down", "", "", ("Not pressed means not known",))
        if state.located is not None:
            found = _head(state, None, "", continuity)
        return AnswerData(*found, working=_working(state))
    if answer is None:
        return AnswerData("Looking for suspects", working=_working(state))
    suspects = suspects_in(answer)
    showing: dict[str, Showing] = {}
    if state.located is not None and state.shot is not None:
        keys = tuple(s.element.key for s in suspects)
        node = end_node(state.shot.glass)
        showing = showings(continuity, node, reading_of(state.shot), state.located, keys)
        tests = tests_as_shown(continuity, node, reading_of(state.shot), answer.next_tests)
        answer = replace(answer, next_tests=tests)
    _, _, target, place = narrowed(continuity.plant, answer, showing, state.located)
    rows = tuple(_row(continuity, state, showing, rank, suspect) for rank, suspect in enumerate(suspects, start=1))
    head, mark, band, lines = _head(state, target, place, continuity)
    broad = [c for c in answer.cleared if c.element.kind in BROAD]
    test = answer.next_tests[0] if answer.next_tests else None
    others = beside(continuity, place, state.ticket.down) if place else ()
    return AnswerData(
        head,
        mark,
        band,
        lines,
        answer.statement,
        _fit(answer, suspects),
        answer.single,
        rows,
        tuple((c.element.words, _why(continuity, answer, c)) for c in _first_news(broad)),
        len(answer.cleared) - len(broad),
        test.words if test else "",
        tuple(_outcome(o, rows) for o in test.outcomes) if test else (),
        "" if test is None else "tells the first two apart" if test.separates_top else "splits the suspects",
        place,
        site_name(continuity.plant, place) if place else "",
        tuple((_beside(continuity, row), bool(row.tray)) for row in others),
        len({service for row in others for service in row.services}),
        _working(state),
    )


def _first_news(cleared: Sequence[Cleared]) -> list[Cleared]:
    """Sheaths before tubes, and those that somebody up clears before those that leave somebody unexplained."""
    return sorted(cleared, key=lambda c: (not c.contradicted_by, c.element.kind != "sheath"))


def _beside(continuity: Continuity, row: Beside) -> str:
    """``T3: 25-26 (C7 C12), uncut tube``."""
    named = len(row.services) <= NAMED + 1
    names = " ".join(continuity.plant.services[key].name for key in row.services)
    who = names if named else f"{len(row.services)} services"
    return f"T{row.tube}: {to_text(row.fibres)} ({who}), {row.where}"


def _why(continuity: Continuity, answer: Answer, cleared: Cleared) -> str:
    """Why in few words: ``C3 C4 up``, ``7 up through it``, ``C5 C6 not explained``."""
    services = continuity.plant.services
    if cleared.contradicted_by:
        names = [services[key].name for key in cleared.contradicted_by if key in services]
        return f"{' '.join(names)} up" if len(names) <= NAMED else f"{len(names)} up through it"
    left = [services[key].name for key in answer.down if key not in cleared.explains and key in services]
    if not cleared.explains:
        return cleared.why
    return f"{' '.join(left)} not explained" if len(left) <= NAMED else f"{len(left)} not explained"


def _outcome(outcome: Outcome, rows: Sequence[SuspectRow]) -> str:
    """A result and the suspects it leaves, by their numbers in the list."""
    left = {e.key for e in outcome.suspects}
    ranks = [str(row.rank) for row in rows if left & set(row.keys)]
    meaning = f"suspect {' or '.join(ranks)}" if ranks else "none of them"
    return f"{outcome.result} \u2192 {meaning}"


def _fit(answer: Answer, suspects: Sequence[Suspect]) -> str:
    if not suspects:
        return ""
    if answer.pair is not None and not answer.single:
        return f"as a pair explain {len(answer.pair.explains)} of {len(answer.down)}"
    best = suspects[0]
    return f"explain {len(best.explains)} of {len(answer.down)}, contradicted {len(best.contradicted_by)}"


def _row(
    continuity: Continuity, state: TraceState, showing: dict[str, Showing], rank: int, suspect: Suspect
) -> SuspectRow:
    spots = spots_of(continuity, state.plan, (suspect,))
    seen = showing.get(suspect.element.key)
    second = reading_words(state, seen, spots[0] if spots else None) or suspect.reason
    sites = sites_of(continuity.plant, suspect.element.key)
    keys = tuple(part.key for part in (suspect.element, *suspect.also))
    return SuspectRow(rank, suspect.words, second, keys, sites[0] if sites else "")


def _head(
    state: TraceState, target: Suspect | None, place: str, continuity: Continuity
) -> tuple[str, str, str, tuple[str, ...]]:
    """(where to go, the mark, the band, what else to know of it)."""
    located = state.located
    if located is None:
        said = state.fault or "No reading yet. Say: read CABLE:FIBRE and what the OTDR shows"
        if target is None:
            return "The reading has no place" if state.fault else "No reading yet", "", "", (said,)
        return (f"Look at {site_name(continuity.plant, place)} first" if place else "Suspects below"), "", "", (said,)
    mark, unit = located.mark.rsplit(" ", 1)
    low, high = (text.rsplit(" ", 1)[0] for text in located.band)
    start = located.launch.rpartition(" at ")[2]
    lines = [_ground(located), f"Route {located.route_m:.0f} m from {start}"]
    band = next((line for line in located.working if line.startswith("Band:")), "")
    return (
        _where(located),
        mark if unit == "m" else located.mark,
        f"{low} to {high}",
        (*lines, _short(band), *filter(None, (state.both_ends,)), *located.notes),
    )


def _where(located: Located) -> str:
    near = located.nearest
    if not near.side:
        return f"Go to {near.name}, inside"
    if _at_box(located):
        return f"Go to {near.name}, {near.side} side"
    return f"Go between {' and '.join(located.between_names)}"


def _at_box(located: Located) -> bool:
    """True where the place is within its own error of the end of a sheath opening."""
    return located.nearest.offset_m <= max(located.near_m, located.far_m)


def _ground(located: Located) -> str:
    near = located.nearest
    if not near.side:
        return f"In the sheath opening of {located.cable_name}. Not a mid-span dig"
    if _at_box(located):
        return "At the box itself. Not a mid-span dig"
    way = "beyond" if near.side == "out" else "before"
    return f"{near.offset_m:.0f} m of sheath of {located.cable_name} {way} {near.name}"


def _short(band: str) -> str:
    """The sources of the band without their single shares, which stand among the steps."""
    parts = [part.split(" (")[0] for part in band.removeprefix("Band: ").split("), ")]
    names = [part.split(" \u00b1")[0].split(" of ")[0] for part in parts]
    return f"Band: {', '.join(names)}" if band else ""


def _working(state: TraceState) -> tuple[str, ...]:
    if state.located is not None:
        return (*state.located.working, *state.located.notes)
    return (state.fault,) if state.fault else ()
