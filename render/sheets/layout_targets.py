"""What the labels of the layout sheet point at, and what they say: bends against their limits, bay, clamps, seals.

The measured value stands first, the limit second, with the true sign taken from unrounded values. Targets are paper mm;
where their labels end up is ``render.labels``' answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import cos, pi, sin

from model.geometry.course import Course
from model.layout import Drawn, ExpressRun, is_stiff, tube_bend_mm
from model.lookup import find_stop
from model.parts import Entry
from render.looks import ranges, tube_look
from render.sheets.layout_courses import transports
from render.sheets.layout_entries import bonded, tie_span
from render.sheets.layout_hardware import in_work, tray_box, trays_by_depth
from render.sheets.layout_outside import plan, tag_lines
from render.sheets.layout_scene import Scene, View, inward, is_drop, side_of, spots, touches_bay
from render.sheets.layout_words import figure
from render.targets import Side, Target, limit_text
from render.text import wrap

SLACK_MM = 1e-6
Bend = tuple[float, float]  # radius in mm, place along the course in mm


def holds(radius_mm: float, limit_mm: float) -> bool:
    """Whether a bend keeps its limit; a rounding of the geometry is no fault."""
    return radius_mm >= limit_mm - SLACK_MM


def tightest(item: Drawn) -> Bend | None:
    """Radius and place of a route's tightest bend; zero radius at a kink."""
    if item.course is None:
        return None
    if item.course.kinks:
        return 0.0, item.course.kinks[0].at_mm
    found = item.course.tightest()
    return None if found is None else (found[0], found[1])


def radius_words(radius_mm: float, limit_mm: float) -> str:
    """ "R 41 ≥ 38", or plain "R 41" without a limit; a kink has no radius."""
    if radius_mm <= 0:
        return "KINK: bend it in an arc"
    return limit_text("R", radius_mm, limit_mm, holds(radius_mm, limit_mm)) if limit_mm else f"R {figure(radius_mm)}"


def _points(view: View, course: Course, first_mm: float, start: float, end: float) -> tuple[tuple[float, float], ...]:
    """The wished point, then others along the stretch."""
    step = max((end - start) / 14, 4.0)
    return (view.on(course, first_mm), *(view.on(course, s) for s in spots(start, end, step)))


def _target(key: str, points: tuple[tuple[float, float], ...], lines: tuple[str, ...], **more: object) -> Target:
    (x, y), *rest = points
    return Target(key, x, y, tuple(line for line in lines if line), alternatives=tuple(rest), **more)  # type: ignore[arg-type]


def opened(scene: Scene, view: View) -> Iterator[Target]:
    """Both ends of every opened tube, with its tightest bend; the tightest of all says so."""
    bends = [
        (b[0], item.route.id)
        for item in scene.drawn
        if item.route.kind == "tube" and item.route.side and (b := tightest(item))
    ]
    worst = min(bends)[1] if bends else ""
    for run in scene.tubes:
        kind = scene.plant.cable_types[run.cable.type]
        look = tube_look(scene.plant, run.cable, run.tube)
        first = sum(kind.tubes[: run.tube - 1]) + 1
        fibres = ranges(tuple(range(first, first + kind.tubes[run.tube - 1])))
        for side, item in (("A", run.a), ("B", run.b)):
            if item is None or item.course is None:
                continue
            bend = tightest(item)
            course = item.course
            words = radius_words(bend[0], tube_bend_mm(kind, item.route)) if bend else "straight"
            if item.route.id == worst:
                words = f"tightest tube {words}"
            place = bend[1] if bend else 0.6 * course.length_mm
            points = _points(view, course, place, 0.3 * course.length_mm, 0.95 * course.length_mm)
            od_mm = item.route.transport_od_mm
            inside = f"in a transport tube, OD {figure(od_mm)}" if od_mm else ""
            lines = (f"{look.label} {fibres}, side {side}", inside, words)
            yield _target(f"tube {item.route.id}", points, lines, end="arrow", colour=look.fill, ref=look.ref)


