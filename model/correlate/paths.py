"""Which elements each service runs over, arm by arm, as keys; kept on the continuity until the plant changes.

An *arm* is one way from the customer to an exchange port. A splitter with several fed inputs, and a port in a ring that
reaches an exchange from both its faces, give a service several: it goes dark only when every arm is hit, since the
equipment changes over by itself (common practice, no source). A way that reaches no exchange port is no arm, unless
there is nothing better: an unfinished record still tells what the customer hangs on. A second port at the customer is
another service, with observations of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from model.entities import Cable
from model.glass import Piece
from model.graph import Continuity, Joint
from model.lookup import cable_type, cut_fibres, passes, stays_inside, tube_of, work_on
from model.plant import Plant
from model.trace import Step, Trace, service_node, trace, walk, ways_on

Arm = tuple[str, ...]
MOST_ARMS = 16
"""Ways to an exchange followed for one service; cascades of many double inputs would give ever more."""

TABLES = ("services", "ports", "sites", "cables", "splices", "splitters", "trays", "splitter_types", "cable_types")
"""Tables that paths are read from beside the graph."""


def paths_of(continuity: Continuity) -> Paths:
    """The paths of a continuity, kept while nothing they were read from changes."""
    return continuity.kept(Paths, *TABLES)


class Paths:
    """Arms of services, worked out one service at a time as they are asked for."""

    def __init__(self, continuity: Continuity) -> None:
        self._continuity = continuity
        self._plant = continuity.plant
        self._arms: dict[str, tuple[Arm, ...]] = {}
        self._ends: dict[str, tuple[str, ...]] = {}
        self._chunks: dict[tuple[str, int, int, int], tuple[str, ...]] = {}
        self._tubes: dict[str, list[int]] = {}
        self._whole: dict[str, str] = {}
        self._looped: dict[str, dict[int, str]] = {}

    def arms(self, service: str, whole: Trace | None = None) -> tuple[Arm, ...]:
        """Keys of each arm of a service, customer first; none where nothing is recorded at its port.

        ``whole`` is the trace from its port, where somebody has it already.
        """
        found = self._arms.get(service)
        if found is None:
            ways = arms_of(self._continuity, service, whole)
            own = f"port|{self._plant.services[service].at}"
            found = tuple(dict.fromkeys(tuple(dict.fromkeys((own, *self._keys(way)))) for way in ways))
            self._arms[service] = found
        return found

    def feeds(self, splitter: str) -> tuple[Arm, ...]:
        """Keys of each way from a splitter to an exchange, one for every fed input and more where those part again."""
        ways = _upward(self._continuity, (), f"{splitter}/out1")
        fed = [way for way, end in ways if at_exchange(self._plant, end)]
        return tuple(tuple(dict.fromkeys(self._keys(way))) for way in fed[:MOST_ARMS])

    def hit(self, service: str, keys: frozenset[str]) -> tuple[bool, bool]:
        """(every arm of a service is hit by one of these elements, at least one is)."""
        hits = [not keys.isdisjoint(arm) for arm in self.arms(service)]
        return bool(hits) and all(hits), any(hits)

    def _keys(self, steps: tuple[Step, ...]) -> Iterator[str]:
        for step in steps:
            by = step.by
            if isinstance(by, Piece):
                keys = self.piece_keys(by)
                yield from keys if step.start.endswith("<") else reversed(keys)
            elif by.kind == "splice":
                yield f"splice|{by.id}"
                yield from _on_tray(self._plant.splices[by.id].tray)
            elif by.kind == "splitter":
                ends = [_leg_key(node) for node in (step.start, step.end)]
                body = self._plant.splitters[by.id]
                several = self._plant.splitter_types[body.type].inputs > 1
                yield from (ends[0], *([f"splitter|{by.id}"] if several else []), ends[1])
                yield from _on_tray(body.tray)
            elif by.kind == "plug":
                yield f"port|{self._plant.matings[by.id].port}"
            else:
                yield f"port|{by.id}"

    def piece_keys(self, piece: Piece) -> tuple[str, ...]:
        """Keys of everything a piece of glass lies in, itself included, from its field-side end inward."""
        cable = self._plant.cables[piece.cable]
        fibre = f"fibre|{piece.fibre}|{cable.stops[piece.first].id}"
        whole = self._whole.get(cable.id)
        if whole is None:
            whole = self._whole[cable.id] = whole_key(self._plant, cable)
        if whole:
            return fibre, whole
        tubes = self._tubes.get(cable.type)
        if tubes is None:
            kind = cable_type(self._plant, cable)
            tubes = self._tubes[cable.type] = [t for t, size in enumerate(kind.tubes, start=1) for _ in range(size)]
        tube = tubes[piece.fibre - 1]
        known = (cable.id, tube, piece.first, piece.last)
        chunk = self._chunks.get(known)
        if chunk is None:
            chunk = self._chunks[known] = tuple(self._chunk(cable, tube, piece.first, piece.last))
        if piece.last - piece.first == 1:
            return fibre, *chunk
        keys = [fibre]
        index = piece.last
        for key in chunk:
            keys.append(key)
            if key.startswith("sheath|"):
                index -= 1
            elif key.startswith("tube_at|loop|") and (tray := self._loop_trays(cable, index).get(piece.fibre)):
                keys.append(f"tray|{tray}")
        return tuple(keys)

    def _chunk(self, cable: Cable, tube: int, first: int, last: int) -> Iterator[str]:
        """Keys that every piece of a tube between two stops shares."""
        stops = cable.stops
        yield f"tube_at|entry|{tube}|{stops[last].id}"
        for index in range(last - 1, first - 1, -1):
            stop = stops[index]
            yield f"sheath|{stop.id}"
            yield f"tube|{tube}|{stop.id}"
            if index == first:
                yield f"tube_at|exit|{tube}|{stop.id}"
            elif work_on(stop, tube) is None:
                yield f"tube_at|express|{tube}|{stop.id}"
            else:
                if self.goes_on(cable, index, tube):
                    yield f"tube_at|exit|{tube}|{stop.id}"
                yield f"tube_at|loop|{tube}|{stop.id}"
                yield f"tube_at|entry|{tube}|{stop.id}"

    def goes_on(self, cable: Cable, index: int, tube: int) -> bool:
        """Whether a fibre of a tube cut at a passing stop is joined to something on its field side."""
        kind, stop = cable_type(self._plant, cable), cable.stops[index]
        cut = (fibre for fibre in cut_fibres(kind, stop) if tube_of(kind, fibre)[0] == tube)
        graph = self._continuity.graph
        return any(ways_on(graph, f"{cable.id}:{fibre}@{stop.id}>", "outside") for fibre in cut)

    def _loop_trays(self, cable: Cable, index: int) -> Mapping[int, str]:
        """Tray on which each uncut fibre of a passing stop is recorded as stored."""
        stop = cable.stops[index]
        found = self._looped.get(stop.id)
        if found is None:
            found = self._looped[stop.id] = {
                fibre: record.tray
                for record in (stop.stored if passes(cable, index) else ())
                if record.side == "" and record.tray in self._plant.trays
                for fibre in record.fibres
                if record.tray is not None
            }
        return found


def whole_key(plant: Plant, cable: Cable) -> str:
    """Key of a cable that counts as one element: a drop straight to premises, a cord within a site; empty for others.

    Only a cable of one tube does; another has spans and tubes that fail one by one.
    """
    if len(cable.stops) != 2 or len(cable_type(plant, cable).tubes) != 1:
        return ""
    if stays_inside(cable):
        return f"cord|{cable.id}"
    site = plant.sites.get(cable.stops[-1].site)
    return f"drop|{cable.id}" if site is not None and site.kind == "premises" else ""


def _on_tray(tray: str | None) -> tuple[str, ...]:
    return (f"tray|{tray}",) if tray else ()


def _leg_key(node: str) -> str:
    splitter, _, leg = node.rpartition("/")
    return f"input|{leg[2:]}|{splitter}" if leg.startswith("in") else f"leg|{leg[3:]}|{splitter}"


def at_exchange(plant: Plant, node: str) -> bool:
    """True for a face of a port at an exchange, or of equipment that is not at a customer's."""
    port = plant.ports.get(node.rpartition("/")[0]) if node.endswith(("/rear", "/front")) else None
    if port is None:
        return False
    site = plant.sites.get(port.site)
    kind = site.kind if site else ""
    return bool(kind == "exchange" or (port.role == "equipment" and kind != "premises"))


