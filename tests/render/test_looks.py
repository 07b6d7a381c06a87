"""Names and looks of tubes and fibres, against the printed order of the twelve colours."""

from dataclasses import replace

import pytest

from model.catalogue import parts_for
from model.entities import Cable, Site, Stop
from model.errors import PlantError
from model.ids import CableId, CableTypeId, SiteId, StopId
from model.lookup import cable_type
from model.plant import Plant
from model.templates import LARKMOOR, THISTLEMERE, MidSpan, mid_span
from render.looks import fibre_look, ranges, tube_look
from render.refs import fibre_ref, split_ref, tube_ref


def feeder(spec: MidSpan = LARKMOOR) -> tuple[Plant, Cable]:
    plant = mid_span(spec)
    return plant, next(c for c in plant.cables.values() if c.name == spec.cable)


def test_tube_3_is_green_and_fibre_27_is_the_third_of_its_tube() -> None:
    # TIA-598 order: blue, orange, green; 27 = 2 x 12 + 3.
    plant, cable = feeder()
    assert tube_look(plant, cable, 3).label == "T3-GR"
    assert fibre_look(plant, cable, 27).label == "27 GR"
    assert fibre_look(plant, cable, 27).words == "green"


def test_the_second_dozen_carries_one_mark_and_keeps_the_letters() -> None:
    plant, cable = feeder()
    look = tube_look(plant, cable, 13)
    assert (look.label, look.marks, look.mark_colour) == ("T13-BL", 1, "black")
    black = tube_look(plant, cable, 20)
    assert (black.label, black.mark_colour) == ("T20-BK", "yellow")


def test_colours_of_unequal_tubes_count_from_each_tubes_first_fibre() -> None:
    plant, cable = feeder(THISTLEMERE)
    kind = cable_type(plant, cable)
    uneven = replace(kind, tubes=(6, 12))
    kinds = [uneven if getattr(e, "id", "") == kind.id and type(e) is type(kind) else e for e in plant.entities()]
    changed = type(plant)(kinds)
    assert fibre_look(changed, cable, 7).label == "7 BL"


def test_a_fibre_the_cable_has_not_is_refused() -> None:
    plant, cable = feeder()
    with pytest.raises(PlantError):
        fibre_look(plant, cable, 73)


def test_ranges_read_as_people_write_them() -> None:
    assert ranges((25, 26, 27, 30)) == "25-27, 30"
    assert ranges(()) == ""


def test_refs_come_apart_again_even_when_an_id_holds_a_colon() -> None:
    assert split_ref(tube_ref("a:b", 3)) == ("tube", "a:b", "3")
    assert split_ref(fibre_ref("lm-a1", 27)) == ("fibre", "lm-a1", "27")
    assert split_ref("site:x:y") == ("site", "x:y", "")


def test_colours_count_anew_in_every_ribbon() -> None:
    # TIA-598: fibres of a ribbon follow the base order; fibre 800 of 12-fibre ribbons is ribbon 67, position 8, black.
    plant = Plant([*parts_for("rb-864"), Site(SiteId("a"), "A", "exchange"), Site(SiteId("b"), "B", "cabinet")])
    stops = (Stop(StopId("x.a"), SiteId("a"), mark_out_m=0.0), Stop(StopId("x.b"), SiteId("b"), mark_in_m=10.0))
    look = fibre_look(plant, Cable(CableId("x"), "X", CableTypeId("rb-864"), stops), 800)
    assert look.label == "800 BK"
    assert look.marks == 0
