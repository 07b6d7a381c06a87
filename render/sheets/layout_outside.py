"""What stands outside the box: entry numbers, cable tags with arrows, and the dimension chain of the entries.

Depths are planned on paper before the scale is final, because tags that pass under one another need room. Paper mm,
y downwards; entries at the foot and top of a box get tags here, those on its flanks get labels in the gutters.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from model.parts import Entry
from render import style
from render.box import Box
from render.dims import OVERALL_STEP, dimension_chain
from render.drawing import Group, Line, Part, Text
from render.marks import arrow_head, entry_circle
from render.refs import entry_ref
from render.sheets.layout_entries import STUB, sheath_offsets
from render.sheets.layout_scene import Member, Scene, Taken, View, inward, is_drop, side_of
from render.text import shorten, text_width

CIRCLE_R = 3.0
CIRCLE_OUT = 9.0  # middle of a number, from the outline
TAG_BASE = 15.6  # first base line of a tag, from the outline
TAG_STEP = 8.6
TAG_WIDTH = 62.0
LEVELS = 4
CHAIN_GAP = 5.0
ROW_STEP = 6.6
LEFT_ROOM = 40.0  # how far a tag may reach left of the box, mm


@dataclass(frozen=True, slots=True)
class CableTag:
    """Two lines beside a sheath outside the box; ``level`` 0 stands nearest to it."""

    entry: Entry
    lines: tuple[str, str]
    level: int
    left: bool = False
    """Whether it stands left of its sheath."""


@dataclass(frozen=True, slots=True)
class Outside:
    """How deep each side reaches outside the outline, the length of each sheath there, and the tags."""

    depth: dict[str, float]
    stubs: dict[str, float]
    tags: tuple[CableTag, ...]
    beside: bool
    rows: dict[str, int]
    """Row of each entry's number, 0 nearest to the box."""
    shift: dict[str, float]
    """How much further out tags stand on each side because of further rows of numbers, mm."""


def _half(members: tuple[Member, ...], entry: Entry, k: float) -> float:
    """Half the width of an entry's sheaths on paper."""
    if not members:
        return 0.0
    return (sheath_offsets(members, entry)[-1] + max(m.kind.od_mm for m in members) / 2) * k


def _main(members: tuple[Member, ...]) -> bool:
    """Whether an entry holds a cable that passes or is no mere drop."""
    return members[0].passing or not is_drop(members[0].kind)


def tag_lines(scene: Scene, members: tuple[Member, ...]) -> tuple[str, str]:
    """What a sheath's tag says: name and count, then the far end and the direction."""
    first = members[0]
    if first.passing:
        where = "exchange" if first.side == "<" else "field"
        return f"{first.cable.name} {first.kind.fibre_count} F", f"to {scene.far(first.cable, first.side)} ({where})"
    names = [member.cable.name for member in members]
    if len(names) == 1:
        return f"{names[0]} {first.kind.fibre_count} F", f"to {scene.far(first.cable, first.side)}"
    return f"{names[0]} to {names[-1]}", f"{len(names)} cables"


