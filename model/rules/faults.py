"""The clean example plant with one named fault each; every function takes the plant and gives a new one.

Where a fault would bring a second one with it, the rest of the plant is drawn to suit, so that one rule alone speaks.
"""

from __future__ import annotations

from dataclasses import replace
from math import tau

from model.catalogue import catalogue
from model.entities import LegEnd, Mating, Splice, Splitter, Support
from model.ids import EnclosureId, MatingId, RouteId, SchemeId, SpliceId, SplitterId, SplitterTypeId, StopId, TrayId
from model.plant import Plant
from model.rules.examples import (
    BOX,
    DROP,
    DROP_STOP,
    DROPS,
    FEEDER,
    SHEATH,
    T2_A,
    THREE_TURNS_MM,
    TRAY,
    cable,
    drop_end,
    feeder_end,
    joined,
    less,
    opening_changed,
    plugged,
    put,
    route,
    stop,
    tray_id,
    with_box,
    with_box_kind,
    with_cut_at,
    with_kind,
    with_route,
    with_splice,
    with_stop,
    with_stored,
    with_support,
    without,
    without_stub_13,
    without_stubs,
)


def with_splitter(plant: Plant, parked: tuple[int, ...]) -> Plant:
    """The plant with a 1x2 splitter at its box, some of whose legs are parked."""
    kind = catalogue().splitter_types["1x2"]
    site = plant.enclosures[EnclosureId(BOX)].site
    return put(plant, kind, Splitter(SplitterId("sp-1"), site, SplitterTypeId(kind.id), "SP-1", parked=parked))


def with_two_feeds(plant: Plant, both: bool) -> Plant:
    """The plant with a 2x4 splitter at its far end, one input or both fed over fibres of the one feeder sheath."""
    kind = catalogue().splitter_types["2x4"]
    far = cable(plant).stops[-1]
    body = Splitter(SplitterId("sp-2"), far.site, SplitterTypeId(kind.id), "SP-2", parked=(1, 2, 3, 4))
    plant = put(plant, kind, body if both else replace(body, standby=(2,)))
    for number in (1, 2) if both else (1,):
        fibre = 40 + number
        plant = without(plant, f"plug ferry-head.{fibre} rear", "matings")
        a, b = replace(feeder_end(fibre), stop=far.id), LegEnd(body.id, "in", number)
        plant = put(plant, Splice(SpliceId(f"feed {number}"), far.site, a, b))
    return plant


def second_plug(plant: Plant) -> Plant:
    """The plant with the spare drop fibre, stored no more, plugged into a port that is taken already."""
    plant = plugged(without_stubs(plant, DROP), "first", drop_end(4))
    taken = plant.table("matings")["first"]
    return put(without_stub_13(plant), Mating(MatingId("second"), taken.port, feeder_end(13, ">")))


def twice_plugged(plant: Plant) -> Plant:
    """The plant with field-side stub 13 plugged into two ports."""
    plant = without_stub_13(plant)
    return plugged(plugged(plant, "first", feeder_end(13, ">")), "second", feeder_end(13, ">"))


def elsewhere(plant: Plant) -> Plant:
    """The plant with a spare drop fibre joined to the far end of fibre 48."""
    plant = without(without_stubs(plant, DROP), "plug ferry-head.48 rear", "matings")
    return joined(plant, "far", drop_end(4), replace(feeder_end(48), stop=cable(plant).stops[-1].id))


def ring(plant: Plant) -> Plant:
    """The plant, opened three turns further, with stubs 13 and 14 joined to each other here and at their far ends."""
    plant = with_cut_at(opening_changed(THREE_TURNS_MM), 1310.0)
    plant = with_stored(plant, FEEDER, less(stop(plant).stored, {13, 14}))
    for number in (13, 14):
        plant = without(plant, f"plug ferry-head.{number} rear", "matings")
    plant = joined(plant, "near", feeder_end(13, ">"), feeder_end(14, ">"))
    far = cable(plant).stops[-1]
    ends = [replace(feeder_end(number), stop=far.id) for number in (13, 14)]
    return put(plant, Splice(SpliceId("far"), far.site, ends[0], ends[1]))


def swapped(plant: Plant) -> Plant:
    """The plant with 13 and 14 joined to each other's drop fibres."""
    return with_splice(with_splice(plant, 13, b=drop_end(2)), 14, b=drop_end(1))


def unslotted(plant: Plant) -> Plant:
    """The plant with its joints on their tray but in no slot."""
    for fibre in (13, 14, 15):
        plant = with_splice(plant, fibre, slot=None)
    return plant


def stored_on_tray(plant: Plant) -> Plant:
    """The plant with the feeder's uncut fibres and stubs on the tray."""
    return with_stored(plant, FEEDER, (replace(record, tray=tray_id()) for record in stop(plant).stored))


