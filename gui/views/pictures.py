"""The five views as pictures: groups for the canvas, from the same drawings as the sheets, without page furniture.

Pure functions of the plant and what is picked; a place that has nothing to show says what to do instead.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from gui.views.enclosure import as_groups, enclosure_groups
from gui.views.preview import WIDE_MM, preview_block
from gui.views.trays import tray_groups
from model.errors import PlantError
from model.glass import Piece
from model.graph import Continuity
from model.line.readback import Reading
from model.lookup import enclosure_at, trays_of
from model.plant import Plant
from model.trace import trace
from render.drawing import Drawing, Group, Line, Rect, Text, walk
from render.route_picture import route_groups
from render.sheets.options import Options
from render.sheets.path import path_sheets
from render.sheets.splices import splice_strip
from render.shifted import shifted

FURNITURE = ("page", "frame", "title-block", "revisions", "caution")
"""Groups of a sheet that a canvas does without."""
GAP = 12.0


def bare(drawings: Sequence[Drawing], ref: str) -> list[Group]:
    """The content of sheets as groups, one sheet under the other; loose shapes go under ``ref``."""
    groups: list[Group] = []
    down = 0.0
    for drawing in drawings:
        inside = [
            part
            for part in drawing.parts
            if not (isinstance(part, Group) and part.role in FURNITURE) and not _is_ground(part, drawing)
        ]
        groups += as_groups([shifted(part, 0.0, down) if down else part for part in inside], "sheet", ref)
        down += drawing.height + GAP
    return groups


def _is_ground(part: object, drawing: Drawing) -> bool:
    return isinstance(part, Rect) and part.width == drawing.width and part.height == drawing.height


def advice(*lines: str) -> list[Group]:
    """What an empty view says: what is missing and what to do."""
    texts = tuple(
        Text(0.0, 8.0 * i, line, 5.0 if i == 0 else 3.5, "bold" if i == 0 else "normal") for i, line in enumerate(lines)
    )
    return [Group(texts, role="advice")]


def route_view(continuity: Continuity, node: str = "") -> list[Group]:
    """Sites and cables, with the spans that the path of ``node`` runs through underlaid."""
    plant = continuity.plant
    lit: set[tuple[str, int]] = set()
    if node and node in continuity.graph:
        pieces = [step.by for step in trace(continuity, node).steps if isinstance(step.by, Piece)]
        lit = {(piece.cable, index) for piece in pieces for index in range(piece.first, piece.last)}
    return (
        route_groups(plant, lit)
        if plant.sites
        else advice("No site yet", "Say: add site NAME, or take a template: File, Start page")
    )


def enclosure_view(plant: Plant, site: str | None, node: str = "", continuity: Continuity | None = None) -> list[Group]:
    """The box to scale."""
    if site is None:
        if not plant.sites:
            return advice("Nothing here yet", "Say: add site NAME, then add box TYPE at SITE; or take a template")
        if not plant.enclosures:
            return advice("No box yet", "Say: add box TYPE at SITE, and add cable NAME TYPE from SITE to SITE")
        return advice("Whole plant", "Choose a place at the left of the Line to see inside its enclosure")
    try:
        return enclosure_groups(plant, site, node, continuity)
    except PlantError as fault:
        return advice(fault.message, fault.hint)


def tray_view(continuity: Continuity, site: str | None, tray: str | None, node: str, side: str = "both") -> list[Group]:
    """One tray to scale: the one picked, else the first that holds something; ``side`` as ``tray_groups`` takes it."""
    chosen = shown_tray(continuity.plant, site, tray)
    if chosen is None:
        return advice("No tray here", "Choose a place with an enclosure that has trays")
    try:
        return tray_groups(continuity, chosen, node, side)
    except PlantError as fault:
        return advice(fault.message, fault.hint)


def shown_tray(plant: Plant, site: str | None, tray: str | None) -> str | None:
    """The tray a view shows: the one asked for if it is at the place, else the first with joints, else the first."""
    enclosure = enclosure_at(plant, site) if site is not None else None
    if enclosure is None:
        return None
    trays = [t.id for t in trays_of(plant, enclosure.id)]
    if tray in trays:
        return tray
    used = {s.tray for s in plant.splices.values()}
    return next((t for t in trays if t in used), trays[0] if trays else None)


def splice_view(
    continuity: Continuity, site: str | None, node: str, unfold: bool, opened: Collection[str] = ()
) -> list[Group]:
    """Columns from the exchange to the field, with the path of ``node`` underlaid; ``opened`` ranges row by row."""
    if site is None:
        return advice("Whole plant", "Choose a place at the left of the Line to see its joints")
    try:
        parts = splice_strip(continuity, site, Options(trace=node), folded=not unfold, opened=opened)
    except PlantError as fault:
        return advice(fault.message, fault.hint)
    if not parts:
        return advice("No joints here yet", "Say: join A:1-12 to B:1-12")
    return as_groups(list(parts), "sheet", f"site:{site}")


def with_preview(plant: Plant, groups: list[Group], reading: Reading | None) -> list[Group]:
    """A dashed block above the picture with the rows a typed line would make; the picture alone without one.

    Above, because a long picture is seen from its top.
    """
    if reading is None or not reading.rows:
        return groups
    left, top, right, _ = bounds_of(groups)
    return [*groups, preview_block(plant, reading, max(left, (left + right - WIDE_MM) / 2), top - GAP / 2)]


def bounds_of(groups: Sequence[Group]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of what the shapes of a picture place, roughly: anchors and corners."""
    xs, ys = [0.0], [0.0]
    for shape, _ in walk(tuple(groups)):
        if isinstance(shape, Rect):
            xs += [shape.x, shape.x + shape.width]
            ys += [shape.y, shape.y + shape.height]
        elif isinstance(shape, Text):
            xs.append(shape.x)
            ys.append(shape.y)
        elif isinstance(shape, Line):
            xs += [shape.x1, shape.x2]
            ys += [shape.y1, shape.y2]
    return min(xs), min(ys), max(xs), max(ys)


def trace_view(continuity: Continuity, node: str) -> list[Group]:
    """The path of one fibre or service."""
    if not node or node not in continuity.graph:
        return advice("Pick a fibre, or say trace D-1:3", "Its whole path is shown here, exchange to field")
    try:
        return bare(path_sheets(continuity.plant, node, Options(), continuity), "path:")
    except PlantError as fault:
        return advice(fault.message, fault.hint)
