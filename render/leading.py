"""The search behind the placement of labels: states, conflicts, and moves that mend them.

A state gives each label a place (gutter or band), a point to aim at, and a wished position; positions then
follow with least total move. Moves are tried in a fixed order and kept only when they lessen the conflicts
or, at equal conflicts, the total move, so the search ends and repeats itself exactly. Millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from render.box import Leg
from render.ground import PLACES, Ground, Shown, Spot, State
from render.targets import Field, Place, Placed, Placement, Target, Unplaced

WORST = 6  # how many of the worst labels are tried before each move
GRID = 6.0  # step of the positions tried in a gutter
TOP_STEP = 12.0
# What a move costs besides its length, mm: only worth it when nothing nearer is free.
WRONG_SIDE, TO_TOP, OTHER_POINT, LEG_PRICE = 60.0, 90.0, 4.0, 0.5


class Search:
    """One placement in the making; ``run`` may be called once."""

    def __init__(self, targets: Sequence[Target], field: Field) -> None:
        self.targets = targets
        self.field = field
        self.ground = Ground(targets, field)
        self.reasons: dict[int, str] = {}

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
        state = self._polish(state)
        shown = self.ground.show(state) or {}
        order = sorted(shown, key=lambda n: (PLACES.index(state[n].place), shown[n].box.y, shown[n].box.x, n))
        return Placement(
            tuple(Placed(self.targets[n], state[n].place, shown[n].box, shown[n].leg) for n in order),
            tuple(Unplaced(self.targets[n], self._reason(n)) for n in range(len(self.targets)) if n not in shown),
        )

    def _reason(self, n: int) -> str:
        if not self.ground.free[n]:
            return "every point of the target lies under a text or an obstacle"
        if not self.ground.usable[n]:
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

        return sorted(self.ground.usable[n], key=rank)

    def _start(self) -> State:
        """Each label at the height of its target on its likeliest side that still has room."""
        state: State = {}
        for n in range(len(self.targets)):
            for place, point in self._choices(n):
                trial = {**state, n: Spot(place, point, self.ground.home(n, place, point))}
                if self.ground.show(trial) is not None:
                    state = trial
                    break
            else:
                self.reasons[n] = "no room left in the gutters"
        return state

    def cost(self, state: State, shown: dict[int, Shown], limit: int = 10**9) -> tuple[int, float]:
        """Faults first (counted up to ``limit``), then the total move with the price of long legs and
        unwished places."""
        move = 0.0
        for n, spot in state.items():
            home = self.ground.home(n, spot.place, spot.point)
            box = shown[n].box
            at = box.x + box.width / 2 if spot.place == "top" else box.bottom
            move += abs(at - home) + OTHER_POINT * spot.point + LEG_PRICE * shown[n].leg.length
            wished = self.targets[n].side
            if spot.place != wished:
                move += TO_TOP if spot.place == "top" else (WRONG_SIDE if wished else 0.0)
        return self.ground.total(shown, limit), round(move, 6)

    def _by_angle(self, state: State, place: Place) -> State:
        """Order the legs of one gutter by angle: from the top shelf down, each takes the first target its
        ray meets.

        All other targets then lie below that leg, so that with equal labels no two legs cross. Labels of
        unlike height shift the shelves, hence the repeats.
        """
        for _ in range(6):
            shown = self.ground.show(state)
            order = self.ground.order(state, place)
            if shown is None or not self.ground.conflicts({n: shown[n] for n in order}):
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
            laid = self.ground.show(trial)
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
            shown = self.ground.show(state)
            if shown is None:
                return state
            faults = self.ground.conflicts(shown)
            if not faults:
                return state
            found, cost = None, self.cost(state, shown)
            for n in sorted(faults, key=lambda n: (-faults[n], n))[:WORST]:
                better = self._best(state, n, cost)
                if better is not None:
                    found, cost = better
            if found is None:
                return state
            state = found
        return state

    def _best(self, state: State, n: int, cost: tuple[int, float]) -> tuple[State, tuple[int, float]] | None:
        """The cheapest state below ``cost`` that one move of label ``n`` leads to, and its cost."""
        best = None
        for trial in self._moves(state, n):
            laid = self.ground.show(trial)
            if laid is None or self.ground.own_faults(laid[n]) > cost[0]:
                continue
            price = self.cost(trial, laid, cost[0])
            if price < cost:
                best, cost = (trial, price), price
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
            for wish in (self.ground.home(n, place, point), *grid):
                yield {**state, n: Spot(place, point, wish)}
        if n in state:
            for m in self.ground.order(state, state[n].place):
                if m != n:
                    yield {
                        **state,
                        n: state[n]._replace(wish=state[m].wish),
                        m: state[m]._replace(wish=state[n].wish),
                    }

    def _drop(self, state: State) -> State:
        """Take out the worst label until no fault is left."""
        while True:
            shown = self.ground.show(state) or {}
            faults = self.ground.conflicts(shown)
            if not faults:
                return state
            worst = max(faults, key=lambda n: (faults[n], n))
            state = {n: spot for n, spot in state.items() if n != worst}

    def _insert(self, state: State, n: int) -> State:
        """Try every position for a label left out; keep it only without any fault."""
        found = self._best(state, n, (0, float("inf")))
        return state if found is None else found[0]

    def _polish(self, state: State) -> State:
        """Once more for the labels that had to leave their likeliest place: what drove them off may have
        moved."""
        for n in sorted(state):
            if (state[n].place, state[n].point) == self._choices(n)[0]:
                continue
            shown = self.ground.show(state)
            found = None if shown is None else self._best(state, n, self.cost(state, shown))
            if found is not None:
                state = found[0]
        return state
