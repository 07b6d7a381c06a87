"""The strokes of a splice schematic: level runs, bows with level ends, counts across a ribbon, and pairs in one casing.

Millimetres on paper. Cubics are for schematics only, where nothing is to scale. Nothing here knows the plant.
"""

from __future__ import annotations

from collections.abc import Sequence

from render import style
from render.drawing import CurveTo, Group, Line, LineTo, MoveTo, Part, Path, PathStep, Pen, Text
from render.looks import GlassLook

RIBBON = 2.2  # width of a ribbon that stands for several fibres


def level(x1: float, x2: float, y: float) -> tuple[PathStep, ...]:
    """A level stroke."""
    return (MoveTo(x1, y), LineTo(x2, y))


def bow(x1: float, y1: float, x2: float, y2: float) -> tuple[PathStep, ...]:
    """A cubic with level ends."""
    if abs(y1 - y2) < 1e-6:
        return level(x1, x2, y1)
    third = (x2 - x1) * 0.55
    return (MoveTo(x1, y1), CurveTo(x1 + third, y1, x2 - third, y2, x2, y2))


def counted(x: float, y: float, count: int, lift: float = 1.9) -> Group:
    """A slash across a band or ribbon with the number of items ``lift`` above its middle."""
    line = Line(x - 1.15, y + 1.992, x + 1.15, y - 1.992, style.SLASH)
    return Group((line, Text(x + 1.4, y - lift, str(count), weight="bold")), role="slash")


def pair(steps: tuple[PathStep, ...], looks: Sequence[GlassLook], mono: bool) -> Group:
    """Two fibres side by side in one casing, each in its own look; level-ended steps only."""
    parts: list[Part] = [Path(steps, Pen(style.INK, RIBBON))]
    for glass, dy in zip(looks, (-0.45, 0.45), strict=True):
        moved = tuple(_moved(step, dy) for step in steps)
        dash = glass.look.mono
        parts.append(Path(moved, Pen(style.PAPER if mono else glass.fill, 0.6)))
        if mono and dash is not None:
            parts.append(Path(moved, Pen(style.INK, 0.6, dash=dash)))
    return Group(tuple(parts), role="ribbon")


def _moved(step: PathStep, dy: float) -> PathStep:
    match step:
        case MoveTo(x, y):
            return MoveTo(x, y + dy)
        case LineTo(x, y):
            return LineTo(x, y + dy)
        case CurveTo(x1, y1, x2, y2, x, y):
            return CurveTo(x1, y1 + dy, x2, y2 + dy, x, y + dy)
        case _:
            return step
