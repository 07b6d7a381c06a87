"""A course is the line an item really takes: straights and arcs end to end, plus the places it kinks.

It answers how long the item is, where it is and how sharply it bends at any mm along it, where it
can be cut, how far it lies from a point and where it crosses another course. Millimetres, y down,
radians. All answers come in closed form from the pieces; nothing is sampled. A course does not know
which limit applies to the item. Radii are those seen in plan: a change of level adds length only.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import pairwise

from model.geometry.angles import folded
from model.geometry.errors import GeometryError
from model.geometry.meeting import Crossing, meetings
from model.geometry.segments import Arc, Box, Point, Segment, inside, within

JOIN_MM = 1e-6
"""Pieces further apart than this are not one item; also how near two crossings are one."""
JOIN_RAD = 1e-6
"""A measured heading of a very short straight rounds to about this; less is no kink."""
SAME_PLACE_MM = 1e-4
"""Neighbouring pieces meet where they join: that is not the course crossing itself."""


@dataclass(frozen=True, slots=True)
class Kink:
    """A sudden change of heading by ``angle_rad`` (positive clockwise) at ``at_mm``, radius zero.

    ``support`` is the index of the support that caused it, ``None`` where pieces were put together.
    """

    at_mm: float
    x: float
    y: float
    angle_rad: float
    support: int | None
    reason: str


@dataclass(frozen=True, slots=True)
class Bend:
    """One arc of a course with the mm at which it starts and ends."""

    start_mm: float
    end_mm: float
    radius_mm: float
    sweep_rad: float
    arc: Arc


@dataclass(frozen=True, slots=True)
class Course:
    """Pieces end to end and the kinks between them; GeometryError when pieces do not touch."""

    segments: tuple[Segment, ...]
    kinks: tuple[Kink, ...] = ()
    _starts: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.segments:
            raise GeometryError("a course needs at least one piece; give a straight or an arc")
        for number, (one, two) in enumerate(pairwise(self.segments), start=1):
            gap = math.dist(one.end, two.start)
            if gap > JOIN_MM:
                raise GeometryError(f"pieces {number} and {number + 1} are {gap:g} mm apart; let them touch")
        starts = [0.0]
        for piece in self.segments:
            starts.append(starts[-1] + piece.length_mm)
        object.__setattr__(self, "_starts", tuple(starts))

    @property
    def length_mm(self) -> float:
        """Length of the item, slopes included."""
        return self._starts[-1]

    @property
    def start(self) -> Point:
        """First point."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Last point."""
        return self.segments[-1].end

    @property
    def bbox(self) -> Box:
        """Smallest upright box around the course: left, top, right, bottom."""
        boxes = [piece.bbox for piece in self.segments]
        lefts, tops, rights, bottoms = zip(*boxes, strict=True)
        return (min(lefts), min(tops), max(rights), max(bottoms))

    def _find(self, s: float) -> tuple[int, float]:
        """Index of the piece at ``s`` and the position on it; at a join the later piece."""
        s = within(s, self.length_mm)
        index = min(bisect_right(self._starts, s) - 1, len(self.segments) - 1)
        return index, min(s - self._starts[index], self.segments[index].length_mm)

    def point_at(self, s: float) -> Point:
        """Point ``s`` mm from the start; GeometryError off the course."""
        index, rest = self._find(s)
        return self.segments[index].point_at(rest)

    def heading_at(self, s: float) -> float:
        """Direction of travel at ``s`` within (-pi, pi]; at a kink the direction after it."""
        index, rest = self._find(s)
        return folded(self.segments[index].heading_at(rest))

    def radius_at(self, s: float) -> float:
        """Bend radius in mm at ``s``: infinite on a straight, the tighter one where two pieces join.

        Kinks have no radius and are not looked at; see ``kinks``.
        """
        s = within(s, self.length_mm)
        radii = [bend.radius_mm for bend in self.bends() if bend.start_mm <= s <= bend.end_mm]
        return min(radii, default=math.inf)

    def bends(self) -> list[Bend]:
        """Every arc in order, with where it starts and ends."""
        return [
            Bend(self._starts[i], self._starts[i + 1], piece.radius_mm, piece.sweep_rad, piece)
            for i, piece in enumerate(self.segments)
            if isinstance(piece, Arc)
        ]

    def tightest(self) -> tuple[float, float, Arc] | None:
        """Smallest radius, the mm at the middle of that arc, and the arc; the first of equals.

        ``None`` when nothing bends. A kink is sharper than any arc and is listed in ``kinks`` only.
        """
        bend = min(self.bends(), key=lambda bend: bend.radius_mm, default=None)
        if bend is None:
            return None
        return bend.radius_mm, (bend.start_mm + bend.end_mm) / 2, bend.arc

    def cut(self, s: float) -> tuple[Course, Course]:
        """The two courses left after a cut ``s`` mm from the start, strictly between the ends.

        A kink exactly at the cut is on neither: both ends are free there.
        """
        inside(s, self.length_mm)
        index, rest = self._find(s)
        piece = self.segments[index]
        before, after = self.segments[:index], self.segments[index + 1 :]
        if rest <= 0 or rest >= piece.length_mm:
            before, after = (before, (piece, *after)) if rest <= 0 else ((*before, piece), after)
        else:
            left, right = piece.split_at(rest)
            before, after = (*before, left), (right, *after)
        return (
            Course(before, tuple(k for k in self.kinks if k.at_mm < s - JOIN_MM)),
            Course(after, tuple(replace(k, at_mm=k.at_mm - s) for k in self.kinks if k.at_mm > s + JOIN_MM)),
        )

    def reversed(self) -> Course:
        """The same line from the other end; kinks keep the support index of the original list."""
        kinks = [replace(k, at_mm=self.length_mm - k.at_mm, angle_rad=-k.angle_rad) for k in reversed(self.kinks)]
        return Course(tuple(piece.reversed() for piece in reversed(self.segments)), tuple(kinks))

    def distance_to(self, x: float, y: float) -> tuple[float, float]:
        """Shortest distance in plan from (x, y) in mm, and the mm along the course of that place."""
        found = [piece.nearest(x, y) for piece in self.segments]
        gap, index = min((gap, i) for i, (gap, _) in enumerate(found))
        return gap, self._starts[index] + found[index][1]

    def crossings(self, other: Course) -> list[Crossing]:
        """Where this course meets another on the page, in order along this one; touching counts.

        Stretches where both lie on the same line or circle are no crossings.
        """
        found = [
            Crossing(self._starts[i] + s, other._starts[j] + t, x, y)
            for i, mine in enumerate(self.segments)
            for j, theirs in enumerate(other.segments)
            for s, t, x, y in meetings(mine, theirs)
        ]
        return _without_repeats(found)

    def self_crossings(self) -> list[Crossing]:
        """Where the course meets itself again, the smaller mm first; a closed loop meets at its ends."""
        found = [
            Crossing(self._starts[i] + s, self._starts[j] + t, x, y)
            for i, mine in enumerate(self.segments)
            for j, theirs in enumerate(self.segments[i + 1 :], start=i + 1)
            for s, t, x, y in meetings(mine, theirs)
        ]
        return _without_repeats([c for c in found if c.other_mm - c.at_mm > SAME_PLACE_MM])


def _without_repeats(found: list[Crossing]) -> list[Crossing]:
    """A crossing at the join of two pieces is found on both of them; keep one."""
    kept: list[Crossing] = []
    for crossing in sorted(found):
        near = (k for k in reversed(kept) if crossing.at_mm - k.at_mm <= JOIN_MM)
        if not any(abs(crossing.other_mm - k.other_mm) <= JOIN_MM for k in near):
            kept.append(crossing)
    return kept


def chain(pieces: Iterable[Segment]) -> Course:
    """One course from pieces end to end, with a kink at every join that turns by over 1e-6 rad."""
    segments = tuple(pieces)
    kinks: list[Kink] = []
    at_mm = 0.0
    for one, two in pairwise(segments):
        at_mm += one.length_mm
        turn = folded(two.start_heading - one.end_heading)
        if abs(turn) > JOIN_RAD:
            kinks.append(Kink(at_mm, *two.start, turn, None, "pieces meet at an angle"))
    return Course(segments, tuple(kinks))
