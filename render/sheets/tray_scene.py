"""The tray itself to scale: outline, lanes, holders, and every fibre on its true course, with labels in the rows.

Tray millimetres come in, page millimetres go out through ``Place``. Fibres are drawn with one turn; texts elsewhere
state the count. What the lanes and corners are called is not said here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin

from model.geometry.course import Course
from model.geometry.segments import Arc, Segment
from model.parts import TrayType
from model.traypath import StoredCourse, lane_for, lane_radius_mm, loop_through, slot_box, stub, tail
from render import style
from render.bands import band, halo, ribbon, steps_of
from render.drawing import Group, Line, LineTo, MoveTo, Part, Path, PathStep, Pen, Rect
from render.marks import polyline, slash_count
from render.refs import tray_ref
from render.sheets.tray_facts import Facts, capped_at_tube

RIBBON_WIDTH = 2.0
WALL = 1.0  # real mm from the middle of the outer lane to the track's outer wall
CORNER_BOX = (14.0, 4.0)  # width of the box over the corners of one side, and how far it reaches beyond them, real mm
LEAST_SLASHED = 0.5  # below this scale the counts have no room at the corners; the lane texts give them
CAPPED = 8.0  # real mm that stubs are shown long which end with their tube
BESIDE = 3.0  # from the middle of what goes on from the same corner to such stubs, mm
SLASH_AT = 31.0  # real mm from a corner to the slash that counts its tails


@dataclass(frozen=True, slots=True)
class Place:
    """Where the tray's top left corner stands on the page, and page mm for one mm of tray."""

    x: float
    y: float
    scale: float

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """Page position of a place on the tray."""
        return self.x + x_mm * self.scale, self.y + y_mm * self.scale

    def steps(self, pieces: Sequence[Segment]) -> tuple:  # type: ignore[type-arg]
        """A path on the page along pieces of a course."""
        return steps_of(pieces, self.scale, self.x, self.y)


@dataclass(frozen=True, slots=True)
class Drawn:
    """An entry with the course it is drawn with: one turn, whatever its count."""

    entry: StoredCourse
    course: Course
    peel: tuple[Segment, ...] = ()
    """The last arc and straight of a tail."""


def one_turn(kind: TrayType, entry: StoredCourse) -> Drawn | None:
    """The course an entry is drawn with; None where it has none."""
    corner, lane = entry.corner, entry.lane
    if entry.course is None or corner is None:
        return None
    if entry.what == "tail" and entry.slot is not None:
        course = tail(kind, corner, lane, min(entry.turns, 1), entry.slot, reverse=entry.reverse)
        first = max(i for i, piece in enumerate(course.segments) if isinstance(piece, Arc))
        return Drawn(entry, course, course.segments[first:])
    if entry.what == "loop" and entry.corner_out is not None:
        return Drawn(entry, loop_through(kind, corner, entry.corner_out, lane, min(entry.turns, 1)))
    return Drawn(entry, stub(kind, corner, lane, 1) if entry.turns > 1 else entry.course)


def hardware(place: Place, facts: Facts) -> Group:
    """The tray's outline, its track with walls, and the clamps at the corners."""
    kind, s = facts.kind, place.scale
    parts: list[Part] = [
        Rect(*place.at(0, 0), kind.width_mm * s, kind.height_mm * s, style.ACTIVE_TRAY, 6.0 * s),
        _ring(place, kind, lane_radius_mm(kind, max(kind.lanes, 1) - 1) + WALL, style.FIELD),
        _ring(place, kind, kind.track_radius_mm - kind.lane_mm / 2, style.PAPER),
    ]
    width, reach = CORNER_BOX
    for heading in sorted({corner.heading_deg for corner in kind.corners}):
        corners = [corner for corner in kind.corners if corner.heading_deg == heading]
        top = max(min(c.y_mm for c in corners) - reach, 1.0)
        low = max(c.y_mm for c in corners) + reach
        left = corners[0].x_mm if cos(heading * pi / 180) > 0 else corners[0].x_mm - width
        x, y = place.at(left, top)
        parts.append(Rect(x, y, width * s, (low - top) * s, style.HARDWARE_OUTLINE, 1.0 * s))
        parts += [
            Line(x + i * width * s / 4, y, x + i * width * s / 4, y + (low - top) * s, style.HATCH) for i in (1, 2, 3)
        ]
    return Group(tuple(parts), role="hardware", ref=tray_ref(facts.tray.id), title=f"Tray {facts.tray.name}")


