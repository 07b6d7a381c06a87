"""The traced path inside one enclosure: which routes hold its glass, and the light band painted under them.

The path comes from the continuity graph by node; a node that is not in the plant shows nothing. Paper mm.
"""

from __future__ import annotations

from model.entities import Route
from model.glass import Piece
from model.graph import Continuity
from model.layout import Drawn
from model.lookup import find_stop, tube_of
from model.trace import trace
from render import style
from render.bands import steps_of
from render.drawing import Group, Part, Path, Pen
from render.sheets.layout_scene import Scene, View

EXTRA = 3.0  # how much wider the band is than what lies on it
THIN = 1.0


def traced_pieces(scene: Scene, node: str, continuity: Continuity | None = None) -> list[Piece]:
    """Pieces of glass on the path through a node; none for an unknown node. The graph is built if not given."""
    if not node:
        return []
    continuity = Continuity(scene.plant) if continuity is None else continuity
    if node not in continuity.graph:
        return []
    return [step.by for step in trace(continuity, node).steps if isinstance(step.by, Piece)]


def holds(scene: Scene, route: Route, piece: Piece) -> bool:
    """Whether a piece of glass lies in a route here."""
    for stop in route.stops:
        cable, index = find_stop(scene.plant, stop)
        if cable.id != piece.cable or not piece.first <= index <= piece.last:
            continue
        if route.kind == "bundle":
            return True
        tube, _ = tube_of(scene.plant.cable_types[cable.type], piece.fibre)
        passing = piece.first < index < piece.last
        ends_here = {"<": piece.last == index, ">": piece.first == index, "": passing}[route.side]
        return tube in route.tubes and (ends_here or passing)
    return False


def traced_routes(scene: Scene, node: str, continuity: Continuity | None = None) -> list[Drawn]:
    """Routes here that hold glass of the path through a node."""
    found = traced_pieces(scene, node, continuity)
    return [
        item
        for item in scene.drawn
        if item.course and item.route.kind != "sheath" and any(holds(scene, item.route, piece) for piece in found)
    ]


def glow(mono: bool) -> str:
    """Fill of the band: the trace's own colour, grey on mono prints."""
    return style.HARDWARE if mono else style.TRACE


def underlay(view: View, items: list[Drawn], mono: bool) -> list[Part]:
    """The band under every route of the path, edged so that a grey copy keeps it."""
    parts: list[Part] = []
    for item in items:
        if item.course:
            steps = steps_of(item.course.segments, view.k, view.ox, view.oy)
            edge, core = Pen(style.INK, THIN + EXTRA), Pen(glow(mono), THIN + EXTRA - 0.5)
            parts.append(Group((Path(steps, edge), Path(steps, core)), role="trace", title="traced path"))
    return parts
