"""Distances of an OTDR against published and computed values: time, index, pulse, and a whole file as a plant.

Computed from d = c t / (2 n) with c = 299 792 458 m/s; a training site gives the halving rule in words.
"""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from model.lengths import MOST
from model.otdr.reading import Reading, distance_m, parse_index, parse_metres, pulse_length_m, true_m


def test_time_to_distance() -> None:
    assert distance_m(100e-6, 1.4682) == pytest.approx(10_209.52, abs=0.0055)
    assert distance_m(100e-6, 1.46) == pytest.approx(10_266.87, abs=0.0055)
    # 9.79144 us there and back for each kilometre at 1.4677.
    assert distance_m(9.79144e-6, 1.4677) == pytest.approx(1000.0, abs=0.001)


def test_an_index_too_low_reads_long() -> None:
    # 0.001 too low at 10 km reads 6.82 m long. A public training card says that events come closer: they do not.
    shown = 10_000.0 * 1.4682 / (1.4682 - 0.001)
    assert shown - 10_000.0 == pytest.approx(6.82, abs=0.0055)
    assert true_m(shown, 1.4682 - 0.001, 1.4682) == pytest.approx(10_000.0)
    assert true_m(10_000.0, 1.4672, 1.4682) < 10_000.0


@pytest.mark.parametrize(("width_ns", "metres"), [(10, 1.021), (100, 10.21), (1000, 102.1)])
def test_the_length_of_a_pulse(width_ns: float, metres: float) -> None:
    assert pulse_length_m(width_ns, 1.4677) == pytest.approx(metres, rel=5e-4)


def test_the_error_of_the_instrument() -> None:
    # One OTDR manual: 1e-4 of the length, 1 m, and half a sample; 4 km with samples of 0.161 m: 1.48 m.
    assert Reading(4000.0).instrument_tol_m + 0.161 / 2 == pytest.approx(1.48, abs=0.001)


@pytest.mark.parametrize(
    ("typed", "index"), [("1.4682", 1.4682), ("1,4682", 1.4682), ("146820", 1.4682), (" 1.468 ", 1.468)]
)
def test_an_index_as_it_stands_on_the_instrument(typed: str, index: float) -> None:
    assert parse_index(typed) == pytest.approx(index)


@given(st.text(max_size=20))
def test_no_text_breaks_the_readers_of_numbers(text: str) -> None:
    for reader in (parse_index, parse_metres):
        with suppress(PlantError):
            assert abs(reader(text)) <= MOST
