"""Move shapes of a drawing without altering them: for several sheets on one canvas."""

from __future__ import annotations

from dataclasses import replace

from render.drawing import (
    ArcTo,
    Circle,
    CurveTo,
    Group,
    Line,
    LineTo,
    MoveTo,
    Part,
    Path,
    PathStep,
    Rect,
    Text,
)


def shifted(part: Part, dx: float, dy: float) -> Part:
    """The same shape or group, ``dx`` to the right and ``dy`` down, in mm."""
    if isinstance(part, Group):
        return replace(part, parts=tuple(shifted(inner, dx, dy) for inner in part.parts))
    if isinstance(part, Line):
        return replace(part, x1=part.x1 + dx, y1=part.y1 + dy, x2=part.x2 + dx, y2=part.y2 + dy)
    if isinstance(part, Rect | Text):
        return replace(part, x=part.x + dx, y=part.y + dy)
    if isinstance(part, Circle):
        return replace(part, cx=part.cx + dx, cy=part.cy + dy)
    return Path(tuple(_step(step, dx, dy) for step in part.steps), part.pen)


def _step(step: PathStep, dx: float, dy: float) -> PathStep:
    if isinstance(step, MoveTo | LineTo | ArcTo):
        return replace(step, x=step.x + dx, y=step.y + dy)
    if isinstance(step, CurveTo):
        return CurveTo(step.x1 + dx, step.y1 + dy, step.x2 + dx, step.y2 + dy, step.x + dx, step.y + dy)
    return step
