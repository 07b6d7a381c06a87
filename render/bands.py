"""A band of glass on paper: a casing in ink at full width and a core in colour inside it, along one route.

Tubes, fibres and ribbons are all bands, in mm on paper. White and yellow stand on any ground because of the
casing; in the pattern version the core is dashed black on white instead of coloured. This module also turns a
course of straights and true arcs into the steps of a path. It must not know why a tube runs where it runs.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil, cos, radians, sin

from model.geometry.segments import Arc, Straight
from render.drawing import ArcTo, Group, LineTo, MoveTo, Path, PathStep, Pen
from render.style import HALO, INK, PAPER, W_THIN, look_of, stripe_of

# At exactly half a turn a rounding of the end by 0.0005 mm moves the centre of R 50 by 0.16 mm, and which side it
# moves to is the renderer's guess; a third of a turn is far from that.
LONGEST_ARC_RAD = radians(120.0)


def band(
    steps: tuple[PathStep, ...],
    colour: str,
    width: float,
    casing: float = W_THIN,
    *,
    marks: int = 0,
    mark_colour: str = "",
    mono: bool = False,
    ref: str = "",
    title: str = "",
) -> Group:
    """A band of ``width`` mm with ``casing`` mm of ink on each side, its core in the look of ``colour``.

    ``marks`` is the number of stripes or rings of ``mark_colour`` (by default black, and yellow on black), each
    drawn as one dash across the core: the second dozen has one, the third two. ``mono`` draws the pattern
    version. Raises ``ValueError`` when the casing leaves no core.
    """
    core = width - 2 * casing
    if core <= 0:
        raise ValueError(f"a band {width} wide has no core inside two casings of {casing}: draw it wider")
    paths = [Path(steps, Pen(INK, width)), *_core(steps, colour, core, mono)]
    if marks > 0:
        ink = INK if mark_colour == "black" else look_of(mark_colour).fill if mark_colour else stripe_of(colour)
        paths += _marks(steps, core, mark_dash(marks), ink, mono)
    return Group(tuple(paths), role="band", ref=ref, title=title)


def ribbon(steps: tuple[PathStep, ...], fill: str, width: float, casing: float = W_THIN, ref: str = "") -> Group:
    """A band that stands for several fibres at once, its core in a plain tone (``#RRGGBB``, white or grey)."""
    paths = (Path(steps, Pen(INK, width)), Path(steps, Pen(fill, width - 2 * casing)))
    return Group(paths, role="ribbon", ref=ref)


def halo(steps: tuple[PathStep, ...], width: float) -> Path:
    """The white ground that an upper route lays before itself at a crossing: 0.5 mm each side of ``width``."""
    return Path(steps, Pen(PAPER, width + 2 * HALO))


def _core(steps: tuple[PathStep, ...], colour: str, core: float, mono: bool) -> list[Path]:
    look = look_of(colour)
    if not mono:
        return [Path(steps, Pen(look.fill, core))]
    ground = Path(steps, Pen(PAPER, core))
    return [ground] if look.mono is None else [ground, Path(steps, Pen(INK, core, dash=look.mono))]


def mark_dash(marks: int) -> tuple[float, ...]:
    """Dash lengths in mm of a core with so many marks: dashes of 1, together in groups 2.5 apart."""
    return (1.0, 0.8) * (marks - 1) + (1.0, 2.5)


def _marks(steps: tuple[PathStep, ...], core: float, dash: tuple[float, ...], ink: str, mono: bool) -> list[Path]:
    if not mono:
        return [Path(steps, Pen(ink, core, dash=dash))]
    # Black marks vanish in a black pattern, so they stand on a white line along the middle of the core.
    return [Path(steps, Pen(PAPER, core / 2)), Path(steps, Pen(INK, core / 2, dash=dash))]


def steps_of(
    course: Iterable[Straight | Arc], scale: float = 1.0, dx: float = 0.0, dy: float = 0.0
) -> tuple[PathStep, ...]:
    """One path along a course, each place multiplied by ``scale`` and moved by (dx, dy) mm.

    Angles of a course grow from x towards y, which on a page with y downwards is clockwise. The segments must
    follow one another end to start; arcs longer than a third of a turn become several.
    """
    steps: list[PathStep] = []
    for segment in course:
        if isinstance(segment, Straight):
            if not steps:
                steps.append(MoveTo(segment.x1 * scale + dx, segment.y1 * scale + dy))
            steps.append(LineTo(segment.x2 * scale + dx, segment.y2 * scale + dy))
            continue
        cx, cy, r = segment.cx * scale + dx, segment.cy * scale + dy, segment.radius_mm * scale
        if not steps:
            steps.append(MoveTo(cx + r * cos(segment.start_rad), cy + r * sin(segment.start_rad)))
        pieces = max(1, ceil(abs(segment.sweep_rad) / LONGEST_ARC_RAD - 1e-9))
        for piece in range(1, pieces + 1):
            angle = segment.start_rad + segment.sweep_rad * piece / pieces
            end = (cx + r * cos(angle), cy + r * sin(angle))
            steps.append(ArcTo(*end, r, large=False, sweep=segment.sweep_rad > 0))
    return tuple(steps)
