"""Tables from spreadsheets: whatever parts the cells, with headings or without; bad rows are named by number."""

from __future__ import annotations

import csv
import io
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.line.context import Context
from model.line.pasted import as_lines, is_table, read_rows, read_table
from model.line.readback import read_line
from model.line.sheet import cells_of
from tests.model.line.lines import done, drops, joint, large, read


def pairs(context: Context, text: str) -> list[tuple[str, str]]:
    """The joints that a table makes, in its order; no row may be bad."""
    pasted = read_table(context, text)
    assert not pasted.bad
    return [(row.a, row.b) for row in read(context, pasted.text).rows]


def test_a_pasted_table_becomes_lines_and_bad_rows_are_numbered() -> None:
    context = drops(live=0)
    table = "From\tTo\tTray\tSlot\n" + "".join(f"SB-72:{n}\tD-{n:02d}:1\t2\t{n}\n" for n in range(1, 5))
    table += "SB-72:99\tD-05:1\t2\t5\nSB-72:6\tD-06:1\ttray 1\t\n\nSB-72:7\n"
    pasted = read_table(context, table)
    assert pasted.lines == (
        "join SB-72:1-4 to D-01..D-04:1 on tray 2 from 1",
        "join SB-72:6 to D-06:1 on tray 1",
    )
    assert pasted.rows == ((2, 3, 4, 5), (7,))
    assert [bad.row for bad in pasted.bad] == [6, 9]
    assert str(pasted.bad[0]).startswith("row 6: SB-72 has 72 fibres, not 99")


def test_lines_of_a_table_make_the_joints_of_its_rows() -> None:
    context = drops(live=0)
    rows = [(f"SB-72:{12 - n}", f"D-{n + 1:02d}:1") for n in range(12)]
    assert pairs(context, "\n".join(f"{a},{b},1" for a, b in rows)) == rows


def test_a_table_that_names_an_end_twice_lists_the_later_row() -> None:
    pasted = read_table(large(), "LM-A1:37\tLM-A1:49\t1\nLM-A1:37\tLM-A1:50\t1")
    assert [bad.row for bad in pasted.bad] == [2]


WANTED = [("SB-72:1", "D-01:1"), ("SB-72:2", "D-02:1"), ("SB-72:15", "D-03:1")]


@pytest.mark.parametrize(
    "text",
    [
        "SB-72:1\tD-01:1\t1\nSB-72:2\tD-02:1\t1\nSB-72:15\tD-03:1\t1",
        "SB-72:1;D-01:1;1\r\nSB-72:2;D-02:1;1\r\nSB-72:15;D-03:1;1\r\n",
        '"SB-72:1","D-01:1","1"\n"SB-72:2","D-02:1","1"\n"SB-72:15","D-03:1","1"\n',
        "\ufeffFrom,To,Tray,Slot,\nSB-72:1,D-01:1,1,,\nSB-72:2,D-02:1,1,,\nSB-72:T2.3,D-03:1,1,,\n,,,,\n,,,,\n",
        "SB-72,1,D-01,1,1\nSB-72,2,D-02,1,1\nSB-72,15,D-03,1,1",
        "No,Cable A,Fibre A,Cable B,Fibre B,Tray\n1,SB-72,1,D-01,1,1\n2,SB-72,2,D-02,1,1\n3,SB-72,15,D-03,1,1",
        "Cable;Tube;Fibre;Cable;Fibre;Tray\nSB-72;1;1;D-01;1;1\nSB-72;1;2;D-02;1;1\nSB-72;2;3;D-03;1;1",
        "tray,to,from\n1,D-01:1,SB-72:1\n1,D-02:1,SB-72:2\n1,D-03:1,SB-72:15",
    ],
)
def test_tabs_semicolons_quotes_headings_and_running_numbers_say_the_same(text: str) -> None:
    assert pairs(drops(live=0), text) == WANTED


def test_quoted_cells_may_hold_the_mark_that_parts_them() -> None:
    context = joint("lt-96", "tray-24", 1)
    assert pairs(context, '"A:1,3","B:2,4",1\n') == [("A:1", "B:2"), ("A:3", "B:4")]


def test_a_slot_that_is_taken_is_a_bad_row() -> None:
    context = drops(live=0)
    pasted = read_table(context, "SB-72:1,D-01:1,1,5\nSB-72:2,D-02:1,1,5\nSB-72:3,D-03:1,9,\nSB-72:4,D-04:1,1,x")
    assert [str(bad) for bad in pasted.bad] == [
        "row 2: slot 5 of tray 1 is not free",
        "row 3: no tray at DP-3 is called '9'. Nearest: 1, 2",
        "row 4: 'x' is no slot",
    ]
    assert pasted.lines == ("join SB-72:1 to D-01:1 on tray 1 from 5",)


