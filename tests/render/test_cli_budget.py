"""``glasswright budget`` as a person meets it: any wavelength, both directions, best to worst; figures by hand."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from python_calamine import CalamineWorkbook

from model.ids import CableTypeId
from model.parts import Profile
from model.plant import Entity, Plant
from model.storage.files import save
from model.templates.marrowfield import marrowfield
from tests.render.program import CABINET, ROUTE, Run


@pytest.fixture
def run(run: Run) -> Run:
    return Run(run.captured, "budget")


def waves(run: Run, plant: Path, service: str, *more: str) -> dict[int, Any]:
    code, out, _ = run(plant, "--service", service, "--json", *more)
    assert code == 0
    return {row["nm"]: row for row in json.loads(out)["services"][0]["waves"]}


def with_parts(plant: Plant, *parts: Entity) -> Plant:
    ids = {(type(part), part.id) for part in parts}
    return Plant([*(e for e in plant.entities() if (type(e), e.id) not in ids), *parts])


def test_a_home_behind_two_splitters_each_way(run: Run) -> None:
    # 8.1498 km x 0.25 at 1490 and x 0.35 at 1310, and 23.1 dB; launch 1.5..5 down, 0.5..5 up (GPON B+).
    found = waves(run, CABINET, "BC-041")
    down, up = found[1490], found[1310]
    bends = down["bend_db"]
    assert down["known_db"] == pytest.approx(25.137, abs=0.001)
    assert (down["arrives"]["direction"], up["arrives"]["direction"]) == ("down", "up")
    assert down["arrives"]["weakest_dbm"] == pytest.approx(1.5 - 25.137 - bends, abs=0.002)
    assert up["arrives"]["strongest_dbm"] == pytest.approx(5 - 25.952 - up["bend_db"], abs=0.002)
    # The class's window and its powers say the same: no more than 28 dB.
    assert down["arrives"]["room_db"] == pytest.approx(down["margin_db"], abs=0.001)
    assert up["aged_db"] == pytest.approx(up["margin_db"] - 3)
    assert up["verdict"] == "less than 3 dB for ageing and repairs"


def test_best_planned_known_and_worst_of_the_far_box_by_hand(run: Run) -> None:
    # 4.8833 km; 2 pairs of 0.30 (0.12 to 0.75), 3 splices of 0.10 (0.02 to 0.30); glass at most 0.40 at 1310.
    found = waves(run, ROUTE, "C9")[1310]
    assert found["planned_db"] == pytest.approx(2.609, abs=0.001)
    assert found["known_db"] == found["planned_db"]
    assert found["best_db"] == pytest.approx(0.24 + 0.06 + 4.8833 * 0.35, abs=0.001)
    assert found["worst_db"] == pytest.approx(1.5 + 0.9 + 4.8833 * 0.40, abs=0.001)
    assert (found["measured"], found["splices"]) == (0, 1)


def test_the_wavelengths_of_the_class_are_always_there_and_the_askers_too(run: Run) -> None:
    assert sorted(waves(run, ROUTE, "C1", "--nm", "1625")) == [1310, 1490, 1625]
    code, out, _ = run(CABINET, "--nm", "1270,1577")
    assert code == 0
    assert "loss 1270" in out.splitlines()[0]
    assert "loss 1577" in out.splitlines()[0]


def test_a_wavelength_a_cable_does_not_know_leaves_the_others_their_margins(run: Run, tmp_path: Path) -> None:
    plant = marrowfield()
    kind = plant.cable_types[CableTypeId("mf-48-drum")]
    old = replace(kind, attenuation=tuple(pair for pair in kind.attenuation if pair[0] != 1270))
    place = tmp_path / "old.gwp"
    save(with_parts(plant, old), place)
    found = waves(run, place, "C9", "--nm", "1270,1310")
    assert found[1270]["known_db"] is None
    assert found[1270]["verdict"] == "the loss is not known at this wavelength"
    assert found[1310]["margin_db"] == pytest.approx(5.5 - 2.609 - found[1310]["bend_db"], abs=0.001)


def test_the_owners_margin_is_the_ageing_reserve(run: Run, tmp_path: Path) -> None:
    plant = marrowfield()
    strict = Profile("strict", "Strict", limits=(("budget.margin", 1.0),))
    place = tmp_path / "strict.gwp"
    save(with_parts(plant, strict, replace(plant.job, profile="strict")), place)
    found = waves(run, place, "C9")[1310]
    assert found["aged_db"] == pytest.approx(found["margin_db"] - 1, abs=0.001)
    assert found["verdict"] == ""


def test_rows_as_csv_and_workbook(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(CABINET, "--csv")
    assert code == 0
    rows = list(csv.DictReader(io.StringIO(out)))
    # 118 services at 1310 and 1550 as asked, and 1490, which their class sends on
    assert len(rows) == 118 * 3
    assert {row["direction"] for row in rows} == {"down", "up", ""}
    assert {row["margin, dB"] for row in rows if row["nm"] == "1310"} <= {f"{2.048 - x / 1000:.3f}" for x in range(5)}
    place = tmp_path / "budget.xlsx"
    assert run(CABINET, "-o", place) == (0, f"{place}\n", "")
    assert CalamineWorkbook.from_path(str(place)).sheet_names == ["budget-waves"]
    assert run(CABINET, "-o", tmp_path / "budget.csv")[0] == 0


def test_one_service_in_words(run: Run) -> None:
    code, out, _ = run(ROUTE, "--service", "C9")
    assert code == 0
    lines = out.splitlines()
    assert lines[:3] == [
        "Service   C9, Far Barn",
        "From      Marrowfield Hub port 17",
        "Class     1000BASE-BX10: 0 to 5.5 dB",
    ]
    assert any(line.startswith("at the customer  1490") for line in lines)
    assert "known     0 of 1 splices measured both ways; bends count with every margin" in lines


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--service", "C13"), "no service is called 'C13'"),
        (("--nm", "600"), "600 nm is no wavelength"),
        (("--csv", "--json"), "one result at a time"),
        (("-o", "out.pdf"), "Let it end in .csv"),
    ],
)
def test_what_cannot_be_meant_is_one_line(run: Run, arguments: tuple[str, ...], says: str) -> None:
    code, out, err = run(ROUTE, *arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
