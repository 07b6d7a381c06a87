"""What the details of a picked thing are made of, as plain data: a title, sections of rows, a table of bends.

A row is words, or a number that can be typed over; what typing it does is an edit made by the row itself. No widget.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gui.marks import State
from gui.panels.part_nodes import Swatch
from model.history import Edit


@dataclass(frozen=True, slots=True)
class Field:
    """A number that can be edited: its value in ``unit`` (mm, m, ft or nothing), and the edit a new value makes."""

    value: float
    unit: str
    make: Callable[[float], Edit]
    decimals: int = 1

    @property
    def text(self) -> str:
        """The number as the field shows it, without its unit."""
        shown = f"{self.value:.{self.decimals}f}"
        return shown.rstrip("0").rstrip(".") if "." in shown else shown


@dataclass(frozen=True, slots=True)
class Entry:
    """Words that can be edited, and the edit that others make; ``needed`` where they may not be empty.

    ``blank`` stands in an empty field that need not be filled.
    """

    value: str
    make: Callable[[str], Edit]
    needed: bool = True
    blank: str = "none yet"


@dataclass(frozen=True, slots=True)
class Row:
    """One line: label and words, or label and field. ``key`` names it for live values during a drag."""

    label: str
    value: str = ""
    key: str = ""
    field: Field | None = None
    entry: Entry | None = None
    mark: State | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under a heading; ``right`` stands at the right end of the heading."""

    title: str
    rows: tuple[Row, ...]
    right: str = ""


@dataclass(frozen=True, slots=True)
class BendRow:
    """A bend in the table: its name, radius, limit and state; ``support`` is its index in the route."""

    name: str
    support: int
    radius_mm: float
    limit_mm: float | None
    state: State

    @property
    def words(self) -> str:
        """As a screen reader says it."""
        size = "a kink" if self.radius_mm == 0 else f"{self.radius_mm:.1f} millimetres"
        limit = f", limit {self.limit_mm:g}" if self.limit_mm else ""
        return f"{self.name}, {size}{limit}, {'error' if self.state == 'error' else 'in order'}"


@dataclass(frozen=True, slots=True)
class Details:
    """Everything about one picked thing."""

    ref: str
    title: str
    second: str = ""
    swatch: Swatch | None = None
    sections: tuple[Section, ...] = ()
    bends: tuple[BendRow, ...] = ()
    bend_limit: str = ""
    route: str = ""
    """Id of the route the bends belong to."""


def mm(value: float | None, decimals: int = 0) -> str:
    """A length in millimetres in words; a dash when it is not known."""
    return "not known" if value is None else f"{value:.{decimals}f} mm"


def metres(value: float | None, decimals: int = 1) -> str:
    """A length in metres in words."""
    return "not known" if value is None else f"{value:,.{decimals}f} m".replace(",", "\u202f")


def rows(*pairs: tuple[str, str]) -> tuple[Row, ...]:
    """Rows of words, those that say nothing left out; the label lower-cased is the key."""
    return tuple(Row(label, value, label.lower()) for label, value in pairs if value)
