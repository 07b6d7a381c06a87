"""The lists of the small sample by hand: four fibres of tube 2 of a 48-fibre cable to a four-fibre drop."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.graph import Continuity
from model.lists.budgets import budget_rows
from model.lists.cuts import cut_list
from model.lists.fibres import fibre_use, use_counts
from model.lists.materials import materials
from model.lists.ports import port_table
from model.lists.preps import prep
from model.lists.schedule import expand, fold, schedule
from model.lists.source import Source
from model.lists.stores import spares, storage
from model.storage.files import load

HOUSE = Path(__file__).parents[3]
PLANT = load(HOUSE / "samples" / "thistlemere.gwp")
SOURCE = Source(Continuity(PLANT))
BOX = PLANT.enclosures["wb-07-box"]
FEEDER = PLANT.cables["tm-b1"]


def test_the_schedule_has_four_rows_in_slots_1_to_4() -> None:
    rows = schedule(SOURCE, "wb-07")
    assert [(r.number, r.a.text, r.b.text, r.tray, r.slot) for r in rows] == [
        (1, "TM-B1:13", "D-1:1", "1", 1),
        (2, "TM-B1:14", "D-1:2", "1", 2),
        (3, "TM-B1:15", "D-1:3", "1", 3),
        (4, "TM-B1:16", "D-1:4", "1", 4),
    ]
    assert {(r.joint, r.status, r.planned_db) for r in rows} == {("fusion", "planned", 0.10)}
    assert [r.services for r in rows] == [("TH-1",), ("TH-2",), ("TH-3",), ("TH-4",)]


def test_fibre_15_is_the_third_of_the_second_tube() -> None:
    row = schedule(SOURCE, "wb-07")[2]
    # TIA-598 order, from memory: tube 2 orange, position 3 green
    assert (row.a.tube, row.a.tube_colour, row.a.position, row.a.colour) == (2, "orange", 3, "green")
    assert (row.a.side, row.b.side) == ("<", ">")


def test_the_four_rows_fold_into_one_range_and_unfold_again() -> None:
    rows = schedule(SOURCE, "wb-07")
    ranges = fold(rows)
    assert [one.numbers for one in ranges] == [(1, 2, 3, 4)]
    assert ranges[0].slots == (1, 2, 3, 4)
    assert ranges[0].services == ("TH-1", "TH-2", "TH-3", "TH-4")
    assert expand(ranges) == rows


def test_the_cut_list_opens_tube_2_cuts_13_to_16_and_leaves_the_rest() -> None:
    rows = cut_list(SOURCE, "wb-07")
    assert [(r.what, r.tube, r.state, r.fibres[0], r.fibres[-1]) for r in rows] == [
        ("tube", 1, "express", 1, 12),
        ("tube", 2, "opened", 13, 24),
        ("fibres", 2, "cut", 13, 16),
        ("fibres", 2, "uncut", 17, 24),
        ("tube", 3, "express", 25, 36),
        ("tube", 4, "express", 37, 48),
    ]
    cut = rows[2]
    assert (cut.joined_in, cut.joined_out) == ((13, 14, 15, 16), ())
    assert [r.live for r in rows] == [
        ("FERRY-HEAD-1", "FERRY-HEAD-2"),
        (),
        (),
        (),
        ("FERRY-HEAD-25",),
        ("FERRY-HEAD-40",),
    ]


def test_the_cut_lies_inside_the_opening_beside_its_mark() -> None:
    cut = cut_list(SOURCE, "wb-07")[2]
    assert cut.cut_at_mm is not None
    assert cut.mark is not None
    # Opened from mark 2148.0 to 2149.6, 1600 mm
    assert 0 < cut.cut_at_mm < 1600
    assert cut.mark == pytest.approx(2148.0 + cut.cut_at_mm / 1000, abs=1e-6)


def test_three_uncut_tubes_turn_four_times_in_the_bay_and_eight_loops_lie_on_the_tray() -> None:
    rows = storage(SOURCE, "wb-07")
    assert [(r.tube, len(r.fibres), r.condition, r.where) for r in rows] == [
        (1, 12, "uncut tube", "bay"),
        (2, 8, "uncut in opened tube", "tray 1"),
        (3, 12, "uncut tube", "bay"),
        (4, 12, "uncut tube", "bay"),
    ]
    # (1600 - 400) / 282.7 = 4.24 turns at a hub of 45 mm; 900 mm of bare fibre on a track of 308.5 mm are 2.92
    assert rows[0].turns == pytest.approx(4.24, abs=0.01)
    assert rows[1].turns == pytest.approx(2.92, abs=0.01)
    assert rows[1].length_mm == pytest.approx(900, abs=0.5)


def test_the_four_stubs_are_dark_to_ferry_head() -> None:
    stubs = [row for row in spares(SOURCE, "wb-07") if row.kind == "stub"]
    assert [(r.cable, r.side, r.fibres, r.where) for r in stubs] == [("TM-B1", ">", (13, 14, 15, 16), "tray 1")]
    assert (stubs[0].toward_field.site, stubs[0].toward_field.numbers) == ("Ferry Head", (13, 14, 15, 16))
    assert stubs[0].toward_exchange.kind == ""


def test_the_eight_loops_are_spares_from_quill_lane_to_ferry_head() -> None:
    loops = [row for row in spares(SOURCE, "wb-07") if row.kind == "spare"]
    assert [r.fibres for r in loops] == [tuple(range(17, 25))]
    assert loops[0].toward_exchange.site == "Quill Lane"
    assert loops[0].toward_field.site == "Ferry Head"


def test_eight_fibres_are_in_use_before_the_box_and_four_after_it() -> None:
    # Live on 1, 2, 25 and 40 all the way, planned on 13-16 as far as the box, whose field ends are stubs
    counts = use_counts(SOURCE, FEEDER)
    assert [(c.start, c.end, c.in_use, c.dark, c.stub) for c in counts] == [
        ("Quill Lane", "WB-07", 8, 40, 0),
        ("WB-07", "Ferry Head", 4, 40, 4),
    ]
    assert [c.sheath_m for c in counts] == [2148.0, pytest.approx(3665.2 - 2149.6)]


def test_a_fibre_in_use_reaches_its_two_ends() -> None:
    row = next(r for r in fibre_use(SOURCE, FEEDER) if r.fibres == (15,) and r.use == "in use")
    assert (row.services, row.status) == (("TH-3",), "planned")
    assert (row.toward_exchange.site, row.toward_exchange.numbers) == ("Quill Lane", (15,))
    assert (row.toward_field.site, row.toward_field.numbers) == ("Thistlemere Hall", (3,))


def test_port_15_at_quill_lane_leads_to_the_third_port_of_the_hall() -> None:
    rows = port_table(SOURCE, "quill-lane")
    assert [r.number for r in rows] == list(range(1, 49))
    row = rows[14]
    assert [end.text for end in row.rear] == ["TM-B1:15"]
    assert row.front == ()
    assert (row.reaches.site, row.reaches.numbers, row.services) == ("Thistlemere Hall", (3,), ("TH-3",))
    assert (rows[16].reaches.site, rows[16].reaches.numbers, rows[16].services) == ("Ferry Head", (17,), ())


def test_the_box_needs_five_sleeves_for_four_joints() -> None:
    # 4 + 10 % is 4.4, and sleeves come whole
    rows = {(r.item, r.description): (r.net, r.quantity) for r in materials(SOURCE, BOX)}
    assert rows["sleeve", "Splice sleeve 40 mm"] == (4, 5)
    # TM-B1 of 10.4 mm comes in twice, D-1 once
    assert rows["seal", "Seal for cable 10.4 mm"] == (2, 2)
    assert sum(net for (item, _), (net, _) in rows.items() if item == "seal") == 3
    assert sum(net for (item, _), (net, _) in rows.items() if item == "plug") == len(BOX.plugged)
    assert sum(net for (item, _), (net, _) in rows.items() if item == "tray") == 1


def test_the_sheet_for_preparation_opens_1600_mm_and_asks_for_25_more() -> None:
    rows = prep(SOURCE, "wb-07")
    sheath = next(r for r in rows if r.cable == "TM-B1" and r.part == "sheath")
    assert (sheath.mark_from, sheath.mark_to, sheath.entry) == (2148.0, 2149.6, "1A and 1B")
    assert sheath.length_mm == pytest.approx(1600)
    # 700 mm of tube and three turns of 308.5 mm
    assert sheath.need_mm == pytest.approx(700 + 925.5, abs=0.5)
    assert [(r.tube, r.live) for r in rows if r.action == "leave uncut"] == [
        (1, ("FERRY-HEAD-1", "FERRY-HEAD-2")),
        (3, ("FERRY-HEAD-25",)),
        (4, ("FERRY-HEAD-40",)),
    ]
    ends = [r for r in rows if r.tube == 2 and r.part == "tube"]
    assert [r.side for r in ends] == ["<", ">"]
    assert sum(r.length_mm or 0 for r in ends) == pytest.approx(700, abs=0.5)
    drop = next(r for r in rows if r.cable == "D-1" and r.part == "sheath")
    assert (drop.length_mm, drop.side, drop.mark_from) == (1270.0, ">", 0.0)


def test_the_budget_of_the_hall_is_that_of_the_hand() -> None:
    rows = budget_rows(SOURCE, "wb-07")
    assert [r.service for r in rows] == ["TH-1", "TH-2", "TH-3", "TH-4"]
    # 2.259 km of fibre, 3 splices, 2 pairs
    for row in rows:
        assert (row.splices, row.pairs, row.splitters, row.complete) == (3, 2, 0, True)
        assert row.length_m == pytest.approx(2259, abs=0.5)
        assert row.loss_db[1310] == pytest.approx(1.691, abs=0.0005)
        assert row.loss_db[1550] == pytest.approx(1.397, abs=0.0005)
    assert rows[2].exchange_port == "QU 15"


def test_all_services_of_the_plant_have_a_budget_row_too() -> None:
    assert len(budget_rows(SOURCE)) == 8


def test_a_site_without_anything_has_empty_lists() -> None:
    assert schedule(SOURCE, "nowhere") == ()
    assert cut_list(SOURCE, "nowhere") == ()
    assert spares(SOURCE, "nowhere") == ()
    assert prep(SOURCE, "quill-lane") == ()
