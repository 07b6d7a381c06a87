"""The Marrowfield plant: a 48-fibre cable from a hub past three boxes to a fourth, twelve customers along it.

What a fault ticket is worked on: tube 2 carries customers to K2, K3 and K4, and lies looped through on the trays of K2
and K3. The cable's own figures are its drum sheet's, so the plant holds a type of its own. Lengths are metres by the
printed marks; the same call gives the same plant, ids included.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from model.catalogue import catalogue, parts_for
from model.edits.cutting import CutFibres
from model.edits.joining import Join, Plug, Store
from model.edits.parts import Add, Bring, Replace
from model.entities import (
    Cable,
    Enclosure,
    Evidence,
    FibreEnd,
    JobInfo,
    Port,
    Revision,
    Service,
    Site,
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
    StopId,
    TrayId,
)
from model.ids import TrayTypeId as TrayTypeKey
from model.lookup import fibres_of
from model.missing import place_of
from model.parts import CableType
from model.plant import Plant
from model.redrafting import tune_opened
from model.templates.finish import as_new, draw_site

JOB: Final = JobInfo(
    owner="Saltern Reach Fibre Trust",
    project="Marrowfield route, K1 to K4",
    work_order="WO 3048",
    drawing_no="SR-MF48",
    status="as-built",
    drawn="T. Wilmot",
    checked="E. Achterberg",
    approved="S. Okafor",
    issued="2025-10-14",
    emergency_call="0100 555 0163",
    revisions=(
        Revision("A", "2025-06-03", "MF-48 laid, K1 to K4 set", "TW", "EA", "SO"),
        Revision("B", "2025-10-14", "C1 to C12 in service, marks and trays as built", "TW", "EA", "SO"),
    ),
)
SEEN: Final = Evidence("verified", "2025-10-14", "TW")
TOLD: Final = Evidence("inherited", "2025-10-06", "drop fitters")
CABLE: Final = CableId("mf-48")
TYPE: Final = CableTypeId("mf-48-drum")
HUB: Final = SiteId("hub")
HUB_MARK_M: Final = 4.0
RISER_M: Final = 15.0
"""Sheath from the street up to the hub's panel: stored there like a coil, no part of the route."""
TAIL_M: Final = 6.0
"""Glass from the sheath's end to the hub's panel."""
COIL_M: Final = 15.0
POWER_CLASS: Final = "1000BASE-BX10"


@dataclass(frozen=True, slots=True)
class _Customer:
    service: str
    fibre: int
    name: str
    drop_m: float


@dataclass(frozen=True, slots=True)
class _Box:
    """A box on the route: marks in and out (out is None where the cable ends), chainage, tray of each opened tube."""

    name: str
    place: str
    access: str
    mark_in_m: float
    mark_out_m: float | None
    chainage_m: float
    type: str
    trays: dict[int, int]
    customers: tuple[_Customer, ...]
    tubes_mm: float | None = None

    @property
    def site(self) -> SiteId:
        return SiteId(self.name.lower())

    @property
    def stop(self) -> StopId:
        return StopId(f"{CABLE}.{self.site}")

    def tray(self, tube: int) -> TrayId:
        return TrayId(f"{self.site}-tray-{self.trays[tube]}")


BOXES: Final = (
    _Box(
        "K1",
        "Wall of the pump house, Saltern Road",
        "Gate key 14; water to the left of the path",
        1859.0,
        1861.0,
        1825.0,
        "wall-box-small",
        {1: 1},
        (_Customer("C1", 1, "Pump House", 38.0), _Customer("C2", 2, "2 Saltern Road", 64.0)),
        676.0,
    ),
    _Box(
        "K2",
        "North abutment of Withy Bridge",
        "From the towpath; key 14; no parking on the bridge",
        3151.0,
        3153.0,
        3085.0,
        "wall-box-small",
        {2: 1},
        (_Customer("C3", 13, "Withy Cottage", 41.0), _Customer("C4", 14, "Towpath Workshop", 72.0)),
        676.0,
    ),
    _Box(
        "K3",
        "East gable of Marrowfield School",
        "Sign in at the school office; key 14",
        4093.0,
        4095.0,
        3995.0,
        "wall-box-large",
        {1: 1, 2: 2, 3: 3},
        (
            _Customer("C5", 15, "Marrowfield School", 22.0),
            _Customer("C6", 16, "School House", 35.0),
            _Customer("C7", 25, "Marrowfield Surgery", 58.0),
            _Customer("C8", 3, "Marrowfield Post Office", 84.0),
        ),
    ),
    _Box(
        "K4",
        "Rear wall of Far Barn",
        "Farm track, dogs; ring first; key 14",
        4765.0,
        None,
        4635.0,
        "wall-box-large",
        {2: 2, 3: 3},
        (
            _Customer("C9", 17, "Far Barn", 30.0),
            _Customer("C10", 18, "Far Barn Dairy", 46.0),
            _Customer("C11", 19, "Kiln Cottage", 77.0),
            _Customer("C12", 26, "Kiln Works", 91.0),
        ),
    ),
)


