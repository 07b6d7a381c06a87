"""Tables of splice readings: with a heading or without, as lines of one undo step; rows that cannot be, by number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import Reading
from model.graph import Continuity
from model.line.pasted import BadRow, read_table
from render.table_lists import all_tables
from render.tables import to_csv
from tests.model.line.lines import done, large, small


def test_slots_without_a_heading() -> None:
    pasted = read_table(small(), "1\t1550\t0.04\t0.06\n2\t1550\t-0.02\t0.10\n3\t1550\t0.05\t0.05\n")
    assert pasted.bad == ()
    assert pasted.lines == ("measure tray 1 1-3 1550 0.04/0.06 -0.02/0.10 0.05/0.05",)
    assert pasted.rows == ((1, 2, 3),)


def test_fibres_or_trays_without_a_heading() -> None:
    assert read_table(small(), "TM-B1:14\t1310\t0.04\nTM-B1:13\t1310\t0.05").lines == (
        "measure TM-B1:14,TM-B1:13 1310 A-B 0.04 0.05",
    )
    assert read_table(small(), "1;2;1550;0,04;0,06\n1;1;1550;0,01;0,02").lines == (
        "measure tray 1 2-1 1550 0,04/0,06 0,01/0,02",
    )


def test_a_heading_says_what_the_columns_are() -> None:
    table = (
        "Slot,Tray,Wavelength,B-A,A-B,Enclosure,Initials,Date\n"
        "1,tray 1,1550,0.06,0.04,open,AB,2026-03-01\n"
        "2,tray 1,1550,0.03,,open,AB,2026-03-01\n"
        "1,tray 1,1550,0.08,0.05,sealed,AB,2026-03-01\n"
        "4,tray 1,1550,,,open,,\n"
    )
    assert read_table(small(), table).lines == (
        "measure tray 1 1 1550 0.04/0.06 by AB on 2026-03-01",
        "measure tray 1 2 1550 B-A 0.03 by AB on 2026-03-01",
        "measure tray 1 1 1550 0.05/0.08 sealed by AB on 2026-03-01",
    )


def test_rows_that_cannot_be_are_listed_and_the_others_read() -> None:
    pasted = read_table(small(), "1\t1550\t0.04\t0.06\n9\t1550\t0.1\t0.1\n2\t1550\tx\t0.1\n3\t1550\t0.05\t0.05\n")
    assert pasted.lines == ("measure tray 1 1,tray 1 3 1550 0.04/0.06 0.05/0.05",)
    assert [bad.row for bad in pasted.bad] == [2, 3]
    assert "slot 9 of tray 1 is empty" in pasted.bad[0].why
    assert all(isinstance(bad, BadRow) and "\n" not in str(bad) for bad in pasted.bad)


def test_the_splice_log_can_be_read_again() -> None:
    context = large()
    lines = (
        "done tray 2 1-10 by AB on 2026-03-01; estimate tray 2 1-10 " + " ".join(["0.02"] * 9) + " 0.09",
        "again tray 2 10 0.01 by AB on 2026-03-01",
        "measure tray 2 1-10 1550 " + " ".join(f"0.0{n}/-0.01" for n in range(10)),
        "measure tray 2 1-3 1310 B-A 0.1 0.2 0.3 sealed",
    )
    _, recorded = done(context, *lines)
    (log,) = [one for one in all_tables(Continuity(recorded.plant), "wb-12") if one.name == "splice-log"]
    pasted = read_table(context, to_csv(log))
    assert pasted.bad == ()
    _, again = done(context, pasted.text)
    for key, splice in recorded.plant.splices.items():
        made = again.plant.splices[key]
        assert sorted(made.measured, key=str) == sorted(splice.measured, key=str)
        assert (made.done_by, made.done_on, made.status) == (splice.done_by, splice.done_on, splice.status)


def test_a_slot_without_a_tray_needs_one_that_is_clear() -> None:
    context = large()
    (used,) = {s.tray for s in context.plant.splices.values()}
    assert read_table(context, "1\t1550\t0.04\t0.06").lines == ("measure tray 2 1 1550 0.04/0.06",)
    _, spread = done(context, "put tray 2 1 on tray 1")
    (bad,) = read_table(spread, "1\t1550\t0.04\t0.06").bad
    assert bad.why == "tray at WB-12 is missing here. Nearest: 1, 2, 3"
    assert read_table(spread.at(spread.place, tray=used), "2\t1550\t0.04\t0.06").bad == ()


def test_a_table_of_joints_stays_one() -> None:
    assert read_table(small(), "TM-B1:17\tD-1:1\t1\t5").lines == ()
    schedule = "row,A cable,A number,B cable,B number,tray,slot,A-B 1550 nm\n1,TM-B1,17,D-1,1,1,5,\n"
    assert read_table(small(), schedule).bad[0].row == 2


@pytest.mark.parametrize("rows", [288])
def test_many_readings_are_few_lines(rows: int) -> None:
    text = "\n".join(f"TM-B1:{13 + n % 4}\t1550\t0.{n % 90 + 10}\t0.1" for n in range(rows))
    pasted = read_table(small(), text)
    assert pasted.bad == ()
    # The same joint again is another line, and its last reading counts.
    _, after = done(small(), pasted.text)
    last = {s.slot: s.measured for s in after.plant.splices.values()}
    assert last[4] == (Reading(1550, "A-B", float(f"0.{287 % 90 + 10}")), Reading(1550, "B-A", 0.1))


@given(st.text(st.sampled_from("0123456789.,;\t\n-/ABn: x"), max_size=60))
def test_no_table_raises(text: str) -> None:
    pasted = read_table(CONTEXT, text)
    assert len(pasted.lines) == len(pasted.rows)


CONTEXT = small()
