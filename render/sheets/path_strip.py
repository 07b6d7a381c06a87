"""The strip of a path sheet: places on a line, exchange at the left, gaps compressed to one width, wrapped over rows.

A joint is a box with its signs, a place passed uncut a dashed box with a loud tag. Above the line stand cable and
chips, below it the lengths, under each box its name, place, tray and slot. Millimetres on paper; the order of places
comes in, nothing is looked up but colours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from model.plant import Plant
from render import style
from render.bands import band
from render.blocks import Block, chip, chip_width, loud_tag
from render.box import Box
from render.drawing import Anchor, Group, LineTo, MoveTo, Part, Pen, Rect, Text, Weight
from render.looks import GlassLook, fibre_look, tube_look
from render.sheets.path_signs import SIGN_PITCH, sign, stops_line
from render.sheets.path_way import Span, Station, Way, metres
from render.style import Look
from render.text import shorten, wrap

BOX_WIDTH, BOX_HEIGHT, UNCUT_WIDTH = 12.5, 13.0, 15.0
LINE_DROP = 14.5  # from the top of a row to the line of glass
NAME_DROP = LINE_DROP + 14.3
LINES_DROP = NAME_DROP + 4.6
PITCH = style.H_LABEL + style.LINE_GAP
LEAST_SPAN = 31.0
BAND_WIDTH = 2.4
CHIP_GAP = 2.0
LABEL_GAP = 3.0
MOST_LINES = 5
_WHITE = Look("plain", style.PAPER, style.INK, None)


@dataclass(frozen=True, slots=True)
class Row:
    """Stations ``start`` to ``stop`` (included) of a way; the first is repeated from the row before unless it is 0."""

    start: int
    stop: int


def rows_of(way: Way, width: float) -> list[Row]:
    """The way cut into rows of about equal numbers of spans, each within ``width`` mm, neighbours sharing a station."""
    least = max([LEAST_SPAN, *(_chips_width(span) + 5.0 for span in way.spans)])
    count = len(way.spans)
    per_row = max(count, 1)
    while per_row > 1 and not all(
        _boxes(way, start, min(start + per_row, count)) + least * min(per_row, count - start) <= width
        for start in range(0, count, per_row)
    ):
        per_row -= 1
    rows = -(-count // per_row) if count else 1
    starts = [round(i * count / rows) for i in range(rows + 1)]
    return [Row(start, stop) for start, stop in pairwise(starts)]


def _chips_width(span: Span) -> float:
    # Two chips of the widest kind; the exact ones are drawn within.
    letters = [chip_width(f"{span.hop.fibre} WH", stripes=2)]
    if span.hop.tube is not None:
        letters.append(chip_width(f"T{span.hop.tube}-WH", stripes=2))
    return sum(letters) + CHIP_GAP * (len(letters) - 1)


def _boxes(way: Way, start: int, stop: int) -> float:
    return sum(box_width(station) for station in way.stations[start : stop + 1])


def box_width(station: Station) -> float:
    """Width of a station's box, wider for several signs, mm."""
    if station.uncut:
        return UNCUT_WIDTH
    return BOX_WIDTH + SIGN_PITCH * max(0, len(station.signs) - 1)


def draw_row(plant: Plant, way: Way, row: Row, x: float, y: float, width: float, mono: bool) -> Block:
    """One row of the strip with its top left corner at (x, y)."""
    stations = way.stations[row.start : row.stop + 1]
    spans = way.spans[row.start : row.stop]
    gap = (width - _boxes(way, row.start, row.stop)) / len(spans) if spans else 0.0
    lefts, left = [], x
    for station in stations:
        lefts.append(left)
        left += box_width(station) + gap
    middles = [at + box_width(station) / 2 for at, station in zip(lefts, stations, strict=True)]
    line = y + LINE_DROP
    parts: list[Part] = [_box(station, at, line) for station, at in zip(stations, lefts, strict=True)]
    ends = [_reach(station, at) for station, at in zip(stations, middles, strict=True)]
    for i, span in enumerate(spans):
        room = Box(lefts[i] + box_width(stations[i]), y, gap, LINE_DROP)
        parts += _span(plant, span, ends[i][1], ends[i + 1][0], room, line, mono)
    deepest = y + NAME_DROP
    for i, (station, middle) in enumerate(zip(stations, middles, strict=True)):
        parts += _signs(station, middle, line)
        low = (middles[i - 1] + middle) / 2 if i else 2 * x - middle
        high = (middle + middles[i + 1]) / 2 if i + 1 < len(stations) else 2 * (x + width) - middle
        again = bool(row.start) and i == 0
        if not spans:
            label, foot = _label(station, x, width, "start", y, again=False)
        elif i == 0:
            label, foot = _label(station, x, high - x - LABEL_GAP / 2, "start", y, again=again)
        elif i == len(stations) - 1:
            label, foot = _label(station, x + width, x + width - low - LABEL_GAP / 2, "end", y, again=False)
        else:
            label, foot = _label(station, middle, min(middle - low, high - middle) * 2 - LABEL_GAP, "middle", y)
        parts.append(label)
        deepest = max(deepest, foot)
    return Block(Group(tuple(parts), role="strip"), Box(x, y, width, deepest - y))


