# mypy: disable-error-code="arg-type"
"""Opening, cutting and taking cuts back at a passing stop."""

from __future__ import annotations

import pytest

from model.edits.cutting import CutFibres, CutTubes, KeepTubes, MakeWhole, OpenTubes
from model.edits.joining import Join, Plug, Store
from model.entities import Stop, Stored, TubeWork
from model.errors import EditError
from model.history import Edit, History
from tests.model.lab import box, cable, end, panel, site, start


def lab() -> History:
    return start(
        *(site(place) for place in "abz"),
        cable("c", "lt-30", "a", "b", "z"),
        cable("d", "rd-4", "b", "z"),
        *box("b"),
        *panel("b", 2),
    )


def here(history: History) -> Stop:
    return history.plant.cables["c"].stops[1]


def test_opening_cuts_nothing_and_leaves_what_is_open_as_it_is() -> None:
    history = lab()
    history.do(OpenTubes("c", "c.b", (2, 1)))
    assert here(history).tubes == (TubeWork(1, "opened"), TubeWork(2, "opened"))
    history.do(CutFibres("c", "c.b", (8,)), OpenTubes("c", "c.b", (2,)))
    assert here(history).tubes == (TubeWork(1, "opened"), TubeWork(2, "opened", (8,)))


def test_cutting_opens_the_tubes_and_adds_to_earlier_cuts_in_order() -> None:
    # 6 + 12 + 12 fibres: 5 is in tube 1, 7 and 18 in tube 2, 19 in tube 3.
    history = lab()
    history.do(CutFibres("c", "c.b", (18, 5)))
    history.do(CutFibres("c", "c.b", (19, 7, 18)))
    assert here(history).tubes == (
        TubeWork(1, "opened", (5,)),
        TubeWork(2, "opened", (7, 18)),
        TubeWork(3, "opened", (19,)),
    )


def test_a_cut_tube_stays_cut_when_one_of_its_fibres_is_cut_again() -> None:
    history = lab()
    history.do(CutTubes("c", "c.b", (1,)))
    history.do(CutFibres("c", "c.b", (3,)), name="again")
    assert here(history).tubes == (TubeWork(1, "cut"),)
    assert len(history.steps) == 1


def test_making_one_fibre_of_a_cut_tube_whole_leaves_the_others_cut() -> None:
    history = lab()
    history.do(CutTubes("c", "c.b", (1,)))
    history.do(MakeWhole("c", "c.b", (3,)))
    assert here(history).tubes == (TubeWork(1, "opened", (1, 2, 4, 5, 6)),)


def test_keeping_a_tube_takes_its_work_and_its_storage_away() -> None:
    history = lab()
    history.do(OpenTubes("c", "c.b", (1, 2)), Store("c", "c.b", (1, 2, 7), "", "tray-b-1"))
    history.do(KeepTubes("c", "c.b", (1,)))
    assert here(history).tubes == (TubeWork(2, "opened"),)
    assert here(history).stored == (Stored((7,), "", "tray-b-1"),)


def test_a_cut_fibre_is_no_longer_stored_as_uncut_and_a_whole_one_no_longer_as_a_stub() -> None:
    history = lab()
    history.do(OpenTubes("c", "c.b", (1,)), Store("c", "c.b", (1, 2, 3), "", "tray-b-1"))
    history.do(CutFibres("c", "c.b", (2,)))
    assert here(history).stored == (Stored((1, 3), "", "tray-b-1"),)
    history.do(Store("c", "c.b", (2,), "<", "tray-b-1"), Store("c", "c.b", (2,), ">"))
    history.do(MakeWhole("c", "c.b", (2,)))
    assert here(history).stored == (Stored((1, 3), "", "tray-b-1"),)


def test_a_joined_or_plugged_fibre_cannot_be_made_whole() -> None:
    history = lab()
    history.do(CutFibres("c", "c.b", (1, 2, 3)))
    history.do(Join("b", ((end("c", 1, "b", "<"), end("d", 1, "b", ">")),)), Plug((end("c", 2, "b", ">"),), ("b.1",)))
    with pytest.raises(EditError, match="C:1-2 is joined here"):
        history.do(MakeWhole("c", "c.b", (1, 2, 3)))
    history.do(MakeWhole("c", "c.b", (3,)))
    assert here(history).tubes == (TubeWork(1, "opened", (1, 2)),)


def test_a_tube_with_a_cut_fibre_cannot_pass_express() -> None:
    history = lab()
    history.do(CutFibres("c", "c.b", (1,)))
    with pytest.raises(EditError, match="fibres 1 of tube 1"):
        history.do(KeepTubes("c", "c.b", (1,)))


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (CutFibres("c", "c.b", (31,)), "30 fibres, not 31"),
        (CutFibres("c", "c.b", (0,)), "30 fibres, not 0"),
        (MakeWhole("c", "c.b", (1, 99)), "30 fibres, not 99"),
        (CutTubes("c", "c.b", (4,)), "3 tubes, not 4"),
        (OpenTubes("c", "c.b", (0,)), "3 tubes, not 0"),
        (KeepTubes("c", "c.b", (-1,)), "3 tubes, not -1"),
        (CutFibres("c", "c.a", (1,)), "ends there"),
        (CutTubes("c", "c.z", (1,)), "ends there"),
        (OpenTubes("c", "d.b", (1,)), "does not stop there"),
        (OpenTubes("q", "c.b", (1,)), "no cable 'q'"),
    ],
)
def test_what_cannot_be_is_an_edit_error_and_changes_nothing(edit: Edit, says: str) -> None:
    history = lab()
    before = history.plant.copy()
    with pytest.raises(EditError, match=says):
        history.do(edit)
    assert history.plant == before
    assert history.steps == ()
