# mypy: disable-error-code="arg-type"
"""Routes, plugs and holds: numbers that can be drawn, things that are there."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan
from typing import Any

import pytest

from model.edits.routing import DrawRoute, Hold, SetPlugs, SetSupport
from model.entities import Route, Support
from model.errors import EditError
from model.history import Edit, History
from tests.model.lab import box, cable, site, start

A, Z = Support("anchor", 40.0, 300.0, heading_deg=-90.0), Support("anchor", 200.0, 100.0)
CORNER = Support("corner", 40.0, 100.0, 40.0)
ROUTE = Route("r", "box-b", "tube", ("c.b",), (A, CORNER, Z), (1,))


def lab() -> History:
    return start(*(site(place) for place in "abz"), cable("c", "lt-24", "a", "b", "z"), *box("b"))


def with_supports(*supports: Support) -> Route:
    return replace(ROUTE, supports=supports)


def test_a_route_is_drawn_moved_and_undone() -> None:
    history = lab()
    history.do(DrawRoute(ROUTE))
    history.do(SetSupport("r", 1, replace(CORNER, radius_mm=60.0)))
    assert history.plant.routes["r"].supports == (A, replace(CORNER, radius_mm=60.0), Z)
    history.do(DrawRoute(with_supports(A, Z)))
    history.undo()
    history.undo()
    assert history.plant.routes["r"] == ROUTE


def bad(**values: Any) -> DrawRoute:
    return DrawRoute(with_supports(A, replace(CORNER, **values), Z))


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (DrawRoute(with_supports(A)), "starts and ends"),
        (DrawRoute(with_supports()), "starts and ends"),
        (DrawRoute(with_supports(CORNER, Z)), "starts and ends"),
        (DrawRoute(with_supports(A, Z, Z)), "only at its two ends"),
        (bad(x_mm=nan), "out of bounds"),
        (bad(y_mm=inf), "out of bounds"),
        (bad(x_mm=1e9), "out of bounds"),
        (bad(level_mm=-1e9), "out of bounds"),
        (bad(heading_deg=nan), "out of bounds"),
        (bad(radius_mm=-1.0), "above zero"),
        (bad(kind="wrap", radius_mm=0.0), "above zero"),
        (bad(kind="wrap", turns=51), "51 turns"),
        (bad(kind="wrap", turns=-1), "-1 turns"),
        (DrawRoute(replace(ROUTE, enclosure="q")), "no enclosure"),
        (DrawRoute(replace(ROUTE, tray="q")), "no tray"),
        (DrawRoute(replace(ROUTE, stops=("c.a",))), "no cable has a stop 'c.a' at this enclosure"),
        (SetSupport("r", 0, CORNER), "has no support"),
        (SetPlugs("q", ()), "no enclosure"),
        (SetPlugs("box-b", ("1A", "Q")), "no entry Q"),
        (Hold("c", "q", anchored_in=True), "no stop"),
        (Hold("q", "c.b", anchored_in=True), "no stop"),
    ],
)
def test_what_cannot_be_is_an_edit_error_and_changes_nothing(edit: Edit, says: str) -> None:
    history = lab()
    before = history.plant.copy()
    with pytest.raises(EditError, match=says):
        history.do(edit)
    assert history.plant == before


@pytest.mark.parametrize("index", [-1, 3, 99])
def test_a_support_that_is_not_there_cannot_be_moved(index: int) -> None:
    history = lab()
    history.do(DrawRoute(ROUTE))
    with pytest.raises(EditError, match="has no support"):
        history.do(SetSupport("r", index, CORNER))


def test_a_dragged_end_stays_an_anchor_and_a_middle_support_never_becomes_one() -> None:
    history = lab()
    history.do(DrawRoute(ROUTE))
    for index, support in ((0, CORNER), (2, CORNER), (1, A)):
        with pytest.raises(EditError):
            history.do(SetSupport("r", index, support))


def test_plugs_are_kept_sorted_and_once() -> None:
    history = lab()
    history.do(SetPlugs("box-b", ("4", "2", "4")))
    assert history.plant.enclosures["box-b"].plugged == ("2", "4")


def test_holding_sets_only_what_is_said() -> None:
    history = lab()
    history.do(Hold("c", "c.b", anchored_in=True))
    history.do(Hold("c", "c.b", bonded=True))
    stop = history.plant.cables["c"].stops[1]
    assert (stop.anchored_in, stop.anchored_out, stop.bonded) == (True, False, True)
