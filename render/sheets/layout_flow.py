"""Tables, keys and notes poured into the columns a sheet has left, in order of importance.

What does not fit stays over for the next sheet; a table too long for an empty column is split there. Paper mm. It must
not know what the tables say.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from model.errors import PlantError
from render import style
from render.blocks import Block
from render.box import Box
from render.drawing import Group, Part, Text
from render.tableblock import Table, draw_table, lay_table, split_table
from render.text import wrap

GAP = 3.4
Draw = Callable[[float, float, float], Block]


@dataclass(frozen=True, slots=True)
class Item:
    """One block to place. ``draw`` gets x, y and width; ``table`` allows it to be split, with ``tail`` lines below."""

    draw: Draw
    table: Table | None = None
    tail: tuple[str, ...] = ()


def table_item(table: Table, tail: Sequence[str] = ()) -> Item:
    """A table with plain lines under it."""

    def draw(x: float, y: float, width: float) -> Block:
        block = draw_table(lay_table(replace(table, width=width)), x, y)
        return _with_tail(block, tuple(tail), width)

    return Item(draw, table, tuple(tail))


def _with_tail(block: Block, tail: tuple[str, ...], width: float) -> Block:
    lines = [piece for line in tail for piece in wrap(line, width - 2.0)]
    if not lines:
        return block
    pitch = style.H_LABEL + style.LINE_GAP
    base = block.box.bottom + 1.4 + style.H_LABEL
    texts = tuple(Text(block.box.x + 1.0, base + pitch * i, line) for i, line in enumerate(lines))
    box = Box(block.box.x, block.box.y, block.box.width, block.box.height + 1.0 + pitch * len(lines))
    return Block(Group((block.group, *texts)), box)


@dataclass(slots=True)
class Columns:
    """Columns being filled from the top; ``used`` is the next free height in each."""

    boxes: list[Box]
    used: list[float]

    @classmethod
    def of(cls, boxes: Sequence[Box]) -> Columns:
        """Empty columns."""
        return cls(list(boxes), [box.y for box in boxes])

    def put(self, item: Item) -> Part | None:
        """Place one block in the first column with room; None when there is none."""
        for index, box in enumerate(self.boxes):
            if self.used[index] >= box.bottom - 8.0:
                continue
            try:
                block = item.draw(box.x, self.used[index], box.width)
            except PlantError:
                continue  # too narrow for this block; another column may do
            if block.box.bottom <= box.bottom + 1e-6:
                self.used[index] = block.box.bottom + GAP
                return block.group
        return None

    def split(self, item: Item) -> tuple[list[Part], Item | None]:
        """Pour a long table into what is left of the columns, run by run; the rest is handed back."""
        if item.table is None:
            return [], item
        parts: list[Part] = []
        start, rows = 0, item.table.rows
        for index, box in enumerate(self.boxes):
            room = box.bottom - self.used[index] - 5.0 * len(item.tail)
            if start >= len(rows) or room < 30.0:
                continue
            table = replace(item.table, rows=rows[start:], width=box.width)
            try:
                laid = lay_table(table)
                run = split_table(laid, [room])[0]
            except PlantError:
                continue
            head = table.head + (" (continued)" if start else "")
            laid = lay_table(replace(table, head=head, rows=table.rows[run.start : run.stop]))
            block = draw_table(laid, box.x, self.used[index])
            start += len(run)
            if start >= len(rows):
                block = _with_tail(block, item.tail, box.width)
            parts.append(block.group)
            self.used[index] = block.box.bottom + GAP
        if start >= len(rows):
            return parts, None
        if start == 0:
            return [], item
        rest = replace(item.table, rows=rows[start:], head=f"{item.table.head} (continued)")
        return parts, table_item(rest, item.tail)


def pour(items: Sequence[Item], boxes: Sequence[Box], *, split: bool) -> tuple[list[Part], list[Item]]:
    """Place the items in order; the second answer is what found no room. ``split`` allows long tables to be cut."""
    columns = Columns.of(boxes)
    parts: list[Part] = []
    over: list[Item] = []
    for item in items:
        placed = columns.put(item)
        if placed is not None:
            parts.append(placed)
        elif split:
            pieces, rest = columns.split(item)
            parts += pieces
            over += [rest] if rest else []
        else:
            over.append(item)
    return parts, over


def columns_of(box: Box, least: float = 100.0) -> list[Box]:
    """A box in as many equal columns as are at least ``least`` wide; an A4 sheet gets a narrow second one."""
    if least + GAP + 60.0 <= box.width < 2 * least:
        first = least + 8.0
        return [Box(*box[:2], first, box.height), Box(box.x + first + GAP, box.y, box.width - first - GAP, box.height)]
    count = max(1, int((box.width + GAP) // (least + GAP)))
    width = (box.width - GAP * (count - 1)) / count
    return [Box(box.x + i * (width + GAP), box.y, width, box.height) for i in range(count)]