def arms_of(continuity: Continuity, service: str, whole: Trace | None = None) -> tuple[tuple[Step, ...], ...]:
    """The steps of every arm of a service, customer first; the best there is where none reaches an exchange port."""
    start = service_node(continuity, service)
    if start not in continuity.graph:
        return ()
    if whole is None:
        whole = trace(continuity, start)
    up = whole.steps[whole.below :]
    other = tuple(step.reversed() for step in reversed(whole.steps[: whole.below]))
    own = continuity.plant.services[service].at
    ways = [*_upward(continuity, up, whole.exchange), *_upward(continuity, other, whole.field)]
    fed = [way for way, end in ways if at_exchange(continuity.plant, end) and end.rpartition("/")[0] != own]
    if fed:
        return tuple(fed[:MOST_ARMS])
    return (ways[0][0],)


def _upward(continuity: Continuity, steps: tuple[Step, ...], end: str) -> list[tuple[tuple[Step, ...], str]]:
    """(steps, last node) of every way on from ``end`` through the inputs of splitters seen from below."""
    found: list[tuple[tuple[Step, ...], str]] = []
    open_ways = [(steps, end)]
    while open_ways and len(found) < 4 * MOST_ARMS:
        way, end = open_ways.pop(0)
        onward = ways_on(continuity.graph, end, "inside") if end.rpartition("/")[2].startswith("out") else []
        inputs = [
            (node, by)
            for node, by in onward
            if isinstance(by, Joint) and by.kind == "splitter" and all(step.start != end for step in way)
        ]
        if not inputs:
            found.append((way, end))
        for node, by in inputs:
            above = walk(continuity.graph, node, "outside")
            open_ways.append(((*way, Step(end, node, by), *above.steps), above.end))
    return found
