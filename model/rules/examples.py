"""Small plants the rules are shown on: one clean plant, made from a template, and ways to put one fault into it.

The clean plant is a mid-span wall box that no rule has anything to say about: three fibres of tube 2 of TM-B1 joined to
drop D-1, its fourth fibre spare, uncut fibres and stubs in the slack bay. Faults are written past the edits' own
checks where an edit would refuse them, as a wrong record would be.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from typing import Any

from model.drafting import drop_route
from model.entities import (
    Cable,
    Enclosure,
    FibreEnd,
    Mating,
    Port,
    Reading,
    Route,
    Service,
    Side,
    Splice,
    Stop,
    Stored,
    Tray,
)
from model.ids import CableTypeId, EnclosureId, MatingId, PortId, ServiceId, SpliceId, StopId, TrayId
from model.parts import CableType, EnclosureType, TrayType
from model.plant import TABLE_OF, Entity, Plant
from model.templates import LARKMOOR, THISTLEMERE, Drop, mid_span

FEEDER, DROP = "tm-b1", "d-1"
STOP, DROP_STOP = "tm-b1.wb-07", "d-1.wb-07"
BOX, TRAY = "wb-07-box", "wb-07-tray-1"
T2_A, T2_B = f"tube {STOP} T2<", f"tube {STOP} T2>"
T1, T3, DROPS = f"tube {STOP} T1", f"tube {STOP} T3", f"drops {BOX} 4"
SHEATH = f"sheath {STOP}<"
THREE_TURNS_MM = 925.4867
"""Three turns of the tray's track."""


def _base() -> Plant:
    return _drafted(2149.6255)


@cache
def _drafted(mark_out_m: float) -> Plant:
    spec = replace(
        THISTLEMERE,
        joined=(13, 14, 15),
        mark_out_m=mark_out_m,
        drops=(Drop("D-1", "rd-4", "4", 65.0, "Thistlemere Hall", "TH"),),
        live=(1, 2, 40),
    )
    plant = mid_span(spec)
    plant = without(plant, ServiceId("th-4"), "services")
    kind = plant.cable_types[CableTypeId("rd-4")]
    # One class of fibre throughout; stiffer fibre asks for wider bends than this drop's tube would.
    stiff = plant.fibre_classes[plant.cable_types[CableTypeId("lt-48")].fibre_class]
    plant = put(plant, replace(kind, fibre_class=stiff.id, tube_bend_mm=stiff.least_radius_mm))
    drop = cable(plant, DROP)
    plant = put(
        plant,
        drop_route(plant, plant.enclosures[EnclosureId(BOX)], ((drop, drop.stops[0]),), plant.trays[TrayId(TRAY)]),
    )
    for name in (FEEDER, DROP):
        stops = tuple(
            replace(stop, stored=tuple(replace(record, tray=None) for record in stop.stored))
            for stop in cable(plant, name).stops
        )
        plant = put(plant, replace(cable(plant, name), stops=stops))
    return plant


def clean() -> Plant:
    """The plant no rule has anything to say about."""
    return _base().copy()


def large() -> Plant:
    """A larger wall box: a whole tube cut, ten drops in four bundles."""
    return mid_span(LARKMOOR)


def put(plant: Plant, *changed: Entity) -> Plant:
    """The plant with entities added or replaced in place, unchecked."""
    new = {(type(entity), entity.id): entity for entity in changed}
    kept = [new.pop((type(e), e.id), e) for e in plant.entities()]
    return Plant([*kept, *new.values()])


def without(plant: Plant, key: str, table: str) -> Plant:
    """The plant without one entity, unchecked."""
    return Plant([e for e in plant.entities() if not (TABLE_OF[type(e)] == table and e.id == key)])


def cable(plant: Plant, key: str = FEEDER) -> Cable:
    """A cable by id."""
    return plant.table("cables")[key]  # type: ignore[no-any-return]


def stop(plant: Plant, key: str = FEEDER) -> Stop:
    """The stop of a cable in the wall box."""
    return next(s for s in cable(plant, key).stops if s.site == "wb-07")


def with_stop(plant: Plant, key: str = FEEDER, **values: Any) -> Plant:
    """The plant with fields of a cable's stop in the wall box changed."""
    old = cable(plant, key)
    stops = tuple(replace(s, **values) if s.site == "wb-07" else s for s in old.stops)
    return put(plant, replace(old, stops=stops))


def with_stored(plant: Plant, key: str, records: Iterable[Stored]) -> Plant:
    """The plant with other storage records at a cable's stop in the wall box."""
    return with_stop(plant, key, stored=tuple(records))


def with_kind(plant: Plant, key: str = FEEDER, **values: Any) -> Plant:
    """The plant with fields of a cable's type changed."""
    kind: CableType = plant.cable_types[cable(plant, key).type]
    return put(plant, replace(kind, **values))


def with_tray(plant: Plant, **values: Any) -> Plant:
    """The plant with fields of its tray changed."""
    tray: Tray = plant.table("trays")[TRAY]
    return put(plant, replace(tray, **values))


def with_tray_kind(plant: Plant, **values: Any) -> Plant:
    """The plant with fields of its tray's type changed."""
    kind: TrayType = plant.tray_types[plant.table("trays")[TRAY].type]
    return put(plant, replace(kind, **values))


