"""Fibres on a tray take true courses: no arc under the track radius, no kink, from the corner to the sleeve's end."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.entities import FibreEnd
from model.errors import PlantError
from model.geometry.course import Course
from model.parts import TrayCorner, TrayType
from model.plant import Plant
from model.templates import LARKMOOR, THISTLEMERE, mid_span
from model.traypath import (
    StoredCourse,
    lane_for,
    lane_turn_mm,
    loop_through,
    slot_box,
    stored_courses,
    stub,
    tail,
)

TRAYS = list(catalogue().tray_types.values())
kinds = st.sampled_from(TRAYS)
whole_turns = st.integers(0, 4)


def tray(key: str) -> TrayType:
    return catalogue().tray_types[key]


def corner(kind: TrayType, name: str) -> TrayCorner:
    return next(c for c in kind.corners if c.name == name)


def smooth(course: Course, kind: TrayType) -> bool:
    return not course.kinks and all(bend.radius_mm >= kind.track_radius_mm for bend in course.bends())


def on_outline(course: Course, kind: TrayType) -> bool:
    left, top, right, bottom = course.bbox
    return left >= -1e-6 and top >= -1e-6 and right <= kind.width_mm + 1e-6 and bottom <= kind.height_mm + 1e-6


@given(kinds, st.data(), whole_turns, st.booleans())
def test_a_tail_keeps_the_track_radius_and_ends_square_on_its_sleeve(
    kind: TrayType, data: st.DataObject, turns: int, reverse: bool
) -> None:
    start = data.draw(st.sampled_from(kind.corners))
    lane, slot = data.draw(st.integers(0, kind.lanes - 1)), data.draw(st.integers(1, kind.slots))
    course = tail(kind, start, lane, turns, slot, reverse=reverse)
    assert smooth(course, kind)
    assert on_outline(course, kind)
    assert course.start == pytest.approx((start.x_mm, start.y_mm))
    left, top, right, bottom = slot_box(kind, slot)
    x, y = course.end
    assert y == pytest.approx((top + bottom) / 2, abs=1e-6)
    heading = math.cos(course.heading_at(course.length_mm))
    if heading > 0:  # runs to the right, so into the left end
        assert (x, heading) == pytest.approx((left, 1.0), abs=1e-6)
    else:
        assert (x, heading) == pytest.approx((right, -1.0), abs=1e-6)


@given(kinds, st.data())
def test_tube_side_and_drop_side_meet_a_sleeve_from_opposite_ends(kind: TrayType, data: st.DataObject) -> None:
    lane, slot = data.draw(st.integers(0, kind.lanes - 1)), data.draw(st.integers(1, kind.slots))
    tube = tail(kind, data.draw(st.sampled_from([c for c in kind.corners if c.side == "tube"])), lane, 1, slot)
    drop = tail(kind, data.draw(st.sampled_from([c for c in kind.corners if c.side == "drop"])), lane, 1, slot)
    assert abs(tube.end[0] - drop.end[0]) == pytest.approx(kind.sleeve_mm)


@given(kinds, st.data())
def test_a_reversed_tail_meets_the_other_end(kind: TrayType, data: st.DataObject) -> None:
    start, slot = data.draw(st.sampled_from(kind.corners)), data.draw(st.integers(1, kind.slots))
    one = tail(kind, start, kind.lanes - 1, 1, slot)
    other = tail(kind, start, kind.lanes - 1, 1, slot, reverse=True)
    assert abs(one.end[0] - other.end[0]) == pytest.approx(kind.sleeve_mm)


@given(kinds, st.data(), whole_turns)
def test_a_loop_through_keeps_the_radius_stays_on_the_tray_and_leaves_outward(
    kind: TrayType, data: st.DataObject, turns: int
) -> None:
    one, two = data.draw(st.sampled_from(kind.corners)), data.draw(st.sampled_from(kind.corners))
    course = loop_through(kind, one, two, data.draw(st.integers(0, kind.lanes - 1)), turns)
    assert smooth(course, kind)
    assert on_outline(course, kind)
    assert course.start == pytest.approx((one.x_mm, one.y_mm))
    assert course.end == pytest.approx((two.x_mm, two.y_mm), abs=1e-6)
    out = math.cos(course.heading_at(course.length_mm))
    assert out == pytest.approx(-math.cos(math.radians(two.heading_deg)))


@given(kinds, st.data(), whole_turns)
def test_a_stub_keeps_the_radius_and_is_parked_on_the_far_straight(
    kind: TrayType, data: st.DataObject, turns: int
) -> None:
    course = stub(kind, data.draw(st.sampled_from(kind.corners)), 0, turns)
    assert smooth(course, kind)
    assert on_outline(course, kind)
    assert course.end[1] == pytest.approx(kind.track_y_mm + kind.straight_y_mm / 2 + kind.track_radius_mm)


@given(kinds, st.data(), st.integers(0, 4))
def test_each_more_turn_is_one_turn_of_the_lane(kind: TrayType, data: st.DataObject, turns: int) -> None:
    lane, start = data.draw(st.integers(0, kind.lanes - 1)), data.draw(st.sampled_from(kind.corners))
    less, more = tail(kind, start, lane, turns, 1), tail(kind, start, lane, turns + 1, 1)
    assert more.length_mm - less.length_mm == pytest.approx(lane_turn_mm(kind, lane))


@pytest.mark.parametrize("turns", [0, 1, 3])
def test_length_of_the_tail_to_slot_1_of_the_24_slot_tray(turns: int) -> None:
    # By hand, outer lane R 30 + 2 x 3 = 36, top y 42 - 36 = 6 where corner A1 is. Lead: 102 to the lane's upper right
    # corner. One turn 2 x 60 + 2 pi 36. Then a quarter of 36, down from 42 to 81 - 30, a quarter of 30, and from
    # x 138 - 30 to the sleeve's right end 72 + 20.
    lead, turn = 102.0, 120 + 2 * math.pi * 36
    peel = math.pi / 2 * 36 + 9 + math.pi / 2 * 30 + 16
    kind = tray("tray-24")
    course = tail(kind, corner(kind, "A1"), 2, turns, 1)
    assert course.length_mm == pytest.approx(lead + turns * turn + peel, abs=1e-6)
    assert course.end == pytest.approx((92.0, 81.0), abs=1e-9)


def test_rows_above_the_gap_are_reached_from_below_where_the_track_goes_round_the_holders() -> None:
    # Slot 12 lies at 15.2 + 11 x 4.2 = 61.4: a quarter of R 30 down to it would begin at 31.4, above the side's
    # straight (38 to 98), so the fibre runs up the other side. Slot 13 at 74.6 is reached from 44.6, running down.
    kind = tray("tray-24-large")
    left, _, right, _ = slot_box(kind, 12)
    assert tail(kind, corner(kind, "A1"), 2, 1, 12).end[0] == pytest.approx(left)
    assert tail(kind, corner(kind, "A1"), 2, 1, 13).end[0] == pytest.approx(right)


def test_a_loop_crosses_between_the_blocks_of_holders() -> None:
    # Between slot 12 (61.4) and slot 13 (74.6) the middle is 68.0; sleeves are 3 high at most.
    kind = tray("tray-24-large")
    course = loop_through(kind, corner(kind, "A1"), corner(kind, "A2"), 1, 1)
    gap, at = course.distance_to(kind.holder_x_mm, 68.0)
    assert gap == pytest.approx(0.0, abs=1e-6)
    assert abs(math.cos(course.heading_at(at))) == pytest.approx(1.0)


def test_a_reversal_over_a_figure_of_eight_by_hand() -> None:
    # Two circles of R 30 with their middles 60 apart touch half way: on the inner lane the reversal is two quarter
    # arcs at the track's middle (72, 42), straight up between them.
    kind = tray("tray-24")
    course = loop_through(kind, corner(kind, "A3"), corner(kind, "A3"), 0, 0)
    gap, at = course.distance_to(72.0, 42.0)
    assert gap == pytest.approx(0.0, abs=1e-6)
    assert math.sin(course.heading_at(at)) == pytest.approx(-1.0, abs=1e-6)
    # 102 on, half a turn round the right end, two quarters of R 30, and 42 off from the top of the left circle.
    assert course.length_mm == pytest.approx(102 + math.pi * 30 + math.pi * 30 + 42, abs=1e-6)


def test_a_short_track_has_no_room_to_reverse() -> None:
    short = replace(tray("tray-24"), straight_x_mm=40.0)
    with pytest.raises(PlantError, match="no room to reverse"):
        loop_through(short, corner(short, "A1"), corner(short, "A2"), 0, 1)


def test_a_row_that_no_lawful_arc_reaches_is_refused() -> None:
    high = replace(tray("tray-24"), holder_y_mm=50.0)
    with pytest.raises(PlantError, match="no arc of R 30 leads"):
        tail(high, corner(high, "A1"), 2, 1, 1)


def test_slots_and_lanes_that_are_not_there_are_named() -> None:
    with pytest.raises(PlantError, match="no slot 25"):
        slot_box(tray("tray-24"), 25)
    with pytest.raises(PlantError, match="no lane 3"):
        stub(tray("tray-24"), corner(tray("tray-24"), "A1"), 3, 1)


def test_box_of_a_slot_after_the_gap() -> None:
    # 81 + 12 x 4.2 + 3 = 134.4, half a pitch 2.1 each way, 72 +- 20.
    assert slot_box(tray("tray-24"), 13) == pytest.approx((52.0, 132.3, 92.0, 136.5))


def of(plant: Plant, tray_id: str, what: str) -> list[StoredCourse]:
    return [entry for entry in stored_courses(plant, plant.trays[tray_id]) if entry.what == what]


def test_the_small_job_stores_tails_outside_the_loop_between_and_stubs_inside() -> None:
    plant = mid_span(THISTLEMERE)
    tails, loops, stubs = (of(plant, "wb-07-tray-1", what) for what in ("tail", "loop", "stub"))
    assert [(t.slot, t.corner.side if t.corner else "") for t in tails] == [
        (slot, side) for slot in (1, 2, 3, 4) for side in ("tube", "drop")
    ]
    assert tails[0].refs == ("fibre:tm-b1:13",)
    assert tails[1].refs == ("fibre:d-1:1",)
    assert [loop.refs for loop in loops] == [tuple(f"fibre:tm-b1:{n}" for n in range(17, 25))]
    assert [s.refs for s in stubs] == [tuple(f"fibre:tm-b1:{n}" for n in range(13, 17))]
    kind = plant.tray_types["tray-24"]
    assert [lane_for(kind, w) for w in ("tail", "loop", "stub")] == [2, 1, 0]
    assert {t.lane for t in tails} == {2}
    assert loops[0].lane == 1
    assert stubs[0].lane == 0


def test_turns_of_a_tail_come_from_its_bare_length() -> None:
    # 1600 opened less 700 of tube leaves 900 of bare fibre, all on the exchange side. The way to slot 1 without turns
    # takes 102 + 56.5 + 9 + 47.1 + 16 = 230.7, a turn on the outer lane 346.2: (900 - 230.7) / 346.2 = 1.93, so 1.
    first = of(mid_span(THISTLEMERE), "wb-07-tray-1", "tail")[0]
    assert first.bare_mm == pytest.approx(900.0, abs=0.01)
    assert first.turns == 1
    assert first.course is not None
    assert first.course.length_mm == pytest.approx(230.67 + 346.19, abs=0.02)


def test_a_field_side_stub_without_bare_fibre_stays_at_its_corner() -> None:
    entry = of(mid_span(THISTLEMERE), "wb-07-tray-1", "stub")[0]
    assert entry.corner is not None
    assert entry.corner.name == "A2"
    assert entry.turns == 0
    assert entry.course is not None
    assert entry.course.length_mm <= 12.0 + 1e-9


def test_without_marks_every_fibre_takes_one_turn() -> None:
    plant = mid_span(THISTLEMERE)
    feeder, drop = plant.cables["tm-b1"], plant.cables["d-1"]
    middle = replace(feeder.stops[1], mark_in_m=None, mark_out_m=None)
    bare = Plant(
        replace(e, stops=(e.stops[0], middle, e.stops[2]))
        if e is feeder
        else replace(e, stops=(replace(e.stops[0], strip_mm=None), *e.stops[1:]))
        if e is drop
        else e
        for e in plant.entities()
    )
    found = stored_courses(bare, bare.trays["wb-07-tray-1"])
    assert {entry.turns for entry in found} == {1}
    assert all(entry.bare_mm is None for entry in found)


def test_a_fibre_joined_through_again_is_reversed_to_reach_the_other_end() -> None:
    plant = mid_span(THISTLEMERE)
    key, old = next(iter(plant.splices.items()))
    assert isinstance(old.a, FibreEnd)
    through = replace(old, b=replace(old.a, side=">"))
    again = Plant(through if getattr(e, "id", "") == key and e is old else e for e in plant.entities())
    one, two = (entry for entry in of(again, "wb-07-tray-1", "tail") if entry.slot == 1)
    assert (one.reverse, two.reverse) == (False, True)
    assert one.course is not None
    assert two.course is not None
    assert abs(one.course.end[0] - two.course.end[0]) == pytest.approx(40.0)


def test_the_large_job_holds_twenty_tails_and_two_groups_of_stubs() -> None:
    plant = mid_span(LARKMOOR)
    assert len(of(plant, "wb-12-tray-2", "tail")) == 20
    assert [len(entry.ends) for entry in of(plant, "wb-12-tray-2", "stub")] == [2, 12]
    assert of(plant, "wb-12-tray-2", "loop") == []
    assert stored_courses(plant, plant.trays["wb-12-tray-1"]) == []
    assert all(entry.course is not None for entry in stored_courses(plant, plant.trays["wb-12-tray-2"]))
