"""In which order joints lie over trays: least sharing of trays, then least crossings, and a proof where there is one.

On a schematic a joint is a line from its left end through its slot to its right end. Two joints cross on the left when
their slots stand in the other order than their left ends, and the same on the right. Two whose ends agree need not
cross; two whose ends disagree cross once, whatever their slots: that sum over all pairs is the least there can be.
Inside a group the order of the left ends reaches it. Groups lie together, one after the other, so only their order and
where each starts is left to choose: by every set of groups placed so far, and where the last one ended, the cheapest
way is kept (dynamic programming over sets). Costs add up pair by pair, so nothing better is overlooked. With more than
``MOST`` groups they go in the order of their left ends. No plant is known here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

MOST = 8
"""Most groups whose every order is looked at: 8 of them have 256 sets."""

Cost = tuple[int, int, int, int]
"""(groups that share a tray with another, crossings, trays used, joints moved)."""


@dataclass(frozen=True, slots=True)
class Item:
    """A joint: where its ends stand on the left and on the right, its group, and its place now (-1: none of these)."""

    key: str
    left: int
    right: int
    group: str
    now: int = -1


@dataclass(frozen=True, slots=True)
class Fixed:
    """A joint that stays: ``before`` is the number of free places that come before it; ``tray`` as in ``places``."""

    left: int
    right: int
    group: str
    before: int
    tray: int


def pair_crossings(first: Item | Fixed, second: Item | Fixed) -> int:
    """Crossings of two joints of which the first has the earlier slot: 0, 1 or 2."""
    return (first.left > second.left) + (first.right > second.right)


def crossings(items: Sequence[Item | Fixed]) -> int:
    """Crossings of joints in the order of their slots."""
    return sum(pair_crossings(a, b) for i, a in enumerate(items) for b in items[i + 1 :])


def least_crossings(items: Sequence[Item | Fixed]) -> int:
    """Fewest crossings of these joints in any order of slots: one for each pair whose ends disagree."""
    return sum((a.left > b.left) != (a.right > b.right) for i, a in enumerate(items) for b in items[i + 1 :])


@dataclass(frozen=True, slots=True)
class Layout:
    """Where every joint goes (index into the places), what it costs, and whether all orders of groups were tried."""

    place: Mapping[str, int]
    cost: Cost
    every_order: bool


def lay(items: Sequence[Item], places: Sequence[int], fixed: Sequence[Fixed] = ()) -> Layout | None:
    """The cheapest places for the joints; ``places`` is the tray (from 0) of each free place, ascending.

    A group starts where the one before ended, or with the next tray; the first, and any where joints stay, with any
    later tray. None when there are too few places.
    """
    groups: dict[str, list[Item]] = {}
    for item in sorted(items, key=lambda i: (i.left, i.right, i.key)):
        groups.setdefault(item.group, []).append(item)
    names = list(groups)
    count = len(names)
    between = [[sum(pair_crossings(a, b) for a in groups[g] for b in groups[h]) for h in names] for g in names]
    own = [crossings(groups[g]) for g in names]
    every = count <= MOST
    prices: dict[tuple[int, int, bool], Cost] = {}
    ways: dict[tuple[int, int], Way] = {(0, 0): ((0, 0, 0, 0), ())}
    for placed in range(count):
        onward: dict[tuple[int, int], Way] = {}
        for (mask, at), (cost, path) in ways.items():
            for g in [placed] if not every else [g for g in range(count) if not mask & 1 << g]:
                crossed = own[g] + sum(between[h][g] for h in range(count) if mask & 1 << h)
                for start in _starts(places, at, bool(fixed)):
                    end = start + len(groups[names[g]])
                    if end > len(places):
                        continue
                    beside = 0 < at == start and places[at - 1] == places[start]
                    if (g, start, beside) not in prices:
                        prices[g, start, beside] = _price(groups[names[g]], places, fixed, start, beside)
                    more = prices[g, start, beside]
                    total = (cost[0] + more[0], cost[1] + crossed + more[1], cost[2] + more[2], cost[3] + more[3])
                    key = (mask | 1 << g, end)
                    way = (total, (*path, (g, start)))
                    if key not in onward or way < onward[key]:
                        onward[key] = way
        ways = onward
    if not ways:
        return None
    cost, path = min(ways.values())
    place = {item.key: start + n for g, start in path for n, item in enumerate(groups[names[g]])}
    return Layout(place, cost, every)


Way = tuple[Cost, tuple[tuple[int, int], ...]]
"""What it costs so far, and each group placed with the place it starts at."""


def _starts(places: Sequence[int], at: int, skip: bool) -> list[int]:
    """Where the next group may start: right here, or with the next tray; the first one, or to ``skip``, with any."""
    later = [n for n in range(at + 1, len(places)) if places[n] != places[n - 1]]
    inside = 0 < at < len(places) and places[at] == places[at - 1]
    return [at, *(later if skip or at == 0 else later[:1] if inside else [])]


def _price(group: Sequence[Item], places: Sequence[int], fixed: Sequence[Fixed], start: int, beside: bool) -> Cost:
    """What one group costs apart from crossings with other groups; ``beside``: its first tray has another group."""
    name = group[0].group
    trays = set(places[start : start + len(group)])
    shared = 0
    for tray in trays:
        held = {f.group for f in fixed if f.tray == tray}
        shared += name not in held and bool(held or (beside and tray == places[start]))
    crossed = 0
    for n, item in enumerate(group):
        for other in fixed:
            crossed += pair_crossings(other, item) if other.before <= start + n else pair_crossings(item, other)
    moved = sum(item.now != start + n for n, item in enumerate(group))
    return shared, crossed, len(trays) - beside, moved
