"""What two readings of a splice say, against published values and an independent library.

Mode fields and apparent losses: a 2001 application note on splices of unlike fibre (light scattered back is caught with
1 / MFD^2); the mean of both directions: a training card; limits of acceptance: see each check.
"""

from __future__ import annotations

import math

import ofiber
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import Reading, Splice
from model.ids import SiteId, SpliceId
from model.optics.readings import apparent_db, mismatch_db, ratio_of, read_at, true_db
from model.rules.run import RULES
from tests.model.optics.plants import hall

PAIRS = pytest.mark.parametrize(
    ("a_um", "b_um", "true", "apparent"),
    [(9.2, 8.6, 0.0197, 0.2929), (9.2, 8.8, 0.0086, 0.1931), (10.4, 9.8, 0.0153, 0.2581), (9.6, 8.6, 0.0524, 0.4777)],
)
mfds = st.floats(6.0, 12.0)


def joint(*readings: Reading) -> Splice:
    made = hall().plant.splices[SpliceId("J1")]
    return Splice(SpliceId("x"), SiteId("W"), made.a, made.b, measured=readings)


def test_0_20_one_way_and_0_10_the_other_is_0_15() -> None:
    # Source: a training card.
    made = joint(Reading(1550, "A-B", 0.20), Reading(1550, "B-A", 0.10))
    assert true_db(made, 1550) == pytest.approx(0.15)
    (at,) = read_at(made)
    # (0.20 - 0.10) / 2, by hand: what the fibres add one way and take the other.
    assert at.half_db == pytest.approx(0.05)


@PAIRS
def test_unlike_mode_fields_show_a_gain_toward_the_smaller(
    a_um: float, b_um: float, true: float, apparent: float
) -> None:
    assert apparent_db(a_um, b_um) == pytest.approx(-apparent, abs=5e-5)
    assert apparent_db(b_um, a_um) == pytest.approx(apparent, abs=5e-5)
    assert mismatch_db(a_um, b_um) == pytest.approx(true, abs=5e-5)


@given(mfds, mfds)
def test_the_loss_of_unlike_mode_fields_is_that_of_an_independent_library(a_um: float, b_um: float) -> None:
    # ofiber, transverse misalignment of 0, mode field radii in metres (Ghatak, equation 8.69).
    theirs = ofiber.transverse_misalignment_loss_db(a_um * 5e-7, b_um * 5e-7, 0)
    assert mismatch_db(a_um, b_um) == pytest.approx(float(theirs), abs=1e-9)


@given(mfds, mfds, st.floats(0.0, 0.5))
def test_both_directions_give_back_the_joint_and_the_fibres(a_um: float, b_um: float, loss_db: float) -> None:
    off = 10 * math.log10(b_um / a_um)
    (at,) = read_at(joint(Reading(1310, "A-B", loss_db + off), Reading(1310, "B-A", loss_db - off)))
    assert at.mean_db == pytest.approx(loss_db, abs=1e-9)
    assert at.half_db is not None
    assert ratio_of(at.half_db) == pytest.approx(b_um / a_um)


@pytest.mark.parametrize(
    ("rule", "limit"),
    [
        ("splice.loss", 0.20),  # owners' acceptance tables: any splice at 1550 nm
        ("splice.mean", 0.10),  # an owner's acceptance table: averaged over both directions
        ("splice.rise", 0.10),  # a public rule for closures: loss may not rise more by closing them
        ("splice.attempts", 3),  # up to three tries: common practice, no source
    ],
)
def test_the_limits_that_joints_are_accepted_by(rule: str, limit: float) -> None:
    assert next(r.limit for r in RULES if r.name == rule) == pytest.approx(limit)
