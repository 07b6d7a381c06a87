"""Details of a drawn route and of a tube at a stop: where it runs, how long, how it bends, how its fibre is stored.

A proposed route can be given in place of the one in the plant, so that a drag shows the same figures while it moves.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from gui.panels.bend_limits import bend_limit, corners, support_names
from gui.panels.detail_types import BendRow, Details, Field, Row, Section, mm, rows
from gui.panels.part_nodes import swatch_of, tube_state, tube_title
from model.edits.routing import SetSupport
from model.entities import Cable, Route, Stop, Support
from model.errors import PlantError
from model.history import Edit
from model.layout import Drawn, TubeRun, draw, drawn_routes, express_runs, track_mm, tube_runs
from model.lookup import enclosure_at, fibres_of, find_stop, looped_fibres, passes, tray_type, work_on
from model.parts import CableType
from model.plant import Plant
from model.prep import opening_needed_mm
from render.looks import ranges, tube_look

SIDE = {"<": "A side", ">": "B side", "": ""}


def route_details(plant: Plant, route: Route, was: Route | None = None) -> Details:
    """Details of a route; ``was`` is the route as it lies in the plant while ``route`` is only proposed."""
    drawn = draw(route)
    title, second, swatch = _route_title(plant, route)
    length = drawn.course.length_mm if drawn.course else None
    told = "no course" if drawn.course is None else mm(length)
    if was is not None and length is not None:
        before = draw(was).course
        if before is not None and abs(before.length_mm - length) >= 0.5:
            told += f", was {before.length_mm:.0f}"
    pairs = [("Runs", _runs(plant, route)), ("Opened", _opened(plant, route)), ("Length", told)]
    pairs.append(("Level", _level(plant, route)))
    if drawn.fault:
        pairs.append(("Fault", drawn.fault))
    limit = bend_limit(plant, route)
    bends = tuple(
        BendRow(corner.name, corner.support, corner.radius_mm, limit.radius_mm if limit else None, corner.state)
        for corner in corners(plant, drawn)
    )
    return Details(
        f"route:{route.id}",
        title,
        second,
        swatch,
        (Section("", rows(*pairs)),),
        bends,
        f"limit {limit.radius_mm:g} mm, {limit.whose}" if limit else "no limit",
        route.id,
    )


def _cables(plant: Plant, route: Route) -> list[tuple[Cable, int]]:
    found = []
    for stop in route.stops:
        try:
            found.append(find_stop(plant, stop))
        except PlantError:
            continue
    return found


def _route_title(plant: Plant, route: Route) -> tuple[str, str, Any]:
    held = _cables(plant, route)
    if not held:
        return "Route", "", None
    cable = held[0][0]
    side = f", {SIDE[route.side]}" if route.side else ""
    if route.kind == "tube" and route.tubes:
        look = tube_look(plant, cable, route.tubes[0])
        names = tube_title(look, route.tubes[0])
        if len(route.tubes) > 1:
            names = f"T{ranges(route.tubes)}"
        return f"{names} of {cable.name}{side}", look.words, swatch_of(look)
    if route.kind == "sheath":
        return f"Sheath of {cable.name}{side}", plant.cable_types[cable.type].title, None
    names = cable.name if len(held) == 1 else f"{held[0][0].name} to {held[-1][0].name}"
    about = f"in a transport tube of {route.transport_od_mm:g} mm" if route.transport_od_mm else ""
    return f"Drop {names}" if len(held) == 1 else f"Drops {names}", about, None


def _runs(plant: Plant, route: Route) -> str:
    held = _cables(plant, route)
    if not held:
        return ""
    cable, index = held[0]
    stop = cable.stops[index]
    start = stop.entry_out if route.side == ">" else stop.entry_in
    start = start or stop.entry_out or stop.entry_in or "?"
    if route.kind == "sheath":
        return f"in at entry {start}"
    if route.tray and route.tray in plant.trays:
        return f"entry {start} to tray {plant.trays[route.tray].name}"
    return f"entry {start} round the bay to entry {stop.entry_out}" if route.kind == "tube" else f"entry {start}"


def _opened(plant: Plant, route: Route) -> str:
    if route.kind != "tube" or not route.tubes or not _cables(plant, route):
        return ""
    cable, index = _cables(plant, route)[0]
    kind = plant.cable_types[cable.type]
    parts = []
    for tube in route.tubes:
        bar, words = tube_state(cable, kind, index, tube)
        work = work_on(cable.stops[index], tube)
        if bar == "part" and work is not None:
            rest = tuple(sorted(set(fibres_of(kind, tube)) - set(work.cut)))
            parts.append(f"{ranges(work.cut)} cut, {ranges(rest)} looped uncut")
        else:
            parts.append(words)
    return "; ".join(dict.fromkeys(parts))


def _level(plant: Plant, route: Route) -> str:
    levels = sorted({r.level for r in plant.routes.values() if r.enclosure == route.enclosure} | {route.level})
    return f"{levels.index(route.level) + 1} of {len(levels)}, counted from the floor"


def support_rows(route: Route, index: int) -> tuple[Row, ...]:
    """Fields of one support: place, and radius and turns where it has them."""
    support = route.supports[index]
    name = support_names(route)[index]

    def field(label: str, value: float, unit: str, made: Callable[[float], Support], decimals: int = 1) -> Row:
        def make(number: float) -> Edit:
            return SetSupport(route.id, index, made(number), f"set {label.lower()} of {name}")

        return Row(label, key=label.lower(), field=Field(value, unit, make, decimals))

    found = [
        field("X", support.x_mm, "mm", lambda n: replace(support, x_mm=n)),
        field("Y", support.y_mm, "mm", lambda n: replace(support, y_mm=n)),
    ]
    if support.kind != "anchor":
        found.append(field("Radius", support.radius_mm, "mm", lambda n: replace(support, radius_mm=n), 2))
    if support.kind == "wrap":
        found.append(field("Extra turns", support.turns, "", lambda n: replace(support, turns=round(n)), 0))
    return tuple(found)


def tube_details(plant: Plant, cable: Cable, tube: int, site: str | None) -> Details:
    """Details of a tube, at the stop of a site where one is given."""
    kind = plant.cable_types[cable.type]
    look = tube_look(plant, cable, tube)
    fibres = fibres_of(kind, tube)
    about = f"{look.words}, fibres {fibres.start}-{fibres.stop - 1}"
    sections: list[Section] = []
    index = next((i for i, stop in enumerate(cable.stops) if stop.site == site), None)
    if index is not None:
        sections.append(Section("", _disposition(plant, cable, kind, index, tube)))
        sections += _run_section(plant, cable, cable.stops[index], tube)
    else:
        worked = [stop for stop in cable.stops if work_on(stop, tube)]
        names = ", ".join(plant.sites[stop.site].name for stop in worked) or "nowhere, uncut along the cable"
        sections.append(Section("", rows(("Opened at", names))))
    return Details(
        f"tube:{cable.id}:{tube}",
        f"{tube_title(look, tube)} of {cable.name}",
        about,
        swatch_of(look),
        tuple(sections),
    )


def _disposition(plant: Plant, cable: Cable, kind: CableType, index: int, tube: int) -> tuple[Row, ...]:
    stop = cable.stops[index]
    _, words = tube_state(cable, kind, index, tube)
    work = work_on(stop, tube)
    fibres = set(fibres_of(kind, tube))
    pairs = [("Here", words)]
    if work is not None:
        cut = tuple(sorted(fibres)) if work.state == "cut" else work.cut
        loops = tuple(sorted(fibres & set(looped_fibres(kind, stop)))) if passes(cable, index) else ()
        pairs += [("Cut", ranges(cut)), ("Looped uncut", ranges(loops))]
    for record in stop.stored:
        mine = tuple(sorted(fibres & set(record.fibres)))
        if mine:
            what = {"": "uncut", "<": "A side", ">": "stubs, B side"}[record.side]
            place = f"tray {plant.trays[record.tray].name}" if record.tray else "slack bay"
            pairs.append((f"Stored {ranges(mine)}", f"{what}, {place}"))
    joined = sum(
        1
        for splice in plant.splices.values()
        for end in (splice.a, splice.b)
        if getattr(end, "stop", None) == stop.id and getattr(end, "fibre", 0) in fibres
    )
    pairs.append(("Joined", f"{joined} fibre ends" if joined else ""))
    return rows(*pairs)


def _run_section(plant: Plant, cable: Cable, stop: Stop, tube: int) -> list[Section]:
    enclosure = enclosure_at(plant, stop.site)
    if enclosure is None:
        return []
    drawn: tuple[Drawn, ...] = drawn_routes(plant, enclosure.id)
    for run in tube_runs(plant, enclosure, drawn):
        if run.stop.id == stop.id and run.tube == tube:
            return [_tube_run(plant, run)]
    for express in express_runs(plant, enclosure, drawn):
        if express.stop.id == stop.id and tube in express.tubes:
            own = next((item for item in express.routes if tube in item.route.tubes), None)
            drawn_mm = own.course.length_mm if own and own.course else None
            turns = "" if express.turns is None else f"{express.turns:.2f}"
            pairs = [
                ("Opening", mm(express.opening_mm)),
                ("Drawn", mm(drawn_mm)),
                ("Turns in bay", turns),
                ("Bay loop", mm(express.loop_mm, 1)),
                ("Tightest", mm(express.least_mm, 1)),
            ]
            return [Section("In the slack bay", rows(*pairs))]
    return []


def _tube_run(plant: Plant, run: TubeRun) -> Section:
    needs = ""
    turns = remainder = ""
    if run.tray is not None:
        needed = opening_needed_mm(run, tray_type(plant, run.tray))
        needs = "" if needed is None else f"opening of {needed:.0f} mm or more"
        if run.on_track is not None:
            land = run.on_track
            turns = f"{land.turns:.2f} of {track_mm(tray_type(plant, run.tray)):.1f} mm"
            state = "lands" if land.lands else "does not land"
            remainder = f"{land.remainder_mm:+.0f} mm from {land.nearest:g} turns, {state}"
    pairs = [
        ("A side tube", mm(run.a_mm)),
        ("B side tube", mm(run.b_mm)),
        ("Opening", mm(run.opening_mm)),
        ("Bare fibre", mm(run.bare_mm)),
        ("Turns", turns),
        ("Remainder", remainder),
        ("Needs", needs),
    ]
    return Section(f"Run to tray {run.tray.name}" if run.tray else "Run", rows(*pairs))
