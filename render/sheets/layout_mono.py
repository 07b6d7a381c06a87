"""Chips and tags of a mono print: white with black letters, because a colour that is not printed names nothing.

Bands find their own patterns; this only takes the colours out of what carries letters. It changes no place or size.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from render import style
from render.drawing import Group, Part, Rect, Text

LETTERED = frozenset(("chip", "tag"))


def without_colour(parts: Iterable[Part], lettered: bool = False) -> tuple[Part, ...]:
    """The same parts with every chip and tag square white and its letters black; loud tags stay black."""
    return tuple(_plain(part, lettered) for part in parts)


def _plain(part: Part, lettered: bool) -> Part:
    if isinstance(part, Group):
        return replace(part, parts=without_colour(part.parts, lettered or part.role in LETTERED))
    if lettered and isinstance(part, Rect) and part.pen.fill is not None:
        return replace(part, pen=replace(part.pen, fill=style.PAPER))
    if lettered and isinstance(part, Text):
        return replace(part, colour=style.INK)
    return part
