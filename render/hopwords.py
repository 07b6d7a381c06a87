"""Places on a light path in words: which site a node of the graph is at, what it is called, how a path ends there.

The site comes first, as a person looks for it: "Quill Lane port 15". Words only; nothing here is measured or drawn.
"""

from __future__ import annotations

from model.entities import FibreEnd, LegEnd
from model.graph import Continuity, node_end
from model.lookup import passes
from model.nodes import site_of
from model.plant import Plant
from model.trace import EndKind, ways_on


def site_name(plant: Plant, site: str) -> str:
    """Name of a site, or its id where the plant has none."""
    return plant.sites[site].name if site in plant.sites else site


def node_words(plant: Plant, node: str) -> str:
    """A node in words, its site first: ``Quill Lane port 15``, ``WB-07 TM-B1:17``, ``K-03 SP-1 leg 3``.

    The panel is named where the site has two ports of that number.
    """
    where = site_name(plant, site_of(plant, node))
    if node.endswith(("/rear", "/front")):
        port = plant.ports.get(node.rpartition("/")[0])
        if port is None:
            return node
        twins = [p for p in plant.ports.values() if p.site == port.site and p.number == port.number]
        return f"{where} port {port.panel}/{port.number}" if len(twins) > 1 else f"{where} port {port.number}"
    end = node_end(node)
    if isinstance(end, FibreEnd) and end.cable in plant.cables:
        cable = plant.cables[end.cable]
        cut = any(passes(cable, i) for i, stop in enumerate(cable.stops) if stop.id == end.stop)
        side = (" exchange side" if end.side == "<" else " field side") if cut else ""
        return f"{where} {cable.name}:{end.fibre}{side}"
    if isinstance(end, LegEnd) and end.splitter in plant.splitters:
        return f"{where} {plant.splitters[end.splitter].name} {'input' if end.role == 'in' else 'leg'} {end.number}"
    return node


def end_words(continuity: Continuity, node: str, kind: EndKind) -> str:
    """How a path ends, in words: a port by its name, else dark, branching, a ring, or joined twice."""
    words = node_words(continuity.plant, node)
    if kind == "port":
        return words
    if kind == "dark":
        return f"dark at {words}"
    if kind == "branches":
        ways = len(ways_on(continuity.graph, node, "inside"))
        return f"branches at {words}: {ways} {'legs' if '/in' in node else 'inputs'}"
    return f"ring: closes on itself at {words}" if kind == "ring" else f"joined more than once at {words}"


def tray_words(name: str) -> str:
    """A tray by its name, said to be one unless the name says so itself; empty for none."""
    return name if not name or name.lower().startswith("tray") else f"tray {name}"


def short_words(plant: Plant, node: str) -> str:
    """A node in the fewest words that tell it: ``TM-B1:13`` for glass, a port with its site."""
    end = node_end(node)
    if isinstance(end, FibreEnd) and end.cable in plant.cables:
        return f"{plant.cables[end.cable].name}:{end.fibre}"
    if isinstance(end, LegEnd) and end.splitter in plant.splitters:
        return f"{plant.splitters[end.splitter].name} {'input' if end.role == 'in' else 'leg'} {end.number}"
    return node_words(plant, node)
