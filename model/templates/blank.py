"""Templates to begin with: cables entered, trays in place and drafted, nothing opened, cut or joined.

Names are invented. Errors they start with are honest: ends of glass in the enclosure, neither joined nor stored yet.
"""

from __future__ import annotations

from typing import Final

from model.catalogue import catalogue, parts_for
from model.drafting import drop_route
from model.edits.joining import Plug
from model.edits.parts import Add, Bring
from model.edits.routing import DrawRoute
from model.entities import Cable, Enclosure, FibreEnd, JobInfo, Port, Service, Side, Site, Stop, Tray
from model.history import History
from model.ids import CableId, CableTypeId, EnclosureId, EnclosureTypeId, PortId, ServiceId, SiteId, StopId, TrayId
from model.ids import TrayTypeId as TrayTypeKey
from model.plant import Entity, Plant
from model.templates.finish import as_new, draw_site
from model.templates.midspan import Drop, MidSpan, ports, slug

MID_SPAN: Final = MidSpan(
    job=JobInfo(owner="Your company", project="Alder Cottage connection", drawing_no="WB-01"),
    exchange="Marl Street",
    node="WB-01",
    place="Alder Cottage, south gable",
    far="Teal Reach",
    cable="MS-48",
    cable_type="lt-48",
    enclosure_type="wall-box-small",
    tray_type="tray-24",
    trays=1,
    work_tray=1,
    tube=0,
    joined=(),
    whole_tube=False,
    mark_in_m=2148.0,
    mark_out_m=2149.6,
    far_mark_m=3665.2,
    drops=(Drop("D-1", "rd-4", "4", 65.0, "Alder Cottage", "AC"),),
    strip_mm=1270.0,
    live=(1, 2, 25, 40),
)
"""A 48-fibre feeder past a small wall box with every tube uncut; drop D-1 entered and plugged at the customer's."""


def _end(
    key: str,
    site: SiteId,
    side: Side,
    mark_m: float,
    entry: str = "",
    coil_m: float = 0.0,
    strip_mm: float | None = None,
) -> Stop:
    """A stop where a cable ends, held if it is in an entry."""
    stop = StopId(f"{key}.{site}")
    diameter = 600.0 if coil_m else None
    if side == ">":
        return Stop(
            stop,
            site,
            mark_out_m=mark_m,
            entry_out=entry,
            coil_out_m=coil_m,
            coil_diameter_mm=diameter,
            strip_mm=strip_mm,
            anchored_out=True,
        )
    return Stop(
        stop,
        site,
        mark_in_m=mark_m,
        entry_in=entry,
        coil_in_m=coil_m,
        coil_diameter_mm=diameter,
        strip_mm=strip_mm,
        anchored_in=True,
    )


def _cable(name: str, kind: str, first: Stop, last: Stop) -> Cable:
    return Cable(CableId(slug(name)), name, CableTypeId(kind), (first, last), status="planned")


def _box(site: Site, kind: str, tray: str, trays: int, used: set[str]) -> list[Entity]:
    """A box with trays, every entry that is not used plugged."""
    key = EnclosureId(f"{site.id}-box")
    free = tuple(sorted(e.name for e in catalogue().enclosure_types[kind].entries if e.name not in used))
    made: list[Entity] = [Enclosure(key, site.id, EnclosureTypeId(kind), site.name, free, site.place)]
    made += [Tray(TrayId(f"{site.id}-tray-{n}"), key, TrayTypeKey(tray), n, str(n)) for n in range(1, trays + 1)]
    return made


def _plug(history: History, cable: Cable, index: int) -> None:
    """Plug every fibre of a cable's end into the ports of its site, from port 1."""
    stop, side = cable.stops[index], ">" if index == 0 else "<"
    count = history.plant.cable_types[cable.type].fibre_count
    ends = tuple(FibreEnd(cable.id, n, stop.id, side) for n in range(1, count + 1))  # type: ignore[arg-type]
    history.do(Plug(ends, tuple(PortId(f"{stop.site}.{n}") for n in range(1, count + 1))))


def _drafted(history: History, site: SiteId) -> Plant:
    draw_site(history, site)
    return as_new(history)


