"""The Marrowfield fault ticket, expected values worked by hand.

Cable MF-48, hub - K1 - K2 - K3 - K4. C5 C6 (fibres 15 16, off at K3) and C9 C10 C11 (17-19, off at K4) are down, all
in tube 2; C1-C4, C7 (25, off at K3), C8 (3, off at K3) and C12 (26, off at K4) are up.
"""

from __future__ import annotations

import re

import pytest

from model.correlate.affected import affected, others_on_trays
from model.correlate.elements import elements_of
from model.correlate.named import elements_named
from model.correlate.shared import shared_risk
from model.correlate.suspects import Answer, suspects
from model.errors import PlantError
from model.graph import Continuity
from model.templates.marrowfield import marrowfield

CONTINUITY = Continuity(marrowfield())
IDS = {service.name: service.id for service in CONTINUITY.plant.services.values()}
DOWN = ["C5", "C6", "C9", "C10", "C11"]
UP = ["C1", "C2", "C3", "C4", "C7", "C8", "C12"]


def ask(down: list[str], up: list[str]) -> Answer:
    return suspects(CONTINUITY, [IDS[name] for name in down], [IDS[name] for name in up])


def names(services: tuple[str, ...]) -> set[str]:
    return {CONTINUITY.plant.services[s].name for s in services}


def dark(ref: str) -> set[str]:
    return names(affected(CONTINUITY, elements_named(CONTINUITY, ref)).services)


def test_the_suspects_are_the_three_places_of_tube_2_about_the_span_from_k2_to_k3() -> None:
    answer = ask(DOWN, UP)
    assert answer.single
    assert [s.element.key for s in answer.suspects] == [
        "tube_at|loop|2|mf-48.k2",
        "tube|2|mf-48.k2",
        "tube_at|entry|2|mf-48.k3",
    ]
    assert [s.words for s in answer.suspects] == [
        "MF-48 T2 orange looped through at K2 (f15-24)",
        "MF-48 T2 orange, K2 to K3",
        "MF-48 T2 orange, entry at K3 and tray 2 at K3",
    ]
    assert {(len(s.explains), len(s.contradicted_by), s.score) for s in answer.suspects} == {(5, 0, 1.0)}
    assert answer.top == answer.suspects


@pytest.mark.parametrize(
    ("key", "explained", "against"),
    [
        ("sheath|mf-48.hub", 5, UP),
        ("sheath|mf-48.k1", 5, ["C3", "C4", "C7", "C8", "C12"]),
        ("tube|2|mf-48.hub", 5, ["C3", "C4"]),
        ("tube|2|mf-48.k1", 5, ["C3", "C4"]),
        ("sheath|mf-48.k2", 5, ["C7", "C8", "C12"]),
        ("tube|2|mf-48.k3", 3, []),
    ],
)
def test_what_is_cleared_says_what_it_explains_and_who_is_up_through_it(
    key: str, explained: int, against: list[str]
) -> None:
    cleared = {c.element.key: c for c in ask(DOWN, UP).cleared}[key]
    assert len(cleared.explains) == explained
    assert names(cleared.contradicted_by) == set(against)
    assert all(name in cleared.why.replace(",", " ").split() for name in against or ["C5", "C6"])


def test_one_splice_at_k3_explains_one() -> None:
    splices = [c for c in ask(DOWN, UP).cleared if c.element.kind == "splice" and "K3" in c.element.words]
    assert splices
    assert {len(c.explains) for c in splices} == {1}


def test_the_separating_test_is_a_shot_into_dark_fibres_20_to_24_of_tube_2() -> None:
    test = ask(DOWN, UP).next_tests[0]
    assert (test.kind, test.separates_top) == ("dark fibre", True)
    assert test.fibres == tuple(("mf-48", fibre) for fibre in range(20, 25))
    at_k2, between, at_k3, whole = test.outcomes
    assert [[e.key for e in o.suspects] for o in (at_k2, between, at_k3)] == [
        ["tube_at|loop|2|mf-48.k2"],
        ["tube|2|mf-48.k2"],
        ["tube_at|entry|2|mf-48.k3"],
    ]
    # Marks 4, 3151, 3153, 4093, 4095; excess 1.8 %; hub tail 6 m: 6 + 1.018 x 3147 = 3209.6 and so on.
    assert re.findall(r"\d{4}", at_k2.result) == ["3210", "3212"]
    assert re.findall(r"\d{4}", between.result) == ["3212", "4169"]
    assert re.findall(r"\d{4}", at_k3.result) == ["4169", "4171"]
    # A pinch on a tray leaves the dark fibres whole: only where the tube's glass lies bare.
    assert whole.result.startswith("passes to K4")
    assert "tube|2|mf-48.k2" not in {e.key for e in whole.suspects}