def _cable_type() -> CableType:
    """The catalogue's 48-fibre cable with the figures of this drum: excess 1.8 % and group index 1.4670."""
    return replace(
        catalogue().cable_types["lt-48"],
        id=TYPE,
        title="Loose tube 48 F, 4 x 12, drum MF-48",
        excess=0.018,
        excess_tol=0.005,
        group_index=((1310, 1.4670), (1550, 1.4670), (1625, 1.4670)),
        source="drum sheet of the cable",
    )


def _cable() -> Cable:
    stops = [
        Stop(
            StopId(f"{CABLE}.{HUB}"),
            HUB,
            mark_out_m=HUB_MARK_M,
            coil_out_m=RISER_M,
            tail_m=TAIL_M,
            anchored_out=True,
        )
    ]
    for box in BOXES:
        through = box.mark_out_m is not None
        stops.append(
            Stop(
                box.stop,
                box.site,
                box.mark_in_m,
                box.mark_out_m,
                entry_in="1A",
                entry_out="1B" if through else "",
                coil_in_m=COIL_M,
                coil_out_m=COIL_M if through else 0.0,
                coil_diameter_mm=600.0,
                strip_mm=None if through else 2000.0,
                anchored_in=True,
                anchored_out=through,
            )
        )
    return Cable(CABLE, "MF-48", TYPE, tuple(stops), evidence=SEEN)


