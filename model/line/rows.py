"""Joints as rows and rows as lines: a range written out joint by joint, and rows drawn together to the shortest line.

A row is one joint, or one sleeve of ribbons, with its tray and slot; a line made of rows makes just those joints.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from model.entities import Splice
from model.ids import SpliceId
from model.line.compile import compile_line
from model.line.context import Bench, Context
from model.line.faults import LineError, Span
from model.line.folding import End, end_of, ribbons_of, side_text
from model.line.grammar import parse
from model.line.names import quoted
from model.line.syntax import Find
from model.plant import Plant
from model.refs import LONGEST

MOST_SHORTENED: Final = 12
"""Lines of one text whose slots are tried to be left out."""


@dataclass(frozen=True, slots=True)
class JoinRow:
    """Ends that are joined in their order; ``tray`` and ``slot`` of the first of them, empty and None if not said.

    ``tray`` may be ``bay``. ``number`` is that of the row in a table, from 1; ``site`` a name, empty for this place.
    """

    number: int
    a: tuple[End, ...]
    b: tuple[End, ...]
    tray: str = ""
    slot: int | None = None
    site: str = ""

    @property
    def sleeves(self) -> int:
        """Slots it takes where one slot holds one."""
        return len(self.a)


def runs_of(rows: Iterable[JoinRow]) -> list[list[JoinRow]]:
    """Rows in lists that one line can make: same site, tray and kind, slots carrying on."""
    found: list[list[JoinRow]] = []
    for row in rows:
        if found:
            last = found[-1][-1]
            alike = (row.tray, row.site, _ribbon(row)) == (last.tray, last.site, _ribbon(last))
            if last.slot is None or row.slot is None:
                on = row.slot is last.slot
            else:
                on = row.slot - last.slot in (0, last.sleeves)
            if alike and on:
                found[-1].append(row)
                continue
        found.append([row])
    return found


def _ribbon(row: JoinRow) -> bool:
    return row.a[0].letter == "R"


def line_of(context: Context, rows: Sequence[JoinRow]) -> str:
    """The line that makes rows which ``runs_of`` has put together."""
    first = rows[0]
    a = side_text(context, [end for row in rows for end in row.a])
    b = side_text(context, [end for row in rows for end in row.b])
    tray = "" if not first.tray else " on bay" if first.tray == "bay" else f" on tray {quoted(first.tray)}"
    start = f" from {first.slot}" if first.slot else ""
    at = f" at {quoted(first.site)}" if first.site else ""
    return f"join {a} to {b}{tray}{start}{at}"


def rows_of(plant: Plant, splices: Iterable[Splice], place: str | None) -> list[JoinRow]:
    """Rows for joints in the order given; those that share a sleeve of whole ribbons are one row."""
    found: list[JoinRow] = []
    ordered = list(splices)
    for _, group in groupby(ordered, key=lambda s: (s.tray, s.slot, s.id if s.slot is None else "")):
        sleeve = list(group)
        first = sleeve[0]
        tray = plant.trays[first.tray].name if first.tray is not None else "bay"
        site = plant.sites[first.site].name if first.site != place else ""
        a, b = ribbons_of(plant, [s.a for s in sleeve]), ribbons_of(plant, [s.b for s in sleeve])
        if first.method == "ribbon" and a and b and len(a) == len(b):
            found.append(JoinRow(len(found) + 1, tuple(a), tuple(b), tray, first.slot, site))
            continue
        for s in sleeve:
            ends = (end_of(plant, s.a),), (end_of(plant, s.b),)
            found.append(JoinRow(len(found) + 1, *ends, tray, s.slot, site))
    return found


def rows_of_line(context: Context, text: str) -> list[JoinRow]:
    """The joints a line makes, row by row. Raises LineError for a line that cannot be done or does more than join."""
    bench = Bench(context, text)
    line = parse(text, context.names)
    whole = Span(1, len(text))
    if isinstance(line, Find) or any(step.verb.text != "join" for step in line.steps):
        raise LineError("only joins can be written out and drawn together", whole, hint="Like: join A:1-12 to B:1-12")
    made = compile_line(bench, line)
    splices = [bench.plant.splices[SpliceId(key)] for step in made for key in step.joints]
    return rows_of(bench.plant, splices, context.place)


def write_out(context: Context, text: str) -> str:
    """A line of joins as one join for every joint. Raises LineError where it cannot be, or would be too long."""
    rows = rows_of_line(context, text)
    said = "; ".join(line_of(context, [row]) for row in rows)
    if len(said) > LONGEST:
        raise LineError(
            f"written out the line has {len(said)} characters", Span(1, len(text)), hint=f"At most {LONGEST}"
        )
    return said


def draw_together(context: Context, text: str) -> str:
    """A line of joins as the shortest that makes the same joints. Raises LineError as ``rows_of_line`` does."""
    rows = rows_of_line(context, text)
    return shortest(context, rows)


def shortest(context: Context, rows: Sequence[JoinRow]) -> str:
    """The shortest line for rows that are not joined yet."""
    pieces = [line_of(context, run) for run in runs_of(rows)]
    if len(pieces) <= MOST_SHORTENED:
        for index, piece in enumerate(pieces):
            shorter = re.sub(r" from \d+(?= at |$)", "", piece)
            if shorter != piece and _same(context, [*pieces[:index], shorter, *pieces[index + 1 :]], rows):
                pieces[index] = shorter
    return "; ".join(pieces)


def _same(context: Context, pieces: Sequence[str], rows: Sequence[JoinRow]) -> bool:
    try:
        return rows_of_line(context, "; ".join(pieces)) == list(rows)
    except LineError:
        return False
