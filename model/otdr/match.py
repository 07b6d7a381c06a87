"""A trace held against the plant: which of its events are the plant's joints, what is missing, what nobody recorded.

Both lists stand in order of distance, so they are aligned like two texts: a pair costs how far it is apart, an event
without a partner costs a fixed amount, and the cheapest alignment counts. What index and excess are off is common to
all events; it is found first, from the alignment itself. dB; metres as the file shows them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from model.otdr.expected import Expected
from model.otdr.fit import blind_m, event_loss_db
from model.otdr.judged import Note, judge_extra, judge_pair
from model.otdr.reading import pulse_length_m
from model.otdr.trace_file import FileEvent, TraceFile

STRETCH: Final = 0.01
"""How much longer or shorter than planned a path may come out: excess and index together; common practice."""
NEAREST_M: Final = 5.0
ALONE: Final = 1.0
"""Cost of an event without a partner; a pair costs up to that much."""

Fate = Literal["matched", "hidden", "missing", "beyond"]


@dataclass(frozen=True, slots=True)
class Matched:
    """An expected event with what was seen of it.

    ``fate``: "hidden" lies in the blind length of the event before; "missing" should have been seen and was not;
    "beyond" lies behind the end that was seen. ``loss_db`` is the instrument's, ``fitted_db`` that of the curve.
    """

    expected: Expected
    event: FileEvent | None
    fate: Fate
    loss_db: float | None
    fitted_db: float | None
    off_m: float | None
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class Extra:
    """An event that the plant does not know, with what it may be. ``expected_m`` is its place on the planned path."""

    event: FileEvent
    fitted_db: float | None
    expected_m: float
    notes: tuple[Note, ...]


@dataclass(frozen=True, slots=True)
class TraceMatch:
    """``stretch`` is by how much shown distances come out longer than planned, 0.002 for 2 m in a kilometre."""

    trace: TraceFile
    matched: tuple[Matched, ...]
    extra: tuple[Extra, ...]
    stretch: float

    @property
    def notes(self) -> tuple[Note, ...]:
        """Everything that should be looked at, in order of distance."""
        held = [(m.event.at_m if m.event else m.expected.shown_m, n) for m in self.matched for n in m.notes]
        held += [(extra.event.at_m, note) for extra in self.extra for note in extra.notes]
        return tuple(note for _, note in sorted(held, key=lambda pair: pair[0]))


def match(trace: TraceFile, expected: Sequence[Expected]) -> TraceMatch:
    """Hold a trace's events against the expected events of its path, both measured from the same end and zero."""
    wanted = [e for e in expected if e.kind not in ("bend", "unknown")]
    events = sorted(trace.events, key=lambda event: event.at_m)
    tries = [_aligned(trace, wanted, events, stretch) for stretch in _stretches(trace, wanted)]
    _, pairs, stretch = min(tries, key=lambda found: found[0])
    partner = dict(pairs)
    seen = {j: i for i, j in pairs}
    end_m = trace.end_m
    matched = []
    for i, one in enumerate(wanted):
        event = events[partner[i]] if i in partner else None
        fate = "matched" if event is not None else _fate(trace, one, wanted, stretch, end_m)
        fitted = event_loss_db(trace, event) if event is not None else None
        loss = event.loss_db if event is not None and not event.end else None
        off = event.at_m - one.shown_m * (1.0 + stretch) if event is not None else None
        notes = judge_pair(trace, one, event, fate, loss, fitted)
        matched.append(Matched(one, event, fate, loss, fitted, off, notes))
    extra = tuple(
        Extra(
            event,
            event_loss_db(trace, event),
            event.at_m / (1.0 + stretch),
            judge_extra(trace, event, events, [e for e in expected if e.kind == "bend"], stretch),
        )
        for j, event in enumerate(events)
        if j not in seen
    )
    return TraceMatch(trace, tuple(matched), extra, stretch)


def _stretches(trace: TraceFile, wanted: Sequence[Expected]) -> list[float]:
    """Stretches to try: none, and those that bring an event onto the planned end or onto its last joints."""
    found = [0.0]
    far = [event.at_m for event in trace.events if event.at_m > 0.0]
    for one in wanted[-3:]:
        found += [at / one.shown_m - 1.0 for at in far if one.shown_m > 0.0 and abs(at / one.shown_m - 1.0) <= STRETCH]
    return sorted(set(found), key=abs)[:40]


def reach_m(trace: TraceFile, at_m: float) -> float:
    """How far apart two places at a distance may be and still be one event: pulse, samples, what the fit leaves."""
    pulse = pulse_length_m(trace.pulse_ns, trace.index)
    return max(NEAREST_M, pulse, 3.0 * trace.curve.spacing_m) + 0.0015 * abs(at_m)


def _aligned(
    trace: TraceFile, wanted: Sequence[Expected], events: Sequence[FileEvent], stretch: float
) -> tuple[float, list[tuple[int, int]], float]:
    """(cost, pairs of indexes, stretch) of the cheapest alignment in order."""
    rows, columns = len(wanted), len(events)
    places = [one.shown_m * (1.0 + stretch) for one in wanted]
    best = [[0.0] * (columns + 1) for _ in range(rows + 1)]
    for i in range(rows - 1, -1, -1):
        best[i][columns] = ALONE * (rows - i)
    for j in range(columns - 1, -1, -1):
        best[rows][j] = ALONE * (columns - j)
    for i in range(rows - 1, -1, -1):
        for j in range(columns - 1, -1, -1):
            alone = ALONE + min(best[i + 1][j], best[i][j + 1])
            together = _cost(trace, wanted[i], places[i], events[j])
            best[i][j] = alone if together is None else min(alone, together + best[i + 1][j + 1])
    pairs: list[tuple[int, int]] = []
    i = j = 0
    while i < rows and j < columns:
        together = _cost(trace, wanted[i], places[i], events[j])
        if together is not None and best[i][j] == together + best[i + 1][j + 1]:
            pairs.append((i, j))
            i, j = i + 1, j + 1
        elif best[i][j] == ALONE + best[i + 1][j]:
            i += 1
        else:
            j += 1
    # A stretch has to earn its place: without need none is assumed.
    return best[0][0] + 20.0 * abs(stretch), pairs, stretch


def _cost(trace: TraceFile, one: Expected, place_m: float, event: FileEvent) -> float | None:
    """Cost of taking an event for an expected one; ``None`` when they are too far apart."""
    reach = reach_m(trace, place_m)
    off = abs(event.at_m - place_m)
    if off > reach:
        return None
    return (
        off / reach
        + (0.3 if one.reflects != event.reflective else 0.0)
        + (0.3 if (one.kind == "end") != event.end else 0.0)
    )


def _fate(trace: TraceFile, one: Expected, wanted: Sequence[Expected], stretch: float, end_m: float | None) -> Fate:
    place = one.shown_m * (1.0 + stretch)
    if end_m is not None and place > end_m + reach_m(trace, place):
        return "beyond"
    for event in trace.events:
        if not event.end and 0.0 <= place - event.at_m + reach_m(trace, 0.0) < blind_m(trace, event) + reach_m(
            trace, 0.0
        ):
            return "hidden"
    last = trace.curve.at_m(len(trace.curve) - 1) if len(trace.curve) else None
    return "beyond" if last is not None and place > last else "missing"
