"""The plant of a splitter cabinet: exchange ports, a 1x2 each, feeder, 1x32 splitters, distribution, drops to homes.

Leg j of splitter s goes to distribution fibre N = (s - 1) * 32 + j; legs beyond the live ones stand parked. Every
splice is that of a pigtail behind a panel, so a chain crosses six connector pairs and five splices. Lengths are metres
by the printed marks; the same call gives the same plant, ids included.
"""

from __future__ import annotations

from typing import Final

from model.catalogue import parts_for
from model.edits.joining import Plug
from model.edits.parts import Add, Bring
from model.entities import (
    Cable,
    Enclosure,
    FibreEnd,
    GlassEnd,
    JobInfo,
    LegEnd,
    Port,
    Revision,
    Service,
    Side,
    Site,
    Splitter,
    Stop,
    Tray,
)
from model.history import History
from model.ids import (
    CableId,
    CableTypeId,
    EnclosureId,
    EnclosureTypeId,
    PortId,
    ServiceId,
    SiteId,
    SplitterId,
    SplitterTypeId,
    StopId,
    TrayId,
)
from model.ids import TrayTypeId as TrayTypeKey
from model.plant import Plant
from model.templates.finish import as_new, draw_site

JOB: Final = JobInfo(
    owner="Tarn Hollow Fibre Mutual",
    project="Bramblecote cabinet",
    work_order="WO 6640",
    drawing_no="TH-BC5",
    status="for construction",
    drawn="P. Lyle",
    checked="D. Anstey",
    approved="R. Mokoena",
    issued="2026-04-20",
    emergency_call="0100 555 0119",
    revisions=(Revision("A", "2026-04-20", "Cabinet set, four splitters, 118 homes on", "PL", "DA", "RM"),),
)
EXCHANGE: Final = SiteId("fallow-cross")
CABINET: Final = SiteId("bc-5")
FIELD: Final = SiteId("bramblecote-green")
FEEDER: Final = CableId("bf-48")
DISTRIBUTION: Final = CableId("bd-144")
FEEDER_M: Final = 6800.0
DISTRIBUTION_M: Final = 1100.0
DROP_M: Final = 90.0
LEGS: Final = 32
LIVE: Final = (30, 28, 31, 29)
"""Live legs of splitters 1 to 4, counted from leg 1; the rest of each is parked."""
PON: Final = (3, 4)
FEEDS: Final = ((5, 6), (7, 8))
"""Feeder fibres on leg 1 and leg 2 of the splitter behind each exchange port."""


def _cables() -> tuple[Cable, Cable]:
    def stop(cable: CableId, site: SiteId) -> StopId:
        return StopId(f"{cable}.{site}")

    feeder = Cable(
        FEEDER,
        "BF-48",
        CableTypeId("lt-48"),
        (
            Stop(stop(FEEDER, EXCHANGE), EXCHANGE, mark_out_m=0.0, anchored_out=True),
            Stop(
                stop(FEEDER, CABINET),
                CABINET,
                mark_in_m=FEEDER_M,
                entry_in="1A",
                coil_in_m=12.0,
                coil_diameter_mm=600.0,
                strip_mm=3000.0,
                anchored_in=True,
            ),
        ),
    )
    distribution = Cable(
        DISTRIBUTION,
        "BD-144",
        CableTypeId("lt-144"),
        (
            Stop(
                stop(DISTRIBUTION, CABINET),
                CABINET,
                mark_out_m=0.0,
                entry_out="2",
                coil_out_m=12.0,
                coil_diameter_mm=700.0,
                strip_mm=3000.0,
                anchored_out=True,
            ),
            Stop(stop(DISTRIBUTION, FIELD), FIELD, mark_in_m=DISTRIBUTION_M, anchored_in=True),
        ),
    )
    return feeder, distribution


def _panel(site: SiteId, panel: str, numbers: range) -> list[Port]:
    return [Port(PortId(f"{site}.{panel.lower()}.{n}"), site, panel, n) for n in numbers]


def _fibres(cable: Cable, index: int, numbers: range) -> tuple[GlassEnd, ...]:
    side: Side = ">" if index == 0 else "<"
    return tuple(FibreEnd(cable.id, n, cable.stops[index].id, side) for n in numbers)


def _plug(history: History, site: SiteId, panel: str, ends: dict[int, GlassEnd], face: str, spliced: bool) -> None:
    """Plug ends into the numbered ports of a panel, by a spliced pigtail or by the connector on the glass itself."""
    ports = tuple(PortId(f"{site}.{panel.lower()}.{n}") for n in ends)
    history.do(Plug(tuple(ends.values()), ports, face, 0.10 if spliced else None))  # type: ignore[arg-type]


def live_fibres() -> tuple[int, ...]:
    """Distribution fibres with a home on them, ascending."""
    return tuple((s - 1) * LEGS + j for s, live in enumerate(LIVE, start=1) for j in range(1, live + 1))