def express(scene: Scene, view: View) -> Iterator[Target]:
    """Each express group: its tubes, lanes against the limit, and turns."""
    for run in scene.express:
        course = _outer(run)
        if course is None:
            continue
        kind = scene.plant.cable_types[run.cable.type]
        bends = sorted(b[0] for item in run.routes if (b := tightest(item)))
        span = figure(bends[0]) if bends[-1] - bends[0] < 0.05 else f"{figure(bends[0])}-{figure(bends[-1])}"
        limit = kind.tube_bend_mm
        words = limit_text("R", span, figure(limit), holds(bends[0], limit)) if limit else f"R {span}"
        touch = touches_bay(course, run.bay)
        end = touch[0] if touch else course.length_mm / 3
        points = _points(view, course, 0.75 * end, 0.05 * end, end)
        names = f"Express {run.cable.name}" if len(scene.passing) > 1 else "Express"
        turns = f"{figure(run.turns, 2)} turns" if run.turns is not None else "turns unknown"
        numbers = ranges(run.tubes).replace("-", "-T").replace(", ", " T")
        yield _target(
            f"express {run.stop.id} {run.bay.name}",
            points,
            (f"{names} T{numbers}", words, turns),
            ref=f"stop:{run.stop.id}",
        )


def _outer(run: ExpressRun) -> Course | None:
    courses = [item.course for item in run.routes if item.course]
    return min(courses, key=lambda c: c.bbox[0], default=None)


def hardware(scene: Scene, view: View) -> Iterator[Target]:
    """Bay, clamps, rods, seals, ties, bond stud, tray stack and entry corner."""
    for bay in scene.kind.bays:
        r = bay.ring_mm * view.k
        x, y = view.at(bay.x_mm, bay.y_mm - bay.straight_mm / 2)
        points = tuple(
            (x + r * cos(a * pi / 180), y + r * sin(a * pi / 180)) for a in (200, 225, 250, 180, 315, 340, 0)
        )
        lines = ("Slack bay", f"hub R {figure(bay.hub_mm)}, ring R {figure(bay.ring_mm)}")
        yield _target(f"bay {bay.name}", points, lines)
    used = [entry for entry in scene.kind.entries if scene.members.get(entry.name)]
    mains = [entry for entry in used if scene.members[entry.name][0].passing]
    if mains:
        yield from _main_entries(scene, view, mains)
    drops = [entry for entry in used if not scene.members[entry.name][0].passing]
    if drops:
        entry = drops[-1]
        points = tuple(view.at(*inward(e, e.clamp_mm, (e.seal_max_mm + 8) * 0.3)) for e in reversed(drops))
        word = "Drop" if all(is_drop(member.kind) for member in scene.members[entry.name]) else "Cable"
        yield _target("drop clamp", points, (f"{word} clamp", f"sheath end {figure(entry.end_mm)} inside"))
        # Entries of one size speak for one another; another size has its own label.
        sizes: dict[tuple[float, float], list[Entry]] = {}
        for entry in drops:
            sizes.setdefault((entry.seal_min_mm, entry.seal_max_mm), []).append(entry)
        for alike in reversed(sizes.values()):
            points = tuple(view.at(*inward(e, 0.0, (e.seal_max_mm + 8) * 0.35)) for e in reversed(alike))
            lines = (_entry_words("Entry", alike), _seal_words(scene, alike))
            yield _target(f"seal {alike[0].name}", points, lines)
    for guide in scene.kind.guides:
        span = tie_span(scene, guide.x_mm, guide.y_mm) if guide.kind == "tie" else None
        if span:
            points = (view.at(*span[0]), view.at(*span[1]), view.at(guide.x_mm, guide.y_mm))
            yield _target("tie", points, ("Tube tie, loose", "hand-tight only"))
            break
    if scene.kind.bond_x_mm is not None and scene.kind.bond_y_mm is not None:
        names = ", ".join(entry.name for entry, _ in bonded(scene))
        point = view.at(scene.kind.bond_x_mm, scene.kind.bond_y_mm)
        yield _target("bond", (point,), ("Bond stud", f"armour {names}" if names else "no metal to bond"))
    yield from _trays(scene, view)


