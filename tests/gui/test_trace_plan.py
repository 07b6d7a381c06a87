"""The course of a path as the Trace view lays it out, and the one scale that its pictures share."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gui.panels.trace_scale import NEAREST_M, TraceScale, steps
from gui.views.trace_plan import EVEN_M, Plan, hung_under, plan_of
from model.edits.parts import Replace
from model.entities import MarkJump, Ticket
from model.graph import Continuity
from model.history import History
from model.ids import ServiceId, TicketId
from model.plant import Plant
from model.trace import service_node
from tests.gui.hands import sample


def plan(plant: Plant, service: str) -> tuple[Continuity, Plan]:
    """The course of a service's path."""
    continuity = Continuity(plant)
    found = plan_of(continuity, service_node(continuity, service))
    assert found is not None
    return continuity, found


def test_stations_of_the_marrowfield_path_stand_at_their_fibre_metres() -> None:
    # By hand: 6 m of tail at the hub, then sheath x 1.018 from mark to mark, openings of 2 m of sheath included:
    # K1 6 + 1855 x 1.018 = 1894.39; K2 6 + 3147 x 1.018 = 3209.646; K3 6 + 4089 x 1.018 = 4168.602;
    # K4 6 + 4761 x 1.018 = 4852.698; then a drop of 30 m x 1.02.
    _, course = plan(sample("marrowfield"), "c9")
    assert course.true
    assert [(s.name, round(s.at_m, 3)) for s in course.stations] == [
        ("Marrowfield Hub", 0.0),
        ("K1", 1894.39),
        ("K2", 3209.646),
        ("K3", 4168.602),
        ("K4", 4852.698),
        ("Far Barn", 4883.298),
    ]
    assert [s.route_m for s in course.stations[:5]] == [0, 1825, 3085, 3995, 4635]


def test_marks_run_along_the_sheath_and_not_along_the_tail() -> None:
    # The scenario: 3205.7 m of fibre past the tail of 6 m is 3149.1 m of sheath, mark 4 + 3149.1 = 3153.
    _, course = plan(sample("marrowfield"), "c9")
    mark = course.mark_at(3211.7)
    assert mark == pytest.approx(3153.0, abs=0.05)
    assert course.mark_at(3.0) is None
    assert course.at_mark("mf-48", 3153.0) == pytest.approx(3211.682, abs=0.001)
    assert course.at_mark("mf-48", 4.0) == pytest.approx(6.0)
    # In the opening at K2 (marks 3151 to 3153) no mark is printed any more: the nearer end of the sheath is meant.
    assert course.at_mark("mf-48", 3151.4) == pytest.approx(3209.646, abs=0.001)


def test_marks_begin_anew_where_the_print_jumps() -> None:
    plant = sample("marrowfield")
    cable = plant.cables["mf-48"]
    # Between K2 (3153 out) and K3 (4093 in) the print goes to 3500, and on from 8000: 347 m and then 593 m to 8593.
    stops = tuple(
        replace(s, jumps=(MarkJump(3500.0, 8000.0),))
        if s.site == "k2"
        else replace(s, mark_in_m=8593.0, mark_out_m=8595.0)
        if s.site == "k3"
        else replace(s, mark_in_m=9265.0)
        if s.site == "k4"
        else s
        for s in cable.stops
    )
    History(plant).do(Replace(replace(cable, stops=stops), "jump"))
    _, course = plan(plant, "c9")
    k2 = 6 + 3149 * 1.018
    assert course.at_mark("mf-48", 3500.0) == pytest.approx(k2 + 347 * 1.018)
    assert course.at_mark("mf-48", 8100.0) == pytest.approx(k2 + 447 * 1.018)
    assert course.mark_at(k2 + 447 * 1.018) == pytest.approx(8100.0)
    assert course.stations[4].at_m == pytest.approx(4852.698)


def test_services_hang_where_they_leave_the_path_by_what_was_heard() -> None:
    continuity, course = plan(sample("marrowfield"), "c9")
    down = tuple(ServiceId(f"c{n}") for n in (5, 6, 9, 10, 11))
    up = tuple(ServiceId(f"c{n}") for n in (1, 2, 3, 4, 8, 12))
    ticket = Ticket(TicketId("t"), "0231", "", down, up)
    hung = hung_under(continuity, course, ticket, continuity.plant.services)
    said = {s.name: (h.down, h.up, h.unknown) for s, h in zip(course.stations, hung, strict=True)}
    assert said["K1"] == ((), ("C1", "C2"), ())
    assert said["K2"] == ((), ("C3", "C4"), ())
    assert said["K3"] == (("C5", "C6"), ("C8",), ("C7",))
    assert said["K4"] == (("C9", "C10", "C11"), ("C12",), ())
    assert said["Marrowfield Hub"] == said["Far Barn"] == ((), (), ())


def test_a_path_with_an_unknown_length_stands_evenly_and_says_so() -> None:
    plant = sample("marrowfield")
    history = History(plant)
    cable = plant.cables["mf-48"]
    stops = tuple(replace(s, mark_in_m=None) if s.site == "k2" else s for s in cable.stops)
    history.do(Replace(replace(cable, stops=stops), "lose a mark"))
    _, course = plan(plant, "c9")
    assert not course.true
    assert [s.at_m for s in course.stations] == [n * EVEN_M for n in range(6)]


@pytest.mark.parametrize("name", ["thistlemere", "larkmoor", "bramblecote"])
def test_the_course_of_every_service_is_as_long_as_its_glass(name: str) -> None:
    plant = sample(name)
    continuity = Continuity(plant)
    for service in plant.services:
        course = plan_of(continuity, service_node(continuity, service))
        assert course is not None
        places = [x for span in course.spans for x in (span.from_m, span.to_m)]
        assert places == sorted(places)
        assert [s.at_m for s in course.stations] == sorted(s.at_m for s in course.stations)
        assert course.spans[-1].to_m <= course.length_m + 1e-6


@given(
    st.floats(-500, 0),
    st.floats(10, 90_000),
    st.lists(st.tuples(st.floats(0.2, 8.0), st.floats(0, 1), st.floats(-1, 1)), max_size=8),
)
def test_however_it_is_zoomed_places_and_pixels_agree_and_nothing_beyond_the_whole_is_shown(
    low: float, high: float, moves: list[tuple[float, float, float]]
) -> None:
    scale = TraceScale()
    scale.set_whole(low, high)
    for factor, part, by in moves:
        shown = scale.shown
        about = shown[0] + part * (shown[1] - shown[0])
        scale.zoom(factor, about)
        scale.pan(by * (shown[1] - shown[0]))
        assert scale.whole[0] - 1e-6 <= scale.shown[0] < scale.shown[1] <= scale.whole[1] + 1e-6
        assert scale.shown[1] - scale.shown[0] >= min(NEAREST_M, scale.whole[1] - scale.whole[0]) - 1e-6
        assert scale.m_of(scale.x_of(about)) == pytest.approx(about, abs=1e-6)


def test_zooming_keeps_the_place_under_the_pointer() -> None:
    scale = TraceScale()
    scale.set_whole(0, 5000)
    before = scale.x_of(3211)
    scale.zoom(2.0, 3211)
    assert scale.x_of(3211) == pytest.approx(before)
    scale.fit()
    assert scale.shown == (0, 5000)


def test_round_steps_of_a_ruler() -> None:
    assert steps(-156, 5100, 6) == [0, 1000, 2000, 3000, 4000, 5000]
    assert steps(3138, 3169, 5) == [3140, 3150, 3160]
    assert steps(1.0, 1.0, 5) == []
