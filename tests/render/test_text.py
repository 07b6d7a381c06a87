"""Text widths equal the sums of the advances in the shipped faces, read independently by fontTools."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

import render.fonts
from render.drawing import Weight
from render.text import CAP_RATIO, ELLIPSIS, fits, font_size, line_pitch, lines_in, printable, shorten, text_width, wrap

FACES: dict[str, str] = {"normal": "DejaVuSansCondensed.ttf", "bold": "DejaVuSansCondensed-Bold.ttf"}


@cache
def face(weight: str) -> tuple[dict[int, str], dict[str, tuple[int, int]], int, int]:
    with TTFont(Path(render.fonts.__file__).parent / FACES[weight]) as font:
        cmap = {code: name for code, name in font.getBestCmap().items() if 0xA0 <= code <= 0xFFFF or 32 <= code < 127}
        return cmap, dict(font["hmtx"].metrics), font["head"].unitsPerEm, font["glyf"]["H"].yMax


weights = st.sampled_from(["normal", "bold"])
known = st.text(st.sampled_from([chr(code) for code in face("normal")[0] if code in face("bold")[0]]), max_size=40)
anything = st.text(max_size=60)
prose = st.text("abc WM12-é \n", max_size=60)
widths = st.floats(5, 80)


@given(known, weights, st.sampled_from([2.1, 2.5, 3.5, 5.0, 10.0]))
def test_width_equals_the_sum_of_the_advances_in_the_face(content: str, weight: Weight, height: float) -> None:
    cmap, metrics, units, _ = face(weight)
    units_wide = sum(metrics[cmap[ord(char)]][0] for char in content)
    assert text_width(content, height, weight) == pytest.approx(units_wide / units * height / 0.729)


def test_every_character_of_the_basic_plane_in_the_faces_is_in_the_table() -> None:
    for weight in ("normal", "bold"):
        cmap, metrics, units, _ = face(weight)
        wrong = [
            hex(code)
            for code, name in cmap.items()
            if abs(text_width(chr(code), CAP_RATIO, weight) - metrics[name][0] / units) > 1e-9
        ]
        assert wrong == []


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_cap_ratio_is_the_height_of_h_in_the_face(weight: str) -> None:
    _, _, units, height = face(weight)
    assert pytest.approx(height / units, abs=0.0005) == CAP_RATIO


def test_the_floor_of_lettering_is_a_font_of_2_88_mm() -> None:
    assert font_size(2.1) == pytest.approx(2.88, abs=0.001)
    assert line_pitch(2.5) == 4.0


def test_bold_is_wider_than_normal() -> None:
    assert text_width("Entry corner", 2.5, "bold") > text_width("Entry corner", 2.5, "normal")


def test_an_unknown_glyph_is_counted_wide() -> None:
    widest_latin = max(text_width(chr(code)) for code in range(33, 127))
    assert text_width("\U0001f9f5") > widest_latin
    assert text_width("漢") > widest_latin


def test_what_no_sheet_can_hold_counts_nothing() -> None:
    assert printable("a\x00b\ud800c\uffffd\x85e\x7f") == "abcde"
    assert text_width("a\x00\ud800b") == text_width("ab")


@given(anything, widths, weights)
def test_a_shortened_text_fits_and_begins_as_the_whole(content: str, width: float, weight: Weight) -> None:
    short = shorten(content, width, 2.5, weight)
    assert fits(short, width, 2.5, weight)
    assert printable(content).startswith(short.removesuffix(ELLIPSIS))
    if fits(content, width, 2.5, weight):
        assert short == printable(content)
    else:
        assert short.endswith(ELLIPSIS)


def test_shorten_keeps_as_much_as_fits() -> None:
    width = text_width("Larkmoor" + ELLIPSIS)
    assert shorten("Larkmoor Row", width) == "Larkmoor…"
    assert shorten("Larkmoor Row", width - 0.1) == "Larkmoo…"


def test_shorten_gives_nothing_where_not_even_the_ellipsis_fits() -> None:
    assert shorten("Larkmoor Row", 0.5) == ""


@given(prose, widths)
def test_wrapped_lines_fit_and_lose_no_letter(content: str, width: float) -> None:
    lines = wrap(content, width)
    assert all(fits(line, width) for line in lines)
    assert "".join("".join(lines).split()) == "".join(content.split())


def test_wrap_breaks_at_spaces_and_keeps_line_breaks() -> None:
    width = text_width("Bond the armour")
    assert wrap("Bond the armour before cutting\nStop", width) == ["Bond the armour", "before cutting", "Stop"]


def test_wrap_splits_a_word_that_is_too_wide() -> None:
    lines = wrap("x" * 30, text_width("x" * 10))
    assert lines == ["x" * 10] * 3


def test_wrap_of_nothing_is_one_empty_line() -> None:
    assert wrap("", 10) == [""]


def test_a_character_wider_than_the_room_stands_alone() -> None:
    assert wrap("WW", 0.1) == ["W", "W"]


@pytest.mark.parametrize(("room", "count"), [(2.4, 0), (2.5, 1), (6.4, 1), (6.5, 2), (14.5, 4)])
def test_lines_in_a_height(room: float, count: int) -> None:
    # Lines of 2.5 at a pitch of 4: n lines need 4 n - 1.5.
    assert lines_in(room) == count
