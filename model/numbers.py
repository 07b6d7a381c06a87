"""Ranges of fibre, tube and slot numbers as text, the way the trade writes them: ``13-16,20``; the order of names."""

from __future__ import annotations

import re
from collections.abc import Iterable

from model.errors import PlantError

MOST = 10_000
"""No cable, tray or panel counts higher; a larger number in a range is a slip of the hand."""

DASHES = "\u2010\u2011\u2012\u2013\u2212"
"""What lists, letters and spreadsheets print between the ends of a range in place of the hyphen."""
_HYPHENS = str.maketrans(dict.fromkeys(DASHES, "-"))


def hyphened(text: str) -> str:
    """The text with a hyphen for every other dash; no longer and no shorter."""
    return text.translate(_HYPHENS)


def to_text(numbers: Iterable[int]) -> str:
    """Ascending numbers as ranges; the order given is kept between runs.

    >>> to_text((13, 14, 15, 16, 20))
    '13-16,20'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ",".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)


def from_text(text: str) -> tuple[int, ...]:
    """Numbers of a range text in the order written; ``16-13`` counts down, and a printed dash is as good as a hyphen.

    Raises PlantError with the column of the fault.

    >>> from_text("13-16,20")
    (13, 14, 15, 16, 20)
    """
    numbers: list[int] = []
    column = 1
    for piece in text.split(","):
        first, dash, last = hyphened(piece).strip().partition("-")
        ends = (first, last if dash else first)
        if not all(end.strip().isascii() and end.strip().isdigit() and len(end.strip()) <= 6 for end in ends):
            raise PlantError(f"{piece.strip()!r} is no number or range", hint="Write 13 or 13-16", column=column)
        a, b = (int(end) for end in ends)
        if not (1 <= a <= MOST and 1 <= b <= MOST):
            raise PlantError(f"{piece.strip()!r} is out of bounds", hint=f"Numbers run from 1 to {MOST}", column=column)
        numbers.extend(range(a, b + 1) if a <= b else range(a, b - 1, -1))
        if len(numbers) > MOST:
            raise PlantError("the range holds too many numbers", hint=f"At most {MOST} at once", column=column)
        column += len(piece) + 1
    return tuple(numbers)


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key that puts D-2 before D-10."""
    return tuple(
        (0, int(piece), "") if piece.isascii() and piece.isdigit() and len(piece) <= 18 else (1, 0, piece.lower())
        for piece in re.split(r"([0-9]+)", name)
        if piece
    )