def test_fewer_answers_leave_more_suspects_and_none_of_them_is_lost_by_asking() -> None:
    full = {s.element.key for s in ask(DOWN, UP).suspects}
    for left_out in UP:
        some = ask(DOWN, [name for name in UP if name != left_out])
        assert full <= {s.element.key for s in some.suspects} | {a.key for s in some.suspects for a in s.also}


def test_asking_c3_or_c4_tells_what_lies_before_k2_from_what_lies_behind_it() -> None:
    answer = ask(["C5", "C6", "C9"], ["C1"])
    question = next(test for test in answer.next_tests if test.kind == "ask")
    assert names(question.services) == {"C3", "C4"}
    up = next(o for o in question.outcomes if o.result == "up")
    assert "tube|2|mf-48.k1" not in {e.key for e in up.suspects}


def test_two_faults_are_found_as_a_pair() -> None:
    # C1's own path at K1 and everything of tube 2 behind K2; C2, C3 and C4 are up.
    answer = ask(["C1", *DOWN], [name for name in UP if name != "C1"])
    assert not answer.single
    assert "two faults" in answer.statement
    assert answer.pair is not None
    assert {s.element.key for s in answer.pair.first} == {s.element.key for s in ask(DOWN, UP).suspects}
    assert {names(s.explains) == {"C1"} for s in answer.pair.second} == {True}
    assert "drop" in {s.element.kind for s in answer.pair.second}


def test_three_separate_faults_are_not_passed_off_as_two() -> None:
    answer = ask(["C1", "C5", "C6"], ["C2", "C9"])
    assert not answer.single
    assert "the best pair still leaves" in answer.statement


def test_who_goes_dark_counts_uncut_glass() -> None:
    assert dark("MF-48@K2>") == {"C5", "C6", "C7", "C8", "C9", "C10", "C11", "C12"}
    assert dark("MF-48@K3>") == {"C9", "C10", "C11", "C12"}
    assert dark("MF-48:T2@K2>") == set(DOWN)
    assert dark("MF-48:T2@K2") == {"C3", "C4", *DOWN}
    assert dark("MF-48:T3@K1") == {"C7", "C12"}  # express through K1
    assert dark("MF-48:17") == {"C9"}
    assert dark("MF-48:20") == set()
    assert dark("MF-48") == {*UP, *DOWN}
    assert dark("K4") == {"C9", "C10", "C11", "C12"}
    assert dark("K2/1") == {"C3", "C4", *DOWN}
    assert dark("K3/2/1") == {"C5"}
    assert dark("D-C7") == {"C7"}


def test_affected_names_the_glass_in_it_and_what_of_it_is_dark() -> None:
    found = affected(CONTINUITY, elements_named(CONTINUITY, "MF-48:T2@K2>"))
    assert [(run.cable, run.fibres, run.dark) for run in found.fibres] == [
        ("mf-48", tuple(range(13, 25)), (13, 14, 20, 21, 22, 23, 24))
    ]
    assert len(found.exchange) == 5
    assert {run.cable for run in found.beyond} == {"d-c5", "d-c6", "d-c9", "d-c10", "d-c11"}


def test_two_paths_share_the_sheath_but_not_the_tube() -> None:
    shared = [(e.kind, e.words) for e in shared_risk(CONTINUITY, IDS["C5"], IDS["C7"])]
    assert ("sheath", "MF-48 sheath, K2 to K3") in shared
    assert not [words for kind, words in shared if kind in ("tube", "tube_at", "tray", "fibre")]
    inside = [e.key for e in shared_risk(CONTINUITY, IDS["C5"], IDS["C6"])]
    assert "tray|k3-tray-2" in inside
    assert "tube|2|mf-48.k2" in inside


def test_opening_a_tray_at_k2_disturbs_those_who_loop_through() -> None:
    trays = others_on_trays(CONTINUITY, "k2", [IDS["C3"]])
    assert [t.tray.key for t in trays] == ["tray|k2-tray-1"]
    assert names(trays[0].services) == {"C4", *DOWN}
    with pytest.raises(PlantError, match="no site"):
        others_on_trays(CONTINUITY, "k9")


def test_every_element_of_every_path_has_words() -> None:
    for service in CONTINUITY.plant.services:
        assert all(item.words and item.grain for item in elements_of(CONTINUITY, service))
