"""Margins of services, bends counted, and what is said of paths that do not reach an exchange."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from model.entities import FibreEnd, LegEnd, Mating, Port, Reading, Service, Splice
from model.errors import PlantError
from model.glass import Piece
from model.graph import Continuity
from model.ids import CableId, MatingId, PortId, ServiceId, SiteId, SpliceId, StopId
from model.optics.budget import Bends, ServiceBudget, budget, budgets
from model.plant import Plant
from tests.model.optics.plants import A2, Chain, altered, hall


def said(continuity: Continuity) -> str:
    found = budget(continuity, "svc")
    assert not found.complete
    assert found.margin_max_db is None
    assert found.margin_min_db is None
    assert found.exchange is None
    return found.why


def test_margins_to_both_ends_of_the_class() -> None:
    # 0.3 + 10 km x 0.35 + 17.0 + 0.3 = 21.1 dB in a window of 13 to 28.
    found = budget(Chain().glass(10_000.0).split(17.0, 17.0).service(power_class="B+").done(), "svc")
    assert found.margin_max_db is not None
    assert found.margin_min_db is not None
    assert found.margin_max_db[1310] == pytest.approx(6.9)
    assert found.margin_min_db[1310] == pytest.approx(8.1)
    assert found.why == ""


def test_a_measured_budget_stands_beside_the_planned_one() -> None:
    # Three splices of 0.10 planned; one reads -0.02 and 0.10 at 1550 (mean 0.04), one only one way: 0.30 - 0.06 there.
    read = Reading(1550, "A-B", -0.02), Reading(1550, "B-A", 0.10)
    one_way = (Reading(1550, "A-B", 0.50),)
    chain = Chain(0.0).glass(0.0).glass(0.0, 0.1, measured=read).glass(0.0, 0.1, measured=one_way).glass(0.0, 0.1)
    found = budget(chain.service(0.0).done(), "svc")
    assert found.planned_db == pytest.approx({1310: 0.30, 1550: 0.30})
    assert found.loss_db == pytest.approx({1310: 0.30, 1550: 0.24})
    assert found.measured == {1310: 0, 1550: 1}
    assert found.splices == 3


def test_a_port_without_a_splitter_is_overloaded() -> None:
    # Published: a short network on 1 km fails B+ (13 dB) unless attenuated; 0.3 + 0.35 + 7.3 + 0.3 = 8.25 dB.
    found = budget(Chain().glass(1000.0).split(*(7.3,) * 4).service(power_class="GPON B+").done(), "svc")
    assert found.margin_min_db is not None
    assert found.margin_min_db[1310] == pytest.approx(-4.75)


def test_without_a_class_there_are_no_margins_but_there_is_a_loss() -> None:
    found = budget(hall(), "svc")
    assert found.complete
    assert found.power_class is None
    assert found.margin_max_db is None
    assert found.loss_db[1310] > 1


def test_the_class_of_the_exchange_port_serves_when_the_service_names_none() -> None:
    found = budget(Chain(power_class="C+").glass(10.0).service().done(), "svc")
    assert found.power_class is not None
    assert found.power_class.name == "GPON C+"
    own = budget(Chain(power_class="C+").glass(10.0).service(power_class="N1").done(), "svc")
    assert own.power_class is not None
    assert own.power_class.name == "XGS-PON N1"


def test_an_unknown_class_leaves_the_loss_and_says_so() -> None:
    found = budget(Chain().glass(10.0).service(power_class="B++").done(), "svc")
    assert found.complete
    assert found.margin_max_db is None
    assert "no power class 'B++'" in found.why


# Bends

SPLICED = "B1:15@mid<"
TURNS = [(15.0, 2 * math.tau), (15.0, -math.tau)]


def test_bends_are_their_own_item_and_the_margins_count_them() -> None:
    # Three turns of 15 mm of A1: 3 x 0.025 dB.
    plant = hall(class_of_port="A")
    plain, bent = budget(plant, "svc"), budget(plant, "svc", {SPLICED: TURNS})
    assert bent.loss_db == plain.loss_db
    assert bent.bend_db[1550] == pytest.approx(0.075)
    assert plain.bend_db == {1310: 0, 1550: 0}
    for margins, sign in (("margin_max_db", -1), ("margin_min_db", 1)):
        before, after = getattr(plain, margins), getattr(bent, margins)
        assert after[1550] - before[1550] == pytest.approx(sign * 0.075)


def test_bends_of_uncut_glass_lie_under_its_piece() -> None:
    piece = Piece(CableId("D1"), 3, 0, 1)
    assert budget(hall(), "svc", {piece: TURNS, SPLICED: TURNS}).bend_db[1550] == pytest.approx(0.15)


def test_bends_elsewhere_do_not_count() -> None:
    assert budget(hall(), "svc", {"B1:14@mid<": TURNS}).bend_db[1550] == 0


def test_the_class_of_the_bent_fibre_counts() -> None:
    plant = hall()
    drop = replace(plant.plant.cable_types[plant.plant.cables[CableId("D1")].type], fibre_class=A2.id)
    both: Bends = {SPLICED: TURNS, "D1:3@d0>": TURNS}
    assert budget(altered(plant, drop, A2), "svc", both).bend_db[1550] == pytest.approx(0.075 + 3 * 0.003)


def test_a_bend_too_tight_leaves_no_margin() -> None:
    found = budget(hall(class_of_port="A"), "svc", {SPLICED: [(9.0, 1.0)]})
    assert not found.complete
    assert found.margin_max_db is None
    assert "TM-B1 fibre 15 at WB-07: a bend of 9 mm radius is tighter than G.657.A1 allows" in found.why


def test_bends_of_a_splitter_leg_are_said_to_be_left_out() -> None:
    plant = Chain().split(3.8, 3.8).glass(10.0, 0.1).service().done()
    found = budget(plant, "svc", {"SP1/out1": TURNS})
    assert found.complete
    assert found.bend_db[1550] == 0
    assert "SP1 out 1" in found.why


# Paths that do not get there


def test_a_dark_path_says_where_it_ends() -> None:
    chain = Chain().glass(100.0).glass(100.0, 0.1).service()
    splice = next(entity for entity in chain.entities if isinstance(entity, Splice))
    assert said(chain.done(splice.id)) == "the path ends dark at C3 fibre 1 at Field"


def test_the_wrong_drop_fibre_is_dark_where_the_right_one_is_not() -> None:
    assert budget(hall(), "svc").complete
    assert said(hall(drop_fibre=2)) == "the path ends dark at D-1 fibre 3 at WB-07"


def test_an_end_joined_twice_is_crossed() -> None:
    plant = hall()
    second = FibreEnd(CableId("B1"), 16, StopId("mid"), "<")
    first = plant.plant.splices[SpliceId("J1")]
    crossed = altered(plant, Splice(SpliceId("J2"), SiteId("W"), second, first.b))
    assert said(crossed) == "D-1 fibre 3 at WB-07 is joined more than once"


def test_a_cord_from_a_port_to_itself_closes() -> None:
    plant = hall()
    back = Mating(MatingId("m3"), PortId("out"), FibreEnd(CableId("D1"), 3, StopId("d0"), ">"), "front")
    ring = [entity for entity in altered(plant, back).plant.entities() if entity.id != "J1"]
    assert "closes on itself at OUT port 1" in said(Continuity(Plant(ring)))


def test_a_missing_mark_is_said_and_the_known_rest_still_summed() -> None:
    plant = Chain(power_class="B+").glass(None).split(17.0, 17.0).service().done()
    assert "length of C1 is not known" in said(plant)
    assert budget(plant, "svc").loss_db[1310] == pytest.approx(17.6)
    assert budget(plant, "svc").length_m is None


def test_a_wavelength_no_cable_has_is_said() -> None:
    found = budget(hall(), "svc", None, (1310, 1625))
    assert not found.complete
    assert found.why.count("no attenuation at 1625 nm") == 2  # trunk and drop are of two types


def test_what_is_wrong_twice_is_said_once() -> None:
    found = budget(Chain().glass(10.0).glass(10.0, 0.1).service().done(), "svc", None, (1625,))
    assert found.why.count("no attenuation") == 1


def test_a_port_that_is_no_exchange_port_is_no_goal() -> None:
    plant = hall()
    field = altered(plant, replace(plant.plant.ports[PortId("ql15")], site=SiteId("W")))
    assert said(field) == "the path ends at ODF port 15 at WB-07, which is no exchange port"


def test_equipment_in_the_field_is_a_goal() -> None:
    plant = hall()
    active = altered(plant, replace(plant.plant.ports[PortId("ql15")], site=SiteId("W"), role="equipment"))
    assert budget(active, "svc").exchange == "ql15"


def test_a_bare_port_says_that_nothing_is_plugged() -> None:
    plant = hall()
    kept = [entity for entity in plant.plant.entities() if entity.id != "m2"]
    assert said(Continuity(Plant(kept))) == "nothing on OUT port 1 at Thistlemere Hall leads to an exchange"


def test_a_service_at_no_port_is_said_and_does_not_stop_the_rest() -> None:
    plant = altered(hall(), Service(ServiceId("lost"), "A lost one", PortId("nowhere")))
    found = list(budgets(plant))
    assert [(entry.service, entry.complete) for entry in found] == [("lost", False), ("svc", True)]
    assert "not in the plant" in found[0].why


def test_ceased_services_have_no_budget() -> None:
    plant = hall()
    assert list(budgets(altered(plant, replace(plant.plant.services[ServiceId("svc")], status="ceased")))) == []


def test_no_such_service_is_an_error() -> None:
    with pytest.raises(PlantError, match="no service 'x'"):
        budget(hall(), "x")


# Ways a service may be plugged


def same(one: ServiceBudget, other: ServiceBudget) -> bool:
    return one.complete and other.complete and one.loss_db == pytest.approx(other.loss_db)


def test_the_pair_of_the_own_port_counts_whichever_face_leads_up() -> None:
    plant = hall()
    front = altered(plant, replace(plant.plant.matings[MatingId("m2")], face="front"))
    assert same(budget(front, "svc"), budget(plant, "svc"))


def test_a_cord_below_the_port_is_not_part_of_the_service() -> None:
    plant = hall()
    cord = Mating(MatingId("m3"), PortId("out"), FibreEnd(CableId("D1"), 4, StopId("d1"), "<"), "front")
    assert same(budget(altered(plant, cord), "svc"), budget(plant, "svc"))


def test_a_splitter_with_two_inputs_is_fed_by_the_one_in_use() -> None:
    # The chain joins the last input; the first stays dark.
    chain = Chain().glass(1000.0).split(*(7.6,) * 4, db=0.1, inputs=2).glass(1000.0, 0.1).service()
    found = budget(chain.done(), "svc")
    assert found.complete, found.why
    assert found.loss_db[1310] == pytest.approx(0.6 + 0.7 + 0.2 + 7.6)


def test_of_two_feeds_the_first_input_is_taken_and_it_is_said() -> None:
    chain = Chain().glass(1000.0).split(*(7.6,) * 4, db=0.1, inputs=2).glass(1000.0, 0.1).service()
    plant = chain.done()
    splitter = next(iter(plant.plant.splitters.values())).id
    second = Port(PortId("olt2"), SiteId("X"), "OLT", 2, "equipment", 1.0)
    plug = Mating(MatingId("feed"), second.id, LegEnd(splitter, "in", 1), pigtail_db=None)
    found = budget(altered(plant, second, plug), "svc")
    assert found.complete
    assert found.exchange == "olt2"
    assert found.loss_db[1310] == pytest.approx(1.0 + 7.6 + 0.1 + 0.35 + 0.3)
    assert "working feed of 2" in found.why


def test_a_splitter_whose_inputs_lead_nowhere_says_so() -> None:
    chain = Chain().glass(1000.0).split(*(7.6,) * 4, db=0.1, inputs=2).glass(1000.0, 0.1).service()
    splice = next(entity for entity in chain.entities if isinstance(entity, Splice))
    assert "no input above" in said(chain.done(splice.id))
