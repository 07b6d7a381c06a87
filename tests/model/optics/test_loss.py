"""Loss of each kind of step, and that a path may be cut anywhere and walked either way."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.entities import Reading, Splice
from model.errors import PlantError
from model.graph import Continuity
from model.ids import SiteId, SpliceId
from model.optics.budget import budget
from model.optics.loss import (
    attenuation_db_per_km,
    ideal_split_db,
    outward,
    path_losses,
    total_db,
)
from model.optics.readings import counted_db
from model.trace import Step, service_node, trace
from tests.model.optics.plants import Chain, cable_type, hall


def path(continuity: Continuity) -> tuple[Step, ...]:
    return trace(continuity, service_node(continuity, "svc")).steps


def splice(*readings: Reading, planned_db: float = 0.10) -> Splice:
    made = hall().plant.splices[SpliceId("J1")]
    return Splice(SpliceId("x"), SiteId("W"), made.a, made.b, planned_db=planned_db, measured=readings)


def test_attenuation_is_as_given_or_on_the_line_between() -> None:
    kind = cable_type(attenuation=((1550, 0.22), (1310, 0.35)))
    assert attenuation_db_per_km(kind, 1550) == 0.22
    # 1490 lies 180/240 of the way: 0.35 - 0.75 x 0.13.
    assert attenuation_db_per_km(kind, 1490) == pytest.approx(0.2525)


@pytest.mark.parametrize("nm", [1270, 1625])
def test_attenuation_is_not_guessed_beyond_what_is_given(nm: int) -> None:
    with pytest.raises(PlantError, match=f"no attenuation at {nm} nm.*1310, 1550"):
        attenuation_db_per_km(cable_type(), nm)


def test_a_cable_type_without_attenuation_says_so() -> None:
    with pytest.raises(PlantError, match="None is given"):
        attenuation_db_per_km(cable_type(attenuation=()), 1310)


def test_a_splice_is_planned_until_measured_both_ways() -> None:
    one_way = Reading(1310, "A-B", -0.05), Reading(1310, "estimate", 0.01)
    assert counted_db(splice(*one_way), 1310) == (0.10, False)
    both = (*one_way, Reading(1310, "B-A", 0.11))
    loss_db, measured = counted_db(splice(*both), 1310)
    assert loss_db == pytest.approx(0.03)
    assert measured
    assert counted_db(splice(*both), 1550) == (0.10, False)


def test_a_reading_taken_again_replaces_the_first() -> None:
    readings = Reading(1310, "A-B", 0.9), Reading(1310, "B-A", 0.1), Reading(1310, "A-B", 0.1)
    assert counted_db(splice(*readings), 1310)[0] == pytest.approx(0.1)


def test_two_gains_are_no_gain() -> None:
    readings = Reading(1310, "A-B", -0.02), Reading(1310, "B-A", -0.01)
    assert counted_db(splice(*readings), 1310) == (0.0, True)


def test_the_measured_wavelengths_are_told_from_the_planned() -> None:
    readings = Reading(1550, "A-B", 0.04), Reading(1550, "B-A", 0.06)
    plant = Chain().glass(10.0).glass(10.0, 0.2, measured=readings).service().done()
    (joint,) = [loss for loss in path_losses(plant, path(plant)) if loss.measured]
    assert joint.measured == {1550}
    assert joint.loss_db == {1310: 0.2, 1550: pytest.approx(0.05)}


def test_a_leg_costs_what_its_own_number_says() -> None:
    # An unequal tap of 10/90, from an open table: 11.0 and 1.1 dB.
    for leg, db in ((1, 11.0), (2, 1.1)):
        plant = Chain(0.0).split(11.0, 1.1, leg=leg).service(0.0).done()
        assert total_db(path_losses(plant, path(plant)))[1310] == pytest.approx(db)


def test_a_splitter_measured_with_its_connectors_costs_no_pair_at_its_ports() -> None:
    # Pairs: OLT, panel before, panel after, outlet; the two panels carry the splitter's own connectors.
    def made(included: bool) -> float:
        chain = Chain(0.3).glass(1000.0).port(0.5, enter="rear").split(17.0, 17.0, db=0.1, included=included)
        plant = chain.port(0.4, 0.1, enter="rear").glass(1000.0).service(0.3).done()
        return total_db(path_losses(plant, path(plant)))[1310]

    assert made(False) == pytest.approx(0.7 + 0.6 + 17.0 + 0.9 + 0.2)
    assert made(True) == pytest.approx(0.7 + 0.6 + 17.0)


def test_a_splitter_measured_with_its_connectors_but_spliced_in_keeps_the_pairs_elsewhere() -> None:
    chain = Chain(0.3).glass(1000.0).split(17.0, 17.0, db=0.1, included=True).glass(1000.0, 0.1)
    plant = chain.service(0.3).done()
    assert total_db(path_losses(plant, path(plant)))[1310] == pytest.approx(0.7 + 0.2 + 17.0 + 0.6)


def test_a_missing_mark_makes_the_length_unknown_and_says_of_which_cable() -> None:
    plant = Chain().glass(100.0).glass(None, 0.1).service().done()
    unknown = [loss for loss in path_losses(plant, path(plant)) if loss.unknown]
    assert [(loss.length_m, dict(loss.loss_db)) for loss in unknown] == [(None, {})]
    assert "C3" in unknown[0].unknown


def test_a_wavelength_without_attenuation_is_left_out_and_the_other_kept() -> None:
    plant = Chain().glass(1000.0).service().done()
    found = path_losses(plant, path(plant), (1310, 1625))
    glass = next(loss for loss in found if loss.unknown)
    assert dict(glass.loss_db) == {1310: pytest.approx(0.35)}
    assert "1625" in glass.unknown


def test_the_loss_table_runs_from_the_exchange_outward() -> None:
    # OLT 0.3, pigtail 0.1, 1 km 0.35, splice 0.2, 2 km 0.7, plug 0, outlet 0.4.
    plant = Chain(0.3).glass(1000.0, 0.1).glass(2000.0, 0.2).service(0.4).done()
    stages = outward(plant, path(plant))
    assert [stage.sum_db[1310] for stage in stages] == pytest.approx([0.3, 0.4, 0.75, 0.95, 1.65, 1.65, 2.05])
    assert [stage.at_m for stage in stages] == [0, 0, 1000, 1000, 3000, 3000, 3000]
    assert stages[0].loss.step.start == "olt/front"
    assert stages[-1].loss.step.end.endswith("/front")


def test_beyond_an_unknown_length_the_sums_are_unknown_too() -> None:
    plant = Chain(0.3).glass(1000.0).glass(None, 0.2).service(0.4).done()
    stages = outward(plant, path(plant))
    assert [stage.at_m for stage in stages] == [0, 0, 1000, 1000, None, None, None]
    assert stages[-1].sum_db == {}


def test_no_ideal_splitter_divides_by_nothing() -> None:
    with pytest.raises(PlantError):
        ideal_split_db(0)


DB = st.floats(0, 1)
GLASS = st.tuples(st.just("glass"), st.floats(0, 20_000), DB)
READ = st.tuples(st.just("read"), st.floats(-0.5, 0.5), st.floats(-0.5, 0.5))
SPLIT = st.tuples(st.just("split"), st.integers(1, 4), st.booleans())
PORT = st.tuples(st.just("port"), DB, DB)
CHAINS = st.lists(st.one_of(GLASS, READ, SPLIT, PORT), min_size=1, max_size=8)


def laid(parts: list[tuple[str, float, float]]) -> Continuity:
    chain = Chain().glass(5.0, 0.1)
    at_port = False
    for kind, one, two in parts:
        if kind == "glass":
            chain.glass(one, two)
        elif kind == "read":
            chain.glass(10.0, 0.1, measured=(Reading(1310, "A-B", one), Reading(1310, "B-A", two)))
        elif kind == "split":
            chain.split(3.8, 7.4, 0.9, 14.3, leg=int(one), db=0.1, included=bool(two))
        elif not at_port:
            chain.port(one, two)
        at_port = kind == "port"
    if at_port:
        chain.glass(1.0)
    return chain.service().done()


@settings(max_examples=60)
@given(CHAINS, st.data())
def test_a_path_may_be_cut_anywhere(parts: list[tuple[str, float, float]], data: st.DataObject) -> None:
    plant = laid(parts)
    steps = path(plant)
    cut = data.draw(st.integers(0, len(steps)))
    whole, left, right = (total_db(path_losses(plant, some)) for some in (steps, steps[:cut], steps[cut:]))
    for nm in (1310, 1550):
        assert left[nm] + right[nm] == pytest.approx(whole[nm], abs=1e-9)


@settings(max_examples=60)
@given(CHAINS)
def test_the_same_loss_both_ways_and_never_a_gain(parts: list[tuple[str, float, float]]) -> None:
    plant = laid(parts)
    steps = path(plant)
    assert len(steps) >= 4
    there = path_losses(plant, steps)
    back = path_losses(plant, tuple(step.reversed() for step in reversed(steps)))
    for nm in (1310, 1550):
        assert all(loss.loss_db[nm] >= 0 for loss in there)
        assert total_db(there)[nm] == pytest.approx(total_db(back)[nm], abs=1e-12)
        assert outward(plant, steps)[-1].sum_db[nm] == pytest.approx(total_db(there)[nm], abs=1e-9)
        assert budget(plant, "svc").loss_db[nm] == pytest.approx(total_db(there)[nm], abs=1e-9)


@settings(max_examples=60)
@given(CHAINS, st.floats(0, 1000))
def test_more_glass_never_loses_less(parts: list[tuple[str, float, float]], more_m: float) -> None:
    kinds = [*parts, ("glass", 10.0, 0.1)], [*parts, ("glass", 10.0 + more_m, 0.1)]
    short, long = (budget(laid(list(some)), "svc").loss_db for some in kinds)
    assert long[1310] - short[1310] == pytest.approx(more_m / 1000 * 0.35, abs=1e-9)