def test_a_row_of_another_site_says_so_and_an_unknown_site_is_bad() -> None:
    context = drops(live=0)
    table = "From,To,Tray,Site\nSB-72:1,D-01:1,1,DP-3\nSB-72:2,D-02:1,1,Nowhere"
    assert read_table(context, table).lines == ("join SB-72:1 to D-01:1 on tray 1",)
    assert read_table(context.at(None), table).lines == ("join SB-72:1 to D-01:1 on tray 1 at DP-3",)
    assert str(read_table(context, table).bad[0]) == "row 3: no site is called 'Nowhere'"


def test_rows_are_numbered_as_the_spreadsheet_shows_them() -> None:
    # A blank row and a cell with a line break in it count as one row each.
    assert [n for n, _ in cells_of('From,To\n\n"SB-72:1\n(first)",D-01:1\nSB-72:2,D-02:1\n')] == [1, 3, 4]


def test_too_large_a_table_is_refused_with_the_number() -> None:
    context = drops(live=0)
    assert str(read_table(context, "x" * 600_000).bad[0]) == "the table is 600000 characters long, at most 524288"
    many = [(n, ("SB-72:1", "D-01:1")) for n in range(1, 5001)]
    assert str(read_rows(context, many).bad[0]) == "the table has 5000 rows, at most 4096"


def test_864_pairs_come_to_one_short_line() -> None:
    context = joint("rb-864", "tray-24", 1, slots=900)
    pasted = read_table(context, "\n".join(f"A:{n}\tB:{n}\t1" for n in range(1, 865)))
    assert pasted.lines == ("join A:all to B:all on tray 1",)
    assert len(read(context, pasted.text).rows) == 864


def test_typed_lines_pasted_together_are_no_table_but_one_line() -> None:
    text = "join SB-72:1 to D-01:1 on tray 1\njoin SB-72:2 to D-02:1 on tray 1;\n"
    assert not is_table(text)
    assert as_lines(text) == "join SB-72:1 to D-01:1 on tray 1; join SB-72:2 to D-02:1 on tray 1"
    assert read_line(drops(live=0), as_lines(text)).ok
    assert is_table("SB-72:1\tD-01:1")
    assert is_table("SB-72:1,D-01:1\nSB-72:2,D-02:1")
    assert not is_table("join SB-72:1 to D-01:1")
    assert not is_table("")


FORMS = st.sampled_from(["refs", "columns", "told"])


@given(
    st.lists(st.integers(1, 96), min_size=2, max_size=30, unique=True),
    st.randoms(use_true_random=False),
    st.sampled_from("\t;,"),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    FORMS,
)
@settings(max_examples=80, deadline=None)
def test_any_pairs_come_through_any_spreadsheet(
    left: list[int], dice: Random, mark: str, end: str, quotes: bool, form: str
) -> None:
    right = list(left)
    dice.shuffle(right)
    text = io.StringIO()
    writer = csv.writer(
        text, delimiter=mark, lineterminator=end, quoting=csv.QUOTE_ALL if quotes else csv.QUOTE_MINIMAL
    )
    if form == "told":
        writer.writerow(["Tray", "To fibre", "To cable", "Remark", "From cable", "From fibre", ""])
    for n, (a, b) in enumerate(zip(left, right, strict=True)):
        tray = n // 24 + 1
        if form == "refs":
            writer.writerow([f"A:{a}", f"B:{b}", tray])
        elif form == "columns":
            writer.writerow(["A", a, "B", b, tray, ""])
        else:
            writer.writerow([tray, b, "B", "checked, twice", "A", a, ""])
    context = joint("lt-96", "tray-24", 4)
    found = [(f"A:{a}", f"B:{b}") for a, b in zip(left, right, strict=True)]
    assert pairs(context, "\ufeff" + text.getvalue() + end) == found


def test_ends_that_are_used_are_named_with_where() -> None:
    _, context = done(drops(live=0), "join SB-72:1 to D-01:1 on tray 1")
    pasted = read_table(context, "SB-72:1,D-02:1,1\nSB-72:2,D-03:1,1\nSB-72:3,D-03:1,1\nSB-72:4,D-01:1,1")
    assert [str(bad) for bad in pasted.bad] == [
        "row 1: SB-72:1 is joined already",
        "row 3: D-03:1 is in row 2 already",
        "row 4: D-01:1 is joined already",
    ]
    # The field side of a fibre that is joined on the exchange side is another end.
    assert not read_table(context, "SB-72:1>,D-02:1,1").bad


def test_a_table_that_is_mostly_wrong_is_read_whole() -> None:
    context = joint("rb-864", "tray-24", 1, slots=900)
    pasted = read_table(context, "\n".join(f"A:{n % 864 + 1}\tB:{n % 864 + 1}\t1" for n in range(4096)))
    assert pasted.lines == ("join A:all to B:all on tray 1",)
    assert [bad.row for bad in pasted.bad] == list(range(865, 4097))
