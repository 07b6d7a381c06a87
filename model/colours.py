"""Colours of fibres and tubes: which colour and mark a position has under a scheme, and how it is written.

A colour is a plain English name with a two-letter code; pictures add the number, so that a grey copy stays readable.
The schemes themselves are data (``model/data/colours.toml``); a plant carries those it uses.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from model.errors import PlantError
from model.parts import ColourScheme

CODES: Final = MappingProxyType(
    {
        # TIA-598 two-letter forms: AQ, BL and SL read in a published restatement, the others from memory.
        "blue": "BL",
        "orange": "OR",
        "green": "GR",
        "brown": "BR",
        "slate": "SL",
        "white": "WH",
        "red": "RD",
        "black": "BK",
        "yellow": "YL",
        "violet": "VI",
        "rose": "RS",
        "aqua": "AQ",
        # Names other national orders use; the codes are our own, kept clear of the twelve above.
        "grey": "GY",
        "pink": "PK",
        "turquoise": "TQ",
        "transparent": "TR",
        "light green": "LG",
    }
)
"""Two-letter code of every colour name a scheme may use."""


@dataclass(frozen=True, slots=True)
class ColourMark:
    """The look of one position: base colour, and how many stripes or rings of which colour."""

    colour: str
    marks: int = 0
    mark: str = "stripe"
    mark_colour: str = ""

    @property
    def code(self) -> str:
        """Two letters; a slash and the count stand for the marks: ``BL``, ``BL/1`` (one stripe), ``BL/2``."""
        base = CODES[self.colour]
        return f"{base}/{self.marks}" if self.marks else base

    @property
    def words(self) -> str:
        """In plain words: ``black with yellow stripe``, ``blue with 2 black stripes``."""
        if not self.marks:
            return self.colour
        if self.marks == 1:
            return f"{self.colour} with {self.mark_colour} {self.mark}"
        return f"{self.colour} with {self.marks} {self.mark_colour} {self.mark}s"


def colour_at(scheme: ColourScheme, position: int) -> ColourMark:
    """Look of a position (from 1) under a scheme; raises PlantError for a position below 1."""
    if position < 1:
        raise PlantError(f"there is no position {position} in a colour order", hint="Positions count from 1")
    for swapped, base, mark_colour in scheme.swaps:
        if swapped == position:
            return ColourMark(base, 1 if mark_colour else 0, scheme.mark, mark_colour)
    count = len(scheme.order)
    if position > count and scheme.rest:
        return ColourMark(scheme.rest)
    marks, index = divmod(position - 1, count)
    base = scheme.order[index]
    if not marks:
        return ColourMark(base)
    return ColourMark(base, marks, scheme.mark, scheme.mark_on_black if base == "black" else scheme.mark_colour)


def check_scheme(scheme: ColourScheme) -> list[str]:
    """What is wrong with a user's scheme, in plain sentences; empty when it can be used."""
    faults = []
    if not scheme.order:
        faults.append("the order is empty")
    names = [*scheme.order, *([scheme.rest] if scheme.rest else []), *(base for _, base, _ in scheme.swaps)]
    faults += [f"{name!r} is no known colour name" for name in dict.fromkeys(names) if name not in CODES]
    repeated = sorted({name for name in scheme.order if scheme.order.count(name) > 1})
    if repeated and not scheme.by_position:
        faults.append(f"{', '.join(repeated)} stands twice; say by_position if the number alone identifies")
    return faults
