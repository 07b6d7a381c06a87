# mypy: disable-error-code="arg-type"
"""Repairs worked by hand on the Marrowfield ticket, and on random plants: what is promised is what the edits give."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from model.correlate.carried import pieces_in, services_in
from model.correlate.elements import element, elements_of
from model.correlate.paths import paths_of
from model.dispatch.repair import Repair, repairs
from model.dispatch.rolls import spares_for
from model.graph import Continuity, end_node
from model.history import History
from model.lists.source import Source
from model.optics.budget import budget
from model.plant import Plant
from model.rules.run import check
from model.templates.cabinet import bramblecote
from model.templates.marrowfield import marrowfield
from tests.model.correlate.laid import laid

PLANT = marrowfield()
CONTINUITY = Continuity(PLANT)
DOWN = ("c5", "c6", "c9", "c10", "c11")
LOOP = element(PLANT, "tube_at|loop|2|mf-48.k2")


def by_way(found: tuple[Repair, ...]) -> dict[str, Repair]:
    return {one.way: one for one in found}


def after(plant: Plant, repair: Repair) -> Continuity:
    copy = Plant(list(plant.entities()))
    history = History(copy)
    history.do(*repair.proposal.edits, name=repair.proposal.name)
    return Continuity(history.plant)


def test_the_broken_loop_takes_a_bridge_of_2_m_20_splices_and_0_2_db() -> None:
    # Fibres 15 to 24 are ten; T1 and T3 live: no shortening; the opening is 3153 - 3151 = 2 m; two splices a fibre.
    bridge = by_way(repairs(CONTINUITY, LOOP, DOWN))["bridge"]
    assert bridge.fibres == tuple(range(15, 25))
    assert bridge.bridge_m == pytest.approx(2.0)
    assert (bridge.splices, bridge.short) == (20, 0)
    assert bridge.extra_db == pytest.approx(0.2)
    # Tray 1 of K2 has 24 slots and holds the joints of C3 and C4.
    assert [(room.tray, room.slots, room.used, room.taken) for room in bridge.rooms] == [("k2-tray-1", 24, 2, 20)]
    assert bridge.rooms[0].full  # 22 of 24 are more than nine tenths
    assert any(reason.startswith("No shortening: C3, C4, C7, C8, C12 live") for reason in bridge.proposal.reasons)


def test_each_mended_service_keeps_0_2_db_less_and_the_edits_give_just_that() -> None:
    bridge = by_way(repairs(CONTINUITY, LOOP, DOWN))["bridge"]
    mended = after(PLANT, bridge)
    for margin in bridge.margins:
        before, now = budget(CONTINUITY, margin.service), budget(mended, margin.service)
        assert now.complete
        # Two splices and 2 m of bridge at 0.35 dB/km for 2 m of looped fibre that is still there on the exchange side.
        assert now.loss_db[1310] - before.loss_db[1310] == pytest.approx(0.2 + 0.0007, abs=1e-6)
        assert margin.before_db is not None
        assert margin.after_db == pytest.approx(margin.before_db - 0.2)


def test_after_the_bridge_no_fibre_is_lost_and_no_tray_overfull() -> None:
    bridge = by_way(repairs(CONTINUITY, LOOP, DOWN))["bridge"]
    found = check(after(PLANT, bridge).plant)
    # What is left to do is to find tail for the joints, which no record can say.
    assert {f.rule for f in found if f.severity == "error"} == {"tail.free", "tail.turn"}


def test_the_roll_comes_first_with_five_splices_and_every_service_back() -> None:
    found = repairs(CONTINUITY, LOOP, DOWN)
    assert [one.way for one in found] == ["roll", "bridge"]
    roll = found[0]
    assert (roll.splices, roll.extra_db, roll.left_dark) == (5, 0.0, ())
    back = after(PLANT, roll)
    spares = {"c5": 4, "c6": 5, "c9": 6, "c10": 7, "c11": 8}
    for service, fibre in spares.items():
        now = budget(back, service)
        assert (now.complete, now.exchange) == (True, f"hub.{fibre}")
    for service in ("c1", "c2", "c3", "c4", "c7", "c8", "c12"):
        assert budget(back, service).loss_db == budget(CONTINUITY, service).loss_db
    errors = {f.rule for f in check(back.plant) if f.severity == "error"}
    assert errors <= {"route.tray"}  # the drawing of K3 has to follow the two joints


def test_live_glass_that_nobody_measured_is_asked_for_before_a_whole_sheath_is_cut() -> None:
    # C9 and C10 down, nobody up: the sheath K3 to K4 may be cut through, but C11 and C12 run in it and may be up.
    sheath = element(PLANT, "sheath|mf-48.k3")
    for one in repairs(CONTINUITY, sheath, ("c9", "c10")):
        asked = [reason for reason in one.proposal.reasons if reason.startswith("Ask first for C11, C12")]
        assert len(asked) == (one.way != "roll")
    told = repairs(CONTINUITY, sheath, ("c9", "c10", "c11", "c12"))
    assert not any("Ask first" in reason for one in told for reason in one.proposal.reasons)


def test_a_break_in_the_span_needs_a_new_box_and_has_no_edits() -> None:
    box = by_way(repairs(CONTINUITY, element(PLANT, "tube|2|mf-48.k2"), DOWN))["new box"]
    assert box.fibres == tuple(range(13, 25))
    assert (box.splices, box.proposal.edits) == (24, ())


def test_joints_that_one_tray_cannot_take_go_on_to_the_next() -> None:
    # At K3 the entry of tube 2 takes 24 splices: 22 on tray 2, whose reserve is gone then, and 2 on tray 1.
    bridge = by_way(repairs(CONTINUITY, element(PLANT, "tube_at|entry|2|mf-48.k3"), DOWN))["bridge"]
    assert [(room.tray, room.taken) for room in bridge.rooms] == [("k3-tray-2", 22), ("k3-tray-1", 2)]
    assert bridge.short == 0


def test_what_is_no_glass_has_no_repair_of_glass() -> None:
    cabinet = Continuity(bramblecote())
    for key in ("port|fallow-cross.pon.3", "input|1|sp-2", "leg|9|sp-2"):
        assert repairs(cabinet, element(cabinet.plant, key)) == ()


def test_spares_carry_nobody_and_reach_as_far() -> None:
    source = Source(CONTINUITY)
    piece = source.piece_on(PLANT.cables["mf-48"], 17, 0)
    spares = spares_for(CONTINUITY, piece, frozenset())
    numbers = [spare.fibre for spare in spares]
    # All but the live 1-3, 13-19, 25 and 26: those cut short of K4 do not reach it.
    assert sorted(numbers) == [*range(4, 13), *range(20, 25), *range(27, 49)]
    assert numbers[0] == 4
    assert not any(spare.cut or spare.opens for spare in spares)


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10_000))
@example(3788)  # the broken loop is on a standby feed
@example(136)  # a tray with glass of two cables
def test_a_repair_of_any_element_brings_back_what_it_says(seed: int) -> None:
    plant = laid(seed).plant()
    continuity = Continuity(plant)
    rng = Random(seed)
    services = sorted(plant.services)
    keys = sorted({part.key for service in services for part in elements_of(continuity, service)})
    if not keys:
        return
    failed = element(plant, rng.choice(keys))
    found, broken = repairs(continuity, failed), pieces_in(continuity, failed.key)
    assert [one.proposal.weight for one in found] == sorted(one.proposal.weight for one in found)
    for one in found:
        assert one.short >= 0
        assert sum(room.taken for room in one.rooms) + one.short in (one.splices, 0)
        if not one.proposal.edits:
            continue
        mended = after(plant, one)
        for margin in one.margins:
            before, now = budget(continuity, margin.service), budget(mended, margin.service)
            assert now.complete == before.complete
            # Of two feeds the other one may be reckoned with afterwards.
            if one.way == "bridge" and before.complete and len(paths_of(continuity).arms(margin.service)) == 1:
                over = any(step.by in broken for step in before.steps)
                more = one.extra_db if over else 0.0
                # Two joints more, and the glass of the bridge; a standby feed that is mended leaves the working one be.
                assert now.loss_db[1310] >= before.loss_db[1310] + more - 1e-9
                if margin.before_db is not None and margin.after_db is not None:
                    assert margin.before_db - margin.after_db == pytest.approx(more)


@given(st.integers(0, 10_000))
def test_no_spare_is_live_or_broken(seed: int) -> None:
    plant = laid(seed).plant()
    continuity = Continuity(plant)
    source = Source(continuity)
    for cable in plant.cables.values():
        for fibre in range(1, plant.cable_types[cable.type].fibre_count + 1):
            piece = source.piece_on(cable, fibre, 0)
            for spare in spares_for(continuity, piece, frozenset({piece})):
                other = source.piece_on(cable, spare.fibre, spare.first)
                assert other != piece
                assert services_in(continuity, [other]) == ()
                assert (other.first, other.last >= piece.last) == (piece.first, True)
                assert spare.far == end_node(other.ends(cable)[1])


def test_a_sheath_cut_through_is_rejoined_from_its_coils_with_half_the_splices() -> None:
    # K2 to K3: coils of 15 m on both sides, two ends of 2 m; 48 fibres, one splice each instead of two.
    found = by_way(repairs(CONTINUITY, element(PLANT, "sheath|mf-48.k2")))
    assert (found["rejoin"].splices, found["new box"].splices) == (48, 96)
    assert (found["rejoin"].extra_db, found["new box"].extra_db) == pytest.approx((0.1, 0.2))
    assert repairs(CONTINUITY, element(PLANT, "sheath|mf-48.k2"))[0].way == "rejoin"
    assert "two new boxes" in found["new box"].proposal.name


def test_without_coils_a_cut_sheath_is_not_drawn_together() -> None:
    bare = replace(
        PLANT.cables["mf-48"],
        stops=tuple(replace(stop, coil_in_m=0.0, coil_out_m=1.0) for stop in PLANT.cables["mf-48"].stops),
    )
    plant = Plant([*(e for e in PLANT.entities() if e.id != "mf-48"), bare])
    assert "rejoin" not in by_way(repairs(Continuity(plant), element(plant, "sheath|mf-48.k2")))


def test_a_tray_that_may_store_no_more_fibres_is_as_full_as_one_without_slots() -> None:
    # 36 fibres may lie on K2's tray: 14 do, of them the 10 that loop; cut, they make room for 20 joints and no limit is
    # met. With 20 allowed, 4 stay and 16 joints fit: 4 go to tray 2.
    kind = replace(PLANT.tray_types["tray-24-large"], stored_max=20)
    plant = Plant([*(e for e in PLANT.entities() if e.id != kind.id), kind])
    bridge = by_way(repairs(Continuity(plant), element(plant, LOOP.key), DOWN))["bridge"]
    assert [(room.tray, room.taken) for room in bridge.rooms] == [("k2-tray-1", 16), ("k2-tray-2", 4)]