def _homes() -> tuple[list[Site], list[Cable], list[Port], list[Service]]:
    sites: list[Site] = []
    drops: list[Cable] = []
    outlets: list[Port] = []
    services: list[Service] = []
    for place, fibre in enumerate(live_fibres(), start=1):
        site = Site(SiteId(f"{place}-bramblecote"), f"{place} Bramblecote", "premises")
        key = CableId(f"h-{place:03d}")
        first = Stop(StopId(f"{key}.{FIELD}"), FIELD, mark_out_m=0.0, anchored_out=True)
        last = Stop(StopId(f"{key}.{site.id}"), site.id, mark_in_m=DROP_M, anchored_in=True)
        sites.append(site)
        drops.append(Cable(key, f"H-{place:03d}", CableTypeId("rd-1"), (first, last)))
        outlets.append(Port(PortId(f"{site.id}.1"), site.id, "outlet", 1, "outlet"))
        name = f"BC-{fibre:03d}"
        services.append(Service(ServiceId(name.lower()), name, outlets[-1].id, "live", site.name))
    return sites, drops, outlets, services


def bramblecote() -> Plant:
    """The Bramblecote plant: 118 homes on four 1x32 splitters behind exchange ports 3 and 4."""
    feeder, distribution = _cables()
    homes, drops, outlets, services = _homes()
    box = Enclosure(
        EnclosureId(f"{CABINET}-box"),
        CABINET,
        EnclosureTypeId("cabinet-288"),
        "BC-5",
        (*sorted(str(n) for n in range(3, 16)), "1B"),
        "Green Lane, east verge",
    )
    trays = [Tray(TrayId(f"{CABINET}-tray-{n}"), box.id, TrayTypeKey("tray-24"), n, str(n)) for n in range(1, 9)]
    halves = [Splitter(SplitterId(f"hub-{port}"), EXCHANGE, SplitterTypeId("1x2"), f"HUB-{port}") for port in PON]
    splitters = [
        Splitter(
            SplitterId(f"sp-{n}"), CABINET, SplitterTypeId("1x32"), f"SP-{n}", parked=tuple(range(live + 1, LEGS + 1))
        )
        for n, live in enumerate(LIVE, start=1)
    ]
    history = History(Plant())
    history.do(Bring(parts_for("lt-48", "lt-144", "rd-1", "cabinet-288", "tray-24", "1x2", "1x32")))
    equipment = [
        Port(PortId(f"{EXCHANGE}.pon.{n}"), EXCHANGE, "PON", n, "equipment", power_class="GPON B+") for n in PON
    ]
    history.do(
        Add(
            (
                JOB,
                Site(EXCHANGE, "Fallow Cross", "exchange"),
                Site(CABINET, "BC-5", "cabinet", "Green Lane, east verge"),
                Site(FIELD, "Bramblecote Green", "cabinet", "Panel pillar beside the green"),
                *homes,
                feeder,
                distribution,
                *drops,
                box,
                *trays,
                *halves,
                *splitters,
                *equipment,
                *_panel(EXCHANGE, "FD", range(1, 49)),
                *_panel(CABINET, "FD", range(1, 49)),
                *_panel(CABINET, "DP", range(1, 145)),
                *_panel(FIELD, "DP", range(1, 145)),
                *outlets,
                *services,
            ),
            "lay the plant",
        )
    )
    _join(history, feeder, distribution, drops)
    draw_site(history, CABINET)
    return as_new(history)


def _join(history: History, feeder: Cable, distribution: Cable, drops: list[Cable]) -> None:
    """Every plug, from the exchange outward."""
    for index, site in ((0, EXCHANGE), (1, CABINET)):
        _plug(history, site, "FD", dict(enumerate(_fibres(feeder, index, range(1, 49)), start=1)), "rear", True)
    for index, site in ((0, CABINET), (1, FIELD)):
        ends = _fibres(distribution, index, range(1, 145))
        _plug(history, site, "DP", dict(enumerate(ends, start=1)), "rear", True)
    for port, fibres in zip(PON, FEEDS, strict=True):
        hub = SplitterId(f"hub-{port}")
        _plug(history, EXCHANGE, "PON", {port: LegEnd(hub, "in", 1)}, "rear", False)
        legs: dict[int, GlassEnd] = {fibre: LegEnd(hub, "out", leg) for leg, fibre in enumerate(fibres, start=1)}
        _plug(history, EXCHANGE, "FD", legs, "front", False)
    for number, (fibre, live) in enumerate(zip([f for pair in FEEDS for f in pair], LIVE, strict=True), start=1):
        key = SplitterId(f"sp-{number}")
        _plug(history, CABINET, "FD", {fibre: LegEnd(key, "in", 1)}, "front", False)
        first = (number - 1) * LEGS
        outs: dict[int, GlassEnd] = {first + leg: LegEnd(key, "out", leg) for leg in range(1, live + 1)}
        _plug(history, CABINET, "DP", outs, "front", False)
    near = {f: _fibres(drop, 0, range(1, 2))[0] for f, drop in zip(live_fibres(), drops, strict=True)}
    _plug(history, FIELD, "DP", near, "front", False)
    ports = tuple(PortId(f"{drop.stops[-1].site}.1") for drop in drops)
    history.do(Plug(tuple(_fibres(drop, 1, range(1, 2))[0] for drop in drops), ports))
