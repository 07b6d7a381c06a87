"""Marks, swatches and bars must be told apart without colour."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter

from gui.marks import State, bar_pieces, paint_bar, paint_gauge, paint_mark, paint_swatch, worst
from gui.theme import DAY, NIGHT, Tokens


def canvas(tokens: Tokens, size: int = 40) -> tuple[QImage, QPainter]:
    image = QImage(size, size, QImage.Format.Format_RGB32)
    image.fill(QColor(tokens.panel))
    return image, QPainter(image)


def grey_of(image: QImage) -> list[int]:
    return [QColor(image.pixel(x, y)).lightness() for x in range(image.width()) for y in range(image.height())]


@pytest.mark.parametrize("tokens", [DAY, NIGHT])
def test_every_two_states_differ_in_a_grey_copy(tokens: Tokens) -> None:
    greys: dict[State, list[int]] = {}
    for state in ("error", "warning", "note", "fine"):
        image, painter = canvas(tokens)
        paint_mark(painter, QRectF(4, 4, 32, 32), state, tokens)
        painter.end()
        greys[state] = grey_of(image)
    names = list(greys)
    for index, one in enumerate(names):
        for two in names[index + 1 :]:
            far = sum(abs(a - b) >= 20 for a, b in zip(greys[one], greys[two], strict=True))
            assert far > 100, f"{one} and {two} look alike: {far} of 1600 points differ"


def test_an_error_is_dark_and_filled_by_day_while_a_note_is_empty() -> None:
    for state, filled in (("error", True), ("note", False)):
        image, painter = canvas(DAY)
        paint_mark(painter, QRectF(4, 4, 32, 32), state, DAY)  # type: ignore[arg-type]
        painter.end()
        # Beside the letter, inside the shape.
        assert (QColor(image.pixel(9, 20)).lightness() < 120) is filled


def test_uncut_is_one_unbroken_piece_opened_is_hollow_and_cut_has_a_gap() -> None:
    rect = QRectF(0, 0, 32, 8)
    assert bar_pieces(rect, "uncut") == ([rect], [])
    solid, hollow = bar_pieces(rect, "opened")
    assert solid == [rect]
    assert len(hollow) == 1
    solid, hollow = bar_pieces(rect, "cut")
    assert len(solid) == 2
    assert solid[1].left() - solid[0].right() > 8
    assert len(bar_pieces(rect, "part")[0]) == 3


def test_a_bar_is_painted_unbroken_across_its_middle_only_when_uncut() -> None:
    def middle(state: str) -> set[int]:
        image, painter = canvas(DAY)
        paint_bar(painter, QRectF(0, 16, 40, 8), state, DAY)  # type: ignore[arg-type]
        painter.end()
        return {QColor(image.pixel(x, 20)).lightness() < 128 for x in range(40)}

    assert middle("uncut") == {True}
    assert middle("opened") == {True, False}
    assert middle("cut") == {True, False}


def test_a_swatch_keeps_its_fill_day_and_night_and_shows_its_stripes() -> None:
    for tokens in (DAY, NIGHT):
        image, painter = canvas(tokens)
        paint_swatch(painter, QRectF(0, 0, 40, 40), "#1F5FC4", tokens)
        painter.end()
        assert QColor(image.pixel(20, 20)).name() == "#1f5fc4"
    image, painter = canvas(DAY)
    paint_swatch(painter, QRectF(0, 0, 40, 40), "#1F5FC4", DAY, marks=1, mark_colour="#111111")
    painter.end()
    assert QColor(image.pixel(20, 20)).name() == "#111111"
    assert QColor(image.pixel(8, 20)).name() == "#1f5fc4"


def test_a_gauge_fills_its_share_and_its_limit_stands_out_above_and_below() -> None:
    image, painter = canvas(DAY)
    paint_gauge(painter, QRectF(0, 16, 40, 8), 0.5, 0.75, "fine", DAY)
    painter.end()
    assert QColor(image.pixel(10, 20)).name() == DAY.ink2.lower()
    assert QColor(image.pixel(25, 20)).name() == DAY.line.lower()
    assert QColor(image.pixel(30, 14)).name() == DAY.ink.lower()
    assert QColor(image.pixel(10, 14)).name() == DAY.panel.lower()


def test_marks_are_painted_at_any_size() -> None:
    for size in (1.0, 6.0, 400.0):
        image, painter = canvas(DAY, 400)
        for state in ("error", "warning", "note", "fine"):
            paint_mark(painter, QRectF(0, 0, size, size), state, DAY)
        painter.end()
        assert image.format() == QImage.Format.Format_RGB32


def test_the_gravest_state_wins_and_nothing_is_in_order() -> None:
    assert worst(["note", "error", "warning"]) == "error"
    assert worst([]) == "fine"
