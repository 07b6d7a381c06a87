"""The tables of the layout sheet: what is cut and what is not, entries, and strip lengths along the drawn routes.

Every state comes from the plant, every length from the drawn courses and the printed marks; nothing is typed in.
Millimetres unless a column says metres. Where the tables stand is somebody else's answer.
"""

from __future__ import annotations

from collections.abc import Callable

from model.entities import Cable, FibreEnd, LegEnd, Stop
from model.geometry.loops import Landing, bay_fits
from model.layout import DropRun, TubeRun, track_mm
from model.lookup import cut_fibres, fibres_of, tray_type, work_on
from model.parts import CableType
from model.prep import opening_needed_mm, strip_needed_mm
from render.looks import ranges, tube_look
from render.sheets.layout_scene import Member, Scene
from render.sheets.layout_words import figure
from render.tableblock import Cell, Column, Table, word_cell

Row = tuple[Cell | str, ...]


def cut_table(scene: Scene, cable: Cable, kind: CableType, stop: Stop, width: float) -> Table:
    """State of every tube of a passing cable, and of the fibres of those that are opened."""
    rows: list[Row] = []
    below: list[Row] = []
    for tube in range(1, len(kind.tubes) + 1):
        look, fibres = tube_look(scene.plant, cable, tube), tuple(fibres_of(kind, tube))
        work = work_on(stop, tube)
        if work is None:
            rows.append((look.cell(), ranges(fibres), word_cell("UNCUT"), _express_place(scene, stop, tube)))
            continue
        word = "OPENED" if work.state == "opened" else "CUT"
        rows.append((look.cell(), ranges(fibres), word_cell(word), _opened_place(scene, stop, tube)))
        below += _fibre_rows(scene, cable, kind, stop, tube)
    head = f"WHAT IS CUT AND WHAT IS NOT ({cable.name}, {kind.fibre_count} F)"
    columns = (Column("Tube"), Column("Fibres"), Column("State here"), Column("Where it lies", grow=True))
    return Table(columns, (*rows, *below), width, head)


def _express_place(scene: Scene, stop: Stop, tube: int) -> str:
    for run in scene.express:
        if run.stop.id == stop.id and tube in run.tubes:
            turns = f", {figure(run.turns, 2)} turns" if run.turns is not None else ""
            return f"slack bay{turns}"
    drawn = any(stop.id in i.route.stops and tube in i.route.tubes for i in scene.drawn)
    return "through, no bay" if drawn else "not drawn"


def _opened_place(scene: Scene, stop: Stop, tube: int) -> str:
    run = next((r for r in scene.tubes if r.stop.id == stop.id and r.tube == tube), None)
    if run is None or run.tray is None:
        return "no tray drawn"
    sides = "both sides" if run.a and run.b else ("side A only" if run.a else "side B only")
    return f"to {scene.tray_name(run.tray.id)}, {sides}"


def _fibre_rows(scene: Scene, cable: Cable, kind: CableType, stop: Stop, tube: int) -> list[Row]:
    """The fibres of an opened or cut tube, runs of equal fate together: side A, side B, then what loops through."""
    cut = cut_fibres(kind, stop)
    fibres = tuple(fibres_of(kind, tube))
    rows: list[Row] = []
    for side, name in (("<", "A"), (">", "B")):
        groups: dict[tuple[str, str], list[int]] = {}
        for fibre in fibres:
            if fibre in cut:
                word, where = _fate(scene, cable, stop, fibre, side)
                groups.setdefault((f"{word}, side {name}", where), []).append(fibre)
        merged: dict[tuple[str, str], list[int]] = {}
        names: dict[str, list[str]] = {}
        for (word, where), group in groups.items():
            # Joints to drops share a row however many drops there are.
            key = (word, "" if word.startswith("CUT") else where)
            merged.setdefault(key, []).extend(group)
            names.setdefault(word, []).append(where)
        for (word, where), group in merged.items():
            where = where or _to(names[word])
            rows.append(("", ranges(tuple(group)), word_cell(word), where))
    loops: dict[str, list[int]] = {}
    for fibre in fibres:
        if fibre not in cut:
            loops.setdefault(_stored(scene, stop, fibre, ""), []).append(fibre)
    for where, group in loops.items():
        rows.append(
            ("", ranges(tuple(group)), word_cell("UNCUT"), f"loop through on {where}" if where else "loop through")
        )
    return rows


