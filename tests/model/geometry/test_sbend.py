"""S-bends and windings: what the formulas promise, the laid course keeps."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.geometry.belt import Anchor, belt
from model.geometry.course import chain
from model.geometry.errors import GeometryError
from model.geometry.loops import racetrack_mm
from model.geometry.sbend import Post, racetrack_posts, s_bend, s_bend_length_mm, s_bend_radius_mm, winding
from model.geometry.segments import Arc

OFFSETS = st.floats(0.5, 200).flatmap(lambda d: st.sampled_from([d, -d]))


def test_an_s_bend_60_long_and_20_aside_has_radius_50() -> None:
    assert s_bend_radius_mm(60, 20) == pytest.approx(50)  # (3600 + 400) / 80
    assert s_bend_length_mm(20, 50) == pytest.approx(60)


def test_two_quarter_turns_are_the_s_bend_of_equal_length_and_offset() -> None:
    first, second = s_bend(0, 0, 0, 40, 40)
    assert isinstance(first, Arc)
    assert (first.cx, first.cy, first.radius_mm) == pytest.approx((0, 20, 20), abs=1e-9)
    assert (first.start_rad, first.sweep_rad) == pytest.approx((-math.pi / 2, math.pi / 2))
    assert second.end == pytest.approx((40, 40))  # a positive offset goes down the page when heading right
    assert second.end_heading == pytest.approx(0)


@given(st.floats(-3, 3), st.floats(1, 300), OFFSETS)
def test_an_s_bend_ends_parallel_and_aside_without_a_kink(heading: float, length: float, offset: float) -> None:
    course = chain(s_bend(5, -7, heading, length, offset))
    assert course.kinks == ()
    x, y = course.end[0] - 5, course.end[1] + 7
    assert x * math.cos(heading) + y * math.sin(heading) == pytest.approx(length, abs=1e-6)
    assert y * math.cos(heading) - x * math.sin(heading) == pytest.approx(offset, abs=1e-6)
    for s in (0.0, course.length_mm):
        assert math.remainder(course.heading_at(s) - heading, math.tau) == pytest.approx(0, abs=1e-9)


def test_without_offset_an_s_bend_is_a_straight() -> None:
    (piece,) = s_bend(0, 0, math.pi / 2, 25, 0)
    assert piece.end == pytest.approx((0, 25))
    assert piece.length_mm == 25


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("turns", [0.5, 1, 1.5, 2, 3.5])
@pytest.mark.parametrize("second", [0.0, 45.0])
def test_a_winding_from_the_track_is_its_turns_long(side: int, turns: float, second: float) -> None:
    posts = racetrack_posts(0, 0, 30, 60, second)
    # Heading right along the top, or along the bottom: the post met first is the near right one.
    first = 1 if second and side == -1 else 0
    edge = -side * (second / 2 + 30)
    start = Anchor(-30, edge, heading=0)
    end = start if turns == int(turns) else Anchor(30, -edge, heading=math.pi)
    course = belt([start, *winding(posts, turns, side, first=first), end])
    assert course.length_mm == pytest.approx(turns * racetrack_mm(30, 60, second))
    assert [k for k in course.kinks if abs(k.angle_rad) > 1e-6] == []


def test_a_lane_further_out_adds_its_circumference_each_turn() -> None:
    posts = racetrack_posts(0, 0, 30, 60)
    course = belt([Anchor(-30, -32), *winding(posts, 3, 1, lane_mm=2), Anchor(-30, -32)])
    assert course.length_mm == pytest.approx(3 * racetrack_mm(32, 60))


def test_each_turn_lies_a_pitch_further_out() -> None:
    posts = [Post(50, 0, 20, "right"), Post(-50, 0, 20, "left")]
    wraps = winding(posts, 2.5, 1, lane_mm=1, pitch_mm=0.5)
    assert [w.radius_mm for w in wraps] == [21, 21, 21.5, 21.5, 22]
    assert [w.name for w in wraps] == ["right", "left", "right", "left", "right"]


def test_the_other_way_round_meets_the_posts_in_the_other_order() -> None:
    posts = racetrack_posts(0, 0, 10, 40, 40)
    places = [(w.cx, w.cy) for w in winding(posts, 1, -1, first=1)]
    assert places == [(20, 20), (20, -20), (-20, -20), (-20, 20)]


def test_a_turned_track_has_the_same_length() -> None:
    posts = racetrack_posts(12, 7, 30, 60, turned_rad=0.7)
    start = Anchor(12 + 30 * math.sin(0.7), 7 - 30 * math.cos(0.7))
    course = belt([start, *winding(posts, 2, 1), start])
    assert course.length_mm == pytest.approx(2 * racetrack_mm(30, 60))


def test_turns_that_end_between_posts_are_refused() -> None:
    posts = racetrack_posts(0, 0, 30, 60)
    with pytest.raises(GeometryError, match=r"multiple of 0\.5"):
        winding(posts, 1.25, 1)
    with pytest.raises(GeometryError, match="two or four"):
        winding(posts[:1], 1, 1)
    with pytest.raises(GeometryError, match="side"):
        winding(posts, 1, 0)
