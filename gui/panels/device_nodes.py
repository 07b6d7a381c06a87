"""Splitters with their legs and panels with their ports, as lines of the tree of parts. No widget is known here.

Only what is plugged and joined is looked up, nothing is traced: the tree is made anew after every step.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from gui.marks import State
from model.entities import LegEnd, Mating, Splice
from model.graph import end_node
from model.lists.legs import leg_state
from model.lists.naming import end_name
from model.plant import Plant
from render.refs import leg_ref, port_ref, splitter_ref

N = TypeVar("N")
MakeNode = Callable[[str, str, str, "State | None", "list[N]"], N]
"""(words, ref, second words, mark, children) to a line of the tree."""


def device_nodes(plant: Plant, site: str, marks: dict[str, State], node: MakeNode[N]) -> tuple[list[N], list[N]]:
    """(splitters, panels) of a site, each with its legs or ports below it; nothing for a site that has none."""
    return _splitters(plant, site, marks, node), _panels(plant, site, marks, node)


def _splitters(plant: Plant, site: str, marks: dict[str, State], node: MakeNode[N]) -> list[N]:
    here = sorted((s for s in plant.splitters.values() if s.site == site), key=lambda s: (s.name, s.id))
    if not here:
        return []
    users: dict[str, Splice | Mating] = {end_node(m.end): m for m in plant.matings.values()}
    for splice in plant.splices.values():
        users.update({end_node(splice.a): splice, end_node(splice.b): splice})
    found = []
    for splitter in here:
        kind = plant.splitter_types[splitter.type]
        legs = [LegEnd(splitter.id, "in", n) for n in range(1, kind.inputs + 1)]
        legs += [LegEnd(splitter.id, "out", n) for n in range(1, len(kind.legs_db) + 1)]
        children = []
        for leg in legs:
            user = users.get(end_node(leg))
            words = _joined(plant, leg, user) if user else leg_state(splitter, leg, ())
            name = f"{'Input' if leg.role == 'in' else 'Leg'} {leg.number}"
            children.append(node(name, leg_ref(splitter.id, f"{leg.role}{leg.number}"), words, None, []))
        on = sum(leg.role == "out" and end_node(leg) in users for leg in legs)
        words = f"{on} of {len(kind.legs_db)} legs" + (f", {len(splitter.parked)} parked" if splitter.parked else "")
        found.append(node(splitter.name, splitter_ref(splitter.id), words, marks.get(splitter.id), children))
    return found


def _joined(plant: Plant, leg: LegEnd, user: Splice | Mating) -> str:
    if isinstance(user, Mating):
        port = plant.ports[user.port]
        return f"{port.panel} {port.number}"
    return end_name(plant, user.b if user.a == leg else user.a).text


def _panels(plant: Plant, site: str, marks: dict[str, State], node: MakeNode[N]) -> list[N]:
    here = sorted((p for p in plant.ports.values() if p.site == site), key=lambda p: (p.panel, p.number, p.id))
    faces: dict[tuple[str, str], list[str]] = {}
    for mating in plant.matings.values() if here else ():
        faces.setdefault((mating.port, mating.face), []).append(end_name(plant, mating.end).text)
    panels: dict[str, list[N]] = {}
    used: dict[str, int] = {}
    for port in here:
        front, rear = faces.get((port.id, "front"), []), faces.get((port.id, "rear"), [])
        words = ", ".join(front or rear) or "free"
        line = node(f"{port.panel} {port.number}", port_ref(port.id), words, marks.get(port.id), [])
        panels.setdefault(port.panel, []).append(line)
        used[port.panel] = used.get(port.panel, 0) + bool(rear and (front or port.role != "panel"))
    return [
        node(f"Panel {name}", "", f"{used[name]} of {len(lines)} ports in use", None, lines)
        for name, lines in panels.items()
    ]
