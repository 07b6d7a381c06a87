"""Columns and folds of the command line's text, for words of every width and direction."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import Reading
from model.graph import Continuity
from model.ids import SiteId
from model.nodes import node_of
from model.optics.budget import budgets
from model.plant import Plant
from model.rules.registry import Finding, Severity
from model.trace import trace
from render.answers import budget_lines, check_lines, clean, finite, fold, places, table, trace_lines
from render.hops import describe
from tests.render.sheets.path_plants import chain, split, uncut

WIDE = "塔橋"


def finding(severity: Severity, rule: str, message: str, accepted: bool = False) -> Finding:
    return Finding(rule, severity, (), message, None, None, "", "", accepted, SiteId("s"))


@pytest.mark.parametrize(
    ("text", "count"), [("abc", 3), ("é", 1), ("e\u0301", 1), (WIDE, 4), ("\U0001f3e0", 2), ("a\u200db", 2), ("", 0)]
)
def test_places_are_those_of_a_terminal(text: str, count: int) -> None:
    # East Asian Width, Unicode annex 11: wide letters take two columns
    assert places(text) == count


@given(st.text())
def test_nothing_that_steers_a_terminal_is_left(text: str) -> None:
    said = clean(text)
    assert said == clean(said)
    assert not any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or c in "\u2028\u2029\u202e\u2066" for c in said)


def test_a_long_finding_is_folded_on_a_terminal_and_whole_in_a_pipe() -> None:
    long = finding("error", "bend.tube", " ".join(["word"] * 60))
    (piped, _) = check_lines([long])
    assert len(piped) > 300
    for width in (50, 80, 200):
        *lines, _ = check_lines([long], width)
        assert all(len(line) <= width for line in lines)
        assert " ".join(" ".join(lines).split()) == " ".join(piped.split())
        assert {line[: len("error    bend.tube  ")].strip() for line in lines[1:]} == {""}


def test_accepted_findings_are_said_to_be_and_not_counted() -> None:
    lines = check_lines([finding("error", "a.b", "one", True), finding("note", "c.d", "two")])
    assert lines == ["error    a.b  one (accepted)", "note     c.d  two", "0 errors, 0 warnings, 1 note, 1 accepted"]
    assert check_lines([]) == ["0 errors, 0 warnings, 0 notes"]


def test_columns_stand_under_their_heads_and_empty_ones_go() -> None:
    rows = [["name", "none", "dB", ""], [WIDE, "", "1.5", "said"], ["a", "", "12.25", ""]]
    assert table(rows, "llrl") == ["name     dB", "塔橋    1.5  said", "a     12.25"]


@given(
    st.lists(st.text(st.characters(codec="ascii", categories=["L", "N", "Zs"]), min_size=1), min_size=1),
    st.integers(40, 120),
)
def test_numbers_of_a_table_end_in_one_column_however_narrow(names: list[str], width: int) -> None:
    rows = [["", "dB"], *([f"x{name}", "1.234"] for name in names)]
    lines = [line for line in table(rows, "lr", width) if line.endswith("1.234")]
    assert len(lines) == len(names)
    assert len({places(line) for line in lines}) == 1


def test_a_word_longer_than_the_terminal_is_broken() -> None:
    assert max(map(len, fold("x" * 500, 30))) == 30


@pytest.mark.parametrize("plant", [chain(3), uncut(5), split()], ids=["chain", "uncut", "split"])
def test_a_path_is_told_end_to_end_with_its_sum(plant: Plant) -> None:
    known = Continuity(plant)
    path = describe(known, trace(known, node_of(known, "service:S-1")))
    lines = trace_lines(path)
    assert lines[2].startswith("Field end     Home")
    assert any(line.startswith("Exchange end  X") for line in lines)
    (total,) = [line for line in lines if line.startswith("Sum")]
    rows = [line.split() for line in lines if line.startswith("  ") and "uncut through" not in line and line.strip()]
    column = [float(row[-1]) for row in rows if row[-1].replace(".", "").isdigit() and "." in row[-1]]
    assert math.isclose(sum(column), float(total.split()[-1]), abs_tol=0.0006 * len(column))
    assert sum("uncut through" in line for line in lines) == sum(len(hop.passes) for hop in path.hops)


def test_a_measured_splice_says_at_what_and_what_was_planned() -> None:
    plant = chain(1)
    joint = next(iter(plant.splices.values()))
    read = Reading(1550, "A-B", 0.04), Reading(1550, "B-A", 0.06), Reading(1310, "A-B", -0.2)
    plant = Plant([replace(e, measured=read, status="done") if e is joint else e for e in plant.entities()])
    known = Continuity(plant)
    (line,) = [
        one for one in trace_lines(describe(known, trace(known, node_of(known, "service:S-1")))) if "measured" in one
    ]
    assert f"(measured at 1550, planned {joint.planned_db:.2f})" in line
    (found,) = budgets(known)
    said = budget_lines([(found, {"service": "S-1", "port": "X", "class": ""})])
    assert "planned 1550" in said[0]
    assert "planned 1310" not in said[0]


def test_long_names_of_services_keep_the_numbers_in_line() -> None:
    plant = split()
    known = Continuity(plant)
    (one,) = budgets(known)
    rows = [{"service": name, "port": "X port 7", "class": "GPON B+"} for name in ("a", "b" * 200, WIDE * 20)]
    lines = budget_lines([(one, row) for row in rows])
    assert len({places(line) for line in lines[1:4]}) == 1


def test_numbers_json_cannot_say_are_null() -> None:
    assert finite({"a": [1.5, math.nan, (math.inf, 2)], "b": "x"}) == {"a": [1.5, None, [None, 2]], "b": "x"}
