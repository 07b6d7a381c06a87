# mypy: disable-error-code="arg-type"
"""A draft has no kink, stays in the box, keeps its bends and its lanes; or it says in one line why there is none."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import pairwise
from math import hypot, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import catalogue, parts_for
from model.drafting import (
    drop_route,
    express_routes,
    legs_of,
    opened_routes,
    sheath_leg,
    solve_lane,
    tune_bare,
)
from model.drafting_parts import (
    LANE_GAP_MM,
    entry_named,
    leg_offsets,
    s_supports,
    sheath_end,
    sound,
    tray_corners,
)
from model.edits.parts import Add, Bring
from model.entities import Cable, Enclosure, Route, Stop, Support, Tray
from model.errors import EditError
from model.geometry.course import Course
from model.history import History
from model.layout import course_of
from model.parts import CableType, EnclosureType
from model.plant import Plant
from tests.model.lab import site

PARTS = catalogue()
FEEDERS = sorted(k for k, t in PARTS.cable_types.items() if t.tube_od_mm and len(t.tubes) <= 24 and t.od_mm > 5)
DROPS = sorted(k for k, t in PARTS.cable_types.items() if "drop" in t.construction or t.construction == "pigtail")
WALL_BOXES = ("wall-box-small", "wall-box-large")
OTHERS = sorted(k for k, t in PARTS.enclosure_types.items() if t.bays and k not in WALL_BOXES)
OPENINGS = (1000.0, 1300.0, 1600.0, 2000.0, 2700.0, 3400.0, 4000.0)


def lab(cable: str, box: str, tray: str | None = None, entry: str = "") -> tuple[Plant, Enclosure, Cable, Stop, Tray]:
    """A cable passing a box by 1A and 1B, or ending there by ``entry``, and a tray in its first position."""
    kind = PARTS.enclosure_types[box]
    history = History(Plant())
    history.do(Bring(parts_for(cable, box)))
    stop = Stop("c.b", "b", 100.0, 102.0, "1A", "1B")
    stops = (Stop("c.a", "a", mark_out_m=0.0), stop, Stop("c.z", "z", mark_in_m=500.0))
    if entry:
        stop = Stop("c.b", "b", mark_out_m=0.0, entry_out=entry)
        stops = (stop, Stop("c.z", "z", mark_in_m=500.0))  # type: ignore[assignment]
    made = Cable("c", "C", cable, stops)
    housing, laid = Enclosure("e", "b", box, "Box"), Tray("t", "e", tray or kind.trays[0], 1, "1")
    history.do(Add((*(site(p) for p in "abz"), made, housing, laid), "lay"))
    return history.plant, housing, made, stop, laid


def assert_good(course: Course, box: EnclosureType, least_mm: float) -> None:
    """No kink; never out of the box, sampled independently of the course's own box; no arc under the limit."""
    assert course.kinks == ()
    steps = max(int(course.length_mm / 3.0), 2)
    points = [course.point_at(course.length_mm * i / steps) for i in range(steps + 1)]
    assert all(-1e-6 <= x <= box.width_mm + 1e-6 and -1e-6 <= y <= box.height_mm + 1e-6 for x, y in points)
    assert all(bend.arc.radius_mm >= least_mm - 1e-6 for bend in course.bends())
    # A course is one curve: no step is longer along the chord than along the course.
    assert all(hypot(x2 - x1, y2 - y1) <= course.length_mm / steps + 1e-6 for (x1, y1), (x2, y2) in pairwise(points))


def tried(draft: Callable[[], Iterable[Route]]) -> tuple[list[Route], EditError | None]:
    """The routes drafted, or none and why."""
    try:
        return list(draft()), None
    except EditError as fault:
        return [], fault


def work(kind: CableType) -> tuple[int, tuple[int, ...]]:
    """(opened tube, express tubes)."""
    opened = min(2, len(kind.tubes))
    return opened, tuple(t for t in range(1, len(kind.tubes) + 1) if t != opened)


def check_express(feeder: str, box: str, opening_mm: float) -> bool:
    """Whether uncut tubes were drafted; every draft made is good."""
    plant, housing, made, stop, _ = lab(feeder, box)
    kind, room = PARTS.cable_types[feeder], PARTS.enclosure_types[box]
    _, express = work(kind)
    routes, fault = tried(lambda: express_routes(plant, housing, made, stop, express, opening_mm, extra_outer=1))
    if fault is not None:
        assert fault.message
        assert fault.hint
        return False
    assert [route.tubes for route in routes] == [(tube,) for tube in express]
    bay = room.bays[0]
    lanes = [next(s.radius_mm for s in route.supports if s.kind == "wrap") for route in routes]
    assert all(bay.hub_mm - 1e-6 <= lane <= bay.ring_mm - kind.tube_od_mm / 2 + 1e-6 for lane in lanes)
    gaps = [two - one for one, two in pairwise(lanes)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps)) if gaps else True
    # Lanes keep to the tube's own limit where that is wider than the hub: only the rest of the bay is room.
    inner = max(bay.hub_mm, kind.tube_bend_mm)
    wide = len(lanes) * (kind.tube_od_mm + LANE_GAP_MM) <= bay.ring_mm - inner
    if gaps and wide:
        assert min(gaps) >= kind.tube_od_mm
    for route in routes:
        assert_good(course_of(route), room, kind.tube_bend_mm)
    return True


