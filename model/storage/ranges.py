"""Fibre and tube numbers as text: ``13-16,20`` stands for 13, 14, 15, 16, 20.

The text keeps the order and any repetition of the numbers, so that reading gives back exactly what was written; whether
an order or a repetition makes sense is for ``integrity`` to say. A range that expands beyond reason is refused unread.
"""

from __future__ import annotations

import re
from typing import Final

PATTERN: Final = r"^[1-9][0-9]{0,4}(-[1-9][0-9]{0,4})?(,[1-9][0-9]{0,4}(-[1-9][0-9]{0,4})?)*$"
"""What a list of numbers looks like; every number is 1 to 99999."""

_SHAPE = re.compile(PATTERN.strip("^$"))


class Numbers:
    """The numbers of one field while a document is between text and entity; compared by value."""

    __slots__ = ("values",)

    def __init__(self, values: tuple[int, ...] = ()) -> None:
        self.values = values


def to_text(numbers: tuple[int, ...]) -> str:
    """Numbers as text, every rising run of two or more as ``first-last``; empty for none."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ",".join(str(first) if first == last else f"{first}-{last}" for first, last in runs)


def from_text(text: str, most: int) -> tuple[int, ...]:
    """The numbers of a text, at most ``most`` of them; raises ValueError, saying why, for anything else."""
    if not text:
        return ()
    if len(text) > 200_000 or not _SHAPE.fullmatch(text):
        shown = text if len(text) <= 40 else f"{text[:40]}..."
        raise ValueError(f"{shown!r} is no list of numbers such as '13-16,20'")
    numbers: list[int] = []
    for part in text.split(","):
        first, _, last = part.partition("-")
        low, high = int(first), int(last or first)
        if last and high <= low:
            raise ValueError(f"the range {part!r} does not rise")
        if len(numbers) + high - low >= most:
            raise ValueError(f"the range {part!r} holds more numbers than a plant can have")
        numbers.extend(range(low, high + 1))
    return tuple(numbers)
