"""A range written out joint by joint, and joints drawn together again to the shortest line that makes them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.line.context import Context
from model.line.faults import LineError
from model.line.rows import JoinRow, draw_together, rows_of, rows_of_line, shortest, write_out
from tests.model.line.lines import done, drops, joint, large, read, small

SINGLE, RIBBON = joint("lt-96", "tray-24", 4), joint("rb-144", "tray-ribbon-12", 2)


@pytest.mark.parametrize(
    ("line", "short"),
    [
        ("join A:1,2,3,4 to B:1,2,3,4 on tray 1 from 1", "join A:1-4 to B:1-4 on tray 1"),
        ("join A:1-12 to B:13-24 on tray 1 from 5", "join A:T1 to B:T2 on tray 1 from 5"),
        ("join A:12-1 to B:1-12 on tray 1", "join A:12-1 to B:T1 on tray 1"),
        ("join A:1,3,5,7,9,11,13 to B:1-7 on tray 1", "join A:1-13 every 2 to B:1-7 on tray 1"),
        ("join A:1 to B:1 on tray 1; join A:2 to B:2 on tray 1", "join A:1-2 to B:1-2 on tray 1"),
        (
            "join A:1 to B:1 on tray 1; join A:2 to B:2 on tray 2",
            "join A:1 to B:1 on tray 1; join A:2 to B:2 on tray 2",
        ),
        ("join SP-1:out1-8 to B:1-8 on tray 1", "join SP-1:out1-8 to B:1-8 on tray 1"),
        ("join A:1-4 to B:1-4 on bay", "join A:1-4 to B:1-4 on bay"),
    ],
)
def test_drawn_together_a_line_is_the_shortest_that_makes_the_same_joints(line: str, short: str) -> None:
    assert draw_together(SINGLE, line) == short
    assert rows_of_line(SINGLE, short) == rows_of_line(SINGLE, line)


def test_a_range_is_written_out_joint_by_joint_with_its_slots() -> None:
    assert write_out(SINGLE, "join A:1-3 to B:3-1 on tray 2 from 7") == (
        "join A:1 to B:3 on tray 2 from 7; join A:2 to B:2 on tray 2 from 8; join A:3 to B:1 on tray 2 from 9"
    )


def test_one_tube_to_many_drops_is_written_out_and_drawn_together_again() -> None:
    context = drops(live=0)
    line = "join SB-72:T5 to D-01..D-12:1 on tray 2"
    out = write_out(context, line)
    assert out.startswith("join SB-72:49< to D-01:1 on tray 2 from 1; join SB-72:50< to D-02:1 on tray 2 from 2; ")
    assert out.count("join") == 12
    assert draw_together(context, out) == "join SB-72:49-60< to D-01..D-12:1 on tray 2"
    # D-03 left out is no series from D-01 to D-04: the line must not take it in.
    some = "join SB-72:1-3 to D-01:1,D-02:1,D-04:1 on tray 1"
    assert draw_together(context, some) == "join SB-72:1-3< to D-01:1,D-02:1,D-04:1 on tray 1"


def test_ribbons_stay_whole_and_single_joints_from_ribbons_stay_single() -> None:
    assert write_out(RIBBON, "join A:R1-R2 to B:R3-R4 on tray 1") == (
        "join A:R1 to B:R3 on tray 1 from 1; join A:R2 to B:R4 on tray 1 from 2"
    )
    assert draw_together(RIBBON, "join A:R1 to B:R1 on tray 1; join A:R2 to B:R2 on tray 1") == (
        "join A:R1-R2 to B:R1-R2 on tray 1"
    )
    assert draw_together(SINGLE, "join A:T1 to B:1-12 on tray 1") == "join A:T1 to B:T1 on tray 1"
    assert "R" not in draw_together(RIBBON, "join A:R1 to B:1-12 singly on tray 1").removeprefix("join")


def test_joints_that_are_there_already_give_the_line_that_made_them() -> None:
    context = small()
    rows = rows_of(context.plant, sorted(context.plant.splices.values(), key=lambda s: s.slot or 0), context.place)
    _, free = done(context, "part TM-B1:13-16")
    assert shortest(free, rows) == "join TM-B1:13-16< to D-1:all on tray 1"


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("cut LM-A1:37", "only joins can be written out"),
        ("WB-12", "only joins can be written out"),
        ("join LM-A1:99 to D-01:1", "LM-A1 has 72 fibres, not 99"),
    ],
)
def test_what_is_no_join_is_said(line: str, why: str) -> None:
    with pytest.raises(LineError, match=why):
        write_out(large(), line)


def test_a_line_too_long_when_written_out_is_refused_with_the_number() -> None:
    with pytest.raises(LineError, match=r"written out the line has \d{5} characters"):
        write_out(joint("rb-864", "tray-24", 1, slots=900), "join A:all to B:all singly on tray 1")


FIBRES = st.lists(st.integers(1, 96), min_size=1, max_size=20, unique=True)


@given(FIBRES, st.randoms(use_true_random=False), st.integers(1, 4), st.integers(1, 5))
@settings(max_examples=80, deadline=None)
def test_any_pairs_written_out_and_drawn_together_are_the_same_joints(
    left: list[int], dice: object, tray: int, first: int
) -> None:
    right = list(left)
    dice.shuffle(right)  # type: ignore[attr-defined]
    line = f"join A:{','.join(map(str, left))} to B:{','.join(map(str, right))} on tray {tray} from {first}"
    rows = rows_of_line(SINGLE, line)
    assert [(r.a[0].number, r.b[0].number, r.slot) for r in rows] == [
        (a, b, first + n) for n, (a, b) in enumerate(zip(left, right, strict=True))
    ]
    short = draw_together(SINGLE, write_out(SINGLE, line))
    assert rows_of_line(SINGLE, short) == rows
    assert len(short) <= len(line)


@given(st.lists(st.integers(1, 12), min_size=1, max_size=12, unique=True))
@settings(max_examples=60, deadline=None)
def test_any_drops_drawn_together_are_the_same_drops(order: list[int]) -> None:
    context: Context = drops(live=0)
    said = ",".join(f"D-{n:02d}:1" for n in order)
    line = f"join SB-72:1-{len(order)} to {said} on tray 1"
    short = draw_together(context, line)
    assert [(r.a, r.b) for r in read(context, short).rows] == [
        (f"SB-72:{k}", f"D-{n:02d}:1") for k, n in enumerate(order, start=1)
    ]
    assert len(short) <= len(line) + len("<")


def test_rows_know_their_numbers() -> None:
    assert [row.number for row in rows_of_line(SINGLE, "join A:1-3 to B:1-3 on tray 1")] == [1, 2, 3]
    assert isinstance(rows_of_line(SINGLE, "join A:1 to B:1 on tray 1")[0], JoinRow)