def bent_sheath(plant: Plant) -> Plant:
    """The plant with a leg of sheath that comes round a bend of 100 mm from the left."""
    first, last = route(plant, SHEATH).supports
    start = replace(first, x_mm=last.x_mm - 200.0, y_mm=first.y_mm + 200.0, heading_deg=0.0)
    bend = Support("corner", last.x_mm, first.y_mm + 200.0, 100.0)
    return with_route(plant, SHEATH, supports=(start, bend, last))


def tight_drop(plant: Plant) -> Plant:
    """The plant with the drop's last corner at 15 mm radius."""
    return with_support(plant, DROPS, 3, radius_mm=15.0)


def few_entries(plant: Plant) -> Plant:
    """The plant in an enclosure with only the entries in use."""
    kind = plant.enclosure_types[plant.table("enclosures")[BOX].type]
    used = tuple(entry for entry in kind.entries if entry.name in ("1A", "1B", "4"))
    return with_box(with_box_kind(plant, entries=used), plugged=())


def short_of_a_turn(plant: Plant) -> Plant:
    """The plant with the exchange-side tube led once more round the bay, the opening as much longer, and cut early."""
    lane_mm = route(plant, T2_A).supports[3].radius_mm
    plant = with_support(opening_changed(tau * lane_mm), T2_A, 3, turns=1)
    return with_cut_at(plant, 1110.0)


def wrong_side(plant: Plant) -> Plant:
    """The plant with the drops passing a post in their lane on its wrong side, stripped as much longer."""
    supports = route(plant, DROPS).supports
    post = Support("wrap", supports[2].x_mm - 34.0, 140.0, 31.0, -1, guide="post")
    plant = with_route(plant, DROPS, supports=(*supports[:3], post, *supports[3:]))
    return with_stop(plant, DROP, strip_mm=1270.0 + tau * 31.0)


def wide_storage(plant: Plant) -> Plant:
    """The plant with a fibre class that must be stored at 35 mm."""
    kind = plant.cable_types[cable(plant).type]
    return put(plant, replace(plant.fibre_classes[kind.fibre_class], storage_radius_mm=35.0))


def small_bay(plant: Plant) -> Plant:
    """The plant in an enclosure whose bay has little section."""
    kind = plant.enclosure_types[plant.table("enclosures")[BOX].type]
    return with_box_kind(plant, bays=tuple(replace(bay, section_height_mm=6.0) for bay in kind.bays))


def impossible(plant: Plant) -> tuple[Support, ...]:
    """Supports that allow no course: a fillet larger than its straights."""
    first, *_, last = route(plant, DROPS).supports
    return (first, Support("corner", first.x_mm, first.y_mm - 20.0, 500.0), last)


def second_tray(plant: Plant) -> Plant:
    """The plant with one joint on a second tray that no tube is drawn to."""
    tray = replace(plant.table("trays")[TRAY], id=TrayId("second"), position=2, name="2")
    return with_splice(put(plant, tray), 13, tray=tray.id, slot=1)


def thick_bundle(plant: Plant) -> Plant:
    """The plant with a bundle route that names thirteen drops."""
    return with_route(plant, DROPS, stops=(StopId(DROP_STOP),) * 13)


def three_bundles(plant: Plant) -> Plant:
    """The plant with two more bundles tied to the tray."""
    model = route(plant, DROPS)
    return put(plant, *(replace(model, id=RouteId(f"{DROPS} {n}")) for n in (2, 3)))


def other_colours(plant: Plant) -> Plant:
    """The plant with a drop whose fibres are coloured in another order."""
    scheme = catalogue().schemes[SchemeId("din-0888")]
    return with_kind(put(plant, scheme), DROP, fibre_scheme=scheme.id)


def stop_elsewhere(plant: Plant) -> Plant:
    """The plant with a bundle route that names the drop's far end as well."""
    return with_route(plant, DROPS, stops=(StopId(DROP_STOP), cable(plant, DROP).stops[-1].id))


def undrawn(plant: Plant) -> Plant:
    """The plant with nothing drawn in its enclosure."""
    for key in list(plant.routes):
        plant = without(plant, key, "routes")
    return plant


def mark_misread(plant: Plant) -> Plant:
    """The plant with the feeder's last mark read far too low."""
    *first, last = cable(plant).stops
    return put(plant, replace(cable(plant), stops=(*first, replace(last, mark_in_m=1000.0))))


def same_names(plant: Plant) -> Plant:
    """The plant with the drop named like the feeder."""
    return put(plant, replace(cable(plant, DROP), name=cable(plant).name))


def unmarked_end(plant: Plant) -> Plant:
    """The plant with no mark at the feeder's start."""
    first, *rest = cable(plant).stops
    return put(plant, replace(cable(plant), stops=(replace(first, mark_out_m=None), *rest)))
