"""Slopes and losses off curves whose truth is known."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from model.otdr.fit import event_loss_db, least_squares, spans, step_db, two_point
from model.otdr.sor import read_sor
from model.otdr.trace_file import TraceFile
from tests.model.otdr.sor_writer import Mark, Shot, staircase, written

MARKS = (
    Mark(0.0, reflectance_db=-45.0, code="1F"),
    Mark(2000.0, 0.15),
    Mark(4000.0, -0.05),
    Mark(6000.0, reflectance_db=-20.0, code="1E"),
)


def traced(noise_db: float = 0.0, marks: tuple[Mark, ...] = MARKS) -> TraceFile:
    chance = random.Random(7)
    levels = [level + chance.gauss(0.0, noise_db) for level in staircase(marks, 6000.0, 0.35)]
    return read_sor(written(Shot(events=marks, levels_db=levels, pulse_ns=100)))


NOISY = traced(0.03)


def test_two_points_and_the_least_squares_of_a_clean_line() -> None:
    curve = traced().curve
    loss, slope = two_point(curve, 500.0, 1500.0)
    assert loss == pytest.approx(0.35, abs=1e-3)
    assert slope == pytest.approx(0.35, abs=1e-3)
    assert least_squares(curve, 500.0, 1500.0).slope_db_per_km == pytest.approx(0.35, abs=1e-4)


@given(st.integers(0, 5000), st.integers(10, 900))
def test_the_line_is_that_of_numpy(start: int, length: int) -> None:
    curve = NOISY.curve
    points = np.array(list(curve.points(float(start), float(start + length))))
    fit = least_squares(curve, float(start), float(start + length))
    slope, level = np.polyfit(points[:, 0] - fit.middle_m, points[:, 1], 1)
    assert fit.slope_db_per_km == pytest.approx(-slope * 1000.0, abs=1e-6)
    assert fit.level_db == pytest.approx(level, abs=1e-9)


def test_losses_of_joints_under_noise() -> None:
    found = NOISY
    # Scatter 0.03 dB over 2000 samples a side: the step is known to a few thousandths.
    assert event_loss_db(found, found.events[1]) == pytest.approx(0.15, abs=0.01)
    assert event_loss_db(found, found.events[2]) == pytest.approx(-0.05, abs=0.01)
    assert step_db(found.curve, 2000.0, (500.0, 1990.0), (2050.0, 3900.0)) == pytest.approx(0.15, abs=0.01)


def test_the_end_and_a_crowd_of_events_have_no_loss() -> None:
    crowded = (MARKS[0], Mark(10.0, 0.2), Mark(14.0, 0.1), MARKS[3])
    found = traced(marks=crowded)
    assert event_loss_db(found, found.events[-1]) is None
    assert event_loss_db(found, found.events[1]) is None


def test_spans_reach_to_the_end_only() -> None:
    found = traced(marks=(*MARKS, Mark(6500.0, code="1F", reflectance_db=-50.0)))
    ends = [(round(near.at_m), round(far.at_m)) for near, far, _ in spans(found)]
    assert ends == [(0, 2000), (2000, 4000), (4000, 6000)]
    assert all(fit is not None and fit.slope_db_per_km == pytest.approx(0.35, abs=2e-3) for *_, fit in spans(found))


def test_cursors_that_say_nothing_are_one_line() -> None:
    curve = traced().curve
    for bad in (lambda: two_point(curve, 10.0, 10.2), lambda: least_squares(curve, 10.0, 12.0)):
        with pytest.raises(PlantError) as fault:
            bad()
        assert fault.value.hint
