"""Joints and trays that change places: nothing else moves, courses stay courses, and what cannot is refused whole."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.edits.parts import Add
from model.edits.swapping import SwapSlots, SwapTrays, followed
from model.entities import Route, Support
from model.errors import EditError
from model.history import History
from model.ids import EnclosureId, RouteId, SpliceId, TrayId
from model.layout import course_of
from model.templates import TEMPLATES


def box() -> History:
    return History(TEMPLATES["mid-span-large"]())


@pytest.mark.parametrize("pair", list(combinations((1, 2, 3), 2)))
def test_any_two_trays_swap_and_swap_back_to_where_they_were(pair: tuple[int, int]) -> None:
    history = box()
    trays = {t.position: t for t in history.plant.trays.values()}
    one, other = trays[pair[0]], trays[pair[1]]
    ends = {r.id: r.supports[-1] for r in history.plant.routes.values()}
    splices = dict(history.plant.splices)
    for _ in range(2):
        history.do(SwapTrays(one.id, other.id))
        assert sorted(t.position for t in history.plant.trays.values()) == [1, 2, 3]
        for route in history.plant.routes.values():
            assert course_of(route).length_mm > 0
    assert dict(history.plant.trays) == {t.id: t for t in trays.values()}
    assert dict(history.plant.splices) == splices
    for key, end in ends.items():
        again = history.plant.routes[key].supports[-1]
        assert (again.x_mm, again.y_mm) == pytest.approx((end.x_mm, end.y_mm))


def test_trays_of_different_boxes_and_missing_ones_are_refused() -> None:
    history = box()
    home = next(iter(history.plant.enclosures.values()))
    tray = next(iter(history.plant.trays.values()))
    there = replace(home, id=EnclosureId("second"), name="SECOND")
    history.do(Add((there, replace(tray, id=TrayId("elsewhere"), enclosure=there.id, position=1)), "second box"))
    before = history.plant.copy()
    for other in ("elsewhere", "nowhere"):
        with pytest.raises(EditError) as caught:
            history.do(SwapTrays(tray.id, TrayId(other)))
        assert caught.value.hint
    assert history.plant == before


def test_a_joint_that_is_gone_is_refused_and_nothing_moves() -> None:
    history = box()
    key = SpliceId(next(iter(history.plant.splices)))
    before = history.plant.copy()
    with pytest.raises(EditError, match="no joint"):
        history.do(SwapSlots((((key,), (SpliceId("gone"),)),)))
    assert history.plant == before


def test_a_course_follows_by_the_corners_in_line_with_its_end() -> None:
    # Up from (0, 100), a corner of R 20 at (0, 0), then right to its end: only the height of the second leg changes.
    supports = (
        Support("anchor", 0.0, 100.0, heading_deg=-90.0),
        Support("corner", 0.0, 0.0, 20.0),
        Support("anchor", 80.0, 0.0, heading_deg=0.0),
    )
    route = Route(RouteId("r"), EnclosureId("e"), "tube", (), supports)
    moved = followed(route, 0.0, 16.0)
    assert [(s.x_mm, s.y_mm, s.radius_mm) for s in moved.supports] == [(0, 100, 0), (0, 16, 20), (80, 16, 0)]
    assert course_of(route).length_mm - course_of(moved).length_mm == pytest.approx(16.0)


@given(st.floats(-70.0, 70.0), st.floats(-30.0, 30.0))
def test_a_followed_course_starts_where_it_did_and_ends_where_its_tray_went(down: float, across: float) -> None:
    history = box()
    for route in history.plant.routes.values():
        if route.tray is None:
            continue
        try:
            moved = followed(route, across, down)
        except EditError:
            continue
        assert moved.supports[0] == route.supports[0]
        end, was = moved.supports[-1], route.supports[-1]
        assert (end.x_mm, end.y_mm) == pytest.approx((was.x_mm + across, was.y_mm + down))
        assert course_of(moved).length_mm > 0
