"""A table as it comes from a spreadsheet: its cells, and which of its columns say what is joined to what, and where.

Cells are parted by tabs, semicolons or commas, may stand in quotation marks, and the file may start with a byte order
mark and end its rows with CR LF. A heading tells the columns; without one they stand in the order from, to, tray, slot,
or cable, fibre, cable, fibre, tray, slot. Row numbers count from 1, blank rows too, as a spreadsheet shows them.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from model.errors import PlantError
from model.line.context import Context
from model.line.names import quoted
from model.refs import CableRef, parse_ref

Cells = tuple[str, ...]
Numbered = tuple[int, Cells]

_SIDES: Final = {
    "a": {"a", "from", "left", "in", "near"},
    "b": {"b", "to", "right", "out", "far"},
}
_IGNORED: Final = {"colour", "color", "joint", "loss", "db", "nm", "status", "date", "initials", "remark", "services"}
Kind = Literal["ref", "cable", "tube", "place", "fibre", "number", "side", "tray", "slot", "site"]


@dataclass(frozen=True, slots=True)
class Columns:
    """Index of each column by what it says, such as ``a cable``; ``heading`` is true where the first row tells them."""

    of: dict[str, int] = field(default_factory=dict)
    heading: bool = False

    def cell(self, cells: Cells, key: str) -> str:
        """The cell of a column; empty where there is none."""
        index = self.of.get(key)
        return cells[index] if index is not None and index < len(cells) else ""

    def end(self, cells: Cells, side: str) -> str:
        """The end of a side as a reference: as it stands, or put together from cable and fibre."""
        if f"{side} ref" in self.of:
            return self.cell(cells, f"{side} ref")
        cable, number = self.cell(cells, f"{side} cable"), self.cell(cells, f"{side} number")
        tube, place = self.cell(cells, f"{side} tube"), self.cell(cells, f"{side} place")
        part = number or (f"T{tube.removeprefix('T')}.{place}" if tube and place else place)
        if not cable or not part:
            return ""
        mark = {"exchange": "<", "field": ">", "<": "<", ">": ">"}.get(self.cell(cells, f"{side} side").lower(), "")
        return f"{quoted(cable)}:{part}{mark}"


def cells_of(text: str) -> list[Numbered]:
    """The rows that are not blank, with their numbers; cells without blanks around them."""
    text = text.removeprefix("\ufeff")
    mark = _mark(text)
    found: list[Numbered] = []
    lines = (line + "\n" for line in text.splitlines())
    for number, cells in enumerate(csv.reader(lines, delimiter=mark, strict=False), start=1):
        tidy = tuple(" ".join(cell.split()) for cell in cells)
        if any(tidy):
            found.append((number, tidy))
    return found


def _mark(text: str) -> str:
    """What parts the cells: a tab, a semicolon or a comma, whichever of them the first rows have outside quotes."""
    head = re.sub(r'"[^"]*"', "", "\n".join(text.splitlines()[:20]))
    return "\t" if "\t" in head else ";" if ";" in head else ","


def columns_of(context: Context, rows: Sequence[Numbered]) -> Columns:
    """What the columns say, by the heading, else by what the first row holds."""
    if not rows:
        return Columns()
    # A heading has words only: a first row like A, 1, B, 1 is a joint of cables that are called A and B.
    told = {} if any(cell.isdigit() for cell in rows[0][1]) else _told(rows[0][1])
    if told and not any(_is_end(context, cell) for cell in rows[0][1][:2]):
        return Columns(told, heading=True)
    first = rows[0][1]
    cables = [len(first) > n and bool(context.names.ids(first[n], "cable")) for n in (0, 2)]
    if len(first) >= 4 and all(cables) and not _is_end(context, first[0]):
        keys: tuple[str, ...] = ("a cable", "a number", "b cable", "b number", "tray", "slot")
    else:
        keys = ("a ref", "b ref", "tray", "slot")
    return Columns({key: index for index, key in enumerate(keys)})


def _is_end(context: Context, cell: str) -> bool:
    try:
        ref = parse_ref(context.plant, cell)
    except PlantError:
        return False
    return isinstance(ref, CableRef) and bool(ref.fibres)


def _told(heading: Cells) -> dict[str, int]:
    """Columns by a heading that names both ends; empty where it does not."""
    found: dict[str, int] = {}
    for index, cell in enumerate(heading):
        words = re.findall(r"[^\W\d_]+", cell.lower())
        if not words or set(words) & _IGNORED:
            continue
        kind = _kind(words)
        if kind is None:
            continue
        if kind in ("tray", "slot", "site"):
            found.setdefault(kind, index)
            continue
        side = next((s for s, names in _SIDES.items() if set(words) & names), "")
        if kind == "number" and not side:
            continue  # the row's own number
        # Columns that name no side are those of the left end first, then those of the right.
        key = f"{side or ('a' if f'a {kind}' not in found else 'b')} {kind}"
        found.setdefault(key, index)
    for side in ("a", "b"):
        if f"{side} number" not in found and f"{side} fibre" in found:
            # A fibre counts in its tube where there is a tube, else through the cable.
            key = "place" if f"{side} tube" in found else "number"
            found[f"{side} {key}"] = found[f"{side} fibre"]
        if f"{side} cable" in found and (f"{side} number" in found or f"{side} place" in found):
            found.pop(f"{side} ref", None)
        elif f"{side} ref" not in found:
            return {}
    return found


def _kind(words: Sequence[str]) -> Kind | None:
    said = set(words)
    if said & {"tray", "cassette"}:
        return "tray"
    if "slot" in said:
        return "slot"
    if said & {"site", "enclosure"}:
        return "site"
    if "side" in said:
        return "side"
    if said & {"fibre", "fiber", "fibres", "fibers", "strand"}:
        return "place" if said & {"tube", "position"} else "fibre"
    if "position" in said:
        return "place"
    if said & {"number", "no"}:
        return "number"
    if said & {"tube", "unit"}:
        return "tube"
    if said & {"cable", "sheath", "drop"}:
        return "cable"
    if said & {"from", "to", "a", "b", "left", "right", "ref", "end"}:
        return "ref"
    return None
