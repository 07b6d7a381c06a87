"""A reference to the path that is lit, to ask a sheet for it: the window keeps nodes, sheets take references."""

from __future__ import annotations

from collections.abc import Iterator

from model.entities import FibreEnd
from model.errors import PlantError
from model.graph import Continuity, node_end
from model.nodes import node_of
from model.trace import services_by_node, trace


def reference_of(continuity: Continuity, node: str) -> str | None:
    """A reference to the light path through a node: a service on it, else one of its pieces of glass; None for none."""
    if node not in continuity.graph:
        return None
    path = trace(continuity, node).nodes
    wanted = set(path)
    for text in _candidates(continuity, path):
        try:
            if node_of(continuity, text) in wanted:
                return text
        except PlantError:
            continue
    return None


def _candidates(continuity: Continuity, path: tuple[str, ...]) -> Iterator[str]:
    plant = continuity.plant
    carried = services_by_node(continuity)
    for service in sorted({service for node in path for service in carried.get(node, ())}):
        yield f"service:{plant.services[service].name}"
        yield f'service:"{plant.services[service].name}"'
    for node in path:
        end = node_end(node)
        if not isinstance(end, FibreEnd):
            continue
        cable = plant.cables[end.cable]
        site = next(plant.sites[stop.site].name for stop in cable.stops if stop.id == end.stop)
        for name, place in ((cable.name, site), (f'"{cable.name}"', f'"{site}"')):
            yield f"{name}:{end.fibre}@{place}{end.side}"
            yield f"{name}:{end.fibre}"
