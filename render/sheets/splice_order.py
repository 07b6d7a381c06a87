"""In which order the right-hand ends of a schematic stand, so that the fewest lines cross in the lane to them.

The left side keeps its order. On the right the glass of one cable, splitter or panel stays together in its own order,
so only the order of these owners is free. How often two owners cross depends on nothing but which of them is above;
the sum over pairs is least in the order found by dynamic programming over sets of owners. With more than ``MOST`` of
them they go by barycentre, the mean place of their left ends, and neighbours change places while that saves crossings.
Nothing here knows the plant or the paper.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

MOST = 9
"""Most owners whose every order is looked at: 9 of them have 512 sets."""


def right_order(owners: Sequence[Hashable], own: Sequence[tuple[int, ...]]) -> list[int]:
    """Indices of the left ends from the top of the right side down, with the fewest crossings found.

    ``owners`` names the owner of the right end of every left end, top down; ``own`` is the place of that end within its
    owner. Among orders that cross as often, owners that the left side meets first come first.
    """
    groups: dict[Hashable, list[int]] = {}
    for index, owner in enumerate(owners):
        groups.setdefault(owner, []).append(index)
    for members in groups.values():
        members.sort(key=lambda index: (own[index], index))
    met = list(groups.values())
    above = {
        (g, h): sum(a > b for a in met[g] for b in met[h]) for g in range(len(met)) for h in range(len(met)) if g != h
    }
    order = _exact(len(met), above) if len(met) <= MOST else _sifted(met, above)
    return [index for group in order for index in met[group]]


def _exact(count: int, above: Mapping[tuple[int, int], int]) -> list[int]:
    """The cheapest order of all, by the cheapest way to every set of those on top."""
    best: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
    for mask in range(1 << count):
        cost, path = best[mask]
        for group in range(count):
            if not mask & 1 << group:
                way = (cost + sum(above[one, group] for one in path), (*path, group))
                after = mask | 1 << group
                if after not in best or way < best[after]:
                    best[after] = way
    return list(best[(1 << count) - 1][1])


def _sifted(groups: Sequence[Sequence[int]], above: Mapping[tuple[int, int], int]) -> list[int]:
    """By mean left place, then neighbours swapped while one of the swaps saves a crossing."""
    order = sorted(range(len(groups)), key=lambda group: (sum(groups[group]) / len(groups[group]), group))
    better = True
    while better:
        better = False
        for place in range(len(order) - 1):
            one, other = order[place], order[place + 1]
            if above[other, one] < above[one, other]:
                order[place], order[place + 1] = other, one
                better = True
    return order
