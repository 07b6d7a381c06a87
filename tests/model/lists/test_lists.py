# mypy: disable-error-code="arg-type, misc, index, call-overload, comparison-overlap"
"""Lists of plants made by hand: readings, ribbons, feet, whole tubes, sleeves that exist, records that are wrong."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from model.entities import Cable, FibreEnd, Mating, Reading, Service, Splice, Stop, Stored, TubeWork
from model.graph import Continuity
from model.lists.cuts import cut_list
from model.lists.fibres import use_counts
from model.lists.legs import leg_table
from model.lists.materials import materials, with_spare
from model.lists.ports import port_table
from model.lists.preps import prep
from model.lists.schedule import expand, fold, schedule
from model.lists.source import Source
from model.lists.stores import spares, storage
from model.plant import Plant
from model.storage.files import load
from tests.model.lab import box, cable, end, leg, panel, site, splitter, start

HOUSE = Path(__file__).parents[3]


def with_stop(made: Cable, index: int, **changes: Any) -> Cable:
    stops = list(made.stops)
    stops[index] = replace(stops[index], **changes)
    return replace(made, stops=tuple(stops))


def joint(number: int, a: FibreEnd, b: FibreEnd, **more: Any) -> Splice:
    return Splice(f"s{number}", "j", a, b, "tray-j-1", number, **more)


def straight(*splices: Splice, kind: str = "lt-24", extra: tuple[Any, ...] = ()) -> Source:
    """Two cables of a kind meeting in a box at J."""
    near, far = cable("a", kind, "ex", "j"), cable("b", kind, "j", "fa")
    types = tuple(dict.fromkeys(("lt-12", "lt-24", "rd-4", "wall-box-small", "tray-24", "1x2", kind)))
    places = (site("ex", "Nettle Green", "exchange"), site("j"), site("fa"))
    return Source(Continuity(start(*places, near, far, *box("j"), *extra, *splices, types=types).plant))


def pairs(count: int, **more: Any) -> tuple[Splice, ...]:
    return tuple(joint(n, end("a", n, "j", "<"), end("b", n, "j", ">"), **more) for n in range(1, count + 1))


def test_the_loss_of_a_joint_is_the_mean_of_both_ways_and_a_gain_stands_as_it_was_read() -> None:
    read = (Reading(1550, "A-B", -0.06), Reading(1550, "B-A", 0.14), Reading(1550, "estimate", 0.02))
    row = schedule(straight(*pairs(1, measured=read)), "j")[0]
    (measured,) = row.measured
    assert (measured.ab_db, measured.ba_db) == (-0.06, 0.14)
    assert measured.mean_db == pytest.approx(0.04)
    assert row.estimate_db == 0.02
    assert "difference of the fibres" in row.remark


def test_one_way_gives_no_mean() -> None:
    row = schedule(straight(*pairs(1, measured=(Reading(1310, "B-A", 0.05),))), "j")[0]
    assert (row.measured[0].ab_db, row.measured[0].ba_db, row.measured[0].mean_db) == (None, 0.05, None)
    assert row.remark == ""


def test_each_wavelength_keeps_its_own_last_readings() -> None:
    read = (Reading(1550, "A-B", 0.30), Reading(1310, "A-B", 0.02), Reading(1550, "A-B", 0.04))
    row = schedule(straight(*pairs(1, measured=read)), "j")[0]
    assert [(m.wavelength_nm, m.ab_db) for m in row.measured] == [(1310, 0.02), (1550, 0.04)]


def test_a_range_ends_where_a_tube_ends_on_either_side() -> None:
    rows = schedule(straight(*pairs(24)), "j")
    assert [one.numbers for one in fold(rows)] == [tuple(range(1, 13)), tuple(range(13, 25))]


def test_a_joint_that_was_measured_or_is_done_stands_alone() -> None:
    some = list(pairs(6))
    some[2] = replace(some[2], measured=(Reading(1550, "A-B", 0.03),))
    some[4] = replace(some[4], status="done", done_by="QM")
    rows = schedule(straight(*some), "j")
    assert [one.numbers for one in fold(rows)] == [(1, 2), (3,), (4,), (5,), (6,)]
    assert expand(fold(rows)) == rows


def test_crossed_fibres_do_not_fold() -> None:
    crossed = (
        joint(1, end("a", 1, "j", "<"), end("b", 2, "j", ">")),
        joint(2, end("a", 2, "j", "<"), end("b", 1, "j", ">")),
    )
    assert [one.numbers for one in fold(schedule(straight(*crossed), "j"))] == [(1,), (2,)]


def test_a_roll_is_said() -> None:
    assert schedule(straight(*pairs(1, roll=True, note="asked for")), "j")[0].remark == "asked for; roll meant"


def test_joints_stand_in_the_order_of_the_tray_and_those_on_none_last() -> None:
    some = list(pairs(3))
    some[0] = replace(some[0], tray=None, slot=None)
    some[1], some[2] = replace(some[1], slot=9), replace(some[2], slot=4)
    assert [(r.number, r.a.number) for r in schedule(straight(*some), "j")] == [(1, 3), (2, 2), (3, 1)]


def test_a_leg_of_a_splitter_is_an_end_like_any_other_and_its_input_carries_all_services() -> None:
    ports = panel("fa", 2, "outlet")
    plugs = tuple(Mating(f"m{n}", f"fa.{n}", end("b", n, "fa", "<")) for n in (1, 2))
    served = tuple(Service(f"v{n}", f"V-{n}", f"fa.{n}", "live") for n in (1, 2))
    joints = (
        Splice("i", "j", end("a", 1, "j", "<"), leg("sp", "in"), "tray-j-1", 1),
        Splice("o1", "j", leg("sp", "out", 1), end("b", 1, "j", ">"), "tray-j-1", 2),
        Splice("o2", "j", leg("sp", "out", 2), end("b", 2, "j", ">"), "tray-j-1", 3),
    )
    source = straight(*joints, extra=(splitter("sp", "j", "1x2"), *ports, *plugs, *served))
    rows = schedule(source, "j")
    assert [(r.a.text, r.b.text) for r in rows] == [("A:1", "SP input 1"), ("SP leg 1", "B:1"), ("SP leg 2", "B:2")]
    assert [r.services for r in rows] == [("V-1", "V-2"), ("V-1",), ("V-2",)]
    assert [(r.item, r.net) for r in materials(source, source.boxes["j"][0]) if r.item == "splitter"] == [
        ("splitter", 1)
    ]


def test_a_row_that_names_a_fibre_the_cable_lacks_is_listed_without_a_colour() -> None:
    plant = load(HOUSE / "samples" / "broken" / "fibre-17-to-drop-5.gwp")
    wrong = [row for row in schedule(Source(Continuity(plant)), "wb-07") if row.b.number == 5]
    assert [(r.a.text, r.b.text, r.b.tube, r.b.colour) for r in wrong] == [("TM-B1:17", "D-1:5", 0, "")]


@pytest.mark.parametrize("path", sorted((HOUSE / "samples" / "broken").glob("*.gwp")), ids=lambda p: p.stem)
def test_every_broken_plant_can_be_listed(path: Path) -> None:
    source = Source(Continuity(load(path)))
    for place in source.plant.sites:
        assert len(schedule(source, place)) == len(source.splices_at.get(place, ()))
        cut_list(source, place)
        storage(source, place)
        spares(source, place)
        port_table(source, place)
        leg_table(source, place)
        prep(source, place)
    for made in source.plant.cables.values():
        for count in use_counts(source, made):
            assert count.in_use + count.dark + count.stub == count.count


# Cuts


def passing_plant(*works: TubeWork, extra: tuple[Any, ...] = (), **stop: Any) -> Plant:
    """A 24-fibre cable past a box at J between panels at EX and FA, every fibre plugged at both."""
    made = with_stop(cable("a", "lt-24", "ex", "j", "fa"), 1, tubes=works, **stop)
    ports = (*panel("ex", 24), *panel("fa", 24))
    plugs = [Mating(f"x{n}", f"ex.{n}", end("a", n, "ex", ">")) for n in range(1, 25)]
    plugs += [Mating(f"f{n}", f"fa.{n}", end("a", n, "fa", "<")) for n in range(1, 25)]
    places = (site("ex", kind="exchange"), site("j"), site("fa"))
    return start(*places, made, *box("j"), *ports, *plugs, *extra).plant


def test_a_tube_cut_is_one_row_with_the_approved_outage() -> None:
    plant = passing_plant(TubeWork(2, "cut", (), 750.0), outage="CHG 31", mark_in_m=100.0, mark_out_m=102.0)
    rows = cut_list(Source(Continuity(plant)), "j")
    assert [(r.what, r.tube, r.state) for r in rows] == [("tube", 1, "express"), ("tube", 2, "cut")]
    assert rows[1].cut == tuple(range(13, 25))
    assert (rows[1].cut_at_mm, rows[1].mark, rows[1].outage) == (750.0, pytest.approx(100.75), "CHG 31")
    assert rows[0].outage == ""


def test_marks_in_feet_that_fall_along_the_cable_are_printed_as_such() -> None:
    plant = passing_plant(TubeWork(1, "opened", (3,), 609.6), mark_in_m=304.8, mark_out_m=302.8)
    made = replace(plant.cables["a"], mark_unit="ft")
    plant = Plant([*(e for e in plant.entities() if e.id != "a"), made])
    cut = next(r for r in cut_list(Source(Continuity(plant)), "j") if r.cut)
    # 304.8 m is 1000 ft; 609.6 mm, 2 ft, further on the print says 998
    assert (cut.fibres, cut.mark, cut.mark_unit) == ((3,), pytest.approx(998.0), "ft")


def test_without_a_drawing_fibres_are_cut_at_the_field_end_of_the_opening() -> None:
    plant = passing_plant(TubeWork(1, "opened", (3,)), mark_in_m=100.0, mark_out_m=102.0)
    cut = next(r for r in cut_list(Source(Continuity(plant)), "j") if r.cut)
    assert (cut.cut_at_mm, cut.mark) == (pytest.approx(2000.0), pytest.approx(102.0))


def test_a_live_service_beyond_the_cut_is_named_for_its_fibre() -> None:
    served = (Service("v", "V-3", "fa.3", "live"), Service("p", "P-4", "fa.4", "planned"))
    plant = passing_plant(TubeWork(1, "opened", (3, 4)), extra=served)
    rows = cut_list(Source(Continuity(plant)), "j")
    assert [(r.state, r.live) for r in rows if r.tube == 1] == [("opened", ("V-3",)), ("cut", ("V-3",)), ("uncut", ())]


def test_a_fibre_cut_and_joined_again_is_no_stub() -> None:
    mend = tuple(joint(n, end("a", n, "j", "<"), end("a", n, "j", ">")) for n in (3, 4))
    plant = passing_plant(TubeWork(1, "opened", (3, 4, 5)), extra=mend)
    source = Source(Continuity(plant))
    assert [(r.side, r.fibres) for r in spares(source, "j") if r.kind == "stub"] == [("<", (5,)), (">", (5,))]
    assert [(c.in_use, c.dark, c.stub) for c in use_counts(source, source.plant.cables["a"])] == [(0, 23, 1)] * 2
    cut = next(r for r in cut_list(source, "j") if r.cut)
    assert (cut.joined_in, cut.joined_out) == ((3, 4), (3, 4))


def test_a_stub_says_where_it_lies_and_how_long_it_is() -> None:
    kept = (Stored((3,), "<", "tray-j-1", 2.0, 640.0), Stored((3,), ">", None))
    plant = passing_plant(TubeWork(1, "opened", (3,), 1500.0), stored=kept, mark_in_m=0.0, mark_out_m=2.0)
    rows = [r for r in spares(Source(Continuity(plant)), "j") if r.kind == "stub"]
    # Recorded on the exchange side; on the other 2000 - 1500 mm stand out of the sheath
    assert [(r.side, r.where, r.length_mm) for r in rows] == [("<", "tray 1", 640.0), (">", "slack bay", 500.0)]
    assert (rows[0].toward_exchange.site, rows[0].toward_field.site) == ("EX", "")
    assert (rows[1].toward_exchange.site, rows[1].toward_field.site) == ("", "FA")


def test_a_stub_that_ends_dark_further_on_says_so() -> None:
    works = {1: (TubeWork(1, "opened", (3,)),), 2: (TubeWork(1, "opened", (3,)),)}
    made = cable("a", "lt-24", "ex", "j", "k", "fa")
    for index, work in works.items():
        made = with_stop(made, index, tubes=work)
    plant = start(*(site(x) for x in ("ex", "j", "k", "fa")), made).plant
    source = Source(Continuity(plant))
    stub = next(r for r in spares(source, "j") if r.side == ">")
    assert (stub.toward_field.kind, stub.toward_field.site, stub.toward_field.numbers) == ("dark", "K", (3,))
    # Between the cuts fibre 3 is a stub from both ends, beyond them from one; nothing is plugged at EX and FA
    assert [c.stub for c in use_counts(source, made)] == [1, 1, 1]


def test_an_end_that_nobody_joined_at_a_panel_is_listed_there() -> None:
    source = straight(*pairs(2))
    rows = spares(source, "ex")
    assert [(r.kind, r.side, r.tube, len(r.fibres)) for r in rows] == [
        ("stub", ">", 1, 2),
        ("stub", ">", 1, 10),
        ("stub", ">", 2, 12),
    ]
    assert rows[0].toward_field.site == "FA"
    assert rows[1].toward_field.site == "J"


# Materials


@pytest.mark.parametrize(("count", "quantity"), [(0, 0), (1, 2), (4, 5), (10, 11), (11, 13), (100, 110), (101, 112)])
def test_ten_per_cent_more_in_whole_pieces(count: int, quantity: int) -> None:
    assert with_spare(count) == quantity


def test_joints_that_exist_need_no_sleeve_and_longer_ones_are_counted_apart() -> None:
    some = [replace(s, status="existing") for s in pairs(5)]
    some[2], some[3] = replace(some[2], status="planned"), replace(some[3], status="done")
    some[4] = replace(some[4], status="planned", method="mechanical")
    source = straight(*some)
    rows = {r.description: (r.net, r.quantity) for r in materials(source, source.boxes["j"][0])}
    assert rows["Splice sleeve 40 mm"] == (2, 3)
    assert rows["Mechanical splice"] == (1, 2)
    trays = [replace(tray, sleeve_mm=60.0) for tray in source.plant.trays.values()]
    plant = Plant([*(e for e in source.plant.entities() if e.id != trays[0].id), *trays])
    again = Source(Continuity(plant))
    assert "Splice sleeve 60 mm" in {r.description for r in materials(again, again.boxes["j"][0])}


def test_a_ribbon_of_twelve_takes_one_sleeve_and_folds_into_one_range() -> None:
    ribbon = tuple(replace(s, method="ribbon", slot=1 + index // 12) for index, s in enumerate(pairs(24)))
    source = straight(*ribbon)
    rows = {r.description: (r.net, r.quantity) for r in materials(source, source.boxes["j"][0])}
    assert rows["Ribbon splice sleeve 40 mm"] == (2, 3)
    assert [(len(one.rows), one.slots) for one in fold(schedule(source, "j"))] == [(12, (1,)), (12, (2,))]


# Ports


def test_a_port_with_two_plugs_lists_both_and_an_empty_one_nothing() -> None:
    plugs = (Mating("m1", "fa.1", end("b", 1, "fa", "<")), Mating("m2", "fa.1", end("b", 2, "fa", "<")))
    rows = port_table(straight(extra=(*panel("fa", 2), *plugs)), "fa")
    assert [[e.text for e in r.rear] for r in rows] == [["B:1", "B:2"], []]
    assert (rows[0].reaches.kind, rows[0].reaches.site) == ("dark", "J")
    assert rows[1].reaches.kind == ""


def test_a_stop_with_missing_marks_has_lists_without_lengths() -> None:
    plant = passing_plant(TubeWork(1, "opened", (3,)), mark_in_m=None, mark_out_m=None)
    source = Source(Continuity(plant))
    cut = next(r for r in cut_list(source, "j") if r.cut)
    assert (cut.cut_at_mm, cut.mark) == (None, None)
    assert next(r for r in prep(source, "j") if r.part == "sheath").length_mm is None
    assert {c.sheath_m for c in use_counts(source, plant.cables["a"])} == {None}


def test_a_ring_of_glass_is_named_and_not_followed_for_ever() -> None:
    ring = (Splice("r", "j", end("a", 1, "j", "<"), end("a", 1, "ex", ">")),)
    source = straight(*ring)
    assert use_counts(source, source.plant.cables["a"])[0].count == 24
    assert isinstance(source.plant.cables["a"].stops[0], Stop)
