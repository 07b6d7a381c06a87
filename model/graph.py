"""The continuity graph: one networkx MultiGraph derived from the plant and kept in step by every change set.

Nodes are strings: fibre ends (``cable:fibre@stop<``), splitter legs (``splitter/in1``), the two faces of a port
(``port/rear``), and the things that hold them (``tube|cable|2``, ``cable|id``, ``tray|id``, ``site|id``). The key of an
edge says what it is; its ``data`` is a typed value:

* ``glass``: one uncut piece of fibre, however many stops it passes (``model.glass.Piece``);
* a splice, mating, port or splitter id: a joint (``Joint``);
* ``held``: the first node is held by the second (``Held``).

Kept beside the graph: which edges each entity gave it, and what others worked out of it until it changes.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal, TypeVar

import networkx as nx

from model.changes import ChangeSet
from model.entities import Cable, FibreEnd, GlassEnd, LegEnd, Mating, Port, Splice, Splitter, Tray
from model.glass import Piece, pieces
from model.lookup import tube_of
from model.plant import Entity, Plant

JointKind = Literal["splice", "plug", "pair", "splitter"]


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint of two nodes: a splice, a plug in a port, a mated pair across a port, or a way through a splitter."""

    kind: JointKind
    id: str


@dataclass(frozen=True, slots=True)
class Held:
    """Containment: the first node lies in the second."""


T = TypeVar("T")
Payload = Piece | Joint | Held
EdgeKey = tuple[str, str, str]
if TYPE_CHECKING:
    Graph = nx.MultiGraph[str]
else:
    Graph = nx.MultiGraph  # generic only to the type checker

_HELD = Held()
HELD_DATA: Final = {"data": _HELD}
"""Attributes of every edge that says "held": one dictionary for all, since nothing ever writes into it."""
_FIBRE_END = re.compile(r"(.+?):(\d+)@(.*)([<>])", re.DOTALL)  # a stop's id may hold "@" itself
_SOURCES = ("cables", "splices", "matings", "ports", "splitters", "trays", "enclosures")
_TYPES = {"cable_types": "cables", "splitter_types": "splitters"}


def end_node(end: GlassEnd) -> str:
    """Node of a fibre end or splitter leg."""
    if isinstance(end, FibreEnd):
        return f"{end.cable}:{end.fibre}@{end.stop}{end.side}"
    return f"{end.splitter}/{end.role}{end.number}"


def node_end(node: str) -> GlassEnd | None:
    """The fibre end or splitter leg of a node; None for ports and holders."""
    if match := _FIBRE_END.fullmatch(node):
        cable, fibre, stop, side = match.groups()
        return FibreEnd(cable, int(fibre), stop, side)  # type: ignore[arg-type]  # the ids inside a node are ids
    head, _, leg = node.rpartition("/")
    for role in ("in", "out"):
        if leg.startswith(role) and leg[len(role) :].isdigit():
            return LegEnd(head, role, int(leg[len(role) :]))  # type: ignore[arg-type]
    return None


def port_node(port: str, face: Literal["rear", "front"]) -> str:
    """Node of one face of a port."""
    return f"{port}/{face}"


def tube_node(cable: str, tube: int) -> str:
    """Node of a tube of a cable."""
    return f"tube|{cable}|{tube}"


def holder_node(kind: Literal["cable", "tray", "enclosure", "site"], key: str) -> str:
    """Node of a thing that holds others."""
    return f"{kind}|{key}"


def _edges_of(plant: Plant, entity: Entity) -> dict[EdgeKey, Payload]:
    """Edges one entity gives the graph; an entity whose type is missing gives none (the file check names it)."""
    edges: dict[EdgeKey, Payload] = {}
    if isinstance(entity, Cable):
        kind = plant.cable_types.get(entity.type)
        if kind is None:
            return edges
        for tube in range(1, len(kind.tubes) + 1):
            edges[tube_node(entity.id, tube), holder_node("cable", entity.id), "held"] = _HELD
        tubes = [tube_node(entity.id, t) for t, count in enumerate(kind.tubes, start=1) for _ in range(count)]
        starts = [f"@{stop.id}>" for stop in entity.stops]
        ends = [f"@{stop.id}<" for stop in entity.stops]
        for piece in pieces(entity, kind):
            head = f"{entity.id}:{piece.fibre}"
            first = head + starts[piece.first]
            edges[first, head + ends[piece.last], "glass"] = piece
            edges[first, tubes[piece.fibre - 1], "held"] = _HELD
    elif isinstance(entity, Splice):
        a = end_node(entity.a)
        edges[a, end_node(entity.b), entity.id] = Joint("splice", entity.id)
        holder = holder_node("tray", entity.tray) if entity.tray else holder_node("site", entity.site)
        edges[a, holder, "held"] = _HELD
    elif isinstance(entity, Mating):
        face = port_node(entity.port, entity.face)
        edges[end_node(entity.end), face, entity.id] = Joint("plug", entity.id)
    elif isinstance(entity, Port):
        rear, front = port_node(entity.id, "rear"), port_node(entity.id, "front")
        edges[rear, front, entity.id] = Joint("pair", entity.id)
        edges[rear, holder_node("site", entity.site), "held"] = _HELD
    elif isinstance(entity, Splitter):
        kind_s = plant.splitter_types.get(entity.type)
        if kind_s is None:
            return edges
        for i in range(1, kind_s.inputs + 1):
            for leg in range(1, len(kind_s.legs_db) + 1):
                edges[f"{entity.id}/in{i}", f"{entity.id}/out{leg}", entity.id] = Joint("splitter", entity.id)
        edges[f"{entity.id}/in1", holder_node("site", entity.site), "held"] = _HELD
    elif isinstance(entity, Tray):
        edges[holder_node("tray", entity.id), holder_node("enclosure", entity.enclosure), "held"] = _HELD
    else:
        site = getattr(entity, "site", None)
        if site:
            edges[holder_node("enclosure", entity.id), holder_node("site", site), "held"] = _HELD
    return edges


