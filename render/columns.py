"""What the columns of every list are made of: a heading, decimals, and what stands there for a row.

Ranges of numbers are written with a dash that no spreadsheet takes for a date.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from model.lists.naming import Reach
from render.looks import ranges
from render.tables import Table, Value

R = TypeVar("R")
Column = tuple[str, int, Callable[[R], Value]]
"""Heading, decimals, and what stands in the column for a row."""

SIDES = {"<": "exchange", ">": "field", "in": "input", "out": "leg", "": ""}


def table_of(name: str, title: str, columns: Sequence[Column[Any]], rows: Iterable[Any]) -> Table:
    """A table of rows by its columns."""
    return Table(
        name,
        title,
        tuple(heading for heading, _, _ in columns),
        tuple(digits for _, digits, _ in columns),
        tuple(tuple(get(row) for _, _, get in columns) for row in rows),
    )


def numbers(found: Sequence[int]) -> str:
    """Numbers as ranges with an en dash: of "1-4" with a hyphen a spreadsheet makes the first of April."""
    return ranges(tuple(found)).replace("-", "–")


def names(found: Iterable[str]) -> str:
    """Names after each other, as they come."""
    return ", ".join(found)


def reach_words(far: Reach) -> str:
    """Where glass leads: "Ferry Head, FE 13–16", "dark at WB-07, TM-B1 13", or why it does not end."""
    if not far.kind:
        return ""
    place = ", ".join(word for word in (far.site, f"{far.name} {numbers(far.numbers)}".strip()) if word)
    words = {"port": "", "dark": "dark at ", "branches": "branches at ", "ring": "ring at "}
    return words.get(far.kind, "joined more than once at ") + place
