"""A pasted table of references, two or more columns, turned into lines; rows that cannot be are listed by number.

Columns are from, to, and optionally tray and first slot, parted by tabs, semicolons or commas. Rows that carry on the
row before are drawn together to ranges.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from model.entities import Side
from model.errors import PlantError
from model.line.context import Context
from model.line.faults import LineError, Span
from model.line.names import quoted
from model.line.readback import Reading, read_line
from model.line.resolve import MOST_JOINTS
from model.line.wording import runs
from model.refs import LONGEST, CableRef, parse_ref

MOST_CHARACTERS: Final = 64 * LONGEST
"""A longer paste is refused with the number."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that makes no joint: its number from 1 and why."""

    row: int
    why: str


@dataclass(frozen=True, slots=True)
class Pasted:
    """Lines in the order of the rows with the numbers of the rows each came from, and the bad rows."""

    lines: tuple[str, ...]
    rows: tuple[tuple[int, ...], ...]
    bad: tuple[BadRow, ...]


@dataclass(slots=True)
class _Run:
    """Rows that carry on one another."""

    a: CableRef
    b: CableRef
    tray: str
    slot: int | None
    pairs: list[tuple[int, int]]
    rows: list[int]


def is_table(text: str) -> bool:
    """True for a text that is a table and not a line: several rows, or a tab in its one row."""
    return "\t" in text.strip() or "\n" in text.strip()


def _cells(row: str) -> list[str]:
    mark = "\t" if "\t" in row else ";" if ";" in row else ","
    return [cell.strip() for cell in row.split(mark)]


def read_table(context: Context, text: str) -> Pasted:
    """The lines a table comes to. Never raises; a table that is too large is one bad row 0 with the number."""
    if len(text) > MOST_CHARACTERS:
        return Pasted((), (), (BadRow(0, f"the table is {len(text)} characters long, at most {MOST_CHARACTERS}"),))
    rows = [(number, row) for number, row in enumerate(text.splitlines(), start=1) if row.strip()]
    if len(rows) > MOST_JOINTS:
        return Pasted((), (), (BadRow(0, f"the table has {len(rows)} rows, at most {MOST_JOINTS}"),))
    bad: list[BadRow] = []
    found: list[_Run] = []
    for position, (number, row) in enumerate(rows):
        try:
            run = _row(context, _cells(row), number)
        except LineError as fault:
            bad.append(BadRow(number, fault.message + (" (the heading?)" if position == 0 and len(rows) > 1 else "")))
            continue
        last = found[-1] if found else None
        if last is not None and _carries_on(last, run):
            last.pairs += run.pairs
            last.rows += run.rows
        else:
            found.append(run)
    lines = [_line(context, run) for run in found]
    good: list[tuple[str, tuple[int, ...]]] = []
    for line, run in zip(lines, found, strict=True):
        reading = read_line(context, line, complete=False)
        if reading.ok:
            good.append((line, tuple(run.rows)))
        else:
            bad += [BadRow(row, _why(reading)) for row in run.rows]
    bad.sort(key=lambda b: b.row)
    return Pasted(tuple(line for line, _ in good), tuple(rows_of for _, rows_of in good), tuple(bad))


def _why(reading: Reading) -> str:
    return reading.error.message if reading.error else ""


def _row(context: Context, cells: list[str], number: int) -> _Run:
    here = Span(1, 0)
    if len(cells) < 2 or not cells[0] or not cells[1]:
        raise LineError("a row needs two columns: from and to", here)
    refs: list[CableRef] = []
    for cell in cells[:2]:
        try:
            ref = parse_ref(context.plant, cell)
        except PlantError as fault:
            raise LineError(str(fault), here) from None
        if not isinstance(ref, CableRef) or not ref.fibres:
            raise LineError(f"{cell!r} names no fibre", here)
        refs.append(ref)
    a, b = refs
    if len(a.fibres) != len(b.fibres):
        raise LineError(f"{len(a.fibres)} fibres on the left, {len(b.fibres)} on the right", here)
    tray = cells[2] if len(cells) > 2 else ""
    slot_text = cells[3] if len(cells) > 3 else ""
    if slot_text and not (slot_text.isascii() and slot_text.isdigit() and len(slot_text) <= 6):
        raise LineError(f"{slot_text!r} is no slot", here)
    slot = int(slot_text) if slot_text else None
    return _Run(a, b, tray, slot, list(zip(a.fibres, b.fibres, strict=True)), [number])


def _carries_on(last: _Run, run: _Run) -> bool:
    same = all((x.cable, x.site, x.side) == (y.cable, y.site, y.side) for x, y in ((last.a, run.a), (last.b, run.b)))
    slot = run.slot is None if last.slot is None else run.slot == last.slot + len(last.pairs)
    return same and last.tray == run.tray and slot


def _side(context: Context, ref: CableRef, fibres: list[int]) -> str:
    cable = context.plant.cables[ref.cable]
    at = f"@{quoted(context.plant.sites[ref.site].name)}" if ref.site else ""
    side: Side | str = ref.side or ""
    return ",".join(f"{quoted(cable.name)}:{piece}{at}{side}" for piece in runs(fibres).split(","))


def _line(context: Context, run: _Run) -> str:
    a = _side(context, run.a, [x for x, _ in run.pairs])
    b = _side(context, run.b, [y for _, y in run.pairs])
    name = run.tray[5:].strip() if run.tray.lower().startswith("tray ") else run.tray
    tray = f" on tray {quoted(name)}" if name else ""
    return f"join {a} to {b}{tray}{f' from {run.slot}' if run.slot else ''}"
