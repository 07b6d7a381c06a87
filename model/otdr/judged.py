"""What is to be said of an event of a trace: lossy, reflective, a gain, missing, or one that nobody recorded.

Limits are common practice without a source and stand here by name; an owner's acceptance limits are for the rules.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from model.optics.readings import apparent_db
from model.otdr.expected import Expected
from model.otdr.trace_file import FileEvent, TraceFile

OVER_DB: Final = 0.10
"""A joint that loses so much more than planned is lossy."""
CONNECTOR_REFLECTS_DB: Final = -35.0
"""A mated pair that reflects more than this is dirty, open or of unlike polish."""
GAIN_DB: Final = -0.02
"""A lower loss than this is a gain, not noise."""
APART_DB: Final = 0.05
"""Instrument and curve should agree on a loss within this."""
GHOST_DB: Final = 0.05
GHOST_M: Final = 5.0

NoteKind = Literal[
    "lossy", "too little", "reflective", "gain", "missing", "hidden", "beyond", "extra", "ghost", "early end", "apart"
]


@dataclass(frozen=True, slots=True)
class Note:
    """Something to look at, in words. ``grave`` where it speaks of a fault rather than of how traces are."""

    kind: NoteKind
    words: str
    grave: bool = True


def judge_pair(
    trace: TraceFile,
    expected: Expected,
    event: FileEvent | None,
    fate: str,
    loss_db: float | None,
    fitted_db: float | None,
) -> tuple[Note, ...]:
    """What is to be said of an expected event and of what was seen of it."""
    what = expected.words
    if event is None:
        return (_absent(trace, expected, fate),)
    found: list[Note] = []
    if event.end and expected.kind != "end":
        found.append(Note("early end", f"the fibre ends at {expected.site_name}, at {what}"))
    if loss_db is not None:
        limit = expected.planned_db + OVER_DB
        if loss_db > limit:
            over = f"loses {loss_db:.2f} dB, planned {expected.planned_db:.2f} dB"
            found.append(Note("lossy", f"{what} {over}{_unlike(expected, toward=1.0)}"))
        elif expected.kind == "splitter" and loss_db < expected.planned_db / 2:
            under = f"loses only {loss_db:.2f} dB, planned {expected.planned_db:.2f} dB"
            found.append(Note("too little", f"{what} {under}: another fibre, or the splitter is not on this path"))
        elif loss_db < GAIN_DB:
            found.append(Note("gain", f"{what} shows a gain of {-loss_db:.2f} dB{_why_gain(expected)}", grave=False))
        if fitted_db is not None and abs(fitted_db - loss_db) > APART_DB:
            said = f"{what}: the file says {loss_db:.2f} dB, the curve {fitted_db:.2f} dB"
            found.append(Note("apart", said, grave=False))
    found += _reflections(expected, event)
    return tuple(found)


def _absent(trace: TraceFile, expected: Expected, fate: str) -> Note:
    what = expected.words
    if fate == "beyond":
        return Note("beyond", f"{what} lies behind the end of the trace", grave=False)
    if fate == "hidden":
        return Note("hidden", f"{what} lies too near behind the event before it to be seen", grave=False)
    if expected.behind:
        all_legs = f"{what} lies behind splitter {expected.behind}, where all legs add up, and is not told apart"
        return Note("missing", all_legs, grave=False)
    if expected.kind == "splice":
        least = trace.loss_threshold_db or GAIN_DB * -1.0
        return Note("missing", f"{what} is not seen: it loses less than {least:.2f} dB, or is not there", grave=False)
    if expected.start:
        return Note("missing", f"{what} is no event of this file", grave=False)
    return Note("missing", f"{what} should show at {expected.shown_m:.0f} m and does not")


def _reflections(expected: Expected, event: FileEvent) -> list[Note]:
    if event.reflective and not expected.reflects and not event.end:
        shown = "" if event.reflectance_db is None else f" ({event.reflectance_db:.1f} dB)"
        words = f"{expected.words} reflects{shown}: a crack, an air gap or a mechanical joint"
        return [Note("reflective", words)]
    strong = event.reflectance_db is not None and event.reflectance_db > CONNECTOR_REFLECTS_DB
    if strong and expected.reflects and expected.kind != "end":
        return [Note("reflective", f"{expected.words} reflects {event.reflectance_db:.1f} dB: clean and check it")]
    return []


def _unlike(expected: Expected, toward: float) -> str:
    """What unlike mode fields add to a reading in this direction, if they do so at all."""
    near, far = expected.mode_fields_um
    if near is None or far is None:
        return ""
    off = apparent_db(near, far)
    if off * toward <= abs(GAIN_DB):
        return ""
    return f"; mode fields of {near:g} and {far:g} µm make {off:+.2f} dB of it, this way only"


def _why_gain(expected: Expected) -> str:
    """Why a joint may seem to gain light."""
    near, far = expected.mode_fields_um
    both = "light scatters back better behind it; only the mean of both directions is true"
    if near is None or far is None or near == far:
        return f": {both}"
    off = apparent_db(near, far)
    if off < 0.0:
        return f": from {near:g} to {far:g} µm mode field {off:+.2f} dB is expected this way; {both}"
    return f", against the mode fields on record ({near:g} to {far:g} µm): check which fibre is which; {both}"


def judge_extra(
    trace: TraceFile,
    event: FileEvent,
    events: Sequence[FileEvent],
    bends: Sequence[Expected],
    stretch: float,
) -> tuple[Note, ...]:
    """What an event that the plant does not know may be."""
    at = f"{event.at_m:.0f} m"
    end = trace.end_m
    if event.end:
        what = (
            "with a reflection: a clean break or an open connector"
            if event.reflective
            else ("without a reflection: crushed, kinked or wet")
        )
        return (Note("early end", f"the fibre ends at {at}, where nothing is planned, {what}"),)
    ghost = _ghost_of(event, events)
    if ghost:
        return (Note("ghost", f"a reflection at {at} without loss, {ghost}: a ghost", grave=False),)
    if end is not None and event.at_m > end:
        return (Note("extra", f"an event at {at}, behind the end of the fibre: an echo or noise", grave=False),)
    if event.reflective:
        return (Note("extra", f"a reflection at {at} where nothing is recorded: a connector, a crack or an echo"),)
    near = [b for b in bends if abs(b.shown_m * (1.0 + stretch) - event.at_m) < 10.0 + 0.002 * event.at_m]
    if near:
        words = f"{event.loss_db:.2f} dB at {at}, where {near[0].words} may lose up to {near[0].planned_db:.2f} dB"
        return (Note("extra", words),)
    if event.loss_db < GAIN_DB:
        return (
            Note("extra", f"a gain of {-event.loss_db:.2f} dB at {at}: a splice to other fibre that is not recorded"),
        )
    return (Note("extra", f"a loss of {event.loss_db:.2f} dB at {at}: a bend, a pinch or a splice nobody recorded"),)


def _ghost_of(event: FileEvent, events: Sequence[FileEvent]) -> str:
    """How an echo can explain a reflection without loss: light that ran twice between two strong reflections."""
    if not event.reflective or abs(event.loss_db) > GHOST_DB:
        return ""
    strong = [e for e in events if e.reflective and e.at_m < event.at_m - GHOST_M]
    for near in strong:
        for far in strong:
            if far.at_m <= near.at_m + GHOST_M:
                continue
            if abs(far.at_m + (far.at_m - near.at_m) - event.at_m) <= GHOST_M:
                return f"as far behind {far.at_m:.0f} m as that is behind {near.at_m:.0f} m"
    return ""
