"""Closed belts against the textbook lengths. Source: Machinery's Handbook belt formulas (from memory)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.geometry.belt import Anchor, Wrap, belt

RADII = st.floats(1.0, 200.0)
GAPS = st.floats(0.5, 500.0)
TURNED = st.floats(-math.pi, math.pi)
UNTIMED = settings(deadline=None)


def open_belt_mm(big: float, small: float, apart: float) -> float:
    """L = 2*sqrt(C^2-(R-r)^2) + pi*(R+r) + 2*(R-r)*asin((R-r)/C)."""
    return (
        2 * math.sqrt(apart**2 - (big - small) ** 2)
        + math.pi * (big + small)
        + 2 * (big - small) * math.asin((big - small) / apart)
    )


def crossed_belt_mm(big: float, small: float, apart: float) -> float:
    """L = 2*sqrt(C^2-(R+r)^2) + (R+r)*(pi + 2*asin((R+r)/C))."""
    return 2 * math.sqrt(apart**2 - (big + small) ** 2) + (big + small) * (
        math.pi + 2 * math.asin((big + small) / apart)
    )


def closed_belt_mm(big: float, small: float, apart: float, turned: float, crossed: bool, part: float) -> float:
    """Go round both pulleys from a point ``part`` of the way along the upper tangent, back to it.

    The tangent points come from the right triangle over the centre line, not from the package.
    """
    side = -1 if crossed else 1
    lean = math.asin((big - side * small) / apart)
    one = (big * math.sin(lean), -big * math.cos(lean))
    two = (apart + side * small * math.sin(lean), -side * small * math.cos(lean))
    u, v = (a + part * (b - a) for a, b in zip(one, two, strict=True))
    cos, sin = math.cos(turned), math.sin(turned)

    def place(x: float, y: float) -> tuple[float, float]:
        return 7 + x * cos - y * sin, -3 + x * sin + y * cos

    start = Anchor(*place(u, v))
    round_it = belt([start, Wrap(*place(apart, 0), small, side), Wrap(*place(0, 0), big, 1), start])
    return round_it.length_mm


@UNTIMED
@given(RADII, RADII, GAPS, TURNED)
def test_an_open_belt_is_as_long_as_the_handbook_says(a: float, b: float, gap: float, turned: float) -> None:
    big, small = max(a, b), min(a, b)
    apart = big + small + gap
    length = closed_belt_mm(big, small, apart, turned, crossed=False, part=0.5)
    assert length == pytest.approx(open_belt_mm(big, small, apart), rel=1e-9)


@UNTIMED
@given(RADII, RADII, GAPS, TURNED)
def test_a_crossed_belt_is_as_long_as_the_handbook_says(a: float, b: float, gap: float, turned: float) -> None:
    big, small = max(a, b), min(a, b)
    apart = big + small + gap
    # A quarter along: half way is where the two tangents cross.
    length = closed_belt_mm(big, small, apart, turned, crossed=True, part=0.25)
    assert length == pytest.approx(crossed_belt_mm(big, small, apart), rel=1e-9)


@UNTIMED
@given(RADII, RADII, GAPS, TURNED)
def test_a_belt_anchored_on_the_pulley_itself_is_as_long(a: float, b: float, gap: float, turned: float) -> None:
    big, small = max(a, b), min(a, b)
    apart = big + small + gap
    length = closed_belt_mm(big, small, apart, turned, crossed=False, part=0.0)
    assert length == pytest.approx(open_belt_mm(big, small, apart), rel=1e-9)


@UNTIMED
@given(RADII, st.floats(0.05, 0.95), st.floats(0.05, 0.95))
def test_an_open_belt_goes_round_overlapping_pulleys_too(big: float, ratio: float, reach: float) -> None:
    small = big * ratio
    apart = (big - small) + reach * 2 * small
    length = closed_belt_mm(big, small, apart, 0.3, crossed=False, part=0.5)
    assert length == pytest.approx(open_belt_mm(big, small, apart), rel=1e-9)


def test_equal_pulleys_give_the_racetrack() -> None:
    # 2 * 60 + 2 * pi * 30 by hand: 120 + 188.4956
    assert closed_belt_mm(30, 30, 60, 0.0, crossed=False, part=0.5) == pytest.approx(308.4956, abs=1e-4)
