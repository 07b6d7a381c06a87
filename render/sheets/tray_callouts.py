"""Places labels in the free ground of a drawing: clear of every stroke and text, with one straight leg to its target.

The ground is a grid of 1 mm squares, blocked where anything is drawn; sums over it answer at once whether a box is
free. For each label in turn the shortest leg wins that crosses no text, no tag and no other leader. Page millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, cos, degrees, hypot, sin
from typing import Literal

from render import style
from render.box import Box, Leg, leg_meets_box, legs_nearer_than
from render.drawing import Circle, Group, Line, Part, Rect, Shape, Text, Weight, walk
from render.marks import arrow_head
from render.planar import bounds, outlines, text_box
from render.text import text_width

CELL = 1.0
STEP = 2  # cells between two tried places
MOST_POINTS = 16  # of one feature that are tried
PAD = 1.0
LINE = 4.0
SHORTEST, LONGEST = 5.0, 70.0
BLOCK_ROLES = frozenset(("tag", "chip", "loud-tag", "slash"))


@dataclass(frozen=True, slots=True)
class Wish:
    """A label with the points it may aim at, and how its leg ends. Without points it stands free, without a leg."""

    lines: tuple[str, ...]
    points: tuple[tuple[float, float], ...]
    end: Literal["dot", "arrow"] = "dot"
    led: bool = False
    """Whether it says nothing where it stands without a leg."""

    @property
    def width(self) -> float:
        """Width of its widest line, mm."""
        return max(text_width(line, weight="normal" if i else "bold") for i, line in enumerate(self.lines))

    @property
    def height(self) -> float:
        """From the capitals of the first line to the base of the last, mm."""
        return LINE * len(self.lines) - style.LINE_GAP


class Ground:
    """Free and taken squares of a field, with the boxes no leg may cross."""

    def __init__(self, field: Box, parts: Iterable[Part]) -> None:
        self.field = field
        self.columns, self.lines = int(field.width / CELL), int(field.height / CELL)
        self.taken = [bytearray(self.columns) for _ in range(self.lines)]
        self.walls: list[Box] = []
        self.legs: list[Leg] = []
        for shape, roles in walk(tuple(parts)):
            self._block(shape, roles)

    def _block(self, shape: Shape, roles: tuple[str, ...]) -> None:
        if isinstance(shape, Text):
            left, top, right, low = bounds(text_box(shape), 0.4)
            self.take(Box(left, top, right - left, low - top))
            return
        if isinstance(shape, Line) and "leader" in roles:
            self.legs.append(Leg(shape.x1, shape.y1, shape.x2, shape.y2))
        if isinstance(shape, Rect) and (not BLOCK_ROLES.isdisjoint(roles) or shape.height < 6.0):
            box = Box(shape.x, shape.y, shape.width, shape.height)
            if BLOCK_ROLES.isdisjoint(roles):
                self._fill(box)
            else:
                self.take(box)
            return
        wide = shape.pen.width / 2 if shape.pen.stroke else 0.0
        for line in outlines(shape):
            for (x1, y1), (x2, y2) in pairwise(line):
                count = int(hypot(x2 - x1, y2 - y1) / (CELL / 2)) + 1
                for i in range(count + 1):
                    x, y = x1 + (x2 - x1) * i / count, y1 + (y2 - y1) * i / count
                    self._fill(Box(x - wide, y - wide, 2 * wide, 2 * wide))

    def take(self, box: Box) -> None:
        """Block a box for labels and for legs."""
        self.walls.append(box)
        self._fill(box)

    def _fill(self, box: Box) -> None:
        left = max(int((box.x - self.field.x) / CELL), 0)
        right = min(int((box.right - self.field.x) / CELL), self.columns - 1)
        for line in range(
            max(int((box.y - self.field.y) / CELL), 0), min(int((box.bottom - self.field.y) / CELL), self.lines - 1) + 1
        ):
            for column in range(left, right + 1):
                self.taken[line][column] = 1

    def _sums(self) -> list[list[int]]:
        sums = [[0] * (self.columns + 1)]
        for row in self.taken:
            above, line, run = sums[-1], [0], 0
            for column, value in enumerate(row, 1):
                run += value
                line.append(above[column] + run)
            sums.append(line)
        return sums

    def free_boxes(self, width: float, height: float, step: int) -> list[Box]:
        """Every tried place, ``step`` cells apart, at which a box of this size covers nothing."""
        wide, high = int(width / CELL) + 1, int(height / CELL) + 1
        sums = self._sums()
        return [
            Box(self.field.x + column * CELL, self.field.y + line * CELL, width, height)
            for line in range(0, self.lines - high + 1, step)
            for column in range(0, self.columns - wide + 1, step)
            if sums[line + high][column + wide]
            - sums[line][column + wide]
            - sums[line + high][column]
            + sums[line][column]
            == 0
        ]

    def place(self, wish: Wish) -> Group | None:
        """The label with its leg, or None where there is no room; its box and leg are taken from then on."""
        # Without a leg the strip below may be just high enough: no line of cells is passed over.
        for step in (STEP, 1) if wish.points else (1,):
            found = self._place(wish, step)
            if found is not None:
                return found
        return None

    def _place(self, wish: Wish, step: int) -> Group | None:
        spots: list[tuple[float, Box, Leg | None]] = []
        points = wish.points[:: max(len(wish.points) // MOST_POINTS, 1)]
        for outer in self.free_boxes(wish.width + 2 * PAD, wish.height + 2 * PAD, step):
            box = outer.grown(-PAD)
            if not points:
                spots.append((-10 * outer.y + outer.x, box, None))
                continue
            leg = min((self._leg(box, point) for point in points), key=lambda leg: leg.length)
            if SHORTEST <= leg.length <= LONGEST:
                spots.append((leg.length, box, leg))
        for _, box, found in sorted(spots, key=lambda spot: spot[0]):
            if found is None or self._clear(found, box):
                self.take(box.grown(0.6))
                if found is not None:
                    self.legs.append(found)
                return _label(wish, box, found)
        return None

    def _leg(self, box: Box, point: tuple[float, float]) -> Leg:
        """From the nearest side of a box, a little off it, to a point."""
        x, y = point
        if x < box.x or x > box.right:
            edge = box.x - 0.8 if x < box.x else box.right + 0.8
            return Leg(edge, min(max(y, box.y + 1.2), box.bottom - 1.2), x, y)
        near = box.y - 0.8 if y < box.y else box.bottom + 1.2
        return Leg(min(max(x, box.x + 1.0), box.right - 1.0), near, x, y)

    def _clear(self, leg: Leg, own: Box) -> bool:
        if any(leg_meets_box(leg, wall.grown(0.5)) for wall in self.walls):
            return False
        if any(leg_meets_box(other, own.grown(0.8)) for other in self.legs):
            return False
        return not any(legs_nearer_than(leg, other, 1.0) for other in self.legs)


def _label(wish: Wish, box: Box, leg: Leg | None) -> Group:
    parts: list[Part] = []
    base = box.y + style.H_LABEL
    for i, line in enumerate(wish.lines):
        weight: Weight = "normal" if i else "bold"
        parts.append(Text(box.x, base + LINE * i, line, style.H_LABEL, weight))
    if leg is not None:
        parts += leg_parts(leg, wish.end)
    return Group(tuple(parts), role="leader" if leg else "label", title=wish.lines[0])


def leg_parts(leg: Leg, end: Literal["dot", "arrow"]) -> list[Part]:
    """A leg that ends in a dot on a face or an arrow on a line."""
    if end == "dot":
        return [Line(*leg, style.LEADER), Circle(leg.x2, leg.y2, style.LEADER_DOT, style.LEADER_END)]
    angle = atan2(leg.y2 - leg.y1, leg.x2 - leg.x1)
    back = min(style.ARROW_LENGTH, leg.length)
    foot = (leg.x2 - back * cos(angle), leg.y2 - back * sin(angle))
    return [Line(leg.x1, leg.y1, *foot, style.LEADER), arrow_head(leg.x2, leg.y2, degrees(angle))]


def place_all(ground: Ground, wishes: Sequence[Wish]) -> tuple[list[Part], list[Wish]]:
    """Place labels one after another, then those without room for a leg anywhere below, without one.

    The second list is what found no room at all.
    """
    placed: list[Part] = []
    late: list[Wish] = []
    for wish in wishes:
        group = ground.place(wish)
        if group is None:
            late.append(replace(wish, points=()))
        else:
            placed.append(group)
    left: list[Wish] = []
    for wish in late:
        group = None if wish.led else ground.place(wish)
        if group is None:
            left.append(wish)
        else:
            placed.append(group)
    return placed, left
