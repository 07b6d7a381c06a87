"""``glasswright tables`` as a person meets it: the same files every time, all or none, one line for every fault."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from tests.render.program import SMALL, Run

NAMES = {
    *("splice-schedule", "splice-log", "splice-ranges", "cut-list", "preparation", "storage", "stubs-and-spares"),
    *("fibre-use", "fibre-sums", "ports", "splitter-legs", "materials", "budget", "budget-waves", "paths"),
}


@pytest.fixture
def run(run: Run) -> Run:
    return Run(run.captured, "tables")


def test_a_folder_gets_one_csv_a_list(run: Run, tmp_path: Path) -> None:
    code, out, err = run(SMALL, "--site", "WB-07", "-o", tmp_path / "lists")
    assert (code, err) == (0, "")
    assert {path.stem for path in (tmp_path / "lists").iterdir()} == NAMES
    assert {Path(line).stem for line in out.splitlines()} == NAMES
    with (tmp_path / "lists" / "cut-list.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["tube"], row["what is done"], row["fibres"]) for row in rows] == [
        ("1", "express", "1–12"),
        ("2", "opened", "13–24"),
        ("2", "cut", "13–16"),
        ("2", "uncut", "17–24"),
        ("3", "express", "25–36"),
        ("4", "express", "37–48"),
    ]


def test_a_workbook_gets_one_sheet_a_list(run: Run, tmp_path: Path) -> None:
    place = tmp_path / "out.xlsx"
    assert run(SMALL, "-o", place, "--printed-on", "2026-03-15") == (0, f"{place}\n", "")
    assert set(CalamineWorkbook.from_path(str(place)).sheet_names) == NAMES
    first = place.read_bytes()
    run(SMALL, "-o", place, "--printed-on", "2026-03-15")
    assert place.read_bytes() == first
    assert [path.name for path in tmp_path.iterdir()] == ["out.xlsx"]


def test_old_lists_are_replaced_and_other_files_left_alone(run: Run, tmp_path: Path) -> None:
    (tmp_path / "ports.csv").write_text("old")
    (tmp_path / "notes.txt").write_text("mine")
    assert run(SMALL, "-o", tmp_path)[0] == 0
    assert (tmp_path / "ports.csv").read_text(encoding="utf-8-sig").startswith("site,panel,port")
    assert (tmp_path / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--site", "Nowhere", "-o", "x.xlsx"), "Nowhere"),
        (("-o", "x.xlsx", "--printed-on", "yesterday"), "YYYY-MM-DD"),
        (("-o", "no/such/x.xlsx"), "no/such"),
        (("-o", "-"), "cannot be printed"),
        ((), "-o"),
    ],
)
def test_a_fault_is_one_line_and_nothing_is_written(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: tuple[str, ...], words: str
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = run(SMALL, *more)
    assert (code, out) == (2, "")
    assert len(err.splitlines()) == 1
    assert words in err
    assert "inner fault" not in err
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_no_folder_and_a_folder_no_workbook(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "folder.xlsx").mkdir()
    assert "need a folder" in run(SMALL, "-o", tmp_path / "file")[2]
    assert "is a folder" in run(SMALL, "-o", tmp_path / "folder.xlsx")[2]
    assert (tmp_path / "file").read_text() == "mine"


def test_a_workbook_is_never_written_over_what_a_link_leads_to(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plant.gwp").write_bytes(SMALL.read_bytes())
    (tmp_path / "out.xlsx").symlink_to(tmp_path / "plant.gwp")
    code, _, err = run(tmp_path / "plant.gwp", "-o", tmp_path / "out.xlsx")
    assert code == 2
    assert "plant" in err
    assert (tmp_path / "plant.gwp").read_bytes() == SMALL.read_bytes()


def test_one_list_that_cannot_be_written_leaves_the_others_as_they_were(run: Run, tmp_path: Path) -> None:
    (tmp_path / "budget.csv").mkdir()
    (tmp_path / "ports.csv").write_text("old")
    assert run(SMALL, "-o", tmp_path)[0] == 2
    assert {path.name for path in tmp_path.iterdir()} == {"budget.csv", "ports.csv"}
    assert (tmp_path / "ports.csv").read_text() == "old"
