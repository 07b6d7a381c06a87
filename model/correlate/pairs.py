"""The best two faults together, when no single one explains everything.

Elements that hit the same services are one class. Where two classes that contradict nobody cover everybody down, all
such pairs are found. They explain the same; the likeliest has the most elements to choose from (every element failing
as easily as another), then the least overlap. Otherwise the pairs of the ``MOST_CLASSES`` best classes are compared by
score.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from model.correlate.marks import Marks

MOST_CLASSES = 200
MOST_PAIRS = 8
"""Equally good pairs that are named."""


@dataclass(frozen=True, slots=True)
class Found:
    """Keys of the elements of both classes, and the score of any pair of them."""

    first: tuple[str, ...]
    second: tuple[str, ...]
    score: float


def best_pairs(seen: Marks, keys: Sequence[str], penalty: float) -> list[Found]:
    """Pairs with the best score, likeliest first, of elements given best suspect first; none when none explains."""
    classes: dict[int, list[str]] = {}
    for key in keys:
        classes.setdefault(seen.hits[key], []).append(key)
    if not seen.down:
        return []
    # An element that hits one arm of somebody explains nobody alone, so classes count by bits, not by services.
    clean = [hit for hit in classes if not seen.counts(hit)[1]]
    covers = {(min(pair), max(pair)): None for pair in _covers(seen, clean)}
    if covers:

        def worth(pair: tuple[int, int]) -> tuple[int, int]:
            a, b = pair
            return -len(classes[a]) * len(classes[b]), (a & b & seen.down_bits).bit_count()

        likely = sorted(covers, key=worth)[:MOST_PAIRS]
        return [Found(*_larger_first(seen, classes, a, b), 1.0) for a, b in likely]
    best: tuple[float, int, int] | None = None
    some = list(classes)[:MOST_CLASSES]
    for place, a in enumerate(some):
        for b in some[place + 1 :]:
            explained, against = seen.counts(a | b)
            score = round(max(0.0, explained / len(seen.down) - penalty * against), 4)
            if best is None or score > best[0]:
                best = score, a, b
    return [] if best is None else [Found(*_larger_first(seen, classes, best[1], best[2]), best[0])]


def _covers(seen: Marks, clean: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Pairs of clean classes that together hit everybody down and contradict nobody."""
    wanted = seen.down_bits
    by_bit: dict[int, list[int]] = {}
    rest = wanted
    while rest:
        bit = rest & -rest
        by_bit[bit] = [hit for hit in clean if hit & bit]
        rest ^= bit
    pivot = min(by_bit, key=lambda bit: (len(by_bit[bit]), bit))
    for a in by_bit[pivot]:
        left = wanted & ~a
        if not left:
            continue
        for b in by_bit[left & -left]:
            if not left & ~b and not seen.counts(a | b)[1]:
                yield a, b


def _larger_first(
    seen: Marks, classes: dict[int, list[str]], a: int, b: int
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The elements of two classes, those that hit more of the down first."""
    one, other = sorted((a, b), key=lambda hit: (-(hit & seen.down_bits).bit_count(), classes[hit][0]))
    return tuple(classes[one]), tuple(classes[other])
