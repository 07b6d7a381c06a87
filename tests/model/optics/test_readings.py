"""What counts of the readings of a joint: which pair, which is only one way, what rose, which try was the best."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.entities import Attempt, Reading, Splice
from model.errors import PlantError
from model.ids import SiteId, SpliceId
from model.optics.readings import (
    apparent_db,
    best_attempt,
    counted_db,
    estimate_db,
    mismatch_db,
    read_at,
    rises,
    times_made,
    true_db,
)
from tests.model.optics.plants import hall


def joint(*readings: Reading, **more: object) -> Splice:
    made = hall().plant.splices[SpliceId("J1")]
    held = Splice(SpliceId("x"), SiteId("W"), made.a, made.b, measured=readings)
    return replace(held, **more)  # type: ignore[arg-type]


def pair(nm: int, ab_db: float, ba_db: float, *, sealed: bool = False) -> tuple[Reading, Reading]:
    return Reading(nm, "A-B", ab_db, sealed), Reading(nm, "B-A", ba_db, sealed)


def test_one_way_is_never_the_loss() -> None:
    made = joint(Reading(1550, "A-B", -0.25), Reading(0, "estimate", 0.01))
    assert true_db(made, 1550) is None
    assert counted_db(made, 1550) == (0.10, False)
    (at,) = read_at(made)
    assert at.one_way == ("A-B", -0.25)
    assert at.gain == ("A-B", -0.25)
    assert at.half_db is None
    assert estimate_db(made.measured) == 0.01


def test_a_gain_one_way_with_its_other_way_is_a_loss() -> None:
    made = joint(*pair(1550, -0.20, 0.30))
    loss_db, measured = counted_db(made, 1550)
    assert loss_db == pytest.approx(0.05)
    assert measured
    (at,) = read_at(made)
    assert at.gain == ("A-B", -0.20)
    assert at.one_way is None


def test_sealed_counts_before_open_but_both_ways_before_one() -> None:
    opened = pair(1550, 0.02, 0.04)
    assert true_db(joint(*opened, *pair(1550, 0.10, 0.20, sealed=True)), 1550) == pytest.approx(0.15)
    assert true_db(joint(*pair(1550, 0.10, 0.20, sealed=True), *opened), 1550) == pytest.approx(0.15)
    half = joint(*opened, Reading(1550, "A-B", 0.5, True))
    assert true_db(half, 1550) == pytest.approx(0.03)
    assert true_db(joint(Reading(1550, "A-B", 0.1), Reading(1550, "B-A", 0.1, True)), 1550) is None


def test_a_rise_is_seen_in_the_means_or_in_one_direction() -> None:
    opened = pair(1550, 0.02, 0.04)
    assert rises(joint(*opened)) == ()
    ((nm, how, rise_db),) = rises(joint(*opened, *pair(1550, 0.12, 0.24, sealed=True)))
    assert (nm, how) == (1550, "mean")
    assert rise_db == pytest.approx(0.15)
    # A gain one way is the fibres; that it grew by 0.15 dB is not.
    one = joint(Reading(1550, "A-B", -0.25), Reading(1550, "A-B", -0.10, True), Reading(1310, "B-A", 0.4, True))
    ((nm, how, rise_db),) = rises(one)
    assert (nm, how) == (1550, "A-B")
    assert rise_db == pytest.approx(0.15)


def test_tries_are_compared_like_with_like() -> None:
    worse = Attempt((Reading(0, "estimate", 0.05),))
    better = Attempt((Reading(0, "estimate", 0.01),))
    measured = Attempt(pair(1550, 0.0, 0.02))
    assert best_attempt(joint(Reading(0, "estimate", 0.03), attempts=(worse, better))) == (2, 0.01, 0.03)
    assert best_attempt(joint(Reading(0, "estimate", 0.03), attempts=(worse,))) is None
    assert best_attempt(joint(*pair(1550, 0.04, 0.04), attempts=(better,))) is None
    best = best_attempt(joint(*pair(1550, 0.04, 0.04), attempts=(better, measured)))
    assert best is not None
    assert best[0] == 2
    assert best[1:] == pytest.approx((0.01, 0.04))
    assert best_attempt(joint(attempts=(better,))) is None


def test_how_often_a_joint_was_made() -> None:
    assert times_made(joint()) == 0
    assert times_made(joint(done_by="QM")) == 1
    assert times_made(joint(status="existing")) == 1
    assert times_made(joint(status="done", attempts=(Attempt(), Attempt()))) == 3


@pytest.mark.parametrize("bad", [0.0, -9.2, float("nan"), float("inf")])
def test_a_mode_field_that_cannot_be_is_refused(bad: float) -> None:
    for formula in (apparent_db, mismatch_db):
        with pytest.raises(PlantError, match="above zero"):
            formula(9.2, bad)
