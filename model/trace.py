"""Walking the continuity graph: from any fibre, port or leg to both ends of its light path, through every joint.

Every node has an inside (the glass of a fibre end, the ways through a splitter, the pair across a port) and an outside
(a splice or a plug); a walk takes them in turn. It ends at dark ends, at ports with nothing plugged, at splitter inputs
seen from above (they branch), at an end used twice, and at a place already visited (a ring). What a step costs or
is called is somebody else's answer (``model.optics``, ``render``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from model.glass import Piece
from model.graph import HELD_DATA, Continuity, Graph, Joint, port_node

EndKind = Literal["port", "dark", "branches", "ring", "crossed"]
Way = Literal["inside", "outside"]


@dataclass(frozen=True, slots=True)
class Step:
    """One move of the walk: across glass (``Piece``) or a joint, from one node to the next."""

    start: str
    end: str
    by: Piece | Joint

    def reversed(self) -> Step:
        """The same step walked the other way."""
        return Step(self.end, self.start, self.by)


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk from a node until it ends: ``end`` is the last node, ``kind`` says why it ended there."""

    steps: tuple[Step, ...]
    end: str
    kind: EndKind


@dataclass(frozen=True, slots=True)
class Trace:
    """The whole light path through a node, ``steps`` running from its field end to its exchange end.

    ``below`` is how many of the steps lie on the field side of ``start``.
    """

    start: str
    steps: tuple[Step, ...]
    field: str
    field_kind: EndKind
    exchange: str
    exchange_kind: EndKind
    below: int

    @property
    def nodes(self) -> tuple[str, ...]:
        """Every node on the path, from the field end to the exchange end."""
        return (self.field, *(step.end for step in self.steps))


INSIDE = ("pair", "splitter")
"""Joints that lie inside a thing; splices and plugs lie between things."""


Ways = list[tuple[str, "Piece | Joint"]]


def both_ways(graph: Graph, node: str) -> tuple[Ways, Ways]:
    """(inside, outside) of a node as ``ways_on`` gives them, found in one look."""
    inside: Ways = []
    outside: Ways = []
    # The bare adjacency, as networkx's own algorithms read it: its views cost three quarters of a trace.
    adjacent = graph._adj.get(node, {})  # type: ignore[attr-defined]  # absent from the stubs
    for other, keyed in adjacent.items():
        for data in keyed.values():
            if data is HELD_DATA:
                continue
            by = data["data"]
            kind = type(by)
            if kind is Piece:
                inside.append((other, by))
            elif kind is Joint:
                (inside if by.kind in INSIDE else outside).append((other, by))
    if len(inside) > 1:
        inside.sort(key=_stable)
    if len(outside) > 1:
        outside.sort(key=_stable)
    return inside, outside


def _stable(way: tuple[str, Piece | Joint]) -> tuple[str, str]:
    return way[0], repr(way[1])


def ways_on(graph: Graph, node: str, way: Way) -> Ways:
    """(next node, what leads there) on one side of a node, in a stable order; empty for an unknown node."""
    return both_ways(graph, node)[way != "inside"]


def walk(graph: Graph, node: str, way: Way) -> Walk:
    """Walk from ``node``, by its inside or its outside first, until the path ends, branches or closes on itself."""
    steps: list[Step] = []
    seen = {node}
    outward = way == "outside"
    ways = both_ways(graph, node)
    while True:
        onward = ways[outward]
        if not onward:
            return Walk(tuple(steps), node, "port" if node.endswith(("/rear", "/front")) else "dark")
        if len(onward) > 1:
            split = all(isinstance(by, Joint) and by.kind == "splitter" for _, by in onward)
            return Walk(tuple(steps), node, "branches" if split else "crossed")
        other, by = onward[0]
        steps.append(Step(node, other, by))
        if other in seen:
            return Walk(tuple(steps), other, "ring")
        ways = both_ways(graph, other)
        if outward and len(ways[1]) > 1:
            # Reached at an end used twice: going on would follow one of its two joints and hide the other.
            return Walk(tuple(steps), other, "crossed")
        seen.add(other)
        node = other
        outward = not outward


