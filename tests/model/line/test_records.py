"""What was done to joints, typed: read back, done as one step, refused at its column, and completed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import Attempt, Evidence, Reading, Splice
from model.line.context import Context
from model.line.readback import all_completions, read_line
from tests.model.line.lines import chips, done, joint, read, small


def records(context: Context) -> dict[int, Splice]:
    """Joints by slot."""
    return {splice.slot: splice for splice in context.plant.splices.values() if splice.slot is not None}


def test_joints_are_done_from_the_tray_or_from_their_fibres() -> None:
    for what in ("tray 1 1-4", "TM-B1:13-16", "D-1:all", "WB-07/1/1-4", "tray 1"):
        history, after = done(small(), f"done {what} by AB on 2026-03-01")
        assert len(history.steps) == 1
        assert {(s.status, s.done_by, s.done_on) for s in records(after).values()} == {("done", "AB", "2026-03-01")}
        history.undo()
        assert history.plant == small().plant


def test_done_without_initials_or_date_is_pointed_out() -> None:
    reading = read(small(), "done tray 1 1")
    assert chips(reading)["without"] == "initials and a date"
    assert chips(read(small(), "done tray 1 1 by AB"))["without"] == "a date"
    assert "without" not in chips(read(small(), "done tray 1 1 by AB on 2026-03-01"))


def test_a_pair_is_from_a_to_b_and_from_b_to_a() -> None:
    _, after = done(small(), "measure tray 1 1 1550 0.04 / 0.06")
    made = records(after)[1]
    assert made.measured == (Reading(1550, "A-B", 0.04), Reading(1550, "B-A", 0.06))
    assert made.status == "done"
    # (0.04 + 0.06) / 2
    said = chips(read(small(), "measure tray 1 1 1550 0.04 / 0.06"))["reads"]
    assert said == "TM-B1:13 to D-1:1: A-B 0.04, B-A 0.06, mean 0.050 dB"


def test_values_belong_to_the_joints_in_the_order_said() -> None:
    _, after = done(small(), "measure TM-B1:16-13 1310 b-a 0.01 0.02 0,03 -0.04 sealed by CD on 2026-03-02")
    found = {slot: splice.measured for slot, splice in records(after).items()}
    assert found == {
        4: (Reading(1310, "B-A", 0.01, True),),
        3: (Reading(1310, "B-A", 0.02, True),),
        2: (Reading(1310, "B-A", 0.03, True),),
        1: (Reading(1310, "B-A", -0.04, True),),
    }
    assert records(after)[1].done_by == "CD"


def test_a_wavelength_after_a_whole_tray_is_no_slot() -> None:
    _, after = done(small(), "measure tray 1 1550 A-B 0.1 0.2 0.3 0.4")
    assert [records(after)[n].measured[0].loss_db for n in (1, 2, 3, 4)] == [0.1, 0.2, 0.3, 0.4]


def test_a_gain_one_way_is_said_to_be_none_and_is_quiet_with_the_other_way() -> None:
    reading = read(small(), "measure tray 1 1 1550 A-B -0.2")
    chip = next(chip for chip in reading.chips if chip.label == "not real")
    assert chip.warns
    assert "1 apparent gain" in chip.text
    assert "not real" not in chips(read(small(), "measure tray 1 1 1550 -0.2/0.3"))
    _, half = done(small(), "measure tray 1 1 1550 A-B -0.2")
    assert "not real" not in chips(read(half, "measure tray 1 1 1550 B-A 0.3"))


def test_a_joint_made_again_keeps_the_try_in_the_log() -> None:
    _, after = done(
        small(),
        "estimate tray 1 3 0.09; done tray 1 3 by AB on 2026-03-01",
        "again tray 1 3 0.02 by CD on 2026-03-02",
    )
    made = records(after)[3]
    assert made.attempts == (Attempt((Reading(0, "estimate", 0.09),), "AB", "2026-03-01"),)
    assert made.measured == (Reading(0, "estimate", 0.02),)
    assert (made.done_by, made.done_on) == ("CD", "2026-03-02")
    said = chips(read(after, "again tray 1 3"))
    assert said["kept"] == "try 2, estimate 0.02 dB, CD, 2026-03-02 stays in the log"
    assert said["tries"] == "3"


def test_a_fourth_try_is_pointed_out() -> None:
    _, after = done(small(), "done tray 1 3", "again tray 1 3", "again tray 1 3")
    reading = read(after, "again tray 1 3")
    assert next(chip for chip in reading.chips if chip.label == "tries").warns


def test_what_is_known_of_joints() -> None:
    _, after = done(small(), "seen tray 1 1-2 by AB on 2026-03-01; unseen tray 1 3 inherited; unseen tray 1 4")
    found = {slot: splice.evidence for slot, splice in records(after).items()}
    assert found == {
        1: Evidence("verified", "2026-03-01", "AB"),
        2: Evidence("verified", "2026-03-01", "AB"),
        3: Evidence("inherited"),
        4: Evidence("assumed"),
    }


def test_undone_plans_a_joint_again() -> None:
    start = small()
    _, after = done(start, "done tray 1 by AB on 2026-03-01", "undone tray 1")
    assert after.plant == start.plant


def test_fibres_of_one_sleeve_take_their_values_in_the_order_of_their_numbers() -> None:
    context = joint("rb-144", "tray-ribbon-12", 1)
    _, after = done(
        context, "join A:R1 to B:R1 on tray 1", "estimate tray 1 1 " + " ".join(f"0.{n:02}" for n in range(12))
    )
    found = sorted((s.a.fibre, s.measured[0].loss_db) for s in after.plant.splices.values())  # type: ignore[union-attr]
    assert found == [(n + 1, n / 100) for n in range(12)]


@pytest.mark.parametrize(
    ("text", "column", "said"),
    [
        ("done tray 1 9", 13, "slot 9 of tray 1 is empty"),
        ("done TM-B1:20", 12, "is not joined here"),
        ("done tray 1 1 by AB on 2026-02-30", 24, "'2026-02-30' is no date"),
        ("done tray 1 1 by AB by CD", 21, "by is said twice"),
        ("done tray 1 1 sealed", 15, "is not understood after done"),
        ("done tray 1 every 2", 13, "slots are named one by one"),
        ("measure tray 1 1 155 0.1/0.1", 18, "155 nm is no wavelength"),
        ("measure tray 1 1 1550 0.04", 23, "which direction?"),
        ("measure tray 1 1 1550 little", 23, "is not understood after measure"),
        ("measure tray 1 1 1550 0.0.4/1", 23, "is no loss"),
        ("measure tray 1 1 1550 40/2", 23, "40 dB is no reading"),
        ("measure tray 1 1 1550 A-B 0.1/0.2", 27, "A-B takes one value"),
        ("measure tray 1 1 1550 A-B B-A 0.1", 27, "'B-A' is said twice"),
        ("measure tray 1 1-4 1550 0.1/0.1 0.1/0.1", 25, "4 joints, but 2 values"),
        ("measure tray 1 1 1550 0.1/0.1 0.1/0.1", 23, "1 joint, but 2 values"),
        ("measure tray 1 1", 17, "the wavelength is missing"),
        ("measure tray 1 1 1550", 22, "the loss is missing"),
        ("estimate tray 1 1 0.1/0.2", 19, "an estimate has no direction"),
        ("again tray 1 1", 7, "not made cannot be made again"),
        ("measure tray 1 1 1550 0.1/0.1; undone tray 1 1", 39, "measured is made"),
        ("seen nowhere:3", 6, "no cable is called 'nowhere'"),
    ],
)
def test_what_cannot_be_is_refused_at_its_column_and_changes_nothing(text: str, column: int, said: str) -> None:
    context = small()
    before = context.plant.copy()
    reading = read_line(context, text)
    assert not reading.ok
    assert reading.error is not None
    assert reading.error.column == column
    assert said in str(reading.error)
    assert "\n" not in str(reading.error)
    assert context.plant == before


def test_what_is_nearest_can_be_taken() -> None:
    error = read_line(small(), "measure tray 1 1-2 1550 0.04 0.05").error
    assert error is not None
    assert error.repaired == "measure tray 1 1-2 1550 A-B 0.04 0.05"


def test_endings() -> None:
    _, context = done(small(), "done tray 1 1-4 by AB on 2026-03-01")

    def endings(text: str) -> list[str]:
        return [item.ending for item in all_completions(context, text)]

    assert endings("done ") == ["D-1:", "TM-B1:", "tray"]
    assert endings("measure TM-B1:")[0] == "13-16"
    assert endings("done tray 1 ") == ["1-4", "by", "on", "at"]
    assert endings("done tray 1 1-4 by ") == ["AB"]
    assert endings("done tray 1 1-4 on ") == ["2026-03-01"]
    assert endings("measure tray 1 1") == ["1310", "1550", "1625"]
    assert endings("measure tray 1 1 1550 ") == ["A-B", "B-A"]
    assert endings("measure tray 1 1 1550 0.04/0.06 ") == ["sealed", "by", "on", "at"]
    assert endings("unseen TM-B1:13 ") == ["inherited", "by", "on", "every", "skip", "at"]
    for text in ("done tray 1", "measure tray 1 1", "measure tray 1 1 1550", "again tray 1 2", "unseen tray 1 i"):
        for item in all_completions(context, text):
            again = read_line(context, item.text, complete=False)
            assert again.ok or (again.error is not None and again.error.incomplete), item


VERBS = ("done", "undone", "measure", "estimate", "again", "seen", "unseen")
WHAT = ("tray", "TM-B1:13", "1", "1-4", "at", "WB-07", "every", "2", '"', ",", ";")
SAID = ("1550", "nm", "A-B", "B-A", "0.04", "0.04/0.06", "-0.1", "/", "1e5", "by", "AB", "on", "2026-03-01", "sealed")
WORDS = st.sampled_from((*VERBS, *WHAT, *SAID, "2026-13-01", "inherited"))


CONTEXT = small()


@given(st.lists(WORDS, max_size=12))
def test_whatever_is_typed_is_read_or_refused(words: list[str]) -> None:
    reading = read_line(CONTEXT, " ".join(words), complete=False)
    assert reading.ok or reading.error is not None
