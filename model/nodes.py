"""From a reference to the node of the continuity graph it means, for everything that starts at one fibre; and from a
node to the site it is at."""

from __future__ import annotations

from collections.abc import Sequence

from model.entities import Cable, FibreEnd, LegEnd
from model.errors import RefError
from model.graph import Continuity, end_node, node_end, port_node
from model.lookup import stop_of
from model.plant import Plant
from model.refs import CableRef, LegRef, PortRef, ServiceRef, TrayRef, parse_ref
from model.trace import service_node

SHOWN = 8
"""Choices named in one message; a fibre may be cut at many places."""


class SideError(RefError):
    """A fibre that is cut where it was named. ``choices`` are references to its pieces, from the exchange outward."""

    def __init__(self, name: str, sites: Sequence[str], choices: Sequence[str]) -> None:
        more = f" and {len(sites) - SHOWN} more places" if len(sites) > SHOWN else ""
        self.choices = tuple(choices[: SHOWN + 1])
        super().__init__(
            f"{name} is cut at {', '.join(sites[:SHOWN])}{more}", hint=f"Say which piece: {' or '.join(self.choices)}"
        )


def site_of(plant: Plant, node: str) -> str:
    """Site id of a node that light passes; empty when it is nowhere."""
    if node.endswith(("/rear", "/front")):
        port = plant.ports.get(node.rpartition("/")[0])
        return port.site if port else ""
    end = node_end(node)
    if isinstance(end, FibreEnd):
        cable = plant.cables.get(end.cable)
        return stop_of(cable, end.stop).site if cable else ""
    return plant.splitters[end.splitter].site if isinstance(end, LegEnd) and end.splitter in plant.splitters else ""


def node_of(continuity: Continuity, text: str) -> str:
    """The node a reference text names; raises RefError when it names none, or more than one piece of glass."""
    plant = continuity.plant
    ref = parse_ref(plant, text)
    if isinstance(ref, ServiceRef):
        return service_node(continuity, ref.service)
    if isinstance(ref, PortRef):
        return port_node(ref.port, "front")
    if isinstance(ref, TrayRef):
        return _slot_node(continuity, ref, text)
    if isinstance(ref, CableRef):
        return _fibre_node(continuity, ref, text)
    if isinstance(ref, LegRef):
        return end_node(LegEnd(ref.splitter, ref.role, ref.number or 1))
    name = plant.sites[ref.site].name
    served = next((s.name for s in plant.services.values() if s.name.lower() == text.strip().lower()), "")
    hint = (
        f"For the service say service:{served}" if served else "Name a fibre, a port, a slot or a service: CABLE:FIBRE"
    )
    raise RefError(f"{name} is a whole site", hint=hint)


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
    if not starts:
        raise RefError(f"{cable.name}:{fibre} has no glass", hint="A cable needs two stops to have any")
    order: dict[str, int] = {stop.id: index for index, stop in enumerate(cable.stops)}
    if ref.site is None:
        if len(starts) == 1 or ref.side == "<":
            return starts[0]
        if ref.side == ">":
            return starts[-1]
        raise _side_error(plant, cable, fibre, [order[_stop(node)] for node in starts[1:]])
    here = [index for index, stop in enumerate(cable.stops) if stop.site == ref.site]
    ends = {
        (index, side): node
        for index in here
        for side in ("<", ">")
        if (node := f"{cable.id}:{fibre}@{cable.stops[index].id}{side}") in continuity.graph
    }
    cuts = sorted({index for index, _ in ends if (index, "<") in ends and (index, ">") in ends})
    if cuts:
        if ref.side is None:
            raise _side_error(plant, cable, fibre, cuts)
        # A cable may stop twice at one site: toward the exchange its first cut counts, toward the field its last.
        return ends[cuts[0], "<"] if ref.side == "<" else ends[cuts[-1], ">"]
    if ends:
        return next(iter(ends.values()))
    # Uncut there: the one piece that passes the stop, from its exchange-side end.
    return [node for node in starts if order[_stop(node)] <= here[0]][-1]


def _stop(node: str) -> str:
    return node[:-1].rpartition("@")[2]


def _side_error(plant: Plant, cable: Cable, fibre: int, cuts: Sequence[int]) -> SideError:
    """Every piece of a cut fibre by a reference of its own, from the exchange outward."""
    name = f"{cable.name}:{fibre}"
    sites = list(dict.fromkeys(plant.sites[cable.stops[index].site].name for index in cuts))
    return SideError(name, sites, [f"{name}@{sites[0]}<", *(f"{name}@{site}>" for site in sites)])
