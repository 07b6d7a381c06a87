"""Colours keep their chips readable in colour, in grey and as patterns; line widths survive a photocopy."""

from __future__ import annotations

import pytest

from model.colours import CODES
from render import style
from render.drawing import Pen


def test_contrast_of_black_on_white_is_21() -> None:
    # WCAG 2.2, definition of contrast ratio: from 1 to 21.
    assert style.contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert style.contrast("#FFFFFF", "#000000") == pytest.approx(21.0)
    assert style.contrast("#ABCDEF", "#ABCDEF") == pytest.approx(1.0)


def test_contrast_of_a_mid_grey_by_hand() -> None:
    # 0x77 = 119; ((119/255 + 0.055) / 1.055) ** 2.4 = 0.18448; 1.05 / 0.23448 = 4.478 (WCAG 2.2 formula).
    assert style.contrast("#777777", "#FFFFFF") == pytest.approx(4.478, abs=0.001)


@pytest.mark.parametrize("name", sorted(style.LOOKS))
def test_every_chip_reads_at_4_5_or_better(name: str) -> None:
    look = style.LOOKS[name]
    assert style.contrast(look.fill, look.ink) >= 4.5


@pytest.mark.parametrize("name", sorted(style.LOOKS))
def test_every_chip_still_reads_in_a_grey_copy(name: str) -> None:
    # Luma weights of ITU-R BT.601, the usual conversion of a picture to grey.
    look = style.LOOKS[name]

    def grey(colour: str) -> str:
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        return f"#{round(0.299 * red + 0.587 * green + 0.114 * blue):02X}" + "{0:02X}{0:02X}".format(
            round(0.299 * red + 0.587 * green + 0.114 * blue)
        )

    assert style.contrast(grey(look.fill), grey(look.ink)) >= 4.5


def test_every_colour_a_scheme_may_use_has_a_look() -> None:
    assert set(CODES) <= set(style.LOOKS)


def test_the_twelve_base_patterns_differ() -> None:
    twelve = ["blue", "orange", "green", "brown", "slate", "white", "red", "black", "yellow", "violet", "rose", "aqua"]
    assert len({style.LOOKS[name].mono for name in twelve}) == 12


def test_the_twelve_base_fills_differ() -> None:
    twelve = ["blue", "orange", "green", "brown", "slate", "white", "red", "black", "yellow", "violet", "rose", "aqua"]
    assert len({style.LOOKS[name].fill for name in twelve}) == 12


def test_an_unknown_colour_is_not_guessed() -> None:
    look = style.look_of("dusky mauve")
    assert (look.name, look.fill) == ("dusky mauve", style.PAPER)
    assert look.mono not in {known.mono for known in style.LOOKS.values()}


def test_the_mark_on_black_is_yellow_and_on_all_others_black() -> None:
    # TIA-598-C as restated by Wikipedia: black stripe, yellow on the black fibre.
    assert style.stripe_of("black") == style.LOOKS["yellow"].fill
    assert style.stripe_of("white") == style.stripe_of("blue") == style.INK


def test_no_named_pen_is_thinner_than_a_quarter_millimetre_or_off_the_series() -> None:
    pens = [value for value in vars(style).values() if isinstance(value, Pen)]
    assert len(pens) > 20
    assert {pen.width for pen in pens if pen.stroke is not None} <= set(style.WIDTHS)
    assert min(style.WIDTHS) == 0.25


def test_hardware_and_text_are_not_coloured() -> None:
    def neutral(colour: str) -> bool:
        channels = [int(colour[i : i + 2], 16) for i in (1, 3, 5)]
        return max(channels) - min(channels) <= 4

    for name, value in vars(style).items():
        if isinstance(value, Pen) and not name.startswith("TRACE"):
            assert all(neutral(colour) for colour in (value.stroke, value.fill) if colour is not None), name
