"""Lengths as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from model.lengths import MOST, parse_length


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("3.36 km", "m", 3360.0),
        ("3360", "m", 3360.0),
        ("11024 ft", "m", 11024 * 0.3048),
        ("11.02 kft", "m", 11020 * 0.3048),
        ("12 1/2 in", "mm", 317.5),
        ("37,5", "mm", 37.5),
        ("1/2 in", "mm", 12.7),
        ("-4", "mm", -4.0),
    ],
)
def test_lengths_are_read_in_any_unit(typed: str, unit: str, value: float) -> None:
    assert parse_length(typed, unit) == pytest.approx(value)


@pytest.mark.parametrize(
    "typed", ["10,344", "10 344", "1.234.567", "", "x", "5 lb", "1/0", "9" * 50, "nan", "inf", "1e5"]
)
def test_what_is_not_clear_is_refused_with_a_remedy(typed: str) -> None:
    with pytest.raises(PlantError) as fault:
        parse_length(typed, "mm")
    assert fault.value.hint


@given(st.floats(-9e5, 9e5, allow_nan=False))
def test_a_number_written_out_is_read_back(value: float) -> None:
    assert parse_length(f"{value:.3f}", "mm") == pytest.approx(round(value, 3))


@given(st.text(max_size=60))
def test_no_text_breaks_the_reader(text: str) -> None:
    try:
        value = parse_length(text, "mm")
    except PlantError:
        return
    assert abs(value) <= MOST
