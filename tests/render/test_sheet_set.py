"""Every sheet of the samples: the same bytes each time, well-formed, drawn by two renderers, and safe to open."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pytest
import resvg_py

from model.entities import Enclosure, JobInfo, Site, Tray
from model.errors import PlantError
from model.plant import Entity, Plant
from model.storage.files import load
from render.drawing import Drawing, Text, walk
from render.outfiles import file_name, unique
from render.sheet_set import Request, drawings
from render.svg import to_svg

os.environ["QT_QPA_PLATFORM"] = "offscreen"
from PySide6.QtCore import QByteArray
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

HOUSE = Path(__file__).resolve().parents[2]
SAMPLES = {name: HOUSE / "samples" / f"{name}.gwp" for name in ("thistlemere", "larkmoor")}
SITES = {"thistlemere": "wb-07", "larkmoor": "wb-12"}
DATE = "2026-03-02"
FACES = [str(path) for path in sorted((HOUSE / "render" / "fonts").glob("*.ttf"))]
SVG = "{http://www.w3.org/2000/svg}"
SAFE = {f"{SVG}{name}" for name in ("svg", "g", "line", "rect", "circle", "path", "text", "title", "desc")}


def whole_set(name: str, plant: Plant | None = None, **more: Any) -> list[tuple[str, str]]:
    """(name, SVG) of all sheets of a sample."""
    request = Request("all", SITES[name], printed_on=DATE, **more)
    return [(page, to_svg(drawing)) for page, drawing in drawings(plant or load(SAMPLES[name]), request)]


@pytest.fixture(scope="module", params=sorted(SAMPLES))
def sheets(request: pytest.FixtureRequest) -> list[tuple[str, str]]:
    return whole_set(request.param) + whole_set(request.param, mono=True)


def test_the_same_plant_and_date_give_the_same_bytes_in_any_process(tmp_path: Path) -> None:
    for name, path in SAMPLES.items():
        found = []
        for seed in ("1", "271828"):
            out = tmp_path / f"{name}-{seed}"
            subprocess.run(
                [sys.executable, "-m", "gui.launch", "draw", str(path), "all", "-o", str(out), "--printed-on", DATE],
                env={**os.environ, "PYTHONPATH": str(HOUSE), "PYTHONHASHSEED": seed},
                check=True,
                capture_output=True,
            )
            found.append({sheet.name: sheet.read_bytes() for sheet in out.iterdir()})
        assert found[0] == found[1]
        assert {"layout.svg", "splices.svg", "path.svg"} < set(found[0])


def test_a_set_is_numbered_through(sheets: list[tuple[str, str]]) -> None:
    count = len(sheets) // 2
    for index, (name, svg) in enumerate(sheets[:count], start=1):
        assert f">{index} of {count}<" in svg, name
        assert f"{name}.svg" in svg
    assert len({name for name, _ in sheets[:count]}) == count


def test_every_sheet_is_well_formed_and_holds_nothing_that_runs(sheets: list[tuple[str, str]]) -> None:
    for name, svg in sheets:
        root = ET.fromstring(svg)
        assert {element.tag for element in root.iter()} <= SAFE, name
        attributes = {key for element in root.iter() for key in element.attrib}
        assert not any("href" in key or key.startswith("on") for key in attributes), name
        ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
        assert len(ids) == len(set(ids)), name


def dark_share(pixels: bytes, step: int) -> float:
    """Share of pixels darker than half, read from the first colour of every pixel."""
    values = pixels[::step]
    return sum(value < 128 for value in values) / len(values)


def picture(png: bytes) -> QImage:
    return QImage.fromData(QByteArray(png)).convertToFormat(QImage.Format.Format_Grayscale8)


def test_two_renderers_draw_every_sheet_and_agree_how_dark_it_is(qapp: object, sheets: list[tuple[str, str]]) -> None:
    for name, svg in sheets:
        first = picture(
            bytes(resvg_py.svg_to_bytes(svg_string=svg, font_files=FACES, skip_system_fonts=True, dpi=50.0))
        )
        renderer = QSvgRenderer(QByteArray(svg.encode()))
        assert renderer.isValid(), name
        second = QImage(first.size(), QImage.Format.Format_Grayscale8)
        second.fill(255)
        painter = QPainter(second)
        renderer.render(painter)
        painter.end()
        shares = [dark_share(bytes(image.constBits()), 1) for image in (first, second)]
        # A sheet of thin lines and words is mostly white, and never blank.
        assert all(0.003 < share < 0.4 for share in shares), (name, shares)
        assert shares[0] == pytest.approx(shares[1], abs=0.05), name


# Hostile words

HOSTILE = (
    "<script>alert(1)</script>",
    "=1+1",
    '"><svg onload="x"/>&amp;',
    "x" * 200,
    "\u202eevil\u05d0\u05d1\u05d2 \u0645\u0631\u062d\u0628\u0627",
    "\U0001f9d1\u200d\U0001f527 塔 e\u0301",
    "../../x",
    "]]><!--",
)
KEPT = {"id", "kind", "status", "role", "side", "state", "language", "unit", "mark_unit"}


def reworded(value: Any, word: str, name: str = "") -> Any:
    """An entity whose free words are all replaced, its ids kept."""
    changed: dict[str, Any] = {}
    for field in fields(value):
        held = getattr(value, field.name)
        if field.name in ("name", "owner", "place", "customer", "panel", "project", "drawn", "what", "by", "access"):
            changed[field.name] = f"{word} {value.id}"[:200] if field.name == "name" else word
        elif isinstance(held, tuple) and held and all(map(is_dataclass, held)):
            changed[field.name] = tuple(reworded_inner(item, word) for item in held)
    return replace(value, **changed)


def reworded_inner(value: Any, word: str) -> Any:
    held = {field.name for field in fields(value)}
    return replace(
        value, **{name: word for name in ("what", "by") if name in held and isinstance(getattr(value, name), str)}
    )


def hostile_plants() -> Iterator[tuple[str, Plant]]:
    plant = load(SAMPLES["thistlemere"])
    for word in HOSTILE:
        things: list[Entity] = []
        for entity in plant.entities():
            if type(entity).__name__ in ("Site", "Cable", "Enclosure", "Tray", "Service", "Port", "JobInfo"):
                things.append(reworded(entity, word))
            else:
                things.append(entity)
        yield word, Plant(things)


def test_words_of_a_plant_stay_words_on_every_sheet() -> None:
    for word, plant in hostile_plants():
        for name, svg in whole_set("thistlemere", plant):
            root = ET.fromstring(svg)
            assert {element.tag for element in root.iter()} <= SAFE, (word, name)
            assert not any(key.startswith("on") for element in root.iter() for key in element.attrib)
            assert re.fullmatch(r"[\w.-]{1,120}", name), name
            assert not name.startswith(".")


# Which sheets


def test_a_reference_alone_says_which_tray_and_which_path() -> None:
    plant = load(SAMPLES["larkmoor"])
    ((_, tray),) = drawings(plant, Request("tray", "", ref="WB-12/2"))
    assert "WB-12" in tray.title
    ((_, path),) = drawings(plant, Request("path", "", ref="service:S-4103"))
    assert "S-4103" in path.title


def two_boxes() -> Plant:
    plant = load(SAMPLES["thistlemere"])
    box = next(iter(plant.enclosures.values()))
    tray = next(iter(plant.trays.values()))
    more: list[Entity] = [
        Site("second", "Second", "enclosure"),  # type: ignore[arg-type]
        Enclosure("second-box", "second", box.type, "Second box"),  # type: ignore[arg-type]
        Tray("second-a", "second-box", tray.type, 1, "a/b"),  # type: ignore[arg-type]
        Tray("second-b", "second-box", tray.type, 2, "a:b"),  # type: ignore[arg-type]
    ]
    return Plant([*plant.entities(), *more])


def test_of_several_enclosures_the_site_says_which() -> None:
    plant = two_boxes()
    layouts = {site: drawings(plant, Request("layout", site))[0][1].title for site in ("wb-07", "second")}
    assert "WB-07" in layouts["wb-07"]
    assert "Second" in layouts["second"]


@pytest.mark.parametrize(
    "request_",
    [
        Request("layout", "quill-lane"),
        Request("tray", "quill-lane"),
        Request("path", "quill-lane"),
        Request("layout", "wb-07", page="A0"),
        Request("layout", "wb-07", ref="D-1:3"),
        Request("all", "wb-07", ref="D-1:3"),
        Request("layout", "wb-07", trace="TM-B1:15"),
        Request("tray", "quill-lane", ref="WB-07/1"),
    ],
)
def test_what_cannot_be_drawn_is_refused_before_anything_is(request_: Request) -> None:
    with pytest.raises(PlantError) as fault:
        drawings(load(SAMPLES["thistlemere"]), request_)
    assert fault.value.hint


def test_the_revisions_that_only_sheet_1_carries_do_not_upset_the_count(monkeypatch: pytest.MonkeyPatch) -> None:
    # A sheet whose pages depend on its place in the set: two as sheet 1, else one; and three further sheets behind it.
    made: list[tuple[int, int]] = []

    def pages(options: Any) -> list[Drawing]:
        made.append((options.sheet, options.sheets))
        return [Drawing(10.0, 10.0, "page", "page", ())] * (2 if options.sheet == 1 else 1)

    import render.sheet_set as under_test

    monkeypatch.setattr(under_test, "_makers", lambda *_: [("a", pages), ("b", pages)])
    found = drawings(load(SAMPLES["thistlemere"]), Request("all", "wb-07"))
    assert [name for name, _ in found] == ["a", "a-2", "b"]
    assert made[-2:] == [(1, 3), (3, 3)]


# File names


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("tray-1", "tray-1"),
        ("../../etc/x", "etc_x"),
        ("a/b\\c:d", "a_b_c_d"),
        ("...", "_"),
        ("", "_"),
        ("con", "_con"),
        ("Lpt1.x", "_Lpt1.x"),
        ("塔", "塔"),
    ],
)
def test_a_name_from_the_plant_cannot_leave_the_folder(text: str, name: str) -> None:
    assert file_name(text) == name


def test_a_long_name_is_cut_between_letters() -> None:
    name = file_name("塔" * 200)
    assert set(name) == {"塔"}
    assert len(name.encode()) <= 100


def test_names_that_differ_by_case_alone_are_two_files() -> None:
    assert unique(["a", "A", "b", "a", "a-2"]) == ["a", "A-2", "b", "a-3", "a-2-2"]


def test_the_job_of_a_sample_is_on_its_sheets() -> None:
    plant = load(SAMPLES["thistlemere"])
    (job,) = [entity for entity in plant.entities() if isinstance(entity, JobInfo)]
    for _, svg in whole_set("thistlemere"):
        assert job.work_order in svg
        assert f"Printed on {DATE}" in svg


def test_the_samples_on_disk_are_what_their_builder_makes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(HOUSE / "samples"))
    import build  # type: ignore[import-not-found]  # a script beside the samples

    (tmp_path / "broken").mkdir()
    monkeypatch.setattr(build, "HERE", tmp_path)
    build.main()
    made = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.gwp")}
    kept = {path.relative_to(HOUSE / "samples"): path.read_bytes() for path in (HOUSE / "samples").rglob("*.gwp")}
    assert set(made) == set(kept)
    assert [str(name) for name in made if made[name] != kept[name]] == []


def test_every_page_prints_the_name_of_its_own_file() -> None:
    plant = load(SAMPLES["larkmoor"])
    made = drawings(plant, Request("layout", "wb-12", page="A4", printed_on="2026-11-25"), stem="lay")
    assert [name for name, _ in made] == ["lay", "lay-2"]
    for name, drawing in made:
        words = [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]
        assert any(text.split(" | ")[1:2] == [f"{name}.svg"] for text in words)
