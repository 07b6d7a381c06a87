"""Tables: a head band, a header, rows with thin rules, and cells that hold text, chips, states, dots or
tick boxes.

Columns find their widths from what they hold, within the width given; text that does not fit is wrapped or
shortened, and numbers, chips and states are never cut: a table that cannot hold them is refused. Long
tables are split into runs of rows. Millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from model.errors import PlantError
from render import style
from render.blocks import Block, chip, chip_width, loud_tag, word
from render.box import Box
from render.cells import (
    PAD,
    Cell,
    Column,
    bold,
    chip_cell,
    dot_cell,
    least,
    loud_cell,
    need,
    tick_cell,
    word_cell,
)
from render.drawing import Anchor, Group, Line, Part, Pen, Rect, Text
from render.marks import splice_dot, tick_box
from render.text import fits, shorten, text_width, wrap

__all__ = [
    "Cell",
    "Column",
    "LaidTable",
    "Table",
    "bold",
    "chip_cell",
    "dot_cell",
    "draw_table",
    "lay_table",
    "loud_cell",
    "split_table",
    "tick_cell",
    "word_cell",
]

HEAD_HEIGHT = 6.0
AIR = 3.0  # room wished between neighbouring columns beyond the padding
BROKEN_FROM = (30.0, 20.0, 14.0)  # words longer than this are broken: the first that lets a table fit
ROW_EXTRA = 2.3  # a row is lettering height plus this


@dataclass(frozen=True, slots=True)
class Table:
    """A table before it is drawn. ``head`` is the band above, empty for none; ``height`` that of a capital.

    ``extra`` is how much higher than a capital a row is, mm; chips need 1.5 at least.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell | str, ...], ...]
    width: float
    head: str = ""
    height: float = style.H_LABEL
    extra: float = ROW_EXTRA

    @property
    def row_height(self) -> float:
        """Height of a row of one line, mm."""
        return self.height + self.extra


@dataclass(frozen=True, slots=True)
class LaidTable:
    """A table with its column widths and wrapped lines: what is drawn, and what a sheet splits."""

    table: Table
    widths: tuple[float, ...]
    cells: tuple[tuple[tuple[Cell, tuple[str, ...]], ...], ...]

    def row_height(self, row: int) -> float:
        """Height of one row, mm."""
        lines = max((len(lines) for _, lines in self.cells[row]), default=1)
        return self.table.row_height + (lines - 1) * (self.table.height + style.LINE_GAP)

    @property
    def top_height(self) -> float:
        """Height of the head band and the header, mm."""
        return (HEAD_HEIGHT if self.table.head else 0.0) + self.table.row_height

    def height(self, rows: range | None = None) -> float:
        """Height of the table with these rows (all, if None), mm."""
        return self.top_height + sum(map(self.row_height, range(len(self.cells)) if rows is None else rows))


def lay_table(table: Table) -> LaidTable:
    """Find the column widths and wrap or shorten what does not fit.

    Raises ``PlantError`` when a row has not one cell per column, or when what may not be cut needs more
    than the width.
    """
    where = f"table {table.head or table.columns[0].header}"
    rows = []
    for number, row in enumerate(table.rows, 1):
        if len(row) != len(table.columns):
            raise PlantError(
                f"row {number} has {len(row)} cells for {len(table.columns)} columns",
                where=where,
                hint="Give one cell for each column",
            )
        rows.append(
            tuple(
                Cell(cell, weight=column.weight) if isinstance(cell, str) else cell
                for cell, column in zip(row, table.columns, strict=True)
            )
        )
    widths = _widths(table, rows, where)
    cells = tuple(
        tuple(
            (cell, _lines(cell, column, width - 2 * PAD, table.height))
            for cell, column, width in zip(row, table.columns, widths, strict=True)
        )
        for row in rows
    )
    return LaidTable(table, widths, cells)


def _widths(table: Table, rows: Sequence[tuple[Cell, ...]], where: str) -> tuple[float, ...]:
    """Natural widths, then spare room to the growing columns, or the widest soft columns cut down to one
    level; shorter words are broken only where longer ones leave no room."""

    def widths(of: Callable[[Cell, Column], float]) -> list[float]:
        return [
            2 * PAD + max([text_width(c.header, table.height, "bold"), *(of(row[i], c) for row in rows)])
            if c.width is None
            else c.width
            for i, c in enumerate(table.columns)
        ]

    natural = widths(lambda cell, _: need(cell, table.height))
    spare = table.width - sum(natural)
    if spare >= 0:
        return _shared(table.columns, natural, spare)
    floor = natural
    for word_mm in BROKEN_FROM:
        floor = widths(partial(least, height=table.height, word_mm=word_mm))
        if sum(floor) <= table.width:
            break
    short = sum(floor) - table.width
    if short > 1e-6:
        raise PlantError(
            f"its columns need {sum(floor):.1f} mm and have {table.width:.1f} mm",
            where=where,
            hint="Widen the table, or take out a column",
        )
    low, high = 0.0, max(natural)
    for _ in range(50):
        level = (low + high) / 2
        total = sum(max(lowest, min(width, level)) for lowest, width in zip(floor, natural, strict=True))
        low, high = (low, level) if total > table.width else (level, high)
    return tuple(max(lowest, min(width, low)) for lowest, width in zip(floor, natural, strict=True))


