"""The glass to scale: tubes at true width along their courses, halos at crossings, drops, and transport tubes.

Lower levels are painted first; an upper route lays a white ground before itself where it crosses, and nothing bends to
avoid anything. Real mm come from the courses, paper mm from the view. It must not know why a tube runs where it runs.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from model.entities import Route
from model.geometry.course import Course
from model.layout import Drawn, ExpressRun
from model.lookup import find_stop
from render import style
from render.bands import band, halo, ribbon, steps_of
from render.drawing import Group, Line, Part, Path, Pen
from render.looks import tube_look
from render.refs import route_ref
from render.remembered import Remembered
from render.sheets.layout_scene import Scene, View

LEAST_WIDTH = 0.8  # a band thinner than this shows no colour
LEAST_PITCH = 0.5  # lanes nearer than this on paper cannot be told apart
NEAR_MM = 2.0  # length of the halo on either side of a crossing, beyond the width crossed
LEAST_GROUND_MM = 4.0  # a shorter piece of ground is a speck
LEAST_SINE = 0.35  # of the angle of a crossing that gets a halo


def tube_width(view: View, od_mm: float, pitch_mm: float | None = None) -> float:
    """Width of a tube's band on paper: true where that shows, never wider than its lane allows."""
    width = max(od_mm * view.k, LEAST_WIDTH)
    # Neighbours may share one casing, not more.
    return width if pitch_mm is None else min(width, max(pitch_mm * view.k + style.W_THIN, od_mm * view.k))


def true_width(scene: Scene, view: View) -> bool:
    """Whether every tube is drawn at its true width."""
    widths = [kind.tube_od_mm for _, kind, _ in scene.passing if kind.tube_od_mm]
    return all(od * view.k >= LEAST_WIDTH for od in widths)


def lane_radii(run: ExpressRun) -> list[float]:
    """Radius of each lane of an express group about its bay, mm, ascending."""
    found = [
        min(bend.radius_mm for bend in item.course.bends())
        for item in run.routes
        if item.course and item.course.bends()
    ]
    return sorted(found)


def lane_pitch(run: ExpressRun) -> float | None:
    """Least distance of two lanes of a group, real mm; None for a single lane."""
    radii = lane_radii(run)
    return min((b - a for a, b in itertools.pairwise(radii)), default=None)


def legible(run: ExpressRun, view: View) -> bool:
    """Whether the lanes of a group stand far enough apart on paper to be coloured one by one."""
    pitch = lane_pitch(run)
    return (pitch is None or pitch * view.k >= LEAST_PITCH) and all(len(i.route.tubes) == 1 for i in run.routes)


@dataclass(frozen=True, slots=True)
class Strand:
    """One route as it is painted: its band's width and casing, and the look that fills it."""

    item: Drawn
    course: Course
    width: float
    casing: float
    part: Part


def _tube_strand(scene: Scene, view: View, item: Drawn, course: Course, plain: dict[str, float], mono: bool) -> Strand:
    route = item.route
    cable, _ = find_stop(scene.plant, route.stops[0])
    kind = scene.plant.cable_types[cable.type]
    steps = steps_of(course.segments, view.k, view.ox, view.oy)
    run = next((r for r in scene.express if any(i is item for i in r.routes)), None)
    own_mm = route.transport_od_mm or kind.tube_od_mm or kind.od_mm
    width = tube_width(view, own_mm, lane_pitch(run) if run else None)
    casing = style.W_OUTLINE if route.side and width >= 1.1 else style.W_THIN
    if len(route.tubes) != 1 or route.id in plain:
        own = len(route.tubes) * (kind.tube_od_mm + 0.4)
        width = max(plain.get(route.id, own) * view.k, LEAST_WIDTH)
        part = ribbon(steps, style.PAPER, width, style.W_THIN, route_ref(route.id))
        return Strand(item, course, width, style.W_THIN, part)
    look = tube_look(scene.plant, cable, route.tubes[0])
    part = band(
        steps,
        look.colour,
        width,
        casing,
        marks=look.marks,
        mark_colour=look.mark_colour,
        mono=mono,
        ref=look.ref,
        title=f"{look.label} {look.words}",
    )
    return Strand(item, course, width, casing, part)


