"""``set``: what a tray is fitted with and keeps free, and what follows for joints, rules and the planner."""

from __future__ import annotations

import pytest

from model.line.readback import read_line
from model.planning.room import rooms
from model.plant import Plant
from model.rules.run import check
from model.storage.document import decode, encode
from tests.model.line.lines import done, joint, large


def tray(plant: Plant, name: str) -> object:
    return next(t for t in plant.trays.values() if t.name == name)


def test_a_reserve_is_kept_by_joints_that_name_no_slot() -> None:
    # Tray 1 takes 24; with 4 kept free a tube of 12 and 8 more fit, 9 do not.
    context = joint("lt-96", "tray-24", 2)
    history, after = done(context, "set tray 1 reserve 4", "join A:1-12 to B:1-12 on tray 1")
    assert history.undo_name == "join A 1-12 to B 1-12"
    assert read_line(after, "join A:13-20 to B:13-20 on tray 1").ok
    refused = read_line(after, "join A:13-21 to B:13-21 on tray 1")
    assert refused.error is not None
    assert refused.error.message == "tray 1 has 8 free slots beside the 4 kept free, 9 are needed"
    assert refused.error.nearest == "tray 2"
    # A slot that is said is meant.
    assert read_line(after, "join A:13-21 to B:13-21 on tray 1 from 16").ok


def test_a_reserve_that_is_used_is_found_and_the_planner_leaves_it() -> None:
    _, after = done(large(), "set tray 2 reserve 14")
    assert not [f for f in check(after.plant) if f.rule == "tray.reserve"]
    _, after = done(large(), "set tray 2 reserve 15")
    (found,) = [f for f in check(after.plant) if f.rule == "tray.reserve"]
    # 10 joints on 24 slots leave 14.
    assert found.message == "tray 2 of WB-12 is to keep 15 slots free, 14 of 24 are"
    assert {r.name: r.slots for r in rooms(after.plant, "wb-12", 0.0)} == {"1": 24, "2": 0, "3": 24}
    again = decode(encode(after.plant))
    assert {t.name: t.reserve for t in again.trays.values()} == {"1": 0, "2": 15, "3": 0}


def test_sleeves_come_in_the_lengths_of_the_catalogue() -> None:
    _, after = done(large(), "set tray 1 sleeves 60")
    assert tray(after.plant, "1").sleeve_mm == 60.0  # type: ignore[attr-defined]
    assert [f.rule for f in check(after.plant) if f.rule == "tray.sleeve_length"] == ["tray.sleeve_length"]
    _, after = done(large(), "set tray 1 sleeves 60", "set tray 1 sleeves 40 reserve 2")
    # 40 mm is the holder's own length: nothing is to be said about it.
    assert tray(after.plant, "1").sleeve_mm is None  # type: ignore[attr-defined]
    assert tray(after.plant, "1").reserve == 2  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("text", "column", "message", "nearest"),
    [
        ("set tray 2 sleeves 50", 20, "no sleeve is 50 mm long", "45"),
        ("set tray 2 reserve 25", 20, "tray 2 takes 24 joints, 25 cannot be kept free", "24"),
        ("set tray 2", 5, "set what of it?", ""),
        ("set tray 2 3 reserve 1", 5, "one tray is set at a time", ""),
        ("set LM-A1 reserve 1", 5, "one tray is set at a time", ""),
        ("set tray 7 reserve 1", 10, "no tray at WB-12 is called '7'", "1, 2, 3"),
    ],
)
def test_what_cannot_be_set_is_refused_at_its_column(text: str, column: int, message: str, nearest: str) -> None:
    context = large()
    reading = read_line(context, text)
    assert reading.error is not None
    assert (reading.error.column, reading.error.message) == (column, message)
    assert reading.error.nearest == nearest
    assert not reading.edits
