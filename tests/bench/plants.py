"""Large invented plants for the benchmarks, built straight from entities."""

from __future__ import annotations

from model.catalogue import parts_for
from model.drafting import opened_routes
from model.edits.cutting import CutTubes
from model.edits.joining import Join, Plug
from model.edits.parts import Add
from model.edits.routing import DrawRoute
from model.entities import Cable, Enclosure, FibreEnd, Mating, Port, Service, Site, Splice, Stop, Tray
from model.history import History
from model.ids import (
    CableId,
    CableTypeId,
    EnclosureId,
    EnclosureTypeId,
    MatingId,
    PortId,
    ServiceId,
    SiteId,
    SpliceId,
    StopId,
    TrayId,
    TrayTypeId,
)
from model.plant import Entity, Plant


def chains(chain_count: int, length: int, kind: str = "lt-288") -> Plant:
    """``chain_count`` chains of ``length`` cables spliced straight through, each from a port to a port with a service.

    350 cables of 288 fibres give about 100 000 pieces of glass.
    """
    count = int(kind.rsplit("-", 1)[1])
    entities: list[Entity] = [*parts_for(kind)]
    for chain in range(chain_count):
        sites = [SiteId(f"s{chain}-{i}") for i in range(length + 1)]
        entities += [
            Site(site, site.upper(), "exchange" if i == 0 else "premises" if i == length else "enclosure")
            for i, site in enumerate(sites)
        ]
        for i in range(length):
            entities.append(
                Cable(
                    CableId(f"c{chain}-{i}"),
                    f"C{chain}-{i}",
                    CableTypeId(kind),
                    (
                        Stop(StopId(f"c{chain}-{i}.a"), sites[i], mark_out_m=0.0),
                        Stop(StopId(f"c{chain}-{i}.b"), sites[i + 1], mark_in_m=500.0),
                    ),
                )
            )
        for fibre in range(1, count + 1):
            for i in range(1, length):
                a = FibreEnd(CableId(f"c{chain}-{i - 1}"), fibre, StopId(f"c{chain}-{i - 1}.b"), "<")
                b = FibreEnd(CableId(f"c{chain}-{i}"), fibre, StopId(f"c{chain}-{i}.a"), ">")
                entities.append(Splice(SpliceId(f"x{chain}-{i}-{fibre}"), sites[i], a, b, status="done"))
            for place, end in (("a", 0), ("z", length - 1)):
                site = sites[0] if place == "a" else sites[-1]
                port = PortId(f"{place}{chain}-{fibre}")
                role = "panel" if place == "a" else "outlet"
                entities.append(Port(port, site, place, fibre, role))  # type: ignore[arg-type]  # one of the two
                stop, side = (f"c{chain}-0.a", ">") if place == "a" else (f"c{chain}-{end}.b", "<")
                glass = FibreEnd(CableId(f"c{chain}-{end}"), fibre, StopId(stop), side)  # type: ignore[arg-type]
                entities.append(Mating(MatingId(f"m{port}"), port, glass))
            entities.append(
                Service(ServiceId(f"v{chain}-{fibre}"), f"V{chain}-{fibre}", PortId(f"z{chain}-{fibre}"), "live")
            )
    return Plant(entities)


def full_enclosure() -> Plant:
    """A 288-fibre cable passing one enclosure, all 24 tubes cut and spliced through again.

    288 splices on 12 trays (four stacked in each of three places), 48 tubes drawn to them, panels plugged at both
    ends and a live service on every fibre.
    """
    history = History(Plant([*parts_for("lt-288", "wall-box-large", "tray-24")]))
    exchange, node, far = SiteId("ex"), SiteId("box"), SiteId("far")
    stop = Stop(StopId("f.box"), node, 1000.0, 1003.0, entry_in="1A", entry_out="1B", coil_in_m=12.0, coil_out_m=12.0)
    near = Stop(StopId("f.ex"), exchange, mark_out_m=0.0)
    cable = Cable(
        CableId("f"),
        "NG-A1",
        CableTypeId("lt-288"),
        (near, stop, Stop(StopId("f.far"), far, mark_in_m=2500.0)),
    )
    box = Enclosure(EnclosureId("e"), node, EnclosureTypeId("wall-box-large"), "Alder Fork")
    trays = [Tray(TrayId(f"t{n}"), box.id, TrayTypeId("tray-24"), (n - 1) % 3 + 1, str(n)) for n in range(1, 13)]
    ports = [Port(PortId(f"{site}.{n}"), site, site, n, "panel") for site in (exchange, far) for n in range(1, 289)]
    services = [Service(ServiceId(f"v{n}"), f"V{n}", PortId(f"far.{n}"), "live") for n in range(1, 289)]
    sites = [
        Site(exchange, "Nettle Green", "exchange"),
        Site(node, "Alder Fork", "enclosure"),
        Site(far, "Gate", "cabinet"),
    ]
    history.do(Add((*sites, cable, box, *trays, *ports, *services), "lay the plant"))
    for site, end, side in ((exchange, "f.ex", ">"), (far, "f.far", "<")):
        ends = tuple(FibreEnd(cable.id, n, StopId(end), side) for n in range(1, 289))  # type: ignore[arg-type]
        history.do(Plug(ends, tuple(PortId(f"{site}.{n}") for n in range(1, 289))))
    history.do(CutTubes(cable.id, stop.id, tuple(range(1, 25))))
    for index, tray in enumerate(trays):
        fibres = range(24 * index + 1, 24 * index + 25)
        pairs = tuple((FibreEnd(cable.id, n, stop.id, "<"), FibreEnd(cable.id, n, stop.id, ">")) for n in fibres)
        history.do(Join(node, pairs, tray.id))
    plant = history.plant
    drafts = [
        opened_routes(plant, box, plant.cables[cable.id], plant.cables[cable.id].stops[1], tube, trays[(tube - 1) // 2])
        for tube in range(1, 25)
    ]
    history.do(*(DrawRoute(route) for routes in drafts for route in routes))
    return history.plant
