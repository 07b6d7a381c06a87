"""Random routes that exist by construction, and dense sampling of them, for the geometry tests.

Supports advance by 100 mm in x and keep to circles of at most 20 mm around places at most 15 mm off
their column, so no two circles touch and every fillet (at most 10 mm) has room.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
from hypothesis import strategies as st

from model.geometry.belt import Anchor, Corner, Support, Wrap
from model.geometry.course import Course

Points = npt.NDArray[np.float64]
OFF = st.floats(-15, 15)
ACROSS = st.floats(-80, 80)
LEVEL = st.sampled_from([0.0, 0.0, 12.5, -30.0])


@st.composite
def supports(draw: st.DrawFn, *, kinks: bool = False, levels: bool = False, most: int = 6) -> list[Support]:
    """Two anchors with up to ``most`` wraps and corners between them."""
    rise = LEVEL if levels else st.just(0.0)
    least_fillet = st.one_of(st.just(0.0), st.floats(1, 10)) if kinks else st.floats(1, 10)
    held = st.one_of(st.none(), st.floats(-3, 3)) if kinks else st.none()
    inner = draw(st.integers(1, most))
    route: list[Support] = [Anchor(draw(OFF), draw(ACROSS), draw(held), draw(rise))]
    for column in range(1, inner + 1):
        x, y = 100 * column + draw(OFF), draw(ACROSS)
        if draw(st.booleans()):
            side, turns = draw(st.sampled_from([1, -1])), draw(st.sampled_from([0, 0, 0, 1, 3]))
            route.append(Wrap(x, y, draw(st.floats(2, 20)), side, turns, draw(rise)))
        else:
            route.append(Corner(x, y, draw(least_fillet), draw(rise)))
    route.append(Anchor(100 * inner + 100, draw(ACROSS), draw(held), draw(rise)))
    return route


def sampled(course: Course, spacing_mm: float) -> tuple[Points, Points]:
    """Evenly spaced positions along a course and the points there, about ``spacing_mm`` apart."""
    places = np.linspace(0, course.length_mm, math.ceil(course.length_mm / spacing_mm) + 1)
    return places, np.array([course.point_at(float(s)) for s in places])


def turned_back(route: list[Support]) -> list[Support]:
    """The same supports for an item laid from the other end."""
    back: list[Support] = []
    for support in reversed(route):
        if isinstance(support, Wrap):
            back.append(
                Wrap(
                    support.cx,
                    support.cy,
                    support.radius_mm,
                    -support.side,
                    support.turns,
                    support.level_mm,
                )
            )
        elif isinstance(support, Anchor) and support.heading is not None:
            back.append(Anchor(support.x, support.y, support.heading + math.pi, support.level_mm))
        else:
            back.append(support)
    return back