def _to(places: list[str]) -> str:
    """ "to D-01 to D-10" for many, each name for few."""
    names = list(dict.fromkeys(places))
    return f"to {', '.join(names)}" if len(names) <= 3 else f"to {names[0]} ... {names[-1]} ({len(names)} cables)"


def _fate(scene: Scene, cable: Cable, stop: Stop, fibre: int, side: str) -> tuple[str, str]:
    """(state, where) of one cut end."""
    for splice in scene.plant.splices.values():
        for end, other in ((splice.a, splice.b), (splice.b, splice.a)):
            if isinstance(end, FibreEnd) and (end.cable, end.fibre, end.stop, end.side) == (
                cable.id,
                fibre,
                stop.id,
                side,
            ):
                return "CUT", _end_name(scene, other)
    tray = _stored(scene, stop, fibre, side) or "not stored"
    return "STUB", f"{tray}, dark to {scene.far(cable, side)}"


def _end_name(scene: Scene, end: FibreEnd | LegEnd) -> str:
    if isinstance(end, FibreEnd):
        found = scene.plant.cables.get(end.cable)
        return found.name if found else end.cable
    splitter = scene.plant.splitters.get(end.splitter)
    return f"splitter {splitter.name}" if splitter else f"splitter {end.splitter}"


def _stored(scene: Scene, stop: Stop, fibre: int, side: str) -> str:
    for record in stop.stored:
        if record.side == side and fibre in record.fibres:
            return scene.tray_name(record.tray) if record.tray else "slack bay"
    return ""


def entries_table(scene: Scene, width: float) -> Table:
    """Every entry in the order it stands, plugged ones in one row at the foot."""
    rows: list[Row] = []
    idle: dict[str, list[str]] = {}
    for entry in scene.kind.entries:
        members = scene.members.get(entry.name, ())
        if not members:
            idle.setdefault("plugged" if entry.name in scene.enclosure.plugged else "open, unused", []).append(
                entry.name
            )
            continue
        shared: dict[tuple[str, str, str, str], list[str]] = {}
        for member in members:
            name = f"{member.cable.name} {member.side}" if member.passing else member.cable.name
            key = (_toward(scene, member), f"{member.kind.fibre_count} F", figure(member.kind.od_mm), _mark(member))
            shared.setdefault(key, []).append(name)
        for index, (key, names) in enumerate(shared.items()):
            rows.append((entry.name if index == 0 else "", " ".join(names), *key))
    for word, names in idle.items():
        rows.append((names[0] if len(names) == 1 else f"{len(names)} x", f"{word}: {', '.join(names)}", "", "", "", ""))
    columns = (
        Column("Entry", "middle"),
        Column("Cable", grow=True),
        Column("Toward"),
        Column("Count"),
        Column("OD mm", "end"),
        Column("Mark m", "end"),
    )
    return Table(columns, tuple(rows), width, "ENTRIES (in the order they stand)")


def _toward(scene: Scene, member: Member) -> str:
    if member.passing:
        return "exchange" if member.side == "<" else "field"
    far = member.cable.stops[-1 if member.side == ">" else 0].site
    place = scene.plant.sites.get(far)
    return place.kind if place else "elsewhere"


def _mark(member: Member) -> str:
    if member.passing:
        mark = member.stop.mark_in_m if member.side == "<" else member.stop.mark_out_m
    else:
        mark = member.stop.mark_out_m if member.stop.mark_out_m is not None else member.stop.mark_in_m
    if mark is None:
        return "none"
    return f"{mark:.2f}" if member.cable.mark_unit == "m" else f"{mark / 0.3048:.1f} ft"


def lengths_table(scene: Scene, width: float) -> Table:
    """Lengths along the drawn routes: opening, tube ends, bare fibre, turns, bay, drops."""
    rows: list[Row] = []
    put: Callable[[str, str], None] = lambda text, value: rows.append((text, value))  # noqa: E731
    many = len(scene.passing) > 1
    seen: set[str] = set()
    for run in scene.tubes:
        _opened_rows(scene, run, many, put, first=run.stop.id not in seen)
        seen.add(run.stop.id)
    for express in scene.express:
        if express.stop.id not in seen and express.opening_mm is not None:
            put(f"Sheath opening of {express.cable.name}, by marks", figure(express.opening_mm, 0))
            seen.add(express.stop.id)
        text = f"Bay turn at hub R {figure(express.bay.hub_mm)}"
        if express.turns is not None and express.passes is not None:
            count, turns = len(express.tubes), figure(express.turns, 2)
            text += f"; {count} x {turns} turns: passes {figure(express.passes)} of {express.capacity}"
            text += "" if bay_fits(express.passes, express.capacity) else ": NO ROOM"
        put(text, figure(express.loop_mm))
    _drop_rows(scene, put)
    columns = (Column("Length along the drawn route", grow=True), Column("mm", "end"))
    return Table(columns, tuple(rows), width, "STRIP LENGTHS")


