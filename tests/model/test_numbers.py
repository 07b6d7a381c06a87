"""Ranges of numbers as the trade writes them."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from model.numbers import MOST, from_text, to_text

numbers = st.lists(st.integers(1, MOST), min_size=1, max_size=40)


@given(numbers)
def test_writing_and_reading_gives_the_same_numbers_in_the_same_order(many: list[int]) -> None:
    assert from_text(to_text(many)) == tuple(many)


@given(st.sets(st.integers(1, 60), min_size=1))
def test_a_set_is_written_with_as_few_ranges_as_it_has_gaps(many: set[int]) -> None:
    gaps = sum(number + 1 not in many for number in many)
    assert len(to_text(sorted(many)).split(",")) == gaps


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("13", (13,)),
        ("13-16,20", (13, 14, 15, 16, 20)),
        ("16-13", (16, 15, 14, 13)),
        (" 1 - 3 , 2 ", (1, 2, 3, 2)),
        ("007", (7,)),
        ("5-5", (5,)),
        ("13\u201316, 20", (13, 14, 15, 16, 20)),  # as the lists of this program print it
        ("13\u201114", (13, 14)),
        ("2\u22121", (2, 1)),
    ],
)
def test_forms(text: str, expected: tuple[int, ...]) -> None:
    assert from_text(text) == expected


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("", 1),
        ("-5", 1),
        ("5-", 1),
        ("1-2-3", 1),
        ("1,,2", 3),
        ("1,x", 3),
        ("0", 1),
        ("1-0", 1),
        ("3,10001", 3),
        ("1-10001", 1),
        ("9999999", 1),
        ("٣", 1),
        ("²", 1),
        ("1e3", 1),
        ("1-10000,1", 9),
        ("+5", 1),
    ],
)
def test_what_is_no_range_is_refused_with_its_column(text: str, column: int) -> None:
    with pytest.raises(PlantError) as fault:
        from_text(text)
    assert fault.value.column == column


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(PlantError):
        assert all(1 <= number <= MOST for number in from_text(text))