def _drop_strand(view: View, item: Drawn, course: Course) -> Strand:
    steps = steps_of(course.segments, view.k, view.ox, view.oy)
    thin = item.route.transport_od_mm is not None and view.k < 0.45
    pen = Pen(style.INK, style.W_THIN if thin else style.W_BUNDLE)
    part = Group((Path(steps, pen),), role="drops", ref=route_ref(item.route.id), title="drops")
    return Strand(item, course, pen.width, 0.0, part)


def _shown(item: Drawn, plain: dict[str, float]) -> bool:
    return item.route.kind != "sheath" and item.course is not None and plain.get(item.route.id, 1.0) > 0


def as_ribbon(run: ExpressRun) -> dict[str, float]:
    """The widths of ``glass`` that show a whole express group as one ribbon along its middle lane."""
    items = sorted((i for i in run.routes if i.course), key=lambda i: (min(i.route.tubes, default=0), i.route.id))
    radii, od_mm = lane_radii(run), 2.5
    span = (radii[-1] - radii[0] if radii else 0.0) + od_mm
    middle = items[len(items) // 2].route.id
    return {item.route.id: span if item.route.id == middle else 0.0 for item in items}


def _meet(pair: tuple[Course, ...], _: float) -> list[tuple[float, float]]:
    """(mm along the first, sine of the angle) of every crossing of two courses that is steep enough for a ground."""
    upper, other = pair
    angles = [
        (c.at_mm, abs(sin(upper.heading_at(c.at_mm) - other.heading_at(c.other_mm)))) for c in upper.crossings(other)
    ]
    return [(at_mm, sine) for at_mm, sine in angles if sine > LEAST_SINE]


_met = Remembered(_meet)


def near_crossings(upper: Course, lower: Sequence[Course], width_mm: float) -> list[tuple[float, float]]:
    """Stretches of ``upper`` around its crossings with courses ``width_mm`` wide, merged where they meet, mm along it.

    Courses that merge almost in parallel need no ground: it would eat the neighbour's band.
    """
    reaches: list[tuple[float, float]] = []
    for other in lower:
        reaches += [(at_mm, (width_mm / 2 + NEAR_MM) / sine) for at_mm, sine in _met((upper, other))]
    found: list[tuple[float, float]] = []
    for s, reach in sorted(reaches):
        a, b = max(0.0, s - reach), min(upper.length_mm, s + reach)
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(b, found[-1][1]))
        else:
            found.append((a, b))
    return [kept for a, b in found if (kept := _off_neighbours(upper, lower, a, b, width_mm + NEAR_MM))]


def _off_neighbours(
    upper: Course, lower: Sequence[Course], a: float, b: float, near_mm: float
) -> tuple[float, float] | None:
    """The stretch from a to b, both ends drawn in to where no course runs beside ``upper`` within ``near_mm``.

    A ground that ends beside a neighbour looks as if the neighbour were cut there. None where nothing is left.
    """

    def beside(s: float) -> bool:
        x, y = upper.point_at(s)
        for other in lower:
            gap, at = other.distance_to(x, y)
            if gap < near_mm and abs(sin(upper.heading_at(s) - other.heading_at(at))) <= LEAST_SINE:
                return True
        return False

    while b > a and beside(b):
        b -= 1.0
    while b > a and beside(a):
        a += 1.0
    return (a, b) if b - a > LEAST_GROUND_MM else None


def stretch(course: Course, a: float, b: float) -> Course:
    """The piece of a course between two places, mm along it."""
    piece = course
    if b < piece.length_mm - 1e-6:
        piece = piece.cut(b)[0]
    if a > 1e-6:
        piece = piece.cut(a)[1]
    return piece


@dataclass(frozen=True, slots=True)
class Transport:
    """Drops that share a transport tube: their routes, and the stretch of the middle one that lies in the tube."""

    items: tuple[Drawn, ...]
    middle: Course
    start_mm: float
    od_mm: float
    count: int

    @property
    def stretch(self) -> Course:
        """The course of the tube."""
        return stretch(self.middle, self.start_mm, self.middle.length_mm)


