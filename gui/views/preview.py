"""What a typed line would make, as a picture: a dashed tinted block with dashed slots, headed that nothing is done.

Also the same as plain rows for the table beside it. Pure functions of the plant and of what the Line read.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from model.entities import FibreEnd
from model.graph import node_end
from model.line.readback import Reading
from model.plant import Plant
from render import style
from render.bands import band, ribbon
from render.blocks import chip
from render.drawing import Group, Part, Pen, Rect, Text
from render.looks import GlassLook, fibre_look
from render.sheets.splice_strokes import level
from render.text import shorten

PREVIEWED: Final = 24
"""Rows of a preview that are drawn; the rest are counted."""
HEAD_MM, PITCH_MM, WIDE_MM = 12.0, 6.6, 206.0
TINT: Final = "#DCE8EA"
WARNED: Final = "#FBE3A4"
"""Grounds of the interface, not of a sheet: they have their own colours at night."""


@dataclass(frozen=True, slots=True)
class PreviewRow:
    """One joint of a line: its slot, both ends with their looks where they are fibres, its state, and who goes dark."""

    slot: str
    a: str
    b: str
    looks: tuple[GlassLook | None, GlassLook | None]
    planned_db: float
    state: str
    dark: str = ""

    @property
    def words(self) -> str:
        """What is read out."""
        warned = f", live: {self.dark} goes dark" if self.dark else ""
        return f"slot {self.slot}, {self.a} to {self.b}, {self.state}{warned}"


def rows_of(plant: Plant, reading: Reading | None) -> list[PreviewRow]:
    """The joints that a line makes, moves or takes apart, in its order."""
    if reading is None:
        return []
    dark = {held.on: held.name for held in reading.dark}
    ghosts = iter(reading.ghosts)
    found: list[PreviewRow] = []
    for row in reading.rows:
        ghost = next(ghosts, None) if row.state != "parted" else None
        looks = (_look(plant, ghost.a), _look(plant, ghost.b)) if ghost is not None else (None, None)
        slot = f"{row.tray} / {row.slot}" if row.slot is not None else row.tray or "no tray"
        on = next((dark[end] for end in (row.a.rstrip("<>"), row.b.rstrip("<>")) if end in dark), "")
        found.append(PreviewRow(slot, row.a, row.b, looks, row.planned_db, row.state, on))
    return found


def _look(plant: Plant, node: str) -> GlassLook | None:
    end = node_end(node)
    if not isinstance(end, FibreEnd) or end.cable not in plant.cables:
        return None
    return fibre_look(plant, plant.cables[end.cable], end.fibre)


def preview_block(plant: Plant, reading: Reading, x: float, foot: float) -> Group:
    """The block with its left edge at ``x`` and its lower edge at ``foot``, millimetres of the picture."""
    rows = rows_of(plant, reading)
    shown = rows[:PREVIEWED]
    lines = len(shown) + (len(rows) > len(shown))
    y = foot - HEAD_MM - PITCH_MM * lines - 2.0
    frame = Pen("#0C4A5B", style.W_BUNDLE, TINT, dash=(2.0, 1.2))
    parts: list[Part] = [
        Rect(x, y, WIDE_MM, HEAD_MM + PITCH_MM * lines + 2.0, frame, 2.0),
        Text(x + WIDE_MM / 2, y + 7.0, "Preview, nothing is changed yet", style.H_HEAD, "bold", "middle"),
        Text(x + WIDE_MM - 4.0, y + 7.0, f"{len(rows)} row{'s' * (len(rows) != 1)}", anchor="end"),
    ]
    for index, row in enumerate(shown):
        parts += _drawn(row, x, y + HEAD_MM + PITCH_MM * (index + 0.5))
    if len(rows) > len(shown):
        parts.append(Text(x + 4.0, y + HEAD_MM + PITCH_MM * (lines - 0.5) + 1.2, f"and {len(rows) - len(shown)} more"))
    return Group(tuple(parts), role="preview")


def _drawn(row: PreviewRow, x: float, y: float) -> list[Part]:
    parts: list[Part] = []
    if row.dark:
        parts.append(Rect(x + 1.5, y - 3.0, WIDE_MM - 3.0, 6.0, Pen(None, style.W_THIN, WARNED)))
    middle = x + 92.0
    for look, start, end in ((row.looks[0], x + 46.0, middle), (row.looks[1], middle, x + 134.0)):
        if row.state == "parted":
            parts.append(ribbon(level(start, end - 12.0 if end == middle else end, y), style.PAPER, 0.8))
        elif look is None:
            parts.append(ribbon(level(start, end, y), style.PAPER, style.BAND_NEW[0]))
        else:
            glass = band(
                level(start, end, y), look.colour, *style.BAND_NEW, marks=look.marks, mark_colour=look.mark_colour
            )
            parts.append(glass)
    plate = Pen(style.INK, style.W_OUTLINE, style.PAPER, dash=(1.2, 0.8))
    parts += [
        Rect(middle - 12.0, y - 2.6, 24.0, 5.2, plate, 2.6),
        Text(middle, y + 1.25, shorten(row.slot, 22.0, weight="bold"), weight="bold", anchor="middle"),
    ]
    for look, text, left in ((row.looks[0], row.a, x + 4.0), (row.looks[1], row.b, x + 137.0)):
        if look is not None:
            block = chip(left, y - 1.9, look.label, look.look, stripes=look.marks)
            parts.append(block.group)
            left = block.box.right + 2.0
        parts.append(Text(left, y + 1.25, shorten(text, x + (45.0 if left < middle else 176.0) - left), weight="bold"))
    said = f"live: {row.dark}" if row.dark else f"{row.planned_db:.2f} dB  {row.state}"
    parts.append(Text(x + WIDE_MM - 4.0, y + 1.25, shorten(said, 27.0), anchor="end"))
    return parts
