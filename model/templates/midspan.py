"""The plant of a mid-span job from a few values: a feeder past an enclosure, and drops from it to customers.

Lengths outside are metres by the printed marks, inside millimetres. The same values give the same plant, ids included.
It must not know the names of any job: those are in ``samples`` and ``blank``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from model.catalogue import catalogue, parts_for
from model.drafting import drop_route, express_routes, opened_routes, sheath_leg, tune_bare
from model.edits.cutting import CutFibres, CutTubes
from model.edits.joining import Join, Plug, Store
from model.edits.parts import Add, Bring
from model.edits.routing import DrawRoute
from model.entities import (
    Cable,
    Enclosure,
    FibreEnd,
    JobInfo,
    Port,
    Route,
    Service,
    Site,
    Stop,
    Tray,
)
from model.history import History
from model.ids import CableId, CableTypeId, EnclosureId, EnclosureTypeId, PortId, ServiceId, SiteId, StopId, TrayId
from model.ids import TrayTypeId as TrayTypeKey
from model.lookup import fibres_of
from model.plant import Entity, Plant
from model.templates.finish import as_new


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop cable from the enclosure to a customer: name, type, entry, sheath length in m, fibres joined."""

    name: str
    type: str
    entry: str
    length_m: float
    customer: str
    service: str = ""
    status: str = "planned"


@dataclass(frozen=True, slots=True)
class MidSpan:
    """A feeder passing an enclosure where one tube is opened (or cut) and fibres are joined to drops.

    ``tube`` 0 with nothing ``joined`` opens nothing: every tube passes uncut and the drops lie unjoined.
    """

    job: JobInfo
    exchange: str
    node: str
    place: str
    far: str
    cable: str
    cable_type: str
    enclosure_type: str
    tray_type: str
    trays: int
    work_tray: int
    tube: int
    joined: tuple[int, ...]
    whole_tube: bool
    mark_in_m: float
    mark_out_m: float
    far_mark_m: float
    drops: tuple[Drop, ...]
    strip_mm: float
    tubes_mm: float | None = None
    """Length both ends of the opened tube should take together; None leaves the draft's."""
    transport_od_mm: float | None = None
    live: tuple[int, ...] = ()
    """Feeder fibres that carry live services past the enclosure to the far site."""
    coil_m: float = 12.0
    coil_diameter_mm: float = 600.0
    chainage_m: float | None = None


