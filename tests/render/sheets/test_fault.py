# mypy: disable-error-code="arg-type"
"""The fault sheet: one page, nothing overlapping or lost off it, on the ticket and on hostile plants."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.dispatch.facts import Report, facts_of
from model.entities import Cable, Enclosure, Service, Site, Tray
from model.graph import Continuity
from model.nodes import node_of
from model.otdr.reading import Reading
from model.otdr.way import way_of
from model.plant import Plant
from model.storage.document import decode
from model.templates.cabinet import bramblecote
from model.templates.marrowfield import marrowfield
from model.trace import service_node
from render.check import check
from render.drawing import Drawing, Text, walk
from render.sheets.fault import fault_sheet
from render.sheets.fault_tables import Row, about
from render.sheets.options import Options
from tests.model.correlate.laid import laid
from tests.render.sheets.path_plants import long, markup, plain

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
DOWN = ("c5", "c6", "c9", "c10", "c11")
UP = ("c1", "c2", "c3", "c4", "c7", "c8", "c12")


def texts(drawing: Drawing) -> list[str]:
    return [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]


def renamed(plant: Plant, name: Callable[[str], str]) -> Plant:
    """The plant with every name of a person's choosing made hostile."""
    entities = []
    for entity in plant.entities():
        if isinstance(entity, Site | Cable | Tray | Enclosure):
            entity = replace(entity, name=name(entity.name))
        if isinstance(entity, Site):
            entity = replace(entity, place=name(entity.place), access=name(entity.access))
        entities.append(entity)
    return Plant(entities)


def report(continuity: Continuity, shown_m: float | None = 3359.0, fibre: int = 17) -> Report:
    node = node_of(continuity, f"mf-48:{fibre}")
    reading = None if shown_m is None else Reading(shown_m, 1.4682, 150.0)
    return Report("FT 118", "2026-02-11 02:10", DOWN, UP, node if reading else "", reading)


def sheet(plant: Plant, shown_m: float | None = 3359.0, page: str = "A4") -> Drawing:
    continuity = Continuity(plant)
    facts = facts_of(continuity, report(continuity, shown_m))
    return fault_sheet(continuity, facts, Options(page=page, printed_on="2026-02-11", file="fault.svg"))


@pytest.mark.parametrize("page", ["A4", "A3", "Letter", "Tabloid"])
@pytest.mark.parametrize("name", [plain, long, markup])
def test_one_page_without_a_fault(name: Callable[[str], str], page: str) -> None:
    drawing = sheet(renamed(marrowfield(), name), page=page)
    assert check(drawing) == []
    assert "1 of 1" in texts(drawing)


@pytest.mark.parametrize("shown_m", [None, 160.0, 1000.0, 2100.0, 3340.0, 3359.0, 4316.0, 4900.0, 5010.0])
def test_wherever_the_reading_lies_the_picture_holds_it(shown_m: float | None) -> None:
    assert check(sheet(marrowfield(), shown_m)) == []


def test_everything_a_technician_has_to_be_told_is_on_it() -> None:
    found = texts(sheet(marrowfield()))
    joined = " ".join(found)
    for words in (
        "GO TO K2",
        "Mark 3153 m on MF-48 (3138 m to 3169 m)",
        "North abutment of Withy Bridge",
        "FT 118, since 2026-02-11 02:10",
        "Down (5): C5 C6 C9 C10 C11",
        "Up (7): C1 C2 C3 C4 C7 C8 C12",
        "3359 m, n 1.4682, 1550 nm",
        "3361.7 m, n 1.4670",
        "3205.7 m, less lead 150, tail 6",
        "3085 m along the ground",
        "MF-48 T2 orange looped through at K2 (f15-24)",
        "4315-4317 m, EXCLUDED",
        "UNCUT, in opened tube, tray 1",
        "3151/3153",
        "DO NOT DISTURB, LIVE AT K2",
        "LIVE at K2, do not disturb: C3 C4 C7 C8 C12.",
        "MF 4-12 to K4, stub",
        "bridge MF-48:15-24 at K2, no shortening: live beside",
        "tray 1: 22 of 24",
        "17 SL",
        "T2-OR",
    ):
        assert words in found, words
    for words in (
        "fibres 20-24 of MF-48 T2",
        "22 sleeves of 40 mm",
        "0100 555 0163",
        "rev B, 2025-10-14",
        "Never look",
    ):
        assert words in joined, words


def test_the_level_to_expect_falls_along_the_path_by_hand() -> None:
    # 1000BASE-BX10 launches -9 to -3 dBm. At C9's outlet at 1490 nm 4.8833 km x 0.25 + 0.9 = 2.121 dB are lost; at K2
    # 0.4 dB of port and pigtail and (3151 - 4) x 1.018 + 6 = 3209.6 m of fibre: 1.202.
    found = texts(sheet(marrowfield()))
    assert "-11.1 to -5.1" in found
    assert "-10.2 to -4.2" in found


def test_a_long_list_says_how_much_it_leaves_out() -> None:
    plant = bramblecote()
    continuity = Continuity(plant)
    down = tuple(f"bc-{n:03d}" for n in range(33, 61))
    up = tuple(f"bc-{n:03d}" for n in range(1, 31))
    facts = facts_of(continuity, Report("FT 9", "", down, up))
    drawing = fault_sheet(continuity, facts, Options(printed_on="2026-02-11"))
    assert check(drawing) == []
    assert "and 19 more" in " ".join(texts(drawing))


