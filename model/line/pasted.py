"""A pasted table of references, two or more columns, turned into lines; rows that cannot be are listed by number.

Columns are from, to, and optionally tray and first slot, parted by tabs, semicolons or commas. Rows that carry on the
row before are drawn together to ranges.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Final

from model.errors import PlantError
from model.ids import SpliceId
from model.line.compile import compile_line
from model.line.context import Bench, Context
from model.line.faults import LineError, Span
from model.line.grammar import parse
from model.line.names import quoted
from model.line.resolve import MOST_JOINTS
from model.line.wording import runs
from model.refs import LONGEST, CableRef, parse_ref

MOST_CHARACTERS: Final = 64 * LONGEST
"""A longer paste is refused with the number."""
MOST_ROWS_A_LINE: Final = 144
"""Rows drawn together in one line, so that it can still be read."""


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


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: its number, the two references, the tray as text, the slot."""

    number: int
    a: CableRef
    b: CableRef
    tray: str
    slot: int | None


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
    found: list[_Row] = []
    for position, (number, row) in enumerate(rows):
        try:
            found.append(_row(context, _cells(row), number))
        except LineError as fault:
            bad.append(BadRow(number, fault.message + (" (the heading?)" if position == 0 and len(rows) > 1 else "")))
    made = context
    good: list[_Row] = []
    for run in _runs(found):
        after = _try(made, run)
        if isinstance(after, Context):
            made = after
            good += run
            continue
        for single in run:
            after = _try(made, [single])
            if isinstance(after, Context):
                made = after
                good.append(single)
            else:
                bad.append(BadRow(single.number, after))
    runs_made = _runs(good)
    bad.sort(key=lambda b: b.row)
    lines = tuple(_line(context, run) for run in runs_made)
    return Pasted(lines, tuple(tuple(row.number for row in run) for run in runs_made), tuple(bad))


def _row(context: Context, cells: list[str], number: int) -> _Row:
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
    slot = cells[3] if len(cells) > 3 else ""
    if slot and not (slot.isascii() and slot.isdigit() and len(slot) <= 6):
        raise LineError(f"{slot!r} is no slot", here)
    return _Row(number, a, b, tray, int(slot) if slot else None)


def _runs(rows: list[_Row]) -> list[list[_Row]]:
    """Rows in lists that one line can make: same tray, slots carrying on."""
    found: list[list[_Row]] = []
    for row in rows:
        if found and len(found[-1]) < MOST_ROWS_A_LINE:
            last = found[-1][-1]
            slot = None if last.slot is None else last.slot + len(last.a.fibres)
            if row.tray == last.tray and row.slot == slot:
                found[-1].append(row)
                continue
        found.append([row])
    return found


def _try(context: Context, run: list[_Row]) -> Context | str:
    """The plant with a run of rows joined too, or why that cannot be."""
    line = _line(context, run)
    bench = Bench(context, line)
    try:
        made = compile_line(bench, parse(line, context.names))
    except LineError as fault:
        return fault.message
    slot = run[0].slot
    for index, key in enumerate(made[0].joints):
        splice = bench.plant.splices[SpliceId(key)]
        if slot is not None and splice.slot != slot + index:
            return f"slot {slot + index} of tray {_tray(run[0])} is not free"
    after = Context(
        bench.plant, context.continuity, context.place, context.cable, context.tray, context.ticket, context.now
    )
    after.__dict__["names"] = context.names
    return after


def _side(context: Context, refs: list[CableRef]) -> str:
    """References as one side of a join, runs of one cable drawn together."""
    pieces = []
    for _, group in groupby(refs, key=lambda ref: (ref.cable, ref.site, ref.side)):
        run = list(group)
        ref = run[0]
        at = f"@{quoted(context.plant.sites[ref.site].name)}" if ref.site else ""
        name = quoted(context.plant.cables[ref.cable].name)
        fibres = runs(n for one in run for n in one.fibres)
        pieces += [f"{name}:{piece}{at}{ref.side or ''}" for piece in fibres.split(",")]
    return ",".join(pieces)


def _tray(row: _Row) -> str:
    return row.tray[5:].strip() if row.tray.lower().startswith("tray ") else row.tray


def _line(context: Context, run: list[_Row]) -> str:
    first = run[0]
    name = _tray(first)
    tray = f" on tray {quoted(name)}" if name else ""
    start = f" from {first.slot}" if first.slot else ""
    return f"join {_side(context, [r.a for r in run])} to {_side(context, [r.b for r in run])}{tray}{start}"
