"""What every colour scheme must do, and what is said about one that cannot be used."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.colours import CODES, ColourMark, check_scheme, colour_at
from model.errors import PlantError
from model.ids import SchemeId
from model.parts import ColourScheme

SCHEMES = st.sampled_from(sorted(catalogue().schemes))
POSITIONS = st.integers(1, 288)


@given(SCHEMES, POSITIONS)
def test_every_position_has_a_look(scheme: str, position: int) -> None:
    mark = colour_at(catalogue().schemes[scheme], position)
    assert mark.colour in CODES
    assert mark.code.startswith(CODES[mark.colour])
    assert mark.words.startswith(mark.colour)
    assert (mark.marks > 0) == bool(mark.mark_colour)


@given(SCHEMES, st.integers(0, 23))
def test_within_a_dozen_all_looks_differ_or_the_number_alone_identifies(scheme: str, dozen: int) -> None:
    known = catalogue().schemes[scheme]
    looks = {colour_at(known, 12 * dozen + place) for place in range(1, 13)}
    assert known.by_position or len(looks) == 12


@given(SCHEMES, POSITIONS)
def test_a_stripe_is_never_the_colour_it_stands_on(scheme: str, position: int) -> None:
    mark = colour_at(catalogue().schemes[scheme], position)
    assert mark.colour != mark.mark_colour


@given(st.integers(max_value=0))
def test_positions_count_from_one(position: int) -> None:
    with pytest.raises(PlantError, match="Positions count from 1"):
        colour_at(catalogue().schemes["tia-598"], position)


def test_codes_count_the_marks() -> None:
    assert ColourMark("blue").code == "BL"
    assert ColourMark("blue", 2, "stripe", "black").code == "BL/2"
    assert ColourMark("blue", 1, "ring", "black").words == "blue with black ring"


SOUND = ColourScheme(SchemeId("s"), "Sound", ("red", "green"))


@pytest.mark.parametrize(
    ("scheme", "fault"),
    [
        (replace(SOUND, order=()), "the order is empty"),
        (replace(SOUND, order=("red", "mauve")), "'mauve' is no known colour name"),
        (replace(SOUND, rest="ecru"), "'ecru' is no known colour name"),
        (replace(SOUND, swaps=((2, "puce", "black"),)), "'puce' is no known colour name"),
        (replace(SOUND, order=("red", "green", "red")), "red stands twice"),
    ],
)
def test_what_is_wrong_with_a_scheme(scheme: ColourScheme, fault: str) -> None:
    assert len(check_scheme(scheme)) == 1
    assert fault in check_scheme(scheme)[0]


def test_sound_schemes_have_no_fault() -> None:
    assert check_scheme(SOUND) == []
    assert check_scheme(replace(SOUND, order=("red", "red"), by_position=True)) == []
    assert all(check_scheme(scheme) == [] for scheme in catalogue().schemes.values())
