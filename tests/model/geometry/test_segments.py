"""Straights and arcs: lengths, ends, boxes and cuts."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.geometry.errors import GeometryError
from model.geometry.segments import Arc, Straight

COORD = st.floats(-500, 500)
SWEEP = st.floats(0.01, 20).flatmap(lambda a: st.sampled_from([a, -a]))
ARCS = st.builds(Arc, COORD, COORD, st.floats(1, 100), st.floats(-7, 7), SWEEP)


def test_a_rising_straight_is_as_long_as_its_slope() -> None:
    assert Straight(0, 0, 3, 0, rise_mm=4).length_mm == 5


def test_half_way_up_a_slope_is_half_way_in_plan() -> None:
    assert Straight(0, 0, 30, 0, rise_mm=40).point_at(25) == (15, 0)


def test_a_positive_sweep_from_the_top_goes_right_then_down_the_page() -> None:
    quarter = Arc(0, 0, 10, -math.pi / 2, math.pi / 2)
    assert quarter.start == pytest.approx((0, -10))
    assert quarter.end == pytest.approx((10, 0))
    assert quarter.start_heading == pytest.approx(0)
    assert quarter.end_heading == pytest.approx(math.pi / 2)
    assert quarter.length_mm == pytest.approx(15.70796, abs=1e-5)  # pi * 10 / 2 by hand


def test_three_turns_are_one_arc() -> None:
    coil = Arc(0, 0, 45, 0, 6 * math.pi)
    assert coil.length_mm == pytest.approx(848.230, abs=1e-3)  # 3 * 282.743 by hand
    assert coil.end == pytest.approx(coil.start)
    assert coil.bbox == pytest.approx((-45, -45, 45, 45))


@given(ARCS)
def test_the_box_of_an_arc_is_the_box_of_its_points(arc: Arc) -> None:
    angles = arc.start_rad + np.linspace(0, arc.sweep_rad, 20_001)
    xs, ys = arc.cx + arc.radius_mm * np.cos(angles), arc.cy + arc.radius_mm * np.sin(angles)
    assert arc.bbox == pytest.approx((xs.min(), ys.min(), xs.max(), ys.max()), abs=1e-4)


@given(ARCS, st.floats(0, 1))
def test_an_arc_heads_along_its_chords(arc: Arc, part: float) -> None:
    step = 1e-4
    s = part * (arc.length_mm - step)
    (x1, y1), (x2, y2) = arc.point_at(s), arc.point_at(s + step)
    chord = math.atan2(y2 - y1, x2 - x1)
    assert math.remainder(arc.heading_at(s + step / 2) - chord, math.tau) == pytest.approx(0, abs=1e-6)


@given(ARCS, st.floats(0.01, 0.99))
def test_a_split_arc_keeps_its_length_and_its_ends(arc: Arc, part: float) -> None:
    one, two = arc.split_at(part * arc.length_mm)
    assert one.length_mm + two.length_mm == pytest.approx(arc.length_mm)
    assert one.start == pytest.approx(arc.start)
    assert two.end == pytest.approx(arc.end)
    assert one.end == pytest.approx(two.start)


def test_a_split_slope_shares_its_rise_by_length() -> None:
    one, two = Straight(0, 0, 30, 0, rise_mm=40).split_at(10)
    assert (one.rise_mm, two.rise_mm) == pytest.approx((8, 32))


@given(ARCS, COORD, COORD)
def test_the_nearest_point_of_an_arc_is_no_further_than_any_of_its_points(arc: Arc, x: float, y: float) -> None:
    gap, s = arc.nearest(x, y)
    angles = arc.start_rad + np.linspace(0, arc.sweep_rad, 20_001)
    dense = np.hypot(arc.cx + arc.radius_mm * np.cos(angles) - x, arc.cy + arc.radius_mm * np.sin(angles) - y)
    assert gap <= dense.min() + 1e-9
    assert gap == pytest.approx(math.dist(arc.point_at(s), (x, y)), abs=1e-6)


@pytest.mark.parametrize("radius", [0.0, -3.0, math.nan, math.inf])
def test_an_arc_needs_a_radius(radius: float) -> None:
    with pytest.raises(GeometryError, match="radius"):
        Arc(0, 0, radius, 0, 1)


def test_a_place_beyond_the_end_is_refused() -> None:
    with pytest.raises(GeometryError, match="not on this piece"):
        Straight(0, 0, 10, 0).point_at(10.1)


@pytest.mark.parametrize("s", [0.0, 10.0, -1.0, math.nan])
def test_a_cut_at_the_end_is_refused(s: float) -> None:
    with pytest.raises(GeometryError, match="cannot cut"):
        Straight(0, 0, 10, 0).split_at(s)