def slug(name: str) -> str:
    """An id from a name: lower case, digits and letters kept, the rest hyphens."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split()) or "x"


def ports(site: SiteId, panel: str, count: int, role: str) -> list[Port]:
    """Ports 1 to ``count`` of one panel at a site."""
    return [
        Port(PortId(f"{site}.{n}"), site, panel, n, role)  # type: ignore[arg-type]  # callers pass a role
        for n in range(1, count + 1)
    ]


def mid_span(spec: MidSpan) -> Plant:
    """The plant of a mid-span job: cables, ports, services, cuts, joints, stored glass and drafted routes."""
    exchange, node, far = (SiteId(slug(name)) for name in (spec.exchange, spec.node, spec.far))
    history = History(Plant())
    types = dict.fromkeys([spec.cable_type, spec.enclosure_type, spec.tray_type, *(d.type for d in spec.drops)])
    history.do(Bring(parts_for(*types)))
    feeder_id = CableId(slug(spec.cable))
    kind = catalogue().cable_types[spec.cable_type]
    stop_id = StopId(f"{feeder_id}.{node}")
    sites: list[Entity] = [
        Site(exchange, spec.exchange, "exchange"),
        Site(node, spec.node, "enclosure", spec.place, chainage_m=spec.chainage_m),
        Site(far, spec.far, "cabinet"),
    ]
    feeder = Cable(
        feeder_id,
        spec.cable,
        CableTypeId(spec.cable_type),
        (
            Stop(StopId(f"{feeder_id}.{exchange}"), exchange, mark_out_m=0.0, anchored_out=True),
            Stop(
                stop_id,
                node,
                spec.mark_in_m,
                spec.mark_out_m,
                entry_in="1A",
                entry_out="1B",
                coil_in_m=spec.coil_m,
                coil_out_m=spec.coil_m,
                coil_diameter_mm=spec.coil_diameter_mm,
                anchored_in=True,
                anchored_out=True,
                bonded=kind.metal,
            ),
            Stop(StopId(f"{feeder_id}.{far}"), far, mark_in_m=spec.far_mark_m, anchored_in=True),
        ),
    )
    enclosure, trays = _housing(spec, node)
    drops, drop_sites, drop_ports, services = _drops(spec, node)
    sockets = [*ports(exchange, slug(spec.exchange).upper()[:2], kind.fibre_count, "panel")]
    sockets += ports(far, slug(spec.far).upper()[:2], kind.fibre_count, "panel")
    for number in spec.live:
        services.append(
            Service(
                ServiceId(f"{far}-{number}"),
                f"{far.upper()}-{number}",
                PortId(f"{far}.{number}"),
                "live",
                f"{spec.far} panel",
            )
        )
    added: tuple[Entity, ...] = (
        spec.job,
        *sites,
        *drop_sites,
        feeder,
        *drops,
        enclosure,
        *trays,
        *sockets,
        *drop_ports,
        *services,
    )
    history.do(Add(added, "lay the plant"))
    _plug_ends(history, feeder, exchange, far, kind.fibre_count)
    _splice(history, spec, feeder, stop_id, drops, trays[spec.work_tray - 1])
    _draft(history, spec, feeder, stop_id, drops, enclosure.id, trays[spec.work_tray - 1].id)
    return as_new(history)


def _housing(spec: MidSpan, node: SiteId) -> tuple[Enclosure, list[Tray]]:
    kind = catalogue().enclosure_types[spec.enclosure_type]
    used = {"1A", "1B", *(drop.entry for drop in spec.drops)}
    plugs = tuple(sorted(entry.name for entry in kind.entries if entry.name not in used))
    enclosure_id = EnclosureId(f"{node}-box")
    enclosure = Enclosure(enclosure_id, node, EnclosureTypeId(spec.enclosure_type), spec.node, plugs, spec.place)
    trays = [
        Tray(TrayId(f"{node}-tray-{n}"), enclosure_id, TrayTypeKey(spec.tray_type), n, str(n))
        for n in range(1, spec.trays + 1)
    ]
    return enclosure, trays


def _drops(spec: MidSpan, node: SiteId) -> tuple[list[Cable], list[Site], list[Port], list[Service]]:
    cables: list[Cable] = []
    sites: list[Site] = []
    sockets: list[Port] = []
    services: list[Service] = []
    for drop in spec.drops:
        site = SiteId(slug(drop.customer))
        kind = catalogue().cable_types[drop.type]
        cable_id = CableId(slug(drop.name))
        cables.append(
            Cable(
                cable_id,
                drop.name,
                CableTypeId(drop.type),
                (
                    Stop(
                        StopId(f"{cable_id}.{node}"),
                        node,
                        mark_out_m=0.0,
                        entry_out=drop.entry,
                        strip_mm=spec.strip_mm,
                        anchored_out=True,
                    ),
                    Stop(StopId(f"{cable_id}.{site}"), site, mark_in_m=drop.length_m, anchored_in=True),
                ),
                status="planned",
            )
        )
        if all(s.id != site for s in sites):
            sites.append(Site(site, drop.customer, "premises"))
        sockets += ports(site, "outlet", kind.fibre_count, "outlet")
        for number in range(1, kind.fibre_count + 1):
            name = drop.service or drop.name
            label = f"{name}-{number}" if kind.fibre_count > 1 else name
            if drop.status != "none":
                status = "live" if drop.status == "live" else "planned"
                port = PortId(f"{site}.{number}")
                services.append(Service(ServiceId(slug(label)), label, port, status, drop.customer))  # type: ignore[arg-type]
    return cables, sites, sockets, services


def _plug_ends(history: History, feeder: Cable, exchange: SiteId, far: SiteId, count: int) -> None:
    for site, stop, side in ((exchange, feeder.stops[0], ">"), (far, feeder.stops[-1], "<")):
        ends = tuple(FibreEnd(feeder.id, n, stop.id, side) for n in range(1, count + 1))  # type: ignore[arg-type]
        history.do(Plug(ends, tuple(PortId(f"{site}.{n}") for n in range(1, count + 1))))


def _splice(
    history: History, spec: MidSpan, feeder: Cable, stop_id: StopId, drops: Sequence[Cable], tray: Tray
) -> None:
    plant = history.plant
    kind = plant.cable_types[feeder.type]
    for drop in drops:
        count = plant.cable_types[drop.type].fibre_count
        ends = tuple(FibreEnd(drop.id, n, drop.stops[-1].id, "<") for n in range(1, count + 1))
        history.do(Plug(ends, tuple(PortId(f"{drop.stops[-1].site}.{n}") for n in range(1, count + 1))))
    if not spec.tube:
        return
    if spec.whole_tube:
        history.do(CutTubes(feeder.id, stop_id, (spec.tube,)))
    else:
        history.do(CutFibres(feeder.id, stop_id, spec.joined))
    drop_ends = [
        FibreEnd(drop.id, n, drop.stops[0].id, ">")
        for drop in drops
        for n in range(1, plant.cable_types[drop.type].fibre_count + 1)
    ]
    pairs = tuple(
        (FibreEnd(feeder.id, fibre, stop_id, "<"), end) for fibre, end in zip(spec.joined, drop_ends, strict=False)
    )
    history.do(Join(SiteId(slug(spec.node)), pairs, tray.id))
    tube = set(fibres_of(kind, spec.tube))
    joined = tuple(fibre for fibre, _ in zip(spec.joined, drop_ends, strict=False))
    loops = tuple(sorted(tube - set(spec.joined)))
    cut = tuple(sorted(tube if spec.whole_tube else set(spec.joined)))
    unjoined = tuple(f for f in cut if f not in joined)
    history.do(Store(feeder.id, stop_id, cut, ">", tray.id))
    if loops and not spec.whole_tube:
        history.do(Store(feeder.id, stop_id, loops, "", tray.id))
    if unjoined:
        history.do(Store(feeder.id, stop_id, unjoined, "<", tray.id))
    left = [end for end in drop_ends[len(spec.joined) :] if isinstance(end, FibreEnd)]
    for end in left:
        history.do(Store(end.cable, end.stop, (end.fibre,), ">", tray.id))


def _draft(
    history: History,
    spec: MidSpan,
    feeder: Cable,
    stop_id: StopId,
    drops: Sequence[Cable],
    enclosure_id: EnclosureId,
    tray_id: TrayId,
) -> None:
    plant = history.plant
    cable = plant.cables[feeder.id]
    stop = next(s for s in cable.stops if s.id == stop_id)
    enclosure, tray = plant.enclosures[enclosure_id], plant.trays[tray_id]
    kind = plant.cable_types[cable.type]
    express = tuple(t for t in range(1, len(kind.tubes) + 1) if t != spec.tube)
    opening_mm = (spec.mark_out_m - spec.mark_in_m) * 1000.0
    routes: list[Route] = [sheath_leg(plant, enclosure, stop, "1A"), sheath_leg(plant, enclosure, stop, "1B")]
    routes += express_routes(plant, enclosure, cable, stop, express, opening_mm, extra_outer=1 if spec.tube else 0)
    if spec.tube:
        tuned = (
            tune_bare(plant, enclosure, cable, stop, spec.tube, tray, spec.tubes_mm)
            if spec.tubes_mm is not None
            else None
        )
        routes += tuned or opened_routes(plant, enclosure, cable, stop, spec.tube, tray)
    by_entry: dict[str, list[tuple[Cable, Stop]]] = {}
    for drop in drops:
        by_entry.setdefault(drop.stops[0].entry_out, []).append((drop, drop.stops[0]))
    for index, (entry, members) in enumerate(sorted(by_entry.items())):
        routes.append(sheath_leg(plant, enclosure, members[0][1], entry))
        routes.append(
            drop_route(
                plant,
                enclosure,
                tuple(members),
                tray,
                index=index,
                of=len(by_entry),
                transport_od_mm=spec.transport_od_mm,
            )
        )
    history.do(*(DrawRoute(route) for route in routes), name="draft the routes")
