# mypy: disable-error-code="arg-type, union-attr"
"""Lines that cannot be done: the column of the piece at fault, the nearest that works, a repaired text that reads."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from model.graph import Continuity
from model.line.context import Context
from model.line.entry import Entry
from model.line.readback import Fault, read_line
from model.plant import Plant
from tests.model.line.lines import done, drops, joint, large, small


def fault(context: Context, text: str) -> Fault:
    reading = read_line(context, text)
    assert not reading.ok
    assert reading.error is not None
    assert not reading.edits
    assert Entry().enter(reading) == "refuse"
    return reading.error


def test_a_range_the_cable_lacks_is_marked_at_its_column_with_the_nearest() -> None:
    context = small()
    before = context.plant.copy()
    error = fault(context, "join TM-B1:13-16 to D-1:5-8")
    assert (error.column, error.length) == (25, 3)
    assert str(error) == "column 25: D-1 has 4 fibres, not 5-8. Nearest: D-1:1-4"
    assert error.nearest == "D-1:1-4"
    assert context.plant == before


def test_tab_takes_the_nearest_and_it_reads() -> None:
    _, free = done(small(), "part TM-B1:13-16")
    error = fault(free, "join TM-B1:13-16 to D-1:5-8")
    assert error.repaired == "join TM-B1:13-16 to D-1:1-4"
    # The joints that are there are named to be taken apart first, each once.
    error = fault(small(), "join TM-B1:13-16 to D-1:1-4")
    assert error.repaired == "part TM-B1:13-16<; join TM-B1:13-16 to D-1:1-4"


@pytest.mark.parametrize(
    ("text", "column", "length", "message"),
    [
        ("cut SB-73:1", 5, 5, "no cable is called 'SB-73'"),
        ("cut SB-72:73", 11, 2, "SB-72 has 72 fibres, not 73"),
        ("cut SB-72:T7", 11, 2, "SB-72 has 6 tubes, not T7"),
        ("cut SB-72:T2.13", 11, 5, "tube 2 of SB-72 has positions 1-12, not 13"),
        ("cut SB-72:R1", 11, 2, "SB-72 has no ribbons"),
        ("cut SB-72:1, 80", 14, 2, "SB-72 has 72 fibres, not 80"),
        ("cut DP-3:1", 5, 4, "DP-3 is a site"),
        ("cut D-01:1", 10, 1, "D-01 ends at DP-3: there is nothing to cut"),
        ("open SB-72:13", 12, 2, "open takes whole tubes, not fibre 13"),
        ("cut SB-72:13 onto tray 1", 14, 4, "'onto' is not understood after cut"),
        ("cut SB-72:13 on tray 9", 22, 1, "no tray at DP-3 is called '9'"),
        ("cut SB-72:13 both both", 19, 4, "both is said twice"),
        ("join SB-72:1-3 to D-01..D-04:1 on tray 1", 19, 12, "3 fibres on the left, 4 on the right"),
        ("join SB-72:1 to D-01:1 on tray 1 from 25", 39, 2, "tray 1 has slots 1-24, not 25"),
        ("join SB-72:1-12 to D-01..D-12:1 on tray 1 from 20", 48, 2, "tray 1 has 5 free slots from 20, 12 are needed"),
        ("join SB-72:1,1 to D-01:1,D-02:1 on tray 1", 14, 1, "SB-72 fibre 1 is said twice"),
        ("join SB-72:1 to D-01:1< on tray 1", 22, 1, "D-01 ends at DP-3: it has no exchange side there"),
        ("part SB-72:1", 12, 1, "SB-72 fibre 1 is not joined here"),
        ("put tray 1 3 on tray 2", 12, 1, "slot 3 of tray 1 is empty"),
        ("go K9", 4, 2, "no site is called 'K9'"),
        ("cut SB-72:1; frob SB-72:2", 14, 4, "'frob' is no verb"),
        ('cut "SB-72:1', 5, 8, "the quotation mark is not closed"),
        ("join SB-72:1-4 every 0 to D-01:1", 16, 7, "every 0 takes nothing"),
        ("read SB-72:1 3,359,000", 14, 9, "'3,359,000' is no distance"),
    ],
)
def test_the_piece_at_fault_is_marked(text: str, column: int, length: int, message: str) -> None:
    error = fault(drops(), text)
    assert (error.column, error.length, error.message) == (column, length, message)


@pytest.mark.parametrize(
    ("text", "repaired"),
    [
        ("cut SB-73:1 on tray 1", "cut SB-72:1 on tray 1"),
        ("cut SB-72:70-75 on tray 1", "cut SB-72:67-72 on tray 1"),
        ("cut SB-72:T9 on tray 1", "cut SB-72:T6 on tray 1"),
        ("open SB-72:13", "open SB-72:T2"),
        ("join SB-72:1-3 to D-01..D-04:1 on tray 1", "join SB-72:1-3 to D-01:1,D-02:1,D-03:1 on tray 1"),
        ("join SB-72:1-13 to D-01..D-12:1 on tray 1", "join SB-72:1-12 to D-01..D-12:1 on tray 1"),
        ("join SB-72:1 to D-01:1", "join SB-72:1 to D-01:1 on tray 1"),
        ("join SB-72:1-12 to D-01..D-12:1 on tray 1 from 20", "join SB-72:1-12 to D-01..D-12:1 on tray 1 from 1"),
        ("cut SB-72:13 on tray 9", "cut SB-72:13 on tray 1"),
        # The unknown name is mended first; then the longer side is cut to the shorter one.
        ("join SB-72:1 to D-01..D-13:1 on tray 1", "join SB-72:1 to D-01:1 on tray 1"),
        ('cut "SB-72', ""),
    ],
)
def test_the_repaired_text_is_what_tab_takes(text: str, repaired: str) -> None:
    context = drops()
    error = fault(context, text)
    assert error.repaired == repaired
    if repaired:
        assert read_line(context, repaired).ok


def test_a_full_tray_names_another_with_room() -> None:
    context = large()  # tray 2 holds ten joints of 24
    error = fault(context, "join LM-A1:37-52 to LM-A1:53-68 on tray 2")
    assert error.message == "tray 2 has 14 free slots, 16 are needed"
    assert error.repaired == "join LM-A1:37-52 to LM-A1:53-68 on tray 1"


def test_a_line_over_8_kb_or_4096_joints_is_refused_with_the_number() -> None:
    context = joint("rb-864", "tray-24", 1, slots=5000)
    assert "8193 characters" in fault(context, "cut A:1" + " " * 8186).message
    assert read_line(context, "trace A:1" + " " * 8000).ok
    many = "join A:" + ",".join(["all"] * 5) + " to B:" + ",".join(["all"] * 5)
    assert "4096" in fault(context, many).message


def test_what_is_not_finished_is_incomplete_and_not_wrong() -> None:
    context = drops()
    for text in ("cut", "cut ", "cut SB", "cut SB-72", "cut SB-72:", "join SB-72:1", "join SB-72:1 to", "go tray"):
        error = fault(context, text)
        assert error.incomplete, text
    for text in ("cut SB-73:1", "cut SB-72:99", "cut SB-72:1 sideways now"):
        assert not fault(context, text).incomplete, text


def test_names_come_before_ranges() -> None:
    # A drop whose name looks like a range is a name wherever a name may stand.
    base = drops(live=0).plant
    cables = [replace(c, name="13-16") if c.id == "d01" else c for c in base.cables.values()]
    others = [e for e in base.entities() if getattr(e, "id", "") not in base.cables]
    plant = Plant([*others, *cables])
    context = Context(plant, Continuity(plant), "dp")
    reading = read_line(context, "join SB-72:13 to 13-16:1 on tray 1")
    assert reading.ok
    assert [(r.a, r.b) for r in reading.rows] == [("SB-72:13", "13-16:1")]
    several = read_line(context, "join SB-72:13-16 to 13-16:1,D-02..D-04:1 on tray 1")
    assert [(r.a, r.b) for r in several.rows] == [
        ("SB-72:13", "13-16:1"),
        *((f"SB-72:{12 + n}", f"D-0{n}:1") for n in (2, 3, 4)),
    ]


@pytest.mark.parametrize(
    ("text", "verb"), [("joni TM-B1:17 to D-1:1", "join"), ("cutt TM-B1:17", "cut"), ("OPNE TM-B1:T1", "open")]
)
def test_a_slip_in_the_verb_names_the_verb_and_tab_mends_it(text: str, verb: str) -> None:
    error = fault(small(), text)
    said, _, rest = text.partition(" ")
    assert (error.column, error.length, error.nearest) == (1, len(said), verb)
    assert str(error) == f"column 1: {said!r} is no verb and no name. Nearest: {verb}"
    mended = fault(small(), text).repaired or ""
    assert mended.endswith(f"{verb} {rest}")


def test_a_find_of_one_word_is_no_slip_of_a_verb() -> None:
    assert str(fault(small(), "cutt")).startswith("column 1: nothing is called 'cutt'")


@pytest.mark.parametrize(
    ("text", "write"),
    [("join TM-B1:17 to ", "Write CABLE:13-16"), ("put TM-B1:17-24 on tray ", "Write its name, like tray 1")],
)
def test_a_name_that_is_missing_is_shown_as_it_is_written(text: str, write: str) -> None:
    error = fault(small(), text)
    assert error.incomplete
    assert str(error).endswith(write)


@pytest.mark.parametrize("dash", "\u2010\u2011\u2012\u2013\u2212")
@pytest.mark.parametrize(
    "text",
    ["cut TM-B1:17-18", "put TM-B1:17 - 24 on tray 1", "cut TM-B1:T2.5-8", "put tray 1 1-4 on tray 1 from 13"],
)
def test_a_range_copied_from_a_list_with_its_printed_dash_is_the_same_range(text: str, dash: str) -> None:
    # Names keep their hyphens: only what stands between two numbers is a dash here.
    copied = re.sub(r"(?<=\d)( ?)-( ?)(?=\d)", rf"\1{dash}\2", text)
    assert copied != text
    plain, printed = read_line(small(), text), read_line(small(), copied)
    assert plain.ok
    assert printed.edits == plain.edits
