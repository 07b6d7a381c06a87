"""Equal ranges of the schematic: what is folded, what is never hidden in a range, and the cabinet on two sheets."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from model.graph import Continuity
from model.ids import MatingId, ServiceId, SiteId
from model.plant import Plant
from model.storage.files import load
from render.check import check
from render.drawing import Drawing, Text, walk
from render.sheets.options import Options
from render.sheets.splice_build import build, depths
from render.sheets.splice_fold import fold, range_key
from render.sheets.splice_rows import Block, Row
from render.sheets.splices import splice_sheets

BRAMBLECOTE = load(Path(__file__).parents[3] / "samples" / "bramblecote.gwp")
CABINET = SiteId("bc-5")


def texts(drawing: Drawing) -> list[str]:
    return [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]


def block(plant: Plant, owner: str) -> Block:
    return next(b for b in build(Continuity(plant), CABINET).blocks if b.owner == owner)


def numbers(row: Row) -> tuple[int, int, int, int]:
    assert row.left is not None
    assert row.right is not None
    return row.left.numbers[0], row.left.numbers[-1], row.right.numbers[0], row.right.numbers[-1]


@pytest.mark.parametrize(("page", "most"), [("A3", 2), ("A4", 4)])
def test_the_cabinet_is_few_sheets_without_a_fault(page: str, most: int) -> None:
    for mono in (False, True):
        sheets = splice_sheets(BRAMBLECOTE, CABINET, Options(page=page, mono=mono))
        assert len(sheets) <= most
        assert [check(sheet) for sheet in sheets] == [[]] * len(sheets)


def test_the_legs_of_a_splitter_are_one_range_that_names_the_fibres_beyond_the_panel() -> None:
    # Splitter s leg j is on distribution fibre (s - 1) * 32 + j; live legs 30, 28, 31 and 29.
    for number, live in enumerate((30, 28, 31, 29), start=1):
        first = (number - 1) * 32 + 1
        rows = fold(block(BRAMBLECOTE, f"sp-{number}").rows)
        (joined,) = (row for row in rows if row.state == "plugged")
        assert numbers(joined) == (1, live, first, first + live - 1)
        assert joined.beyond is not None
        assert (joined.beyond.name, joined.beyond.numbers[0], joined.beyond.numbers[-1]) == (
            "BD-144",
            first,
            first + live - 1,
        )
        (parked,) = (row for row in rows if row.state == "stub")
        assert parked.bundle.numbers == tuple(range(live + 1, 33))
    said = [text for sheet in splice_sheets(BRAMBLECOTE, CABINET, Options()) for text in texts(sheet)]
    assert "on to BD-144:33-60" in said
    assert "from FD 6" in said
    assert "PARKED: 4 legs, 29-32" in said
    # 30 + 28 + 31 + 29 live and 2 + 4 + 1 + 3 parked.
    assert "Splitter legs: 118 joined + 10 parked = 128." in said


def test_panels_and_splitters_stand_in_the_order_light_takes() -> None:
    owners = [b.owner for b in build(Continuity(BRAMBLECOTE), CABINET).blocks if b.kind != "cable"]
    assert owners == ["FD@bc-5", "sp-1", "sp-2", "sp-3", "sp-4", "DP@bc-5"]


def test_owners_that_feed_one_another_in_a_ring_are_placed_too() -> None:
    found = depths([("a", "b"), ("b", "c"), ("c", "b"), ("c", "d")])
    assert found == {"a": 0, "b": 1, "c": 1, "d": 2}


def test_a_planned_service_breaks_the_range_of_live_ones() -> None:
    plant = BRAMBLECOTE.copy()
    plant._tables["services"]["bc-010"] = replace(plant.services[ServiceId("bc-010")], status="planned")
    rows = [row for row in fold(block(plant, "sp-1").rows) if row.state == "plugged"]
    assert [numbers(row)[:2] for row in rows] == [(1, 9), (10, 10), (11, 30)]
    assert [row.life for row in rows] == [("live",), ("planned",), ("live",)]


def test_a_leg_patched_out_of_turn_breaks_the_range() -> None:
    plant = BRAMBLECOTE.copy()
    # Legs 5 and 6 of the first splitter change places at the panel.
    held = plant._tables["matings"]
    five, six = (MatingId(f"plug bc-5.dp.{n} front") for n in (5, 6))
    held[five], held[six] = (
        replace(held[five], end=held[six].end),
        replace(held[six], end=held[five].end),
    )
    rows = [row for row in fold(block(plant, "sp-1").rows) if row.state == "plugged"]
    assert [numbers(row) for row in rows] == [(1, 4, 1, 4), (5, 5, 6, 6), (6, 6, 5, 5), (7, 30, 7, 30)]


def test_a_range_that_is_opened_stays_row_by_row_and_no_other_does() -> None:
    rows = block(BRAMBLECOTE, "bf-48").rows
    whole = fold(rows)
    assert [row.count for row in whole] == [4, 4, 4]
    key = whole[1].part_of
    assert key is not None
    assert key[0] == range_key([rows[4]])
    opened = fold(rows, {key[0]})
    assert [row.count for row in opened] == [4, 1, 1, 1, 1, 4]
    assert [row.part_of and row.part_of[1:] for row in opened] == [(4, -1), (4, 0), (4, 1), (4, 2), (4, 3), (4, -1)]
    assert sum(row.count for row in opened) == sum(row.count for row in whole) == len(rows)


def test_a_splitter_that_nothing_feeds_shows_its_input_and_all_its_legs() -> None:
    plant = BRAMBLECOTE.copy()
    legs = {"sp-2"}
    for key in [k for k, m in plant.matings.items() if getattr(m.end, "splitter", "") in legs]:
        del plant._tables["matings"][key]
    rows = block(plant, "sp-2").rows
    assert [(row.state, row.bundle.side, row.count) for row in rows] == [("stub", "in", 1), ("stub", "out", 32)]
    said = [text for sheet in splice_sheets(plant, CABINET, Options()) for text in texts(sheet)]
    assert "NOT FED: 1 input, 1" in said
    # The 28 live legs are off: 118 - 28 joined, 10 + 28 parked.
    assert "Splitter legs: 90 joined + 38 parked = 128." in said
