"""Faults of the Bramblecote cabinet, expected values worked by hand.

Four 1x32 splitters behind two exchange ports; 30, 28, 31 and 29 legs are live. Port 3
feeds SP-1 and SP-2 through a 1x2.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from model.correlate.elements import elements_of
from model.correlate.suspects import Answer, suspects
from model.errors import PlantError
from model.graph import Continuity
from model.templates.cabinet import bramblecote

CONTINUITY = Continuity(bramblecote())
SP_1, SP_2 = range(1, 31), range(33, 61)
SP_3, SP_4 = range(65, 96), range(97, 126)


def ids(*numbers: Iterable[int]) -> list[str]:
    """Services by the distribution fibre they are on."""
    return [f"bc-{n:03d}" for run in numbers for n in run]


def words(answer: Answer) -> set[str]:
    return {suspect.words for suspect in answer.suspects}


def test_a_path_lists_its_elements_from_the_customer_through_both_splitters_to_the_exchange_port() -> None:
    named = [e.words for e in elements_of(CONTINUITY, "bc-041")]
    assert named == [
        "outlet 1 at 39 Bramblecote",
        "fibre H-039:1, Bramblecote Green to 39 Bramblecote",
        "drop H-039, Bramblecote Green to 39 Bramblecote",
        "port DP/41 at Bramblecote Green",
        "fibre BD-144:41, BC-5 to Bramblecote Green",
        "BD-144 T4 brown, entry at Bramblecote Green",
        "BD-144 sheath, BC-5 to Bramblecote Green",
        "BD-144 T4 brown, BC-5 to Bramblecote Green",
        "BD-144 T4 brown, leaving BC-5",
        "port DP/41 at BC-5",
        "SP-2 leg 9",
        "SP-2 input",
        "port FD/6 at BC-5",
        "fibre BF-48:6, Fallow Cross to BC-5",
        "BF-48 T1 blue, entry at BC-5",
        "BF-48 sheath, Fallow Cross to BC-5",
        "BF-48 T1 blue, Fallow Cross to BC-5",
        "BF-48 T1 blue, leaving Fallow Cross",
        "port FD/6 at Fallow Cross",
        "HUB-3 leg 2",
        "HUB-3 input",
        "port PON/3 at Fallow Cross",
    ]


def test_all_legs_of_one_splitter_down_means_its_input_or_what_feeds_it_alone() -> None:
    answer = suspects(CONTINUITY, ids(SP_2), ids(SP_1, SP_3, SP_4))
    assert words(answer) == {
        "SP-2 input",
        "port FD/6 at BC-5",
        "fibre BF-48:6, Fallow Cross to BC-5",
        "port FD/6 at Fallow Cross",
        "HUB-3 leg 2",
    }
    assert answer.suspects[0].words == "SP-2 input"  # looked at first when all legs of one splitter are down
    cleared = {c.element.words: c for c in answer.cleared}
    assert set(cleared["HUB-3 input"].contradicted_by) == set(ids(SP_1))
    assert len(cleared["BF-48 sheath, Fallow Cross to BC-5"].contradicted_by) == 30 + 31 + 29


def test_both_splitters_of_a_port_down_means_the_port_or_the_splitter_before_them() -> None:
    answer = suspects(CONTINUITY, ids(SP_1, SP_2), ids(SP_3, SP_4))
    assert words(answer) == {"HUB-3 input", "port PON/3 at Fallow Cross"}
    assert len(answer.suspects[0].explains) == 58


def test_a_test_between_the_suspects_says_what_each_result_leaves() -> None:
    answer = suspects(CONTINUITY, ids(SP_2), ids(SP_1, SP_3, SP_4))
    test = answer.next_tests[0]
    assert (test.kind, test.separates_top) == ("level", True)
    left = [{e.words for e in outcome.suspects} for outcome in test.outcomes]
    assert len(left) == 2
    assert left[0] | left[1] == words(answer)
    assert not left[0] & left[1]


def test_three_down_on_one_splitter_and_one_tube_are_told_apart_by_dark_glass_a_spare_leg_or_a_neighbour() -> None:
    # Fibres 33-36 end tube 3 (25-36); 31 and 32 belong to parked legs of SP-1, so they are dark. 25-30 are SP-1's.
    answer = suspects(CONTINUITY, ids(range(33, 36)), ids(range(1, 3)))
    kinds = {test.kind: test for test in answer.next_tests}
    assert kinds["dark fibre"].fibres == (("bd-144", 31), ("bd-144", 32))
    assert kinds["spare leg"].words == "read the level at spare leg 29 of SP-2"
    assert set(kinds["ask"].services) <= set(ids(range(25, 31)))
    dead = next(o for o in kinds["spare leg"].outcomes if o.result == "no light")
    assert "SP-2 input" in {e.words for e in dead.suspects}
    assert not any("T3" in e.words for e in dead.suspects)


def test_one_customer_down_is_sought_from_the_drop_inward() -> None:
    answer = suspects(CONTINUITY, ["bc-041"], ["bc-042"])
    assert [s.element.kind for s in answer.suspects[:2]] == ["drop", "port"]
    assert words(answer) == {
        "drop H-039, Bramblecote Green to 39 Bramblecote",
        "outlet 1 at 39 Bramblecote",
        "fibre H-039:1, Bramblecote Green to 39 Bramblecote",
        "port DP/41 at Bramblecote Green",
        "fibre BD-144:41, BC-5 to Bramblecote Green",
        "port DP/41 at BC-5",
        "SP-2 leg 9",
    }


def test_not_measured_is_not_up() -> None:
    assert "BF-48 sheath, Fallow Cross to BC-5" in words(suspects(CONTINUITY, ids(SP_2)))


def test_what_cannot_be_asked_is_refused_in_one_line() -> None:
    with pytest.raises(PlantError, match="nobody is said to be down"):
        suspects(CONTINUITY, [], ids(SP_1))
    with pytest.raises(PlantError, match="BC-001 cannot be down and up at once"):
        suspects(CONTINUITY, ["bc-001"], ["bc-001"])
    with pytest.raises(PlantError, match="no service 'bc-999'"):
        suspects(CONTINUITY, ["bc-999"])
    with pytest.raises(PlantError, match="no service 'bc-999'"):
        elements_of(CONTINUITY, "bc-999")
