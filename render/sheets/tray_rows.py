"""The rows of a tray map: sleeves with their dots, slot numbers, the chip of one side and the tag of the other.

At full size labels stand in their rows, on their own fibres. On a smaller scale rows are too close for lettering; then
the labels of the used rows stand beside the tray, each with a leader to its sleeve's end. Page millimetres.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from model.traypath import slot_box
from render import style
from render.blocks import chip, chip_width
from render.box import Box
from render.drawing import Group, Line, Part, Rect, Text
from render.marks import splice_dot
from render.sheets.tray_facts import Facts, Label, Row
from render.sheets.tray_scene import Drawn, Place, meets_right, sleeve_box
from render.spread import spread
from render.text import shorten, text_width

ROW_HIGH = style.H_LABEL + style.CHIP_EXTRA
GAP = 0.7
INTO_ARC_MM = 6.0  # how far a label may cover its fibre's arc before it hides the neighbour's
SQUARE_ROOM = 3.5
FAN_PITCH = 4.4
FAN_WIDTH, FAN_GAP = 34.0, 8.0
NUMBER = text_width("00", style.H_LABEL, "bold")


def in_rows(facts: Facts, scale: float) -> bool:
    """Whether the rows lie far enough apart for lettering."""
    return facts.kind.pitch_mm * scale >= ROW_HIGH


def rows(place: Place, facts: Facts, drawn: Sequence[Drawn]) -> list[Part]:
    """Every slot: its sleeve or an empty holder, and at full size its numbers and labels."""
    parts: list[Part] = []
    lettered = in_rows(facts, place.scale)
    of_slot: dict[int, list[Drawn]] = {}
    for item in drawn:
        if item.entry.what == "tail" and item.entry.slot is not None:
            of_slot.setdefault(item.entry.slot, []).append(item)
    for row in facts.rows:
        if row.slot is not None:
            tails = of_slot.get(row.slot, [])
            parts.append(_row(place, facts, row, _side_labels(row, tails), lettered, _fibre_end(place, tails)))
    return parts


@dataclass(frozen=True, slots=True)
class _Sides:
    left: Label | None
    right: Label | None


def _side_labels(row: Row, tails: Sequence[Drawn]) -> _Sides:
    """Which label stands at which end of the sleeve: where its fibre comes in."""
    for item in tails:
        if (item.entry.ends[0] in row.second_ends) != meets_right(item):
            return _Sides(row.second, row.first)
    return _Sides(row.first, row.second)


def _fibre_end(place: Place, tails: Sequence[Drawn]) -> float:
    """Room on the page from a sleeve's end to where a label would hide the neighbour's arc."""
    if not tails:
        return 22.0 * place.scale
    straight = min(item.peel[-1].length_mm if len(item.peel) > 1 else 0.0 for item in tails)
    return (straight + INTO_ARC_MM) * place.scale


def _row(place: Place, facts: Facts, row: Row, sides: _Sides, lettered: bool, room: float) -> Group:
    slot = row.slot or 0
    x, y, width, height = sleeve_box(place, facts, slot)
    middle = y + height / 2
    if not row.splices:
        return _spare(x, y, width, height, slot, lettered)
    pen = style.SLEEVE_OLD if row.existing else style.SLEEVE_NEW
    parts: list[Part] = []
    if row.traced:
        parts.append(Rect(x - 1.0, y - 0.8, width + 2.0, height + 1.6, style.TRACE_EDGE, (height + 1.6) / 2))
    parts.append(Rect(x, y, width, height, pen, height / 2))
    parts.append(splice_dot(x + width / 2, middle, row.done, min(1.5, max(height / 2, 0.9))))
    if lettered:
        left, numbered_left = _lettering(sides.left, slot, x, middle, room, -1)
        right, numbered_right = _lettering(sides.right, slot, x + width, middle, room, 1)
        parts += [*left, *right]
        if not numbered_left and not numbered_right and height > style.H_LABEL:
            centre = x + height / 2 + NUMBER / 2
            parts.append(Text(centre, middle + style.H_LABEL / 2, str(slot), style.H_LABEL, "bold", "middle"))
    ref = f"splice:{row.splices[0].id}" if len(row.splices) == 1 else ""
    return Group(tuple(parts), role="slot", ref=ref, title=f"slot {slot}")


def _spare(x: float, y: float, width: float, height: float, slot: int, lettered: bool) -> Group:
    parts: list[Part] = [Rect(x, y, width, height, style.SLOT_SPARE, 0.4)]
    if lettered:
        base = y + (height + style.H_FLOOR) / 2
        parts.append(Text(x + width / 2, base, "spare", style.H_FLOOR, anchor="middle", colour=style.INK_SOFT))
        parts += [*_number(slot, x, y + height / 2, -1), *_number(slot, x + width, y + height / 2, 1)]
    return Group(tuple(parts), role="slot", title=f"slot {slot}, spare")


def _number(slot: int, edge: float, middle: float, way: int) -> list[Part]:
    """The slot's number in a white field beside the sleeve's end."""
    centre = edge + way * (GAP + NUMBER / 2)
    wide = text_width(str(slot), style.H_LABEL, "bold") + 0.4
    ground = Rect(centre - wide / 2, middle - 1.5, wide, 3.0, style.GROUND)
    return [ground, Text(centre, middle + style.H_LABEL / 2, str(slot), style.H_LABEL, "bold", "middle")]


def _lettering(
    label: Label | None, slot: int, edge: float, middle: float, room: float, way: int
) -> tuple[list[Part], bool]:
    """(number and label at one end of a sleeve, whether the number is there): it gives way where the label needs room.

    A number that gave way at both ends stands in the sleeve.
    """
    if label is None:
        return _number(slot, edge, middle, way), True
    shown, wide = fitted(label, room - GAP)
    numbered = wide + NUMBER + 2 * GAP <= room
    parts = _number(slot, edge, middle, way) if numbered or label.own else []
    near = edge + way * (GAP + (NUMBER + GAP if parts else 0.0))
    left = near if way > 0 else near - wide
    return [*parts, label_box(label, shown, left, middle - ROW_HIGH / 2, wide)], bool(parts)


def fitted(label: Label, room: float) -> tuple[str, float]:
    """The label's text with its name shortened to the room where it can be, and the width of its box."""
    extra = chip_width("", style.H_LABEL, label.marks) if label.own or not label.ref else SQUARE_ROOM + 0.8
    code = text_width(label.code, style.H_LABEL, "bold")
    name = shorten(label.name, max(room - extra - code, 4.0), style.H_LABEL, "bold") if label.name else ""
    text = f"{name}{label.code}"
    return text, text_width(text, style.H_LABEL, "bold") + extra


