"""The search behind the placement of labels: states, conflicts, and moves that mend them.

A state gives each label a place (gutter or band), a point to aim at, and a wished position; positions then
follow with least total move. Moves are tried in a fixed order and kept only when they lessen the conflicts
or, at equal conflicts, the total move, so the search ends and repeats itself exactly. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
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
    Placed,
    Placement,
    Target,
    Unplaced,
)

PLACES: tuple[Place, ...] = ("left", "right", "top")
GRID = 6.0  # step of the positions tried in a gutter
TOP_STEP = 12.0
# What a move costs besides its length, mm: only worth it when nothing nearer is free.
WRONG_SIDE, TO_TOP, OTHER_POINT = 60.0, 90.0, 4.0


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


class Search:
    """One placement in the making; ``run`` may be called once."""

    def __init__(self, targets: Sequence[Target], field: Field) -> None:
        self.targets = targets
        self.field = field
        self.walls = tuple(box.grown(OBSTACLE_GAP) for box in field.obstacles)
        self.reasons: dict[int, str] = {}
        self.hits: dict[Shown, int] = {}
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

    def run(self) -> Placement:
        """The placement."""
        state = self._start()
        for place in ("left", "right"):
            state = self._by_angle(state, place)
        state = self._mend(state)
        state = self._drop(state)
        for n in range(len(self.targets)):
            if n not in state:
                state = self._insert(state, n)
        shown = self.show(state) or {}
        order = sorted(shown, key=lambda n: (PLACES.index(state[n].place), shown[n].box.y, shown[n].box.x, n))
        return Placement(
            tuple(Placed(self.targets[n], state[n].place, shown[n].box, shown[n].leg) for n in order),
            tuple(
                Unplaced(self.targets[n], self._reason(n)) for n in range(len(self.targets)) if n not in shown
            ),
        )

    def _reason(self, n: int) -> str:
        if not self.free[n]:
            return "every point of the target lies under a text or an obstacle"
        if not self.usable[n]:
            return "wider or higher than every gutter, or the target lies inside a gutter"
        return self.reasons.get(n, "no leg free of text and other leaders")

    def _choices(self, n: int) -> list[tuple[Place, int]]:
        """Usable pairs, the likeliest first: wished side, else the nearer gutter, the band above last."""
        target = self.targets[n]

        def rank(pair: tuple[Place, int]) -> tuple[float, int]:
            box = self.field.box(pair[0])
            assert box is not None  # noqa: S101 - usable pairs have a box
            x = target.points[pair[1]][0]
            away = {"left": x - box.right, "right": box.x - x, "top": 1e6}[pair[0]]
            return (-1.0 if pair[0] == target.side else away, pair[1])

        return sorted(self.usable[n], key=rank)

    def _start(self) -> State:
        """Each label at the height of its target on its likeliest side that still has room."""
        state: State = {}
        for n in range(len(self.targets)):
            for place, point in self._choices(n):
                trial = {**state, n: Spot(place, point, self._home(n, place, point))}
                if self.show(trial) is not None:
                    state = trial
                    break
            else:
                self.reasons[n] = "no room left in the gutters"
        return state

    def _home(self, n: int, place: Place, point: int) -> float:
        return self.targets[n].points[point][0 if place == "top" else 1]

    def _order(self, state: State, place: Place) -> list[int]:
        return sorted((n for n in state if state[n].place == place), key=lambda n: (state[n].wish, n))

    def show(self, state: State) -> dict[int, Shown] | None:
        """Boxes and legs of a state, or ``None`` when a gutter is too short for it."""
        shown: dict[int, Shown] = {}
        for place in PLACES:
            order = self._order(state, place)
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
            own = self._own(one)
            if own:
                faults[n] = faults.get(n, 0) + own
            for m, other in items[i + 1 :]:
                count = (
                    legs_nearer_than(one.leg, other.leg, LEG_GAP)
                    + leg_meets_box(one.leg, other.box)
                    + leg_meets_box(other.leg, one.box)
                    + one.box.overlaps(other.box)
                )
                if count:
                    faults[n] = faults.get(n, 0) + count
                    faults[m] = faults.get(m, 0) + count
        return faults

    def _own(self, one: Shown) -> int:
        """Faults of a label against what is drawn already."""
        known = self.hits.get(one)
        if known is None:
            known = sum(leg_meets_box(one.leg, wall) + one.box.overlaps(wall) for wall in self.walls)
            known += sum(
                legs_nearer_than(one.leg, stroke, LEG_GAP) + leg_meets_box(stroke, one.box)
                for stroke in self.field.strokes
            )
            self.hits[one] = known
        return known

    def cost(self, state: State, shown: dict[int, Shown]) -> tuple[int, float]:
        """Faults first, then the total move with the price of unwished places."""
        move = 0.0
        for n, spot in state.items():
            home = self._home(n, spot.place, spot.point)
            box = shown[n].box
            at = box.x + box.width / 2 if spot.place == "top" else box.bottom
            move += abs(at - home) + OTHER_POINT * spot.point
            wished = self.targets[n].side
            if spot.place != wished:
                move += TO_TOP if spot.place == "top" else (WRONG_SIDE if wished else 0.0)
        return sum(self.conflicts(shown).values()), round(move, 6)

    def _by_angle(self, state: State, place: Place) -> State:
        """Order the legs of one gutter by angle: from the top shelf down, each takes the first target its
        ray meets.

        All other targets then lie below that leg, so that with equal labels no two legs cross. Labels of
        unlike height shift the shelves, hence the repeats.
        """
        for _ in range(6):
            shown = self.show(state)
            order = self._order(state, place)
            if shown is None or not self.conflicts({n: shown[n] for n in order}):
                return state
            shelves = [shown[n].leg for n in order]
            left = list(order)
            new: list[int] = []
            for leg in shelves:
                first = min(left, key=partial(self._slope, state, leg))
                left.remove(first)
                new.append(first)
            if new == order:
                return state
            trial = dict(state)
            for n, leg in zip(new, shelves, strict=True):
                trial[n] = state[n]._replace(wish=leg.y1)
            laid = self.show(trial)
            if laid is None or self.cost(trial, laid) >= self.cost(state, shown):
                return state
            state = trial
        return state

    def _slope(self, state: State, leg: Leg, n: int) -> tuple[float, int]:
        """Steepness of the ray from the start of ``leg`` to the target of ``n``, mm down per mm inwards."""
        x, y = self.targets[n].points[state[n].point]
        return ((y - leg.y1) / abs(x - leg.x1), n)

    def _mend(self, state: State) -> State:
        """Move conflicting labels, the worst first, while that lessens the cost."""
        for _ in range(4 * len(self.targets)):
            shown = self.show(state)
            if shown is None:
                return state
            faults = self.conflicts(shown)
            if not faults:
                return state
            for n in sorted(faults, key=lambda n: (-faults[n], n)):
                better = self._best(state, n, self.cost(state, shown))
                if better is not None:
                    state = better
                    break
            else:
                return state
        return state

    def _best(self, state: State, n: int, cost: tuple[int, float]) -> State | None:
        """The cheapest state below ``cost`` that one move of label ``n`` leads to."""
        best: State | None = None
        for trial in self._moves(state, n):
            laid = self.show(trial)
            if laid is None or self._own(laid[n]) > cost[0]:
                continue
            price = self.cost(trial, laid)
            if price < cost:
                best, cost = trial, price
        return best

    def _moves(self, state: State, n: int) -> Iterator[State]:
        """Every state one move of label ``n`` away: another position, point or place, or a swap with a
        neighbour."""
        for place, point in self._choices(n):
            box = self.field.box(place)
            if box is None:
                continue
            low, high, step = (box.x, box.right, TOP_STEP) if place == "top" else (box.y, box.bottom, GRID)
            grid = [low + k * step for k in range(1 + int((high - low) / step))]
            for wish in (self._home(n, place, point), *grid):
                yield {**state, n: Spot(place, point, wish)}
        if n in state:
            for m in self._order(state, state[n].place):
                if m != n:
                    yield {
                        **state,
                        n: state[n]._replace(wish=state[m].wish),
                        m: state[m]._replace(wish=state[n].wish),
                    }

    def _drop(self, state: State) -> State:
        """Take out the worst label until no fault is left."""
        while True:
            shown = self.show(state) or {}
            faults = self.conflicts(shown)
            if not faults:
                return state
            worst = max(faults, key=lambda n: (faults[n], n))
            state = {n: spot for n, spot in state.items() if n != worst}

    def _insert(self, state: State, n: int) -> State:
        """Try every position for a label left out; keep it only without any fault."""
        for trial in self._moves(state, n):
            shown = self.show(trial)
            if shown is not None and not self._own(shown[n]) and not self.conflicts(shown):
                return trial
        return state
