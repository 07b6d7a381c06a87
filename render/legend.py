"""Legends, colour keys and notes: short lists beside the drawing that say what signs mean.

Each function takes the top left corner and a width in mm and returns a block. Text that does not fit its
column is shortened in legends and wrapped in notes. Nothing here knows the plant.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from model.errors import PlantError
from render import style
from render.blocks import Block, chip, chip_width
from render.box import Box
from render.drawing import Group, Part, Text
from render.style import Look
from render.text import shorten, text_width, wrap

SAMPLE = 13.0  # width of a sign in a legend
SAMPLE_GAP = 2.0
PITCH = 6.2
HEAD_DROP = 4.0  # base line of the heading below the top
FIRST_ROW = 10.2  # middle of the first row below the top
COLUMN_GAP = 5.0
NOTE_PITCH = 4.3


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A sign and its meaning. ``draw`` gets the left end and the middle height of a field 13 wide, mm."""

    draw: Callable[[float, float], Part]
    text: str


def legend(
    x: float,
    y: float,
    width: float,
    entries: Sequence[LegendEntry],
    *,
    rows: int = 5,
    title: str = "LEGEND",
) -> Block:
    """Signs with their meanings, filled column by column, ``rows`` to a column.

    Raises ``PlantError`` when the columns leave less than 12 mm for a text.
    """
    columns = [entries[i : i + rows] for i in range(0, len(entries), rows)]
    natural = [max(text_width(entry.text) for entry in column) for column in columns]
    fixed = len(columns) * (SAMPLE + SAMPLE_GAP) + max(0, len(columns) - 1) * COLUMN_GAP
    share = level(natural, width - fixed)
    if columns and min(share, *natural, 12.0) < min(12.0, min(natural)):
        raise PlantError(
            f"{len(columns)} columns do not fit {width:.0f} mm", where=title, hint="Give it more rows or width"
        )
    parts: list[Part] = [Text(x, y + HEAD_DROP, title, weight="bold")]
    left = x
    for column, wide in zip(columns, natural, strict=True):
        room = min(wide, share)
        for i, entry in enumerate(column):
            middle = y + FIRST_ROW + i * PITCH
            parts.append(Group((entry.draw(left, middle),), role="sample", title=entry.text))
            text = shorten(entry.text, room)
            parts.append(Text(left + SAMPLE + SAMPLE_GAP, middle + style.H_LABEL / 2, text))
        left += SAMPLE + SAMPLE_GAP + room + COLUMN_GAP
    tall = FIRST_ROW + PITCH * (max(map(len, columns), default=0) - 1) + 3.0
    return Block(
        Group(tuple(parts), role="legend", title=title),
        Box(x, y, max(left - COLUMN_GAP - x, text_width(title, weight="bold")), tall),
    )


def level(wants: Sequence[float], room: float) -> float:
    """The cap on the wants at which they fit the room: all of the narrow ones, the wide ones alike."""
    left, rest = room, sorted(wants)
    while rest:
        share = left / len(rest)
        if rest[0] > share:
            return share
        left -= rest.pop(0)
    return max(wants, default=0.0)


def colour_key(
    x: float,
    y: float,
    width: float,
    colours: Sequence[tuple[str, str, Look]],
    *,
    columns: int = 4,
    footnotes: Sequence[str] = (),
    title: str = "COLOUR KEY: number in the tube or cable, two letters",
) -> Block:
    """Chips of one width with the names of their colours, row by row; each colour is (chip text, name, look)."""
    chip_wide = max((chip_width(text) for text, _, _ in colours), default=0.0)
    pitch = width / columns
    room = pitch - chip_wide - 2.7
    parts: list[Part] = [Text(x, y + HEAD_DROP, shorten(title, width, weight="bold"), weight="bold")]
    for i, (text, name, look) in enumerate(colours):
        left, middle = x + (i % columns) * pitch, y + FIRST_ROW + (i // columns) * PITCH
        top = middle - (style.H_LABEL + style.CHIP_EXTRA) / 2
        parts.append(chip(left, top, text, look, width=chip_wide).group)
        parts.append(Text(left + chip_wide + 1.2, middle + style.H_LABEL / 2, shorten(name, room)))
    base = y + FIRST_ROW + PITCH * -(-len(colours) // columns) + style.H_LABEL / 2
    for footnote in footnotes:
        for line in wrap(footnote, width):
            parts.append(Text(x, base, line))
            base += style.H_LABEL + style.LINE_GAP
    tall = base - y - (style.LINE_GAP + style.H_LABEL if footnotes else PITCH - 2.0) + 0.6
    return Block(Group(tuple(parts), role="colour-key"), Box(x, y, width, tall))


def notes_list(
    x: float, y: float, width: float, notes: Sequence[str], *, title: str = "NOTES", first: int = 1
) -> Block:
    """Numbered notes, wrapped; numbers bold, starting at ``first``."""
    indent = max(4.0, text_width(f"{first + len(notes) - 1}", weight="bold") + 1.5)
    parts: list[Part] = [Text(x, y + style.H_LABEL, title, weight="bold")]
    base = y + style.H_LABEL
    for number, note in enumerate(notes, first):
        for i, line in enumerate(wrap(note, width - indent)):
            base += NOTE_PITCH
            if i == 0:
                parts.append(Text(x, base, str(number), weight="bold"))
            parts.append(Text(x + indent, base, line))
    return Block(Group(tuple(parts), role="notes", title=title), Box(x, y, width, base - y + 0.8))