def transports(scene: Scene) -> list[Transport]:
    """Every transport tube: routes of one outside diameter that end on one tray."""
    groups: dict[tuple[str, float], list[Drawn]] = {}
    for item in scene.drawn:
        route = item.route
        if route.kind == "bundle" and route.transport_od_mm and item.course:
            groups.setdefault((route.tray or "", route.transport_od_mm), []).append(item)
    return [_transport(items, od) for (_, od), items in sorted(groups.items())]


def _join_mm(courses: tuple[Course, ...], od_mm: float) -> float:
    """Where a tube about some courses begins, mm along the first: where the last of them has joined.

    Found by walking back from the tray while all run within the tube.
    """
    middle, *others = courses
    s = middle.length_mm
    while s > 0:
        x, y = middle.point_at(max(s - 2.0, 0.0))
        if any(course.distance_to(x, y)[0] > od_mm / 2 for course in others):
            break
        s = max(s - 2.0, 0.0)
    return s


_joined = Remembered(_join_mm)


def _transport(items: list[Drawn], od_mm: float) -> Transport:
    courses = [item.course for item in items if item.course]
    middle = sorted(courses, key=lambda c: c.end)[len(courses) // 2]
    count = sum(len(item.route.stops) for item in items)
    s = _joined((middle, *courses), od_mm)
    if len(courses) == 1:
        s = 0.15 * middle.length_mm
    return Transport(tuple(items), middle, min(s, middle.length_mm - 1.0), od_mm, count)


def glass(
    scene: Scene, view: View, plain: dict[str, float], mono: bool, traced: Collection[str] = (), glow: str = style.TRACE
) -> list[Part]:
    """Every tube and drop, lower levels first.

    ``plain`` are routes drawn as a ribbon without colours, with its width in real mm; 0 leaves the route out.
    A transport tube that holds a route of ``traced`` is filled with ``glow``, for it would hide the band under it.
    """
    parts: list[Part] = []
    below: list[Course] = []
    widest = 0.0
    tubes = transports(scene)
    levels = sorted({item.route.level for item in scene.drawn})
    for level in levels:
        items = [i for i in scene.drawn if i.route.level == level and _shown(i, plain)]
        strands = [
            _tube_strand(scene, view, i, i.course, plain, mono)
            if i.route.kind == "tube"
            else _drop_strand(view, i, i.course)
            for i in items
            if i.course
        ]
        for strand in strands:
            for a, b in near_crossings(strand.course, below, widest / view.k):
                piece = stretch(strand.course, a, b)
                parts.append(halo(steps_of(piece.segments, view.k, view.ox, view.oy), strand.width))
        for tube in tubes:
            if any(any(i is t for t in tube.items) for i in items):
                held = any(i.route.id in traced for i in tube.items)
                parts += _transport_parts(view, tube, glow if held else style.PAPER)
        parts += [strand.part for strand in strands]
        parts += [end for strand in strands if strand.item.route.side for end in _end_bar(view, strand)]
        below += [strand.course for strand in strands]
        widest = max([widest, *(strand.width for strand in strands)])
    return parts


def _transport_parts(view: View, tube: Transport, fill: str) -> list[Part]:
    steps = steps_of(tube.stretch.segments, view.k, view.ox, view.oy)
    spread = (len(tube.items) - 1) * 1.6
    width = max(tube.od_mm * view.k, spread * view.k + 1.4, 1.6)
    return [halo(steps, width), ribbon(steps, fill, width, style.W_OUTLINE)]


def _end_bar(view: View, strand: Strand) -> list[Part]:
    """A bar across the end of an opened or cut tube."""
    x, y = view.on(strand.course, strand.course.length_mm)
    a = strand.course.heading_at(strand.course.length_mm) + pi / 2
    half = strand.width / 2 + 0.7
    return [Line(x - half * cos(a), y - half * sin(a), x + half * cos(a), y + half * sin(a), style.TUBE_END)]


def faults(scene: Scene) -> list[str]:
    """Routes that cannot be drawn, in words."""
    return [f"{_words(item.route)} is not drawn: {item.fault}" for item in scene.drawn if item.course is None]


def _words(route: Route) -> str:
    return f"Route {route.id}"
