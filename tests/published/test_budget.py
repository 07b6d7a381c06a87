"""Loss budgets worked by others, and two worked by hand, through whole plants.

Where no source is named beside a figure it is common practice, no source: 0.35/0.22 dB/km at 1310/1550 nm, 0.10 dB a
splice, 0.30 dB a mated pair, splitters at 3.8, 7.3, 10.5, 17.0 and 20.5 dB for 2, 4, 8, 32 and 64 ways.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from model.catalogue import catalogue
from model.entities import Reading
from model.ids import ServiceId
from model.optics.budget import ServiceBudget, budget
from model.optics.classes import Link, power_class
from model.optics.loss import ideal_split_db, path_losses, total_db
from model.parts import SplitterType
from tests.model.optics.plants import Chain, altered, hall

SPLIT_DB = {2: 3.8, 4: 7.3, 8: 10.5, 32: 17.0, 64: 20.5}


def loss_db(chain: Chain, nm: int) -> float:
    found = budget(chain.done(), "svc", None, (nm,))
    assert found.complete, found.why
    return found.loss_db[nm]


# A small wall box on a passing cable: 2149.6 m of trunk to the cut and 65 m of drop, 2 % excess.


def test_the_hall_by_hand() -> None:
    # Fibre (2149.6 + 65) x 1.02 = 2258.9 m; 2.2589 x 0.35 + 3 x 0.10 + 2 x 0.30 = 1.691; x 0.22: 1.397 dB.
    found = budget(hall(), "svc")
    assert found.complete, found.why
    assert found.length_m == pytest.approx(2259, abs=0.5)
    assert found.loss_db[1310] == pytest.approx(1.691, abs=0.001)
    assert found.loss_db[1550] == pytest.approx(1.397, abs=0.001)
    assert found.exchange == "ql15"


# A cabinet of splitters: feeder 6.8 km, distribution 1.1 km, drop 90 m, 2 % excess; 5 splices and 6 pairs whatever
# the splitters.

PLANNED_DB = 0.10


def cabinet(*splits: int, feeder_m: float = 6800.0, distribution_m: float = 1100.0, drop_m: float = 90.0) -> Chain:
    """OLT, cord, panel, [first splitter], panel, feeder, panel, last splitter, panel, distribution, drop, outlet."""
    chain = Chain().glass(0.0)
    chain.port()  # pairs: OLT, this one
    if len(splits) == 2:
        chain.split(*(SPLIT_DB[splits[0]],) * splits[0], leg=splits[0])
    else:
        chain.glass(0.0)
    chain.port().glass(feeder_m, PLANNED_DB, excess=0.02).port(0.30, PLANNED_DB)
    if splits:
        chain.split(*(SPLIT_DB[splits[-1]],) * splits[-1], leg=2)
    else:
        chain.glass(0.0)
    chain.port().glass(distribution_m, PLANNED_DB, excess=0.02).glass(drop_m, PLANNED_DB, excess=0.02)
    return chain.service(0.30, PLANNED_DB)


def in_class(chain: Chain, name: str) -> ServiceBudget:
    """The budget of the chain's service in a class."""
    plant = chain.done()
    found = budget(altered(plant, replace(plant.plant.services[ServiceId("svc")], power_class=name)), "svc")
    assert found.complete, found.why
    assert found.margin_max_db is not None
    assert found.margin_min_db is not None
    return found


def margin_max(chain: Chain, name: str, nm: int = 1310) -> float:
    return (in_class(chain, name).margin_max_db or {})[nm]


def margin_min(chain: Chain, name: str, nm: int = 1310) -> float:
    return (in_class(chain, name).margin_min_db or {})[nm]


@pytest.mark.parametrize(
    ("splits", "loss_1310", "margin_b", "margin_c"),
    [
        ((32,), 22.152, 5.848, 9.848),
        ((4, 8), 22.952, 5.048, 9.048),
        ((2, 32), 25.952, 2.048, 6.048),
        ((2, 64), 29.452, -1.452, 2.548),
        ((32, 8), 32.652, -4.652, -0.652),
    ],
)
def test_the_cabinet_by_hand(splits: tuple[int, ...], loss_1310: float, margin_b: float, margin_c: float) -> None:
    # 7.99 km x 1.02 = 8.1498 km; x 0.35 + 5 x 0.10 + 6 x 0.30 + the splitters.
    assert loss_db(cabinet(*splits), 1310) == pytest.approx(loss_1310, abs=0.001)
    assert margin_max(cabinet(*splits), "B+") == pytest.approx(margin_b, abs=0.001)
    assert margin_max(cabinet(*splits), "C+") == pytest.approx(margin_c, abs=0.001)