def _box(station: Station, left: float, line: float) -> Group:
    wide, top = box_width(station), line - BOX_HEIGHT / 2
    if not station.uncut:
        box = Rect(left, top, wide, BOX_HEIGHT, Pen(style.INK, style.W_HEAVY, style.PAPER), 1.0)
        return Group((box,), role="place", ref=station.ref, title=station.name)
    pen = Pen(style.INK, style.W_OUTLINE, style.PAPER, dash=(2.0, 1.2))
    offsets = (1.4, 0.7, 0.0) if station.uncut > 1 else (0.0,)
    boxes = tuple(Rect(left + d, top - 2 * d, wide - 1.4, BOX_HEIGHT, pen, 1.0) for d in offsets)
    if station.uncut == 1:
        boxes = (Rect(left, top, wide, BOX_HEIGHT, pen, 1.0),)
    return Group(boxes, role="place", ref=station.ref, title=f"{station.name}, passed uncut")


def _places(station: Station, middle: float) -> list[float]:
    first = middle - SIGN_PITCH * (len(station.signs) - 1) / 2
    return [first + SIGN_PITCH * i for i in range(len(station.signs))]


def _reach(station: Station, middle: float) -> tuple[float, float]:
    """Where glass from the left and from the right ends in a box."""
    if not station.signs:
        return middle, middle
    places = _places(station, middle)
    return places[0] - stops_line(station.signs[0]), places[-1] + stops_line(station.signs[-1])


def _signs(station: Station, middle: float, line: float) -> list[Part]:
    if station.uncut:
        return [loud_tag(middle, line, "UNCUT", ref=station.ref).group]
    places = _places(station, middle)
    pen = Pen(style.INK, style.W_HEAVY)
    joins = [
        Group((_stroke(a, b, line, pen),), role="inside") for a, b in pairwise(places)
    ]  # under the signs, so that their grounds cut it
    return [
        *joins,
        *(
            sign(kind, at, line, leftmost=i == 0)
            for i, (kind, at) in enumerate(zip(station.signs, places, strict=True))
        ),
    ]


def _stroke(a: float, b: float, line: float, pen: Pen) -> Part:
    return Rect(a, line - pen.width / 2, b - a, pen.width, Pen(None, style.W_THIN, style.INK))


def _span(plant: Plant, span: Span, start: float, end: float, room: Box, line: float, mono: bool) -> list[Part]:
    cable = plant.cables[span.hop.cable_id]
    fibre = fibre_look(plant, cable, span.hop.fibre or 1)
    looks: list[GlassLook] = [fibre]
    if len(plant.cable_types[cable.type].tubes) > 1 and span.hop.tube is not None:
        looks.insert(0, tube_look(plant, cable, span.hop.tube))
    steps = (MoveTo(start, line), LineTo(end, line))
    title = f"{cable.name} fibre {span.hop.fibre}"
    glass = band(
        steps, fibre.colour, BAND_WIDTH, marks=fibre.marks, mark_colour=fibre.mark_colour, mono=mono, ref=fibre.ref,
        title=title,
    )  # fmt: skip
    wide = sum(chip_width(look.label, stripes=look.marks) for look in looks) + CHIP_GAP * (len(looks) - 1)
    left, middle = room.x + (room.width - wide) / 2, room.x + room.width / 2
    chips: list[Part] = []
    for look in looks:
        face = _WHITE if mono else look.look
        block = chip(left, room.y + 5.0, look.label, face, stripes=look.marks, ref=look.ref)
        chips.append(block.group)
        left += block.width + CHIP_GAP
    count = plant.cable_types[cable.type].fibre_count
    above = shorten(f"{cable.name}, {count} F", room.width - 2.0, style.H_LABEL, "bold")
    sheath, run = span.part.sheath_m, span.part.fibre_m
    below = [
        f"{metres(sheath)} sheath" if sheath is not None else "length not known",
        f"{metres(run)} fibre" if run is not None else "a mark is missing",
    ]
    words = [Text(middle, room.y + 2.7, above, style.H_LABEL, "bold", "middle")]
    words += [Text(middle, line + 5.0 + 4.0 * i, shorten(t, room.width), anchor="middle") for i, t in enumerate(below)]
    return [glass, *chips, *words]


def _label(
    station: Station, x: float, room: float, anchor: Anchor, y: float, *, again: bool = False
) -> tuple[Group, float]:
    """Name, place and joints under a box; returns also how far down it reaches."""
    rows: list[tuple[str, Weight]] = []
    if again:
        rows.append(("(as above)", "normal"))
    else:
        place = wrap(station.place, room) if station.place else []
        rows += [(text, "normal") for text in (*_short(place, room, 2), *station.lines)]
        rows += [(text, "bold") for text in station.loud]
        if len(rows) > MOST_LINES:
            more = len(rows) - MOST_LINES + 1
            rows = [*rows[: MOST_LINES - 1], (f"and {more} more, see table", "normal")]
    name = shorten(station.name, room, style.H_HEAD, "bold")
    texts = [Text(x, y + NAME_DROP, name, style.H_HEAD, "bold", anchor)]
    base = y + LINES_DROP
    for text, weight in rows:
        texts.append(Text(x, base, shorten(text, room, style.H_LABEL, weight), style.H_LABEL, weight, anchor))
        base += PITCH
    return Group(tuple(texts), role="place-label", ref=station.ref), base - PITCH + 1.0


def _short(lines: Sequence[str], room: float, most: int) -> list[str]:
    """At most so many lines; the last one says with an ellipsis that there was more."""
    if len(lines) <= most:
        return list(lines)
    return [*lines[: most - 1], shorten(" ".join(lines[most - 1 :]), room)]
