"""Joints laid over the trays of an enclosure: first those bound to one tray, tray by tray, then all others round them.

Where nothing is bound and nothing stays, the cost is the least there is (``order`` says why); else each stage is the
best beside what lies already. Trays and slots are those of the plant; nothing else of it is known here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from model.entities import Splice, Tray
from model.planning.order import Fixed, Item, Layout, lay

_SLOTS = 10_000
"""More than any tray has slots: tray and slot in one number."""


@dataclass(frozen=True, slots=True)
class Place:
    """A free place for a joint."""

    tray: Tray
    slot: int


@dataclass(slots=True)
class Solver:
    """Lays the joints that are bound to a tray tray by tray, then all others round them."""

    moving: list[Splice]
    staying: list[Splice]
    places: list[Place]
    trays: list[Tray]
    ranks: dict[str, tuple[int, int]]
    words: dict[str, str]
    bound: dict[str, str]

    def solve(self) -> tuple[list[Item], list[Fixed], Layout] | None:
        """(joints laid, joints that stay, where they lie); None where a tray has too few places for its own."""
        place: dict[str, int] = {}
        cost = (0, 0, 0, 0)
        every = True
        fixed = [
            self.fixed(s, self.key(s.tray, s.slot)) for s in self.staying if any(t.id == s.tray for t in self.trays)
        ]
        done = list(fixed)
        stages: list[tuple[list[Splice], list[int]]] = []
        for tray in self.trays:
            own = [s for s in self.moving if self.bound.get(s.id) == tray.id]
            stages.append((own, [n for n, p in enumerate(self.places) if p.tray.id == tray.id]))
        stages.append(([s for s in self.moving if s.id not in self.bound], list(range(len(self.places)))))
        for members, slots in stages:
            free = [n for n in slots if n not in place.values()]
            if not members:
                continue
            items = self.items(members, free)
            found = lay(items, [self.at(free[n]) for n in range(len(free))], [self.seen(f, free) for f in done])
            if found is None:
                return None
            now = {key: free[n] for key, n in found.place.items()}
            place |= now
            cost = (
                cost[0] + found.cost[0],
                cost[1] + found.cost[1],
                cost[2] + found.cost[2],
                cost[3] + found.cost[3],
            )
            every = every and found.every_order and not done
            by_id = {s.id: s for s in members}
            done += [self.fixed(by_id[key], self.spot(n)) for key, n in now.items()]  # type: ignore[index]
        items = self.items(self.moving, list(range(len(self.places))))
        used = len({self.at(n) for n in place.values()})
        return items, fixed, Layout(place, (cost[0], cost[1], used, cost[3]), every)

    def at(self, place: int) -> int:
        """Number of the tray of a place."""
        return next(n for n, tray in enumerate(self.trays) if tray.id == self.places[place].tray.id)

    def key(self, tray: str | None, slot: int | None) -> tuple[int, int]:
        """A slot as something to sort by."""
        return next(n for n, held in enumerate(self.trays) if held.id == tray), slot or 0

    def spot(self, place: int) -> tuple[int, int]:
        """The same of a place."""
        return self.at(place), self.places[place].slot

    def fixed(self, splice: Splice, spot: tuple[int, int]) -> Fixed:
        """A joint that lies in a slot; ``before`` is set when the free places are known."""
        left, right = self.ranks[splice.id]
        return Fixed(left, right, self.words.get(splice.id, ""), spot[0] * _SLOTS + spot[1], spot[0])

    def seen(self, lying: Fixed, free: list[int]) -> Fixed:
        """The same joint as seen from some free places."""
        return replace(lying, before=sum(p * _SLOTS + s < lying.before for p, s in (self.spot(n) for n in free)))

    def items(self, members: list[Splice], free: list[int]) -> list[Item]:
        """Joints to be laid in some free places."""
        now: dict[tuple[str | None, int | None], int] = {}
        for n, held in enumerate(free):
            now.setdefault((self.places[held].tray.id, self.places[held].slot), n)
        return [Item(s.id, *self.ranks[s.id], self.words.get(s.id, ""), now.get((s.tray, s.slot), -1)) for s in members]
