"""From a reference to the node of the continuity graph it means, for everything that starts at one fibre."""

from __future__ import annotations

from model.errors import RefError
from model.graph import Continuity, end_node, node_end, port_node
from model.lookup import passes
from model.refs import CableRef, PortRef, Ref, ServiceRef, TrayRef, parse_ref
from model.trace import service_node


def node_of(continuity: Continuity, text: str) -> str:
    """The node a reference text names; raises RefError when it names none, or more than one piece of glass."""
    return node_of_ref(continuity, parse_ref(continuity.plant, text), text)


def node_of_ref(continuity: Continuity, ref: Ref, text: str = "") -> str:
    """The node a reference means. ``text`` is how it was written, for the message."""
    plant = continuity.plant
    if isinstance(ref, ServiceRef):
        return service_node(continuity, ref.service)
    if isinstance(ref, PortRef):
        return port_node(ref.port, "front")
    if isinstance(ref, TrayRef):
        return _slot_node(continuity, ref, text)
    if isinstance(ref, CableRef):
        return _fibre_node(continuity, ref, text)
    name = plant.sites[ref.site].name
    raise RefError(f"{name} is a whole site", hint="Name a fibre, a port, a slot or a service: CABLE:FIBRE")


def _slot_node(continuity: Continuity, ref: TrayRef, text: str) -> str:
    plant = continuity.plant
    tray = plant.trays[ref.tray]
    if len(ref.slots) != 1:
        raise RefError(f"{text or tray.name} is not one slot", hint="Say SITE/TRAY/SLOT with one slot number")
    found = [s for s in plant.splices.values() if s.tray == ref.tray and s.slot == ref.slots[0]]
    if not found:
        used = sorted({s.slot for s in plant.splices.values() if s.tray == ref.tray and s.slot is not None})
        hint = f"Slots in use: {', '.join(map(str, used[:8]))}" if used else "The tray holds no joint"
        raise RefError(f"slot {ref.slots[0]} of tray {tray.name} is empty", hint=hint)
    return end_node(min(found, key=lambda s: s.id).a)


def _fibre_node(continuity: Continuity, ref: CableRef, text: str) -> str:
    plant = continuity.plant
    cable = plant.cables[ref.cable]
    if len(ref.fibres) != 1:
        raise RefError(f"{text or cable.name} is not one fibre", hint=f"Say one: {cable.name}:1")
    fibre = ref.fibres[0]
    starts = continuity.ends_of_fibre(cable, fibre)
    if ref.site is None:
        if len(starts) == 1 or ref.side == "<":
            return starts[0]
        if ref.side == ">":
            return starts[-1]
        cuts = [plant.sites[_site(continuity, node)].name for node in starts[1:]]
        raise RefError(
            f"{cable.name}:{fibre} is cut at {', '.join(cuts)}",
            hint=f"Say which side: {cable.name}:{fibre}@{cuts[0]}< toward the exchange, > toward the field",
        )
    index = next(i for i, stop in enumerate(cable.stops) if stop.site == ref.site)
    stop = cable.stops[index]
    here = [f"{cable.id}:{fibre}@{stop.id}{side}" for side in "<>"]
    found = [node for node in here if node in continuity.graph]
    if len(found) == 2:
        if ref.side is None:
            place = plant.sites[stop.site].name
            raise RefError(
                f"{cable.name}:{fibre} is cut at {place}",
                hint=f"Say which side: {cable.name}:{fibre}@{place}< or {cable.name}:{fibre}@{place}>",
            )
        return here[0 if ref.side == "<" else 1]
    if found:
        return found[0]
    if not passes(cable, index):
        raise RefError(f"{cable.name}:{fibre} has no end there", hint="Name another stop of the cable")
    # Uncut there: the one piece that passes the stop, from its exchange-side end.
    order: dict[str, int] = {s.id: i for i, s in enumerate(cable.stops)}
    return [node for node in starts if order[_stop(node)] < index][-1]


def _stop(node: str) -> str:
    return node[:-1].rpartition("@")[2]


def _site(continuity: Continuity, node: str) -> str:
    end = node_end(node)
    cable = continuity.plant.cables[end.cable]  # type: ignore[union-attr]  # starts of a fibre are fibre ends
    return next(stop.site for stop in cable.stops if stop.id == _stop(node))
