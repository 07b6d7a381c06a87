"""What a tray map says in words: corner tags, cautions, and the texts of its lanes.

Plain strings with the places they speak of, in tray millimetres; where they stand on the page is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from math import ceil, inf

from model.entities import Cable, FibreEnd, GlassEnd
from model.glass import pieces
from model.graph import end_node
from model.lookup import tube_of
from model.parts import TrayCorner
from model.plant import Plant
from model.traypath import StoredCourse
from render.looks import ranges, tube_look
from render.sheets.layout_scene import is_drop
from render.sheets.tray_facts import Facts, capped_at_tube, group_label


@dataclass(frozen=True, slots=True)
class CornerTag:
    """What comes on at a corner, in words, with the colour of its tube (None for none)."""

    corner: TrayCorner
    text: str
    fill: str | None


def side_word(side: str) -> str:
    """The side of a cut, in words."""
    return "side A" if side == "<" else "side B"


def corner_tags(facts: Facts) -> tuple[CornerTag, ...]:
    """One tag for every corner that is used, those of the tube side first, top to bottom."""
    plant, entries, passing = facts.plant, facts.entries, facts.passing
    held: dict[str, tuple[TrayCorner, list[GlassEnd]]] = {}
    for entry in entries:
        if entry.corner is not None:
            held.setdefault(entry.corner.name, (entry.corner, []))[1].extend(entry.ends)
        if entry.corner_out is not None:
            out = [replace(end, side=">") for end in entry.ends if isinstance(end, FibreEnd)]
            held.setdefault(entry.corner_out.name, (entry.corner_out, []))[1].extend(out)
    ended = {end for entry in entries if capped_at_tube(entry) for end in entry.ends}
    transport = {stop for route in plant.routes.values() if route.transport_od_mm is not None for stop in route.stops}
    return tuple(
        CornerTag(corner, *_corner_words(plant, list(dict.fromkeys(ends)), passing, transport, ended))
        for corner, ends in sorted(held.values(), key=lambda pair: (pair[0].heading_deg, pair[0].y_mm, pair[0].name))
    )


def _corner_words(
    plant: Plant,
    ends: list[GlassEnd],
    passing: AbstractSet[str],
    transport: AbstractSet[str],
    ended: AbstractSet[GlassEnd],
) -> tuple[str, str | None]:
    fibres = [end for end in ends if isinstance(end, FibreEnd)]
    tubes: dict[tuple[Cable, int, str], list[int]] = {}
    drops: dict[str, int] = {}
    for end in fibres:
        cable = plant.cables[end.cable]
        if end.stop in passing:
            tube = tube_of(plant.cable_types[cable.type], end.fibre)[0]
            tubes.setdefault((cable, tube, end.side), []).append(end.fibre)
        else:
            drops[cable.name] = drops.get(cable.name, 0) + 1
    words: list[str] = []
    fill: str | None = None
    if len(tubes) == 1:
        ((cable, tube, side), numbers), *_ = tubes.items()
        look = tube_look(plant, cable, tube)
        words.append(f"{look.label} {side_word(side)}, {ranges(tuple(numbers))}")
        fill = look.fill
    elif len({(cable.id, tube) for cable, tube, _ in tubes}) == 1:
        (cable, tube, _), *_ = tubes
        look = tube_look(plant, cable, tube)
        words.append(f"{look.label} both sides, {ranges(tuple({n for held in tubes.values() for n in held}))}")
        fill = look.fill
    elif tubes:
        words.append(
            f"{len({(cable.id, tube) for cable, tube, _ in tubes})} tubes, {sum(map(len, tubes.values()))} fibres"
        )
    if len(drops) == 1:
        ((name, count),) = drops.items()
        words.append(f"{name}, {count} fibre{'s' if count > 1 else ''}")
    elif drops:
        tube_word = "Transport tube, " if all(e.stop in transport for e in fibres if e.stop not in passing) else ""
        words.append(f"{tube_word}{_cables(plant, fibres, passing)}")
    if len(fibres) < len(ends):
        words.append(f"{len(ends) - len(fibres)} splitter legs")
    dead = [end for end in fibres if end in ended]
    if dead:
        few = len({(end.cable, end.side) for end in dead}) == 1 and len(tubes) <= 1
        words.append(
            "capped here"
            if len(dead) == len(ends)
            else f"{ranges(tuple(end.fibre for end in dead)) if few else len(dead)} capped here"
        )
    return "; ".join(words), fill


def cautions(facts: Facts) -> tuple[str, ...]:
    """What a hand must know before it touches the tray: live services, and uncut loops beside them."""
    plant, entries, carried = facts.plant, facts.entries, facts.carried
    held = [splice for row in (*facts.rows, *facts.loose) for splice in row.splices]
    nodes = [end_node(end) for splice in held for end in (splice.a, splice.b)]
    loops = [end for entry in entries if entry.what == "loop" for end in entry.ends if isinstance(end, FibreEnd)]
    for cable_id in dict.fromkeys(end.cable for end in loops):
        cable = plant.cables[cable_id]
        stops = {stop.id: index for index, stop in enumerate(cable.stops)}
        fibres = {end.fibre: stops[end.stop] for end in loops if end.cable == cable_id}
        nodes += [
            end_node(piece.ends(cable)[0])
            for piece in pieces(cable, plant.cable_types[cable.type])
            if piece.fibre in fibres and piece.first < fibres[piece.fibre] < piece.last
        ]
    keys = dict.fromkeys(key for node in nodes for key in carried.get(node, ()))
    live = sorted(plant.services[key].name for key in keys if plant.services[key].status == "live")
    if not live:
        return ()
    shown = ", ".join(live[:4]) + (f" and {len(live) - 4} more" if len(live) > 4 else "")
    first = f"{shown} {'are' if len(live) > 1 else 'is'} LIVE on this tray. Lift the tray slowly."
    if not loops:
        return (first, "Do not pull, bend or open a joint before the owner has cleared it.")
    numbers = ranges(tuple(end.fibre for end in loops))
    return (first, f"{'Fibres' if len(loops) > 1 else 'Fibre'} {numbers} UNCUT. Do not pull the loop.")


@dataclass(frozen=True, slots=True)
class Callout:
    """A text about fibres that lie together: its lines, the first one bold, and what it speaks of."""

    lines: tuple[str, ...]
    what: str
    entry: StoredCourse


def _turns(entries: list[StoredCourse]) -> str:
    least, most = min(e.turns for e in entries), max(e.turns for e in entries)
    count = f"{least} to {most}" if least != most else f"{most}"
    return f"{count} turn{'s' if most != 1 else ''}"


def lane_callouts(facts: Facts) -> list[Callout]:
    """Each uncut loop, the tails of the outer lane, and the stubs of each corner: what matters most comes first."""
    found: list[Callout] = []
    laid = [entry for entry in facts.entries if entry.course is not None]
    for entry in laid:
        if entry.what == "loop":
            lines = (f"Middle lane: {_numbers(facts, entry.ends)}, uncut", *loop_turns(facts, entry)[1])
            found.append(Callout(lines, "loop", entry))
    tails = [entry for entry in laid if entry.what == "tail"]
    if tails:
        sides = [sum(len(e.ends) for e in tails if e.corner and e.corner.side == side) for side in ("tube", "drop")]
        count = " + ".join(str(n) for n in sides if n)
        found.append(Callout((f"Outer lane: tails, {count}", f"{_turns(tails)}, then to the slot"), "tail", tails[0]))
    by_corner: dict[str, list[StoredCourse]] = {}
    for entry in laid:
        if entry.what == "stub" and entry.corner is not None and not capped_at_tube(entry):
            by_corner.setdefault(entry.corner.name, []).append(entry)
    for entries in by_corner.values():
        ends = tuple(end for entry in entries for end in entry.ends)
        bare = min((e.bare_mm for e in entries if e.bare_mm is not None), default=inf)
        if all(entry.turns == 0 for entry in entries):
            rest = "capped, less than a turn"
        else:
            rest = f"capped, {_turns(entries)}" + (f", {bare:.0f} bare" if bare < inf and len(entries) == 1 else "")
        words = _stub_words(facts, ends)
        found.append(Callout((f"Inner lane: {words}", rest), "stub", entries[0]))
    return found


def _stub_words(facts: Facts, ends: tuple[GlassEnd, ...]) -> str:
    count = "stubs" if len(ends) > 1 else "stub"
    fibres = [end for end in ends if isinstance(end, FibreEnd)]
    sides = {end.side for end in fibres if end.stop in facts.passing}
    if len({end.cable for end in fibres}) == 1 or sides:
        side = f", {side_word(next(iter(sides)))}" if len(sides) == 1 else ""
        return f"{count} {_numbers(facts, ends)}{side}"
    return f"{len(ends)} stubs of {_cables(facts.plant, fibres)}"


def _cables(plant: Plant, ends: Iterable[FibreEnd], passing: AbstractSet[str] = frozenset()) -> str:
    """How many drops bring these ends, or cables where one of them is no drop, without those of ``passing`` stops."""
    kinds = {end.cable: plant.cable_types[plant.cables[end.cable].type] for end in ends if end.stop not in passing}
    return f"{len(kinds)} {'drops' if all(map(is_drop, kinds.values())) else 'cables'}"


def _numbers(facts: Facts, ends: tuple[GlassEnd, ...]) -> str:
    """Running numbers of fibres of one passing cable, else the group's label."""
    fibres = [end for end in ends if isinstance(end, FibreEnd)]
    if fibres and all(facts.labels[end].own and not facts.labels[end].named for end in fibres):
        return ranges(tuple(end.fibre for end in fibres))
    return facts.labels[ends[0]].text if len(ends) == 1 else group_label(facts.plant, ends, facts.labels).text


def loop_turns(facts: Facts, entry: StoredCourse) -> tuple[str, tuple[str, ...]]:
    """Turns of an uncut loop: short for its loud tag, and exact with what the next whole turn needs, in lines."""
    first = entry.ends[0]
    run = None
    if isinstance(first, FibreEnd):
        cable = facts.plant.cables[first.cable]
        tube = tube_of(facts.plant.cable_types[cable.type], first.fibre)[0]
        run = facts.runs.get((first.stop, tube))
    landing = run.on_track if run is not None else None
    if landing is None:
        return "", ("turns not known", "marks or routes are missing")
    whole = ceil(landing.turns - 1e-9)
    short = f"{landing.nearest:g}" if landing.lands else f"{landing.turns:.2f}"
    if abs(landing.turns - whole) < 0.005:
        return f"{whole} turns", (f"{whole} turns",)
    return f"{short} turns", (f"{landing.turns:.2f} turns", f"({whole} turns need {landing.next_whole_mm:.0f} mm)")


def loud_words(facts: Facts, entry: StoredCourse) -> str:
    """What the loud tag of a loop says."""
    return f"UNCUT {_numbers(facts, entry.ends)} {loop_turns(facts, entry)[0]}".strip()
