"""How the lines of a route picture run between boxes on a grid: along rows and gutters, never under a box.

A gutter is the gap between two columns, an alley the gap between two rows. Neighbours in a row are joined straight.
Any other line leaves its box low (or high) at the right, runs along the gutter there, and enters the other box at the
left; where that is not the next column it comes to it through the alley above. Branches of one box keep apart: the
nearest leaves first and runs outermost, so that none crosses another. Millimetres, y down the page.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

BOX_W, BOX_H = 50.0, 24.0
COLUMN, ROW = 86.0, 42.0

Cell = tuple[int, int]
"""Row and column of a box."""
Way = tuple[tuple[float, float], ...]
"""Corners of a line from one box to the other, each stretch level or upright."""

_MOST_LANES: Final = 4
_LANE, _FIRST_LANE, _EXIT, _EXIT_STEP = 2.0, 10.0, 17.0, 1.6
_ALLEY, _ENTER = 7.0, 4.0
_CLEAR: Final = 2.0
"""What a name keeps clear of at the ends of its stretch."""


class Ways:
    """The lines of one picture; ``cells`` are all its boxes, ``pairs`` all lines it will be asked for."""

    def __init__(self, cells: Iterable[Cell], pairs: Iterable[tuple[Cell, Cell]]) -> None:
        self._cells = frozenset(cells)
        self._lane: dict[tuple[Cell, Cell], int] = {}
        branches: dict[tuple[Cell, bool], list[Cell]] = {}
        for a, b in pairs:
            if not self._straight(a, b):
                branches.setdefault((a, b[0] < a[0]), []).append(b)
        for (a, _), ends in branches.items():
            for rank, b in enumerate(sorted(set(ends), key=lambda b: (abs(b[0] - a[0]), b[1]))):
                self._lane[a, b] = min(rank, _MOST_LANES - 1)

    def _straight(self, a: Cell, b: Cell) -> bool:
        low, high = sorted((a[1], b[1]))
        return a[0] == b[0] and low < high and all((a[0], c) not in self._cells for c in range(low + 1, high))

    def way(self, a: Cell, b: Cell) -> Way:
        """The line from box ``a`` to box ``b``."""
        if self._straight(a, b):
            left, right = sorted((a, b), key=lambda cell: cell[1])
            y = left[0] * ROW + BOX_H / 2
            return ((left[1] * COLUMN + BOX_W, y), (right[1] * COLUMN, y))
        lane = self._lane.get((a, b), 0)
        up = b[0] < a[0]
        out = _EXIT + _EXIT_STEP * lane
        right_edge = a[1] * COLUMN + BOX_W
        x, y = right_edge + _FIRST_LANE - _LANE * lane, a[0] * ROW + (BOX_H - out if up else out)
        end_x, end_y = b[1] * COLUMN, b[0] * ROW + BOX_H / 2
        start = ((right_edge, y), (x, y))
        if b[1] == a[1] + 1:
            return (*start, (x, end_y), (end_x, end_y))
        alley = b[0] * ROW - _ALLEY - _LANE * lane / 2
        enter = end_x - _ENTER - _LANE * lane / 2
        return (*start, (x, alley), (enter, alley), (enter, end_y), (end_x, end_y))

    def name_room(self, a: Cell, b: Cell) -> tuple[float, float, float]:
        """(left, right, y) of the room for a name along a line: a gutter's, or the alley's where it goes through one.

        In a gutter the room begins beyond the lanes of branches, if there are any.
        """
        way = self.way(a, b)
        if len(way) == 6:
            (x1, y), (x2, _) = way[2], way[3]
            left, right = sorted((x1, x2))
            return left + _CLEAR, right - _CLEAR, y
        (left, _), (right, y) = way[0], way[-1]
        start = max(left, right - (COLUMN - BOX_W))
        lanes = len(way) > 2 or any(pair[0] == min(a, b, key=lambda cell: cell[1]) for pair in self._lane)
        return start + (_FIRST_LANE + 1.0 if lanes else _CLEAR), right - 1.0, y
