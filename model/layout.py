"""Routes as exact courses inside an enclosure, and the lengths a technician strips, opens, cuts and stores there.

Everything is computed from the drawn routes and the printed marks, in millimetres: sheath opening, tube lengths, bare
fibre, turns on the tray's track with their remainder, passes of the uncut tubes through the slack bay.
Nothing here judges; limits belong to ``model.rules``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf, radians
from typing import Final

from model.entities import Cable, Enclosure, Route, Splice, Stop, Support, Tray
from model.geometry.belt import Anchor, Corner, Wrap, belt
from model.geometry.belt import Support as Held
from model.geometry.course import Course
from model.geometry.errors import GeometryError
from model.geometry.loops import Landing, bay_capacity, bay_passes, landing, loop_turns, racetrack_mm
from model.geometry.segments import Arc, Straight
from model.glass import opening_m
from model.lookup import enclosure_type, looped_fibres, passes, sheaths_at, stops_at, tray_type, work_on
from model.parts import Bay, CableType, TrayType
from model.plant import Plant


def held(support: Support) -> Held:
    """A stored support as the geometry wants it."""
    if support.kind == "anchor":
        heading = None if support.heading_deg is None else radians(support.heading_deg)
        return Anchor(support.x_mm, support.y_mm, heading, support.level_mm)
    if support.kind == "corner":
        return Corner(support.x_mm, support.y_mm, support.radius_mm, support.level_mm)
    return Wrap(
        support.x_mm,
        support.y_mm,
        support.radius_mm,
        support.side,
        support.turns,
        support.level_mm,
        support.guide,
    )


def course_of(route: Route) -> Course:
    """The exact course of a route. Raises GeometryError when its supports allow none."""
    return belt([held(support) for support in route.supports])


@dataclass(frozen=True, slots=True)
class Drawn:
    """A route with its course, or with the sentence why it has none."""

    route: Route
    course: Course | None
    fault: str = ""


@lru_cache(maxsize=2048)
def draw(route: Route) -> Drawn:
    """The course of a route, or why there is none; never raises. Kept, since an edit moves one route of many."""
    try:
        return Drawn(route, course_of(route))
    except GeometryError as fault:
        return Drawn(route, None, str(fault))


def drawn_routes(plant: Plant, enclosure: str) -> tuple[Drawn, ...]:
    """Every route of an enclosure with its course, lowest level first, then by id."""
    return tuple(draw(route) for route in plant.kept(_routes_by_enclosure, "routes").get(enclosure, ()))


def _routes_by_enclosure(plant: Plant) -> dict[str, list[Route]]:
    found: dict[str, list[Route]] = {}
    for route in sorted(plant.routes.values(), key=lambda r: (r.level, r.id)):
        found.setdefault(route.enclosure, []).append(route)
    return found


TRANSPORT_BEND_MM: Final = 38.0
"""Least bend of a transport tube: the lower end of 38 to 76 mm that owners ask of tubes in enclosures."""


def is_stiff(kind: CableType) -> bool:
    """True for a cable of one stiff tube or of ribbon tubes, which may be cut back for a transport tube."""
    return kind.construction in ("central tube", "ribbon")


def tube_bend_mm(kind: CableType, route: Route) -> float:
    """Least bend that a cable's type gives for a tube on a route: a stiff one's transport tube counts in its place."""
    if route.transport_od_mm is not None and is_stiff(kind):
        return TRANSPORT_BEND_MM
    return kind.tube_bend_mm


def track_mm(kind: TrayType) -> float:
    """One turn of a tray's storage track at its least lane, P = 2a + 2b + 2*pi*R (formula F4)."""
    return racetrack_mm(kind.track_radius_mm, kind.straight_x_mm, kind.straight_y_mm)


def bay_loop_mm(bay: Bay) -> float:
    """One turn of the slack bay at its hub."""
    return racetrack_mm(bay.hub_mm, bay.straight_mm)


@dataclass(frozen=True, slots=True)
class TubeRun:
    """An opened or cut tube at a passing stop: its two ends' routes and the bare fibre between them.

    ``bare_mm`` is what the sheath opening leaves after both tube lengths; ``on_track`` says how it lands on the tray's
    track. ``need_mm`` is the bare length for the next whole turn. None where a route or a mark is missing.
    """

    cable: Cable
    stop: Stop
    tube: int
    a: Drawn | None
    b: Drawn | None
    tray: Tray | None
    opening_mm: float | None
    bare_mm: float | None
    on_track: Landing | None

    @property
    def a_mm(self) -> float | None:
        """Tube length from the exchange-side sheath end to its end on the tray."""
        return self.a.course.length_mm if self.a and self.a.course else None

    @property
    def b_mm(self) -> float | None:
        """Tube length from the field-side sheath end to its end on the tray."""
        return self.b.course.length_mm if self.b and self.b.course else None

    @property
    def cut_mm(self) -> float | None:
        """Where its fibres are cut, along the opening from the exchange-side sheath end."""
        work = work_on(self.stop, self.tube)
        if work is not None and work.cut_at_mm is not None:
            return work.cut_at_mm
        if self.opening_mm is None:
            return None
        return self.opening_mm - (self.b_mm or 0.0)


