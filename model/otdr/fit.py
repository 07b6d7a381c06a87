"""Loss off a curve: slope of a piece of glass by two points or least squares, and the loss of a joint between two.

A joint's loss is the step between two fitted lines where they pass it (the least-squares or four-marker method), so
that noise and the tail of a pulse count little. dB, positive for less light behind; slopes in dB/km; metres as in the
curve. Nothing here knows events or plants.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from model.errors import PlantError
from model.otdr.reading import pulse_length_m
from model.otdr.trace_file import Curve, FileEvent, TraceFile

LEAST_POINTS = 5
LONGEST_FIT_M = 5000.0
"""Glass fitted on either side of a joint at most: farther away the noise grows more than the fit gains."""


@dataclass(frozen=True, slots=True)
class Fit:
    """A straight line through part of a curve: level at ``at_m`` and slope, with the scatter about it in dB."""

    from_m: float
    to_m: float
    middle_m: float
    level_db: float
    slope_db_per_km: float
    scatter_db: float
    points: int

    def at(self, metres: float) -> float:
        """Level of the line at a distance, dB."""
        return self.level_db - self.slope_db_per_km * (metres - self.middle_m) / 1000.0


def two_point(curve: Curve, a_m: float, b_m: float) -> tuple[float, float]:
    """(loss in dB, slope in dB/km) between the samples nearest to two distances.

    Raises PlantError when they are one sample, or without signal.
    """
    first, last = sorted((curve.index_at(a_m), curve.index_at(b_m)))
    if len(curve) == 0 or first == last:
        raise PlantError("two cursors on one sample", where="trace", hint="Move them apart")
    near, far = curve.level_db(first), curve.level_db(last)
    if near is None or far is None:
        raise PlantError("there is no signal at a cursor", where="trace", hint="Move it onto the curve")
    return near - far, (near - far) / (last - first) / curve.spacing_m * 1000.0


def least_squares(curve: Curve, a_m: float, b_m: float) -> Fit:
    """The line with the least squares through all samples between two distances.

    Raises PlantError when fewer than five have signal.
    """
    low, high = min(a_m, b_m), max(a_m, b_m)
    middle = (low + high) / 2
    count, level = 0, 0.0
    # Sums about the middle and the first level, in one pass: a curve may have millions of samples.
    sum_x = sum_y = sum_xx = sum_xy = sum_yy = 0.0
    for at, db in curve.points(low, high):
        if not count:
            level = db
        count += 1
        x, y = at - middle, db - level
        sum_x, sum_y = sum_x + x, sum_y + y
        sum_xx, sum_xy, sum_yy = sum_xx + x * x, sum_xy + x * y, sum_yy + y * y
    if count < LEAST_POINTS:
        raise PlantError(
            f"{count} samples between {low:.1f} and {high:.1f} m are too few for a line",
            where="trace",
            hint="Take more of the curve",
        )
    mean_x, mean_y = sum_x / count, sum_y / count
    spread = sum_xx - count * mean_x * mean_x
    slope = (sum_xy - count * mean_x * mean_y) / spread
    rest = max(0.0, sum_yy - count * mean_y * mean_y - slope * slope * spread)
    return Fit(low, high, middle + mean_x, level + mean_y, -slope * 1000.0, math.sqrt(rest / count), count)


def step_db(curve: Curve, at_m: float, before: tuple[float, float], behind: tuple[float, float]) -> float:
    """Loss of a joint: fitted line ``before`` it minus the one ``behind`` it, both carried on to ``at_m``.

    The four distances are the four markers. Below zero is an apparent gain.
    """
    return least_squares(curve, *before).at(at_m) - least_squares(curve, *behind).at(at_m)


def blind_m(trace: TraceFile, event: FileEvent) -> float:
    """How far behind an event the curve does not show glass: the pulse, and for a reflection the way back down.

    Two pulses for a step, five and the detector's recovery for a reflection; common practice, no source.
    """
    pulse = max(pulse_length_m(trace.pulse_ns, trace.index), trace.curve.spacing_m)
    return 2.0 * pulse + 10.0 * trace.curve.spacing_m + (8.0 * pulse + 40.0 if event.reflective else 0.0)


@dataclass(frozen=True, slots=True)
class Windows:
    """The glass on both sides of an event that its loss is fitted on, metres; ``None`` where there is none."""

    before: tuple[float, float] | None
    behind: tuple[float, float] | None


def windows(trace: TraceFile, event: FileEvent) -> Windows:
    """The glass between an event and its neighbours, less what they blind."""
    places = sorted({e.at_m: e for e in trace.events}.values(), key=lambda e: e.at_m)
    at = next(i for i, e in enumerate(places) if e.at_m == event.at_m)
    curve = trace.curve
    last_m = curve.at_m(len(curve) - 1) if len(curve) else 0.0
    start = places[at - 1].at_m + blind_m(trace, places[at - 1]) if at else curve.start_m
    end = places[at + 1].at_m if at + 1 < len(places) else last_m
    margin = 3.0 * curve.spacing_m
    before = (max(start, event.at_m - LONGEST_FIT_M), event.at_m - margin)
    behind = (event.at_m + blind_m(trace, event), min(end - margin, event.at_m + LONGEST_FIT_M))
    least = LEAST_POINTS * curve.spacing_m
    return Windows(
        before if before[1] - before[0] >= least else None,
        behind if behind[1] - behind[0] >= least else None,
    )


def event_loss_db(trace: TraceFile, event: FileEvent) -> float | None:
    """The loss of an event worked out from the curve; ``None`` where too little glass can be seen beside it.

    The end has none, and neither has what stands behind it.
    """
    there = windows(trace, event)
    if there.before is None or there.behind is None or (trace.end_m is not None and event.at_m >= trace.end_m):
        return None
    try:
        return step_db(trace.curve, event.at_m, there.before, there.behind)
    except PlantError:
        return None


def spans(trace: TraceFile) -> tuple[tuple[FileEvent, FileEvent, Fit | None], ...]:
    """The glass between neighbouring events as far as the end, with its fitted line where enough of it can be seen."""
    end = trace.end_m
    ordered = [e for e in sorted(trace.events, key=lambda e: e.at_m) if end is None or e.at_m <= end]
    found: list[tuple[FileEvent, FileEvent, Fit | None]] = []
    for near, far in pairwise(ordered):
        start, stop = near.at_m + blind_m(trace, near), far.at_m - 3.0 * trace.curve.spacing_m
        found.append((near, far, _fit_or_none(trace.curve, start, stop)))
    return tuple(found)


def _fit_or_none(curve: Curve, start_m: float, stop_m: float) -> Fit | None:
    if stop_m - start_m < LEAST_POINTS * curve.spacing_m:
        return None
    try:
        return least_squares(curve, start_m, stop_m)
    except PlantError:
        return None