def test_the_cabinet_at_the_longer_wavelength() -> None:
    # 8.1498 x 0.22 + 2.3 + 20.8 dB.
    assert loss_db(cabinet(2, 32), 1550) == pytest.approx(24.893, abs=0.001)


def test_a_near_house_is_not_overloaded_behind_its_splitter_but_is_without_it() -> None:
    # 765 m of fibre x 0.35 + 2.3 + 17.0 = 19.568 dB; 4 pairs and no splitter: 1.968 dB, 11.032 under the least of B+.
    near = cabinet(32, feeder_m=400 / 1.02, distribution_m=300 / 1.02, drop_m=65 / 1.02)
    assert loss_db(near, 1310) == pytest.approx(19.568, abs=0.001)
    assert margin_min(near, "B+") == pytest.approx(6.568, abs=0.001)
    bypassed = (
        Chain()
        .glass(0.0)
        .port()
        .glass(400.0, PLANNED_DB)
        .port(0.30, PLANNED_DB)
        .glass(300.0, PLANNED_DB)
        .glass(65.0, PLANNED_DB)
        .service(0.30, PLANNED_DB)
    )
    assert loss_db(bypassed, 1310) == pytest.approx(1.968, abs=0.001)
    assert margin_min(bypassed, "B+") == pytest.approx(-11.032, abs=0.001)


# Examples worked by others.


def test_ten_kilometres_with_two_connectors() -> None:
    # Source: a public notes page. 10 km x 0.35 + 1 x 0.01 + 2 x 0.5, and 3 dB of safety: 7.51 dB.
    link = Chain(0.5).glass(4000.0).glass(6000.0, 0.01).service(0.5)
    assert loss_db(link, 1310) + 3 == pytest.approx(7.51)


def test_a_link_without_joints_and_the_power_at_its_limit() -> None:
    # Source: a loss-test support page (TIA-568-A). 1.5 km x 0.5 = 0.75 dB; reference -10.12 dBm: limit -10.87 dBm.
    allowed = loss_db(Chain(0.0).glass(1500.0, attenuation=((1310, 0.5),)).service(0.0), 1310)
    assert allowed == pytest.approx(0.75)
    assert Link(-10.12, -10.12, -30, 0).weakest_dbm(allowed) == pytest.approx(-10.87)


def eight_kilometres() -> Chain:
    """8 km x 0.4; 4 connectors x 0.7; splitters 6.02 + 9.03 + 3.01; 6 splices x 0.2."""
    fibre = ((1310, 0.4),)
    return (
        Chain(0.7)
        .glass(2000.0, attenuation=fibre)
        .split(*(6.02,) * 4, db=0.2)
        .glass(2000.0, 0.2, attenuation=fibre)
        .port(0.7)
        .glass(1000.0, attenuation=fibre)
        .split(*(9.03,) * 8, leg=8, db=0.2)
        .glass(1000.0, 0.2, attenuation=fibre)
        .port(0.7)
        .glass(1000.0, attenuation=fibre)
        .split(3.01, 3.01, db=0.2)
        .glass(1000.0, 0.2, attenuation=fibre)
        .service(0.7)
    )


def test_the_printed_sum_of_a_published_example_is_wrong() -> None:
    # Source: a public page. It prints 23.6 dB, and 26.6 with 3 dB of margin, having added 1.6 dB for the fibre that it
    # had just given as 8 km x 0.4 = 3.2 dB. Its own figures sum to 3.2 + 2.8 + 18.06 + 1.2 = 25.26 dB.
    found = loss_db(eight_kilometres(), 1310)
    assert found == pytest.approx(25.26)
    assert found + 3 == pytest.approx(28.26)
    assert found != pytest.approx(23.6, abs=0.5)
    assert found - 1.6 == pytest.approx(23.66)  # the printed sum, cut to one place
    # With its 3 dB of margin the link no longer fits B+ (28 dB), where the printed 26.6 would.
    assert power_class("B+").margin_max_db(found + 3) == pytest.approx(-0.26)


