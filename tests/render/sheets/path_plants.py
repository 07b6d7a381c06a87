"""Plants for the tests of the path sheet: lines of cables with places passed and spliced, splitters and a ring."""

import itertools
from collections.abc import Callable

from model.catalogue import parts_for
from model.entities import (
    Cable,
    FibreEnd,
    JobInfo,
    LegEnd,
    Mating,
    Port,
    Revision,
    Service,
    Site,
    Splice,
    Splitter,
    Stop,
)
from model.ids import (
    CableId,
    CableTypeId,
    MatingId,
    PortId,
    ServiceId,
    SiteId,
    SpliceId,
    SplitterId,
    SplitterTypeId,
    StopId,
)
from model.plant import Entity, Plant

MARKUP = '<script>alert(1)</script> & =1+1 "x" '
LONG = "An exceedingly long name of a place beyond the river, by the old mill, north side "


def plain(name: str) -> str:
    return name


def markup(name: str) -> str:
    return MARKUP + name


def long(name: str) -> str:
    return LONG + name


def line(
    legs: list[list[str]],
    *,
    kind: str = "lt-48",
    fibre: int = 1,
    name: Callable[[str], str] = plain,
    splitter_at: str = "",
    splitter_type: str = "1x8",
    power_class: str = "",
    step_m: float = 1000.0,
    last_plug: bool = True,
) -> Plant:
    """Cables one after the other, each given by its sites; fibres are spliced on where two cables meet.

    Every span has ``step_m`` metres of sheath, every place passed a sheath opening of 1 m.
    """
    order = list(dict.fromkeys(itertools.chain.from_iterable(legs)))
    things: list[Entity] = [JobInfo(drawing_no="D-1", revisions=(Revision("A", "2026-01-01", name("First issue")),))]
    things += parts_for(kind, splitter_type)
    for site in order:
        what = "exchange" if site == order[0] else "premises" if site == order[-1] else "enclosure"
        things.append(Site(SiteId(site), name(site), what, name("place") if name is not plain else ""))  # type: ignore[arg-type]
    cables = []
    for number, leg in enumerate(legs):
        stops, mark = [], 0.0
        for i, site in enumerate(leg):
            out = mark + (1.0 if 0 < i < len(leg) - 1 else 0.0)
            stops.append(Stop(StopId(f"c{number}.{i}"), SiteId(site), mark, out))
            mark = out + step_m
        cables.append(Cable(CableId(f"c{number}"), name(f"C{number}"), CableTypeId(kind), tuple(stops)))
    things += cables
    things.append(Port(PortId("px"), SiteId(order[0]), "PX", 7, power_class=power_class))
    things.append(Port(PortId("out"), SiteId(order[-1]), "outlet", 1, "outlet"))
    things.append(Mating(MatingId("ma"), PortId("px"), FibreEnd(cables[0].id, fibre, cables[0].stops[0].id, ">")))
    if last_plug:
        end = FibreEnd(cables[-1].id, fibre, cables[-1].stops[-1].id, "<")
        things.append(Mating(MatingId("mz"), PortId("out"), end))
    for number, (upper, lower) in enumerate(itertools.pairwise(cables)):
        up = FibreEnd(upper.id, fibre, upper.stops[-1].id, "<")
        down = FibreEnd(lower.id, fibre, lower.stops[0].id, ">")
        site_id = upper.stops[-1].site
        if site_id == splitter_at:
            things.append(Splitter(SplitterId("sp"), site_id, SplitterTypeId(splitter_type), name("SP-1")))
            things.append(Splice(SpliceId(f"i{number}"), site_id, up, LegEnd(SplitterId("sp"), "in", 1)))
            things.append(Splice(SpliceId(f"o{number}"), site_id, LegEnd(SplitterId("sp"), "out", 3), down))
        else:
            things.append(Splice(SpliceId(f"s{number}"), site_id, up, down, status="done"))
    things.append(Service(ServiceId("svc"), name("S-1"), PortId("out"), "live", name("A customer")))
    return Plant(things)


def chain(count: int) -> Plant:
    """So many enclosures, the fibre spliced in each."""
    return line(
        [list(pair) for pair in itertools.pairwise(["X", *(f"K-{i:02d}" for i in range(1, count + 1)), "Home"])]
    )


def uncut(count: int) -> Plant:
    """So many enclosures, the fibre uncut through all."""
    return line([["X", *(f"J-{i:02d}" for i in range(1, count + 1)), "Home"]])


def split(**more: object) -> Plant:
    legs = [["X", "J-1", "K-1"], ["K-1", "Home"]]
    return line(legs, splitter_at="K-1", **{"power_class": "GPON B+", **more})  # type: ignore[arg-type]


def ring() -> Plant:
    cables = [
        Cable(
            CableId(f"c{i}"),
            f"C{i}",
            CableTypeId("lt-12"),
            (Stop(StopId(f"c{i}.0"), SiteId("a"), 0.0, 0.0), Stop(StopId(f"c{i}.1"), SiteId("b"), 500.0, 500.0)),
        )
        for i in (0, 1)
    ]
    first, last = (
        [FibreEnd(cable.id, 1, cable.stops[at].id, side) for cable in cables]  # type: ignore[arg-type]
        for at, side in ((0, ">"), (1, "<"))
    )
    return Plant(
        [
            *parts_for("lt-12"),
            *(Site(SiteId(key), key.upper(), "enclosure") for key in "ab"),
            *cables,
            Splice(SpliceId("s0"), SiteId("a"), first[0], first[1]),
            Splice(SpliceId("s1"), SiteId("b"), last[0], last[1]),
        ]
    )
