"""Which course each fibre on a tray takes: tails to their holders, uncut loops, stubs, with lane and turns.

Tails lie on the outer lane, uncut loops on a middle one, stubs on the innermost. Turns come from the bare length where
it is known, less what the way on and off the track takes; a tail has at least one full turn before its holder (common
practice, no source). Tray millimetres. Nothing here judges: a course longer than its bare fibre is returned as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import floor, hypot
from typing import Literal

from model.entities import FibreEnd, GlassEnd, LegEnd, Tray
from model.errors import PlantError
from model.geometry.course import Course
from model.geometry.errors import GeometryError
from model.layout import DropRun, TubeRun, drawn_routes, drop_runs, tray_load, tube_runs
from model.lookup import enclosure_type, looped_fibres, passes, stops_at, tray_type, tube_of
from model.parts import TrayCorner, TrayType
from model.plant import Plant
from model.traypath_lanes import (
    lane_radius_mm,
    lane_turn_mm,
    loop_through,
    runs_clockwise,
    slot_box,
    stub,
    tail,
)

__all__ = [
    "StoredCourse",
    "lane_for",
    "lane_radius_mm",
    "lane_turn_mm",
    "loop_through",
    "runs_clockwise",
    "slot_box",
    "stored_courses",
    "stub",
    "tail",
]

What = Literal["tail", "loop", "stub"]
ASSUMED_TURNS = 1
"""Turns of a fibre whose bare length is not known."""
PARKED_MM = 12.0
"""Least length of a stub that is drawn where its bare length is less, so that it can be seen and found."""


@dataclass(frozen=True, slots=True)
class StoredCourse:
    """Fibres that lie together on a tray: their ends, the corner they come on at, their lane, turns and course.

    ``ends`` of a loop are its exchange-side ends. ``corner_out`` is where a loop leaves. ``bare_mm`` is the bare fibre
    there is, None where it is not known. ``course`` is None, and ``fault`` says why, where the tray has no room.
    ``reverse``: a tail that changes direction because its partner comes on at the same side.
    """

    what: What
    ends: tuple[GlassEnd, ...]
    corner: TrayCorner | None
    lane: int
    turns: int
    course: Course | None
    fault: str = ""
    slot: int | None = None
    corner_out: TrayCorner | None = None
    bare_mm: float | None = None
    reverse: bool = False

    @property
    def refs(self) -> tuple[str, ...]:
        """References of its glass: ``fibre:CABLE:N``, or ``splitter:ID`` for a leg."""
        return tuple(
            f"fibre:{end.cable}:{end.fibre}" if isinstance(end, FibreEnd) else f"splitter:{end.splitter}"
            for end in self.ends
        )


def lane_for(kind: TrayType, what: What) -> int:
    """Outer lane for tails, middle for loops, inner for stubs; a tray with fewer lanes shares them."""
    lanes = max(kind.lanes, 1)
    return {"tail": lanes - 1, "loop": (lanes - 1) // 2, "stub": 0}[what]


class _Tray:
    """What is known about the way onto one tray: routes, runs and corners."""

    def __init__(self, plant: Plant, tray: Tray) -> None:
        self.plant, self.tray = plant, tray
        kind = tray_type(plant, tray)
        self.kind = kind if tray.sleeve_mm is None else replace(kind, sleeve_mm=tray.sleeve_mm)
        self.enclosure = plant.enclosures[tray.enclosure]
        self.place = next(
            (p for p in enclosure_type(plant, self.enclosure).tray_positions if p.number == tray.position), None
        )
        drawn = drawn_routes(plant, self.enclosure.id)
        self.drawn = [item.route for item in drawn if item.route.tray == tray.id]
        self.tubes: dict[tuple[str, int], TubeRun] = {
            (run.stop.id, run.tube): run for run in tube_runs(plant, self.enclosure, drawn)
        }
        self.drops: dict[str, DropRun] = {run.stop.id: run for run in drop_runs(plant, self.enclosure, drawn)}
        self.passing = {stop.id for cable, index, stop in stops_at(plant, self.enclosure.site) if passes(cable, index)}

    def tube(self, end: FibreEnd) -> int:
        """Tube of an end's fibre; 0, which no route has, for a fibre that its cable lacks."""
        kind = self.plant.cable_types[self.plant.cables[end.cable].type]
        return tube_of(kind, end.fibre)[0] if 1 <= end.fibre <= kind.fibre_count else 0

    def corner(self, end: GlassEnd, partner: GlassEnd | None = None) -> TrayCorner | None:
        """Where a fibre comes on: where its route ends, else by rule; None where the tray has no corner at all.

        Rule: passing cables and ends that face the exchange at the tube side, exchange side first; ends that face the
        field at the drop side; a splitter's leg opposite its partner.
        """
        if isinstance(end, LegEnd):
            other = self.corner(partner) if isinstance(partner, FibreEnd) else None
            return self._first("tube" if other is not None and other.side == "drop" else "drop")
        for route in self.drawn:
            at = route.supports[-1]
            same = route.kind == "bundle" or (self.tube(end) in route.tubes and route.side == end.side)
            if end.stop in route.stops and same and self.place is not None and self.kind.corners:
                x, y = at.x_mm - self.place.x_mm, at.y_mm - self.place.y_mm
                return min(self.kind.corners, key=lambda c: (hypot(c.x_mm - x, c.y_mm - y), c.name))
        if end.stop in self.passing:
            return self._first("tube", 1 if end.side == ">" else 0)
        return self._first("tube" if end.side == "<" else "drop")

    def _first(self, side: str, index: int = 0) -> TrayCorner | None:
        found = [corner for corner in self.kind.corners if corner.side == side] or list(self.kind.corners)
        return found[min(index, len(found) - 1)] if found else None

    def bare_mm(self, end: GlassEnd) -> float | None:
        """Bare fibre of a cut end from the corner on; None where a route or a mark is missing."""
        if isinstance(end, LegEnd):
            return None
        if end.stop in self.passing:
            run = self.tubes.get((end.stop, self.tube(end)))
            if run is None or run.bare_mm is None or run.cut_mm is None or run.a_mm is None:
                return None
            near = run.cut_mm - run.a_mm
            return max(near if end.side == "<" else run.bare_mm - near, 0.0)
        drop = self.drops.get(end.stop)
        return None if drop is None else drop.bare_mm

    def lay(
        self,
        what: What,
        ends: Iterable[GlassEnd],
        corner: TrayCorner | None,
        course: Callable[[TrayCorner, int, int], Course],
        bare_mm: float | None,
        least: int = 1,
    ) -> StoredCourse:
        """Find the turns the bare length gives, at least ``least``, and the course with them."""
        lane = lane_for(self.kind, what)
        held = tuple(ends)
        if corner is None:
            fault = f"{self.kind.title} has no corner to come on at"
            return StoredCourse(what, held, None, lane, 0, None, fault, bare_mm=bare_mm)
        turns = ASSUMED_TURNS
        try:
            fixed = course(corner, lane, 0)
            if bare_mm is not None:
                turns = max(least, floor((bare_mm - fixed.length_mm) / lane_turn_mm(self.kind, lane) + 1e-9))
            laid = course(corner, lane, turns)
        except (PlantError, GeometryError) as fault:
            return StoredCourse(what, held, corner, lane, turns, None, str(fault), bare_mm=bare_mm)
        if what == "stub" and bare_mm is not None and bare_mm < laid.length_mm:
            laid, _ = laid.cut(min(max(bare_mm, PARKED_MM), laid.length_mm - 1.0))
        return StoredCourse(what, held, corner, lane, turns, laid, bare_mm=bare_mm)


