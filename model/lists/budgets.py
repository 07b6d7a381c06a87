"""The light budget of the services that are joined at a site, or of all: lengths, counts of joints, losses, margins.

The figures are those of ``model.optics.budget``; here they are only counted and laid side by side. dB by wavelength.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from model.entities import FibreEnd
from model.graph import Joint, node_end
from model.lists.naming import site_name
from model.lists.source import Source
from model.lookup import stop_of
from model.optics.budget import ServiceBudget, budget
from model.optics.loss import WAVELENGTHS_NM, GlassLosses
from model.trace import path_nodes, service_node


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One service. ``loss_db``, ``bend_db`` (the drawn bends alone) and the margins are by wavelength in nm; ``None``
    where not known.

    ``splices`` counts splices and pigtail splices, ``pairs`` mated pairs, ``splitters`` ways through one.
    ``planned_db`` is the loss with every splice as planned, beside ``loss_db`` with the true loss of those that were
    measured in both directions; ``measured`` counts them.
    """

    service: str
    customer: str
    status: str
    site: str
    port: str
    exchange: str
    exchange_port: str
    power_class: str
    length_m: float | None
    splices: int
    pairs: int
    splitters: int
    measured: Mapping[int, int]
    planned_db: Mapping[int, float]
    loss_db: Mapping[int, float]
    bend_db: Mapping[int, float]
    margin_max_db: Mapping[int, float] | None
    margin_min_db: Mapping[int, float] | None
    complete: bool
    remark: str


def services_here(source: Source, site: str | None = None) -> tuple[str, ...]:
    """Ids of the services not ceased, by name; with a site those with a joint, a splitter or a port there."""
    plant = source.plant
    ordered = sorted(plant.services.values(), key=lambda s: (s.name, s.id))
    found = [service.id for service in ordered if service.status != "ceased"]
    if site is None:
        return tuple(found)
    kept = []
    for key in found:
        node = service_node(source.continuity, key)
        nodes = path_nodes(source.continuity, node) if node in source.continuity.graph else ()
        if plant.ports[plant.services[key].at].site == site or any(_site(source, one) == site for one in nodes):
            kept.append(key)
    return tuple(kept)


def budget_rows(
    source: Source, site: str | None = None, wavelengths_nm: Sequence[int] = WAVELENGTHS_NM
) -> tuple[BudgetRow, ...]:
    """A row for each of ``services_here``."""
    memo: GlassLosses = {}
    return tuple(
        _row(source, budget(source.continuity, key, source.bends, wavelengths_nm, memo))
        for key in services_here(source, site)
    )


def _row(source: Source, found: ServiceBudget) -> BudgetRow:
    plant = source.plant
    service, own = plant.services[found.service], plant.ports[found.port]
    joints = [step.by for step in found.steps if isinstance(step.by, Joint)]
    plugs = sum(1 for by in joints if by.kind == "plug" and plant.matings[by.id].pigtail_db is not None)
    far = plant.ports[found.exchange] if found.exchange else None
    return BudgetRow(
        service=service.name,
        customer=service.customer,
        status=service.status,
        site=site_name(plant, own.site),
        port=f"{own.panel} {own.number}",
        exchange=site_name(plant, far.site) if far else "",
        exchange_port=f"{far.panel} {far.number}" if far else "",
        power_class=found.power_class.name if found.power_class else "",
        length_m=found.length_m,
        splices=plugs + sum(1 for by in joints if by.kind == "splice"),
        pairs=sum(1 for by in joints if by.kind == "pair"),
        splitters=sum(1 for by in joints if by.kind == "splitter"),
        measured=found.measured,
        planned_db=found.planned_db,
        loss_db=found.loss_db,
        bend_db=found.bend_db,
        margin_max_db=found.margin_max_db,
        margin_min_db=found.margin_min_db,
        complete=found.complete,
        remark=found.why,
    )


def _site(source: Source, node: str) -> str:
    plant = source.plant
    if node.endswith(("/rear", "/front")):
        port = plant.ports.get(node.rpartition("/")[0])
        return port.site if port else ""
    end = node_end(node)
    if isinstance(end, FibreEnd):
        return stop_of(plant.cables[end.cable], end.stop).site if end.cable in plant.cables else ""
    return plant.splitters[end.splitter].site if end is not None and end.splitter in plant.splitters else ""