@pytest.mark.parametrize(
    ("nm", "per_km", "expected"), [(1310, 0.4, 2.6), (850, 3.0, 7.8), (1300, 1.0, 3.8)], ids=["single", "850", "1300"]
)
def test_two_kilometres_with_five_pairs_and_a_splice(nm: int, per_km: float, expected: float) -> None:
    # Source: an association's loss budget page, from memory. 2 km, 5 x 0.3, 1 x 0.3: 0.8, 6.0 or 2.0 dB of fibre.
    fibre = ((nm, per_km),)
    chain = Chain(0.3).glass(500.0, attenuation=fibre)
    for _ in range(3):
        chain.port(0.3).glass(400.0, attenuation=fibre)
    chain.glass(300.0, 0.3, attenuation=fibre).service(0.3)
    assert loss_db(chain, nm) == pytest.approx(expected)


def test_the_power_budget_of_that_link() -> None:
    # Same page, from memory: launch -16, sensitivity -31 dBm: range 15 dB, margin 15 - 3.8 = 11.2 dB.
    link = Link(-16, -16, -31, 0)
    arriving = link.weakest_dbm(3.8)
    assert arriving is not None
    assert arriving - link.sensitivity_dbm == pytest.approx(11.2)


def test_a_splice_is_the_mean_of_its_two_directions() -> None:
    # Source: a training card. 0.20 dB one way, 0.10 the other: 0.15 dB.
    readings = Reading(1310, "A-B", 0.20), Reading(1310, "B-A", 0.10)
    chain = Chain(0.0).glass(0.0).glass(0.0, 0.08, measured=readings).service(0.0)
    assert loss_db(chain, 1310) == pytest.approx(0.15)
    assert loss_db(chain, 1550) == pytest.approx(0.08)


@pytest.mark.parametrize(
    ("w1", "w2", "apparent"), [(9.2, 8.6, 0.2929), (9.2, 8.8, 0.1931), (10.4, 9.8, 0.2581), (9.6, 8.6, 0.4777)]
)
def test_unlike_mode_fields_cancel_out_of_the_two_directions(w1: float, w2: float, apparent: float) -> None:
    # One direction is off by 10 log10(w1/w2), the other by as much the other way (a 2001 application note: capture
    # goes with 1/MFD^2); a splice of 0.02 dB reads a gain one way and is still 0.02 dB.
    off = 10 * math.log10(w1 / w2)
    assert off == pytest.approx(apparent, abs=5e-5)
    readings = Reading(1310, "A-B", 0.02 + off), Reading(1310, "B-A", 0.02 - off)
    assert loss_db(Chain(0.0).glass(0.0).glass(0.0, 0.1, measured=readings).service(0.0), 1310) == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("ways", "ideal"), [(2, 3.01), (4, 6.02), (8, 9.03), (16, 12.04), (32, 15.05), (64, 18.06), (128, 21.07)]
)
def test_an_ideal_splitter_divides_and_nothing_more(ways: int, ideal: float) -> None:
    assert ideal_split_db(ways) == pytest.approx(ideal, abs=0.005)
    assert ideal_split_db(ways) == pytest.approx(10 * math.log10(ways), abs=1e-12)


@pytest.mark.parametrize("kind", catalogue().splitter_types.values(), ids=lambda kind: kind.title)
def test_no_packaged_splitter_gives_out_more_than_it_takes_in(kind: SplitterType) -> None:
    assert sum(10 ** (-db / 10) for db in kind.legs_db) <= 1
    if len(set(kind.legs_db)) == 1:
        assert kind.legs_db[0] > ideal_split_db(len(kind.legs_db))


def test_a_cascade_of_four_and_eight_against_one_of_thirty_two() -> None:
    # Ideal 6.02 + 9.03 = 15.05 either way. GR-1209 most, 0.8 + 3.4 log2 N (from memory): 7.6 + 11.0 = 18.6 to 17.8.
    assert ideal_split_db(4) + ideal_split_db(8) == pytest.approx(ideal_split_db(32))
    most = {ways: 0.8 + 3.4 * math.log2(ways) for ways in (4, 8, 32)}

    def through(*splits: int) -> float:
        chain = Chain(0.0)
        for ways in splits:
            chain.split(*(most[ways],) * ways, leg=ways)
        return loss_db(chain.service(0.0), 1310)

    assert through(4, 8) == pytest.approx(18.6)
    assert through(32) == pytest.approx(17.8)


def test_the_sum_over_the_steps_is_the_loss_of_the_service() -> None:
    plant = eight_kilometres().done()
    found = budget(plant, "svc", None, (1310,))
    assert total_db(path_losses(plant, found.steps, (1310,)), (1310,))[1310] == pytest.approx(25.26)