def _shared(columns: tuple[Column, ...], natural: Sequence[float], spare: float) -> tuple[float, ...]:
    """Natural widths with the spare room: first air between free columns, the rest to those that grow."""
    free = [i for i, column in enumerate(columns) if column.width is None] or [len(columns) - 1]
    growing = [i for i in free if columns[i].grow] or free
    air = min(AIR, spare / len(free))
    rest = spare - air * len(free)
    return tuple(
        width + (air if i in free else 0.0) + (rest / len(growing) if i in growing else 0.0)
        for i, width in enumerate(natural)
    )


def _lines(cell: Cell, column: Column, room: float, height: float) -> tuple[str, ...]:
    if cell.kind != "text" or fits(cell.text, room, height, cell.weight):
        return (cell.text,)
    if column.fit == "wrap" and column.align != "end":
        return tuple(wrap(cell.text, room, height, cell.weight))
    return (shorten(cell.text, room, height, cell.weight),)


def split_table(laid: LaidTable, heights: Sequence[float]) -> list[range]:
    """Runs of rows that fit the heights in mm, one run for each; the last height serves all further runs.

    Raises ``PlantError`` when a height cannot hold the header and one row.
    """
    runs: list[range] = []
    start, used = 0, laid.top_height
    for row in range(len(laid.cells)):
        room = heights[min(len(runs), len(heights) - 1)]
        height = laid.row_height(row)
        if used + height > room + 1e-6 and row > start:
            runs.append(range(start, row))
            start, used = row, laid.top_height
            room = heights[min(len(runs), len(heights) - 1)]
        if used + height > room + 1e-6:
            raise PlantError(
                f"row {row + 1} needs {used + height:.1f} mm with its header and has {room:.1f} mm",
                where=f"table {laid.table.head or laid.table.columns[0].header}",
                hint="Give the table more height",
            )
        used += height
    return [*runs, range(start, len(laid.cells))]


def draw_table(
    laid: LaidTable, x: float, y: float, rows: range | None = None, *, ref: str = "", title: str = ""
) -> Block:
    """The table, or a run of its rows, with its top left corner at (x, y); a later run says "(continued)"."""
    table, run = laid.table, rows if rows is not None else range(len(laid.cells))
    parts: list[Part] = []
    top = y
    if table.head:
        head = table.head + (" (continued)" if run.start else "")
        parts.append(Rect(x, top, table.width, HEAD_HEIGHT, Pen(None, style.W_THIN, style.HARDWARE)))
        shown = shorten(head, table.width - 2.8, style.H_LABEL, "bold")
        parts.append(Text(x + 1.4, top + (HEAD_HEIGHT + style.H_LABEL) / 2, shown, style.H_LABEL, "bold"))
        top += HEAD_HEIGHT
    lefts = [x + sum(laid.widths[:i]) for i in range(len(laid.widths))]
    base = top + table.row_height - table.extra / 2
    for column, left, width in zip(table.columns, lefts, laid.widths, strict=True):
        shown = shorten(column.header, width - PAD, table.height, "bold")
        at = _at(column.align, left, width)
        parts.append(Text(at, base, shown, table.height, "bold", column.align))
    top += table.row_height
    parts.append(Line(x, top, x + table.width, top, style.TABLE_RULE))
    for row in run:
        if row != run.start:
            parts.append(Line(x, top, x + table.width, top, style.TABLE_ROW))
        for i, (cell, lines) in enumerate(laid.cells[row]):
            parts.extend(_cell(cell, lines, table, table.columns[i].align, lefts[i], top, laid.widths[i]))
        top += laid.row_height(row)
    parts.append(Rect(x, y, table.width, top - y, style.TABLE_OUTLINE))
    return Block(Group(tuple(parts), role="table", ref=ref, title=title or table.head), Box(x, y, table.width, top - y))


def _at(align: Anchor, left: float, width: float) -> float:
    return {"start": left + PAD, "middle": left + width / 2, "end": left + width - PAD}[align]


def _cell(
    cell: Cell, lines: tuple[str, ...], table: Table, align: Anchor, left: float, top: float, width: float
) -> list[Part]:
    """The shapes of one cell whose row begins at ``top``."""
    high, at = table.row_height, _at(align, left, width)
    if cell.kind == "chip" and cell.look is not None:
        wide = chip_width(cell.text, table.height, cell.stripes)
        x = {"start": left + PAD - 0.2, "middle": at - wide / 2, "end": at - wide}[align]
        y = top + (high - table.height - style.CHIP_EXTRA) / 2
        one = chip(x, y, cell.text, cell.look, height=table.height, stripes=cell.stripes, ref=cell.ref)
        return [one.group]
    if cell.kind == "word":
        box = Box(left + PAD - 0.4, top + 0.5, width - 2 * PAD + 0.4, high - 1.0)
        return [word(box.x, box.y, cell.text, width=box.width, high=box.height, height=table.height).group]
    if cell.kind == "loud":
        return [loud_tag(left + width / 2, top + high / 2, cell.text, height=table.height).group]
    if cell.kind in ("dot", "tick"):
        x = at if align == "middle" else (left + PAD + 1.5 if align == "start" else at - 1.5)
        middle = top + high / 2
        return [splice_dot(x, middle, cell.done) if cell.kind == "dot" else tick_box(x - 1.6, middle - 1.6)]
    base, pitch = top + high - table.extra / 2, table.height + style.LINE_GAP
    return [Text(at, base + pitch * i, line, table.height, cell.weight, align) for i, line in enumerate(lines) if line]