class Continuity:
    """The graph of one plant. ``update`` keeps it equal to what a fresh build would give."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.graph: Graph = nx.MultiGraph()
        self._owned: dict[tuple[str, str], dict[EdgeKey, Payload]] = {}
        self._uses: dict[EdgeKey, int] = {}
        self._version = 0
        self._kept: dict[Callable[[Continuity], Any], tuple[tuple[int, ...], Any]] = {}
        # Half a million small objects that all live on: looking for garbage among them only costs time.
        collecting = gc.isenabled()
        gc.disable()
        try:
            self._build()
        finally:
            if collecting:
                gc.enable()

    def _build(self) -> None:
        """Fill the empty graph, straight into the adjacency that MultiGraph documents: three times faster than
        edge by edge. A test holds the result against ``add_edge``."""
        uses, owned = self._uses, self._owned
        nodes, adjacent = self.graph._node, self.graph._adj  # type: ignore[attr-defined]  # absent from the stubs
        for table in _SOURCES:
            for entity in self.plant.table(table).values():
                edges = _edges_of(self.plant, entity)
                if edges:
                    owned[table, entity.id] = edges
                for edge, payload in edges.items():
                    u, v, key = edge
                    if u not in adjacent:
                        adjacent[u] = {}
                        nodes[u] = {}
                    if v not in adjacent:
                        adjacent[v] = {}
                        nodes[v] = {}
                    near = adjacent[u]
                    data = HELD_DATA if payload is _HELD else {"data": payload}
                    if v not in near:
                        near[v] = adjacent[v][u] = {key: data}
                    elif edge in uses:
                        uses[edge] += 1
                        continue
                    else:
                        near[v][key] = data
                    uses[edge] = 1

    def _own(self, table: str, key: str, new: dict[EdgeKey, Payload]) -> None:
        old = self._owned.pop((table, key), {})
        for edge, payload in old.items():
            if new.get(edge) != payload:
                self._drop(edge)
        for edge, payload in new.items():
            if old.get(edge) != payload:
                self._take(edge, payload)
        if new:
            self._owned[table, key] = new

    def _take(self, edge: EdgeKey, payload: Payload) -> None:
        # Two splices of one end on one tray both say "held": count, so that removing one keeps the other's edge.
        uses = self._uses.get(edge, 0)
        self._version += 1
        if uses == 0:
            self.graph.add_edge(edge[0], edge[1], key=edge[2], data=payload)
            if payload is _HELD:
                self.graph._adj[edge[0]][edge[1]][edge[2]] = HELD_DATA  # type: ignore[attr-defined]
        else:
            self._uses[edge] = uses + 1
            return
        self._uses[edge] = 1

    def _drop(self, edge: EdgeKey) -> None:
        uses = self._uses[edge] - 1
        self._version += 1
        if uses:
            self._uses[edge] = uses
            return
        del self._uses[edge]
        u, v, key = edge
        self.graph.remove_edge(u, v, key=key)
        for node in {u, v}:
            if self.graph.degree(node) == 0:
                self.graph.remove_node(node)

    def update(self, changes: ChangeSet) -> None:
        """Bring the graph in step with a plant that ``changes`` has just been written into."""
        stale: dict[tuple[str, str], Entity | None] = {}
        for change in changes.changes:
            if change.table in _SOURCES:
                stale[change.table, change.id] = change.new
            elif change.table in _TYPES:
                users = _TYPES[change.table]
                for entity in self.plant.table(users).values():
                    if entity.type == change.id:
                        stale[users, entity.id] = entity
        for (table, key), entity in stale.items():
            self._own(table, key, {} if entity is None else _edges_of(self.plant, entity))

    def kept(self, work: Callable[[Continuity], T], *tables: str) -> T:
        """``work`` of this graph, done again only after an edge or one of ``tables`` changed; not to be altered."""
        stamp = (self._version, *self.plant.version(*tables))
        found = self._kept.get(work)
        if found is None or found[0] != stamp:
            found = self._kept[work] = (stamp, work(self))
        value: T = found[1]
        return value

    def edges(self) -> dict[tuple[frozenset[str], str], Payload]:
        """Every edge by its two nodes and key: what two graphs are compared by."""
        return {(frozenset((u, v)), key): held["data"] for u, v, key, held in self.graph.edges(keys=True, data=True)}

    def ends_of_fibre(self, cable: Cable, fibre: int) -> list[str]:
        """Nodes of a fibre's pieces, exchange-side end first, from the exchange outward."""
        kind = self.plant.cable_types[cable.type]
        tube = tube_node(cable.id, tube_of(kind, fibre)[0])
        prefix = f"{cable.id}:{fibre}@"
        order: dict[str, int] = {stop.id: index for index, stop in enumerate(cable.stops)}
        starts = [node for node in self.graph.adj[tube] if node.startswith(prefix)]
        return sorted(starts, key=lambda node: order[node[len(prefix) : -1]])
