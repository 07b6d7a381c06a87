"""``glasswright draw`` as a person meets it: where sheets go, all or none, on every page, and never over a plant."""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path

import pytest

from tests.render.program import SMALL, Run


def test_no_drawing_replaces_a_plant_whatever_its_file_is_called(run: Run, here: Path) -> None:
    plant = SMALL.read_bytes()
    for name in ("p.gwp", "p.svg"):
        (here / name).write_bytes(plant)
    (here / "link.svg").symlink_to("p.gwp")
    (here / "hard.svg").hardlink_to(here / "p.gwp")
    for source, out in (("p.gwp", "p.gwp"), ("p.svg", "p.svg"), ("p.gwp", "link.svg"), ("p.gwp", "hard.svg")):
        run.refused("draw", source, "layout", "-o", out)
    run.refused("draw", SMALL, "layout", "-o", "link.svg")
    assert {(here / name).read_bytes() for name in ("p.gwp", "p.svg", "link.svg", "hard.svg")} == {plant}


def test_all_sheets_come_or_none(run: Run, here: Path) -> None:
    (here / "out" / "path.svg").mkdir(parents=True)
    assert "path.svg" in run.refused("draw", SMALL, "all", "-o", "out")
    assert [path.name for path in (here / "out").iterdir()] == ["path.svg"]
    (here / "file").write_text("mine")
    for out in ("file", "file/sub"):
        run.refused("draw", SMALL, "all", "-o", out)
    assert (here / "file").read_text() == "mine"


def test_all_sheets_go_into_a_new_folder_and_are_named_on_the_output(run: Run, here: Path) -> None:
    got = run("draw", SMALL, "all", "-o", "deep/er")
    assert got.code == 0
    assert sorted(got.lines) == sorted(str(path.relative_to(here)) for path in (here / "deep" / "er").iterdir())
    assert {"layout.svg", "splices.svg", "tray-1.svg", "path.svg"} <= {Path(line).name for line in got.lines}


def test_a_folder_that_takes_no_file_gets_one_line(run: Run, here: Path) -> None:
    closed = Path("/proc/sys") if os.geteuid() == 0 else here / "closed"
    if os.geteuid() != 0:
        closed.mkdir(mode=stat.S_IRUSR | stat.S_IXUSR)
    for sheet, out in (("layout", closed / "x.svg"), ("all", closed / "x")):
        assert "nothing written" in run.refused("draw", SMALL, sheet, "-o", out)


def test_a_dash_prints_the_drawing(run: Run, here: Path) -> None:
    printed = run("draw", SMALL, "layout", "-o", "-", "--printed-on", "2026-03-02")
    assert printed.code == 0
    assert printed.out.startswith("<svg ")
    assert list(here.iterdir()) == []


@pytest.mark.parametrize("page", ["A4", "a3", "Letter", "Tabloid"])
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
def test_every_sheet_takes_every_page(run: Run, here: Path, page: str, orientation: str) -> None:
    # ISO 216 and ANSI/ASME Y14.1, mm
    sizes = {"A4": (210, 297), "a3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}
    sides = sizes[page] if orientation == "portrait" else sizes[page][::-1]
    for sheet in ("layout", "splices", "tray", "path"):
        got = run("draw", SMALL, sheet, "-o", "x.svg", "--page", page, "--orientation", orientation, "--mono")
        assert got.code == 0
        for name in got.lines:
            box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', Path(name).read_text())
            assert box is not None
            assert (float(box[1]), float(box[2])) == sides