def _upward(way: Walk) -> tuple[int, int]:
    """(splitters, glass) saying that a walk leads toward the exchange, less those saying that it leads away."""
    splitters = glass = 0
    for step in way.steps:
        if isinstance(step.by, Piece):
            glass += 1 if step.start.endswith("<") else -1
        elif step.by.kind == "splitter":
            splitters += 1 if _is_output(step.start) else -1
    if way.kind == "branches":
        splitters += 1 if _is_output(way.end) else -1
    return splitters, glass


def _is_output(leg: str) -> bool:
    return leg.rpartition("/")[2].startswith("out")


def _inside_is_up(inside: Walk, outside: Walk) -> bool:
    """Whether the exchange lies at the end of ``inside``: by the splitters, else by most of the cables on the path.

    The whole path is asked, so that the answer is the same from every node of it, also past a cable laid backwards.
    """
    one, two = _upward(inside), _upward(outside)
    if one != two:
        return one > two
    return inside.end <= outside.end


def trace(continuity: Continuity, node: str) -> Trace:
    """The light path through ``node`` both ways, toward the exchange through any splitter above it.

    A path that branches below the node has ``field_kind`` "branches": ``tree`` goes on from there. In a ring the path
    is cut at the node it closes on. Raises KeyError for a node that is not in the graph.
    """
    graph = continuity.graph
    if node not in graph:
        raise KeyError(node)
    inside = walk(graph, node, "inside")
    closed = inside.kind == "ring" and inside.end == node
    outside = Walk((), node, "ring") if closed else walk(graph, node, "outside")
    up, down = (inside, outside) if _inside_is_up(inside, outside) else (outside, inside)
    steps = (*(step.reversed() for step in reversed(down.steps)), *up.steps)
    return Trace(node, steps, down.end, down.kind, up.end, up.kind, len(down.steps))


def tree(graph: Graph, node: str, depth: int = 0) -> Iterator[tuple[int, Walk]]:
    """Every walk below a splitter input, leg by leg, with its depth; goes on through cascades. Each leg once."""
    stack = [(depth, node)]
    seen: set[str] = set()
    while stack:
        level, top = stack.pop(0)
        for leg, _ in ways_on(graph, top, "inside"):
            if leg in seen:
                continue
            seen.add(leg)
            below = walk(graph, leg, "outside")
            yield level, below
            if below.kind == "branches" and below.end not in seen:
                seen.add(below.end)
                stack.append((level + 1, below.end))


def service_node(continuity: Continuity, service: str) -> str:
    """The node a service is traced from: the front of its port."""
    return port_node(continuity.plant.services[service].at, "front")


def services_by_node(continuity: Continuity) -> dict[str, tuple[str, ...]]:
    """For every node that carries a service not ceased: the ids of the services, by name. Not to be altered.

    Each service is traced up from its port, through every splitter; where a splitter has several inputs, up each.
    """
    return continuity.kept(_services_by_node, "services")


def _services_by_node(continuity: Continuity) -> dict[str, tuple[str, ...]]:
    carried: dict[str, list[str]] = {}
    plant = continuity.plant
    for service in sorted(plant.services.values(), key=lambda s: (s.name, s.id)):
        if service.status == "ceased" or service_node(continuity, service.id) not in continuity.graph:
            continue
        for node in path_nodes(continuity, service_node(continuity, service.id)):
            carried.setdefault(node, []).append(service.id)
    return {node: tuple(ids) for node, ids in carried.items()}


def path_nodes(continuity: Continuity, node: str) -> tuple[str, ...]:
    """Every node on the way from ``node`` to the exchange and to its field end, each once."""
    whole = trace(continuity, node)
    found = dict.fromkeys(whole.nodes)
    tops = [whole.exchange] if whole.exchange_kind == "branches" else []
    while tops:
        for upper, _ in ways_on(continuity.graph, tops.pop(), "inside"):
            if upper in found:
                continue
            above = walk(continuity.graph, upper, "outside")
            found.update(dict.fromkeys((upper, *(step.end for step in above.steps))))
            if above.kind == "branches" and _is_output(above.end):
                tops.append(above.end)
    return tuple(found)
