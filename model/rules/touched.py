"""Where an edit can have changed what a rule sees, so that one edit need not check the whole plant again.

An edit reaches the sites its entities stand at and, through the glass, every site of every path it changes. Nothing is
judged here.
"""

from __future__ import annotations

from collections import deque

from model.changes import Change, ChangeSet
from model.entities import Cable, FibreEnd, Mating, Port, Route, Splice, Splitter, Tray
from model.glass import Piece, pieces
from model.graph import Continuity, Held, end_node, node_end, port_node
from model.ids import CableId, SiteId
from model.plant import Plant

_EVERYWHERE = frozenset(
    (
        "profiles",
        "jobs",
        "acceptances",
        "schemes",
        "fibre_classes",
        "cable_types",
        "enclosure_types",
        "tray_types",
        "splitter_types",
        "sleeve_types",
    )
)


def sites_touched(plant: Plant, changes: ChangeSet, continuity: Continuity) -> frozenset[SiteId]:
    """Sites at which findings can differ after ``changes``, which are already in ``plant`` and ``continuity``.

    Besides the sites an entity stands at, a change of glass or joints reaches every site of every path through it:
    a path that no longer runs still begins at the changed node, so walking on from there finds the old one too.
    A change of part types, profiles or acceptances reaches every site.
    """
    if any(change.table in _EVERYWHERE for change in changes.changes):
        return frozenset(site.id for site in plant.sites.values())
    found: set[SiteId] = set()
    nodes: set[str] = set()
    for change in changes.changes:
        for entity in (change.old, change.new):
            found |= _own_sites(plant, entity)
        nodes |= _nodes(plant, change)
    found |= _sites_of_paths(plant, continuity, nodes)
    return frozenset(site for site in found if site in plant.sites)


def _own_sites(plant: Plant, entity: object) -> set[SiteId]:
    if isinstance(entity, Cable):
        return {stop.site for stop in entity.stops}
    if isinstance(entity, (Tray, Route)):
        enclosure = plant.enclosures.get(entity.enclosure)
        return {enclosure.site} if enclosure else set()
    if isinstance(entity, Mating):
        port = plant.ports.get(entity.port)
        return {port.site} if port else set()
    site = getattr(entity, "site", None)
    if site is not None:
        return {site}
    at = plant.ports.get(getattr(entity, "at", ""))
    if at is not None:
        return {at.site}
    return {SiteId(getattr(entity, "id", ""))}


def _nodes(plant: Plant, change: Change) -> set[str]:
    """Nodes of the graph that a change may give other edges or lengths."""
    nodes: set[str] = set()
    old, new = change.old, change.new
    if isinstance(old, Cable) and isinstance(new, Cable) and _same_glass(old, new):
        kind = plant.cable_types[new.type]
        changed = set(pieces(old, kind)) ^ set(pieces(new, kind))
        return {end_node(end) for piece in changed for cable in (old, new) for end in _ends(piece, cable)}
    for entity in (old, new):
        if isinstance(entity, Cable):
            kind = plant.cable_types[entity.type]
            nodes |= {end_node(end) for piece in pieces(entity, kind) for end in piece.ends(entity)}
        elif isinstance(entity, Splice):
            nodes |= {end_node(entity.a), end_node(entity.b)}
        elif isinstance(entity, Mating):
            nodes |= {end_node(entity.end), port_node(entity.port, entity.face)}
        elif isinstance(entity, Port):
            nodes |= {port_node(entity.id, "rear"), port_node(entity.id, "front")}
        elif isinstance(entity, Splitter):
            splitter = plant.splitter_types[entity.type]
            nodes |= {f"{entity.id}/in{n}" for n in range(1, splitter.inputs + 1)}
            nodes |= {f"{entity.id}/out{n}" for n in range(1, len(splitter.legs_db) + 1)}
        elif change.table == "services":
            at = getattr(entity, "at", "")
            nodes |= {port_node(at, "rear"), port_node(at, "front")}
    return nodes


def _same_glass(old: Cable, new: Cable) -> bool:
    """True when two states of a cable differ in nothing that a fibre's length depends on, but perhaps in cuts."""
    if old.type != new.type or len(old.stops) != len(new.stops):
        return False
    return all(
        (a.id, a.site, a.mark_in_m, a.mark_out_m, a.tail_m, a.jumps)
        == (b.id, b.site, b.mark_in_m, b.mark_out_m, b.tail_m, b.jumps)
        and [w.cut_at_mm for w in a.tubes] == [w.cut_at_mm for w in b.tubes]
        for a, b in zip(old.stops, new.stops, strict=True)
    )


def _ends(piece: Piece, cable: Cable) -> tuple[FibreEnd, ...]:
    return piece.ends(cable) if piece.last < len(cable.stops) else ()


def _sites_of_paths(plant: Plant, continuity: Continuity, nodes: set[str]) -> set[SiteId]:
    """Sites of everything that light can reach from these nodes."""
    graph = continuity.graph
    sites: set[SiteId] = set()
    seen = {node for node in nodes if node in graph}
    cables: set[tuple[CableId, int, int]] = set()
    queue = deque(seen)
    while queue:
        node = queue.popleft()
        end = node_end(node)
        if end is None:
            port = plant.ports.get(node.rpartition("/")[0])
            if port is not None:
                sites.add(port.site)
        for other, keyed in graph.adj[node].items():
            for held in keyed.values():
                by = held["data"]
                if isinstance(by, Held):
                    continue
                if isinstance(by, Piece):
                    cables.add((by.cable, by.first, by.last))
                if other not in seen:
                    seen.add(other)
                    queue.append(other)
    for cable_id, first, last in cables:
        sites |= {stop.site for stop in plant.cables[cable_id].stops[first : last + 1]}
    return sites