def straight_joint() -> Plant:
    """Two 96-fibre cables end at a dome of six trays; their 192 ends there are neither joined nor stored yet."""
    west = Site(SiteId("gorse-lane"), "Gorse Lane", "exchange")
    joint = Site(SiteId("j-01"), "J-01", "enclosure", "Chamber 4, Gorse Lane")
    east = Site(SiteId("pike-bridge"), "Pike Bridge", "cabinet")
    first = _cable(
        "GL-96", "lt-96", _end("gl-96", west.id, ">", 0.0), _end("gl-96", joint.id, "<", 1480.0, "1A", 12.0, 1600.0)
    )
    second = _cable(
        "PB-96", "lt-96", _end("pb-96", joint.id, ">", 0.0, "1B", 12.0, 1600.0), _end("pb-96", east.id, "<", 2015.0)
    )
    history = History(Plant())
    history.do(Bring(parts_for("lt-96", "dome-6", "tray-24")))
    job = JobInfo(owner="Your company", project="Gorse Lane joint", drawing_no="J-01")
    sockets: list[Port] = [*ports(west.id, "GL", 96, "panel"), *ports(east.id, "PB", 96, "panel")]
    box = _box(joint, "dome-6", "tray-24", 4, {"1A", "1B"})
    history.do(Add((job, west, joint, east, first, second, *box, *sockets), "lay the plant"))
    _plug(history, first, 0)
    _plug(history, second, 1)
    return _drafted(history, joint.id)


def drop_terminal() -> Plant:
    """A 12-fibre feeder ends at a large wall box among twelve single drops; their 24 ends there wait to be joined."""
    hub = Site(SiteId("sorrel-road"), "Sorrel Road", "exchange")
    node = Site(SiteId("t-01"), "T-01", "enclosure", "Finch Row, pole 3")
    homes = [Site(SiteId(f"{n}-finch-row"), f"{n} Finch Row", "premises") for n in range(1, 13)]
    feeder = _cable(
        "SR-12", "lt-12", _end("sr-12", hub.id, ">", 0.0), _end("sr-12", node.id, "<", 640.0, "1A", 12.0, 1500.0)
    )
    drops = []
    for n, home in enumerate(homes, start=1):
        key = f"d-{n:02d}"
        start = _end(key, node.id, ">", 0.0, str(4 + (n - 1) // 3), strip_mm=1500.0)
        drops.append(_cable(f"D-{n:02d}", "rd-1", start, _end(key, home.id, "<", 24.0 + 6.0 * n)))
    history = History(Plant())
    history.do(Bring(parts_for("lt-12", "rd-1", "wall-box-large", "tray-24-large")))
    job = JobInfo(owner="Your company", project="Finch Row drops", drawing_no="T-01")
    sockets = [*ports(hub.id, "SR", 12, "panel")]
    for home in homes:
        sockets += ports(home.id, "outlet", 1, "outlet")
    services = [
        Service(ServiceId(f"f-{n:02d}"), f"F-{n:02d}", PortId(f"{home.id}.1"), "planned", home.name)
        for n, home in enumerate(homes, start=1)
    ]
    box = _box(node, "wall-box-large", "tray-24-large", 2, {"1A", "4", "5", "6", "7"})
    history.do(Add((job, hub, node, *homes, feeder, *drops, *box, *sockets, *services), "lay the plant"))
    _plug(history, feeder, 0)
    for drop in drops:
        _plug(history, drop, 1)
    _bundle(history, node.id, drops)
    return _drafted(history, node.id)


def _bundle(history: History, site: SiteId, drops: list[Cable]) -> None:
    """Draw the drops of each entry in one transport tube to the first tray."""
    plant = history.plant
    box, tray = plant.enclosures[EnclosureId(f"{site}-box")], plant.trays[TrayId(f"{site}-tray-1")]
    entries = sorted({drop.stops[0].entry_out for drop in drops})
    for index, entry in enumerate(entries):
        group = tuple((drop, drop.stops[0]) for drop in drops if drop.stops[0].entry_out == entry)
        route = drop_route(plant, box, group, tray, index=index, of=len(entries), transport_od_mm=8.0)
        history.do(DrawRoute(route, name="draft the drops"))
