"""What exists in a plant: cables and their stops, splices, splitters, ports, services and the records about them.

Values are frozen and held by id; a change is a replacement. Three lengths are never confused: sheath (printed marks,
metres), fibre (sheath x (1 + excess)) and route (along the ground). Inside an enclosure everything is millimetres.
Part types (cable, enclosure, tray, splitter) are in ``parts.py``; what follows from these values is computed elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.ids import (
    CableId,
    CableTypeId,
    EnclosureId,
    EnclosureTypeId,
    MatingId,
    PortId,
    RouteId,
    ServiceId,
    SiteId,
    SpliceId,
    SplitterId,
    SplitterTypeId,
    StopId,
    TicketId,
    TrayId,
    TrayTypeId,
)

Side = Literal["<", ">"]
"""``<`` is the side toward the exchange, ``>`` the side toward the field."""

WorkStatus = Literal["existing", "planned", "done", "remove"]
SiteKind = Literal["exchange", "cabinet", "enclosure", "slack", "premises"]
ServiceStatus = Literal["live", "planned", "ceased"]


@dataclass(frozen=True, slots=True)
class Evidence:
    """How well a record is known: verified on a date by somebody, inherited from an older record, or assumed."""

    kind: Literal["verified", "inherited", "assumed"] = "assumed"
    date: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """A place where cables stop."""

    id: SiteId
    name: str
    kind: SiteKind
    place: str = ""
    access: str = ""
    chainage_m: float | None = None
    """Distance along the ground from the exchange, metres, where it is known."""


@dataclass(frozen=True, slots=True)
class TubeWork:
    """What is done to one tube at a passing stop; a tube without one passes *express* (uncut).

    ``opened``: a window is cut in the tube, the fibres in ``cut`` are cut, the rest loop through uncut on a tray.
    ``cut``: tube and all its fibres are cut. ``cut`` holds running fibre numbers, ascending.
    ``cut_at_mm`` is where the fibres are cut, along the opened length from the exchange-side sheath end;
    ``None`` means just inside the field-side tube end, so that the exchange side keeps the long tail.
    """

    tube: int
    state: Literal["opened", "cut"]
    cut: tuple[int, ...] = ()
    cut_at_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Stored:
    """Where uncut or dead glass lies at a stop: a tray, or the slack bay when ``tray`` is empty.

    ``side`` is empty for glass that loops through uncut, else the side whose cut ends are stored there.
    ``turns`` on the tray's track or in the bay; ``length_mm`` is the stored length where it was measured.
    """

    fibres: tuple[int, ...]
    side: Literal["", "<", ">"] = ""
    tray: TrayId | None = None
    turns: float = 0.0
    length_mm: float | None = None


@dataclass(frozen=True, slots=True)
class MarkJump:
    """Where the print on a sheath does not run on: going outward, ``before_m`` is its last mark, ``after_m`` the next.

    A counter that starts anew after 9999 m is ``MarkJump(10000, 0)``. A length with another jacket has two: one onto
    its own print and one back. Metres, as all marks; the places follow from the marks on both sides.
    """

    before_m: float
    after_m: float


@dataclass(frozen=True, slots=True)
class Stop:
    """A cable at a site. The first and last stop of a cable are its ends; at any other the sheath passes.

    ``mark_in_m`` is the printed mark at the end of the exchange-side sheath here, ``mark_out_m`` at the start of the
    field-side sheath, both in metres (the cable keeps its printed unit). Between the two lies the sheath opening.
    A coil is stored outside on each side, and a riser counts with it: sheath that gets no further along the route. A
    tail is glass beyond an end's last mark, up to the joint. ``jumps`` are where the print does not run on, on the
    sheath toward the next stop, from here outward.
    """

    id: StopId
    site: SiteId
    mark_in_m: float | None = None
    mark_out_m: float | None = None
    entry_in: str = ""
    entry_out: str = ""
    coil_in_m: float = 0.0
    coil_out_m: float = 0.0
    coil_diameter_mm: float | None = None
    tail_m: float = 0.0
    strip_mm: float | None = None
    """Jacket removed at an end of the cable, millimetres; at a passing stop the marks say it."""
    anchored_in: bool = False
    anchored_out: bool = False
    bonded: bool = False
    outage: str = ""
    """The approved outage under which live glass may be cut here, if any."""
    tubes: tuple[TubeWork, ...] = ()
    stored: tuple[Stored, ...] = ()
    jumps: tuple[MarkJump, ...] = ()


@dataclass(frozen=True, slots=True)
class Cable:
    """A sheath with its ordered stops from the exchange side outward (at least two)."""

    id: CableId
    name: str
    type: CableTypeId
    stops: tuple[Stop, ...]
    mark_unit: Literal["m", "ft"] = "m"
    status: WorkStatus = "existing"
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True)
class Enclosure:
    """A housing at a site, of a catalogue type; ``plugged`` names its entries closed by a plug."""

    id: EnclosureId
    site: SiteId
    type: EnclosureTypeId
    name: str
    plugged: tuple[str, ...] = ()
    location: str = ""


@dataclass(frozen=True, slots=True)
class Tray:
    """A tray in an enclosure; ``position`` counts the enclosure's tray positions from 1."""

    id: TrayId
    enclosure: EnclosureId
    type: TrayTypeId
    position: int
    name: str
    sleeve_mm: float | None = None
    """Length of the sleeves used on it when it differs from the holder's, millimetres."""
    reserve: int = 0
    """Joints it is to keep room for, so that one made again later finds a slot."""


