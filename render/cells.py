"""What may stand in the field of a table, what a column asks for, and how much width both need.

Plain values in mm; ``render.tableblock`` lays them out and draws them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from render.blocks import chip_width, loud_width, word_width
from render.drawing import Anchor, Weight
from render.style import Look
from render.text import text_width

CellKind = Literal["text", "chip", "word", "loud", "dot", "tick"]
PAD = 1.0  # between the edge of a column and what it holds


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in one field of a table; plain strings do for plain text."""

    text: str = ""
    kind: CellKind = "text"
    weight: Weight = "normal"
    look: Look | None = None
    stripes: int = 0
    done: bool = False
    ref: str = ""


def bold(text: str) -> Cell:
    """Heavy text."""
    return Cell(text, weight="bold")


def chip_cell(text: str, look: Look, stripes: int = 0, ref: str = "") -> Cell:
    """A chip."""
    return Cell(text, "chip", look=look, stripes=stripes, ref=ref)


def word_cell(text: str) -> Cell:
    """A boxed state as wide as its column."""
    return Cell(text, "word")


def loud_cell(text: str) -> Cell:
    """A loud tag."""
    return Cell(text, "loud")


def dot_cell(done: bool) -> Cell:
    """A splice dot, filled when done."""
    return Cell("", "dot", done=done)


def tick_cell() -> Cell:
    """An empty box to tick on site."""
    return Cell("", "tick")


@dataclass(frozen=True, slots=True)
class Column:
    """One column. ``width`` None finds itself; ``grow`` takes spare room; ``fit`` says what too long text
    does."""

    header: str
    align: Anchor = "start"
    width: float | None = None
    fit: Literal["wrap", "shorten", "keep"] = "wrap"
    grow: bool = False
    weight: Weight = "normal"


def need(cell: Cell, height: float) -> float:
    """Width of a cell's content in mm."""
    if cell.kind == "chip":
        return chip_width(cell.text, height, cell.stripes)
    if cell.kind == "word":
        return word_width(cell.text, height)
    if cell.kind == "loud":
        return loud_width(cell.text, height)
    if cell.kind in ("dot", "tick"):
        return 3.2
    return text_width(cell.text, height, cell.weight)


def least(cell: Cell, column: Column, height: float, word_mm: float = 30.0) -> float:
    """The width below which a cell's content cannot go, mm; words longer than ``word_mm`` are broken."""
    if cell.kind != "text" or column.fit == "keep" or column.align == "end":
        return need(cell, height)
    longest = max((text_width(part, height, cell.weight) for part in cell.text.split()), default=0.0)
    return min(longest, word_mm) if column.fit == "wrap" else min(longest, 12.0)