def _opened_rows(scene: Scene, run: TubeRun, many: bool, put: Callable[[str, str], None], *, first: bool) -> None:
    label = tube_look(scene.plant, run.cable, run.tube).label
    if many:
        label = f"{run.cable.name} {label}"
    kind = tray_type(scene.plant, run.tray) if run.tray else None
    need = opening_needed_mm(run, kind) if kind else None
    asked = f"; routes need {figure(need, 0)}" if need is not None else ""
    if first:
        ways = f"{run.stop.entry_in}-{run.stop.entry_out}"
        marks = figure(run.opening_mm, 0) if run.opening_mm is not None else "no mark"
        put(f"Sheath opening {ways} by marks{asked}", marks)
    elif asked:
        put(f"{label}{asked}", "")
    ends = ", ".join("not drawn" if value is None else figure(value, 0) for value in (run.a_mm, run.b_mm))
    carried = any(end is not None and end.route.transport_od_mm for end in (run.a, run.b))
    what = "transport tube to the tray" if carried else "sheath end to tube end"
    put(f"{label} side A, side B: {what}", ends)
    if run.bare_mm is None:
        return
    text = f"{label} bare fibre"
    if run.on_track is not None and kind is not None:
        text += f": {_turn_words(run.on_track, run.bare_mm, track_mm(kind))}"
    elif run.bare_mm < 0:
        text += ": the tube ends are longer than the opening"
    put(text, figure(run.bare_mm, 0))


def _turn_words(land: Landing, bare_mm: float, turn_mm: float) -> str:
    """ "2.92 turns of 308.5; 3 need 925.5 (25.5 more)", or what is over where a whole turn is just passed."""
    text = f"{figure(land.turns, 2)} turns of {figure(turn_mm)}"
    if land.lands and land.nearest == int(land.nearest) and land.remainder_mm >= 0:
        return f"{text}; {figure(land.remainder_mm)} over" if land.remainder_mm > 0.5 else text
    whole = round(land.next_whole_mm / turn_mm)
    return f"{text}; {whole} need {figure(land.next_whole_mm)} ({figure(land.next_whole_mm - bare_mm)} more)"


def _tube_lengths(scene: Scene, run: DropRun) -> str:
    """Lengths of the tubes of a cable that ends here, where they run one by one to their trays."""
    lengths = [
        item.course.length_mm
        for item in scene.drawn
        if item.route.kind == "tube" and run.stop.id in item.route.stops and item.course
    ]
    if not lengths:
        return "not drawn"
    low, high = figure(min(lengths), 0), figure(max(lengths), 0)
    return low if low == high else f"{low}-{high}"


def _drop_rows(scene: Scene, put: Callable[[str, str], None]) -> None:
    """Drops whose preparation is the same share a line."""
    groups: dict[tuple[str, str, str], list[tuple[DropRun, float | None]]] = {}
    slots = {
        end.cable: splice.slot
        for splice in scene.plant.splices.values()
        for end in (splice.a, splice.b)
        if isinstance(end, FibreEnd) and splice.slot is not None
    }
    for run in scene.drops:
        course = run.route.course if run.route else None
        need = strip_needed_mm(run, tray_type(scene.plant, run.tray), slots.get(run.cable.id, 1)) if run.tray else None
        key = (
            figure(run.strip_mm, 0) if run.strip_mm is not None else "not given",
            figure(course.length_mm, 0) if course else _tube_lengths(scene, run),
            figure(run.bare_mm, 0) if run.bare_mm is not None else "",
        )
        groups.setdefault(key, []).append((run, need))
    for (strip, course_text, bare), runs in groups.items():
        names = [run.cable.name for run, _ in runs]
        who = ", ".join(names) if len(names) <= 2 else f"{names[0]} ... {names[-1]}"
        needs = [need for _, need in runs if need is not None]
        least = f", at least {figure(max(needs), 0)}" if needs else ""
        left = f", bare {bare}" if bare else ""
        put(f"{who} strip{least}; route {course_text}{left}", strip)
