"""Large invented plants for the benchmarks, built straight from entities."""

from __future__ import annotations

from model.catalogue import parts_for
from model.entities import Cable, FibreEnd, Mating, Port, Service, Site, Splice, Stop
from model.ids import CableId, CableTypeId, MatingId, PortId, ServiceId, SiteId, SpliceId, StopId
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
