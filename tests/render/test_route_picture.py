"""Lines of the route picture: each joins its boxes, and none runs under another box or over a branch beside it."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.storage.files import load
from render.drawing import Group, LineTo, MoveTo, Rect, Text
from render.drawing import Path as Stroke
from render.route_picture import place_sites, route_groups
from render.route_ways import BOX_H, BOX_W, COLUMN, ROW, Cell, Way, Ways
from render.text import text_width

SAMPLES = Path(__file__).parents[2] / "samples"

cells = st.tuples(st.integers(0, 6), st.integers(0, 6))


def inside(a: tuple[float, float], b: tuple[float, float], cell: Cell) -> bool:
    """Whether a level or upright stretch passes over the face of a box."""
    left, top = cell[1] * COLUMN, cell[0] * ROW
    low_x, high_x = sorted((a[0], b[0]))
    low_y, high_y = sorted((a[1], b[1]))
    return low_x < left + BOX_W - 0.01 and high_x > left + 0.01 and low_y < top + BOX_H - 0.01 and high_y > top + 0.01


@given(st.sets(cells, min_size=2, max_size=14).map(sorted), st.data())
def test_no_line_runs_under_a_box_and_each_ends_at_its_own(boxes: list[Cell], data: st.DataObject) -> None:
    pair = st.tuples(st.sampled_from(boxes), st.sampled_from(boxes)).filter(lambda p: p[0] != p[1])
    pairs = data.draw(st.lists(pair, min_size=1, max_size=10, unique=True))
    ways = Ways(boxes, pairs)
    for a, b in pairs:
        way = ways.way(a, b)
        ends = {a: False, b: False}
        for corner in (way[0], way[-1]):
            for cell in ends:
                left, top = cell[1] * COLUMN, cell[0] * ROW
                ends[cell] |= corner[0] in (left, left + BOX_W) and top <= corner[1] <= top + BOX_H
        assert all(ends.values())
        for one, two in itertools.pairwise(way):
            assert one[0] == two[0] or one[1] == two[1]
            assert not [cell for cell in boxes if inside(one, two, cell)]


def crossing(one: Way, two: Way) -> bool:
    for (a, b), (c, d) in itertools.product(itertools.pairwise(one), itertools.pairwise(two)):
        if (a[0] == b[0]) == (c[0] == d[0]):
            continue
        (u1, u2), (l1, l2) = ((a, b), (c, d)) if a[0] == b[0] else ((c, d), (a, b))
        low_x, high_x = sorted((l1[0], l2[0]))
        low_y, high_y = sorted((u1[1], u2[1]))
        if low_x < u1[0] < high_x and low_y < l1[1] < high_y:
            return True
    return False


@pytest.mark.parametrize("rows", [(1, 2), (1, 2, 3), (2, 3, 5, 6), (-1, -2, 1, 2)])
def test_branches_of_one_box_do_not_cross(rows: tuple[int, ...]) -> None:
    a, ends = (3, 0), [(3 + row, 1) for row in rows]
    ways = Ways([a, *ends], [(a, b) for b in ends])
    lines = [ways.way(a, b) for b in ends]
    assert len(set(lines)) == len(ends)
    assert not [pair for pair in itertools.combinations(lines, 2) if crossing(*pair)]


def test_a_branch_is_named_between_the_lanes_and_its_box_and_a_lone_line_over_the_whole_gutter() -> None:
    a, b, c = (0, 0), (2, 1), (0, 1)
    branched = Ways([a, b, c], [(a, b), (a, c)])
    assert branched.name_room(a, b) == (BOX_W + 11.0, COLUMN - 1.0, 2 * ROW + BOX_H / 2)
    assert branched.name_room(a, c) == (BOX_W + 11.0, COLUMN - 1.0, BOX_H / 2)
    assert Ways([a, c], [(a, c)]).name_room(a, c) == (BOX_W + 2.0, COLUMN - 1.0, BOX_H / 2)


def test_the_exchange_stands_at_the_left_and_light_runs_to_the_right() -> None:
    grid = place_sites(load(SAMPLES / "bramblecote.gwp"))
    row = sorted((box.column, box.row, key) for key, box in grid.boxes.items())
    assert [key for _, _, key in row][:2] == ["fallow-cross", "bc-5"]
    assert [(column, line) for column, line, _ in row] == [(0, 0), (1, 0), (2, 0), (3, 0)]


@pytest.mark.parametrize("name", ["thistlemere", "larkmoor", "bramblecote", "marrowfield"])
def test_in_a_sample_no_name_of_a_line_lies_on_a_box_or_on_an_upright_line(name: str) -> None:
    groups = route_groups(load(SAMPLES / f"{name}.gwp"))
    boxes = [part for group in groups if group.role == "site" for part in group.parts if isinstance(part, Rect)]
    names = [part for group in groups if group.role == "cable" for part in group.parts if isinstance(part, Text)]
    lines = [part for group in groups if group.role == "cable" for part in group.parts if isinstance(part, Stroke)]
    assert boxes
    assert names
    for text in names:
        half = text_width(text.content, text.height, text.weight) / 2
        low, high = text.x - half, text.x + half
        assert not [
            b for b in boxes if low < b.x + b.width and high > b.x and b.y - 2.5 < text.y < b.y + b.height + 2.5
        ]
        for line in lines:
            corners = [(s.x, s.y) for s in line.steps if isinstance(s, MoveTo | LineTo)]
            for (x1, y1), (x2, y2) in itertools.pairwise(corners):
                upright = x1 == x2 and low < x1 < high and min(y1, y2) < text.y and max(y1, y2) > text.y - text.height
                assert not upright


def test_every_site_has_a_box_and_every_cable_a_line() -> None:
    plant = load(SAMPLES / "marrowfield.gwp")
    groups: list[Group] = route_groups(plant)
    # Twelve premises: K3 and K4 have four each, which share a box; the others stand alone.
    assert sum(group.role == "site" for group in groups) == 5 + 4 + 2
    assert sum(group.role == "cable" for group in groups) == 1 + 4 + 2