def _ring(place: Place, kind: TrayType, radius: float, fill: str) -> Rect:
    half_x, half_y = kind.straight_x_mm / 2 + radius, kind.straight_y_mm / 2 + radius
    x, y = place.at(kind.track_x_mm - half_x, kind.track_y_mm - half_y)
    pen = Pen(style.EDGE, style.W_THIN, fill)
    return Rect(x, y, 2 * half_x * place.scale, 2 * half_y * place.scale, pen, radius * place.scale)


def glass(place: Place, facts: Facts, drawn: Sequence[Drawn], mono: bool, named: bool) -> list[Part]:
    """All fibres: tails as one line up to where each peels off, stubs, uncut loops, then each fibre's own last arc.

    Where no label can stand by them (``named`` false), the last arcs are thin black lines: colour needs its number.
    """
    parts: list[Part] = []
    tails = [item for item in drawn if item.entry.what == "tail"]
    parts += [
        Path(place.steps(item.course.segments[: -len(item.peel)]), Pen(style.INK, style.W_HEAVY))
        for item in _longest(tails)
    ]
    parts += _stubs(place, facts, [item for item in drawn if item.entry.what == "stub"], mono)
    parts += _loops(place, facts, [item for item in drawn if item.entry.what == "loop"], mono)
    if named:
        parts += [_peel(place, facts, item, mono) for item in tails]
    else:
        parts += [Path(place.steps(item.peel), Pen(style.INK, style.W_THIN)) for item in tails]
    if place.scale >= LEAST_SLASHED:
        parts += _slashes(place, tails)
    return parts


def _longest(tails: Sequence[Drawn]) -> list[Drawn]:
    """Of the tails that share corner, direction and side, the one that goes furthest: its line holds all others."""
    found: dict[tuple[object, ...], Drawn] = {}
    for item in tails:
        x, _ = item.peel[0].start
        key = (item.entry.corner, item.entry.reverse, round(x, 3), item.entry.turns > 0)
        old = found.get(key)
        if old is None or item.course.length_mm > old.course.length_mm:
            found[key] = item
    return list(found.values())


def _core(
    place: Place, facts: Facts, entry: StoredCourse, pieces: Sequence[Segment], width: float, mono: bool
) -> Group:
    """One fibre in its colour, several as a ribbon, along pieces of a course."""
    return _strand(facts, entry, place.steps(pieces), width, mono)


def _strand(facts: Facts, entry: StoredCourse, steps: tuple[PathStep, ...], width: float, mono: bool) -> Group:
    if len(entry.ends) == 1:
        label = facts.labels[entry.ends[0]]
        casing = style.BAND_NEW[1] if width >= style.BAND_NEW[0] else style.W_THIN
        marks = {"marks": label.marks, "mark_colour": label.mark_colour}
        return band(steps, label.look.name, width, casing, mono=mono, title=label.text, **marks)  # type: ignore[arg-type]
    return ribbon(steps, style.RULE if entry.what == "loop" else style.PAPER, max(width, RIBBON_WIDTH))


def _peel(place: Place, facts: Facts, item: Drawn, mono: bool) -> Group:
    slot = item.entry.slot
    row = next((r for r in facts.rows if r.slot == slot), None)
    pieces = list(item.peel)
    wide = style.BAND_NEW[0] if row is not None and not row.existing and place.scale >= 1 else style.BAND_OLD[0]
    drawn = _core(place, facts, item.entry, pieces, wide, mono)
    ref = facts.labels[item.entry.ends[0]].ref if len(item.entry.ends) == 1 else ""
    under: tuple[Part, ...] = ()
    if row is not None and row.traced:
        steps = place.steps(pieces)
        under = (Path(steps, Pen(style.INK, 4.0)), Path(steps, Pen(style.TRACE, 3.5)))
    return Group((*under, Group(drawn.parts, drawn.role, ref, drawn.title)), role="fibre", ref=ref)


def _stubs(place: Place, facts: Facts, stubs: Sequence[Drawn], mono: bool) -> list[Part]:
    parts: list[Part] = []
    for item in stubs:
        if capped_at_tube(item.entry):
            parts.append(_capped(place, facts, item, mono))
            continue
        line = _core(place, facts, item.entry, item.course.segments, style.BAND_OLD[0], mono)
        x, y = place.at(*item.course.end)
        parts += [Group((line, cap(x, y, item.course.heading_at(item.course.length_mm))), role="stubs")]
    return parts


