"""Strip lengths from the drawn routes, against sums worked by hand."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from model.catalogue import catalogue
from model.layout import Drawn, drop_runs, tube_runs
from model.prep import Allowance, opening_needed_mm, peel_mm, slot_y_mm, strip_needed_mm, whole_turns
from model.templates import TEMPLATES

TRAY = catalogue().tray_types["tray-24"]
SMALL = TEMPLATES["mid-span-small"]()
BOX = next(iter(SMALL.enclosures.values()))


def test_a_tail_allows_for_reach_and_three_joints_made_again() -> None:
    assert Allowance().bare_mm == 770.0
    assert Allowance(500.0, 30.0, 2).bare_mm == 560.0


@pytest.mark.parametrize(
    ("least_mm", "turns"), [(-50.0, 1), (0.0, 1), (308.0, 1), (308.6, 2), (617.0, 3), (616.98, 2), (770.0, 3)]
)
def test_whole_turns_hold_what_is_asked_and_no_turn_more(least_mm: float, turns: int) -> None:
    # One turn is 308.496 mm, two are 616.991.
    assert whole_turns(TRAY, least_mm) == turns


def test_an_opening_leaves_both_tubes_and_three_whole_turns() -> None:
    (run,) = tube_runs(SMALL, BOX)
    assert run.a_mm is not None
    assert run.b_mm is not None
    # Both tubes together are 700 mm; 770 mm of bare fibre asks for 3 turns of 308.5 mm.
    assert opening_needed_mm(run, TRAY) == pytest.approx(700.0 + 925.5, abs=0.1)
    assert opening_needed_mm(run, TRAY, Allowance(650.0, 40.0, 8)) == pytest.approx(700.0 + 1234.0, abs=0.1)


def test_the_way_from_the_track_into_a_slot_is_a_straight_a_quarter_turn_and_a_straight() -> None:
    # Slot 1 at y 81: from the track's axis at y 42 down 81 - 30 - 42 = 9, a quarter of R 30, and from x 132 - 30 = 102
    # back to the holder's end at 72 + 20 = 92.
    assert slot_y_mm(TRAY, 1) == 81.0
    assert peel_mm(TRAY, 1) == pytest.approx(9.0 + 15.0 * pi + 10.0)
    # Slot 13 opens the second block: 12 pitches of 4.2 and one gap of 3 lower.
    assert slot_y_mm(TRAY, 13) == pytest.approx(81.0 + 12 * 4.2 + 3.0)
    assert peel_mm(TRAY, 13) - peel_mm(TRAY, 1) == pytest.approx(53.4)


def test_a_drop_is_stripped_for_its_course_its_slot_its_turns_and_its_joints() -> None:
    run = next(r for r in drop_runs(SMALL, BOX) if r.cable.name == "D-1")
    assert run.route is not None
    assert run.route.course is not None
    fixed = peel_mm(TRAY, 1) + 120.0
    turns = 2  # 650 - 186 = 464 mm asks for two turns of 308.5 mm
    expected = run.route.course.length_mm + fixed + turns * 308.496
    assert strip_needed_mm(run, TRAY, 1) == pytest.approx(expected, abs=0.01)


def test_what_is_not_drawn_needs_no_number() -> None:
    (run,) = tube_runs(SMALL, BOX)
    assert opening_needed_mm(replace(run, b=None), TRAY) is None
    assert run.a is not None
    assert opening_needed_mm(replace(run, a=Drawn(run.a.route, None, "kinked")), TRAY) is None
    drop = next(r for r in drop_runs(SMALL, BOX) if r.cable.name == "D-1")
    assert strip_needed_mm(replace(drop, route=None), TRAY, 1) is None
