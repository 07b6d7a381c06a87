"""A trace file in plain data for text, JSON and the sheet: its events in rows, held against the plant if there is one.

Distances are metres as the file shows them, losses dB. Without a plant a row is what the file says of an event; with
one it also names the joint, its place or mark, its planned loss, and what is wrong. Nothing here is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from model.errors import PlantError
from model.graph import Continuity
from model.otdr.bothways import BothWays, Readings, both_ways, splice_readings
from model.otdr.expected import Expected, expected_events
from model.otdr.fit import event_loss_db, spans
from model.otdr.judged import Note
from model.otdr.locate import locate
from model.otdr.match import Extra, Matched, TraceMatch, match
from model.otdr.reading import Known, LaunchEnd, Reading
from model.otdr.trace_file import FileEvent, TraceFile


@dataclass(frozen=True, slots=True)
class ShotRow:
    """One event. ``number`` is the file's, ``None`` for one that should be there and is not.

    ``what`` says what it is, ``place`` its site, or the printed mark with its band where nothing is recorded. ``state``
    is one word: ok, end, lossy, reflective, gain, missing, hidden, beyond, extra, ghost, early end; empty without a
    plant. ``grave`` where it should be looked at.
    """

    number: int | None
    at_m: float
    kind: str
    what: str
    place: str = ""
    loss_db: float | None = None
    fitted_db: float | None = None
    planned_db: float | None = None
    back_db: float | None = None
    mean_db: float | None = None
    reflectance_db: float | None = None
    slope_db_per_km: float | None = None
    state: str = ""
    grave: bool = False
    end: bool = False


@dataclass(frozen=True, slots=True)
class Shot:
    """A trace with its rows in order of distance. ``notes`` are those of the comparison, gravest first."""

    trace: TraceFile
    rows: tuple[ShotRow, ...]
    notes: tuple[Note, ...]
    match: TraceMatch | None = None
    back: TraceMatch | None = None
    readings: Readings = ()
    start: str = ""


def plain_shot(trace: TraceFile) -> Shot:
    """A trace by itself."""
    rows = tuple(_file_row(trace, event) for event in sorted(trace.events, key=lambda event: event.at_m))
    return Shot(trace, rows, ())


def held_shot(
    continuity: Continuity,
    node: str,
    trace: TraceFile,
    from_end: LaunchEnd = "exchange",
    lead_m: float = 0.0,
    back: TraceFile | None = None,
    back_lead_m: float = 0.0,
) -> Shot:
    """A trace held against the path through ``node``; with ``back``, another from its other end, joints get their mean.

    Raises KeyError for a node that is not in the graph.
    """
    forward = _held(continuity, node, trace, from_end, lead_m)
    other: LaunchEnd = "field" if from_end == "exchange" else "exchange"
    backward = _held(continuity, node, back, other, back_lead_m) if back is not None else None
    means = both_ways(forward, backward) if backward is not None else ()
    rows = [_matched_row(one, means) for one in forward.matched]

    def mark(one: Extra) -> str:
        return _mark(continuity, node, trace, one, from_end, lead_m, forward.matched)

    rows += [_extra_row(one, mark) for one in forward.extra]
    rows.sort(key=lambda row: row.at_m)
    notes = sorted(forward.notes, key=lambda note: not note.grave)
    notes += [Note("gain", f"{mean.expected.words}: {mean.words}", grave=False) for mean in means if _differ(mean)]
    found = [forward] if backward is None else [forward, backward]
    return Shot(
        trace, tuple(rows), tuple(notes), forward, backward, splice_readings(continuity.plant, *found),
        forward.matched[0].expected.site_name if forward.matched else "",
    )  # fmt: skip


def _differ(mean: BothWays) -> bool:
    return abs(mean.half_db) > 0.025


def _held(continuity: Continuity, node: str, trace: TraceFile, from_end: LaunchEnd, lead_m: float) -> TraceMatch:
    expected = expected_events(continuity, node, from_end, trace.index, lead_m, trace.nominal_nm)
    return match(trace, expected)


def _file_row(trace: TraceFile, event: FileEvent) -> ShotRow:
    return ShotRow(
        event.number,
        event.at_m,
        _kind(event),
        event.comment or _seen(event),
        loss_db=None if event.end else event.loss_db,
        fitted_db=event_loss_db(trace, event),
        reflectance_db=event.reflectance_db,
        slope_db_per_km=event.slope_db_per_km or None,
        end=event.end,
    )


def _kind(event: FileEvent) -> str:
    return "end" if event.end else "reflection" if event.reflective else "gain" if event.loss_db < 0.0 else "loss"


def _seen(event: FileEvent) -> str:
    """What an event is, by itself."""
    if event.end:
        return "end of the fibre, reflecting" if event.reflective else "end of the fibre"
    if event.reflective:
        return "reflection, saturated" if event.saturated else "reflection"
    return "apparent gain" if event.loss_db < 0.0 else "loss without reflection"


def _matched_row(one: Matched, means: Sequence[BothWays]) -> ShotRow:
    expected, event = one.expected, one.event
    mean = next((m for m in means if m.expected == expected), None)
    kinds = [note.kind for note in one.notes if note.kind != "apart"]
    fine = "end" if expected.kind == "end" else "ok"
    return ShotRow(
        event.number if event else None,
        event.at_m if event else expected.shown_m,
        expected.kind,
        expected.words,
        expected.site_name,
        one.loss_db,
        one.fitted_db,
        _planned(expected),
        mean.back_db if mean else None,
        mean.mean_db if mean else None,
        event.reflectance_db if event else None,
        event.slope_db_per_km or None if event else None,
        kinds[0] if kinds else fine,
        any(note.grave for note in one.notes),
        expected.kind == "end" or bool(event and event.end),
    )


def _planned(expected: Expected) -> float | None:
    return None if expected.kind == "end" else expected.planned_db


def _extra_row(one: Extra, mark: Callable[[Extra], str]) -> ShotRow:
    """The row of an event that nobody recorded; ``mark`` finds its printed mark, where a place is worth saying."""
    event = one.event
    note = one.notes[0]
    place = mark(one) if note.kind in ("extra", "early end") else ""
    return ShotRow(
        event.number,
        event.at_m,
        _kind(event),
        note.words,
        place,
        None if event.end else event.loss_db,
        one.fitted_db,
        reflectance_db=event.reflectance_db,
        slope_db_per_km=event.slope_db_per_km or None,
        state=note.kind,
        grave=note.grave,
        end=event.end,
    )


def _counts(matched: Matched, one: Extra) -> bool:
    """Whether an event can be counted from a joint that was seen before it."""
    event = matched.event
    return event is not None and bool(matched.expected.steps) and event.at_m <= one.event.at_m


def _mark(
    continuity: Continuity,
    node: str,
    trace: TraceFile,
    one: Extra,
    from_end: LaunchEnd,
    lead_m: float,
    matched: Sequence[Matched],
) -> str:
    """The printed mark of an event that nobody recorded, with its band; empty where it lies on no sheath.

    It is counted from the joint that was seen before it.
    """
    nearest = max((m for m in matched if _counts(m, one)), key=lambda m: m.event.at_m if m.event else 0.0, default=None)
    known = Known(nearest.expected.site, nearest.event.at_m) if nearest and nearest.event else None
    # Without a joint to count from, the stretch found over the whole trace is all that is known of index and excess.
    shown = one.event.at_m if known else one.expected_m
    reading = Reading(
        max(0.0, shown), trace.index, lead_m, from_end=from_end, wavelength_nm=trace.nominal_nm, known=known
    )
    try:
        found = locate(continuity, node, reading)
    except PlantError:
        return ""
    return f"{found.cable_name} {found.mark} ({found.band[0]} to {found.band[1]})"


def facts(trace: TraceFile) -> str:
    """How a trace was taken, in one line."""
    taken = datetime.fromtimestamp(trace.taken, UTC).strftime("%Y-%m-%d %H:%M UTC") if trace.taken else ""
    launch = f"launch lead {trace.launch_m:.1f} m" if trace.launch_m > 0.0 else ""
    said = [
        f"{trace.wavelength_nm:g} nm",
        f"pulse {trace.pulse_ns} ns",
        f"index {trace.index:.5f}",
        f"sample {trace.curve.spacing_m:.2f} m",
        launch,
        taken,
        f"file version {trace.version}",
    ]
    return ", ".join(part for part in said if part)


def named(trace: TraceFile) -> str:
    """What the file says it is of, in one line; empty if it says nothing."""
    ends = " to ".join(place for place in (trace.from_place, trace.to_place) if place)
    parts = [f"cable {trace.cable}" if trace.cable else "", f"fibre {trace.fibre}" if trace.fibre else "", ends]
    return ", ".join(part for part in parts if part)


def doubts(shot: Shot) -> Iterator[str]:
    """What is odd or damaged about the files of a shot."""
    yield from shot.trace.warnings
    yield from shot.trace.remarks
    if shot.back is not None:
        yield from (f"other end: {warning}" for warning in shot.back.trace.warnings)


def glass(trace: TraceFile) -> list[tuple[float, float, float]]:
    """(from m, to m, dB/km) of the glass between events, fitted, where enough of it can be seen."""
    return [(near.at_m, far.at_m, fit.slope_db_per_km) for near, far, fit in spans(trace) if fit is not None]