@dataclass(frozen=True, slots=True)
class ExpressRun:
    """The uncut tubes of a passing cable in a slack bay.

    ``legs_mm`` is the mean course outside the bay's loop, ``turns`` how often the rest goes round the hub,
    ``passes`` that times the number of tubes, ``capacity`` what the section holds at half fill (formula F5).
    """

    cable: Cable
    stop: Stop
    tubes: tuple[int, ...]
    bay: Bay
    routes: tuple[Drawn, ...]
    opening_mm: float | None
    legs_mm: float
    drawn_mm: float
    loop_mm: float
    turns: float | None
    passes: float | None
    capacity: int
    least_mm: float


@dataclass(frozen=True, slots=True)
class DropRun:
    """A cable that ends here: jacket removed, its course to the tray, and what is left to wind there."""

    cable: Cable
    stop: Stop
    route: Drawn | None
    tray: Tray | None
    strip_mm: float | None
    bare_mm: float | None
    on_track: Landing | None


def _route_for(drawn: tuple[Drawn, ...], stop: Stop, tube: int, side: str) -> Drawn | None:
    for item in drawn:
        route = item.route
        if route.kind == "tube" and stop.id in route.stops and tube in route.tubes and route.side == side:
            return item
    return None


def tube_runs(plant: Plant, enclosure: Enclosure, drawn: tuple[Drawn, ...] | None = None) -> list[TubeRun]:
    """Every opened or cut tube of the cables passing an enclosure, by cable and tube."""
    drawn = drawn_routes(plant, enclosure.id) if drawn is None else drawn
    runs = []
    for cable, index, stop in stops_at(plant, enclosure.site):
        if not passes(cable, index):
            continue
        metres = opening_m(stop)
        opening_mm = None if metres is None else metres * 1000.0
        for work in stop.tubes:
            a = _route_for(drawn, stop, work.tube, "<")
            b = _route_for(drawn, stop, work.tube, ">")
            tray_id = next((d.route.tray for d in (a, b) if d is not None and d.route.tray), None)
            tray = plant.trays.get(tray_id) if tray_id else None
            bare = None
            if opening_mm is not None and a and b and a.course and b.course:
                bare = opening_mm - a.course.length_mm - b.course.length_mm
            on_track = None
            if bare is not None and bare >= 0 and tray is not None:
                on_track = landing(bare, track_mm(tray_type(plant, tray)))
            runs.append(TubeRun(cable, stop, work.tube, a, b, tray, opening_mm, bare, on_track))
    return runs


def _bay_of(course: Course, bays: tuple[Bay, ...]) -> Bay | None:
    """The bay a course winds in: the one whose posts its widest-swept arc is centred on."""
    for bend in sorted(course.bends(), key=lambda b: -abs(b.sweep_rad)):
        for bay in bays:
            for post in (bay.y_mm - bay.straight_mm / 2, bay.y_mm + bay.straight_mm / 2):
                if abs(bend.arc.cx - bay.x_mm) < 0.5 and abs(bend.arc.cy - post) < 0.5:
                    return bay
    return None


def _in_bay_mm(course: Course, bay: Bay) -> float:
    """Length of a course from where it comes alongside the bay's loop to where it leaves it.

    That is between its first and its last touch of the posts, and on a racetrack also the straights beside it that
    lead up to the first and away from the last touch.
    """
    top, low = bay.y_mm - bay.straight_mm / 2, bay.y_mm + bay.straight_mm / 2
    touching = [
        number
        for number, piece in enumerate(course.segments)
        if isinstance(piece, Arc)
        and abs(piece.cx - bay.x_mm) < 0.5
        and min(abs(piece.cy - y) for y in (top, low)) < 0.5
    ]
    if not touching:
        return 0.0
    first, last = touching[0], touching[-1]
    inside = sum(piece.length_mm for piece in course.segments[first : last + 1])
    for number in (first - 1, last + 1):
        if 0 <= number < len(course.segments):
            piece = course.segments[number]
            if isinstance(piece, Straight):
                upper, lower = sorted((piece.y1, piece.y2))
                inside += max(min(lower, low) - max(upper, top), 0.0)
    return inside


def express_runs(plant: Plant, enclosure: Enclosure, drawn: tuple[Drawn, ...] | None = None) -> list[ExpressRun]:
    """The uncut tubes of each passing cable that are drawn through a slack bay, cable by cable."""
    drawn = drawn_routes(plant, enclosure.id) if drawn is None else drawn
    bays = enclosure_type(plant, enclosure).bays
    runs = []
    for cable, index, stop in stops_at(plant, enclosure.site):
        if not passes(cable, index):
            continue
        kind = plant.cable_types[cable.type]
        by_bay: dict[str, list[tuple[Drawn, Bay]]] = {}
        for item in drawn:
            route = item.route
            if route.kind == "tube" and route.side == "" and stop.id in route.stops and item.course:
                bay = _bay_of(item.course, bays)
                if bay is not None:
                    by_bay.setdefault(bay.name, []).append((item, bay))
        runs += [_express(cable, stop, kind, found) for _, found in sorted(by_bay.items())]
    return runs


