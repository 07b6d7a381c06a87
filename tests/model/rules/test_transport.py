"""Drops that share a transport tube are one bundle, however many entries they come from."""

from dataclasses import replace

from model.changes import Draft, apply
from model.ids import CableId
from model.plant import Plant
from model.rules.run import check
from model.templates import LARKMOOR, THISTLEMERE, mid_span


def rules_of(plant: Plant) -> set[str]:
    return {finding.rule for finding in check(plant)}


def larkmoor(transport_od_mm: float | None) -> Plant:
    plant = mid_span(LARKMOOR)
    draft = Draft(plant)
    for route in plant.routes.values():
        if route.kind == "bundle":
            draft.put(replace(route, transport_od_mm=transport_od_mm))
    apply(plant, draft.change_set("with or without a transport tube"))
    return plant


def test_ten_drops_from_four_entries_in_one_transport_tube_are_one_bundle() -> None:
    # Common practice, no source: at most 12 drops in a transport tube, at most 2 bundles on a tray's ties.
    assert not {"drop.ties", "drop.bundle"} & rules_of(larkmoor(8.0))


def test_the_same_drops_loose_are_four_bundles() -> None:
    found = [f for f in check(larkmoor(None)) if f.rule == "drop.ties"]
    assert [f.measured for f in found] == [4]


def test_a_drop_of_stiff_fibre_may_not_bend_as_tight_as_its_tube() -> None:
    # The sample's drop is laid at 24.15 mm, wide enough for its 1.5 mm tube (23 mm) and for G.657.A2 (7.5 mm);
    # G.652.D stands 30 mm (values of a public ITU leaflet).
    plant = mid_span(THISTLEMERE)
    assert "bend.drop" not in rules_of(plant)
    draft = Draft(plant)
    kind = plant.cable_types[plant.cables[CableId("d-1")].type]
    feeder = plant.cable_types[plant.cables[CableId("tm-b1")].type]
    draft.put(replace(kind, fibre_class=feeder.fibre_class))
    apply(plant, draft.change_set("stiff fibre"))
    assert [f.limit for f in check(plant) if f.rule == "bend.drop"] == [30.0]