def stored_courses(plant: Plant, tray: Tray) -> list[StoredCourse]:
    """The course of all glass on a tray: tails by slot, then loops, then stubs; equal ones are one entry.

    A slot that holds several splices (a ribbon) gives one entry per direction. Splices without a slot are left out.
    """
    on = _Tray(plant, tray)
    return [*_tails(on), *_loops(on), *_stubs(on)]


def _tails(on: _Tray) -> list[StoredCourse]:
    laid = []
    for slot, splices in tray_load(on.plant, on.tray).slots.items():
        groups: dict[tuple[str, bool], list[GlassEnd]] = {}
        corners: dict[str, TrayCorner | None] = {"": None}
        for splice in (on.plant.splices[key] for key in splices):
            a, b = on.corner(splice.a, splice.b), on.corner(splice.b, splice.a)
            clash = a is not None and b is not None and runs_clockwise(on.kind, a) == runs_clockwise(on.kind, b)
            for end, corner, reverse in ((splice.a, a, False), (splice.b, b, clash)):
                name = corner.name if corner else ""
                corners[name] = corner
                groups.setdefault((name, reverse), []).append(end)
        for (name, reverse), ends in groups.items():

            def course(corner: TrayCorner, lane: int, turns: int, slot: int = slot, reverse: bool = reverse) -> Course:
                return tail(on.kind, corner, lane, turns, slot, reverse=reverse)

            known = [bare for end in ends if (bare := on.bare_mm(end)) is not None]
            entry = on.lay("tail", ends, corners[name], course, min(known, default=None))
            laid.append(replace(entry, slot=slot, reverse=reverse))
    return laid


def _loops(on: _Tray) -> list[StoredCourse]:
    laid = []
    for cable, index, stop in stops_at(on.plant, on.enclosure.site):
        loose = set(looped_fibres(on.plant.cable_types[cable.type], stop)) if passes(cable, index) else set()
        for record in stop.stored:
            if record.tray != on.tray.id or record.side:
                continue
            by_tube: dict[int, list[GlassEnd]] = {}
            for fibre in sorted(loose & set(record.fibres)):
                end = FibreEnd(cable.id, fibre, stop.id, "<")
                by_tube.setdefault(on.tube(end), []).append(end)
            for tube, ends in sorted(by_tube.items()):
                first = ends[0]
                out = on.corner(replace(first, side=">")) if isinstance(first, FibreEnd) else None

                def course(corner: TrayCorner, lane: int, turns: int, out: TrayCorner | None = out) -> Course:
                    if out is None:
                        raise PlantError("there is no corner to leave at")
                    return loop_through(on.kind, corner, out, lane, turns)

                run = on.tubes.get((stop.id, tube))
                entry = on.lay("loop", ends, on.corner(first), course, run.bare_mm if run else None)
                laid.append(replace(entry, corner_out=out))
    return laid


def _stubs(on: _Tray) -> list[StoredCourse]:
    laid = []
    for cable, _, stop in stops_at(on.plant, on.enclosure.site):
        for record in stop.stored:
            if record.tray != on.tray.id or not record.side:
                continue
            groups: dict[tuple[TrayCorner | None, float | None], list[GlassEnd]] = {}
            for fibre in sorted(record.fibres):
                end = FibreEnd(cable.id, fibre, stop.id, record.side)
                bare = on.bare_mm(end) if record.length_mm is None else record.length_mm
                groups.setdefault((on.corner(end), bare), []).append(end)
            for (corner, bare), ends in groups.items():
                laid.append(on.lay("stub", ends, corner, lambda c, lane, turns: stub(on.kind, c, lane, turns), bare, 0))
    return laid
