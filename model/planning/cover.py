"""Which fibres of which tubes: an exact choice of the least cost, and how many dark fibres each tube gives.

A tube costs once, when its first fibre is taken, and a fibre costs each time. That step at the first fibre is why a
min-cost flow does not answer the question: a flow prices every unit alike. But tubes do not hang on each other, so
the least cost of serving n drops from tubes i, i+1, ... is the least, over the number x taken from tube i, of what x
fibres of tube i cost and the least cost of n - x drops from tubes i+1, ... Costs are whole numbers compared in order,
first things first, and adding the same to two of them keeps their order; so by that recursion (dynamic programming)
nothing better is overlooked. Work grows as tubes x drops x fibres in a tube. No plant is known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Weight = tuple[int, ...]
First = Literal["live", "tubes"]
"""What counts first: no live fibre beside the work, or the fewest tubes opened."""

NAMES: dict[First, tuple[str, ...]] = {
    "live": (
        "live fibres beside the work",
        "tubes opened",
        "fibres taken from newly opened tubes",
        "fibres cut",
        "tubes worked on",
    ),
    "tubes": (
        "tubes opened",
        "live fibres beside the work",
        "fibres taken from newly opened tubes",
        "fibres cut",
        "tubes worked on",
    ),
}
"""The costs in the order they count; after them the lowest fibre numbers."""


@dataclass(frozen=True, slots=True)
class Offer:
    """What one tube offers: fibres that may be taken, those cut already in ``stubs``, live fibres beside them.

    ``keep`` dark fibres stay in the tube as its reserve.
    """

    tube: int
    fibres: tuple[int, ...]
    stubs: frozenset[int] = frozenset()
    live: int = 0
    opened: bool = False
    keep: int = 0

    @property
    def order(self) -> tuple[int, ...]:
        """The fibres in the order they are taken: ends that are cut already, then the lowest numbers."""
        return tuple(sorted(self.fibres, key=lambda fibre: (fibre not in self.stubs, fibre)))

    @property
    def most(self) -> int:
        """Most fibres that may be taken, the reserve kept."""
        return max(0, len(self.fibres) - self.keep)

    def weight(self, taken: int, first: First) -> Weight:
        """What taking some of its fibres costs."""
        if not taken:
            return (0, 0, 0, 0, 0)
        cuts = max(0, taken - len(self.stubs & set(self.fibres)))
        opening = 0 if self.opened else 1
        head = (self.live, opening) if first == "live" else (opening, self.live)
        return (*head, 0 if self.opened else taken, cuts, 1)


def choose(
    offers: Sequence[Offer], wanted: int, first: First = "live"
) -> tuple[Weight, dict[int, tuple[int, ...]]] | None:
    """(cost, fibres by tube) of the cheapest way to have ``wanted`` fibres, or None if there are not so many.

    Of two equally cheap ways the one whose ascending fibre numbers come first is taken.
    """
    ordered = sorted(offers, key=lambda offer: offer.tube)
    nothing: Weight = (0, 0, 0, 0, 0)
    # best[n]: the least cost of n fibres from the tubes looked at so far, which are the last ones; take[i][n]: how
    # many of them come from tube i. Ties go to more from the lower tube: its numbers come first.
    best: list[Weight | None] = [nothing, *([None] * wanted)]
    take: list[list[int]] = []
    for offer in reversed(ordered):
        prices = [offer.weight(x, first) for x in range(min(offer.most, wanted) + 1)]
        now: list[Weight | None] = [None] * (wanted + 1)
        chosen = [0] * (wanted + 1)
        for need in range(wanted + 1):
            for x in range(min(len(prices) - 1, need), -1, -1):
                rest = best[need - x]
                if rest is None:
                    continue
                price = prices[x]
                total = tuple(a + b for a, b in zip(price, rest, strict=True))
                held = now[need]
                if held is None or total < held:
                    now[need], chosen[need] = total, x
        best = now
        take.append(chosen)
    weight = best[wanted]
    if weight is None:
        return None
    fibres: dict[int, tuple[int, ...]] = {}
    need = wanted
    for offer, chosen in zip(ordered, reversed(take), strict=True):
        x = chosen[need]
        if x:
            fibres[offer.tube] = tuple(sorted(offer.order[:x]))
        need -= x
    return weight, fibres
