"""Two readings of one fibre from both ends: one cut, two cuts, or readings that do not belong together."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.nodes import node_of
from model.otdr.reading import Reading
from model.otdr.twoended import TwoEnded, two_ended
from tests.model.otdr.plants import drum, marrowfield, one_cable

# Marrowfield: 4761 m of sheath x 1.018 = 4846.7 m of fibre between the tails.
WHOLE_M = 4761.0 * 1.018


def judged(near: Reading, far: Reading) -> TwoEnded:
    continuity = marrowfield()
    return two_ended(continuity, node_of(continuity, "MF-48:17"), near, far)


def test_one_cut() -> None:
    # 3205.7 m from the hub, so 1641.0 m from K4.
    found = judged(Reading(3359.0, 1.4682, 150.0), Reading(1641.0, 1.4670))
    assert found.verdict == "one cut"
    assert found.length_m == pytest.approx(WHOLE_M)
    assert found.agreed is not None
    assert found.agreed.mark == "3153 m"
    # What is off in index and excess is common to both and falls out: a few metres are left of the 31.
    low, high = found.agreed.band_m
    assert high - low < 6.0


def test_two_cuts_leave_a_gap() -> None:
    found = judged(Reading(2000.0), Reading(1500.0))
    # 2000 - 6 m tail and 1500 m of 4846.7: 1352.7 m lie between.
    assert (found.verdict, found.agreed) == ("two cuts", None)
    assert found.gap_m == pytest.approx(WHOLE_M - 1994.0 - 1500.0)
    assert found.exchange.mark in found.words
    assert found.field.mark in found.words


def test_readings_that_overlap_are_not_of_one_cut() -> None:
    # The lead of 150 m was not taken off.
    found = judged(Reading(3359.0, 1.4682), Reading(1641.0, 1.4670))
    assert found.verdict == "wrong fibre or index"
    assert "150" in found.words or found.gap_m == pytest.approx(-150.0, abs=2.0)


def test_readings_that_each_see_the_whole_path_mean_no_cut() -> None:
    # 4846.7 m of fibre and the 6 m tail at the hub: both instruments show the far end.
    found = judged(Reading(4852.7), Reading(4846.7))
    assert (found.verdict, found.agreed) == ("no cut", None)
    # Only one of them does: no cut is not what they agree on.
    assert judged(Reading(4852.7), Reading(3000.0)).verdict == "wrong fibre or index"


def test_what_was_shared_out_between_the_readings_is_said_and_nothing_is_called_shown_that_was_not() -> None:
    # From the hub 3205.746 m, from K4 1631.0: 9.9 m short of 4846.698. Shared out as 3205.746 : 1631 the cut moves by
    # 6.6 m; were all of it on the far side of the cut it would not have moved, on the near side by 3.4 m more.
    found = judged(Reading(3359.0, 1.4682, 150.0), Reading(1631.0, 1.4670))
    assert found.verdict == "one cut"
    assert found.agreed is not None
    said = "up to 6.6 m nearer or 3.4 m farther"
    assert [said in note for note in found.agreed.notes] == [True]
    assert not any("shown" in line for line in found.agreed.working)
    # 3205.746 + 6.6 = 3212.3
    assert any("3212.3 m beyond the first mark" in line for line in found.agreed.working)


def test_the_tolerance_grows_with_what_is_not_known_of_the_excess() -> None:
    def tol(off: float) -> float:
        continuity = one_cable(drum(tol=off), (None, 0.0), (5000.0, None))
        return two_ended(continuity, node_of(continuity, "C-48:1"), Reading(2500.0), Reading(2500.0)).tol_m

    assert tol(0.0) < tol(0.005) < tol(0.01)
    assert tol(0.005) == pytest.approx(25.0, abs=1.0)  # 0.5 % of 5000 m, and a metre or so of each instrument


@given(st.floats(0.02, 0.98), st.floats(-0.004, 0.004), st.floats(-0.0004, 0.0004))
def test_a_common_error_does_not_move_the_place_agreed_on(share: float, excess_off: float, index_off: float) -> None:
    # The cable's real excess and index are not the recorded ones: both readings are stretched alike.
    continuity = one_cable(drum(0.018, 1.467), (None, 100.0), (8100.0, None))
    fibre = 8000.0 * (1.018 + excess_off) * (1.467 + index_off) / 1.467
    found = two_ended(continuity, node_of(continuity, "C-48:1"), Reading(share * fibre), Reading((1.0 - share) * fibre))
    assert found.agreed is not None
    assert found.agreed.mark_m == pytest.approx(100.0 + 8000.0 * share, abs=0.01)
