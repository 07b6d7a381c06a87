"""A table of splice readings turned into lines: which joint, wavelength, A to B, B to A, and what else was written.

A heading tells the columns (tray, slot or a fibre; wavelength; A-B; B-A; enclosure, initials, date, estimate); without
one they stand in the order slot or fibre, wavelength, A-B, B-A, or tray, slot, wavelength, A-B, B-A. So the splice log
this program writes can be filled in elsewhere and read again. Rows that go together are drawn to one line; a row that
cannot be is listed by its number. Losses in dB, wavelengths in nm.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from model.line.compile import compile_line
from model.line.context import Bench, Context
from model.line.faults import LineError
from model.line.grammar import parse
from model.line.names import quoted
from model.line.sheet import Cells, Numbered
from model.line.wording import runs

LONGEST_LINE: Final = 4000
"""Characters from which on the rest goes into another line."""
_NM: Final = re.compile(r"(?:[89]\d\d|1[0-7]\d\d)(?:\.0+)?")
_LOSS: Final = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)")


@dataclass(frozen=True, slots=True)
class Readings:
    """Lines with the numbers of the rows each came from, and (row, why) of those that make none."""

    lines: tuple[str, ...]
    rows: tuple[tuple[int, ...], ...]
    bad: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class _Said:
    """One value of one joint: ``place`` is ``SITE/TRAY`` or ``tray NAME`` with a slot, or a fibre with none."""

    row: int
    place: str
    slot: int | None
    head: str
    """Verb."""
    middle: str
    """Wavelength and direction."""
    value: str
    tail: str

    @property
    def group(self) -> tuple[str, ...]:
        """What rows share that are one line."""
        return (self.place if self.slot is not None else "", self.head, self.middle, self.tail)


def readings_of(context: Context, rows: Sequence[Numbered]) -> Readings | None:
    """The lines a table of readings comes to; None for any other table. Never raises."""
    if not rows:
        return None
    columns = _told(rows[0][1])
    body = rows[1:] if columns else rows
    columns = columns or _guessed(rows[0][1])
    if not columns:
        return None
    bad: list[tuple[int, str]] = []
    good: list[_Said] = []
    tray = _usual_tray(context)
    for number, cells in body:
        for said in _said(number, cells, columns, tray):
            why = _refused(context, _line([said]))
            if why:
                bad.append((number, why))
                break
            good.append(said)
    kept = [said for said in dict.fromkeys(good) if said.row not in {number for number, _ in bad}]
    lines = [group for whole in _groups(kept) for group in _cut(whole)]
    return Readings(
        tuple(_line(group) for group in lines),
        tuple(tuple(dict.fromkeys(said.row for said in group)) for group in lines),
        tuple(bad),
    )


def _told(heading: Cells) -> dict[str, int]:
    """Columns by a heading that names a wavelength, a direction and a place; empty where it does not."""
    found: dict[str, int] = {}
    for index, cell in enumerate(heading):
        text = cell.lower()
        words = set(re.findall(r"[^\W\d_]+", text))
        if re.search(r"\d{3}", text):
            continue  # a column of one wavelength belongs to a schedule
        if "wavelength" in words or text == "nm":
            key = "nm"
        elif re.search(r"\ba\s*-\s*b\b", text):
            key = "ab"
        elif re.search(r"\bb\s*-\s*a\b", text):
            key = "ba"
        elif "estimate" in words:
            key = "estimate"
        else:
            key = next((name for name, known in _WORDS.items() if words & known and len(words) <= 2), "")
        if key:
            found.setdefault(key, index)
    whole = "nm" in found and ("ab" in found or "ba" in found) and ("slot" in found or "ref" in found)
    return found if whole else {}


_WORDS: Final = {
    "tray": {"tray", "cassette"},
    "slot": {"slot"},
    "site": {"site"},
    "ref": {"fibre", "fiber", "a", "from", "ref"},
    "enclosure": {"enclosure"},
    "by": {"initials", "by"},
    "on": {"date", "on"},
    "kept": {"kept"},
}


def _guessed(first: Cells) -> dict[str, int]:
    """Columns by what the first row holds: a wavelength, then one or two losses at the end; empty for other tables."""
    at = next((n for n in (1, 2) if len(first) > n + 1 and _NM.fullmatch(first[n])), 0)
    losses = first[at + 1 :]
    if not at or len(losses) > 2 or not all(not cell or _LOSS.fullmatch(cell) for cell in losses) or not any(losses):
        return {}
    keys = ("tray", "slot") if at == 2 else ("slot",) if first[0].isdigit() else ("ref",)
    return {key: index for index, key in enumerate((*keys, "nm", "ab", "ba")[: len(first)])}


def _usual_tray(context: Context) -> str:
    """The tray of a slot without one: that picked, else the only one here with joints; empty where there is none."""
    if context.tray is not None:
        return context.plant.trays[context.tray].name
    held = {splice.tray for splice in context.plant.splices.values() if context.place in (None, splice.site)}
    trays = [tray for tray in context.plant.trays.values() if tray.id in held]
    return trays[0].name if len(trays) == 1 else ""


def _said(number: int, cells: Cells, columns: dict[str, int], usual: str) -> Iterator[_Said]:
    """What one row says, each value as a step of its own; nothing for a try that was broken open.

    ``usual`` is the tray of a slot that names none.
    """

    def cell(key: str) -> str:
        index = columns.get(key)
        return cells[index] if index is not None and index < len(cells) else ""

    if cell("kept").startswith("broken"):
        return
    slot = cell("slot")
    if slot.isascii() and slot.isdigit() and len(slot) <= 6:
        tray = cell("tray")
        tray = tray[5:].strip() if tray.lower().startswith("tray ") else tray
        site = cell("site")
        tray = tray or usual
        place = f"{quoted(site)}/{quoted(tray)}/" if site and tray else f"tray {quoted(tray)} "
        where: tuple[str, int | None] = (place, int(slot))
    else:
        where = (cell("ref") or slot, None)
    tail = f" by {quoted(cell('by'))}" if cell("by") else ""
    tail += f" on {cell('on')}" if cell("on") else ""
    if cell("estimate"):
        yield _Said(number, *where, "estimate", "", cell("estimate"), tail)
    nm = re.sub(r"\.0+$", "", cell("nm"))
    sealed = " sealed" if cell("enclosure").lower() == "sealed" else ""
    ab, ba = cell("ab"), cell("ba")
    if ab and ba:
        yield _Said(number, *where, "measure", f" {nm}", f"{ab}/{ba}", sealed + tail)
    elif ab or ba:
        yield _Said(number, *where, "measure", f" {nm} {'A-B' if ab else 'B-A'}", ab or ba, sealed + tail)


def _groups(said: Sequence[_Said]) -> list[list[_Said]]:
    """Values that can be one line, in the order of their first rows."""
    found: dict[tuple[str, ...], list[_Said]] = {}
    for one in said:
        found.setdefault(one.group, []).append(one)
    return list(found.values())


def _cut(group: list[_Said]) -> Iterator[list[_Said]]:
    """A group in pieces that no line grows too long for, and that name no joint twice."""
    part: list[_Said] = []
    long = 0
    for said in group:
        long += len(said.place) + len(said.value) + 8
        if part and (long > LONGEST_LINE or any((p.place, p.slot) == (said.place, said.slot) for p in part)):
            yield part
            part, long = [], len(said.place) + len(said.value) + 8
        part.append(said)
    if part:
        yield part


def _line(group: Sequence[_Said]) -> str:
    first = group[0]
    if first.slot is None:
        what = ",".join(said.place for said in group)
    else:
        what = ",".join(f"{first.place}{run}" for run in runs(said.slot or 0 for said in group).split(","))
    return f"{first.head} {what}{first.middle} {' '.join(said.value for said in group)}{first.tail}"


def _refused(context: Context, line: str) -> str:
    """Why a line cannot be done; empty where it can."""
    try:
        compile_line(Bench(context, line), parse(line, context.names))
    except LineError as fault:
        return fault.message + (f". {fault.hint}" if fault.hint else "")
    return ""