@pytest.mark.parametrize("name", [plain, long, markup])
def test_services_with_long_names_have_a_sheet_too(name: Callable[[str], str]) -> None:
    plant = renamed(marrowfield(), name)
    others = [e for e in plant.entities() if not isinstance(e, Service)]
    served = [replace(s, name=name(f"OTTER-BRIDGE-{s.name}")) for s in plant.services.values()]
    drawing = sheet(Plant([*others, *served]))
    assert check(drawing) == []


@pytest.mark.parametrize("name", ["larkmoor", "thistlemere"])
def test_every_sample_has_a_sheet_for_whoever_is_down(name: str) -> None:
    continuity = Continuity(decode((SAMPLES / f"{name}.gwp").read_bytes()))
    everybody = list(continuity.plant.services)
    for down in (everybody[:1], everybody[:3], everybody[-2:], everybody):
        facts = facts_of(continuity, Report("FT 1", "", tuple(down)))
        drawing = fault_sheet(continuity, facts, Options(printed_on="2026-02-11"))
        assert check(drawing) == []
        assert not any(text.endswith("suspect .") for text in texts(drawing))
        # A name is never broken, where the first of it could be taken for another's.
        live = {continuity.plant.services[s].name for row in facts.beside for s in row.services[:2]}
        words = " ".join(texts(drawing)).replace(".", " ").split()
        assert len(facts.beside) > 6 or live <= set(words)


def test_two_faults_at_once_have_a_sheet() -> None:
    continuity = Continuity(marrowfield())
    facts = facts_of(continuity, Report("FT 3", "", ("c1", "c12"), ("c2", "c3", "c7", "c8", "c9")))
    drawing = fault_sheet(continuity, facts, Options(printed_on="2026-02-11"))
    assert check(drawing) == []


def test_marks_in_feet_are_shown_as_the_sheath_prints_them() -> None:
    plant = marrowfield()
    cable = replace(plant.cables["mf-48"], mark_unit="ft")
    drawing = sheet(Plant([*(e for e in plant.entities() if e.id != "mf-48"), cable]))
    assert check(drawing) == []
    # 3153.1 m are 10345 ft, 3138 and 3169 m 10294 to 10396.
    assert any(text.startswith("Mark 10345 ft on MF-48 (10294 ft to 10396 ft)") for text in texts(drawing))


def test_a_reading_from_the_field_end_has_its_sheet() -> None:
    continuity = Continuity(marrowfield())
    # From C9's outlet: 30 m of drop x 1.02, then (4765 - 3153.1) x 1.018 = 1640.9 m of MF-48.
    taken = Reading(1671.5, from_end="field")
    facts = facts_of(continuity, replace(report(continuity), reading=taken))
    assert facts.located is not None
    assert facts.located.mark == "3153 m"
    assert [s.element.key for s in facts.excluded] == ["tube_at|entry|2|mf-48.k3"]
    drawing = fault_sheet(continuity, facts, Options(printed_on="2026-02-11"))
    assert check(drawing) == []
    assert "from the field end" in texts(drawing)


@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
@given(st.integers(0, 10_000), st.booleans())
def test_any_fault_of_any_plant_has_one_clean_page(seed: int, shoot: bool) -> None:
    plant = laid(seed).plant()
    continuity, rng = Continuity(plant), Random(seed)
    services = sorted(plant.services)
    rng.shuffle(services)
    down = tuple(services[: rng.randint(1, max(1, len(services) // 3))])
    up = tuple(services[len(down) : rng.randint(len(down), len(services))])
    node, reading = service_node(continuity, down[0]), None
    if shoot:
        end = rng.choice(["exchange", "field"])
        stretches = way_of(continuity, node, end).stretches
        if stretches:
            length = sum(stretch.fibre_m or 0.0 for stretch in stretches)
            reading = Reading(rng.uniform(0.0, length), from_end=end)
    facts = facts_of(continuity, Report("1", "", down, up, node if reading else "", reading))
    drawing = fault_sheet(continuity, facts, Options(page=rng.choice(["A4", "A3", "Letter"]), printed_on="2026-02-11"))
    assert check(drawing) == []
    assert (facts.target is None) == (not facts.answer.suspects)


@given(st.integers(1, 60), st.data(), st.integers(4, 12))
def test_a_long_path_keeps_its_ends_and_the_place_and_counts_the_rest(
    count: int, data: st.DataObject, most: int
) -> None:
    at = data.draw(st.integers(0, count - 1))
    rows: list[Row] = [(f"#{n}", "") for n in range(count)]
    kept = about(rows, at, most)
    shown = [row[0] for row in kept if str(row[0]).startswith("#")]
    assert {"#0", f"#{count - 1}", f"#{at}"} <= set(shown)
    assert shown == sorted(shown, key=lambda text: int(str(text)[1:]))
    left = sum(int(str(row[0]).split()[0]) for row in kept if not str(row[0]).startswith("#"))
    assert left + len(shown) == count
    assert len(kept) <= max(most, 5)