@dataclass(frozen=True, slots=True)
class FibreEnd:
    """One end of a piece of glass: the fibre of a cable at a stop, on the ``<`` or the ``>`` side of the cut."""

    cable: CableId
    fibre: int
    stop: StopId
    side: Side


@dataclass(frozen=True, slots=True)
class LegEnd:
    """One leg of a splitter: inputs and outputs are numbered from 1."""

    splitter: SplitterId
    role: Literal["in", "out"]
    number: int


GlassEnd = FibreEnd | LegEnd


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured splice loss in dB, one wavelength, one direction, or the splicer's own estimate.

    Of several alike the last counts. ``wavelength_nm`` is 0 for an estimate whose wavelength nobody said; ``sealed``
    where it was read after the enclosure had been closed.
    """

    wavelength_nm: int
    direction: Literal["A-B", "B-A", "estimate"]
    loss_db: float
    sealed: bool = False


@dataclass(frozen=True, slots=True)
class Attempt:
    """A try at a joint that was broken open again: what was read of it, who made it and when."""

    readings: tuple[Reading, ...] = ()
    by: str = ""
    on: str = ""


@dataclass(frozen=True, slots=True)
class Splice:
    """A permanent joint of two glass ends, in a slot of a tray.

    ``measured``, ``done_by`` (initials) and ``done_on`` (a date, YYYY-MM-DD) tell of the joint as it is now. What was
    made before and broken open again stands in ``attempts``, the oldest first: a fusion cannot be gone back to, so the
    joint that is kept is always the last one made.
    """

    id: SpliceId
    site: SiteId
    a: GlassEnd
    b: GlassEnd
    tray: TrayId | None = None
    slot: int | None = None
    method: Literal["fusion", "ribbon", "mechanical"] = "fusion"
    status: WorkStatus = "planned"
    planned_db: float = 0.10
    measured: tuple[Reading, ...] = ()
    done_by: str = ""
    done_on: str = ""
    roll: bool = False
    note: str = ""
    evidence: Evidence = Evidence()
    attempts: tuple[Attempt, ...] = ()


@dataclass(frozen=True, slots=True)
class Splitter:
    """A splitter or unequal tap at a site.

    ``parked`` are outputs whose connectors stand capped in the parking; ``standby`` inputs kept capped for a second
    feed. Both ascend, and neither holds a leg that something is joined to.
    """

    id: SplitterId
    site: SiteId
    type: SplitterTypeId
    name: str
    tray: TrayId | None = None
    evidence: Evidence = Evidence()
    parked: tuple[int, ...] = ()
    standby: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Port:
    """A connector position. ``equipment`` and ``outlet`` ports end a path; a ``panel`` port has a rear and a front.

    Crossing a port costs one mated pair, ``pair_db``.
    """

    id: PortId
    site: SiteId
    panel: str
    number: int
    role: Literal["panel", "equipment", "outlet"] = "panel"
    pair_db: float = 0.30
    power_class: str = ""
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True)
class Mating:
    """What is plugged into one face of a port: a glass end that carries a connector.

    ``pigtail_db`` is the planned loss of the splice to the connector's pigtail; ``None`` where the connector is
    fitted to the glass itself.
    """

    id: MatingId
    port: PortId
    end: GlassEnd
    face: Literal["rear", "front"] = "rear"
    pigtail_db: float | None = 0.10
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True)
class Service:
    """A customer at a port; the path is traced, never stored. ``exchange`` is the expected far port, if promised."""

    id: ServiceId
    name: str
    at: PortId
    status: ServiceStatus = "planned"
    customer: str = ""
    power_class: str = ""


@dataclass(frozen=True, slots=True)
class Shot:
    """An OTDR shot as the instrument showed it: the distance of the event looked for, in the instrument's ``unit``.

    ``glass`` is an end of the piece it was taken on, ``from_side`` the end of the light path the instrument stood at
    (``<`` the exchange). ``index`` is the group index set in the instrument, None for that of the cable. ``lead_m`` of
    launch lead lies before the path. ``file`` names the trace file, ``taken`` says when.
    """

    glass: GlassEnd
    shown: float
    unit: Literal["m", "km", "ft"] = "m"
    index: float | None = None
    lead_m: float = 0.0
    from_side: Side = "<"
    wavelength_nm: int = 1310
    file: str = ""
    taken: str = ""


@dataclass(frozen=True, slots=True)
class Ticket:
    """A fault as it was called in: who is down, who was found up, and what the instrument showed.

    A service in neither list is not known, which is never taken as up.
    """

    id: TicketId
    number: str
    since: str = ""
    down: tuple[ServiceId, ...] = ()
    up: tuple[ServiceId, ...] = ()
    shots: tuple[Shot, ...] = ()
    note: str = ""


RouteKind = Literal["sheath", "tube", "bundle"]


@dataclass(frozen=True, slots=True)
class Support:
    """Where a route is held: an anchored end, a free corner with its fillet, or a circle it wraps.

    ``heading_deg`` (anchors) is the travel direction there, 0 to the right and 90 down the page, ``None`` if free.
    ``side`` (wraps) is 1 for clockwise on the page, -1 for the other way; ``turns`` are extra whole turns.
    """

    kind: Literal["anchor", "corner", "wrap"]
    x_mm: float
    y_mm: float
    radius_mm: float = 0.0
    side: Literal[1, -1] = 1
    turns: int = 0
    heading_deg: float | None = None
    level_mm: float = 0.0
    guide: str = ""


@dataclass(frozen=True, slots=True)
class Route:
    """The drawn course of an item inside an enclosure, in the enclosure type's millimetres.

    ``kind`` sheath: one leg of a cable. tube: tubes of a cable at a stop; ``side`` empty means they run through from
    the exchange-side sheath end to the field-side one. bundle: drops that share one course, in a transport tube when
    ``transport_od_mm`` is given. ``tray`` is where the route ends, if on a tray.
    """

    id: RouteId
    enclosure: EnclosureId
    kind: RouteKind
    stops: tuple[StopId, ...]
    supports: tuple[Support, ...]
    tubes: tuple[int, ...] = ()
    side: Literal["", "<", ">"] = ""
    tray: TrayId | None = None
    level: int = 0
    transport_od_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Revision:
    """One row of the revision table."""

    letter: str
    date: str
    what: str
    by: str = ""
    checked: str = ""
    approved: str = ""


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding somebody has accepted, with the value it had; a worse value brings it back."""

    id: str
    rule: str
    refs: tuple[str, ...]
    measured: float | None
    reason: str
    by: str
    date: str


@dataclass(frozen=True, slots=True)
class JobInfo:
    """What the title block says of the whole plant; there is exactly one, with id ``job``."""

    id: str = "job"
    owner: str = ""
    project: str = ""
    work_order: str = ""
    drawing_no: str = ""
    status: str = "for review"
    drawn: str = ""
    checked: str = ""
    approved: str = ""
    issued: str = ""
    language: str = "en"
    profile: str = "default"
    emergency_call: str = ""
    revisions: tuple[Revision, ...] = ()
