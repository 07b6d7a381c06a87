"""A pasted table of references, or of splice readings, turned into lines; rows that cannot be are listed by number.

Rows that carry on the row before are drawn together to ranges. Each row is tried on the plant as the rows before it
would leave it, so that the lines read in their order.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from model.entities import FibreEnd
from model.errors import PlantError
from model.ids import CableId, SpliceId
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
from model.lookup import passes
from model.plant import Plant
from model.refs import LONGEST, CableRef, parse_ref

MOST_CHARACTERS: Final = 64 * LONGEST
"""A longer paste is refused with the number."""


MOST_TRIED: Final = 200
"""Rows that fail when they are tried; with more, what is left of a run is bad for the reason of the run."""


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
    rest = _unused(context, found, bad)
    most = len(bad) + MOST_TRIED
    for run in runs_of(rest):
        made = _tried(made, run, good, bad, most)
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


def _unused(context: Context, rows: Sequence[JoinRow], bad: list[BadRow]) -> list[JoinRow]:
    """Rows whose ends are free and not named by an earlier row; the others are bad."""
    plant = context.plant
    used: dict[object, str] = {}
    for splice in plant.splices.values():
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd):
                used[end.cable, end.fibre, splice.site, end.side] = "is joined already"
    found: list[JoinRow] = []
    for row in rows:
        named = context.names.ids(row.site, "site")[0] if row.site else context.place
        keys = [(end, _key(plant, end, named, side)) for ends, side in ((row.a, "<"), (row.b, ">")) for end in ends]
        why = next((f"{_said(plant, end)} {used[key]}" for end, key in keys if key in used), "")
        if not why and len({key for _, key in keys}) < len(keys):
            why = "an end is said twice"
        if why:
            bad.append(BadRow(row.number, why))
            continue
        found.append(row)
        used |= dict.fromkeys((key for _, key in keys), f"is in row {row.number} already")
    return found


def _key(plant: Plant, end: End, place: str | None, side: str) -> tuple[str, int, str | None, str]:
    """An end of glass at a place, as a joint there holds it."""
    cable = plant.cables[CableId(end.owner)]
    site = end.at or place
    for index, stop in enumerate(cable.stops):
        if site == stop.site and not passes(cable, index):
            return end.owner, end.number, site, ">" if index == 0 else "<"
    return end.owner, end.number, site, end.side or side


def _said(plant: Plant, end: End) -> str:
    return f"{plant.cables[CableId(end.owner)].name}:{end.number}"


def _tried(context: Context, run: list[JoinRow], good: list[JoinRow], bad: list[BadRow], most: int) -> Context:
    """The plant with the rows of a run that can be joined; a run that cannot be whole is tried half by half."""
    after = _try(context, run)
    if isinstance(after, Context):
        good += run
        return after
    if len(run) == 1 or len(bad) >= most:
        bad += [BadRow(row.number, after) for row in run]
        return context
    half = len(run) // 2
    return _tried(_tried(context, run[:half], good, bad, most), run[half:], good, bad, most)


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
