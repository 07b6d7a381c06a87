"""Plants to read lines against: the two packaged jobs, and straight, ribbon, splitter and large joints made by hand."""

from __future__ import annotations

from dataclasses import replace

from model.catalogue import catalogue
from model.entities import (
    Cable,
    Enclosure,
    FibreEnd,
    Mating,
    Port,
    Service,
    Site,
    Splitter,
    Stop,
    Tray,
)
from model.graph import Continuity
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
    SplitterId,
    SplitterTypeId,
    StopId,
    TrayId,
    TrayTypeId,
)
from model.line.context import Context
from model.line.readback import Reading, read_line
from model.parts import SplitterType
from model.plant import Entity, Plant
from model.templates import TEMPLATES


def small() -> Context:
    """The wall box WB-07: TM-B1 passes with fibres 13-16 joined to D-1:1-4; live on 1, 2, 25 and 40."""
    plant = TEMPLATES["mid-span-small"]()
    return Context(plant, Continuity(plant), SiteId("wb-07"))


def large() -> Context:
    """The wall box WB-12: LM-A1 passes with tube 3 cut, ten drops, three trays; live on 1, 14, 40, 52 and 66."""
    plant = TEMPLATES["mid-span-large"]()
    return Context(plant, Continuity(plant), SiteId("wb-12"))


def _stop(cable: str, site: str) -> Stop:
    return Stop(StopId(f"{cable}.{site}"), SiteId(site))


def joint(kind: str, tray_kind: str, trays: int, **more: object) -> Context:
    """Cable A comes from X to K and ends there; B starts at K and goes to Y; ``trays`` trays of one kind at K."""
    parts = catalogue()
    tray = replace(parts.tray_types[tray_kind], **more)  # type: ignore[arg-type]
    entities: list[Entity] = [parts.cable_types[kind], tray, parts.enclosure_types["dome-6"]]
    entities += [Site(SiteId(s), s.upper(), "enclosure") for s in ("x", "k", "y")]
    entities += [
        Cable(CableId("a"), "A", CableTypeId(kind), (_stop("a", "x"), _stop("a", "k"))),
        Cable(CableId("b"), "B", CableTypeId(kind), (_stop("b", "k"), _stop("b", "y"))),
        Enclosure(EnclosureId("box"), SiteId("k"), EnclosureTypeId("dome-6"), "BOX"),
        Splitter(SplitterId("sp"), SiteId("k"), SplitterTypeId("s8"), "SP-1"),
        SplitterType(SplitterTypeId("s8"), "1x8", 1, (10.5,) * 8),
    ]
    for n in range(1, trays + 1):
        entities.append(Tray(TrayId(f"t{n}"), EnclosureId("box"), TrayTypeId(tray_kind), n, str(n)))
    plant = Plant(entities)
    return Context(plant, Continuity(plant), SiteId("k"))


def drops(live: int = 53) -> Context:
    """SB-72 passes DP-3 uncut; D-01 to D-12 start there; two trays of 24. One service is live on fibre ``live``."""
    parts = catalogue()
    dp, quill, fallow = SiteId("dp"), SiteId("ql"), SiteId("fb")
    entities: list[Entity] = [parts.cable_types["lt-72"], parts.cable_types["rd-1"], parts.tray_types["tray-24-large"]]
    entities.append(parts.enclosure_types["wall-box-large"])
    entities += [
        Site(quill, "Quill Lane", "exchange"),
        Site(dp, "DP-3", "enclosure"),
        Site(fallow, "Fallow", "cabinet"),
    ]
    stops = (_stop("sb", "ql"), _stop("sb", "dp"), _stop("sb", "fb"))
    entities.append(Cable(CableId("sb"), "SB-72", CableTypeId("lt-72"), stops))
    for n in range(1, 13):
        key = f"d{n:02d}"
        entities.append(Site(SiteId(f"h{n}"), f"House {n}", "premises"))
        entities.append(Cable(CableId(key), f"D-{n:02d}", CableTypeId("rd-1"), (_stop(key, "dp"), _stop(key, f"h{n}"))))
    entities.append(Enclosure(EnclosureId("box"), dp, EnclosureTypeId("wall-box-large"), "DP-3"))
    for n in (1, 2):
        entities.append(Tray(TrayId(f"t{n}"), EnclosureId("box"), TrayTypeId("tray-24-large"), n, str(n)))
    if live:
        entities += [
            Port(PortId("p"), fallow, "FB", 1),
            Mating(MatingId("m"), PortId("p"), FibreEnd(CableId("sb"), live, stops[2].id, "<")),
            Service(ServiceId("cope"), "C5", PortId("p"), "live", "Cope Farm"),
        ]
    plant = Plant(entities)
    return Context(plant, Continuity(plant), dp)


def read(context: Context, text: str) -> Reading:
    """The reading of a line that must be fine."""
    reading = read_line(context, text, complete=False)
    assert reading.ok, str(reading.error)
    return reading


def done(context: Context, *lines: str) -> tuple[History, Context]:
    """The plant after the lines, each one step."""
    plant = context.plant.copy()
    history = History(plant)
    now = Context(plant, Continuity(plant), context.place)
    for line in lines:
        reading = read(now, line)
        history.do(*reading.edits, name=reading.name)
        now = Context(plant, Continuity(plant), context.place)
    return history, now


def chips(reading: Reading) -> dict[str, str]:
    """Chips of a reading by label."""
    return {chip.label: chip.text for chip in reading.chips}
