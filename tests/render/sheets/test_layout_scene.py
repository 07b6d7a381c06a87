"""A chip finds the same place by leaping over what blocks it as by trying every spot."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from model.geometry.course import Course
from model.geometry.segments import Straight
from render.box import Box
from render.dims import Scale
from render.sheets.layout_scene import Taken, View, spots

INSIDE = Box(0.0, 0.0, 150.0, 100.0)
PLACE = st.tuples(st.integers(-20, 320).map(float), st.integers(-20, 220).map(float))
BOXES = st.lists(
    st.builds(Box, st.floats(-10, 150), st.floats(-10, 100), st.floats(0.5, 60), st.floats(0.5, 60)), max_size=12
)


def _every_spot(
    taken: Taken, view: View, course: Course, size: tuple[float, float], start_mm: float, end_mm: float
) -> tuple[float, float, float] | None:
    for s in spots(start_mm, end_mm, 3.0):
        x, y = view.on(course, s)
        box = Box(x - size[0] / 2, y - size[1] / 2, *size)
        if INSIDE.holds(box.grown(0.5)) and taken.free(box):
            return x, y, s
    return None


@given(
    st.lists(PLACE, min_size=2, max_size=6),
    BOXES,
    st.tuples(st.floats(2, 30), st.floats(2, 8)),
    st.floats(0, 0.5),
    st.floats(0.5, 1.0),
)
def test_the_place_is_that_of_the_first_free_spot(
    places: list[tuple[float, float]], boxes: list[Box], size: tuple[float, float], start: float, end: float
) -> None:
    corners = [a for a, b in zip(places, [*places[1:], None], strict=True) if a != b]
    if len(corners) < 2:
        return
    course = Course(tuple(Straight(*a, *b) for a, b in pairwise(corners)))
    view, taken = View(Scale(2, 4), 3.0, -2.0), Taken(boxes)
    low, high = start * course.length_mm, end * course.length_mm
    assert taken.along(view, course, size, low, high, INSIDE) == _every_spot(taken, view, course, size, low, high)
