"""Push things on a line apart with the least total move.

Each thing has a wished place and needs its own room; the order is given. The answer is the exact optimum of
the sum of squared moves, found by pooling neighbours that violate the order (isotonic regression; Barlow,
Bartholomew, Bremner and Brunk, "Statistical Inference under Order Restrictions", 1972). Nothing here knows
labels or pages.
"""

from __future__ import annotations

from collections.abc import Sequence


def pooled(wishes: Sequence[float]) -> list[float]:
    """The non-decreasing values nearest to ``wishes`` in the sum of squares."""
    sums: list[float] = []
    counts: list[int] = []
    for wish in wishes:
        total, count = wish, 1
        while sums and sums[-1] / counts[-1] > total / count:
            total += sums.pop()
            count += counts.pop()
        sums.append(total)
        counts.append(count)
    return [total / count for total, count in zip(sums, counts, strict=True) for _ in range(count)]


def spread(wishes: Sequence[float], gaps: Sequence[float], low: float, high: float) -> list[float] | None:
    """Places in the given order, nearest to ``wishes``, or ``None`` when the room is too short.

    ``gaps[i]`` is the least distance from place i - 1 to place i (``gaps[0]`` is not read). The first place
    is not below ``low``, the last not above ``high``. Taking off the summed gaps turns the demand into
    plain order, and an order with bounds is solved by clipping the answer without bounds.
    """
    if not wishes:
        return []
    offsets = [0.0]
    for gap in gaps[1:]:
        offsets.append(offsets[-1] + gap)
    top = high - offsets[-1]
    if top < low - 1e-9:
        return None
    level = pooled([wish - offset for wish, offset in zip(wishes, offsets, strict=True)])
    return [min(max(value, low), max(top, low)) + offset for value, offset in zip(level, offsets, strict=True)]
