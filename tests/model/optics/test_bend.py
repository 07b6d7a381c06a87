"""Loss of bends: at, between, above and below the published limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.ids import FibreClassId
from model.optics.bend import BendError, course_loss_db, least_radius_mm, turn_loss, turns
from model.parts import BendPoint, FibreClass
from tests.model.optics.plants import A1, A2, B3, D

CLASSES = st.sampled_from([A1, A2, B3, D])
WAVES = st.sampled_from([1310, 1490, 1550, 1577, 1625])


def test_a_limit_for_many_turns_is_shared_among_them() -> None:
    assert turn_loss(A1, 15, 1550).loss_db == 0.025
    assert turn_loss(A1, 15, 1550).basis == "published"


def test_wider_than_any_limit_keeps_the_limit_of_the_widest() -> None:
    wide = turn_loss(A1, 45, 1550)
    assert (wide.loss_db, wide.basis) == (0.025, "wider")


def test_a_wavelength_without_limits_takes_those_of_the_next_longer() -> None:
    short = turn_loss(D, 30, 1550)
    assert (short.loss_db, short.basis, short.at_nm) == (0.001, "longer wave", 1625)
    assert turn_loss(A1, 10, 1310).loss_db == 0.75
    assert turn_loss(A1, 10, 1577).loss_db == 1.5


def test_a_longer_wavelength_than_any_limit_has_no_number() -> None:
    with pytest.raises(BendError, match="1650 nm"):
        turn_loss(A2, 10, 1650)


@pytest.mark.parametrize(("kind", "least"), [(A1, 10), (A2, 7.5), (B3, 5), (D, 30)])
def test_tighter_than_the_class_allows_is_an_error_and_no_number(kind: FibreClass, least: float) -> None:
    assert least_radius_mm(kind, 1550) == least
    assert turn_loss(kind, least, 1550).loss_db > 0
    with pytest.raises(BendError, match="tighter"):
        turn_loss(kind, least - 0.01, 1550)


def test_not_a_radius_is_an_error() -> None:
    for radius in (math.nan, -15.0, 0.0):
        with pytest.raises(BendError):
            turn_loss(A1, radius, 1550)


def test_the_line_is_not_carried_below_the_tightest_limit_even_where_the_class_may_bend_so() -> None:
    loose = FibreClass(FibreClassId("x"), "x", 5, 15, (BendPoint(15, 10, 1550, 0.03), BendPoint(10, 1, 1550, 0.1)))
    with pytest.raises(BendError):
        turn_loss(loose, 7.5, 1550)


def test_a_limit_tighter_than_the_class_may_bend_is_no_leave_to_bend_so() -> None:
    strict = FibreClass(FibreClassId("x"), "x", 12, 15, (BendPoint(15, 10, 1550, 0.03), BendPoint(10, 1, 1550, 0.1)))
    with pytest.raises(BendError):
        turn_loss(strict, 11, 1550)


def test_a_radius_a_hair_under_the_least_is_the_least() -> None:
    assert turn_loss(A2, 7.5 - 1e-9, 1550).loss_db == 0.5


def test_a_limit_over_no_turns_is_refused() -> None:
    broken = FibreClass(FibreClassId("x"), "x", 5, 15, (BendPoint(15, 0, 1550, 0.03),))
    with pytest.raises(BendError, match="0 turns"):
        turn_loss(broken, 15, 1550)


def test_a_course_counts_each_arc_by_its_share_of_a_turn_and_straights_not() -> None:
    # Half a turn of 15 mm one way, half the other, a quarter of 10 mm: 0.0125 + 0.0125 + 0.1875 dB.
    course = [(15, math.pi), (math.inf, 0.0), (15, -math.pi), (10, math.pi / 2)]
    assert course_loss_db(A1, course, 1550) == pytest.approx(0.2125)
    assert turns(course) == pytest.approx(1.25)


def test_one_arc_too_tight_spoils_the_course() -> None:
    with pytest.raises(BendError):
        course_loss_db(A1, [(15, 1.0), (9, 0.01)], 1550)


@given(CLASSES, WAVES, st.floats(0, 60), st.floats(0, 60))
def test_a_wider_bend_never_loses_more(kind: FibreClass, nm: int, one: float, other: float) -> None:
    tight, wide = (least_radius_mm(kind, nm) + add for add in sorted((one, other)))
    assert turn_loss(kind, wide, nm).loss_db <= turn_loss(kind, tight, nm).loss_db * (1 + 1e-12)


@given(st.sampled_from([A1, A2]), st.floats(10, 15), st.floats(10, 15))
def test_between_two_limits_a_wider_bend_loses_less(kind: FibreClass, one: float, other: float) -> None:
    tight, wide = sorted((one, other))
    if wide - tight > 1e-3:
        assert turn_loss(kind, wide, 1550).loss_db < turn_loss(kind, tight, 1550).loss_db


@given(CLASSES, st.floats(0, 60))
def test_a_longer_wavelength_never_loses_less(kind: FibreClass, add: float) -> None:
    radius = 10 + add if kind is not D else 30 + add
    found = [turn_loss(kind, radius, nm).loss_db for nm in (1310, 1550, 1577, 1625)]
    assert found == sorted(found)
