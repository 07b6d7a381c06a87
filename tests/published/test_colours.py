"""Colour orders against published ones. Each check names where the order was read; "from memory" means unverified."""

from __future__ import annotations

import pytest

from model.catalogue import catalogue
from model.colours import CODES, colour_at


def words(scheme: str, position: int) -> str:
    return colour_at(catalogue().schemes[scheme], position).words


def order(scheme: str, count: int = 12) -> str:
    return " ".join(words(scheme, position) for position in range(1, count + 1))


def test_tia_order() -> None:
    # Source: Wikipedia "TIA-598-C", table of colours.
    assert order("tia-598") == "blue orange green brown slate white red black yellow violet rose aqua"


def test_tia_abbreviations() -> None:
    # Source: AQ, BL and SL from Wikipedia "TIA-598-C"; the others from memory.
    codes = " ".join(colour_at(catalogue().schemes["tia-598"], position).code for position in range(1, 13))
    assert codes == "BL OR GR BR SL WH RD BK YL VI RS AQ"


def test_tia_tracers() -> None:
    # Source: Wikipedia "TIA-598-C": beyond 12 the colours repeat with a black stripe, black gets a yellow one, and
    # each further dozen adds one stripe.
    assert words("tia-598", 13) == "blue with black stripe"
    assert words("tia-598", 20) == "black with yellow stripe"  # fibre 20 of a 24-fibre tube
    assert words("tia-598", 24) == "aqua with black stripe"
    assert words("tia-598", 25) == "blue with 2 black stripes"
    assert words("tia-598", 32) == "black with 2 yellow stripes"
    assert words("tia-598", 48) == "aqua with 3 black stripes"


def test_fibre_34_of_twelves_is_violet_in_the_green_tube() -> None:
    # Tubes follow the fibre order (a secondary source); 34 = 2 x 12 + 10, computed.
    tube, place = (34 - 1) // 12 + 1, (34 - 1) % 12 + 1
    assert (tube, words("tia-598", tube)) == (3, "green")
    assert (place, words("tia-598", place)) == (10, "violet")


def test_the_twelve_codes_differ() -> None:
    # Two letters must identify, or a grey copy cannot be read (common practice, no source).
    assert len(set(CODES.values())) == len(CODES)


def test_binders_tell_two_dozens_apart_without_stripes() -> None:
    # Source: a secondary source: some 24-fibre tubes use binder threads instead of stripes.
    assert words("tia-598-binder", 20) == words("tia-598-binder", 8) == "black"
    assert catalogue().schemes["tia-598-binder"].by_position


def test_din_order_rings_and_position_22() -> None:
    # Source: two trade pages on DIN VDE 0888 / DIN EN 60794-1-1 Bbl 1 agree.
    assert order("din-0888") == "red green blue yellow white grey brown violet turquoise black orange pink"
    assert words("din-0888", 13) == "red with black ring"
    assert words("din-0888", 22) == "transparent with black ring"
    assert words("din-0888", 23) == "orange with black ring"


def test_din_tubes_count_from_red_toward_green() -> None:
    # Source: the same two trade pages: tube 1 red, tube 2 green, the rest white for single-mode.
    assert order("din-tubes", 6) == "red green white white white white"
    assert catalogue().schemes["din-tubes"].by_position


@pytest.mark.parametrize(
    ("scheme", "expected"),
    [
        # Source: a connector trade page of 25.05.2023 (EN 50174-1, historic IEC 60794-2, a Swiss practice).
        ("en-50174", "blue orange green brown grey white red black yellow violet pink turquoise"),
        ("iec-60794-2", "blue yellow red white green violet orange grey turquoise black brown pink"),
        ("swiss", "red green yellow blue white violet orange black grey brown pink turquoise"),
        # Source: seen on public Brazilian cable sheets.
        ("brazilian", "green yellow white blue red violet brown pink black grey orange aqua"),
        # From memory.
        ("fin-2012", "blue white yellow green grey orange brown turquoise black violet pink red"),
        ("french", "red blue green yellow violet white orange grey brown black turquoise pink"),
        ("uk", "blue orange green red grey yellow brown violet black white pink turquoise"),
    ],
)
def test_other_orders(scheme: str, expected: str) -> None:
    assert order(scheme) == expected


def test_the_old_finnish_order_has_six() -> None:
    # From memory.
    assert order("sfs-5648", 6) == "blue white yellow green grey red"
    assert words("sfs-5648", 7) == "blue with black stripe"


@pytest.mark.parametrize("scheme", ["fin-2012", "french", "uk"])
def test_unverified_orders_say_so(scheme: str) -> None:
    assert catalogue().schemes[scheme].source == "from memory"