def _entry_words(name: str, entries: list[Entry]) -> str:
    names = [entry.name for entry in entries]
    text = ", ".join(names) if len(names) <= 3 else f"{names[0]} ... {names[-1]}"
    return f"{'Entry pair' if name == 'Entry' and len(names) == 2 and names[0][:-1] == names[1][:-1] else name} {text}"


def _seal_words(scene: Scene, entries: list[Entry]) -> str:
    low, high = max(e.seal_min_mm for e in entries), min(e.seal_max_mm for e in entries)
    sizes = sorted({m.kind.od_mm for e in entries for m in scene.members[e.name]})
    ods = figure(sizes[0]) if len(sizes) == 1 else f"{figure(sizes[0])}-{figure(sizes[-1])}"
    fits = all(e.seal_min_mm <= m.kind.od_mm <= e.seal_max_mm for e in entries for m in scene.members[e.name])
    return f"seals OD {figure(low)}-{figure(high)} for {ods}{'' if fits else ': DOES NOT FIT'}"


def _main_entries(scene: Scene, view: View, mains: list[Entry]) -> Iterator[Target]:
    first = mains[0]
    points = tuple(view.at(*inward(e, e.clamp_mm, way * (e.seal_max_mm + 8) * 0.4)) for e in mains for way in (-1, 1))
    yield _target("clamp", points, (f"Cable clamp, {first.name}", f"sheath end {figure(first.end_mm)} inside"))
    points = tuple(view.at(*inward(e, 0.0, way * (e.seal_max_mm + 8) * 0.4)) for e in mains for way in (-1, 1))
    yield _target("seal", points, (_entry_words("Entry", mains), _seal_words(scene, mains)))
    rods = [e for e in mains if e.rod_x_mm is not None and e.rod_y_mm is not None]
    if rods:
        points = tuple(view.at(e.rod_x_mm or 0.0, e.rod_y_mm or 0.0) for e in rods)
        count = scene.members[rods[0].name][0].kind.strength_members
        words = "strength member" if count == 1 else f"{count} strength members"
        yield _target("rod", points, (f"Rod anchor, {', '.join(e.name for e in rods)}", words))


def _trays(scene: Scene, view: View) -> Iterator[Target]:
    order = trays_by_depth(scene)
    if not order:
        return
    front = tray_box(scene, view, order[-1])
    if front:
        points = tuple(
            (front.right - 0.08 * front.width, front.y + share * front.height) for share in (0.75, 0.6, 0.85, 0.5)
        )
        positions = len(scene.kind.tray_positions)
        yield _target("stack", points, ("Tray stack", f"{len(order)} of {positions} places"))
    for tray in order:
        box = tray_box(scene, view, tray)
        corners = [c for c in scene.plant.tray_types[tray.type].corners if c.side == "drop"]
        if (
            box
            and corners
            and in_work(scene, tray)
            and any(i.route.tray == tray.id and i.route.kind == "bundle" for i in scene.drawn)
        ):
            points = tuple((box.x + c.x_mm * view.k - 1.5, box.y + c.y_mm * view.k) for c in corners)
            yield _target(f"corner {tray.id}", points, ("Entry corner", f"tray {tray.name}, drops"))
            break


