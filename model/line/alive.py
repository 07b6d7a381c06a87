"""Live services that a line works beside: in tubes it opens, on joints and trays it moves. None of them goes dark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from model.changes import ChangeSet
from model.entities import Cable, Splice, Tray
from model.graph import end_node
from model.ids import ServiceId
from model.line.context import Context, FreshCut
from model.lookup import cable_type, cut_fibres, fibres_of, work_on


def node_before(context: Context, at: FreshCut) -> str | None:
    """Node of the glass that comes to a stop from the exchange side on one fibre; None where none does."""
    cable = context.plant.cables[at.cable]
    order = next(i for i, s in enumerate(cable.stops) if s.id == at.stop)
    nodes = (f"{at.cable}:{at.fibre}@{stop.id}>" for stop in reversed(cable.stops[:order]))
    return next((node for node in nodes if node in context.continuity.graph), None)


def live_on(context: Context, nodes: Iterable[str]) -> list[ServiceId]:
    """The live services carried by these nodes, by name, each once."""
    services = context.plant.services
    keys = {key for node in nodes for key in context.carried.get(node, ()) if services[key].status == "live"}
    return sorted(keys, key=lambda key: services[key].name)


def live_beside(context: Context, changes: ChangeSet | None) -> list[ServiceId]:
    """The live services in tubes that are opened by a line, and on joints and trays that it moves, by name."""
    if changes is None:
        return []
    nodes = list(chain(_in_tubes(context, changes), _on_joints(context, changes)))
    return live_on(context, nodes) if nodes else []


def _in_tubes(context: Context, changes: ChangeSet) -> Iterator[str]:
    for change in changes.touched("cables"):
        old, new = change.old, change.new
        if not isinstance(old, Cable) or not isinstance(new, Cable):
            continue
        kind = cable_type(context.plant, old)
        before = {stop.id: stop for stop in old.stops}
        for stop in new.stops:
            held = before.get(stop.id)
            fresh = [work.tube for work in stop.tubes if held is not None and work_on(held, work.tube) is None]
            cut = cut_fibres(kind, stop) if fresh else frozenset()
            for fibre in (n for tube in fresh for n in fibres_of(kind, tube) if n not in cut):
                node = node_before(context, FreshCut(old.id, stop.id, fibre))
                if node is not None:
                    yield node


def _on_joints(context: Context, changes: ChangeSet) -> Iterator[str]:
    trays = [(c.old, c.new) for c in changes.touched("trays")]
    moved = {
        old.id for old, new in trays if isinstance(old, Tray) and isinstance(new, Tray) and old.position != new.position
    }
    for change in changes.touched("splices"):
        old, new = change.old, change.new
        if isinstance(old, Splice) and isinstance(new, Splice) and (old.tray, old.slot) != (new.tray, new.slot):
            yield end_node(old.a)
    if moved:
        yield from (end_node(s.a) for s in context.plant.splices.values() if s.tray in moved)