def _express(cable: Cable, stop: Stop, kind: CableType, found: list[tuple[Drawn, Bay]]) -> ExpressRun:
    bay = found[0][1]
    courses = [item.course for item, _ in found if item.course]
    tubes = tuple(sorted(tube for item, _ in found for tube in item.route.tubes))
    drawn_mm = sum(course.length_mm for course in courses) / len(courses)
    legs_mm = sum(course.length_mm - _in_bay_mm(course, bay) for course in courses) / len(courses)
    loop_mm = bay_loop_mm(bay)
    metres = opening_m(stop)
    opening_mm = None if metres is None else metres * 1000.0
    stored = None if opening_mm is None else max(opening_mm - legs_mm, 0.0)
    section = bay.section_width_mm * bay.section_height_mm
    return ExpressRun(
        cable=cable,
        stop=stop,
        tubes=tubes,
        bay=bay,
        routes=tuple(item for item, _ in found),
        opening_mm=opening_mm,
        legs_mm=legs_mm,
        drawn_mm=drawn_mm,
        loop_mm=loop_mm,
        turns=None if stored is None else loop_turns(stored, loop_mm),
        passes=None if stored is None else bay_passes(len(tubes), stored, loop_mm),
        capacity=bay_capacity(section, kind.tube_od_mm or kind.od_mm),
        least_mm=min((course.tightest() or (inf,))[0] for course in courses),
    )


def drop_runs(plant: Plant, enclosure: Enclosure, drawn: tuple[Drawn, ...] | None = None) -> list[DropRun]:
    """Every cable that ends at an enclosure, with its bundle's route, by cable name."""
    drawn = drawn_routes(plant, enclosure.id) if drawn is None else drawn
    runs = []
    for cable, index, stop in sheaths_at(plant, enclosure.site):
        if passes(cable, index):
            continue
        route = next((d for d in drawn if d.route.kind == "bundle" and stop.id in d.route.stops), None)
        tray = plant.trays.get(route.route.tray) if route and route.route.tray else None
        bare = None
        if stop.strip_mm is not None and route and route.course:
            bare = stop.strip_mm - route.course.length_mm
        on_track = None
        if bare is not None and bare >= 0 and tray is not None:
            on_track = landing(bare, track_mm(tray_type(plant, tray)))
        runs.append(DropRun(cable, stop, route, tray, stop.strip_mm, bare, on_track))
    return runs


@dataclass(frozen=True, slots=True)
class TrayLoad:
    """What lies on a tray: joints by slot, uncut fibres looping through, stubs, all in fibres."""

    tray: Tray
    kind: TrayType
    joints: int
    loops: int
    stubs: int
    slots: dict[int, tuple[str, ...]]

    @property
    def stored(self) -> int:
        """Fibres the tray holds: joints, loop-through fibres and stubs together."""
        return self.joints + self.loops + self.stubs

    @property
    def sleeves(self) -> int:
        """Sleeves on it: one for every joint, but one for all joints of a slot where a sleeve holds a ribbon."""
        if self.kind.kind != "ribbon":
            return self.joints
        return len(self.slots) + self.joints - sum(len(ids) for ids in self.slots.values())

    @property
    def most(self) -> int:
        """Sleeves it takes."""
        return self.kind.slots * self.kind.per_slot


def _splices_by_tray(plant: Plant) -> dict[str, list[Splice]]:
    found: dict[str, list[Splice]] = {}
    for splice in plant.splices.values():
        if splice.tray is not None:
            found.setdefault(splice.tray, []).append(splice)
    return found


def tray_load(plant: Plant, tray: Tray) -> TrayLoad:
    """Count what a tray holds, from the splices and the storage records."""
    slots: dict[int, list[str]] = {}
    splices = plant.kept(_splices_by_tray, "splices").get(tray.id, ())
    joints = len(splices)
    for splice in splices:
        if splice.slot is not None:
            slots.setdefault(splice.slot, []).append(splice.id)
    loops = stubs = 0
    site = plant.enclosures[tray.enclosure].site
    for cable, index, stop in stops_at(plant, site):
        loose = set(looped_fibres(plant.cable_types[cable.type], stop)) if passes(cable, index) else set()
        for record in stop.stored:
            if record.tray == tray.id:
                if record.side == "":
                    loops += len(loose & set(record.fibres))
                else:
                    stubs += len(record.fibres)
    ordered = {slot: tuple(sorted(ids)) for slot, ids in sorted(slots.items())}
    return TrayLoad(tray, tray_type(plant, tray), joints, loops, stubs, ordered)