def label_box(label: Label, text: str, x: float, y: float, width: float) -> Group:
    """A chip on the colour for glass of a passing cable, a white tag with a square for the rest; as high as a row."""
    if label.own:
        return chip(x, y, text, label.look, stripes=label.marks, width=width, ref=label.ref).group
    parts: list[Part] = [Rect(x, y, width, ROW_HIGH, style.TAG, style.CHIP_RADIUS)]
    left = x + SQUARE_ROOM if label.ref else x + 1.1
    if label.ref:
        parts.append(Rect(x + 0.8, y + 0.8, 2.2, ROW_HIGH - 1.6, style.chip_pen(label.look.name)))
    parts += [Text(left, y + (ROW_HIGH + style.H_LABEL) / 2, text, style.H_LABEL, "bold")]
    return Group(tuple(parts), role="tag", ref=label.ref, title=text)


def fan(place: Place, facts: Facts, drawn: Sequence[Drawn], left: Box, right: Box) -> list[Part] | None:
    """Labels of the used rows in two gutters, in order, with leaders to the sleeves; None if a gutter is too short."""
    tails: Mapping[int, list[Drawn]] = {
        row.slot: [d for d in drawn if d.entry.what == "tail" and d.entry.slot == row.slot]
        for row in facts.rows
        if row.slot is not None and row.splices
    }
    used = [row for row in facts.rows if row.slot in tails]
    parts: list[Part] = []
    for way, gutter in ((-1, left), (1, right)):
        heights = [place.at(0, _middle(facts, row.slot or 0))[1] for row in used]
        spots = spread(heights, [FAN_PITCH] * len(used), gutter.y + ROW_HIGH, gutter.bottom - ROW_HIGH)
        if spots is None:
            return None
        for row, height, spot in zip(used, heights, spots, strict=True):
            sides = _side_labels(row, tails[row.slot or 0])
            label = sides.left if way < 0 else sides.right
            if label is None:
                continue
            parts.append(_fan_label(place, facts, row.slot or 0, label, gutter, way, height, spot))
    return parts


def _middle(facts: Facts, slot: int) -> float:
    _, top, _, low = slot_box(facts.kind, slot)
    return (top + low) / 2


def _fan_label(
    place: Place, facts: Facts, slot: int, label: Label, gutter: Box, way: int, height: float, spot: float
) -> Group:
    box = slot_box(facts.kind, slot)
    edge, _ = place.at(box[0] if way < 0 else box[2], 0.0)
    shown, wide = fitted(label, gutter.width - NUMBER - 2 * GAP)
    near = gutter.right if way < 0 else gutter.x
    number = near + way * (NUMBER / 2 + GAP)
    outer = near + way * (NUMBER + 2 * GAP)
    return Group(
        (
            Text(number, spot + style.H_LABEL / 2, str(slot), style.H_LABEL, "bold", "middle"),
            label_box(label, shown, outer if way > 0 else outer - wide, spot - ROW_HIGH / 2, wide),
            Line(near, spot, edge, height, style.LEADER),
        ),
        role="leader",
        ref=label.ref,
        title=f"slot {slot}",
    )
