"""The ground a placement of labels is played on: what a state looks like on the page, and what is wrong
with it.

A state gives each label a place (gutter or band), a point to aim at, and a wished position; positions follow
with least total move. Millimetres; nothing here decides which state is better.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from render.box import Box, Leg, leg_meets_box, legs_nearer_than
from render.spread import spread
from render.targets import (
    LEG_GAP,
    OBSTACLE_GAP,
    SLOT_GAP,
    TAG_GAP,
    TAG_HEIGHT,
    Field,
    Place,
    Target,
)

PLACES: tuple[Place, ...] = ("left", "right", "top")


class Spot(NamedTuple):
    """Where a label is wished: place, number of the point aimed at, position along the gutter or band."""

    place: Place
    point: int
    wish: float


class Shown(NamedTuple):
    """A label as it lies."""

    box: Box
    leg: Leg


State = dict[int, Spot]


def pair_faults(one: Shown, other: Shown) -> int:
    """How many ways two labels disturb each other: legs too near, a leg through a label, labels overlapping."""
    return (
        legs_nearer_than(one.leg, other.leg, LEG_GAP)
        + leg_meets_box(one.leg, other.box)
        + leg_meets_box(other.leg, one.box)
        + one.box.overlaps(other.box)
    )


class Ground:
    """Targets, gutters and obstacles of one placement; it never changes but for what it remembers."""

    def __init__(self, targets: Sequence[Target], field: Field) -> None:
        self.targets = targets
        self.field = field
        self.walls = tuple(box.grown(OBSTACLE_GAP) for box in field.obstacles)
        self.known: dict[Shown, int] = {}
        self.height = [target.height for target in targets]
        self.tag_width = [target.tag_width for target in targets]
        self.free = [
            tuple(
                i
                for i, (x, y) in enumerate(target.points)
                if not any(leg_meets_box(Leg(x, y, x, y), wall) for wall in self.walls)
            )
            for target in targets
        ]
        self.usable = [self._usable(n) for n in range(len(targets))]

    def _usable(self, n: int) -> tuple[tuple[Place, int], ...]:
        """The pairs of place and point that label ``n`` may take at all."""
        target, pairs = self.targets[n], []
        width = target.width
        for place in PLACES:
            box = self.field.box(place)
            if box is None or (self.tag_width[n] if place == "top" else width) > box.width + 1e-6:
                continue
            if place != "top" and self.height[n] > box.height:
                continue
            for i in self.free[n]:
                x, y = target.points[i]
                ahead = {"left": x - box.right, "right": box.x - x, "top": y - box.bottom}[place]
                if ahead > LEG_GAP:
                    pairs.append((place, i))
        return tuple(pairs)

    def home(self, n: int, place: Place, point: int) -> float:
        """Where label ``n`` would best stand along a place, mm: y in a gutter, x in the band."""
        return self.targets[n].points[point][0 if place == "top" else 1]

    def order(self, state: State, place: Place) -> list[int]:
        """The labels of one place, in the order they stand."""
        return sorted((n for n in state if state[n].place == place), key=lambda n: (state[n].wish, n))

    def show(self, state: State) -> dict[int, Shown] | None:
        """Boxes and legs of a state, or ``None`` when a gutter is too short for it."""
        shown: dict[int, Shown] = {}
        for place in PLACES:
            order = self.order(state, place)
            box = self.field.box(place)
            if not order or box is None:
                continue
            wishes = [state[n].wish for n in order]
            if place == "top":
                halves = [self.tag_width[n] / 2 for n in order]
                gaps = [0.0, *(a + b + TAG_GAP for a, b in pairwise(halves))]
                spots = spread(wishes, gaps, box.x + halves[0], box.right - halves[-1])
            else:
                gaps = [self.height[n] + SLOT_GAP for n in order]
                spots = spread(wishes, gaps, box.y + self.height[order[0]], box.bottom)
            if spots is None:
                return None
            for n, spot in zip(order, spots, strict=True):
                shown[n] = self._lay(n, state[n], spot, box)
        return shown

    def _lay(self, n: int, spot: Spot, at: float, box: Box) -> Shown:
        x, y = self.targets[n].points[spot.point]
        if spot.place == "top":
            half = self.tag_width[n] / 2
            tag = Box(at - half, box.y, 2 * half, TAG_HEIGHT)
            inset = min(3.0, half)
            return Shown(tag, Leg(min(max(x, tag.x + inset), tag.right - inset), tag.bottom, x, y))
        label = Box(box.x, at - self.height[n], box.width, self.height[n])
        return Shown(label, Leg(label.right if spot.place == "left" else label.x, at, x, y))

    def conflicts(self, shown: dict[int, Shown]) -> dict[int, int]:
        """How many faults each label has a part in; labels without one are left out."""
        faults: dict[int, int] = {}
        items = list(shown.items())
        for i, (n, one) in enumerate(items):
            own = self.own_faults(one)
            if own:
                faults[n] = faults.get(n, 0) + own
            for m, other in items[i + 1 :]:
                count = pair_faults(one, other)
                if count:
                    faults[n] = faults.get(n, 0) + count
                    faults[m] = faults.get(m, 0) + count
        return faults

    def total(self, shown: dict[int, Shown], limit: int) -> int:
        """All faults together, each fault of a pair counted twice; the count stops once it is above
        ``limit``."""
        items = list(shown.values())
        count = sum(map(self.own_faults, items))
        for i, one in enumerate(items):
            if count > limit:
                break
            for other in items[i + 1 :]:
                count += 2 * pair_faults(one, other)
        return count

    def own_faults(self, one: Shown) -> int:
        """Faults of a label against what is drawn already."""
        known = self.known.get(one)
        if known is None:
            known = sum(leg_meets_box(one.leg, wall) + one.box.overlaps(wall) for wall in self.walls)
            known += sum(
                legs_nearer_than(one.leg, stroke, LEG_GAP) + leg_meets_box(stroke, one.box)
                for stroke in self.field.strokes
            )
            self.known[one] = known
        return known
