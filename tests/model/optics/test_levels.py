"""Light at both ends and anywhere between, and how far a path may lie from its plan; figures by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.entities import Reading
from model.ids import SplitterTypeId
from model.optics.budget import budget
from model.optics.classes import power_class, power_classes
from model.optics.extremes import excess_db, extremes
from model.optics.levels import level_after, received
from model.optics.loss import ideal_split_db
from model.parts import SplitterType
from tests.model.optics.plants import Chain


def test_b_plus_over_20_db_each_way() -> None:
    # Launch 1.5 to 5 dBm down, 0.5 to 5 up; 0.5 dB of penalty; sensitivity -27 and -28, overload -8 both.
    down, up = received(power_class("B+"), {1490: 20.0, 1310: 21.0})
    assert (down.direction, down.wavelength_nm, up.direction, up.wavelength_nm) == ("down", 1490, "up", 1310)
    assert (down.level.weakest_dbm, down.level.strongest_dbm) == (-18.5, -15.0)
    assert (down.room_db, down.over_db) == (8.0, 7.0)
    assert (up.level.weakest_dbm, up.room_db, up.over_db) == (-20.5, 7.0, 8.0)


@pytest.mark.parametrize("name", ["GPON B+", "GPON C+", "XGS-PON N1", "XGS-PON N2", "XGS-PON E1"])
def test_at_the_most_loss_of_a_class_no_room_is_left_and_no_class_overloads_at_its_least(name: str) -> None:
    # The identity of published rows: Tx_min - L_max - penalty = sensitivity, Tx_max - L_min <= overload.
    entry = power_class(name)
    most = received(entry, dict.fromkeys((entry.down_nm, entry.up_nm), entry.loss_max_db))
    least = received(entry, dict.fromkeys((entry.down_nm, entry.up_nm), entry.loss_min_db))
    assert [way.room_db for way in most] == pytest.approx([0.0, 0.0])
    assert all(way.over_db >= -1e-9 for way in least)


def test_ten_gigabit_classes_send_on_1577_and_1270_and_the_others_on_1490_and_1310() -> None:
    sent = {entry.name: (entry.down_nm, entry.up_nm) for entry in power_classes()}
    assert sent["GPON B+"] == sent["EPON PX30"] == sent["1000BASE-BX10"] == (1490, 1310)
    assert sent["XGS-PON N1"] == sent["XGS-PON E2"] == sent["10G-EPON PR30"] == (1577, 1270)
    assert sent["10G-EPON PRX30"] == (1577, 1310)  # ten down, one up


def test_no_level_where_no_launch_is_known() -> None:
    entry = power_class("GPON A")
    assert entry.down is not None
    assert level_after(entry.down, 10.0) is None
    assert received(entry, {1490: 10.0, 1310: 10.0}) == ()


@given(st.floats(0, 40), st.floats(0, 40))
def test_light_falls_by_what_is_lost(first: float, second: float) -> None:
    link = power_class("B+").down
    assert link is not None
    one, both = level_after(link, first), level_after(link, first + second)
    assert one is not None
    assert both is not None
    assert one.weakest_dbm - both.weakest_dbm == pytest.approx(second, abs=1e-9)
    assert both.strongest_dbm - both.weakest_dbm == pytest.approx(3.5)


@pytest.mark.parametrize("kind", catalogue().splitter_types.values(), ids=lambda kind: kind.title)
def test_a_splitter_at_its_best_gives_out_what_it_takes_in(kind: SplitterType) -> None:
    best = [db - excess_db(kind) for db in kind.legs_db]
    assert sum(10 ** (-db / 10) for db in best) == pytest.approx(1.0)
    if len(set(kind.legs_db)) == 1:
        assert best[0] == pytest.approx(ideal_split_db(len(kind.legs_db)))


def test_an_unequal_tap_at_its_best_keeps_its_ratio() -> None:
    # 10/90 in an open table: 11.0 and 1.1 dB. 10^-1.1 + 10^-0.11 = 0.0794 + 0.7762 = 0.8557: 0.677 dB are kept.
    tap = SplitterType(SplitterTypeId("tap"), "tap", 1, (11.0, 1.1))
    assert excess_db(tap) == pytest.approx(0.677, abs=0.001)
    assert pytest.approx((11.0 - excess_db(tap)) - (1.1 - excess_db(tap))) == 11.0 - 1.1


def test_the_least_and_the_most_by_hand() -> None:
    # 2 pairs of 0.30 (0.12 to 0.75), one splice of 0.10 (0.02 to 0.30), 10 km of 0.35 (most 0.40) and 0.22 (most 0.30).
    plant = Chain(0.30).glass(4000.0).glass(6000.0, 0.10).service(0.30).done()
    found = extremes(plant, budget(plant, "svc").steps, (1310, 1550))
    assert found.best_db == pytest.approx({1310: 0.26 + 3.5, 1550: 0.26 + 2.2})
    assert found.worst_db == pytest.approx({1310: 1.8 + 4.0, 1550: 1.8 + 3.0})


def test_what_was_measured_both_ways_is_neither_better_nor_worse() -> None:
    readings = Reading(1310, "A-B", 0.30), Reading(1310, "B-A", 0.14)
    plant = Chain(0.0).glass(0.0).glass(0.0, 0.10, measured=readings).service(0.0).done()
    found = extremes(plant, budget(plant, "svc").steps, (1310, 1550))
    assert found.best_db[1310] == found.worst_db[1310] == pytest.approx(0.22)
    assert (found.best_db[1550], found.worst_db[1550]) == pytest.approx((0.02, 0.30))


def test_a_planned_loss_beyond_a_splice_is_an_attenuator_and_stays() -> None:
    plant = Chain(0.0).glass(0.0).glass(0.0, 12.0).service(0.0).done()
    found = extremes(plant, budget(plant, "svc").steps, (1310,))
    assert (found.best_db[1310], found.worst_db[1310]) == (12.0, 12.0)


@given(
    st.floats(0, 1),
    st.floats(0, 2),
    st.floats(0, 20000),
    st.lists(st.floats(0.5, 25), min_size=2, max_size=8).filter(lambda legs: sum(10 ** (-x / 10) for x in legs) <= 1),
)
def test_best_known_and_worst_stand_in_order(splice: float, pair: float, metres: float, legs: list[float]) -> None:
    plant = Chain(pair).glass(metres).split(*legs, leg=len(legs), db=splice).glass(metres, splice).service(pair).done()
    waves = (1310, 1490, 1550)
    known = budget(plant, "svc", None, waves)
    found = extremes(plant, known.steps, waves)
    for nm in waves:
        assert found.best_db[nm] <= known.loss_db[nm] + 1e-9
        assert known.loss_db[nm] <= found.worst_db[nm] + 1e-9
