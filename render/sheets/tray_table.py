"""The slot table of a tray map: slot, tube side, drop side, service and done, in as many halves as the room asks for.

Where the full list is too long, runs of spare slots become one row. Page millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.errors import PlantError
from render.box import Box
from render.cells import Cell, Column, bold, chip_cell, dot_cell
from render.drawing import Part
from render.sheets.tray_facts import Facts, Label, Row
from render.sheets.tray_rows import fitted
from render.tableblock import LaidTable, Table, draw_table, lay_table

EXTRA = 1.6  # rows a little closer than elsewhere: a table of 24 slots stands under its tray
GAP = 4.0
LABEL_ROOM = 26.0
"""A glass label has at least this room, and more where the table is wide."""
OTHERS = 13.0 + 30.0 + 12.5
"""Slot, service and done beside the two labels."""
WIDEST = 130.0
LEAST_WIDTH = 78.0
COLUMNS = (
    Column("Slot", "middle", width=13.0),
    Column("Tube side"),
    Column("Drop side"),
    Column("Service", fit="shorten", grow=True),
    Column("Done", "middle", width=12.5),
)


@dataclass(frozen=True, slots=True)
class Halves:
    """A table cut into parts that stand side by side."""

    laid: LaidTable
    runs: tuple[range, ...]
    width: float

    @property
    def height(self) -> float:
        """Height of the highest part, mm."""
        return max((self.laid.height(run) for run in self.runs), default=self.laid.height())

    def draw(self, x: float, y: float) -> list[Part]:
        """The parts from left to right, their tops at y."""
        return [
            draw_table(self.laid, x + i * (self.width + GAP), y, run, title="slots").group
            for i, run in enumerate(self.runs)
        ]


def slot_rows(facts: Facts, folded: bool, label_room: float = LABEL_ROOM) -> list[tuple[Cell | str, ...]]:
    """Cells of every row; ``folded`` makes one row of neighbouring spare slots."""
    found: list[tuple[Cell | str, ...]] = []
    spare: list[int] = []

    def flush() -> None:
        if spare:
            word = str(spare[0]) if len(spare) == 1 else f"{spare[0]}-{spare[-1]}"
            found.append((bold(word), "spare", "", "", ""))
            spare.clear()

    for row in facts.rows:
        if not row.splices and folded:
            spare.append(row.slot or 0)
            continue
        flush()
        found.append(_cells(row, label_room))
    flush()
    return found + [_cells(row, label_room) for row in facts.loose]


def _cells(row: Row, room: float) -> tuple[Cell | str, ...]:
    slot = bold("none" if row.slot is None else str(row.slot))
    if not row.splices:
        return (slot, "spare", "", "", "")
    services = ", ".join(row.services) if len(row.services) < 4 else f"{len(row.services)} services"
    return (slot, _glass(row.first, room), _glass(row.second, room), services, dot_cell(row.done))


def _glass(label: Label | None, room: float) -> Cell | str:
    if label is None:
        return ""
    text, _ = fitted(label, room)
    if label.own or label.ref:
        return chip_cell(text, label.look, label.marks, label.ref)
    return bold(text)


def halves(facts: Facts, room: Box, folded: bool) -> Halves | None:
    """The table in the fewest parts that fit the room; None where it does not."""
    for count in range(1, 6):
        width = (room.width - GAP * (count - 1)) / count
        if width < LEAST_WIDTH and count > 1:
            return None
        width = min(width, WIDEST)
        rows = tuple(slot_rows(facts, folded, max((width - OTHERS) / 2, LABEL_ROOM)))
        try:
            laid = lay_table(Table(COLUMNS, rows, width, extra=EXTRA))
        except PlantError:
            return None
        each = -(-len(rows) // count)
        if count == 1 and room.width >= 2 * LEAST_WIDTH + GAP:
            continue
        runs = tuple(range(i, min(i + each, len(rows))) for i in range(0, len(rows), each))
        cut = Halves(laid, runs, laid.table.width)
        if cut.height <= room.height + 1e-6:
            return cut
    return None