def drops(scene: Scene, view: View) -> Iterator[Target]:
    """The tightest drop bundle against its limit, and each transport tube."""
    found: list[tuple[float, Drawn, float, float]] = []
    for item in scene.drawn:
        bend = tightest(item)
        if item.route.kind == "bundle" and bend is not None:
            limits = [
                tube_bend_mm(scene.plant.cable_types[find_stop(scene.plant, stop)[0].type], item.route)
                for stop in item.route.stops
            ]
            found.append((bend[0], item, bend[1], max(limits, default=0.0)))
    if found:
        radius, item, place, limit = min(found, key=lambda f: (f[0], f[1].route.id))
        course = item.course
        kind = scene.plant.cable_types[find_stop(scene.plant, item.route.stops[0])[0].type]
        if course is not None and not (is_stiff(kind) and item.route.transport_od_mm):
            points = _points(view, course, place, 0.05 * course.length_mm, 0.9 * course.length_mm)
            od = f" {figure(kind.tube_od_mm)}" if kind.tube_od_mm else ""
            yield _target("drop", points, (f"Drop tube{od}", radius_words(radius, limit)), end="arrow")
    for tube in transports(scene):
        middle = tube.stretch
        sharp = middle.tightest()
        words = radius_words(sharp[0], 0.0) if sharp else "straight"
        points = _points(
            view, middle, sharp[1] if sharp else middle.length_mm / 2, 0.1 * middle.length_mm, 0.9 * middle.length_mm
        )
        held = [find_stop(scene.plant, stop)[0] for item in tube.items for stop in item.route.stops]
        what = "drop" if all(is_drop(scene.plant.cable_types[cable.type]) for cable in held) else "cable"
        lines = ("Transport tube", f"OD {figure(tube.od_mm)}, {tube.count} {what}{'s' * (tube.count != 1)}", words)
        yield _target(f"transport {tube.items[0].route.id}", points, lines, end="arrow")


def sheath_bends(scene: Scene, view: View) -> Iterator[Target]:
    """The tightest drawn bend of a sheath, if any sheath bends inside."""
    found = [(b[0], item, b[1]) for item in scene.drawn if item.route.kind == "sheath" and (b := tightest(item))]
    if found:
        radius, item, place = min(found, key=lambda f: (f[0], f[1].route.id))
        limit = max(scene.plant.cable_types[find_stop(scene.plant, s)[0].type].bend_mm for s in item.route.stops)
        if item.course is not None:
            yield _target(
                "sheath", (view.on(item.course, place),), ("Sheath bend", radius_words(radius, limit)), end="arrow"
            )


def flank_tags(scene: Scene, view: View) -> Iterator[Target]:
    """Cables entering on the flanks are named in the gutters."""
    stubs = plan(scene, view.k, 0.0).stubs
    for entry in scene.kind.entries:
        members = scene.members.get(entry.name, ())
        side = side_of(entry)
        if members and side in ("left", "right"):
            wish: Side = "left" if side == "left" else "right"
            first, second = tag_lines(scene, members)
            point = view.at(*inward(entry, -(stubs[entry.name] - 0.7) / view.k))
            yield _target(f"cable {entry.name}", (point,), (f"{entry.name}: {first}", second), side=wish)


Maker = Callable[[Scene, View], Iterator[Target]]
MAKERS: tuple[Maker, ...] = (flank_tags, opened, express, drops, sheath_bends, hardware)


def targets(scene: Scene, view: View, gutters: dict[str, float]) -> list[Target]:
    """Every label, the most important first, wrapped to the gutter on its side of the box."""
    middle = view.at(scene.kind.width_mm / 2, 0)[0]
    found: list[Target] = []
    for maker in MAKERS:
        for target in maker(scene, view):
            side = target.side if target.side in ("left", "right") else ("left" if target.x < middle else "right")
            width = min(gutters.values()) if gutters else 40.0
            width = max(width, gutters.get(side, width)) if target.side else gutters.get(side, width)
            first, *rest = target.lines
            lines = (
                *wrap(first, width, weight="bold")[:2],
                *(piece for line in rest for piece in wrap(line, width)[:2]),
            )
            wished = [p for p in target.points if (p[0] < middle) == (side == "left")] or list(target.points)
            (x, y), *others = wished
            found.append(replace(target, x=x, y=y, lines=lines, alternatives=tuple(others)))
    return found
