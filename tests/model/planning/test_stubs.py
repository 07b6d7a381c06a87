# mypy: disable-error-code="arg-type, union-attr"
"""Loose glass at an enclosure: needless cuts taken back, stubs stored and said with where they lead."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.catalogue import parts_for
from model.edits.cutting import CutFibres
from model.edits.parts import Add, Bring, Replace
from model.entities import Splitter
from model.errors import PlantError
from model.graph import Continuity
from model.history import History
from model.planning import tidy_stubs
from model.plant import Plant
from model.rules.run import check
from model.templates import LARKMOOR, TEMPLATES, mid_span
from model.templates.cabinet import bramblecote


def errors(plant: Plant) -> list[str]:
    return [f.message for f in check(plant) if f.severity == "error"]


def cut_for_nothing() -> History:
    """The mid-span template with 13-16 cut and nothing joined to them."""
    plant = TEMPLATES["mid-span"]()
    history = History(plant)
    history.do(CutFibres("ms-48", plant.cables["ms-48"].stops[1].id, (13, 14, 15, 16)))
    return History(history.plant)


def larkmoor_without_places() -> Plant:
    """Larkmoor's tube 3 cut, ten of its fibres joined to drops, and no word on where any stub lies."""
    plant = mid_span(LARKMOOR)
    feeder = plant.cables["lm-a1"]
    bare = replace(feeder, stops=tuple(replace(stop, stored=()) for stop in feeder.stops))
    return Plant([bare if e is feeder else e for e in plant.entities()])


def test_fibres_cut_for_nothing_are_left_uncut_and_their_tube_passes_again() -> None:
    history = cut_for_nothing()
    plant = history.plant
    before = plant.copy()
    first, second = tidy_stubs(Continuity(plant), "wb-01")
    assert first.name == "leave 4 fibres uncut at WB-01"
    assert any(line.startswith("MS-48:13-16 need not be cut") for line in first.reasons)
    assert any(line.startswith("D-1:1>: 1 stub, to Alder Cottage for AC-1, which waits to") for line in first.reasons)
    assert "tube 2 of MS-48 then has no cut fibre and passes uncut" in first.reasons
    assert (dict(first.cost)["fibres cut for nothing"], dict(second.cost)["fibres cut for nothing"]) == (0, 4)
    history.do(*first.edits, name=first.name)
    assert plant.cables["ms-48"].stops[1].tubes == ()
    assert errors(plant) == []
    history.undo()
    assert plant == before


def test_the_second_way_stores_every_end_and_loop() -> None:
    history = cut_for_nothing()
    second = tidy_stubs(Continuity(history.plant), "wb-01")[1]
    history.do(*second.edits)
    assert not [f for f in check(history.plant) if f.rule in ("fibre.accounted", "loops.placed", "tray.stored")]
    assert any(
        line.startswith("MS-48:13-16<: 4 stubs, whole to Marl Street and kept as spare") for line in second.reasons
    )
    assert any(line.startswith("MS-48:17-24 loop through uncut") for line in second.reasons)


def test_stubs_are_said_with_where_they_lead_and_how_long_they_are() -> None:
    # The field side runs from mark 1866.43 to 3120.5: 1254.07 m of sheath, x 1.02 = 1279.2 m of fibre.
    plant = larkmoor_without_places()
    first, second = tidy_stubs(Continuity(plant), "wb-12")
    assert any("LM-A1:35-36 need not be cut" in line for line in first.reasons)
    assert any(
        line.startswith("LM-A1:25-36>: 12 stubs, dark to Otter Bridge, 1279 m of fibre; stored on tray 2")
        for line in second.reasons
    )
    history = History(plant)
    for proposal in (first, second):
        history.do(*proposal.edits)
        assert errors(plant) == []
        history.undo()


def test_what_is_cut_beside_a_finished_joint_stays_cut() -> None:
    plant = larkmoor_without_places()
    history = History(plant)
    made = next(iter(plant.splices.values()))
    history.do(Replace(replace(made, status="done"), "made"))
    (only,) = tidy_stubs(Continuity(plant), "wb-12")
    assert only.name == "store the stubs at WB-12"


def test_what_no_tray_has_room_for_goes_to_the_bay() -> None:
    history = cut_for_nothing()
    plant = history.plant
    kind = plant.tray_types["tray-24"]
    history.do(Replace(replace(kind, stored_max=0), "smaller"))
    second = tidy_stubs(Continuity(plant), "wb-01")[1]
    assert dict(second.cost)["ends stored in the bay"] == 20
    assert dict(second.cost)["ends stored on trays"] == 0
    assert any("in the bay: no tray has room" in line for line in second.reasons)


def test_glass_that_has_its_place_is_left_alone() -> None:
    assert tidy_stubs(Continuity(mid_span(LARKMOOR)), "wb-12") == ()
    assert tidy_stubs(Continuity(bramblecote()), "bc-5") == ()
    assert tidy_stubs(Continuity(bramblecote()), "fallow-cross") == ()


def test_parked_legs_are_named() -> None:
    history = cut_for_nothing()
    history.do(Bring(parts_for("1x4")), Add((Splitter("sp", "wb-01", "1x4", "SP-9"),), "splitter"))
    first = tidy_stubs(Continuity(history.plant), "wb-01")[0]
    assert "SP-9: 4 legs 1-4 stay parked and capped" in first.left_alone


def test_an_unknown_site_is_said() -> None:
    with pytest.raises(PlantError, match="no site"):
        tidy_stubs(Continuity(bramblecote()), "nowhere")
