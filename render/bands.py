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

# Marks on the core for the second and later dozens: one, two, three dashes, then plain colour.
STRIPES: dict[int, tuple[float, ...]] = {
    2: (1.0, 2.5),
    3: (1.0, 0.8, 1.0, 2.5),
    4: (1.0, 0.8, 1.0, 0.8, 1.0, 2.5),
}

# At exactly half a turn a rounding of the end by 0.0005 mm moves the centre of R 50 by 0.16 mm, and which side it
# moves to is the renderer's guess; a third of a turn is far from that.
LONGEST_ARC_RAD = radians(120.0)


def band(
    steps: tuple[PathStep, ...],
    colour: str,
    width: float,
    casing: float = W_THIN,
    *,
    dozen: int = 1,
    mono: bool = False,
    ref: str = "",
    title: str = "",
) -> Group:
    """A band of ``width`` mm with ``casing`` mm of ink on each side, its core in the look of ``colour``.

    ``dozen`` is 1 for plain colours, 2 to 4 for colours marked with one to three dashes. ``mono`` draws the
    pattern version. Raises ``ValueError`` when the casing leaves no core or the dozen has no marks.
    """
    core = width - 2 * casing
    if core <= 0:
        raise ValueError(f"a band {width} wide has no core inside two casings of {casing}: draw it wider")
    paths = [Path(steps, Pen(INK, width)), *_core(steps, colour, core, mono)]
    if dozen != 1:
        paths += _stripes(steps, colour, core, dozen, mono)
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


def _stripes(steps: tuple[PathStep, ...], colour: str, core: float, dozen: int, mono: bool) -> list[Path]:
    if dozen not in STRIPES:
        raise ValueError(f"no marks are known for dozen {dozen}: count the tubes by position beyond 48")
    if mono:
        # Black marks vanish in a black pattern, so they stand on a white line along the middle of the core.
        middle = core / 2
        return [
            Path(steps, Pen(PAPER, middle)),
            Path(steps, Pen(INK, middle, dash=STRIPES[dozen])),
        ]
    return [Path(steps, Pen(stripe_of(colour), core, dash=STRIPES[dozen]))]


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
