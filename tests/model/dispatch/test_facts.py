# mypy: disable-error-code="arg-type"
"""The facts of the Marrowfield ticket by hand: what the reading leaves of three suspects, and who lies beside."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.dispatch.beside import beside
from model.dispatch.facts import Report, facts_of
from model.errors import PlantError
from model.graph import Continuity
from model.nodes import node_of
from model.otdr.reading import Reading
from model.templates.cabinet import bramblecote
from model.templates.marrowfield import marrowfield

CONTINUITY = Continuity(marrowfield())
REPORT = Report(
    "FT 118",
    "2026-02-11 02:10",
    ("c5", "c6", "c9", "c10", "c11"),
    ("c1", "c2", "c3", "c4", "c7", "c8", "c12"),
    node_of(CONTINUITY, "MF-48:17"),
    Reading(3359.0, 1.4682, 150.0),
)


def test_the_reading_leaves_two_of_three_suspects_and_says_what_k3_would_have_shown() -> None:
    facts = facts_of(CONTINUITY, REPORT)
    assert [s.element.key for s in facts.kept] == ["tube_at|loop|2|mf-48.k2", "tube|2|mf-48.k2"]
    assert [s.element.key for s in facts.excluded] == ["tube_at|entry|2|mf-48.k3"]
    # (4093 - 4) x 1.018 + 6 + 150 = 4318.6 m of fibre, x 1.4670 / 1.4682: 4315 m shown.
    assert facts.showing["tube_at|entry|2|mf-48.k3"].near_m == pytest.approx(4315, abs=0.5)
    assert facts.target is not None
    assert (facts.target.element.key, facts.site) == ("tube_at|loop|2|mf-48.k2", "k2")


def test_without_a_reading_all_three_stay_and_the_first_is_the_place() -> None:
    facts = facts_of(CONTINUITY, replace(REPORT, reading=None, node=""))
    assert len(facts.kept) == 3
    assert facts.excluded == ()
    assert (facts.located, facts.site) == (None, "k2")
    assert facts.node == "c5.1/front"


def test_of_two_faults_a_half_of_the_best_pair_is_gone_to() -> None:
    # C1 at K1 and C9 at K4 are down, C2 and C10 of the same boxes up: two faults, a drop each; the drop of one leaves
    # K1, that of the other K4, so that nothing sends anybody to the hub.
    facts = facts_of(CONTINUITY, Report("FT 3", "", ("c1", "c9"), ("c2", "c10")))
    pair = facts.answer.pair
    assert pair is not None
    assert facts.target in (*pair.first, *pair.second)
    assert facts.site in ("k1", "k4", "c1", "c9")


def test_who_lies_beside_the_work_at_k2() -> None:
    # C3 and C4 on the same tray; fibre 3 of tube 1, 25 and 26 of tube 3 pass unopened. The five down are not listed.
    found = [(b.tube, b.fibres, b.where, b.services) for b in facts_of(CONTINUITY, REPORT).beside]
    assert found == [
        (2, (13, 14), "joint, tray 1", ("c3", "c4")),
        (1, (3,), "uncut tube", ("c8",)),
        (3, (25, 26), "uncut tube", ("c7", "c12")),
    ]


def test_spares_by_tube_for_both_boxes() -> None:
    rows = facts_of(CONTINUITY, REPORT).spares
    found = [(r.fibres, r.services, r.spare.cut, r.spare.opens) for r in rows]
    at_k3, at_k4 = ("c5", "c6"), ("c9", "c10", "c11")
    assert found == [
        (tuple(range(4, 13)), at_k3, True, False),
        (tuple(range(4, 13)), at_k4, False, False),
        (tuple(range(27, 37)), at_k3, True, False),
        (tuple(range(27, 37)), at_k4, False, False),
        (tuple(range(37, 49)), at_k3, True, True),
        (tuple(range(37, 49)), at_k4, False, False),
    ]


def test_a_service_nobody_reported_on_is_named_and_not_taken_as_up() -> None:
    facts = facts_of(CONTINUITY, replace(REPORT, down=("c5", "c6", "c9", "c10")))
    assert facts.not_asked == ("c11",)


def test_a_reading_that_fits_no_suspect_clears_nobody() -> None:
    # 1 km is before K1: nothing that is suspected lies there, so the target stays the one the services speak of.
    facts = facts_of(CONTINUITY, replace(REPORT, reading=Reading(1000.0, 1.4682, 150.0)))
    assert facts.kept == ()
    assert len(facts.excluded) == 3
    assert facts.target is not None


def test_a_dead_splitter_input_has_no_glass_to_mend_but_a_place() -> None:
    cabinet = Continuity(bramblecote())
    down = tuple(f"bc-{n:03d}" for n in range(33, 61))
    up = tuple(f"bc-{n:03d}" for n in range(1, 31))
    facts = facts_of(cabinet, Report(down=down, up=up))
    assert facts.answer.single
    assert facts.site


def test_what_the_correlation_refuses_is_refused() -> None:
    with pytest.raises(PlantError):
        facts_of(CONTINUITY, Report())
    with pytest.raises(PlantError):
        facts_of(CONTINUITY, Report(down=("c5",), up=("c5",)))


def test_nothing_live_is_beside_a_dark_place() -> None:
    assert beside(CONTINUITY, "c5") == ()


def test_the_results_of_the_next_test_are_told_on_the_scale_of_the_reading() -> None:
    # From the port, tail of 6 m: K2 (3151 - 4) x 1.018 + 6 = 3209.6 and 3211.7 m of fibre, K3 4168.6; 150 m of lead
    # and 1.4670 / 1.4682 shown as 3356.9, 3358.9 and 4315.1. The reading was 3359.
    results = [outcome.result for outcome in facts_of(CONTINUITY, REPORT).answer.next_tests[0].outcomes]
    assert results[0] == "ends at K2, 3357 to 3359 m as shown"
    assert results[1] == "ends between K2 and K3, 3359 to 4315 m as shown"
    # Without a reading, or with one from the other end, there is no such scale.
    for reading in (None, Reading(1671.5, from_end="field")):
        facts = facts_of(CONTINUITY, replace(REPORT, reading=reading))
        assert not any("as shown" in outcome.result for outcome in facts.answer.next_tests[0].outcomes)
