"""``next`` carries the last join on with the next equal block, on both sides alike, or says what there is not."""

from __future__ import annotations

import pytest

from model.history import History
from model.line.context import Context
from model.line.readback import read_line
from tests.model.line.lines import drops, joint, read, small

SINGLE = joint("lt-96", "tray-24", 4)


def made(context: Context, text: str) -> list[tuple[str, str, str, int | None]]:
    """Every joint of a line: left, right, tray, slot."""
    return [(row.a, row.b, row.tray, row.slot) for row in read(context, text).rows]


def block(left: str, right: str, a: range, b: range, tray: str, first: int) -> list[tuple[str, str, str, int]]:
    return [(f"{left}:{x}", f"{right}:{y}", tray, first + n) for n, (x, y) in enumerate(zip(a, b, strict=True))]


@pytest.mark.parametrize(
    ("line", "second"),
    [
        ("join A:1-12 to B:13-24 on tray 1; next", block("A", "B", range(13, 25), range(25, 37), "1", 13)),
        ("join A:T1 to B:T3 on tray 1; next on tray 2", block("A", "B", range(13, 25), range(37, 49), "2", 1)),
        ("join A:1-4 to B:1-4 on tray 1; next 2", block("A", "B", range(5, 7), range(5, 7), "1", 5)),
        ("join A:16-13 to B:1-4 on tray 1; next", block("A", "B", range(12, 8, -1), range(5, 9), "1", 5)),
        ("join A:1-7 every 2 to B:1-4 on tray 1; next", block("A", "B", range(9, 16, 2), range(5, 9), "1", 5)),
        ("join A:T1 to B:T1 on tray 1; next 3", block("A", "B", range(13, 16), range(13, 16), "1", 13)),
        ("join A:1-4 to B:1-4 on tray 1; next from 9", block("A", "B", range(5, 9), range(5, 9), "1", 9)),
    ],
)
def test_the_next_equal_block_is_joined(line: str, second: list[tuple[str, str, str, int]]) -> None:
    first = len(made(SINGLE, line.partition(";")[0]))
    assert made(SINGLE, line)[first:] == second


def test_legs_and_drops_are_carried_on_by_their_numbers() -> None:
    assert made(SINGLE, "join SP-1:out1-4 to B:1-4 on tray 1; next")[4:] == [
        (f"SP-1 out {n}", f"B:{n}", "1", n) for n in range(5, 9)
    ]
    context = drops(live=0)
    line = "join SB-72:1-6 to D-01..D-06:1 on tray 1; next"
    assert made(context, line)[6:] == [(f"SB-72:{n}", f"D-{n:02d}:1", "1", n) for n in range(7, 13)]
    assert read(context, line).name == "join SB-72 1-6 to D-01..D-06 1; join SB-72 7-12 to D-07..D-12 1"


def test_ribbons_stay_ribbons() -> None:
    context = joint("rb-144", "tray-ribbon-12", 2)
    rows = made(context, "join A:R1-R2 to B:R1-R2 on tray 1; next")
    assert [(a, slot) for a, _, _, slot in rows[24:]] == [(f"A:{n}", 3 + (n > 36)) for n in range(25, 49)]
    single = made(context.at(context.place), "join A:R1 to B:R1 singly on tray 1; next on tray 2")
    assert len({slot for _, _, _, slot in single}) == 12


def test_a_line_after_another_carries_on_with_it_and_only_while_its_joints_are_there() -> None:
    base = joint("lt-96", "tray-24", 4)
    first = read(base, "join A:1-24 to B:1-24 on tray 1")
    plant = base.plant.copy()
    after = Context(plant, base.continuity, base.place, last=first.joined)
    gone = read_line(after, "next on tray 2")
    assert gone.error is not None
    assert str(gone.error) == "column 1: A fibres 1-24 are not joined any more. Say join and both ends"
    for edit in first.edits:
        History(plant).do(edit)
    now = Context(plant, base.continuity, base.place, last=first.joined)
    assert made(now, "next on tray 2") == block("A", "B", range(25, 49), range(25, 49), "2", 1)
    full = read_line(now, "next").error
    assert full is not None
    assert full.message == "tray 1 has 0 free slots, 24 are needed"
    assert full.repaired == "next on tray 2"


@pytest.mark.parametrize(
    ("context", "line", "column", "message", "repaired"),
    [
        (SINGLE, "next", 1, "nothing was joined before", ""),
        (SINGLE, "join A:93-96 to B:1-4 on tray 1; next", 34, "nothing follows A fibres 93-96", ""),
        (SINGLE, "join A:80-90 to B:1-11 on tray 1; next", 35, "6 follow A fibres 80-90, not 11", "next 6"),
        (SINGLE, "join A:1-4 to B:1-4 on tray 1; next 99", 37, "92 follow A fibres 1-4, not 99", ""),
        (SINGLE, "join A:1,2,5 to B:1-3 on tray 1; next", 34, "the last join went by no even steps", ""),
        (
            drops(live=0),
            "join SB-72:1-8 to D-01..D-08:1 on tray 1; next",
            43,
            "4 follow fibre 1 of 8 drops, not 8",
            "next 4",
        ),
    ],
)
def test_what_does_not_follow_is_said_with_what_would(
    context: Context, line: str, column: int, message: str, repaired: str
) -> None:
    reading = read_line(context, line)
    assert reading.error is not None
    assert (reading.error.column, reading.error.message) == (column, message)
    assert reading.error.repaired == (f"{line.rpartition(';')[0]}; {repaired}" if repaired else "")
    assert not reading.edits


def test_a_live_service_is_held_for_next_as_for_join() -> None:
    reading = read(drops(live=13), "join SB-72:T1 to D-01..D-12:1 on tray 1")
    assert not reading.holds
    context = joint("lt-96", "tray-24", 4)
    assert not read(context, "join A:1-12 to B:1-12 on tray 1; next").holds
    live = read_line(drops(live=5), "join SB-72:1-4 to D-01..D-04:1 on tray 1; next")
    assert [held.name for held in live.holds] == ["C5 Cope Farm"]


def test_endings_of_next_are_its_tails() -> None:
    context = joint("lt-96", "tray-24", 2)
    first = "join A:1-4 to B:1-4 on tray 1; "
    assert [c.text for c in read_line(context, f"{first}nex").completions] == [f"{first}next "]
    assert read_line(small(), "nex").completions == ()  # nothing was joined before
    offered = read_line(context, "join A:1-4 to B:1-4 on tray 1; next ").completions
    assert [c.ending for c in offered][:2] == ["on tray 1", "on tray 2"]
