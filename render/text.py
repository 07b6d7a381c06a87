"""How wide a line of lettering is, and what to do when it does not fit: shorten or wrap it, never shrink it.

Widths come from the advances of the shipped faces, in mm, without kerning: renderers set a pair such as "AV"
a little closer. Nothing here knows where a text stands.
"""

from __future__ import annotations

import json
import re
from functools import cache, lru_cache
from importlib.resources import files

from render.drawing import Weight
from render.style import LINE_GAP

CAP_RATIO = 0.729  # height of a capital over the size of the font, in both faces
ELLIPSIS = "…"
UNKNOWN_EM = 1.25  # a glyph of some other font: as wide as the widest usual ones

# What no XML file may hold, and control characters, which no sheet should.
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@cache
def _advances(weight: Weight) -> dict[str, float]:
    """Advance of every known character in parts of the font size."""
    table = json.loads((files("render.fonts") / "advances.json").read_text(encoding="ascii"))
    units = table["units_per_em"]
    return {chr(first + offset): advance / units for first, row in table[weight] for offset, advance in enumerate(row)}


def printable(content: str) -> str:
    """The content without control characters, lone surrogates and code points that XML forbids."""
    return _UNPRINTABLE.sub("", content)


def font_size(height: float) -> float:
    """Font size in mm for capitals of this height in mm."""
    return height / CAP_RATIO


def line_pitch(height: float) -> float:
    """Distance of two base lines in mm."""
    return height + LINE_GAP


@lru_cache(maxsize=16384)
def text_width(content: str, height: float = 2.5, weight: Weight = "normal") -> float:
    """Width in mm of one line; unprintable characters count nothing, unknown ones 1.25 of the font size."""
    get = _advances(weight).get
    return font_size(height) * sum(get(char, UNKNOWN_EM) for char in printable(content))


def fits(content: str, max_width: float, height: float = 2.5, weight: Weight = "normal") -> bool:
    """Whether the line is at most ``max_width`` mm wide, with a tolerance of a thousandth of a mm."""
    return text_width(content, height, weight) <= max_width + 1e-3


def shorten(content: str, max_width: float, height: float = 2.5, weight: Weight = "normal") -> str:
    """The line itself when it fits, else its longest beginning with an ellipsis that does.

    Empty when not even the ellipsis fits.
    """
    content = printable(content)
    if fits(content, max_width, height, weight):
        return content
    get = _advances(weight).get
    room = (max_width + 1e-3) / font_size(height) - get(ELLIPSIS, UNKNOWN_EM)
    if room < 0:
        return ""
    kept = 0
    for char in content:
        room -= get(char, UNKNOWN_EM)
        if room < 0:
            break
        kept += 1
    return content[:kept].rstrip() + ELLIPSIS


def wrap(content: str, max_width: float, height: float = 2.5, weight: Weight = "normal") -> list[str]:
    """Lines no wider than ``max_width`` mm, broken at white space, and inside a word too wide by itself.

    Line breaks in the content are kept. An empty content is one empty line. A single character wider than
    ``max_width`` stands alone on its line, too wide: nothing is lost.
    """
    lines: list[str] = []
    for paragraph in content.splitlines() or [""]:
        line = ""
        for word in map(printable, paragraph.split()):
            joined = f"{line} {word}" if line else word
            if fits(joined, max_width, height, weight):
                line = joined
                continue
            if line:
                lines.append(line)
            *full, line = _split(word, max_width, height, weight)
            lines.extend(full)
        lines.append(line)
    return lines


def _split(word: str, max_width: float, height: float, weight: Weight) -> list[str]:
    """A word in pieces that fit, at least one character each."""
    get = _advances(weight).get
    limit = (max_width + 1e-3) / font_size(height)
    pieces, piece, used = [], "", 0.0
    for char in word:
        advance = get(char, UNKNOWN_EM)
        if piece and used + advance > limit:
            pieces.append(piece)
            piece, used = "", 0.0
        piece += char
        used += advance
    return [*pieces, piece]


def lines_in(room: float, height: float = 2.5) -> int:
    """How many lines stand in ``room`` mm of height, the last one without a gap below it."""
    return max(0, int((room + LINE_GAP + 1e-6) / line_pitch(height)))
