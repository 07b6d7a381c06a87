"""Asking a finished course: sampling agrees, the tightest bend is found, cuts and crossings add up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from model.geometry.belt import Anchor, Corner, Support, Wrap, belt
from model.geometry.course import Course, chain
from model.geometry.errors import GeometryError
from model.geometry.segments import Arc, Straight
from tests.model.geometry.routes import Points, sampled, supports, turned_back

FEW = settings(max_examples=40)


def circumradii(points: Points) -> Points:
    """Radius of the circle through each three neighbours: product of sides over four areas."""
    a, b, c = points[:-2], points[1:-1], points[2:]
    sides = [np.hypot(*(q - p).T) for p, q in ((a, b), (b, c), (a, c))]
    (ux, uy), (vx, vy) = (b - a).T, (c - a).T
    double_area = np.abs(ux * vy - uy * vx)
    radii: Points = np.prod(sides, axis=0) / (2 * np.maximum(double_area, 1e-15))
    return radii


@FEW
@given(supports(kinks=True))
def test_the_length_is_that_of_dense_samples(route: list[Support]) -> None:
    course = belt(route)
    _, points = sampled(course, 0.1)
    steps = np.diff(points, axis=0)
    assert np.hypot(steps[:, 0], steps[:, 1]).sum() == pytest.approx(course.length_mm, rel=2e-4)
    assert LineString(points).length == pytest.approx(course.length_mm, rel=2e-4)


@FEW
@given(supports())
def test_the_tightest_bend_is_that_of_dense_samples(route: list[Support]) -> None:
    course = belt(route)
    spacing = 0.1
    bends = course.bends()
    assume(bends and all(bend.end_mm - bend.start_mm > 4 * spacing for bend in bends))
    found = course.tightest()
    assert found is not None
    places, points = sampled(course, spacing)
    radii = circumradii(points)
    assert found[0] == pytest.approx(radii.min(), rel=1e-5)
    assert radii[np.abs(places[1:-1] - found[1]).argmin()] == pytest.approx(found[0], rel=1e-5)


@given(supports(), st.data())
def test_a_bend_below_a_limit_is_found_wherever_it_lies(route: list[Support], data: st.DataObject) -> None:
    corners = [i for i, support in enumerate(route) if isinstance(support, Corner)]
    assume(corners)
    at = data.draw(st.sampled_from(corners))
    corner = route[at]
    assert isinstance(corner, Corner)
    sharp = [*route[:at], Corner(corner.x, corner.y, 0.5), *route[at + 1 :]]
    course = belt(sharp)
    assume(any(bend.radius_mm == 0.5 for bend in course.bends()))  # not where the corner is straight
    found = course.tightest()
    assert found is not None
    assert found[0] == 0.5
    assert course.radius_at(found[1]) == 0.5
    assert math.dist(course.point_at(found[1]), (corner.x, corner.y)) < 1


def test_a_straight_course_has_no_tightest_bend() -> None:
    course = belt([Anchor(0, 0), Anchor(9, 0)])
    assert course.tightest() is None
    assert course.radius_at(4) == math.inf


def test_at_a_join_the_tighter_radius_counts() -> None:
    course = belt([Anchor(0, 0), Corner(100, 0, 10), Anchor(100, 100)])
    assert [course.radius_at(s) for s in (89.9, 90, 95)] == [math.inf, 10, 10]
    (bend,) = course.bends()
    assert (bend.start_mm, bend.end_mm) == pytest.approx((90, 90 + 5 * math.pi))


@given(supports(kinks=True, levels=True), st.floats(0.01, 0.99))
def test_what_is_cut_adds_up(route: list[Support], part: float) -> None:
    course = belt(route)
    s = part * course.length_mm
    one, two = course.cut(s)
    assert one.length_mm == pytest.approx(s)
    assert one.length_mm + two.length_mm == pytest.approx(course.length_mm)
    assert one.end == pytest.approx(two.start, abs=1e-6)
    assert (one.start, two.end) == (course.start, course.end)
    assert len(one.kinks) + len(two.kinks) == len(course.kinks)
    for kink in two.kinks:
        assert two.point_at(kink.at_mm) == pytest.approx((kink.x, kink.y), abs=1e-6)


def test_a_cut_at_a_kink_leaves_two_free_ends() -> None:
    one, two = belt([Anchor(0, 0), Corner(100, 0, 0), Anchor(100, 50)]).cut(100)
    assert (one.length_mm, two.length_mm) == (100, 50)
    assert (one.kinks, two.kinks) == ((), ())


@given(supports(kinks=True, levels=True))
def test_the_way_back_is_as_long_and_is_the_belt_laid_backwards(route: list[Support]) -> None:
    back, laid = belt(route).reversed(), belt(turned_back(route))
    assert back.length_mm == pytest.approx(belt(route).length_mm)
    assert back.length_mm == pytest.approx(laid.length_mm)
    for part in np.linspace(0, 1, 23):
        s = float(part) * min(back.length_mm, laid.length_mm)
        assert back.point_at(s) == pytest.approx(laid.point_at(s), abs=1e-6)
    assert [k.angle_rad for k in back.kinks] == pytest.approx([k.angle_rad for k in laid.kinks])
    assert [k.at_mm for k in back.kinks] == pytest.approx([k.at_mm for k in laid.kinks], abs=1e-6)


@FEW
@given(supports(kinks=True, levels=True), st.floats(-50, 700), st.floats(-150, 150))
def test_the_distance_is_that_to_dense_samples(route: list[Support], x: float, y: float) -> None:
    course = belt(route)
    gap, at_mm = course.distance_to(x, y)
    _, points = sampled(course, 0.2)
    dense = float(np.hypot(points[:, 0] - x, points[:, 1] - y).min())
    assert dense - 0.2 <= gap <= dense + 1e-9
    assert math.dist(course.point_at(at_mm), (x, y)) == pytest.approx(gap, abs=1e-6)


def shallow(one: Course, two: Course, x: float, y: float) -> bool:
    """Whether both courses run almost alike next to a point; a polyline cannot tell touch from miss."""
    turn = one.heading_at(one.distance_to(x, y)[1]) - two.heading_at(two.distance_to(x, y)[1])
    return abs(math.sin(turn)) < 0.2


def at_a_tip(one: Course, two: Course, x: float, y: float) -> bool:
    """Whether a point lies at an end or a kink of either: samples cut the tip off, so they may miss it."""
    tips = [(tip.x, tip.y) for course in (one, two) for tip in course.kinks]
    tips += [one.start, one.end, two.start, two.end]
    return any(math.dist((x, y), tip) < 0.5 for tip in tips)


@FEW
@given(supports(kinks=True, most=4), supports(kinks=True, most=4))
def test_crossings_are_those_of_dense_polylines(first: list[Support], second: list[Support]) -> None:
    one, two = belt(first), belt(second)
    lines = [LineString(sampled(course, 0.2)[1]) for course in (one, two)]
    common = lines[0].intersection(lines[1])
    pieces = [] if common.is_empty else list(getattr(common, "geoms", [common]))
    exact = one.crossings(two)
    for crossing in exact:
        here = (crossing.x, crossing.y)
        assert one.point_at(crossing.at_mm) == pytest.approx(here, abs=1e-6)
        assert two.point_at(crossing.other_mm) == pytest.approx(here, abs=1e-6)
        if not shallow(one, two, *here) and not at_a_tip(one, two, *here):
            assert common.distance(Point(here)) < 0.1
    for piece in pieces:
        here = piece.coords[0]
        near = any(math.dist(here, (crossing.x, crossing.y)) < 0.1 for crossing in exact)
        assert near or shallow(one, two, *here)


def test_a_line_through_a_coil_crosses_each_of_its_turns() -> None:
    coil = Course((Arc(0, 0, 30, 0, 2 * math.tau),))
    line = Course((Straight(-50, 0, 50, 0),))
    crossings = coil.crossings(line)
    turn = 60 * math.pi
    # On the right the coil starts, passes and ends; on the left it passes twice.
    assert [c.at_mm for c in crossings] == pytest.approx([turn * half / 2 for half in range(5)], abs=1e-6)
    assert [c.x for c in crossings] == pytest.approx([30, -30, 30, -30, 30])


def test_a_crossing_at_the_join_of_two_pieces_counts_once() -> None:
    bent = belt([Anchor(0, 0), Corner(50, 0, 0), Anchor(90, 40)])
    (crossing,) = bent.crossings(Course((Straight(50, -10, 50, 10),)))
    assert crossing == pytest.approx((50, 10, 50, 0))


def test_a_line_a_hair_before_the_start_of_an_arc_meets_its_start() -> None:
    arc = Course((Arc(0, 0, 30, 0, 1),))
    (crossing,) = arc.crossings(Course((Straight(10, -1e-14, 50, -1e-14),)))
    assert crossing == pytest.approx((0, 20, 30, 0), abs=1e-9)


def test_two_circles_cross_in_the_points_of_the_triangle() -> None:
    # Centres 60 apart, radii 50: the common chord is at x = 30, y = +-40.
    one, two = (Course((Arc(x, 0, 50, 0.3, math.tau),)) for x in (0, 60))
    assert sorted((c.x, c.y) for c in one.crossings(two)) == [pytest.approx((30, -40)), pytest.approx((30, 40))]


def test_courses_on_one_line_do_not_cross() -> None:
    assert Course((Straight(0, 0, 50, 0),)).crossings(Course((Straight(20, 0, 90, 0),))) == []


def test_a_smooth_route_does_not_cross_itself_at_its_joins() -> None:
    assert belt([Anchor(0, 0), Corner(100, 0, 10), Wrap(150, 80, 20, -1), Anchor(300, 80)]).self_crossings() == []


def test_a_loop_round_a_post_crosses_itself_once() -> None:
    # In from the left below the post and counter-clockwise round it, out straight down the page.
    course = belt([Anchor(-100, 20), Wrap(0, 0, 20, -1), Anchor(-20, 100)])
    (crossing,) = course.self_crossings()
    assert (crossing.x, crossing.y) == pytest.approx((-20, 20))
    assert crossing.at_mm == pytest.approx(80)
    assert course.length_mm - crossing.other_mm == pytest.approx(80)


def test_pieces_that_do_not_touch_are_refused() -> None:
    with pytest.raises(GeometryError, match="pieces 1 and 2 are 1 mm apart"):
        Course((Straight(0, 0, 10, 0), Straight(11, 0, 20, 0)))
    with pytest.raises(GeometryError, match="at least one"):
        Course(())


def test_pieces_put_together_at_an_angle_are_kinked() -> None:
    (kink,) = chain([Straight(0, 0, 10, 0), Straight(10, 0, 10, -5)]).kinks
    assert (kink.at_mm, kink.angle_rad) == pytest.approx((10, -math.pi / 2))


def test_the_box_of_a_course_holds_its_bulges() -> None:
    assert belt([Anchor(0, -10), Wrap(50, 0, 10, 1, 1), Anchor(40, 90)]).bbox == pytest.approx((0, -10, 60, 90))
