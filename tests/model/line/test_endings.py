"""Completions: only what reads is offered, in a fixed order."""

from __future__ import annotations

import pytest

from model.line.readback import all_completions, read_line
from tests.model.line.lines import done, drops, joint, small

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
