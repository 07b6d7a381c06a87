"""Turns, remainders and bays, by hand calculation."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.geometry.errors import GeometryError
from model.geometry.loops import (
    bay_capacity,
    bay_fits,
    bay_passes,
    coil_turns,
    landing,
    loop_turns,
    nearest_half,
    racetrack_mm,
)


def test_a_turn_of_the_track_is_its_straights_and_one_circle() -> None:
    assert racetrack_mm(30, 60) == pytest.approx(308.496, abs=1e-3)  # 120 + 188.496
    assert racetrack_mm(30, 60, 25) == pytest.approx(358.496, abs=1e-3)


def test_a_round_bay_is_a_track_without_straights() -> None:
    assert racetrack_mm(45) == pytest.approx(282.743, abs=1e-3)


def test_900_mm_make_2_92_turns_and_three_need_925() -> None:
    result = landing(900, racetrack_mm(30, 60))
    assert result.turns == pytest.approx(2.917, abs=1e-3)
    assert result.nearest == 3
    assert result.remainder_mm == pytest.approx(-25.49, abs=0.01)
    assert result.next_half_mm == pytest.approx(925.49, abs=0.01)
    assert result.next_whole_mm == pytest.approx(925.49, abs=0.01)
    assert result.lands  # 0.083 of a turn short


def test_a_quarter_turn_off_does_not_reach_the_slot() -> None:
    result = landing(2.3 * 300, 300)
    assert (result.nearest, result.lands) == (2.5, False)
    assert result.next_half_mm == pytest.approx(750)
    assert result.next_whole_mm == pytest.approx(900)


@pytest.mark.parametrize(("turns", "lands"), [(2.4, True), (2.39, False), (2.6, True), (2.61, False)])
def test_a_tenth_of_a_turn_is_still_good(turns: float, lands: bool) -> None:
    assert landing(turns * 300, 300).lands is lands


def test_a_length_cut_to_the_mm_asks_for_no_more() -> None:
    loop = racetrack_mm(30, 60)
    assert landing(3 * loop, loop).next_half_mm == pytest.approx(3 * loop)


@given(st.floats(0, 50))
def test_the_nearest_half_is_a_half_and_near(turns: float) -> None:
    half, rest = nearest_half(turns)
    assert (2 * half).is_integer()
    assert abs(rest) <= 0.25 + 1e-9
    assert half + rest == pytest.approx(turns)


def test_a_bay_of_22_by_18_takes_31_passes_of_2_5_mm() -> None:
    assert bay_capacity(22 * 18, 2.5) == 31  # 198 / 6.25 = 31.68


def test_a_section_that_divides_exactly_loses_no_pass() -> None:
    assert bay_capacity(20 * 0.3 * 3, 0.3) == 100  # 9 / 0.09


def test_three_tubes_of_1200_mm_on_a_45_mm_bay_make_12_7_passes() -> None:
    passes = bay_passes(3, 1600 - 400, racetrack_mm(45))
    assert passes == pytest.approx(12.73, abs=0.005)
    assert bay_fits(passes, 13)
    assert not bay_fits(passes, 12)


def test_a_coil_of_20_turns_at_30_mm() -> None:
    assert coil_turns(20 * 2 * math.pi * 30, 30) == pytest.approx(20)


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_impossible_lengths_are_refused(bad: float) -> None:
    with pytest.raises(GeometryError, match="stored length"):
        loop_turns(bad, 300)
    with pytest.raises(GeometryError, match="straight"):
        racetrack_mm(30, bad)
    with pytest.raises(GeometryError, match="section"):
        bay_capacity(bad, 2.5)


def test_a_loop_of_no_length_is_refused() -> None:
    with pytest.raises(GeometryError, match="loop length"):
        loop_turns(10, 0)