def _premises(box: _Box, customer: _Customer) -> tuple[Site, Cable, Port, Service]:
    """A customer's place, the drop to it, the outlet there and the service on it."""
    site = SiteId(customer.service.lower())
    key = CableId(f"d-{site}")
    # One entry of the box for each tray: drops that share an entry share a course.
    entry = str(3 + box.trays[(customer.fibre - 1) // 12 + 1])
    near = Stop(
        StopId(f"{key}.{box.site}"), box.site, mark_out_m=0.0, entry_out=entry, strip_mm=1580.0, anchored_out=True
    )
    far = Stop(StopId(f"{key}.{site}"), site, mark_in_m=customer.drop_m, anchored_in=True)
    outlet = Port(PortId(f"{site}.1"), site, "outlet", 1, "outlet", evidence=SEEN)
    return (
        Site(site, customer.name, "premises"),
        Cable(key, f"D-{customer.service}", CableTypeId("rd-1"), (near, far), evidence=SEEN),
        outlet,
        Service(ServiceId(site), customer.service, outlet.id, "live", customer.name),
    )


def _housing(box: _Box) -> tuple[Enclosure | Tray, ...]:
    used = {"1A", *(str(3 + tray) for tray in box.trays.values()), *(("1B",) if box.mark_out_m is not None else ())}
    kind = catalogue().enclosure_types[box.type]
    plugs = tuple(sorted(entry.name for entry in kind.entries if entry.name not in used))
    key = EnclosureId(f"{box.site}-box")
    enclosure = Enclosure(key, box.site, EnclosureTypeId(kind.id), box.name, plugs, box.place)
    return enclosure, *(
        Tray(TrayId(f"{box.site}-tray-{n.number}"), key, TrayTypeKey("tray-24-large"), n.number, str(n.number))
        for n in kind.tray_positions
    )


def _hub_port(number: int, live: Iterable[int]) -> Port:
    power = POWER_CLASS if number in live else ""
    return Port(PortId(f"{HUB}.{number}"), HUB, "MF", number, power_class=power, evidence=SEEN)


def marrowfield() -> Plant:
    """The Marrowfield plant: C1 and C2 on K1, C3 and C4 on K2, C5 to C8 on K3, C9 to C12 on K4."""
    history = History(Plant())
    parts = parts_for("lt-48", "rd-1", "wall-box-small", "wall-box-large", "tray-24-large")
    history.do(Bring((*(part for part in parts if part.id != "lt-48"), _cable_type())))
    cable = _cable()
    homes = [_premises(box, customer) for box in BOXES for customer in box.customers]
    live = {customer.fibre for box in BOXES for customer in box.customers}
    history.do(
        Add(
            (
                JOB,
                Site(HUB, "Marrowfield Hub", "exchange", "Chapel Lane", chainage_m=0.0),
                *(Site(b.site, b.name, "enclosure", b.place, b.access, b.chainage_m) for b in BOXES),
                *(home[0] for home in homes),
                cable,
                *(home[1] for home in homes),
                *(part for box in BOXES for part in _housing(box)),
                *(_hub_port(number, live) for number in range(1, 49)),
                *(home[2] for home in homes),
                *(home[3] for home in homes),
            ),
            "lay the plant",
        )
    )
    hub = tuple(FibreEnd(CABLE, n, cable.stops[0].id, ">") for n in range(1, 49))
    history.do(Plug(hub, tuple(PortId(f"{HUB}.{n}") for n in range(1, 49))))
    for drop in (home[1] for home in homes):
        far = drop.stops[1]
        history.do(Plug((FibreEnd(drop.id, 1, far.id, "<"),), (PortId(f"{far.site}.1"),)))
    for box in BOXES:
        _splice(history, box)
    for box in BOXES:
        draw_site(history, box.site)
        if box.tubes_mm is not None:
            _tune(history, box, box.tubes_mm)
    _verify(history)
    return as_new(history)


def _tune(history: History, box: _Box, tubes_mm: float) -> None:
    """Draw the opened tube so that both its ends together have a length at which the bare fibre lands on its slot."""
    place = place_of(history.plant, box.stop)
    assert place is not None  # noqa: S101  # it was drafted a moment ago
    for tube in box.trays:
        history.do(*tune_opened(place, tube, history.plant.trays[box.tray(tube)], tubes_mm), name="tune the tails")


def _verify(history: History) -> None:
    """Everything was seen when the record was made, but for the outlets, which the fitters wrote down."""
    plant = history.plant
    history.do(
        *(Replace(replace(s, evidence=SEEN), "verify the joints") for s in plant.splices.values()),
        *(
            Replace(replace(m, evidence=TOLD if plant.ports[m.port].role == "outlet" else SEEN), "verify the joints")
            for m in plant.matings.values()
        ),
        name="verify the joints",
    )


def _splice(history: History, box: _Box) -> None:
    """Cuts, joints and stored glass of one box."""
    kind = history.plant.cable_types[TYPE]
    taken = tuple(sorted(customer.fibre for customer in box.customers))
    through = box.mark_out_m is not None
    if through:
        history.do(CutFibres(CABLE, box.stop, taken))
    for tube in box.trays:
        tray = box.tray(tube)
        fibres = set(fibres_of(kind, tube))
        mine = [customer for customer in box.customers if customer.fibre in fibres]
        drops = [CableId(f"d-{customer.service.lower()}") for customer in mine]
        pairs = tuple(
            (FibreEnd(CABLE, customer.fibre, box.stop, "<"), FibreEnd(drop, 1, StopId(f"{drop}.{box.site}"), ">"))
            for customer, drop in zip(mine, drops, strict=True)
        )
        history.do(Join(box.site, pairs, tray, status="existing"))
        rest = tuple(sorted(fibres - set(taken)))
        if through:
            history.do(Store(CABLE, box.stop, tuple(sorted(fibres & set(taken))), ">", tray))
            history.do(Store(CABLE, box.stop, rest, "", tray))
        else:
            history.do(Store(CABLE, box.stop, rest, "<", tray))
    if not through:
        unopened = [t for t in range(1, len(kind.tubes) + 1) if t not in box.trays]
        history.do(Store(CABLE, box.stop, tuple(f for t in unopened for f in fibres_of(kind, t)), "<"))