@pytest.mark.parametrize("box", WALL_BOXES)
@pytest.mark.parametrize("feeder", FEEDERS)
def test_uncut_tubes_in_a_wall_box(feeder: str, box: str) -> None:
    kind = PARTS.cable_types[feeder]
    drafted = [check_express(feeder, box, opening) for opening in OPENINGS] if len(kind.tubes) > 1 else []
    # What a bay of 45 mm can take at all is drafted at every opening.
    assert all(drafted) or kind.tube_bend_mm > PARTS.enclosure_types[box].bays[0].hub_mm


@pytest.mark.parametrize("box", WALL_BOXES)
@pytest.mark.parametrize("feeder", FEEDERS)
def test_an_opened_tube_in_a_wall_box(feeder: str, box: str) -> None:
    kind, room = PARTS.cable_types[feeder], PARTS.enclosure_types[box]
    for tray in room.trays:
        plant, housing, made, stop, laid = lab(feeder, box, tray)
        tube = work(kind)[0]
        pair, fault = tried(lambda: opened_routes(plant, housing, made, stop, tube, laid))  # noqa: B023  called at once
        if fault is not None:
            assert kind.tube_bend_mm > 45.0, fault
            continue
        for route, side in zip(pair, "<>", strict=True):
            course = course_of(route)
            assert_good(course, room, kind.tube_bend_mm)
            assert (route.side, route.tray) == (side, "t")
            corners = {(c.x_mm, c.y_mm) for c in tray_corners(plant, housing, laid, "tube")}
            assert any(hypot(course.end[0] - x, course.end[1] - y) < 1e-6 for x, y in corners)


@given(st.sampled_from(OTHERS), st.sampled_from(FEEDERS), st.floats(600.0, 4000.0))
def test_other_enclosures_are_drafted_well_or_refused_in_words(box: str, feeder: str, opening_mm: float) -> None:
    room = PARTS.enclosure_types[box]
    assert {"1A", "1B"} <= {entry.name for entry in room.entries}
    kind = PARTS.cable_types[feeder]
    if len(kind.tubes) > 1:
        check_express(feeder, box, opening_mm)
    plant, housing, made, stop, laid = lab(feeder, box)
    pair, fault = tried(lambda: opened_routes(plant, housing, made, stop, work(kind)[0], laid))
    if fault is not None:
        assert fault.where == "Box"
    for route in pair:
        assert_good(course_of(route), room, kind.tube_bend_mm)


@pytest.mark.parametrize("transport_od_mm", [None, 8.0])
@pytest.mark.parametrize("box", WALL_BOXES)
@pytest.mark.parametrize("drop", DROPS)
def test_drops_by_every_entry_keep_their_bend(drop: str, box: str, transport_od_mm: float | None) -> None:
    kind, room = PARTS.cable_types[drop], PARTS.enclosure_types[box]
    least = max(kind.tube_bend_mm or 30.0, 38.0 if transport_od_mm else 0.0)
    for entry in room.entries:
        for tray in room.trays:
            plant, housing, made, stop, laid = lab(drop, box, tray, entry.name)
            route = drop_route(plant, housing, ((made, stop),), laid, transport_od_mm=transport_od_mm)
            assert_good(course_of(route), room, least)
            assert course_of(route).start == pytest.approx(sheath_end(entry))


@given(
    st.floats(-200.0, 200.0), st.floats(-200.0, 200.0), st.floats(60.0, 400.0), st.floats(-60.0, 60.0), st.booleans()
)
def test_an_s_joins_two_parallel_lines_without_a_kink(
    x: float, y: float, along: float, aside: float, vertical: bool
) -> None:
    end = (x + aside, y - along) if vertical else (x + along, y + aside)
    heading = -90.0 if vertical else 0.0
    supports = (
        Support("anchor", x, y, heading_deg=heading),
        *s_supports(x, y, *end, vertical=vertical),
        Support("anchor", *end, heading_deg=heading),
    )
    if abs(aside) < 1e-3:
        return
    course = course_of(Route("r", "e", "tube", (), supports))
    assert course.kinks == ()
    radii = [bend.arc.radius_mm for bend in course.bends()]
    assert len(radii) == 2
    assert radii[0] == pytest.approx(radii[1])


