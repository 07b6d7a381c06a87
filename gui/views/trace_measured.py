"""A measured trace on the course of a path: its curve in fibre metres of the path, and its events beside the expected.

Levels are moved so that the trace starts where the expected curve does, since only differences of levels mean
anything. Distances go through the instrument's index, as those of a reading do.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

from gui.panels.plot_layout import EventKind, PlotEvent
from gui.panels.trace_cursors import Curve
from gui.views.trace_plan import Plan
from gui.views.trace_state import Instrument
from model.entities import GlassEnd
from model.graph import Continuity
from model.otdr.expected import expected_events
from model.otdr.match import Matched, TraceMatch, match
from model.otdr.trace_file import TraceFile

MOST_POINTS = 24_000
"""Points drawn; of a longer trace the highest and lowest level of every stretch are kept."""
START_M = 1000.0
"""Glass by which the level of a trace is set beside the expected curve."""
FLOOR_DB = 40.0


@dataclass(frozen=True, slots=True)
class Loaded:
    """A trace file beside the plant: its name, what it holds, the glass it is of and the end it was taken from."""

    name: str
    trace: TraceFile
    glass: GlassEnd
    from_side: str = "<"

    def at_m(self, instrument: Instrument, file_m: float) -> float:
        """Fibre metres of the path behind a distance of the file, whose zero lies behind a lead set as user offset."""
        return instrument.at_shown(file_m + self.trace.launch_m)

    def file_m(self, instrument: Instrument, at_m: float) -> float:
        """Distance of the file at a place of the path."""
        return instrument.shown_of(at_m) - self.trace.launch_m


def measured_curve(loaded: Loaded, instrument: Instrument, expected: Curve) -> Curve:
    """The trace as a curve along the path."""
    points = sorted((loaded.at_m(instrument, at), level) for at, level in _thinned(loaded.trace))
    if not points:
        return Curve()
    shift = _shift(points, expected)
    kept = [(at, level - shift) for at, level in points if level - shift > -FLOOR_DB]
    return Curve(tuple(at for at, _ in kept), tuple(db for _, db in kept))


def _thinned(trace: TraceFile) -> Iterator[tuple[float, float]]:
    """(metres of the file, dB): every sample, or of many the extremes of every stretch."""
    curve = trace.curve
    size = math.ceil(len(curve) / MOST_POINTS)
    for first in range(0, len(curve), max(size, 1)):
        levels = [(curve.level_db(n), n) for n in range(first, min(first + max(size, 1), len(curve)))]
        known = [(level, n) for level, n in levels if level is not None]
        if known:
            for level, n in sorted({min(known), max(known)}, key=lambda pair: pair[1]):
                yield curve.at_m(n), level


def _shift(points: list[tuple[float, float]], expected: Curve) -> float:
    """What to take off a trace's levels: the median difference to the expected curve over the first glass."""
    if expected:
        start = 0.0 if points[0][0] < START_M else points[0][0]
        off = [
            level - want
            for at, level in points
            if start < at < start + START_M and (want := expected.at(at)) is not None
        ]
        if off:
            return median(off)
    first = [level for at, level in points if at >= 0.0][:50] or [level for _, level in points[:50]]
    return median(first)


def matched_events(continuity: Continuity, loaded: Loaded, instrument: Instrument, plan: Plan) -> TraceMatch | None:
    """The events of a trace held against those of the path; None where the path has nothing to expect."""
    lead = 0.0 if loaded.trace.launch_m else instrument.lead_m
    expected = expected_events(
        continuity,
        plan.node,
        "exchange" if loaded.from_side == "<" else "field",
        instrument.set_index,
        lead,
        round(loaded.trace.wavelength_nm) or 1550,
    )
    return match(loaded.trace, expected) if expected else None


def plot_events(found: TraceMatch, loaded: Loaded, instrument: Instrument) -> list[PlotEvent]:
    """Numbered events by distance: seen, lossy, missing, beyond the end, and those that nobody recorded."""
    held: list[tuple[float, str, EventKind]] = []
    for one in found.matched:
        if one.fate == "hidden":
            continue
        file_m = one.event.at_m if one.event is not None else one.expected.shown_m * (1.0 + found.stretch)
        held.append((loaded.at_m(instrument, file_m), *_said(one)))
    for extra in found.extra:
        grave = [note.words for note in extra.notes if note.grave]
        at_m = loaded.at_m(instrument, extra.event.at_m)
        if extra.event.end:
            shown = extra.event.at_m + loaded.trace.launch_m
            words = f"END {shown:.0f} m, {'reflects' if extra.event.reflective else 'no reflection'}"
            held.append((at_m, words, "end"))
        elif grave:
            held.append((at_m, grave[0], "extra"))
    held = _last_beyond(held)
    return [PlotEvent(number, *event) for number, event in enumerate(sorted(held, key=lambda e: e[0]), start=1)]


def _said(one: Matched) -> tuple[str, EventKind]:
    """A few words for an expected event and its kind."""
    what = f"{one.expected.site_name} {'end' if one.expected.kind == 'end' else one.expected.kind}".strip()
    if one.event is None:
        shown = f" {one.expected.shown_m:.0f}"
        return f"missing: {what}{shown}", "missing"
    if one.event.end:
        return f"END {one.event.at_m:.0f} m, {what}", "end"
    loss = f", {one.loss_db:.2f} dB" if one.loss_db is not None else ""
    differs = any(note.grave for note in one.notes)
    return f"{what}{loss}", "differs" if differs else "as expected"


def _last_beyond(held: list[tuple[float, str, EventKind]]) -> list[tuple[float, str, EventKind]]:
    """Of what is missing behind the end that was seen only the last is named: the rest follows from it."""
    ends = [at for at, _, kind in held if kind == "end"]
    if not ends:
        return held
    beyond = [event for event in held if event[2] == "missing" and event[0] > max(ends)]
    drop = set(sorted(beyond, key=lambda e: e[0])[:-1])
    return [event for event in held if event not in drop]
