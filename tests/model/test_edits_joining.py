# mypy: disable-error-code="arg-type"
"""Splices, slots, plugs and stored glass: an end is used once, a slot holds what it can, all at one site."""

from __future__ import annotations

from math import inf, nan

import pytest

from model.changes import Draft
from model.edits.cutting import CutFibres
from model.edits.joining import Join, MoveSplices, Part, Plug, Store, free_slots
from model.entities import Stored
from model.errors import EditError
from model.history import Edit, History
from model.layout import tray_load
from tests.model.lab import box, cable, end, leg, panel, site, splitter, start

CUT = tuple(range(1, 13))


def lab() -> History:
    history = start(
        *(site(place) for place in "abz"),
        cable("c", "lt-24", "a", "b", "z"),
        cable("d", "lt-48", "b", "z"),
        *box("b", trays=2),
        *box("z"),
        *panel("a", 3),
        *panel("b", 2),
        splitter("s", "b", "1x2"),
    )
    history.do(CutFibres("c", "c.b", CUT))
    return history


def pairs(count: int, first: int = 1) -> tuple[tuple[object, object], ...]:
    return tuple((end("c", n, "b", "<"), end("d", n, "b", ">")) for n in range(first, first + count))


def slots(history: History) -> dict[int, str]:
    return {splice.slot: key for key, splice in history.plant.splices.items() if splice.slot is not None}


def test_joints_take_the_first_free_slots_from_the_one_asked_for() -> None:
    history = lab()
    history.do(Join("b", pairs(2), "tray-b-1", first_slot=5))
    history.do(Join("b", pairs(3, 3), "tray-b-1", first_slot=4))
    assert sorted(slots(history)) == [4, 5, 6, 7, 8]
    assert slots(history)[4] == "splice c:3@c.b<"
    assert slots(history)[5] == "splice c:1@c.b<"


def test_slots_run_out_with_a_count_of_what_is_free() -> None:
    history = lab()
    with pytest.raises(EditError, match="tray 1 has 2 free slots from 23, 3 are needed"):
        history.do(Join("b", pairs(3), "tray-b-1", first_slot=23))
    assert history.plant.splices == {}


def test_there_is_no_slot_below_one() -> None:
    history = lab()
    for first in (0, -3):
        with pytest.raises(EditError, match="no slot"):
            free_slots(Draft(history.plant), "tray-b-1", first)


def test_joints_taken_apart_free_their_slots_and_ends() -> None:
    history = lab()
    history.do(Join("b", pairs(2), "tray-b-1"))
    history.do(Part(("splice c:1@c.b<",)))
    history.do(Join("b", ((end("d", 1, "b", ">"), end("c", 1, "b", "<")),), "tray-b-1"))
    assert slots(history) == {1: "splice d:1@d.b>", 2: "splice c:2@c.b<"}


def test_joints_move_in_the_order_given_and_each_once() -> None:
    history = lab()
    history.do(Join("b", pairs(3), "tray-b-1"))
    one, two, three = (f"splice c:{n}@c.b<" for n in (1, 2, 3))
    history.do(MoveSplices((three, one, three), "tray-b-1", 2))
    # Slot 2 is held by joint 2, which stays.
    assert slots(history) == {3: three, 4: one, 2: two}
    history.do(MoveSplices((one, two), "tray-b-2"))
    assert {history.plant.splices[key].tray for key in (one, two)} == {"tray-b-2"}


def test_joining_ends_that_were_stored_as_stubs_takes_the_record_away() -> None:
    history = lab()
    history.do(Store("c", "c.b", (1, 2), "<", "tray-b-1"), Store("c", "c.b", (1, 2), ">", "tray-b-1"))
    history.do(Join("b", pairs(1), "tray-b-1"))
    assert history.plant.cables["c"].stops[1].stored == (
        Stored((2,), "<", "tray-b-1"),
        Stored((1, 2), ">", "tray-b-1"),
    )
    load = tray_load(history.plant, history.plant.trays["tray-b-1"])
    assert (load.joints, load.loops, load.stubs, load.stored) == (1, 0, 3, 4)


def test_plugging_an_end_that_was_stored_as_a_stub_takes_the_record_away() -> None:
    history = lab()
    history.do(Store("c", "c.b", (1, 2), ">", "tray-b-1"))
    history.do(Plug((end("c", 1, "b", ">"),), ("b.1",)))
    assert history.plant.cables["c"].stops[1].stored == (Stored((2,), ">", "tray-b-1"),)


def test_a_splitter_leg_that_is_spliced_cannot_be_plugged_as_well() -> None:
    history = lab()
    history.do(Join("b", ((leg("s", "out", 1), end("d", 1, "b", ">")),), "tray-b-1"))
    before = history.plant.copy()
    with pytest.raises(EditError, match="joined already"):
        history.do(Plug((leg("s", "out", 1),), ("b.1",), "front", None))
    assert history.plant == before
    history.do(Plug((leg("s", "out", 2),), ("b.1",), "front", None))
    with pytest.raises(EditError, match="joined already"):
        history.do(Join("b", ((leg("s", "out", 2), end("d", 2, "b", ">")),), "tray-b-1"))


