"""Completions and pasted tables: only what reads is offered, in a fixed order; bad rows are named by number."""

from __future__ import annotations

import pytest

from model.line.pasted import read_table
from model.line.readback import all_completions, read_line
from tests.model.line.lines import done, drops, joint, large, read, small

HALF = (
    "",
    "c",
    "join ",
    "join SB-72:",
    "join SB-72:1 ",
    "join SB-72:1 to ",
    "join SB-72:1 to D",
    "join SB-72:1-12 to D-01..",
    "join SB-72:1-12 to D-01..D-12:",
    "join SB-72:1 to D-01:1 on ",
    "join SB-72:1 to D-01:1 on tray 1 from ",
    "keep SB-72:T",
    "go ",
    "who SB-72",
    "put ",
    "cut SB-72:1 at ",
    "cut SB-72:1; open SB-72:",
    "down ",
)


@pytest.mark.parametrize("text", HALF)
def test_every_ending_offered_reads_or_only_lacks_what_follows(text: str) -> None:
    context = drops()
    offered = all_completions(context, text)
    assert offered
    for item in offered:
        again = read_line(context, item.text, complete=False)
        assert item.text != text
        assert again.ok or (again.error is not None and again.error.incomplete), item


@pytest.mark.parametrize("text", HALF)
def test_the_first_three_are_the_start_of_all(text: str) -> None:
    context = drops()
    assert read_line(context, text).completions == all_completions(context, text)[:3]


def test_endings_come_in_grammar_order() -> None:
    context = drops()
    assert next(c.ending for c in read_line(context, "join SB-72:1-12 to D-01..").completions) == "D-01..D-12"
    assert next(c.ending for c in read_line(context, "join SB-72:1").completions) == "to"
    assert [c.ending for c in read_line(context, "").completions] == ["open", "keep", "cut"]


def test_only_cables_that_pass_here_are_offered_to_be_cut() -> None:
    assert [c.ending for c in all_completions(drops(), "cut ")] == ["SB-72:"]


def test_a_full_tray_is_offered_last() -> None:
    context = joint("lt-96", "tray-24", 2)
    _, full = done(context, "join A:1-24 to B:1-24 on tray 1")
    offered = [c.ending for c in read_line(full, "join A:25 to B:25 on ").completions]
    assert offered == ["tray 2"]
    assert [c.ending for c in read_line(context, "join A:25 to B:25 on ").completions] == ["tray 1", "tray 2"]


def test_the_first_free_slot_is_offered_first() -> None:
    assert next(c.ending for c in read_line(small(), "put tray 1 1-4 on tray 1 from ").completions) == "5"


def test_a_pasted_table_becomes_lines_and_bad_rows_are_numbered() -> None:
    context = drops(live=0)
    table = "From\tTo\tTray\tSlot\n" + "".join(f"SB-72:{n}\tD-{n:02d}:1\t2\t{n}\n" for n in range(1, 5))
    table += "SB-72:99\tD-05:1\t2\t5\nSB-72:6\tD-06:1\ttray 1\t\n\nSB-72:7\n"
    pasted = read_table(context, table)
    assert pasted.lines == (
        "join SB-72:1-4 to D-01:1,D-02:1,D-03:1,D-04:1 on tray 2 from 1",
        "join SB-72:6 to D-06:1 on tray 1",
    )
    assert pasted.rows == ((2, 3, 4, 5), (7,))
    assert [bad.row for bad in pasted.bad] == [1, 6, 9]
    assert "SB-72 has 72 fibres, not 99" in pasted.bad[1].why


def test_lines_of_a_table_make_the_joints_of_its_rows() -> None:
    context = drops(live=0)
    rows = [(f"SB-72:{12 - n}", f"D-{n + 1:02d}:1") for n in range(12)]
    pasted = read_table(context, "\n".join(f"{a},{b},1" for a, b in rows))
    assert not pasted.bad
    assert [(r.a, r.b) for line in pasted.lines for r in read(context, line).rows] == rows


def test_a_table_that_names_an_end_twice_lists_the_later_row() -> None:
    pasted = read_table(large(), "LM-A1:37\tLM-A1:49\t1\nLM-A1:37\tLM-A1:50\t1")
    assert [bad.row for bad in pasted.bad] == [2]