def test_the_mean_uncut_tube_takes_up_its_opening() -> None:
    for box, opening in (("wall-box-small", 1600.0), ("wall-box-large", 2700.0)):
        plant, housing, made, stop, _ = lab("lt-48", box)
        routes = express_routes(plant, housing, made, stop, (1, 3, 4), opening, extra_outer=1)
        lengths = [course_of(route).length_mm for route in routes]
        assert sum(lengths) / 3 == pytest.approx(opening, rel=0.002)
        assert lengths == sorted(lengths)


def test_a_lane_is_solved_by_hand() -> None:
    # Round bay, legs of 200 mm each: 1600 - 400 = 1200 mm on 3.5 turns is a lane of 54.57; 4.5 turns would need 42.4.
    bay = PARTS.enclosure_types["wall-box-small"].bays[0]
    plant, housing, _, stop, _ = lab("lt-48", "wall-box-small")
    lane, turns = solve_lane(bay, legs_of(plant, housing, stop), 1600.0, 45.0, 60.0)
    assert turns == 3
    assert lane == pytest.approx(1200.0 / (2 * pi * 3.5))


def test_an_opening_too_short_for_half_a_turn_says_how_much_it_takes() -> None:
    plant, housing, made, stop, _ = lab("lt-48", "wall-box-small")
    with pytest.raises(EditError, match="too short to go round the bay") as fault:
        express_routes(plant, housing, made, stop, (1,), 500.0)
    # Two legs of 200 mm and half a turn of the hub: 541.4 mm.
    assert fault.value.hint == "Open at least 541 mm"


def test_the_opened_tubes_are_tuned_to_a_length_that_lies_between_hub_and_ring_only() -> None:
    plant, housing, made, stop, laid = lab("lt-48", "wall-box-small")
    tuned = tune_bare(plant, housing, made, stop, 2, laid, 700.0)
    assert tuned is not None
    assert sum(course_of(route).length_mm for route in tuned) == pytest.approx(700.0, abs=0.01)
    assert tune_bare(plant, housing, made, stop, 2, laid, 300.0) is None
    assert tune_bare(plant, housing, made, stop, 2, laid, 3000.0) is None


def test_a_leg_of_sheath_runs_straight_from_outside_to_its_end() -> None:
    plant, housing, _, stop, _ = lab("lt-48", "wall-box-small")
    for name, side in (("1A", "<"), ("1B", ">")):
        route = sheath_leg(plant, housing, stop, name)
        course = course_of(route)
        entry = entry_named(plant, housing, name)
        assert route.side == side
        assert course.kinks == ()
        assert course.length_mm == pytest.approx(44.0 + 48.0)
        assert course.end == pytest.approx((entry.x_mm, 340.0 - 48.0))


def test_what_the_enclosure_lacks_is_named() -> None:
    plant, housing, _, _, laid = lab("lt-48", "wall-box-small")
    with pytest.raises(EditError, match="no entry '9'") as fault:
        entry_named(plant, housing, "9")
    assert "1A" in fault.value.hint
    with pytest.raises(EditError, match="no tray position 9"):
        tray_corners(plant, housing, replace(laid, position=9), "tube")
    with pytest.raises(EditError, match="no entry ''"):
        legs_of(plant, housing, Stop("c.b", "b"))


def anchored(*supports: Support) -> Route:
    return Route("r", "e", "tube", (), (Support("anchor", 100, 300, heading_deg=-90.0), *supports))


@pytest.mark.parametrize(
    ("route", "says"),
    [
        (anchored(Support("anchor", 100, -50)), "runs out of the box"),
        (anchored(Support("anchor", 200, 200)), "kinks at x 100, y 300"),
        (
            anchored(Support("corner", 100, 200, 20.0), Support("anchor", 300, 200)),
            "bends to 20 mm, its limit is 38 mm",
        ),
        (anchored(Support("corner", 100, 200, 900.0), Support("anchor", 300, 200)), "has no course"),
    ],
)
def test_a_bad_draft_is_refused_with_its_reason(route: Route, says: str) -> None:
    plant, housing, *_ = lab("lt-48", "wall-box-small")
    with pytest.raises(EditError, match=says) as fault:
        sound(plant, housing, route, 38.0)
    assert fault.value.where == "Box"
    good = anchored(Support("corner", 100, 200, 40.0), Support("anchor", 300, 200))
    assert sound(plant, housing, good, 38.0) is good


def test_tubes_leave_a_sheath_within_its_thickness() -> None:
    # Four tubes of 2.5 mm from a sheath of 10.4: three pitches of (10.4 - 2.5) / 3, less than tube and gap.
    assert leg_offsets(4, 2.5, 10.4) == pytest.approx([-3.95, -1.3167, 1.3167, 3.95], abs=1e-3)
    # Two tubes: one pitch of 2.9.
    assert leg_offsets(2, 2.5, 10.4) == pytest.approx([-1.45, 1.45])
    assert leg_offsets(1, 2.5, 10.4) == [0.0]
    assert leg_offsets(0, 2.5, 10.4) == []