def plan(scene: Scene, k: float, right: float) -> Outside:
    """Plan the outside at ``k`` paper mm per real mm; ``right`` is how far tags may pass the box's right edge."""
    stubs: dict[str, float] = {}
    depth = dict.fromkeys(("left", "right", "top", "bottom"), 0.0)
    tags: list[CableTag] = []
    rows: dict[str, int] = {}
    shift: dict[str, float] = {}
    entries = sorted(scene.kind.entries, key=lambda e: (e.x_mm, e.y_mm))
    beside = True
    for side in ("bottom", "top"):
        row = [entry for entry in entries if side_of(entry) == side]
        for a, b in itertools.pairwise(row):
            left = _half(scene.members.get(a.name, ()), a, k)
            need = left + 2 * CIRCLE_R + 1.8 + _half(scene.members.get(b.name, ()), b, k)
            beside = beside and (b.x_mm - a.x_mm) * k >= need
        found = _tags(scene, row, k, scene.kind.width_mm * k + right)
        tags += found
        deep = _number_rows(row, k, rows) * ROW_STEP
        reach = {tag.entry.name: deep + TAG_BASE + 5.2 + TAG_STEP * tag.level for tag in found}
        for entry in row:
            stubs[entry.name] = reach.get(entry.name, STUB)
        depth[side] = max([*reach.values(), deep + 13.0 if row else 0.0])
        shift[side] = deep
    if beside:
        rows, shift = {}, {}
    for side in ("left", "right"):
        flank = sorted((entry for entry in entries if side_of(entry) == side), key=lambda e: e.y_mm)
        deep = _number_rows([replace(entry, x_mm=entry.y_mm) for entry in flank], k, rows) * ROW_STEP
        stubs.update({entry.name: STUB + 2.5 + deep for entry in flank})
        depth[side] = 14.5 + deep if flank else 0.0
    return Outside(depth, stubs, tuple(tags), beside, rows, shift)


def _number_rows(row: list[Entry], k: float, rows: dict[str, int]) -> int:
    """Give each number the first row where it clears its left neighbour; returns the last row used."""
    ends: list[float] = []
    for entry in row:
        x = entry.x_mm * k
        level = next((i for i, end in enumerate(ends) if x - end >= 2 * CIRCLE_R + 0.5), len(ends))
        if level == len(ends):
            ends.append(x)
        ends[level] = x
        rows[entry.name] = level
    return max(len(ends) - 1, 0)


def _tags(scene: Scene, row: list[Entry], k: float, limit: float) -> list[CableTag]:
    """Tags from right to left: one that would run into a deeper sheath goes a step deeper itself.

    Where one drop has no room, all drops are left to the table of entries.
    """
    placed: list[tuple[float, float, int]] = []
    found: list[CableTag] = []
    first_used = next((entry for entry in row if scene.members.get(entry.name)), None)
    for drops in (False, True):
        for entry in reversed(row):
            members = scene.members.get(entry.name, ())
            if not members or _main(members) == drops:
                continue
            x = entry.x_mm * k
            start = x + _half(members, entry, k) + 4.4
            room = min(TAG_WIDTH, limit - start)
            name, far = tag_lines(scene, members)
            first, second = shorten(name, room, weight="bold"), shorten(far, room)
            end = start + max(text_width(first, weight="bold"), text_width(second))
            level = 0
            # A tag must not meet another of its own level, nor a sheath that reaches at least as deep.
            while level < LEVELS and any(
                (at < end + 1.5 and x - 2.0 < stop and one == level) or (x < at < end + 1.5 and one >= level)
                for at, stop, one in placed
            ):
                level += 1
            blocked = any(at < x < stop and one <= level for at, stop, one in placed)
            if drops and (level > 0 or blocked or room < 12.0):
                return [tag for tag in found if _main(scene.members[tag.entry.name])]
            if level > 0 and not drops and x - _half(members, entry, k) - 4.4 - (end - start) > -LEFT_ROOM:
                clear = all(not (at < x and stop > 0) for at, stop, _ in placed) and entry is first_used
                if clear:
                    placed.append((x, x, 0))
                    found.append(CableTag(entry, (first, second), 0, left=True))
                    continue
            if level == LEVELS or room < 12.0:
                continue
            placed.append((x, end, level))
            found.append(CableTag(entry, (first, second), level))
    return found


