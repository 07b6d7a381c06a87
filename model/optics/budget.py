"""Whether a service gets enough light and not too much: its loss, its bends, and the margin to both ends of a class.

The path is traced from the service's port to the exchange port, both mated pairs included. Bend loss stays its own item
and the margins count it with the rest. dB by wavelength in nm. A path that does not reach the exchange, or holds
something nobody knows, is not complete: its loss is then only what is known, and it has no margins.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import fsum

from model.entities import FibreEnd, Splice
from model.errors import PlantError
from model.glass import Piece
from model.graph import Continuity, Joint, node_end
from model.ids import PortId, ServiceId
from model.optics.bend import course_loss_db
from model.optics.classes import PowerClass, power_class
from model.optics.loss import WAVELENGTHS_NM, GlassLosses, path_total
from model.optics.readings import counted_db
from model.trace import EndKind, Step, service_node, trace, walk, ways_on

Bends = Mapping[str | Piece, Sequence[tuple[float, float]]]
"""Drawn bends as (radius in mm, sweep in radians): under the node of a fibre end for the glass from that end to its
sheath, under a piece for glass that loops through uncut. Each is counted once on every path over that end or piece."""


@dataclass(frozen=True, slots=True)
class ServiceBudget:
    """The light of one service. ``loss_db`` is without bends, ``bend_db`` the bends alone (an upper bound).

    ``loss_db`` reckons with the true loss of a splice wherever both directions were read, and with its planned loss
    elsewhere; ``planned_db`` with planned losses only, so that the two stand side by side. ``measured`` counts the
    splices of the path whose true loss is known, out of ``splices``.

    ``margin_max_db`` is class most minus (loss + bend), below zero too little light; ``margin_min_db`` is
    (loss + bend) minus class least, below zero overload. Both are ``None`` without a class or for a path that is not
    complete. ``exchange`` is the port the path ends at, if complete. ``why`` says in words what is not known or was
    chosen, also for a complete path; empty when there is nothing to say.
    """

    service: ServiceId
    port: PortId
    power_class: PowerClass | None
    loss_db: Mapping[int, float]
    bend_db: Mapping[int, float]
    margin_max_db: Mapping[int, float] | None
    margin_min_db: Mapping[int, float] | None
    complete: bool
    why: str = ""
    exchange: PortId | None = None
    length_m: float | None = None
    steps: tuple[Step, ...] = ()
    planned_db: Mapping[int, float] = field(default_factory=dict)
    measured: Mapping[int, int] = field(default_factory=dict)
    splices: int = 0


def budgets(
    continuity: Continuity, bends: Bends | None = None, wavelengths_nm: Sequence[int] = WAVELENGTHS_NM
) -> Iterator[ServiceBudget]:
    """The budget of every service not ceased, by name."""
    memo: GlassLosses = {}
    for service in sorted(continuity.plant.services.values(), key=lambda s: (s.name, s.id)):
        if service.status != "ceased":
            yield budget(continuity, service.id, bends, wavelengths_nm, memo)


def budget(
    continuity: Continuity,
    service_id: str,
    bends: Bends | None = None,
    wavelengths_nm: Sequence[int] = WAVELENGTHS_NM,
    memo: GlassLosses | None = None,
) -> ServiceBudget:
    """The budget of one service. Raises PlantError when the plant has no such service.

    ``memo`` may be shared by the services of one plant at the same wavelengths.

    The class is the service's, else that of the exchange port it reaches, else that of its own port.
    """
    plant = continuity.plant
    service = plant.services.get(service_id)
    if service is None:
        raise PlantError(f"there is no service {service_id!r}", hint="It may have been removed")
    known = continuity.kept(_no_paths, "services", "ports", "sites")
    if service_id not in known:
        known[service_id] = _to_exchange(continuity, service_id)
    steps, end, kind, notes = known[service_id]
    faults = [] if end is None else [_fault(continuity, service.at, end, kind)]
    loss_db, length_m, unknowns = path_total(continuity, steps, wavelengths_nm, memo)
    bend_db, bend_notes, bend_faults = _bend_db(continuity, steps, bends or {}, wavelengths_nm)
    if end is None:
        faults.append("its port is not in the plant")
    faults = [fault for fault in (*faults, *unknowns, *bend_faults) if fault]
    port = _port_of(continuity, end) if end is not None else None
    reached = port if port is not None and not faults else None
    entry, class_note = _class_of(continuity, service_id, port)
    judged = entry if not faults else None
    sums = {nm: loss_db[nm] + bend_db[nm] for nm in wavelengths_nm}
    joints = [plant.splices[step.by.id] for step in steps if isinstance(step.by, Joint) and step.by.kind == "splice"]
    planned_db, measured = _planned(joints, loss_db)
    return ServiceBudget(
        service=service.id,
        port=service.at,
        power_class=entry,
        loss_db=loss_db,
        bend_db=bend_db,
        margin_max_db={nm: judged.margin_max_db(db) for nm, db in sums.items()} if judged else None,
        margin_min_db={nm: judged.margin_min_db(db) for nm, db in sums.items()} if judged else None,
        complete=not faults,
        why="; ".join(dict.fromkeys(note for note in (*faults, *notes, *bend_notes, class_note) if note)),
        exchange=reached,
        length_m=length_m if steps else None,
        steps=steps,
        planned_db=planned_db,
        measured=measured,
        splices=len(joints),
    )


def _planned(joints: Sequence[Splice], loss_db: Mapping[int, float]) -> tuple[Mapping[int, float], Mapping[int, int]]:
    """(what the loss would be with every splice as planned, how many splices are measured), by wavelength."""
    read = [splice for splice in joints if splice.measured]
    if not read:
        return loss_db, dict.fromkeys(loss_db, 0)
    planned_db, measured = {}, {}
    for nm, db in loss_db.items():
        known = [(splice.planned_db, *counted_db(splice, nm)) for splice in read]
        planned_db[nm] = fsum(
            [db, *(plan for plan, _, truly in known if truly), *(-got for _, got, truly in known if truly)]
        )
        measured[nm] = sum(truly for _, _, truly in known)
    return planned_db, measured


Way = tuple[tuple[Step, ...], str | None, EndKind, list[str]]


def _no_paths(continuity: Continuity) -> dict[str, Way]:
    """Where paths of services are kept while nothing they run over changes, none yet."""
    return {}


def _to_exchange(continuity: Continuity, service: str) -> Way:
    """(steps from the service's port upward, last node, why it ends there, what was chosen on the way)."""
    start = service_node(continuity, service)
    if start not in continuity.graph:
        return (), None, "dark", []
    whole = trace(continuity, start)
    below = whole.below
    own = continuity.plant.services[service].at
    if below and whole.steps[below - 1].by == Joint("pair", own):
        below -= 1  # the pair of the service's own port counts whichever of its faces leads to the exchange
    steps, end, kind = whole.steps[below:], whole.exchange, whole.exchange_kind
    notes: list[str] = []
    seen = {end}
    while kind == "branches":
        feeds = [(node, by) for node, by in ways_on(continuity.graph, end, "inside") if "/in" in node]
        ways = [(Step(end, node, by), walk(continuity.graph, node, "outside")) for node, by in feeds]
        fed = [way for way in ways if way[1].kind == "branches" or _is_exchange(continuity, way[1].end)]
        if not fed or fed[0][1].end in seen:
            break
        # Common practice, no source: of several inputs the first is the working feed and the rest stand by.
        if len(fed) > 1:
            notes.append(f"{fed[0][0].end} is taken as the working feed of {len(fed)}")
        step, above = fed[0]
        steps, end, kind = (*steps, step, *above.steps), above.end, above.kind
        seen.add(end)
    return steps, end, kind, notes


def _port_of(continuity: Continuity, node: str) -> PortId | None:
    port = continuity.plant.ports.get(node.rpartition("/")[0]) if node.endswith(("/rear", "/front")) else None
    return None if port is None else port.id


def _is_exchange(continuity: Continuity, node: str) -> bool:
    """True for a port of equipment, or any port at an exchange."""
    plant = continuity.plant
    found = _port_of(continuity, node)
    if found is None:
        return False
    site = plant.sites.get(plant.ports[found].site)
    return plant.ports[found].role == "equipment" or (site is not None and site.kind == "exchange")


def _fault(continuity: Continuity, own: PortId, end: str, kind: EndKind) -> str:
    """Why a path that ends so does not reach the exchange; empty when it does."""
    place = _place(continuity, end)
    if kind == "dark":
        return f"the path ends dark at {place}"
    if kind == "crossed":
        return f"{place} is joined more than once"
    if kind == "ring":
        return f"the path closes on itself at {place}"
    if kind == "branches":
        return f"no input above {place} reaches an exchange port"
    if _port_of(continuity, end) == own:
        return f"nothing on {place} leads to an exchange"
    return "" if _is_exchange(continuity, end) else f"the path ends at {place}, which is no exchange port"


def _place(continuity: Continuity, node: str) -> str:
    """A node in words: cable, fibre and site; splitter and leg; or panel and port number."""
    plant = continuity.plant
    port = _port_of(continuity, node)
    if port is not None:
        site = plant.sites.get(plant.ports[port].site)
        where = f" at {site.name}" if site else ""
        return f"{plant.ports[port].panel} port {plant.ports[port].number}{where}"
    end = node_end(node)
    if isinstance(end, FibreEnd) and end.cable in plant.cables:
        cable = plant.cables[end.cable]
        site = next((plant.sites.get(stop.site) for stop in cable.stops if stop.id == end.stop), None)
        return f"{cable.name} fibre {end.fibre}" + (f" at {site.name}" if site else "")
    if end is not None and not isinstance(end, FibreEnd) and end.splitter in plant.splitters:
        return f"{plant.splitters[end.splitter].name} {end.role} {end.number}"
    return node


def _class_of(continuity: Continuity, service: str, port: PortId | None) -> tuple[PowerClass | None, str]:
    """(class, why there is none although one is named)."""
    plant = continuity.plant
    own = plant.ports.get(plant.services[service].at)
    exchange = plant.ports.get(port) if port is not None else None
    name = plant.services[service].power_class
    for other in (exchange, own):
        name = name or (other.power_class if other else "")
    try:
        return (power_class(name) if name else None), ""
    except PlantError as error:
        return None, str(error)


def _bend_db(
    continuity: Continuity, steps: Sequence[Step], bends: Bends, wavelengths_nm: Sequence[int]
) -> tuple[dict[int, float], list[str], list[str]]:
    """(bend loss by wavelength, what was left out, why no number can be given)."""
    total = dict.fromkeys(wavelengths_nm, 0.0)
    notes: list[str] = []
    faults: list[str] = []
    if not bends:
        return total, notes, faults
    nodes = [steps[0].start, *(step.end for step in steps)] if steps else []
    places: list[str | Piece] = [*dict.fromkeys(nodes), *(step.by for step in steps if isinstance(step.by, Piece))]
    plant = continuity.plant
    for place in places:
        course = bends.get(place)
        if not course:
            continue
        end = place if isinstance(place, Piece) else node_end(place)
        if not isinstance(end, FibreEnd | Piece):
            notes.append(f"bends at {_place(continuity, str(place))} are not counted: its fibre class is not known")
            continue
        cable = plant.cables[end.cable]
        fibre_class = plant.fibre_classes.get(plant.cable_types[cable.type].fibre_class)
        if fibre_class is None:
            faults.append(f"bends of {cable.name} cannot be counted: its fibre class is not in the plant")
            continue
        for nm in wavelengths_nm:
            try:
                total[nm] += course_loss_db(fibre_class, course, nm)
            except PlantError as error:
                faults.append(f"{_place(continuity, place) if isinstance(place, str) else cable.name}: {error.message}")
    return total, notes, faults
