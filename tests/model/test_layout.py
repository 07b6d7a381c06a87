# mypy: disable-error-code="arg-type"
"""Lengths read off the drawn routes of the two templates, against numbers worked by hand from their sizes."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from model.catalogue import catalogue
from model.edits.cutting import CutFibres, OpenTubes
from model.edits.joining import Join, Store
from model.edits.routing import SetSupport
from model.entities import Enclosure, Route, Support
from model.history import History
from model.layout import (
    bay_loop_mm,
    course_of,
    draw,
    drawn_routes,
    drop_runs,
    express_runs,
    track_mm,
    tray_load,
    tube_runs,
)
from model.plant import Plant
from model.templates import TEMPLATES
from tests.model.lab import box, cable, end, site, start

SMALL = TEMPLATES["mid-span-small"]()
LARGE = TEMPLATES["mid-span-large"]()


def housing(plant: Plant) -> Enclosure:
    return next(iter(plant.enclosures.values()))


def test_one_turn_of_the_small_tray_is_308_5_mm() -> None:
    # 2 x 60 mm straights and a circle of 30 mm: 120 + 188.5.
    assert track_mm(catalogue().tray_types["tray-24"]) == pytest.approx(308.5, abs=0.05)


def test_900_mm_of_bare_tube_2_is_2_92_turns_and_3_turns_need_925_mm() -> None:
    (run,) = tube_runs(SMALL, housing(SMALL))
    assert run.tube == 2
    assert run.opening_mm == pytest.approx(1600.0)
    assert run.bare_mm is not None
    assert run.bare_mm == pytest.approx(900.0, abs=0.01)
    assert run.a_mm is not None
    assert run.b_mm is not None
    assert run.a_mm + run.b_mm + run.bare_mm == pytest.approx(1600.0)
    assert run.on_track is not None
    assert run.on_track.turns == pytest.approx(2.92, abs=0.005)
    assert run.on_track.nearest == 3.0
    assert run.on_track.lands
    assert run.on_track.next_whole_mm == pytest.approx(925.5, abs=0.05)
    # 25 mm short of three turns.
    assert run.on_track.remainder_mm == pytest.approx(-25.5, abs=0.05)


def test_a_tube_is_cut_just_inside_its_field_side_end_unless_said_otherwise() -> None:
    (run,) = tube_runs(SMALL, housing(SMALL))
    assert run.b_mm is not None
    assert run.cut_mm == pytest.approx(1600.0 - run.b_mm)


def test_the_small_bay_takes_4_24_turns_of_three_tubes_in_12_7_of_31_passes() -> None:
    (run,) = express_runs(SMALL, housing(SMALL))
    assert run.tubes == (1, 3, 4)
    assert run.loop_mm == pytest.approx(282.7, abs=0.05)
    # Up from the sheath end at y 292 to the bay's axis at y 92 and down again.
    assert run.legs_mm == pytest.approx(400.0, abs=1.0)
    assert run.turns == pytest.approx(4.24, abs=0.01)
    assert run.passes == pytest.approx(12.7, abs=0.05)
    assert run.capacity == 31
    assert run.drawn_mm == pytest.approx(1600.0, abs=1.0)
    assert run.least_mm >= 45.0


def test_the_large_bay_is_a_racetrack_of_462_7_mm() -> None:
    # 2 x 90 mm straights and a circle of 45 mm: 180 + 282.7. Half of 26 x 20 mm over 2.5 mm squared: 41 passes.
    (run,) = express_runs(LARGE, housing(LARGE))
    assert bay_loop_mm(run.bay) == pytest.approx(180.0 + 2 * pi * 45.0)
    assert run.loop_mm == pytest.approx(462.7, abs=0.05)
    # Sheath ends at y 352, the lower post at y 186: 166 mm each way, the lanes a little aside.
    assert run.opening_mm == pytest.approx(2230.0)
    assert run.turns == pytest.approx((2230.0 - 332.0) / 462.74, abs=0.01)
    assert run.passes == pytest.approx(5 * 4.102, abs=0.05)
    assert run.capacity == 41
    assert run.drawn_mm == pytest.approx(2230.0, abs=2.0)
    assert run.legs_mm == pytest.approx(2 * 166.0, abs=2.0)


def test_the_large_tray_turn_is_456_5_mm_and_a_cut_tube_lands_on_it() -> None:
    # 2 x 74 + 2 x 60 + 2 pi 30.
    (run,) = tube_runs(LARGE, housing(LARGE))
    assert run.tray is not None
    assert track_mm(LARGE.tray_types[run.tray.type]) == pytest.approx(456.5, abs=0.05)
    assert run.on_track is not None
    assert run.bare_mm is not None
    assert run.on_track.turns == pytest.approx(run.bare_mm / 456.5, abs=0.001)


def test_drops_keep_what_is_stripped_less_their_course() -> None:
    drops = {run.cable.name: run for run in drop_runs(SMALL, housing(SMALL))}
    run = drops["D-1"]
    assert run.route is not None
    assert run.route.course is not None
    assert run.bare_mm == pytest.approx(1270.0 - run.route.course.length_mm)
    assert len(drop_runs(LARGE, housing(LARGE))) == 10


def test_a_tray_of_4_joints_8_loops_and_4_stubs() -> None:
    (tray,) = SMALL.trays.values()
    load = tray_load(SMALL, tray)
    assert (load.joints, load.loops, load.stubs, load.stored) == (4, 8, 4, 16)
    assert sorted(load.slots) == [1, 2, 3, 4]


def test_a_course_that_does_not_exist_is_a_sentence_not_a_crash() -> None:
    route = Route("r", "e", "tube", (), (Support("anchor", 0, 0), Support("wrap", 5, 0, 50.0), Support("anchor", 9, 0)))
    drawn = draw(route)
    assert drawn.course is None
    assert "inside the circle" in drawn.fault


def test_what_is_not_drawn_or_not_marked_has_no_length() -> None:
    history = start(*(site(p) for p in "abz"), cable("c", "lt-24", "a", "b", "z"), *box("b"))
    made = history.plant.cables["c"]
    unmarked = replace(made, stops=(made.stops[0], replace(made.stops[1], mark_out_m=None), made.stops[2]))
    plant = Plant([*(e for e in history.plant.entities() if e != made), unmarked])
    history = History(plant)
    history.do(OpenTubes("c", "c.b", (1,)))
    (run,) = tube_runs(plant, plant.enclosures["box-b"])
    assert (run.a_mm, run.b_mm, run.opening_mm, run.bare_mm, run.on_track, run.cut_mm) == (None,) * 6
    assert express_runs(plant, plant.enclosures["box-b"]) == []


def test_moving_a_support_changes_the_length_of_its_route_only() -> None:
    history = History(TEMPLATES["mid-span-small"]())
    plant = history.plant
    before = {d.route.id: course_of(d.route).length_mm for d in drawn_routes(plant, housing(plant).id)}
    route = next(r for r in plant.routes.values() if r.id.endswith("T2>"))
    corner = next(i for i, s in enumerate(route.supports) if s.kind == "corner")
    wider = replace(route.supports[corner], radius_mm=route.supports[corner].radius_mm + 10.0)
    history.do(SetSupport(route.id, corner, wider))
    after = {d.route.id: course_of(d.route).length_mm for d in drawn_routes(plant, housing(plant).id)}
    # A quarter turn of R + 10 instead of R saves (2 - pi/2) x 10 mm.
    assert after.pop(route.id) == pytest.approx(before.pop(route.id) - (2 - pi / 2) * 10.0)
    assert after == before


def test_a_tray_load_follows_the_edits() -> None:
    history = start(
        *(site(p) for p in "abz"), cable("c", "lt-24", "a", "b", "z"), cable("d", "rd-4", "b", "z"), *box("b")
    )
    tray = history.plant.trays["tray-b-1"]
    history.do(OpenTubes("c", "c.b", (1,)), Store("c", "c.b", tuple(range(1, 13)), "", tray.id))
    assert tray_load(history.plant, tray).loops == 12
    history.do(CutFibres("c", "c.b", (1, 2)), Store("c", "c.b", (1, 2), "<", tray.id))
    load = tray_load(history.plant, tray)
    assert (load.joints, load.loops, load.stubs) == (0, 10, 2)
    history.do(Join("b", ((end("c", 1, "b", "<"), end("d", 1, "b", ">")),), tray.id))
    load = tray_load(history.plant, tray)
    assert (load.joints, load.loops, load.stubs, load.stored) == (1, 10, 1, 12)