def test_storing_again_replaces_the_record_of_those_fibres_and_counts_each_fibre_once() -> None:
    history = lab()
    history.do(Store("c", "c.b", (3, 1, 2, 2), "<", "tray-b-1", turns=2.0))
    history.do(Store("c", "c.b", (2,), "<", "tray-b-2"))
    assert history.plant.cables["c"].stops[1].stored == (
        Stored((1, 3), "<", "tray-b-1", 2.0),
        Stored((2,), "<", "tray-b-2"),
    )


def test_a_splitter_leg_is_joined_like_a_fibre_and_once() -> None:
    history = lab()
    history.do(Join("b", ((end("c", 1, "b", "<"), leg("s", "in")), (leg("s", "out", 2), end("d", 1, "b", ">")))))
    with pytest.raises(EditError, match="S out 2 is joined already"):
        history.do(Join("b", ((leg("s", "out", 2), end("d", 2, "b", ">")),)))


P1 = pairs(1)


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (Join("b", P1 + P1), "C:1< is joined already"),
        (Join("b", ((end("c", 1, "b", "<"), end("c", 1, "b", "<")),)), "joined already"),
        (Join("b", ((end("c", 13, "b", "<"), end("d", 1, "b", ">")),)), "C:13 is uncut there"),
        (Join("b", ((end("c", 1, "b", "<"), end("d", 1, "b", "<")),)), "uncut there"),
        (Join("b", ((end("c", 1, "b", "<"), end("d", 49, "b", ">")),)), "48 fibres, not 49"),
        (Join("b", ((end("c", 1, "b", "<"), leg("s", "out", 3)),)), "no leg out 3"),
        (Join("b", ((end("c", 1, "a", ">"), end("d", 1, "b", ">")),)), "C:1> is not at B"),
        (Join("q", P1), "no site 'q'"),
        (Join("b", P1, "tray-q"), "no tray 'tray-q'"),
        (Join("b", P1, "tray-z-1"), "tray 1 is not at B"),
        (Join("b", P1, "tray-b-1", first_slot=0), "no slot 0"),
        (Part(("nothing",)), "no 'nothing'"),
        (MoveSplices(("nothing",), "tray-b-1"), "no joint 'nothing'"),
        (Plug((end("c", 1, "a", ">"),), ()), "1 ends and 0 ports"),
        (Plug((end("c", 1, "a", ">"),), ("q",)), "no port 'q'"),
        (Plug((end("c", 1, "a", ">"),), ("b.1",)), "not at B"),
        (Plug((end("c", 1, "a", ">"), end("c", 1, "a", ">")), ("a.1", "a.2")), "joined already"),
        (Plug((end("c", 1, "a", ">"), end("c", 2, "a", ">")), ("a.1", "a.1")), "taken"),
        (Plug((end("c", 13, "b", ">"),), ("b.1",)), "uncut there"),
        (Store("c", "c.b", (1,), "<", "tray-q"), "no tray"),
        (Store("c", "c.b", (1,), "<", "tray-z-1"), "tray 1 is not at B"),
        (Store("c", "c.b", (99,), "<"), "24 fibres, not 99"),
        (Store("c", "c.b", (), "<"), "no fibres"),
        (Store("c", "c.b", (13,), "<"), "uncut there"),
        (Store("c", "c.b", (1, 13), ""), "C:1 is cut there"),
        (Store("c", "c.a", (1,), ""), "ends there"),
        (Store("c", "c.b", (1,), "<", None, nan), "cannot be stored"),
        (Store("c", "c.b", (1,), "<", None, -1.0), "cannot be stored"),
        (Store("c", "c.b", (1,), "<", None, 0.0, inf), "cannot be stored"),
        (Store("c", "c.q", (1,), "<"), "does not stop there"),
        (Store("q", "c.b", (1,), "<"), "no cable"),
    ],
)
def test_what_cannot_be_is_an_edit_error_and_changes_nothing(edit: Edit, says: str) -> None:
    history = lab()
    before = history.plant.copy()
    with pytest.raises(EditError, match=says):
        history.do(edit)
    assert history.plant == before


def test_a_joined_or_plugged_end_is_no_stub_to_be_stored() -> None:
    history = lab()
    history.do(Join("b", P1, "tray-b-1"), Plug((end("c", 2, "b", ">"),), ("b.1",)))
    for fibre, side in ((1, "<"), (2, ">")):
        with pytest.raises(EditError, match=f"C:{fibre}{side} is joined, no stub"):
            history.do(Store("c", "c.b", (fibre,), side, "tray-b-1"))
    history.do(Store("c", "c.b", (1,), ">", "tray-b-1"))


def test_a_joint_cannot_move_to_a_tray_elsewhere() -> None:
    history = lab()
    history.do(Join("b", P1, "tray-b-1"))
    with pytest.raises(EditError, match="not at B"):
        history.do(MoveSplices(("splice c:1@c.b<",), "tray-z-1"))
