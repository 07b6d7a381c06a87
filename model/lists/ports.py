"""The port table of a site: every connector position, what is plugged behind and in front of it, where that leads.

What a port reaches is traced through its rear, as a person standing before the panel asks, and where the cord or leg
in its front comes from through its front. Losses are not said here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.graph import end_node, port_node
from model.ids import SiteId
from model.lists.naming import EndName, Reach, end_name, reach, site_name
from model.lists.source import Source

PortState = Literal["in use", "front free", "rear free", "free"]


@dataclass(frozen=True, slots=True)
class PortRow:
    """One port. ``rear`` and ``front`` are what is plugged in; more than one on a face is a fault, still listed.

    ``reaches`` is where the glass behind the port leads, ``fed_by`` where that in front of it leads,
    ``services`` are names of those carried or standing here.
    """

    site: str
    panel: str
    number: int
    role: str
    rear: tuple[EndName, ...]
    front: tuple[EndName, ...]
    reaches: Reach
    fed_by: Reach
    services: tuple[str, ...]
    customers: tuple[str, ...]
    power_class: str
    pair_db: float

    @property
    def state(self) -> PortState:
        """What is free of it; a port of equipment or of an outlet has one side for plugs, the rear."""
        if self.rear and (self.front or self.role != "panel"):
            return "in use"
        return "front free" if self.rear else "rear free" if self.front else "free"


def port_table(source: Source, site: str) -> tuple[PortRow, ...]:
    """Every port of a site, by panel and number."""
    plant = source.plant
    rows = []
    for port in source.ports_at.get(SiteId(site), ()):
        rear = source.faces.get((port.id, "rear"), ())
        front = source.faces.get((port.id, "front"), ())
        services = tuple(
            dict.fromkeys((*source.services_at.get(port.id, ()), *source.services.get(port_node(port.id, "front"), ())))
        )
        customers = (plant.services[key].customer for key in services)
        rows.append(
            PortRow(
                site_name(plant, port.site),
                port.panel,
                port.number,
                port.role,
                tuple(end_name(plant, mating.end) for mating in rear),
                tuple(end_name(plant, mating.end) for mating in front),
                reach(source.continuity, end_node(rear[0].end), "inside") if rear else Reach(),
                reach(source.continuity, end_node(front[0].end), "inside") if front else Reach(),
                source.names(services),
                tuple(dict.fromkeys(name for name in customers if name)),
                port.power_class,
                port.pair_db,
            )
        )
    return tuple(rows)