def outside_parts(scene: Scene, view: View, plan_: Outside, taken: Taken) -> list[Part]:
    """Numbers and tags, each taking its place."""
    parts: list[Part] = []
    for entry in sorted(scene.kind.entries, key=lambda e: (e.x_mm, e.y_mm)):
        side = side_of(entry)
        x, y = view.at(*inward(entry, -CIRCLE_OUT / view.k))
        if side in ("left", "right"):
            x, y = view.at(*inward(entry, -(8.0 + ROW_STEP * plan_.rows.get(entry.name, 0)) / view.k))
        elif not plan_.beside:
            way = 1.0 if side == "bottom" else -1.0
            y += way * ROW_STEP * plan_.rows.get(entry.name, 0)
        else:
            x += _half(scene.members.get(entry.name, ()), entry, view.k) + CIRCLE_R + 0.9
        parts.append(
            Group((entry_circle(x, y, entry.name),), role="entry", ref=entry_ref(scene.enclosure.id, entry.name))
        )
        taken.take(Box(x - CIRCLE_R, y - CIRCLE_R, 2 * CIRCLE_R, 2 * CIRCLE_R))
    tags = (_tag(scene, view, tag, plan_.shift.get(side_of(tag.entry), 0.0), taken) for tag in plan_.tags)
    return [*parts, *tags]


def _tag(scene: Scene, view: View, tag: CableTag, shift: float, taken: Taken) -> Part:
    entry = tag.entry
    members = scene.members[entry.name]
    x, edge = view.at(entry.x_mm, entry.y_mm)
    down = side_of(entry) == "bottom"
    out = TAG_BASE + shift + TAG_STEP * tag.level
    base = edge + out if down else edge - out - 2.0
    width = max(text_width(tag.lines[0], weight="bold"), text_width(tag.lines[1]))
    half = _half(members, entry, view.k)
    left = x - half - 4.4 - width if tag.left else x + half + 4.4
    taken.take(Box(left, base - style.H_LABEL, width, style.H_LABEL + 4.9))
    at = x - half - 2.0 if tag.left else left - 2.4
    top, low = base - style.H_LABEL, base + 4.2
    tip = (at, low, 90.0) if down else (at, top, -90.0)
    shapes: tuple[Part, ...] = (
        Line(at, top, at, low, style.LEADER),
        arrow_head(*tip),
        Text(left, base, tag.lines[0], weight="bold"),
        Text(left, base + 4.0, tag.lines[1]),
    )
    return Group(shapes, role="cable-tag", ref=f"cable:{members[0].cable.id}")


def chain_depth(scene: Scene, k: float) -> float:
    """Room the dimensions need below the outside of the box, mm on paper."""
    return CHAIN_GAP + OVERALL_STEP + 1.4 + 4.0 * _stems(scene, k)


def _row(scene: Scene) -> list[Entry]:
    return sorted((e for e in scene.kind.entries if side_of(e) == "bottom"), key=lambda e: e.x_mm)


def _stops(scene: Scene) -> list[float]:
    stops = [0.0]
    for x_mm in sorted({round(entry.x_mm, 3) for entry in _row(scene)}):
        if stops[-1] < x_mm < scene.kind.width_mm:
            stops.append(x_mm)
    return [*stops, scene.kind.width_mm]


def _gap_texts(stops: list[float]) -> list[str]:
    return [f"{b - a:.1f}".removesuffix(".0") for a, b in itertools.pairwise(stops)]


def _stems(scene: Scene, k: float) -> int:
    """How many lines of texts above the chain its narrow gaps need."""
    stops = _stops(scene)
    narrow = [(b - a) * k < text_width(t) + 0.8 for a, b, t in zip(stops, stops[1:], _gap_texts(stops), strict=False)]
    return min(3, 1 + sum(narrow[1:-1]) // 2) if any(narrow[1:-1]) else 0


def dimensions(scene: Scene, view: View, depth: float, taken: Taken) -> list[Part]:
    """The chain of the entries at the foot with the overall width, below everything else outside."""
    stops = _stops(scene)
    edge = view.at(0, scene.kind.height_mm)[1]
    at = edge + depth + CHAIN_GAP + 4.0 * _stems(scene, view.k)
    width = f"{scene.kind.width_mm:.1f}".removesuffix(".0")
    xs = [view.at(stop, 0)[0] for stop in stops]
    if len(stops) == 2:
        block = dimension_chain(xs, [width], at, edge + depth)
    else:
        block = dimension_chain(xs, _gap_texts(stops), at, edge + depth, overall=width)
    taken.take(block.box)
    return [block.group]
