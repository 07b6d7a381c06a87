"""A pasted table of references, or of splice readings, turned into lines; rows that cannot be are listed by number.

Rows that carry on the row before are drawn together to ranges. Each row is tried on the plant as the rows before it
would leave it, so that the lines read in their order.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from model.errors import PlantError
from model.ids import SpliceId
from model.line.compile import compile_line
from model.line.context import Bench, Context
from model.line.faults import LineError, Span
from model.line.folding import End
from model.line.grammar import parse
from model.line.readings_table import readings_of
from model.line.resolve import MOST_JOINTS
from model.line.rows import JoinRow, line_of, runs_of
from model.line.sheet import Cells, Columns, Numbered, cells_of, columns_of
from model.line.verbs import TAILS
from model.refs import LONGEST, CableRef, parse_ref

MOST_CHARACTERS: Final = 64 * LONGEST
"""A longer paste is refused with the number."""


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that makes no joint: its number from 1 and why."""

    row: int
    why: str

    def __str__(self) -> str:
        return f"row {self.row}: {self.why}" if self.row else self.why


@dataclass(frozen=True, slots=True)
class Pasted:
    """Lines in the order of the rows with the numbers of the rows each came from, and the bad rows."""

    lines: tuple[str, ...]
    rows: tuple[tuple[int, ...], ...]
    bad: tuple[BadRow, ...]

    @property
    def text(self) -> str:
        """All lines as one, so that they are one undo step."""
        return "; ".join(self.lines)


def is_table(text: str) -> bool:
    """True for a text that is a table and not a line: several rows, or a tab in its one row."""
    return ("\t" in text.strip() or "\n" in text.strip()) and not as_lines(text)


def as_lines(text: str) -> str:
    """Several typed lines as one, their steps after one another; empty where a row starts with no verb."""
    rows = [row.strip() for row in text.splitlines() if row.strip()]
    verbs = [match[0].lower() if (match := re.match(r"[^\W\d_]+(?=\s)", row)) else "" for row in rows]
    return "; ".join(row.rstrip("; ") for row in rows) if rows and all(verb in TAILS for verb in verbs) else ""


def read_table(context: Context, text: str) -> Pasted:
    """The lines a table comes to. Never raises; a table that is too large is one bad row 0 with the number."""
    if len(text) > MOST_CHARACTERS:
        return Pasted((), (), (BadRow(0, f"the table is {len(text)} characters long, at most {MOST_CHARACTERS}"),))
    return read_rows(context, cells_of(text))


def read_rows(context: Context, rows: Sequence[Numbered]) -> Pasted:
    """The same for rows of cells with their numbers, as they come from a workbook."""
    if len(rows) > MOST_JOINTS + 1:
        return Pasted((), (), (BadRow(0, f"the table has {len(rows)} rows, at most {MOST_JOINTS}"),))
    read = readings_of(context, rows)
    if read is not None:
        return Pasted(read.lines, read.rows, tuple(BadRow(row, why) for row, why in read.bad))
    columns = columns_of(context, rows)
    bad: list[BadRow] = []
    found: list[JoinRow] = []
    for position, (number, cells) in enumerate(rows[1:] if columns.heading else rows):
        try:
            found.append(_row(context, columns, cells, number))
        except LineError as fault:
            why = fault.message + (f". {fault.hint}" if fault.hint else "")
            bad.append(BadRow(number, why + (" (the heading?)" if position == 0 and len(rows) > 1 else "")))
    made = context
    good: list[JoinRow] = []
    for run in runs_of(found):
        made = _tried(made, run, good, bad)
    bad.sort(key=lambda b: b.row)
    runs = runs_of(good)
    lines = tuple(line_of(context, run) for run in runs)
    return Pasted(lines, tuple(tuple(row.number for row in run) for run in runs), tuple(bad))


def _row(context: Context, columns: Columns, cells: Cells, number: int) -> JoinRow:
    here = Span(1, 0)
    sides: list[tuple[End, ...]] = []
    texts = [columns.end(cells, side) for side in ("a", "b")]
    if not all(texts):
        raise LineError("a row needs two ends: from and to", here)
    for text in texts:
        try:
            ref = parse_ref(context.plant, text)
        except PlantError as fault:
            raise LineError(fault.message, here, hint=fault.hint) from None
        if not isinstance(ref, CableRef) or not ref.fibres:
            raise LineError(f"{text!r} names no fibre", here)
        sides.append(tuple(End(ref.cable, n, "", ref.site, ref.side) for n in ref.fibres))
    a, b = sides
    if len(a) != len(b):
        raise LineError(f"{len(a)} fibres on the left, {len(b)} on the right", here)
    tray, slot = columns.cell(cells, "tray"), columns.cell(cells, "slot")
    tray = tray[5:].strip() if tray.lower().startswith("tray ") else tray
    if slot and not (slot.isascii() and slot.isdigit() and len(slot) <= 6):
        raise LineError(f"{slot!r} is no slot", here)
    site = columns.cell(cells, "site")
    if site and not context.names.ids(site, "site"):
        raise LineError(f"no site is called {site!r}", here)
    elsewhere = site and (context.place is None or context.place not in context.names.ids(site, "site"))
    return JoinRow(number, a, b, tray, int(slot) if slot else None, site if elsewhere else "")


def _tried(context: Context, run: list[JoinRow], good: list[JoinRow], bad: list[BadRow]) -> Context:
    """The plant with the rows of a run that can be joined; a run that cannot be whole is tried half by half."""
    after = _try(context, run)
    if isinstance(after, Context):
        good += run
        return after
    if len(run) == 1:
        bad.append(BadRow(run[0].number, after))
        return context
    half = len(run) // 2
    return _tried(_tried(context, run[:half], good, bad), run[half:], good, bad)


def _try(context: Context, run: list[JoinRow]) -> Context | str:
    """The plant with a run of rows joined too, or why that cannot be."""
    line = line_of(context, run)
    bench = Bench(context, line)
    try:
        made = compile_line(bench, parse(line, context.names))
    except LineError as fault:
        return fault.message + (f". {fault.hint}" if fault.hint else "")
    index = 0
    for row in run:
        splice = bench.plant.splices[SpliceId(made[0].joints[index])]
        if row.slot is not None and splice.slot != row.slot:
            return f"slot {row.slot} of tray {row.tray} is not free"
        index += len(row.a)
    after = Context(
        bench.plant, context.continuity, context.place, context.cable, context.tray, context.ticket, context.now
    )
    after.__dict__["names"] = context.names
    return after
