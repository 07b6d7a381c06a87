"""What every fibre of a passing cable is at one stop, as a planner sees it: live, promised, joined, reserved or free.

A fibre is free when no service is on its glass, its exchange-side end here is not joined to anything, and the glass
leads whole to a port of the exchange. Asked of the continuity graph; nothing is chosen here.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from model.entities import Cable, FibreEnd, Port, Stop
from model.errors import PlantError
from model.graph import Continuity
from model.lookup import cable_type, cut_fibres, fibres_of, passes, work_on
from model.numbers import to_text
from model.parts import CableType
from model.planning.cover import Offer
from model.planning.proposal import count_of
from model.trace import services_by_node, walk, ways_on


@dataclass(frozen=True, slots=True)
class Survey:
    """Fibres of one tube at a stop by what they are; running numbers, ascending. ``ports`` are those of the free ones.

    ``stubs`` are free ends that are cut already. ``elsewhere`` lead to no exchange port, or to one not asked for.
    """

    tube: int
    live: tuple[int, ...]
    promised: tuple[int, ...]
    joined: tuple[int, ...]
    reserved: tuple[int, ...]
    elsewhere: tuple[int, ...]
    free: tuple[int, ...]
    stubs: tuple[int, ...]
    opened: bool
    ports: dict[int, Port]

    def offer(self, keep: int) -> Offer:
        """What the tube can give, ``keep`` free fibres left in it."""
        return Offer(self.tube, self.free, frozenset(self.stubs), len(self.live), self.opened, keep)

    def text(self) -> str:
        """What is in the tube: ``3 live (1-3), 9 dark and whole to the exchange``."""
        parts = (
            (self.live, "live"),
            (self.promised, "with a planned service"),
            (self.joined, "joined here"),
            (self.reserved, "reserved"),
            (self.elsewhere, "that lead to no port asked for"),
        )
        said = [f"{len(fibres)} {word} ({to_text(fibres)})" for fibres, word in parts if fibres]
        free = f"{len(self.free)} dark and whole to the exchange"
        return ", ".join([*said, free])


def stop_at(continuity: Continuity, cable_id: str, stop_id: str) -> tuple[Cable, CableType, Stop]:
    """A cable, its type and a stop where it passes. Raises PlantError for anything else."""
    cable = continuity.plant.cables.get(cable_id)
    if cable is None:
        raise PlantError(f"there is no cable {cable_id!r}", hint="Name a cable of the plant")
    for index, stop in enumerate(cable.stops):
        if stop.id == stop_id:
            if not passes(cable, index):
                raise PlantError(f"{cable.name} ends there and has no tube to open", hint="Choose a stop it passes")
            return cable, cable_type(continuity.plant, cable), stop
    raise PlantError(f"{cable.name} has no stop {stop_id!r}", hint="Choose one of its stops")


def exchange_port(continuity: Continuity, node: str) -> Port | None:
    """The exchange port that the glass of a field-side node leads to without a break; None if it leads to none."""
    plant = continuity.plant
    up = walk(continuity.graph, node, "inside")
    if up.kind != "port":
        return None
    port = plant.ports.get(up.end.rpartition("/")[0])
    if port is None:
        return None
    site = plant.sites.get(port.site)
    return port if port.role == "equipment" or (site is not None and site.kind == "exchange") else None


def survey(
    continuity: Continuity,
    cable: Cable,
    stop: Stop,
    reserved: Collection[int] = (),
    ports: Collection[str] = (),
) -> list[Survey]:
    """Every tube of a cable at a stop, by number. ``ports``: only those exchange ports count, any if empty."""
    kind = cable_type(continuity.plant, cable)
    carried = services_by_node(continuity)
    services = continuity.plant.services
    cut = cut_fibres(kind, stop)
    ends: dict[int, tuple[str, ...]] = {
        fibre: _ends(continuity, cable, stop, fibre, fibre in cut) for fibre in _all(kind)
    }
    found = []
    for tube in range(1, len(kind.tubes) + 1):
        sorts: dict[str, list[int]] = {
            word: [] for word in ("live", "promised", "joined", "reserved", "elsewhere", "free")
        }
        leads: dict[int, Port] = {}
        for fibre in fibres_of(kind, tube):
            on = [services[key].status for node in ends[fibre] for key in carried.get(node, ())]
            near = ends[fibre][0]
            if "live" in on:
                sorts["live"].append(fibre)
            elif on:
                sorts["promised"].append(fibre)
            elif fibre in cut and ways_on(continuity.graph, near, "outside"):
                sorts["joined"].append(fibre)
            elif fibre in reserved:
                sorts["reserved"].append(fibre)
            else:
                port = exchange_port(continuity, near)
                if port is None or (ports and port.id not in ports):
                    sorts["elsewhere"].append(fibre)
                else:
                    leads[fibre] = port
                    sorts["free"].append(fibre)
        free = tuple(sorts["free"])
        found.append(
            Survey(
                tube,
                live=tuple(sorts["live"]),
                promised=tuple(sorts["promised"]),
                joined=tuple(sorts["joined"]),
                reserved=tuple(sorts["reserved"]),
                elsewhere=tuple(sorts["elsewhere"]),
                free=free,
                stubs=tuple(fibre for fibre in free if fibre in cut),
                opened=work_on(stop, tube) is not None,
                ports=leads,
            )
        )
    return found


def _all(kind: CableType) -> range:
    return range(1, kind.fibre_count + 1)


def _ends(continuity: Continuity, cable: Cable, stop: Stop, fibre: int, cut: bool) -> tuple[str, ...]:
    """Nodes of a fibre's glass at a stop: its field-side end or that of the near piece, then the beyond if cut."""
    if cut:
        return f"{cable.id}:{fibre}@{stop.id}<", f"{cable.id}:{fibre}@{stop.id}>"
    order: dict[str, int] = {held.id: index for index, held in enumerate(cable.stops)}
    here = order[stop.id]
    prefix = f"{cable.id}:{fibre}@"
    near = max(
        (node for node in continuity.ends_of_fibre(cable, fibre) if order[node[len(prefix) : -1]] < here),
        key=lambda node: order[node[len(prefix) : -1]],
    )
    (far, _), *_ = ways_on(continuity.graph, near, "inside")
    return (far,)


def why_left(found: Survey, keep: int, taken: bool) -> str:
    """Why a tube is left alone, in one sentence."""
    what = f"tube {found.tube} is left alone: {found.text()}"
    if not found.free:
        return f"{what}; it has nothing to give"
    if len(found.free) <= keep:
        return f"{what}; {count_of(keep, 'fibre')} of a tube are kept as its reserve"
    if found.live:
        return f"{what}; touching it would move {count_of(len(found.live), 'live fibre')}"
    return f"{what}; the fibres of the other tubes are enough" if taken else what


def near_end(cable: Cable, stop: Stop, fibre: int) -> FibreEnd:
    """The exchange-side end of a fibre at a stop, once it is cut there."""
    return FibreEnd(cable.id, fibre, stop.id, "<")
