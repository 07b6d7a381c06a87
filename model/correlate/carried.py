"""What glass an element holds, and which services a piece of glass carries, found by walking from that glass.

Only what is asked about is walked, so that the first question after a change costs no walk over the whole plant.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from model.correlate.one_place import splices_on, stored_on
from model.correlate.paths import TABLES, paths_of
from model.entities import Cable, FibreEnd, GlassEnd, LegEnd, Side
from model.glass import Piece
from model.graph import Continuity, Joint, end_node, node_end
from model.ids import PortId
from model.lists.source import Source
from model.lookup import cable_type, fibres_of, find_stop, looped_fibres, passes
from model.trace import service_node, trace, tree


def source_of(continuity: Continuity) -> Source:
    """The indexes of a plant, kept while nothing they are read from changes."""
    return continuity.kept(Source, *TABLES)


class _Carried:
    def __init__(self, continuity: Continuity) -> None:
        self.by_piece: dict[Piece, tuple[str, ...]] = {}


def services_on(continuity: Continuity, node: str) -> tuple[str, ...]:
    """Services not ceased whose port the light path through a node reaches, by name; also through splitters below it.

    A service on a standby feed counts on all its feeds.
    """
    known = continuity.kept(_Carried, *TABLES).by_piece
    whole = trace(continuity, node)
    splits = [i for i, step in enumerate(whole.steps) if isinstance(step.by, Joint) and step.by.kind == "splitter"]
    # Glass on the exchange side of a splitter carries more than what lies below this one leg.
    below = min((i for i in splits if i >= whole.below), default=len(whole.steps))
    above = max((i + 1 for i in splits if i < whole.below), default=0)
    own = [step.by for step in whole.steps[above:below] if isinstance(step.by, Piece)]
    if own and own[0] in known:
        return known[own[0]]
    nodes: list[str] = list(whole.nodes)
    if whole.field_kind == "branches":
        nodes += [step.end for _, below in tree(continuity.graph, whole.field) for step in below.steps]
    at = source_of(continuity).services_at
    ids = dict.fromkeys(
        service
        for port in dict.fromkeys(n.rpartition("/")[0] for n in nodes if n.endswith(("/rear", "/front")))
        for service in at.get(PortId(port), ())
    )
    if {whole.field_kind, whole.exchange_kind} <= {"port", "dark", "branches"}:
        # The whole path is the same from every node of it, so what was walked here serves its services too.
        place = {found: index for index, found in enumerate(nodes[: len(whole.nodes)])}
        for service in ids:
            start = service_node(continuity, service)
            if start in place:
                paths_of(continuity).arms(service, replace(whole, start=start, below=place[start]))
    services = continuity.plant.services
    found = tuple(sorted(ids, key=lambda s: (services[s].name, s)))
    known.update(dict.fromkeys(own, found))
    return found


def services_in(continuity: Continuity, pieces: Iterable[Piece]) -> tuple[str, ...]:
    """Services that pieces of glass carry, each once."""
    carried = services_by_piece(continuity, pieces).values()
    return tuple(dict.fromkeys(service for services in carried for service in services))


def services_by_piece(continuity: Continuity, pieces: Iterable[Piece]) -> dict[Piece, tuple[str, ...]]:
    """Services that each piece of glass carries, by name."""
    known = continuity.kept(_Carried, *TABLES).by_piece
    found: dict[Piece, tuple[str, ...]] = {}
    for piece in pieces:
        if piece not in known:
            first, _ = piece.ends(continuity.plant.cables[piece.cable])
            known[piece] = services_on(continuity, end_node(first))
        found[piece] = known[piece]
    return found


def pieces_in(continuity: Continuity, key: str) -> tuple[Piece, ...]:
    """Every piece of glass that lies in an element, uncut and dark glass too; for a joint the glass it joins."""
    return tuple(dict.fromkeys(_pieces(continuity, key)))


def nodes_in(continuity: Continuity, key: str) -> tuple[str, ...]:
    """Nodes of the graph that an element touches where it holds no glass: legs, and faces of a port."""
    kind, rest = key.split("|", 1)
    if kind == "port":
        return f"{rest}/rear", f"{rest}/front"
    if kind in ("input", "leg"):
        number, splitter = rest.split("|", 1)
        return (f"{splitter}/{'in' if kind == 'input' else 'out'}{number}",)
    if kind == "splitter":
        return tuple(f"{rest}/in{n}" for n in range(1, _inputs(continuity, rest) + 1))
    if kind == "tray":
        ends = [end for splice in splices_on(continuity.plant, rest) for end in (splice.a, splice.b)]
        bodies = [s.id for s in continuity.plant.splitters.values() if s.tray == rest]
        inputs = [node for body in bodies for node in nodes_in(continuity, f"splitter|{body}")]
        return (*(end_node(end) for end in ends if isinstance(end, LegEnd)), *inputs)
    if kind == "splice":
        splice = continuity.plant.splices[rest]
        return tuple(end_node(end) for end in (splice.a, splice.b))
    return ()


def _inputs(continuity: Continuity, splitter: str) -> int:
    body = continuity.plant.splitters[splitter]
    return continuity.plant.splitter_types[body.type].inputs


def _pieces(continuity: Continuity, key: str) -> Iterator[Piece]:
    plant, source = continuity.plant, source_of(continuity)
    kind, rest = key.split("|", 1)
    if kind == "sheath":
        cable, index = find_stop(plant, rest)
        yield from _span(source, cable, range(1, cable_type(plant, cable).fibre_count + 1), index)
    elif kind == "tube":
        tube, stop = rest.split("|", 1)
        cable, index = find_stop(plant, stop)
        yield from _span(source, cable, fibres_of(cable_type(plant, cable), int(tube)), index)
    elif kind == "tube_at":
        role, tube, stop = rest.split("|", 2)
        cable, index = find_stop(plant, stop)
        fibres: Iterable[int] = fibres_of(cable_type(plant, cable), int(tube))
        if role == "loop":
            fibres = sorted(set(fibres) & set(looped_fibres(cable_type(plant, cable), cable.stops[index])))
        yield from _span(source, cable, fibres, index if role == "exit" else index - 1)
    elif kind in ("drop", "cord"):
        cable = plant.cables[rest]
        yield from _span(source, cable, range(1, cable_type(plant, cable).fibre_count + 1), 0)
    elif kind == "fibre":
        number, stop = rest.split("|", 1)
        cable, index = find_stop(plant, stop)
        yield from _span(source, cable, (int(number),), index)
    elif kind == "tray":
        for splice in splices_on(plant, rest):
            yield from _ends(continuity, (splice.a, splice.b))
        yield from _stored(continuity, rest)
    else:
        for node in nodes_in(continuity, key):
            joined = [node_end(other) for other in continuity.graph.adj.get(node, ())]
            yield from _ends(continuity, [end for end in (node_end(node), *joined) if end is not None])


def _span(source: Source, cable: Cable, fibres: Iterable[int], index: int) -> Iterator[Piece]:
    if 0 <= index < len(cable.stops) - 1:
        for fibre in fibres:
            yield source.piece_on(cable, fibre, index)


def _ends(continuity: Continuity, ends: Iterable[GlassEnd]) -> Iterator[Piece]:
    """The piece at each end of glass that exists."""
    plant, source = continuity.plant, source_of(continuity)
    for end in ends:
        if isinstance(end, LegEnd) or end.cable not in plant.cables:
            continue
        cable = plant.cables[end.cable]
        index = next((i for i, stop in enumerate(cable.stops) if stop.id == end.stop), None)
        if index is not None and 1 <= end.fibre <= cable_type(plant, cable).fibre_count:
            yield from _span(source, cable, (end.fibre,), index if end.side == ">" else index - 1)


def _stored(continuity: Continuity, tray: str) -> Iterator[Piece]:
    """Loops and stubs that lie on a tray."""
    for cable, index, record in stored_on(continuity.plant, tray):
        side: Side = record.side or "<"
        if not passes(cable, index):
            side = ">" if index == 0 else "<"
        stop = cable.stops[index].id
        yield from _ends(continuity, [FibreEnd(cable.id, fibre, stop, side) for fibre in record.fibres])
