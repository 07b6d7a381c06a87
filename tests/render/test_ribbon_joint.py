"""A ribbon joint of 432 and of 864 fibres from nothing by typed lines: clean, drawn readably, exported and counted."""

from __future__ import annotations

from functools import cache

import pytest

from model.graph import Continuity
from model.history import History
from model.line.context import Context
from model.line.readback import read_line
from model.plant import Plant
from model.rules.run import check as judge
from render.check import check
from render.drawing import Drawing, Group, Part, Text, walk
from render.sheets.layout import layout_sheets
from render.sheets.options import Options
from render.sheets.splices import splice_sheets
from render.sheets.tray import tray_map
from render.table_lists import all_tables

SIZES = (432, 864)
RIBBON, SLEEVES = 12, 12
"""Fibres of a ribbon, and sleeves of a tray."""


@cache
def joint(fibres: int) -> Plant:
    """Cable A from the exchange and cable B to the field, joined ribbon by ribbon, tray after tray."""
    trays = fibres // (RIBBON * SLEEVES)
    lines = [
        "add site Weir exchange; add site J-1; add site Mill cabinet",
        "add box dome-ribbon-6 at J-1",
        f"add cable A rb-{fibres} from Weir at 0 to J-1 at 1200 coil 10",
        f"add cable B rb-{fibres} from J-1 at 0 coil 10 to Mill at 900",
        "add panel A; add panel B at Mill",
        "; ".join(["add tray tray-ribbon-12 to J-1"] * trays),
        "enter A in 1A; enter B in 1B; plug all",
    ]
    for tray in range(trays):
        first, last = tray * SLEEVES + 1, (tray + 1) * SLEEVES
        lines.append(f"join A:R{first}-R{last} to B:R{first}-R{last} on tray {tray + 1}")
    lines.append("draft all")
    history = History(Plant())
    for line in lines:
        plant = history.plant
        place = next((site.id for site in plant.sites.values() if site.name == "J-1"), None)
        reading = read_line(Context(plant, Continuity(plant), place), line, complete=False)
        assert reading.ok, f"{line}: {reading.error}"
        history.do(*reading.edits, name=reading.name)
    return history.plant


def site(plant: Plant) -> str:
    return next(s.id for s in plant.sites.values() if s.name == "J-1")


def texts(drawing: Drawing) -> list[str]:
    return [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]


@pytest.mark.parametrize("fibres", SIZES)
def test_every_fibre_is_joined_in_its_ribbons_sleeve_and_no_error_is_found(fibres: int) -> None:
    plant = joint(fibres)
    assert len(plant.splices) == fibres
    assert {s.method for s in plant.splices.values()} == {"ribbon"}
    for splice in plant.splices.values():
        ribbon = (splice.a.fibre - 1) // RIBBON  # type: ignore[union-attr]
        assert splice.tray is not None
        assert (plant.trays[splice.tray].position, splice.slot) == (ribbon // SLEEVES + 1, ribbon % SLEEVES + 1)
    left = [(f.rule, f.message) for f in judge(plant) if f.severity in ("error", "warning")]
    trays = fibres // (RIBBON * SLEEVES)
    # Every sleeve of every tray is used, which leaves none for a joint made again: that is said, and nothing else.
    assert left == [
        ("tray.reserve", f"tray {n} of J-1 is 100 % full with 12 of 12 sleeves, at most 90 %")
        for n in range(1, trays + 1)
    ]


@pytest.mark.parametrize("fibres", SIZES)
def test_the_schematic_is_one_sheet_of_whole_tubes_whose_counts_add_up(fibres: int) -> None:
    plant = joint(fibres)
    tube = fibres // 6
    for options in (Options(), Options(mono=True)):
        (sheet,) = splice_sheets(plant, site(plant), options)
        assert check(sheet) == []
        said = texts(sheet)
        assert f"A {fibres} joined = {fibres}." in said
        assert f"Splices: 0 done + {fibres} planned = {fibres}, in trays of {fibres // RIBBON} slots." in said
        for n in range(6):
            assert f"B:{n * tube + 1}-{(n + 1) * tube}" in said
        assert said.count(str(tube)) == 6


@pytest.mark.parametrize("fibres", SIZES)
def test_unfolded_it_names_every_fibre_on_both_sides(fibres: int) -> None:
    plant = joint(fibres)
    sheets = splice_sheets(plant, site(plant), Options(), unfold=True)
    said = [text for sheet in sheets for text in texts(sheet)]
    named = {text for text in said if text.startswith("B:")}
    assert named == {f"B:{n}" for n in range(1, fibres + 1)}
    assert check(sheets[0]) == []
    assert check(sheets[-1]) == []


@pytest.mark.parametrize("fibres", SIZES)
def test_layout_and_tray_maps_have_no_fault(fibres: int) -> None:
    plant = joint(fibres)
    for sheet in layout_sheets(plant, site(plant)):
        assert check(sheet) == []
    for tray in plant.trays.values():
        drawing = tray_map(plant, tray.id, Options())
        assert check(drawing) == []
        first = (tray.position - 1) * RIBBON * SLEEVES
        assert {f"A:{first + n * RIBBON + 1}-{first + (n + 1) * RIBBON}" for n in range(SLEEVES)} <= set(texts(drawing))


@pytest.mark.parametrize("fibres", SIZES)
def test_the_tables_list_every_joint_once(fibres: int) -> None:
    tables = {table.name: table for table in all_tables(Continuity(joint(fibres)))}
    assert len(tables["splice-schedule"].rows) == fibres
    ranges = tables["splice-ranges"]
    count = ranges.columns.index("count")
    assert [row[count] for row in ranges.rows] == [fibres // 6] * 6
    sleeves = [row for row in tables["materials"].rows if any("Ribbon splice sleeve" in str(cell) for cell in row)]
    assert [fibres // RIBBON in row for row in sleeves] == [True]


@pytest.mark.parametrize("fibres", SIZES)
def test_every_slot_number_stands_in_its_row_of_the_tray_map(fibres: int) -> None:
    plant = joint(fibres)
    tray = next(tray for tray in plant.trays.values() if tray.position == 1)
    rows = [g for g in groups(tray_map(plant, tray.id, Options()).parts) if g.role == "slot"]
    assert len(rows) == SLEEVES
    for slot, row in enumerate(rows, start=1):
        assert row.title == f"slot {slot}"
        assert str(slot) in [shape.content for shape, _ in walk(row.parts) if isinstance(shape, Text)]


def groups(parts: tuple[Part, ...]) -> list[Group]:
    """Groups at any depth."""
    found = [part for part in parts if isinstance(part, Group)]
    return [*found, *(inner for group in found for inner in groups(group.parts))]
