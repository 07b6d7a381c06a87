"""Joints judged by their records: figures by hand, what one direction may not decide, and an owner's own limits."""

from __future__ import annotations

from typing import Any

import pytest

from model.entities import Attempt, Reading
from model.parts import Profile
from model.plant import Plant
from model.rules import examples as ex
from model.rules.registry import Finding
from model.rules.run import check


def found(plant: Plant, name: str, **limits: float) -> list[Finding]:
    profile = Profile("owner", "Owner", limits=tuple((f"splice.{rule}", limit) for rule, limit in limits.items()))
    return [finding for finding in check(plant, profile=profile) if finding.rule == f"splice.{name}"]


def made(*readings: Reading, **more: Any) -> Plant:
    return ex.made(ex.clean(), *readings, **more)


def test_unlike_fibres_are_no_bad_splice() -> None:
    # 0.28 one way, -0.16 the other: (0.28 - 0.16) / 2 = 0.06 dB, whatever a single reading shows.
    plant = made(*ex.both_ways(0.28, -0.16))
    assert found(plant, "loss") == found(plant, "mean") == found(plant, "gain") == []


def test_the_true_loss_is_judged_at_each_wavelength() -> None:
    # (0.20 + 0.10) / 2 = 0.15 at 1550, (0.30 + 0.16) / 2 = 0.23 at 1310.
    plant = made(*ex.both_ways(0.20, 0.10), *ex.both_ways(0.30, 0.16, 1310))
    assert {f.refs[1]: f.measured for f in found(plant, "mean")} == pytest.approx({"1310 nm": 0.23, "1550 nm": 0.15})
    (loss,) = found(plant, "loss")
    assert loss.measured == pytest.approx(0.23)
    assert loss.limit == 0.20


def test_an_owner_may_ask_for_more_or_less() -> None:
    plant = made(*ex.both_ways(0.08, 0.06))
    assert found(plant, "mean") == []
    (finding,) = found(plant, "mean", mean=0.05)
    assert finding.measured == pytest.approx(0.07)
    assert finding.limit == 0.05
    assert found(made(attempts=(Attempt(),) * 4), "attempts", attempts=5) == []


def test_one_way_too_high_asks_for_a_look_and_says_that_it_is_one_way() -> None:
    (finding,) = found(made(Reading(1550, "A-B", 0.28)), "loss")
    assert "A-B only" in finding.message


def test_a_mean_far_below_zero_is_a_fault_of_measuring() -> None:
    assert found(made(*ex.both_ways(-0.03, -0.01)), "gain") == []  # -0.02: within what an instrument repeats
    (finding,) = found(made(*ex.both_ways(-0.05, -0.03)), "gain")
    assert "no joint amplifies" in finding.message
    assert finding.measured == pytest.approx(-0.04)


def test_a_rise_is_seen_one_way_because_the_fibres_cancel_out() -> None:
    # -0.20 before and -0.05 after in the same direction: 0.15 dB more, although both are apparent gains.
    (finding,) = found(made(Reading(1550, "A-B", -0.20), Reading(1550, "A-B", -0.05, True)), "rise")
    assert finding.measured == pytest.approx(0.15)
    assert finding.limit == 0.10


def test_joints_alike_are_said_once_for_a_tray() -> None:
    plant = ex.clean()
    for fibre in (13, 14, 15):
        plant = ex.with_splice(plant, fibre, status="done", done_by="AB")
    (finding,) = found(plant, "unsigned")
    assert finding.message == "3 joints at WB-07 on tray 1 slots 1-3 are done without initials or date"
    assert (finding.refs, finding.measured) == ((ex.TRAY,), 3)


def test_planned_and_existing_joints_need_no_signature() -> None:
    plant = ex.with_splice(ex.clean(), 13, status="existing")
    assert found(plant, "unsigned") == found(plant, "estimate") == []


def test_the_best_try_is_compared_with_the_one_kept() -> None:
    tries = (Attempt((Reading(0, "estimate", 0.01),)), Attempt((Reading(0, "estimate", 0.05),)))
    (finding,) = found(made(Reading(0, "estimate", 0.03), attempts=tries), "kept")
    assert "kept with 0.03 dB, though try 1 was better with 0.01 dB" in finding.message
    assert found(made(Reading(0, "estimate", 0.01), attempts=tries), "kept") == []


def test_a_gain_is_a_finding_whatever_the_status() -> None:
    for status in ("planned", "done", "existing"):
        plant = ex.with_splice(ex.clean(), 13, status=status, measured=(Reading(1310, "B-A", -0.01),))
        assert [f.severity for f in found(plant, "gain")] == ["warning"]
