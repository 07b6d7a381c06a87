"""The route of a plant, straightened: sites as boxes, cables as lines with their sheath lengths. Not to scale.

Each cable runs along a row from the exchange outward; a branch starts a row of its own below the site it leaves.
Several premises fed from one site are one box with their number. How a line keeps clear of boxes: ``route_ways``.
Millimetres; the window and the sheet show the same.
"""

from __future__ import annotations

import itertools
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from model.entities import Cable, Site
from model.glass import span_m
from model.lookup import cut_fibres, passes, stops_at
from model.plant import Plant
from render import style
from render.drawing import Group, LineTo, MoveTo, Part, Path, Pen, Rect, Text
from render.refs import cable_ref, site_ref
from render.route_ways import BOX_H, BOX_W, COLUMN, ROW, Cell, Way, Ways
from render.text import shorten

LIT_WIDTH = 3.0  # narrower than elsewhere: the names of the spans stand 1.8 above them
NAME, SMALL = 3.5, 2.8
"""Lettering: names, and what stands below them. Larger than on a sheet: a whole plant is seen small."""
FOLD = 3
"""More premises than this at the end of drops from one site share one box."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A site's box in the grid; ``folded`` are the premises it stands for when it stands for several."""

    key: str
    row: int
    column: int
    folded: tuple[str, ...] = ()

    @property
    def cell(self) -> Cell:
        """Row and column."""
        return self.row, self.column

    @property
    def x(self) -> float:
        """Left edge."""
        return self.column * COLUMN

    @property
    def y(self) -> float:
        """Top edge."""
        return self.row * ROW


@dataclass(frozen=True, slots=True)
class RouteGrid:
    """Where every site stands, and which box each site is in."""

    boxes: dict[str, Placed]
    box_of: dict[str, str]


def _folded(plant: Plant) -> dict[str, tuple[str, ...]]:
    """Origin site -> premises that end its drops, where there are enough to share a box."""
    ends: dict[str, list[str]] = {}
    degree: dict[str, int] = {}
    for cable in plant.cables.values():
        for stop in cable.stops:
            degree[stop.site] = degree.get(stop.site, 0) + 1
    for cable in sorted(plant.cables.values(), key=lambda c: (c.name, c.id)):
        last = plant.sites.get(cable.stops[-1].site)
        if len(cable.stops) == 2 and last is not None and last.kind == "premises" and degree[last.id] == 1:
            ends.setdefault(cable.stops[0].site, []).append(last.id)
    return {site: tuple(dict.fromkeys(found)) for site, found in ends.items() if len(found) > FOLD}


def place_sites(plant: Plant) -> RouteGrid:
    """Put every site in a row and a column: cables along rows, branches in rows of their own below."""
    folds = _folded(plant)
    box_of = {premises: f"homes:{site}" for site, found in folds.items() for premises in found}
    chains: list[list[str]] = []
    fed = {stop.site for cable in plant.cables.values() for stop in cable.stops[1:]}
    # What nothing feeds comes first, so that the exchange stands at the left and light runs to the right.
    for cable in sorted(plant.cables.values(), key=lambda c: (c.stops[0].site in fed, -len(c.stops), c.name, c.id)):
        chain = list(dict.fromkeys(box_of.get(stop.site, stop.site) for stop in cable.stops))
        if chain not in chains:
            chains.append(chain)
    boxes: dict[str, Placed] = {}
    taken: set[tuple[int, int]] = set()

    def put(key: str, row: int, column: int) -> None:
        members = folds.get(key.removeprefix("homes:"), ()) if key.startswith("homes:") else ()
        boxes[key] = Placed(key, row, column, members)
        taken.add((row, column))

    waiting = list(chains)
    while waiting:
        ready = next((c for c in waiting if any(key in boxes for key in c)), waiting[0])
        waiting.remove(ready)
        anchor = next((i for i, key in enumerate(ready) if key in boxes), None)
        if anchor is None:
            row = max((r for r, _ in taken), default=-1) + 1
            for index, key in enumerate(ready):
                put(key, row, index)
            continue
        column = boxes[ready[anchor]].column
        rest = [key for key in ready[anchor + 1 :] if key not in boxes]
        before = [key for key in ready[:anchor] if key not in boxes]
        row = boxes[ready[anchor]].row
        while any((row, column + 1 + i) in taken for i in range(len(rest))):
            row += 1
        for i, key in enumerate(rest):
            put(key, row, column + 1 + i)
        low = max((r for r, _ in taken), default=0) + 1
        for i, key in enumerate(before):
            put(key, low, i)
    for site in sorted(plant.sites.values(), key=lambda s: (s.name, s.id)):
        key = box_of.get(site.id, site.id)
        if key not in boxes:
            put(key, max((r for r, _ in taken), default=-1) + 1, 0)
    return RouteGrid(boxes, {site: box_of.get(site, site) for site in plant.sites})


def route_groups(plant: Plant, lit: AbstractSet[tuple[str, int]] = frozenset()) -> list[Group]:
    """Cables first, then the sites' boxes over them; the spans in ``lit`` (cable, stop before it) are underlaid."""
    grid = place_sites(plant)
    boxes = (_box(plant, placed) for placed in grid.boxes.values())
    ways = Ways([box.cell for box in grid.boxes.values()], _branches(plant, grid))
    return [*_underlay(plant, grid, ways, lit), *_cables(plant, grid, ways), *boxes]


