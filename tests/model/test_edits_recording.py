"""Records of joints: what each edit writes, what it refuses, and that one or many joints are one step."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.edits.record_checks import checked_date, parse_db
from model.edits.recording import (
    Annotate,
    MarkDone,
    Measure,
    PlanLoss,
    SetStatus,
    SpliceAgain,
    TypeReading,
    Vouch,
)
from model.entities import Attempt, Evidence, Reading, Splice
from model.errors import EditError
from model.history import Edit, History
from model.ids import SpliceId
from model.storage.document import decode, encode
from model.templates import TEMPLATES

# Through its file once, so that later saving and reading rounds nothing away.
START = decode(encode(TEMPLATES["mid-span-small"]()))
EVERY = tuple(SpliceId(key) for key in sorted(START.splices))
ONE = EVERY[0]


def history() -> History:
    return History(START.copy())


def after(*edits: Edit) -> Splice:
    made = history()
    for edit in edits:
        made.do(edit)
    return made.plant.splices[ONE]


def refused(edit: Edit, *before: Edit) -> EditError:
    made = history()
    for one in before:
        made.do(one)
    held = made.plant.copy()
    with pytest.raises(EditError) as found:
        made.do(edit)
    assert made.plant == held
    assert found.value.hint
    return found.value


def test_several_joints_are_done_in_one_step() -> None:
    made = history()
    made.do(MarkDone(EVERY, "AB", "2026-03-01", "done tray 1 1-4"))
    assert len(made.steps) == 1
    assert {(s.status, s.done_by, s.done_on) for s in made.plant.splices.values()} == {("done", "AB", "2026-03-01")}
    made.undo()
    assert made.plant == START


def test_what_is_not_said_stays() -> None:
    made = after(MarkDone((ONE,), "AB", "2026-03-01"), MarkDone((ONE,), on="2026-03-02"))
    assert (made.done_by, made.done_on) == ("AB", "2026-03-02")


def test_an_existing_joint_stays_existing() -> None:
    assert after(SetStatus((ONE,), "existing"), MarkDone((ONE,), "AB")).status == "existing"


def test_a_reading_marks_the_joint_as_made_and_takes_the_place_of_one_alike() -> None:
    first = Measure(((ONE, (Reading(1550, "A-B", 0.30), Reading(1550, "B-A", 0.02))),), "AB", "2026-03-01")
    again = Measure(((ONE, (Reading(1550, "A-B", 0.04), Reading(1550, "A-B", 0.05, True))),))
    made = after(first, again)
    assert (made.status, made.done_by) == ("done", "AB")
    assert made.measured == (
        Reading(1550, "B-A", 0.02),
        Reading(1550, "A-B", 0.04),
        Reading(1550, "A-B", 0.05, True),
    )


def test_a_splicer_has_one_estimate_whatever_its_wavelength() -> None:
    made = after(
        Measure(((ONE, (Reading(1550, "estimate", 0.03),)),)), Measure(((ONE, (Reading(0, "estimate", 0.02),)),))
    )
    assert made.measured == (Reading(0, "estimate", 0.02),)


def test_a_joint_made_again_keeps_every_try() -> None:
    first = (Reading(0, "estimate", 0.09),)
    second = (Reading(0, "estimate", 0.06),)
    made = after(
        MarkDone((ONE,), "AB", "2026-03-01"),
        Measure(((ONE, first),)),
        SpliceAgain((ONE,), "CD", "2026-03-02"),
        Measure(((ONE, second),)),
        SpliceAgain((ONE,)),
    )
    assert made.attempts == (Attempt(first, "AB", "2026-03-01"), Attempt(second, "CD", "2026-03-02"))
    assert (made.measured, made.done_by, made.done_on, made.status) == ((), "", "", "done")


def test_evidence_is_marked() -> None:
    seen = Evidence("verified", "2026-03-01", "AB")
    assert after(Vouch((ONE,), seen)).evidence == seen


def test_typing_and_emptying_a_reading() -> None:
    made = after(TypeReading(ONE, 1550, "A-B", " 0,04 dB "), TypeReading(ONE, 1550, "B-A", "-0.02"))
    assert made.measured == (Reading(1550, "A-B", 0.04), Reading(1550, "B-A", -0.02))
    made = after(TypeReading(ONE, 1550, "A-B", "0.04"), TypeReading(ONE, 1550, "A-B", " "))
    assert made.measured == ()


def test_what_is_typed_over_for_several_joints_leaves_the_rest_of_each() -> None:
    made = history()
    made.do(Vouch((ONE,), Evidence("inherited", "2020-01-01", "CD")))
    made.do(Annotate(EVERY, by=" AB ", note="wet", kind="Verified"))
    held = made.plant.splices
    assert held[ONE].evidence == Evidence("verified", "2020-01-01", "CD")
    assert held[EVERY[1]].evidence == Evidence("verified")
    assert {(s.done_by, s.note) for s in held.values()} == {("AB", "wet")}
    made.do(Annotate((ONE,), by="", note=" ", kind="", seen_by="", seen_on=""))
    assert (held[ONE].done_by, held[ONE].note, held[ONE].evidence) == ("", "", Evidence())


def test_planning_a_loss() -> None:
    assert after(PlanLoss((ONE,), "0.05")).planned_db == 0.05


MISSING = SpliceId("nothing")
READ = Measure(((ONE, (Reading(1550, "A-B", 0.1),)),))


@pytest.mark.parametrize(
    ("edit", "before", "said"),
    [
        (MarkDone((ONE, MISSING)), (), "no joint 'nothing'"),
        (MarkDone((ONE,), on="1 March"), (), "'1 March' is no date"),
        (MarkDone((ONE,), on="2026-02-30"), (), "is no date"),
        (MarkDone((ONE,), on="20260301"), (), "is no date"),
        (MarkDone((ONE,), by="x" * 25), (), "no initials"),
        (MarkDone((ONE,)), (SetStatus((ONE,), "remove"),), "to be removed"),
        (SetStatus((ONE,), "finished"), (), "'finished' is no status"),
        (SetStatus((ONE,), "planned"), (READ,), "measured is made"),
        (Measure(((ONE, (Reading(155, "A-B", 0.1),)),)), (), "155 nm is no wavelength"),
        (Measure(((ONE, (Reading(0, "A-B", 0.1),)),)), (), "0 nm is no wavelength"),
        (Measure(((ONE, (Reading(1550, "A-B", 40.0),)),)), (), "40 dB is no reading"),
        (Measure(((ONE, (Reading(1550, "A-B", float("nan")),)),)), (), "no reading"),
        (Measure(((MISSING, (Reading(1550, "A-B", 0.1),)),)), (), "no joint"),
        (SpliceAgain((ONE,)), (), "not made cannot be made again"),
        (SpliceAgain((ONE,)), (SetStatus((ONE,), "remove"),), "to be removed"),
        (Vouch((ONE,), Evidence("verified", "soon")), (), "no date"),
        (Annotate((ONE,), kind="rumour"), (), "'rumour' is no evidence"),
        (Annotate((ONE,), note="x" * 201), (), "no note"),
        (Annotate((ONE,), on="never"), (), "no date"),
        (TypeReading(ONE, 1550, "A-B", "little"), (), "'little' is no loss"),
        (PlanLoss((ONE,), "-0.1"), (), "cannot be planned"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_changes(edit: Any, before: Any, said: str) -> None:
    assert said in str(refused(edit, *before))


@pytest.mark.parametrize(
    ("text", "db"), [("0.04", 0.04), ("-0,02", -0.02), ("+.5 dB", 0.5), ("1 db", 1.0), (" 0.1dB ", 0.1)]
)
def test_losses_as_people_type_them(text: str, db: float) -> None:
    assert parse_db(text) == db


@pytest.mark.parametrize("text", ["", "0.0.4", "1e-2", "0.04 m", "nan", "٣", "0,0,4", "--1", "99999"])
def test_what_is_no_loss(text: str) -> None:
    with pytest.raises(EditError):
        parse_db(text)


@given(st.dates())
def test_every_day_of_the_calendar_is_a_date(day: date) -> None:
    assert checked_date(f" {day.isoformat()} ") == day.isoformat()


@given(st.text(max_size=12).filter(lambda text: len(text.strip()) != 10 and text.strip()))
def test_anything_shorter_or_longer_is_none(text: str) -> None:
    with pytest.raises(EditError):
        checked_date(text)


readings = st.builds(
    Reading,
    st.sampled_from([1310, 1550, 1625]),
    st.sampled_from(["A-B", "B-A", "estimate"]),
    st.integers(-100, 300).map(lambda n: n / 100),
    st.booleans(),
)
steps = st.lists(
    st.one_of(
        st.builds(MarkDone, st.just(EVERY), st.sampled_from(["", "AB"]), st.sampled_from(["", "2026-03-01"])),
        st.builds(SetStatus, st.just((ONE,)), st.sampled_from(["planned", "done", "existing", "remove"])),
        st.lists(readings, max_size=4).map(lambda some: Measure(((ONE, tuple(some)),))),
        st.builds(SpliceAgain, st.just(EVERY[:2])),
        st.builds(Vouch, st.just(EVERY), st.builds(Evidence, st.sampled_from(["verified", "inherited", "assumed"]))),
    ),
    max_size=12,
)


@given(steps)
def test_records_are_saved_and_undone_whole(edits: list[Edit]) -> None:
    made = history()
    tries = 0
    for edit in edits:
        try:
            made.do(edit)
        except EditError:
            continue
        held = len(made.plant.splices[ONE].attempts)
        assert held >= tries  # no try is ever lost
        tries = held
    assert decode(encode(made.plant)) == made.plant
    while made.undo():
        pass
    assert made.plant == START
