"""Properties of every line: no text raises or changes the plant, and repaired texts and endings read."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from model.history import propose
from model.line.context import Context
from model.line.pasted import read_table
from model.line.readback import all_completions, read_line
from tests.model.line.lines import drops, joint, large, small

PLANTS = [small(), large(), drops(), joint("rb-144", "tray-ribbon-12", 2)]
BEFORE = [context.plant.copy() for context in PLANTS]

WORDS = st.sampled_from(
    [
        "open",
        "keep",
        "cut",
        "join",
        "part",
        "put",
        "trace",
        "who",
        "go",
        "down",
        "clear",
        "up",
        "read",
        "draft",
        "add",
        "add site",
        "add cable",
        "add drop",
        "add box",
        "add tray",
        "add panel",
        "name",
        "mark",
        "plug",
        "enter",
        "unplug",
        "serve",
        "as",
        "through",
        "in",
        "coil",
        "times",
        "port",
        "lt-48",
        "rd-4",
        "wall-box-small",
        "tray-24",
        "premises",
        "2148/2149.6",
        "65 m",
        "find",
        "to",
        "on",
        "from",
        "every",
        "skip",
        "both",
        "singly",
        "at",
        "outage",
        "tray",
        "bay",
        "finding",
        "TM-B1",
        "D-1",
        "LM-A1",
        "SB-72",
        "D-01..D-04",
        "D-01..D-12",
        "A",
        "B",
        "SP-1",
        "WB-07",
        "WB-12",
        "DP-3",
        "K",
        "service:C5",
        "C5",
        "1",
        "2",
        "13",
        "13-16",
        "16-13",
        "T1",
        "T2",
        "T1-T3",
        "T2.3-5",
        "R1",
        "R1-R2",
        "all",
        "in1",
        "out1-8",
        ":13",
        ":T2",
        ":1",
        ":all",
        ":",
        ",",
        ";",
        "<",
        ">",
        "@",
        "/",
        "..",
        '"',
        "TM-B1:13-16",
        "TM-B1:T3",
        "LM-A1:37-40",
        "LM-A1:T5",
        "SB-72:T5",
        "A:1-4",
        "B:1-4",
        "A:R1",
        "B:R1",
        "D-1:1-4",
        "D-01..D-04:1",
        "WB-12/2/1-4",
        "wb-07/port/1",
        "plan",
        "next",
        "drops",
        "trays",
        "stubs",
        "keep 1",
        "CHG-12",
        "3153",
        "99999999",
    ]
)
LINES = st.one_of(
    st.text(max_size=60), st.lists(WORDS, max_size=12).map(" ".join), st.lists(WORDS, max_size=6).map("".join)
)


@given(st.sampled_from(range(len(PLANTS))), LINES, st.booleans())
@settings(max_examples=400, deadline=None)
def test_no_text_raises_or_changes_the_plant(which: int, text: str, anywhere: bool) -> None:
    context: Context = PLANTS[which].at(None) if anywhere else PLANTS[which]
    reading = read_line(context, text)
    assert context.plant == BEFORE[which]
    assert reading.ok == (reading.error is None)
    if reading.error is not None:
        assert 1 <= reading.error.column <= len(text) + 1
        assert reading.error.column - 1 + reading.error.length <= len(text)
        assert "\n" not in str(reading.error)
    elif reading.edits:
        assert propose(context.plant, *reading.edits, name=reading.name) == reading.changes


@given(st.sampled_from(range(len(PLANTS))), LINES)
@settings(max_examples=300, deadline=None)
def test_repaired_texts_read(which: int, text: str) -> None:
    context = PLANTS[which]
    reading = read_line(context, text, complete=False)
    if reading.error is not None and reading.error.repaired:
        assert read_line(context, reading.error.repaired, complete=False).ok


@given(st.sampled_from(range(len(PLANTS))), LINES)
@settings(max_examples=150, deadline=None)
def test_endings_read_or_lack_only_what_follows(which: int, text: str) -> None:
    context = PLANTS[which]
    for item in all_completions(context, text, 6):
        again = read_line(context, item.text, complete=False)
        assert again.ok or (again.error is not None and again.error.incomplete)


@given(st.sampled_from(range(len(PLANTS))), st.text(alphabet=st.sampled_from("\t\n,;:-1234TADB\"'=<>@/ "), max_size=80))
@settings(max_examples=150, deadline=None)
def test_no_pasted_text_raises(which: int, text: str) -> None:
    pasted = read_table(PLANTS[which], text)
    assert all(read_line(PLANTS[which], line, complete=False).ok for line in pasted.lines)
    assert PLANTS[which].plant == BEFORE[which]
