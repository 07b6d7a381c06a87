"""Lays an item as a belt: straight between supports, wrapped round each support's circle.

Given where it is held, which side of each post it passes and how many turns it takes there, the
course follows exactly: common tangents, arcs, and fillets at free corners. Millimetres, y down,
radians growing clockwise on the page. A level difference between two supports is climbed on the
straight between them. Which radius is allowed, and what the item is, is not known here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from model.geometry.angles import ANGLE_TOL_RAD, TAU, folded, forward
from model.geometry.course import Course, Kink
from model.geometry.errors import GeometryError
from model.geometry.segments import Arc, Segment, Straight

TINY_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Anchor:
    """A fixed start or end; ``heading`` is the direction of travel the item is held in, if any."""

    x: float
    y: float
    heading: float | None = None
    level_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Corner:
    """A free corner rounded by a fillet of ``radius_mm``; radius 0 is a kink."""

    x: float
    y: float
    radius_mm: float
    level_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Wrap:
    """A circle to pass: side +1 clockwise on the page, -1 counter-clockwise, with extra whole turns."""

    cx: float
    cy: float
    radius_mm: float
    side: int
    turns: int = 0
    level_mm: float = 0.0
    name: str = ""


Support = Anchor | Corner | Wrap


@dataclass(frozen=True, slots=True)
class _Line:
    """A tangent line between two supports: its heading, its plan length and where it begins."""

    heading: float
    plan_mm: float
    x: float
    y: float

    def point(self, along_mm: float) -> tuple[float, float]:
        return (
            self.x + along_mm * math.cos(self.heading),
            self.y + along_mm * math.sin(self.heading),
        )


def belt(supports: Sequence[Support]) -> Course:
    """The course through the supports in order; the first and last are Anchors, no other is.

    GeometryError, with the index of the support, when a tangent or a fillet does not exist.
    """
    _check(supports)
    lines = [_tangent(supports, i) for i in range(len(supports) - 1)]
    trims = [0.0] * len(supports)
    for i in range(1, len(supports) - 1):
        trims[i] = _fillet_mm(supports, lines, i)
    _check_fillets_fit(supports, lines, trims)

    pieces: list[Segment] = []
    kinks = _anchor_kinks(supports[0], lines[0].heading, 0, at_mm=0.0)
    at_mm = 0.0
    for i, line in enumerate(lines):
        if i > 0:
            arc, kink = _bend(supports[i], lines[i - 1], line, trims[i], i, at_mm)
            if arc:
                pieces.append(arc)
                at_mm += arc.length_mm
            if kink:
                kinks.append(kink)
        straight = _straight(supports, line, trims, i)
        if straight:
            pieces.append(straight)
            at_mm += straight.length_mm
    kinks += _anchor_kinks(supports[-1], lines[-1].heading, len(supports) - 1, at_mm)
    return Course(tuple(pieces), tuple(kinks))


def _label(supports: Sequence[Support], index: int) -> str:
    support = supports[index]
    kind = type(support).__name__.lower()
    name = f" '{support.name}'" if isinstance(support, Wrap) and support.name else ""
    return f"support {index + 1} of {len(supports)} ({kind}{name})"


def _circle(support: Support) -> tuple[float, float, float]:
    """Centre and signed radius: positive clockwise, negative counter-clockwise, 0 for a point."""
    if isinstance(support, Wrap):
        return support.cx, support.cy, support.side * support.radius_mm
    return support.x, support.y, 0.0


def _check(supports: Sequence[Support]) -> None:
    if len(supports) < 2:
        raise GeometryError(f"a belt of {len(supports)} supports has no length; give two anchors or more")
    for index, support in enumerate(supports):
        at_end = index in (0, len(supports) - 1)
        where = _label(supports, index)
        if isinstance(support, Anchor) != at_end:
            need = "must be an Anchor" if at_end else "cannot be an Anchor; use a Corner or a Wrap"
            raise GeometryError(f"{where} {need}", index)
        if isinstance(support, Anchor):
            numbers = (support.x, support.y, support.level_mm, support.heading or 0.0)
        else:
            numbers = (*_circle(support)[:2], support.radius_mm, support.level_mm)
        if not all(math.isfinite(number) for number in numbers):
            raise GeometryError(f"{where} has a number that is not finite; give millimetres", index)
        if isinstance(support, Corner) and support.radius_mm < 0:
            raise GeometryError(f"{where} has radius {support.radius_mm:g} mm; give 0 or more", index)
        if isinstance(support, Wrap):
            _check_wrap(support, where, index)


def _check_wrap(wrap: Wrap, where: str, index: int) -> None:
    if wrap.radius_mm <= 0:
        raise GeometryError(f"{where} has radius {wrap.radius_mm:g} mm; give more than 0", index)
    if wrap.side not in (1, -1):
        raise GeometryError(f"{where} has side {wrap.side}; give +1 (clockwise) or -1", index)
    if wrap.turns < 0 or wrap.turns != int(wrap.turns):
        raise GeometryError(f"{where} has {wrap.turns} turns; give a whole number, 0 or more", index)


def _tangent(supports: Sequence[Support], index: int) -> _Line:
    """The one line that leaves support ``index`` and reaches the next in the direction each is passed.

    With signed radii k the tangent point is c + k*(sin h, -cos h) for heading h, so that
    sin(h - bearing) = (k1 - k2) / distance: one formula for points, open and crossed belts.
    """
    x1, y1, k1 = _circle(supports[index])
    x2, y2, k2 = _circle(supports[index + 1])
    dx, dy = x2 - x1, y2 - y1
    apart = math.hypot(dx, dy)
    need = abs(k1 - k2)
    tol = TINY_MM * max(1.0, need)
    if apart < need - tol or apart <= TINY_MM:
        raise _no_tangent(supports, index, apart)
    plan = 0.0 if apart <= need + tol else math.sqrt((apart - need) * (apart + need))
    heading = math.atan2(dy, dx) + math.atan2(k1 - k2, plan)
    return _Line(heading, plan, x1 + k1 * math.sin(heading), y1 - k1 * math.cos(heading))


def _no_tangent(supports: Sequence[Support], index: int, apart: float) -> GeometryError:
    one, two = _label(supports, index), _label(supports, index + 1)
    k1, k2 = _circle(supports[index])[2], _circle(supports[index + 1])[2]
    if apart <= TINY_MM and k1 == k2:
        return GeometryError(f"{one} and {two} are at the same place; remove one or move it", index + 1)
    if k1 == 0 or k2 == 0:
        point, circle, at = (one, two, index) if k1 == 0 else (two, one, index + 1)
        depth = abs(k1 - k2) - apart
        return GeometryError(
            f"{point} lies {depth:.3g} mm inside the circle of {circle}; move it out or make the circle smaller",
            at,
        )
    if k1 * k2 < 0:
        return GeometryError(
            f"{one} and {two} are passed on opposite sides but their circles overlap by"
            f" {abs(k1 - k2) - apart:.3g} mm; move them apart or pass both on the same side",
            index + 1,
        )
    return GeometryError(
        f"one of {one} and {two} lies inside the circle of the other; move them apart or leave out the inner",
        index + 1,
    )


def _fillet_mm(supports: Sequence[Support], lines: Sequence[_Line], index: int) -> float:
    """What the fillet at a corner takes from the straight on each side: R * tan(turn / 2)."""
    support = supports[index]
    if not isinstance(support, Corner) or support.radius_mm == 0:
        return 0.0
    turn = abs(folded(lines[index].heading - lines[index - 1].heading))
    if turn > math.pi - ANGLE_TOL_RAD:
        raise GeometryError(f"{_label(supports, index)} turns straight back, no fillet does that; use a Wrap", index)
    return 0.0 if turn <= ANGLE_TOL_RAD else support.radius_mm * math.tan(turn / 2)


def _check_fillets_fit(supports: Sequence[Support], lines: Sequence[_Line], trims: Sequence[float]) -> None:
    for i, line in enumerate(lines):
        taken = trims[i] + trims[i + 1]
        if taken > line.plan_mm + TINY_MM * max(1.0, taken):
            at = i if trims[i] >= trims[i + 1] else i + 1
            raise GeometryError(
                f"the fillet of {_label(supports, at)} does not fit: {taken:.4g} mm needed on a straight of"
                f" {line.plan_mm:.4g} mm; take a smaller radius or move the corner",
                at,
            )


def _straight(supports: Sequence[Support], line: _Line, trims: Sequence[float], index: int) -> Straight | None:
    rise = supports[index + 1].level_mm - supports[index].level_mm
    first, last = trims[index], line.plan_mm - trims[index + 1]
    if last - first > TINY_MM:
        return Straight(*line.point(first), *line.point(last), rise)
    if rise:
        raise GeometryError(
            f"{_label(supports, index + 1)} is {rise:+g} mm from the level before it, with no straight"
            " to climb on; move it away or put both on one level",
            index + 1,
        )
    return None


def _bend(
    support: Support, into: _Line, out: _Line, trim: float, index: int, at_mm: float
) -> tuple[Arc | None, Kink | None]:
    """The arc round a wrap or the fillet of a corner, or the kink of a corner without radius."""
    if isinstance(support, Wrap):
        swept = forward(support.side * (out.heading - into.heading)) + TAU * support.turns
        start = into.heading - support.side * math.pi / 2
        arc = Arc(support.cx, support.cy, support.radius_mm, start, support.side * swept)
        return (arc if swept else None), None
    turn = folded(out.heading - into.heading)
    if abs(turn) <= ANGLE_TOL_RAD or isinstance(support, Anchor):
        return None, None
    if support.radius_mm == 0:
        return None, Kink(at_mm, support.x, support.y, turn, index, "corner without a radius")
    side = 1 if turn > 0 else -1
    x, y = into.point(into.plan_mm - trim)
    cx = x - side * support.radius_mm * math.sin(into.heading)
    cy = y + side * support.radius_mm * math.cos(into.heading)
    return Arc(cx, cy, support.radius_mm, into.heading - side * math.pi / 2, turn), None


def _anchor_kinks(anchor: Support, heading: float, index: int, at_mm: float) -> list[Kink]:
    """A kink when the course does not leave or reach the anchor in the direction held there."""
    if not isinstance(anchor, Anchor) or anchor.heading is None:
        return []
    turn = folded(heading - anchor.heading if index == 0 else anchor.heading - heading)
    if abs(turn) <= ANGLE_TOL_RAD:
        return []
    reason = "leaves its anchor at an angle" if index == 0 else "reaches its anchor at an angle"
    return [Kink(at_mm, anchor.x, anchor.y, turn, index, reason)]