def _branches(plant: Plant, grid: RouteGrid) -> list[tuple[Cell, Cell]]:
    """Every two boxes that a cable joins, in its direction."""
    found = []
    for cable in plant.cables.values():
        held = [grid.boxes[grid.box_of[stop.site]] for stop in cable.stops]
        found += [(a.cell, b.cell) for a, b in itertools.pairwise(held)]
    return list(dict.fromkeys(found))


def _underlay(plant: Plant, grid: RouteGrid, ways: Ways, lit: AbstractSet[tuple[str, int]]) -> list[Group]:
    """The light band of a traced path under its spans."""
    width, edge = LIT_WIDTH, style.BAND_TRACE[1]
    groups: list[Group] = []
    for cable in plant.cables.values():
        for index in range(len(cable.stops) - 1):
            if (cable.id, index) in lit:
                a, b = (grid.boxes[grid.box_of[cable.stops[i].site]] for i in (index, index + 1))
                pens = (Pen(style.INK, width), Pen(style.TRACE, width - 2 * edge))
                groups.append(Group(tuple(_line(ways.way(a.cell, b.cell), pen) for pen in pens), "trace"))
    return groups


def _pen(cable: Cable) -> Pen:
    if cable.status == "planned":
        return Pen(style.INK, 0.7, dash=(3.0, 1.5))
    return Pen(style.INK, 0.7 if cable.status == "done" else 0.35)


def _cables(plant: Plant, grid: RouteGrid, ways: Ways) -> list[Group]:
    groups: list[Group] = []
    folded: dict[tuple[str, str], list[Cable]] = {}
    for cable in sorted(plant.cables.values(), key=lambda c: (c.name, c.id)):
        last = grid.box_of[cable.stops[-1].site]
        if last.startswith("homes:"):
            folded.setdefault((grid.box_of[cable.stops[0].site], last), []).append(cable)
            continue
        parts: list[Part] = []
        for index in range(len(cable.stops) - 1):
            a, b = (grid.boxes[grid.box_of[cable.stops[i].site]] for i in (index, index + 1))
            length = span_m(cable, index)
            parts += _span(ways, a, b, _pen(cable), cable.name, _metres(length))
        kind = plant.cable_types[cable.type]
        groups.append(Group(tuple(parts), "cable", cable_ref(cable.id), f"{cable.name}, {kind.fibre_count} fibres"))
    for (start, end), cables in folded.items():
        parts = _span(ways, grid.boxes[start], grid.boxes[end], _pen(cables[0]), f"{len(cables)} drops", "")
        groups.append(Group(tuple(parts), "cable", cable_ref(cables[0].id), f"{len(cables)} drops"))
    return groups


def _metres(length: float | None) -> str:
    if length is None:
        return "length not known"
    return f"{length / 1000:.2f} km" if length >= 1000 else f"{length:.0f} m"


def _line(way: Way, pen: Pen) -> Path:
    (x, y), *more = way
    return Path((MoveTo(x, y), *(LineTo(*point) for point in more)), pen)


def _span(ways: Ways, a: Placed, b: Placed, pen: Pen, name: str, length: str) -> list[Part]:
    """A line between two boxes, named over the last level stretch of it."""
    left, right, y = ways.name_room(a.cell, b.cell)
    middle, room = (left + right) / 2, right - left
    parts: list[Part] = [
        _line(ways.way(a.cell, b.cell), pen),
        Text(middle, y - 1.8, shorten(name, room, NAME, "bold"), NAME, "bold", "middle"),
    ]
    if length:
        parts.append(Text(middle, y + 1.2 + SMALL, shorten(length, room, SMALL), SMALL, anchor="middle"))
    return parts


def _box(plant: Plant, placed: Placed) -> Group:
    first = plant.sites[placed.folded[0]] if placed.folded else plant.sites[placed.key]
    planned = all(_planned(plant, key) for key in (placed.folded or (placed.key,)))
    pen = Pen(style.INK, 0.5, style.PAPER, dash=(2.0, 1.2) if planned else ())
    lines = _words(plant, first, placed)
    parts: list[Part] = [Rect(placed.x, placed.y, BOX_W, BOX_H, pen, 2.0)]
    head = f"{len(placed.folded)} premises" if placed.folded else first.name
    parts.append(Text(placed.x + 3, placed.y + 7, shorten(head, BOX_W - 6, NAME, "bold"), NAME, "bold"))
    for index, line in enumerate(lines[:3]):
        parts.append(Text(placed.x + 3, placed.y + 12.5 + 4.6 * index, shorten(line, BOX_W - 6, SMALL), SMALL))
    return Group(tuple(parts), "site", site_ref(first.id), head)


def _planned(plant: Plant, site: str) -> bool:
    cables = [cable for cable, _, _ in stops_at(plant, site)]
    return bool(cables) and all(cable.status == "planned" for cable in cables)


def _words(plant: Plant, site: Site, placed: Placed) -> list[str]:
    if placed.folded:
        origin = plant.sites.get(placed.key.removeprefix("homes:"))
        return [f"on {origin.name}" if origin else "", "planned" if _planned(plant, site.id) else "connected"]
    joined = sum(splice.site == site.id for splice in plant.splices.values())
    uncut = sum(
        plant.cable_types[c.type].fibre_count - len(cut_fibres(plant.cable_types[c.type], stop))
        for c, index, stop in stops_at(plant, site.id)
        if passes(c, index)
    )
    ports = sum(port.site == site.id for port in plant.ports.values())
    work = ", ".join(text for text, number in ((f"{joined} joined", joined), (f"{uncut} uncut", uncut)) if number)
    return [
        text for text in (site.place or site.kind, work, f"{ports} port{'s' * (ports != 1)}" if ports else "") if text
    ]
