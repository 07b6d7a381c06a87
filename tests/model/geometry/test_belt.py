"""Laying an item round its supports: lengths by hand, smooth joins, kinks, and what cannot be laid."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point

from model.geometry.belt import Anchor, Corner, Support, Wrap, belt
from model.geometry.errors import GeometryError
from model.geometry.segments import Arc, Straight
from tests.model.geometry.routes import supports


def test_a_square_corner_is_shortened_by_its_fillet() -> None:
    course = belt([Anchor(0, 0), Corner(100, 0, 10), Anchor(100, 100)])
    assert course.length_mm == pytest.approx(180 + 5 * math.pi)  # two straights of 90 and a quarter of R10
    (bend,) = course.bends()
    assert (bend.arc.cx, bend.arc.cy, bend.radius_mm) == pytest.approx((90, 10, 10))
    assert (bend.arc.start_rad, bend.sweep_rad) == pytest.approx((-math.pi / 2, math.pi / 2))
    assert course.kinks == ()


def test_a_half_wrap_over_the_top_returns_below() -> None:
    course = belt([Anchor(0, -10), Wrap(50, 0, 10, 1), Anchor(0, 10)])
    assert course.length_mm == pytest.approx(100 + 10 * math.pi)
    assert course.bbox == pytest.approx((0, -10, 60, 10))


def test_the_other_side_of_the_same_post_takes_the_way_round() -> None:
    # Both anchors at the height of the post's top: counter-clockwise the item must pass below it.
    course = belt([Anchor(0, -10), Wrap(50, 0, 10, -1), Anchor(100, -10)])
    assert course.bbox[3] == pytest.approx(10)
    assert all(piece.sweep_rad < 0 for piece in course.segments if isinstance(piece, Arc))


def test_each_extra_turn_adds_one_circumference() -> None:
    plain = belt([Anchor(0, -10), Wrap(50, 0, 10, 1), Anchor(0, 10)])
    coiled = belt([Anchor(0, -10), Wrap(50, 0, 10, 1, turns=3), Anchor(0, 10)])
    assert coiled.length_mm - plain.length_mm == pytest.approx(3 * 62.83185, abs=1e-4)


def test_a_post_that_is_only_touched_bends_nothing() -> None:
    course = belt([Anchor(0, -10), Wrap(50, 0, 10, 1), Anchor(100, -10)])
    assert course.length_mm == pytest.approx(100)
    assert course.bends() == []


def test_a_change_of_level_is_climbed_on_the_straight() -> None:
    course = belt([Anchor(0, -10), Wrap(30, 0, 10, 1, level_mm=40), Anchor(0, 10, level_mm=40)])
    assert course.length_mm == pytest.approx(50 + 10 * math.pi + 30)  # 30 along, 40 up: 50


@given(supports(levels=True))
def test_levels_lengthen_each_straight_by_the_hypotenuse(route: list[Support]) -> None:
    for piece in belt(route).segments:
        if isinstance(piece, Straight):
            assert piece.length_mm**2 == pytest.approx(piece.plan_mm**2 + piece.rise_mm**2)
    rises = sum(piece.rise_mm for piece in belt(route).segments if isinstance(piece, Straight))
    assert rises == pytest.approx(route[-1].level_mm - route[0].level_mm)


@given(supports())
def test_the_heading_never_jumps_where_no_kink_is_told(route: list[Support]) -> None:
    course = belt(route)
    assert course.kinks == ()
    for one, two in pairwise(course.segments):
        assert math.dist(one.end, two.start) < 1e-6
        assert math.remainder(two.start_heading - one.end_heading, math.tau) == pytest.approx(0, abs=1e-6)


@given(supports(kinks=True))
def test_every_jump_of_heading_is_told_as_a_kink(route: list[Support]) -> None:
    course = belt(route)
    at_mm, jumps = 0.0, []
    for one, two in pairwise(course.segments):
        at_mm += one.length_mm
        turn = math.remainder(two.start_heading - one.end_heading, math.tau)
        if abs(turn) > 1e-6:
            jumps.append((at_mm, turn))
    inner = [k for k in course.kinks if k.support not in (0, len(route) - 1) and abs(k.angle_rad) > 1e-6]
    assert [(k.at_mm, k.angle_rad) for k in inner] == [pytest.approx(jump, abs=1e-6) for jump in jumps]
    assert all(course.point_at(k.at_mm) == pytest.approx((k.x, k.y), abs=1e-6) for k in course.kinks)


def test_a_corner_without_radius_is_a_kink() -> None:
    (kink,) = belt([Anchor(0, 0), Corner(100, 0, 0), Anchor(100, 50)]).kinks
    assert (kink.at_mm, kink.x, kink.y, kink.support) == (100, 100, 0, 1)
    assert kink.angle_rad == pytest.approx(math.pi / 2)  # right, then down the page: clockwise


def test_a_clamp_that_points_elsewhere_is_a_kink() -> None:
    start, end = belt([Anchor(0, 0, heading=-math.pi / 2), Anchor(80, 0, heading=0.5)]).kinks
    assert (start.at_mm, start.angle_rad) == pytest.approx((0, math.pi / 2))
    assert (end.at_mm, end.angle_rad, end.support) == pytest.approx((80, 0.5, 1))


def test_a_clamp_that_points_along_the_item_is_no_kink() -> None:
    up = -math.pi / 2
    assert belt([Anchor(0, 0, up), Wrap(20, -60, 20, 1), Anchor(80, -80, math.tau)]).kinks == ()


@given(st.lists(st.floats(5, 40), min_size=4, max_size=4), st.floats(1, 60))
def test_a_belt_round_four_posts_is_their_convex_hull(radii: list[float], gap: float) -> None:
    reach = 80 + gap
    places = [(reach, -reach), (reach, reach), (-reach, reach), (-reach, -reach)]
    posts = [Wrap(x, y, r, 1) for (x, y), r in zip(places, radii, strict=True)]
    hull = MultiPolygon([Point(p.cx, p.cy).buffer(p.radius_mm, quad_segs=2000) for p in posts]).convex_hull
    # Anchored half way along the tangent from the last post to the first.
    tangent = belt([Anchor(-reach, -reach - 50), *posts, posts[0], Anchor(0, -reach - 200)]).segments
    wrap_to_wrap = [piece for piece in tangent if isinstance(piece, Straight)][4]
    middle = Anchor(*wrap_to_wrap.point_at(wrap_to_wrap.length_mm / 2))
    assert belt([middle, *posts, middle]).length_mm == pytest.approx(hull.length, rel=1e-6)


IMPOSSIBLE: list[tuple[str, list[Support], int]] = [
    ("inside the circle", [Anchor(0, 0), Wrap(5, 0, 10, 1), Anchor(50, 0)], 0),
    ("inside the circle", [Anchor(0, 0), Wrap(50, 0, 10, 1), Anchor(55, 0)], 2),
    ("overlap", [Anchor(0, 0), Wrap(50, 0, 20, 1), Wrap(80, 0, 20, -1), Anchor(150, 0)], 2),
    ("inside the circle", [Anchor(0, 0), Wrap(50, 0, 30, 1), Wrap(55, 0, 5, 1), Anchor(150, 0)], 2),
    ("does not fit", [Anchor(0, 0), Corner(20, 0, 30), Anchor(20, 100)], 1),
    ("does not fit", [Anchor(0, 0), Corner(50, 0, 5), Corner(50, 30, 26), Anchor(0, 30)], 2),
    ("straight back", [Anchor(0, 0), Corner(50, 0, 5), Anchor(10, 0)], 1),
    ("same place", [Anchor(0, 0), Corner(50, 0, 5), Corner(50, 0, 5), Anchor(90, 9)], 2),
    ("same place", [Anchor(3, 4), Anchor(3, 4)], 1),
    ("not finite", [Anchor(0, 0), Wrap(math.nan, 0, 5, 1), Anchor(90, 9)], 1),
    ("not finite", [Anchor(0, 0), Corner(5, 0, math.inf), Anchor(90, 9)], 1),
    ("not finite", [Anchor(0, 0), Anchor(90, 9, heading=math.nan)], 1),
    ("side", [Anchor(0, 0), Wrap(50, 0, 5, 0), Anchor(90, 9)], 1),
    ("turns", [Anchor(0, 0), Wrap(50, 0, 5, 1, turns=-1), Anchor(90, 9)], 1),
    ("radius", [Anchor(0, 0), Wrap(50, 0, 0, 1), Anchor(90, 9)], 1),
    ("radius", [Anchor(0, 0), Corner(50, 0, -1), Anchor(90, 9)], 1),
    ("must be an Anchor", [Corner(0, 0, 3), Anchor(90, 9)], 0),
    ("cannot be an Anchor", [Anchor(0, 0), Anchor(5, 5), Anchor(90, 9)], 1),
    ("to climb on", [Anchor(0, 0), Wrap(20, 0, 10, 1), Wrap(40, 0, 10, -1, 0, 6), Anchor(90, 0)], 2),
]


@pytest.mark.parametrize(("message", "route", "index"), IMPOSSIBLE)
def test_what_cannot_be_laid_names_the_support(message: str, route: list[Support], index: int) -> None:
    with pytest.raises(GeometryError, match=message) as caught:
        belt(route)
    assert caught.value.support == index
    assert f"support {index + 1} of {len(route)}" in str(caught.value)


def test_the_name_of_a_post_is_in_the_message() -> None:
    with pytest.raises(GeometryError, match="wrap 'north post'"):
        belt([Anchor(0, 0), Wrap(5, 0, 10, 1, name="north post"), Anchor(50, 0)])


def test_circles_that_just_touch_can_be_crossed() -> None:
    course = belt([Anchor(0, -10), Wrap(20, 0, 10, 1), Wrap(40, 0, 10, -1), Anchor(60, 10)])
    # Over the first for a quarter, straight down through the touching point, a quarter under the second.
    assert course.length_mm == pytest.approx(20 + 5 * math.pi + 5 * math.pi + 20)
    assert course.point_at(20 + 5 * math.pi) == pytest.approx((30, 0))
    assert course.heading_at(20 + 5 * math.pi) == pytest.approx(math.pi / 2)