def with_box(plant: Plant, **values: Any) -> Plant:
    """The plant with fields of its enclosure changed."""
    box: Enclosure = plant.table("enclosures")[BOX]
    return put(plant, replace(box, **values))


def with_box_kind(plant: Plant, **values: Any) -> Plant:
    """The plant with fields of its enclosure's type changed."""
    kind: EnclosureType = plant.enclosure_types[plant.table("enclosures")[BOX].type]
    return put(plant, replace(kind, **values))


def with_entry(plant: Plant, name: str, **values: Any) -> Plant:
    """The plant with fields of one entry of its enclosure's type changed."""
    kind = plant.enclosure_types[plant.table("enclosures")[BOX].type]
    return with_box_kind(plant, entries=tuple(replace(e, **values) if e.name == name else e for e in kind.entries))


def splice(plant: Plant, fibre: int = 13) -> Splice:
    """The splice of a feeder fibre's exchange side."""
    return plant.table("splices")[f"splice {FEEDER}:{fibre}@{STOP}<"]  # type: ignore[no-any-return]


def with_splice(plant: Plant, fibre: int, **values: Any) -> Plant:
    """The plant with fields of one splice changed."""
    return put(plant, replace(splice(plant, fibre), **values))


def made(plant: Plant, *readings: Reading, **values: Any) -> Plant:
    """The plant with the splice of fibre 13 done, signed and read so."""
    signed: dict[str, Any] = {"status": "done", "done_by": "AB", "done_on": "2026-03-01", "measured": readings}
    return with_splice(plant, 13, **signed | values)


def both_ways(ab_db: float, ba_db: float, wavelength_nm: int = 1550, *, sealed: bool = False) -> tuple[Reading, ...]:
    """Readings of both directions."""
    return Reading(wavelength_nm, "A-B", ab_db, sealed), Reading(wavelength_nm, "B-A", ba_db, sealed)


def feeder_end(fibre: int, side: Side = "<") -> FibreEnd:
    """A feeder fibre's end in the wall box."""
    return FibreEnd(_base().table("cables")[FEEDER].id, fibre, StopId(STOP), side)


def drop_end(fibre: int) -> FibreEnd:
    """A drop fibre's end in the wall box."""
    return FibreEnd(_base().table("cables")[DROP].id, fibre, StopId(DROP_STOP), ">")


def joined(plant: Plant, key: str, a: FibreEnd, b: FibreEnd, slot: int = 4) -> Plant:
    """The plant with one more splice, unchecked."""
    model = splice(plant)
    return put(plant, Splice(SpliceId(key), model.site, a, b, model.tray, slot))


def without_stubs(plant: Plant, key: str) -> Plant:
    """The plant with only the uncut fibres' storage records at a cable's stop."""
    return with_stored(plant, key, (record for record in stop(plant, key).stored if record.side == ""))


def route(plant: Plant, key: str) -> Route:
    """A route by id."""
    return plant.table("routes")[key]  # type: ignore[no-any-return]


def with_route(plant: Plant, key: str, **values: Any) -> Plant:
    """The plant with fields of a route changed."""
    return put(plant, replace(route(plant, key), **values))


def with_support(plant: Plant, key: str, index: int, **values: Any) -> Plant:
    """The plant with fields of one support of a route changed."""
    supports = route(plant, key).supports
    return with_route(
        plant, key, supports=tuple(replace(s, **values) if i == index else s for i, s in enumerate(supports))
    )


def with_service(plant: Plant, port: str, key: str = "x-1", **values: Any) -> Plant:
    """The plant with one more service."""
    return put(plant, replace(Service(ServiceId(key), key.upper(), PortId(port), "live"), **values))


def with_service_fields(plant: Plant, key: str, **values: Any) -> Plant:
    """The plant with fields of a service changed."""
    return put(plant, replace(plant.table("services")[key], **values))


def plugged(plant: Plant, key: str, end: FibreEnd) -> Plant:
    """The plant with a new port in the wall box and an end plugged into its rear."""
    port = Port(PortId(f"{key} port"), plant.table("enclosures")[BOX].site, "WB", 1)
    return put(plant, port, Mating(MatingId(key), port.id, end))


def without_stub_13(plant: Plant) -> Plant:
    """The plant with field-side stub 13 stored no more."""
    return with_stored(plant, FEEDER, less(stop(plant).stored, {13}))


def less(records: Iterable[Stored], fibres: set[int]) -> tuple[Stored, ...]:
    """The records without some cut ends."""
    left = (replace(r, fibres=tuple(f for f in r.fibres if r.side == "" or f not in fibres)) for r in records)
    return tuple(record for record in left if record.fibres)


def tray_id() -> TrayId:
    """The tray's id."""
    return TrayId(TRAY)


def with_cut_at(plant: Plant, cut_at_mm: float) -> Plant:
    """The plant with its tube's fibres cut at another place along the opening."""
    return with_stop(plant, tubes=tuple(replace(work, cut_at_mm=cut_at_mm) for work in stop(plant).tubes))


def opening_changed(more_mm: float) -> Plant:
    """The clean plant drafted for an opening ``more_mm`` longer."""
    return _drafted(round(2149.6255 + more_mm / 1000.0, 4)).copy()


def padded(plant: Plant, loss_db: float) -> Plant:
    """The plant with a splice planned at a loss that brings the path to TH-1 near ``loss_db`` at 1310 nm."""
    return with_splice(plant, 13, planned_db=loss_db)
