"""Which sites an edit can change the findings of."""

from __future__ import annotations

from dataclasses import replace

from model.changes import apply
from model.edits.joining import Part
from model.edits.parts import Replace
from model.edits.routing import SetSupport
from model.graph import Continuity
from model.history import Edit, propose
from model.plant import Plant
from model.rules import examples
from model.rules.touched import sites_touched

EVERY = {"quill-lane", "wb-07", "ferry-head", "thistlemere-hall"}


def touched(plant: Plant, edit: Edit) -> set[str]:
    plant = plant.copy()
    continuity = Continuity(plant)
    changes = propose(plant, edit)
    apply(plant, changes)
    continuity.update(changes)
    return set(sites_touched(plant, changes, continuity))


def test_a_moved_route_touches_its_own_site_only() -> None:
    plant = examples.clean()
    route = examples.route(plant, examples.T1)
    moved = SetSupport(route.id, 1, replace(route.supports[1], x_mm=41.0))
    assert touched(plant, moved) == {"wb-07"}


def test_another_mark_touches_the_customers_whose_light_comes_that_way() -> None:
    # TH-1's glass runs from Quill Lane to the box by the mark at the exchange-side sheath end there.
    plant = examples.clean()
    stops = [replace(s, mark_in_m=2147.9) if s.site == "wb-07" else s for s in examples.cable(plant).stops]
    edit = Replace(replace(examples.cable(plant), stops=tuple(stops)), "correct a mark")
    assert touched(plant, edit) == EVERY


def test_a_coil_or_an_anchor_changes_no_light() -> None:
    # The customer's premises are not a stop of the feeder.
    plant = examples.clean()
    stops = [replace(s, coil_in_m=9.0) for s in examples.cable(plant).stops]
    edit = Replace(replace(examples.cable(plant), stops=tuple(stops)), "coil less")
    assert touched(plant, edit) == {"quill-lane", "wb-07", "ferry-head"}


def test_a_joint_taken_apart_touches_both_its_paths() -> None:
    # TM-B1:13 comes from Quill Lane, D-1:1 goes to the hall; the stub to Ferry Head is other glass.
    plant = examples.clean()
    assert touched(plant, Part((examples.splice(plant, 13).id,))) == {"quill-lane", "wb-07", "thistlemere-hall"}


def test_a_tray_type_touches_every_site() -> None:
    plant = examples.clean()
    kind = plant.tray_types[plant.table("trays")[examples.TRAY].type]
    assert touched(plant, Replace(replace(kind, slots=2), "fewer slots")) == EVERY
