"""Boxed words: chips, tags, loud tags, states, and the caution strip.

Each function takes the top left corner in mm and returns a ``Block``: the group and the box it fills.
Lettering never shrinks: a word that must keep a given width is shortened with an ellipsis. Nothing here
knows the plant.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from render import style
from render.box import Box
from render.drawing import Group, Line, Part, Pen, Rect, Text, Weight
from render.marks import caution_triangle
from render.style import Look
from render.targets import TAG_HEIGHT, TAG_PAD, TAG_SQUARE_ROOM
from render.text import fits, shorten, text_width, wrap

CHIP_PAD = 1.1
STRIPE = 0.5  # width of one mark of the second and later dozens, and of the gap between two
TAG_RADIUS = 0.6
LOUD_EXTRA = 2.0  # a loud tag is lettering height plus this
CAUTION_HEIGHT = 10.0

WordKind = Literal["black", "white", "dashed"]
# The words that must be seen are heavy; black belongs to what must not be touched.
WORDS: dict[str, tuple[WordKind, Weight]] = {
    "UNCUT": ("black", "bold"),
    "LIVE": ("black", "bold"),
    "OPENED": ("white", "bold"),
    "OPEN": ("white", "bold"),
    "CUT": ("white", "bold"),
    "STUB": ("white", "bold"),
    "planned": ("white", "normal"),
    "stored": ("dashed", "normal"),
}


@dataclass(frozen=True, slots=True)
class Block:
    """A group with the box it fills, mm."""

    group: Group
    box: Box

    @property
    def width(self) -> float:
        """Width in mm."""
        return self.box.width

    @property
    def height(self) -> float:
        """Height in mm."""
        return self.box.height


def chip_width(text: str, height: float = style.H_LABEL, stripes: int = 0) -> float:
    """Width of a chip in mm."""
    marks = 2 * STRIPE * stripes + 0.3 if stripes else 0.0
    return text_width(text, height, "bold") + 2 * CHIP_PAD + marks


def chip(
    x: float,
    y: float,
    text: str,
    look: Look,
    *,
    height: float = style.H_LABEL,
    stripes: int = 0,
    width: float | None = None,
    ref: str = "",
) -> Block:
    """Number and letters of a fibre or tube on its colour, such as "27 GR".

    ``height`` is that of a capital; the box is 1.3 higher. ``stripes`` is 1 for the second dozen, 2 for the
    third: short upright marks at the right end. ``width`` sets several chips to one width; a wider text
    widens its own.
    """
    wide = max(width or 0.0, chip_width(text, height, stripes))
    high = height + style.CHIP_EXTRA
    room = 2 * STRIPE * stripes + 0.3 if stripes else 0.0
    pen = Pen(style.INK, style.W_THIN, look.fill)
    parts: list[Part] = [Rect(x, y, wide, high, pen, style.CHIP_RADIUS)]
    mark = Pen(style.stripe_of(look.name), STRIPE)
    for i in range(stripes):
        at = x + wide - 2 * STRIPE * i - 1.5 * STRIPE
        parts.append(Line(at, y + style.W_THIN / 2, at, y + high - style.W_THIN / 2, mark))
    middle = x + (wide - room) / 2
    parts.append(Text(middle, y + (high + height) / 2, text, height, "bold", "middle", look.ink))
    return Block(Group(tuple(parts), role="chip", ref=ref, title=text), Box(x, y, wide, high))


def tag_width(text: str, square: bool = True, height: float = style.H_LABEL) -> float:
    """Width of a tag in mm."""
    return (TAG_SQUARE_ROOM if square else TAG_PAD) + text_width(text, height, "bold") + TAG_PAD


def tag(
    x: float,
    y: float,
    text: str,
    colour: str | None = None,
    *,
    height: float = style.H_LABEL,
    ref: str = "",
) -> Block:
    """A white box with a colour square and bold text, such as "T3-GR 25-36"; ``colour`` is ``#RRGGBB`` or
    None."""
    high = height + TAG_HEIGHT - style.H_LABEL
    wide = tag_width(text, colour is not None, height)
    parts: list[Part] = [Rect(x, y, wide, high, style.TAG, TAG_RADIUS)]
    left = x + TAG_PAD
    if colour is not None:
        square = Pen(style.INK, style.W_THIN, colour)
        parts.append(Rect(x + 0.8, y + 0.8, style.TAG_SQUARE, high - 1.6, square))
        left = x + TAG_SQUARE_ROOM
    parts.append(Text(left, y + (high + height) / 2, text, height, "bold"))
    return Block(Group(tuple(parts), role="tag", ref=ref, title=text), Box(x, y, wide, high))


def loud_width(text: str, height: float = style.H_LABEL) -> float:
    """Length of a loud tag in mm."""
    return text_width(text, height, "bold") + 3.2


def loud_tag(
    cx: float,
    cy: float,
    text: str,
    *,
    height: float = style.H_LABEL,
    angle: Literal[0, 90, -90] = 0,
    ref: str = "",
) -> Block:
    """A black box with a white edge centred on (cx, cy): what must not be cut. -90 reads upwards."""
    long, high = loud_width(text, height), height + LOUD_EXTRA
    wide, tall = (long, high) if angle == 0 else (high, long)
    box = Box(cx - wide / 2, cy - tall / 2, wide, tall)
    half = height / 2
    x, y = {0: (cx, cy + half), -90: (cx + half, cy), 90: (cx - half, cy)}[angle]
    parts = (
        Rect(*box, style.LOUD_TAG, TAG_RADIUS),
        Text(x, y, text, height, "bold", "middle", style.PAPER, angle),
    )
    return Block(Group(parts, role="loud-tag", ref=ref, title=text), box)


def word_kind(text: str) -> tuple[WordKind, Weight]:
    """How a state word is boxed; "CUT, side A" goes by its first word, an unknown word is plain white."""
    return WORDS.get(text) or WORDS.get(text.partition(",")[0].partition(" ")[0]) or ("white", "normal")


def word_width(text: str, height: float = style.H_LABEL) -> float:
    """Width of a boxed state word in mm."""
    return text_width(text, height, word_kind(text)[1]) + 2.4


def word(
    x: float,
    y: float,
    text: str,
    *,
    width: float | None = None,
    high: float = TAG_HEIGHT,
    height: float = style.H_LABEL,
    ref: str = "",
) -> Block:
    """A state in a box: "LIVE" and "UNCUT" black, "OPENED", "CUT", "STUB", "planned" white, "stored" dashed."""
    kind, weight = word_kind(text)
    wide = word_width(text, height) if width is None else width
    shown = shorten(text, wide - 1.0, height, weight)
    pen = {"black": Pen(None, style.W_OUTLINE, style.INK), "white": style.TAG, "dashed": style.TAG_DASHED}[kind]
    ink = style.PAPER if kind == "black" else style.INK
    parts = (
        Rect(x, y, wide, high, pen, style.CHIP_RADIUS),
        Text(x + wide / 2, y + (high + height) / 2, shown, height, weight, "middle", ink),
    )
    return Block(Group(parts, role="word", ref=ref, title=text), Box(x, y, wide, high))


def caution_strip(x: float, y: float, width: float, lines: tuple[str, ...]) -> Block:
    """The strip on top of a sheet: a black head, then the first line bold and the second plain.

    Lines too long are wrapped and the strip grows by 4 for each further line; two lines need 10.
    """
    head = 12.6 + text_width("CAUTION", style.H_HEAD, "bold")
    left, room = x + head + 3.0, width - head - 5.0
    rows: list[tuple[str, Weight]] = []
    for i, line in enumerate(lines):
        weight: Weight = "normal" if i else "bold"
        pieces = [line] if fits(line, room, style.H_LABEL, weight) else wrap(line, room, style.H_LABEL, weight)
        rows.extend((piece, weight) for piece in pieces)
    pitch = style.H_LABEL + style.LINE_GAP
    high = max(CAUTION_HEIGHT, pitch * len(rows) + 2.0)
    base = y + (high - pitch * len(rows) + style.LINE_GAP) / 2 + style.H_LABEL
    middle = y + high / 2
    parts: tuple[Part, ...] = (
        Rect(x, y, width, high, style.CAUTION),
        Rect(x, y, head, high, Pen(None, style.W_THIN, style.INK)),
        caution_triangle(x + 6.0, middle + 3.0),
        Text(x + 11.0, middle + style.H_HEAD / 2, "CAUTION", style.H_HEAD, "bold", colour=style.PAPER),
        *(Text(left, base + pitch * i, text, style.H_LABEL, weight) for i, (text, weight) in enumerate(rows)),
    )
    return Block(Group(parts, role="caution"), Box(x, y, width, high))