def _capped(place: Place, facts: Facts, item: Drawn, mono: bool) -> Group:
    """Stubs that end with their tube: a short straight piece in the corner, below what goes on from there."""
    corner = item.entry.corner
    shared = any(
        entry is not item.entry and corner is not None and corner in (entry.corner, entry.corner_out)
        for entry in facts.entries
    )
    x, y = place.at(*item.course.start)
    y += BESIDE * min(place.scale, 1.0) if shared else 0.0
    heading = item.course.heading_at(0.0)
    end = x + CAPPED * place.scale * (1.0 if cos(heading) > 0 else -1.0)
    line = _strand(facts, item.entry, (MoveTo(x, y), LineTo(end, y)), style.BAND_OLD[0], mono)
    return Group((line, cap(end, y, 0.0 if end > x else pi)), role="stubs", title="stubs, capped at the tube's end")


def cap(x: float, y: float, heading: float) -> Group:
    """The bracket on a dead end that travels along ``heading`` (radians): across the end, open towards the fibre."""
    ux, uy, half, arm = cos(heading), sin(heading), 1.7, 1.2
    points = [
        (x + side * half * -uy - back * ux, y + side * half * ux - back * uy)
        for side, back in ((-1, arm), (-1, 0.0), (1, 0.0), (1, arm))
    ]
    return Group((polyline(tuple(points), style.STUB_CAP),), role="stub", title="stub end, capped")


def _loops(place: Place, facts: Facts, loops: Sequence[Drawn], mono: bool) -> list[Part]:
    parts: list[Part] = []
    for item in loops:
        line = _core(place, facts, item.entry, item.course.segments, style.BAND_NEW[0], mono)
        steps = place.steps(item.course.segments)
        width = RIBBON_WIDTH if len(item.entry.ends) > 1 else style.BAND_NEW[0]
        # At full size the lanes lie far enough apart for a halo; closer, it would eat the lane beside it.
        under = (halo(steps, width),) if place.scale >= 1 else ()
        parts.append(Group((*under, line), role="loop", title=f"{len(item.entry.ends)} fibres uncut"))
    return parts


def _slashes(place: Place, tails: Sequence[Drawn]) -> list[Part]:
    """How many tails come on at each corner; corners of one side count one after another."""
    counts: dict[str, int] = {}
    for item in tails:
        name = item.entry.corner.name if item.entry.corner else ""
        counts[name] = counts.get(name, 0) + len(item.entry.ends)
    parts: list[Part] = []
    seen: dict[float, int] = {}
    for item in tails:
        corner = item.entry.corner
        if corner is None or corner.name not in counts:
            continue
        step = seen.get(corner.heading_deg, 0)
        seen[corner.heading_deg] = step + 1
        along = (SLASH_AT + 9.0 * step / place.scale) * (1 if cos(corner.heading_deg * pi / 180) > 0 else -1)
        x, y = place.at(corner.x_mm + along, _height_at(item.course, corner.x_mm + along))
        parts.append(slash_count(x, y, counts.pop(corner.name), side="right" if along > 0 else "left"))
    return parts


def _height_at(course: Course, x_mm: float) -> float:
    """Height of a course's first run at an x near its start."""
    return course.point_at(min(abs(x_mm - course.start[0]), course.length_mm))[1]


def crossing_point(kind: TrayType, course: Course) -> tuple[float, float]:
    """Where a loop's loud tag stands: in the middle of its way across, or of its lane where it does not reverse."""
    _, at = course.distance_to(kind.track_x_mm, kind.track_y_mm)
    x, y = course.point_at(at)
    if hypot(x - kind.track_x_mm, y - kind.track_y_mm) < kind.track_radius_mm / 2:
        return x, y
    radius = lane_radius_mm(kind, lane_for(kind, "loop"))
    return kind.track_x_mm, kind.track_y_mm + kind.straight_y_mm / 2 + radius


def meets_right(drawn: Drawn) -> bool:
    """Whether a tail comes into the right end of its holder."""
    return cos(drawn.course.heading_at(drawn.course.length_mm)) < 0


def sleeve_box(place: Place, facts: Facts, slot: int) -> tuple[float, float, float, float]:
    """Left, top, width, height of a sleeve on the page."""
    left, top, right, low = slot_box(facts.kind, slot)
    half = facts.sleeve_diameter_mm / 2
    x, y = place.at(left, (top + low) / 2 - half)
    return x, y, (right - left) * place.scale, 2 * half * place.scale
