"""The tray map says what lies on a tray, to scale, on any plant and page, and nothing on it hides anything else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
import resvg_py
from hypothesis import given, settings
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.entities import FibreEnd, Service, Splice
from model.errors import PlantError
from model.ids import SpliceId
from model.plant import Plant
from model.templates import LARKMOOR, THISTLEMERE, Drop, MidSpan, mid_span
from render.check import check
from render.drawing import Circle, Drawing, Rect, Text, walk
from render.sheets.options import Options
from render.sheets.tray import tray_map
from render.svg import to_svg
from tests.model.line.lines import done, joint

SMALL, LARGE = "wb-07-tray-1", "wb-12-tray-2"
DATED = Options(printed_on="2026-03-15", file="tray.svg", sheet=3, sheets=6)


def texts(drawing: Drawing) -> list[str]:
    return [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]


def boxes(drawing: Drawing, width: float, height: float) -> int:
    return sum(
        1
        for shape, _ in walk(drawing.parts)
        if isinstance(shape, Rect)
        and shape.width == pytest.approx(width, abs=1e-6)
        and shape.height == pytest.approx(height, abs=1e-6)
    )


def on(spec: MidSpan, tray: str, options: Options = DATED) -> Drawing:
    return tray_map(mid_span(spec), tray, options)


def all_slots(spec: MidSpan, tray: str) -> Plant:
    """Every slot used: the other tubes' fibres are cut and joined, every second one to its own field side again."""
    plant = mid_span(spec)
    first = next(iter(plant.splices.values()))
    assert isinstance(first.a, FibreEnd)
    used = {splice.slot for splice in plant.splices.values()}
    slots = [slot for slot in range(1, plant.tray_types[spec.tray_type].slots + 1) if slot not in used]
    fibres = [n for n in range(1, 200) if (n - 1) // 12 + 1 != spec.tube]
    added = []
    for slot, fibre in zip(slots, fibres, strict=False):
        a = replace(first.a, fibre=fibre)
        b = replace(a, side=">") if slot % 2 else first.b
        added.append(
            replace(first, id=SpliceId(f"more {slot}"), a=a, b=b, slot=slot, status="done" if slot % 3 else "existing")
        )
    return Plant([*plant.entities(), *added])


@pytest.mark.parametrize(("spec", "tray"), [(THISTLEMERE, SMALL), (LARKMOOR, LARGE), (LARKMOOR, "wb-12-tray-1")])
@pytest.mark.parametrize("sheet", [1, 3])
def test_both_sample_jobs_are_faultless_on_upright_a4_at_full_size(spec: MidSpan, tray: str, sheet: int) -> None:
    drawing = on(spec, tray, replace(DATED, sheet=sheet))
    assert (drawing.width, drawing.height) == (210.0, 297.0)
    assert check(drawing) == []
    kind = mid_span(spec).tray_types[spec.tray_type]
    assert boxes(drawing, kind.width_mm, kind.height_mm) == 1
    assert "1:1" in texts(drawing)


@pytest.mark.parametrize("page", ["A4", "A3", "Letter", "Tabloid"])
@pytest.mark.parametrize("orientation", ["", "portrait", "landscape"])
@pytest.mark.parametrize("full", [False, True])
def test_other_pages_are_faultless(page: str, orientation: str, full: bool) -> None:
    options = replace(DATED, page=page, orientation=orientation)  # type: ignore[arg-type]
    for spec, tray in ((THISTLEMERE, SMALL), (LARKMOOR, LARGE)):
        plant = all_slots(spec, tray) if full else mid_span(spec)
        assert check(tray_map(plant, tray, options)) == []


@pytest.mark.parametrize("tray", ["tray-12", "tray-24", "tray-36", "tray-24-60", "tray-24-large"])
def test_every_single_tray_type_is_faultless_empty_and_full(tray: str) -> None:
    spec = replace(THISTLEMERE, tray_type=tray)
    assert check(on(spec, SMALL)) == []
    assert check(tray_map(all_slots(spec, SMALL), SMALL, DATED)) == []


def test_a_tray_too_long_for_a4_goes_to_a3_at_full_size() -> None:
    drawing = tray_map(all_slots(replace(THISTLEMERE, tray_type="tray-36"), SMALL), SMALL, DATED)
    assert (drawing.width, drawing.height) == (297.0, 420.0)
    assert boxes(drawing, 144.0, 240.0) == 1


def test_the_loop_says_its_turns_and_what_the_next_whole_turn_needs() -> None:
    # One turn is 2 x 60 + 2 pi 30 = 308.5. Bare fibre 1600 - 700 = 900: 2.92 turns; three need 925.5, printed 925.
    words = texts(on(THISTLEMERE, SMALL))
    assert "UNCUT 17-24 3 turns" in words
    assert {"Middle lane: 17-24, uncut", "2.92 turns", "(3 turns need 925 mm)"} <= set(words)
    assert "Tray 144 x 186. Sleeves 40 x 3. One turn 308.5." in words


def test_chips_tags_services_and_states_of_the_small_job() -> None:
    drawing = on(THISTLEMERE, SMALL)
    words = texts(drawing)
    # Fibres 13 to 16 are the first four colours of tube 2; each stands in its row and in the table.
    for chip, tag in (("13 BL", "D-1:1 BL"), ("14 OR", "D-1:2 OR"), ("15 GR", "D-1:3 GR"), ("16 BR", "D-1:4 BR")):
        assert words.count(chip) == 2
        assert words.count(tag) == 2
    assert {"TH-1", "TH-2", "TH-3", "TH-4", "R 30 ≥ 30", "Outer lane: tails, 4 + 4"} <= set(words)
    assert {"T2-OR side A, 13-24", "T2-OR side B, 13-24; 13-16 capped here", "D-1, 4 fibres"} <= set(words)
    # 20 of 24 slots are spare, drawn each; the table has no room for all of them and folds them into one row.
    assert words.count("spare") == 20 + 1
    assert "5-24" in words


def test_slots_stand_at_their_real_places() -> None:
    # Sleeves of 40 x 3 on a 4.2 pitch: slot 2 lies 4.2 below slot 1, and 24 of them are 23 x 4.2 + 3 apart.
    plant = all_slots(THISTLEMERE, SMALL)
    drawing = tray_map(plant, SMALL, DATED)
    found = sorted(
        shape.y
        for shape, _ in walk(drawing.parts)
        if isinstance(shape, Rect) and shape.width == pytest.approx(40.0) and shape.height == pytest.approx(3.0)
    )
    assert len(found) == 24
    assert found[1] - found[0] == pytest.approx(4.2)
    assert found[-1] - found[0] == pytest.approx(23 * 4.2 + 3.0)


def test_done_joints_are_filled_dots_and_planned_ones_open() -> None:
    drawing = tray_map(all_slots(THISTLEMERE, SMALL), SMALL, DATED)
    dots = [
        shape
        for shape, _ in walk(drawing.parts)
        if isinstance(shape, Circle) and shape.pen.stroke == "#111111" and shape.pen.width == 0.5
    ]
    # 24 slots, each with a dot on its sleeve and one in the table; 4 planned, 20 done or there before.
    assert sum(1 for dot in dots if dot.pen.fill == "#FFFFFF") == 2 * 4
    assert sum(1 for dot in dots if dot.pen.fill == "#111111") == 2 * 20


def test_live_services_on_the_tray_bring_a_caution() -> None:
    assert "CAUTION" not in texts(on(THISTLEMERE, SMALL))
    live = replace(THISTLEMERE, drops=tuple(replace(drop, status="live") for drop in THISTLEMERE.drops))
    words = texts(on(live, SMALL))
    assert "CAUTION" in words
    assert "TH-1, TH-2, TH-3, TH-4 are LIVE on this tray. Lift the tray slowly." in words
    assert "Fibres 17-24 UNCUT. Do not pull the loop." in words


def test_a_live_uncut_fibre_on_the_tray_brings_a_caution_too() -> None:
    words = texts(on(replace(THISTLEMERE, live=(17,)), SMALL))
    assert any(word.endswith("is LIVE on this tray. Lift the tray slowly.") for word in words)


def test_an_empty_tray_says_so() -> None:
    drawing = on(LARKMOOR, "wb-12-tray-1")
    assert "Nothing lies on this tray." in texts(drawing)
    assert texts(drawing).count("spare") == 2 * 24


def test_stubs_alone_have_caps_and_no_sleeves() -> None:
    plant = mid_span(THISTLEMERE)
    bare = Plant(e for e in plant.entities() if not isinstance(e, Splice | Service))
    drawing = tray_map(bare, SMALL, DATED)
    assert check(drawing) == []
    assert sum(1 for _, roles in walk(drawing.parts) if "stub" in roles) == 1
    assert "1-24" in texts(drawing)


def test_a_ribbon_in_a_slot_is_one_row() -> None:
    plant = mid_span(LARKMOOR)
    tied = [replace(s, slot=1 if (s.slot or 0) <= 6 else 2, method="ribbon") for s in plant.splices.values()]
    drawing = tray_map(Plant([*(e for e in plant.entities() if not isinstance(e, Splice)), *tied]), LARGE, DATED)
    assert check(drawing) == []
    assert {"T3-GR 25-30", "T3-GR 31-34"} <= set(texts(drawing))


def test_the_table_of_a_straight_ribbon_joint_names_both_cables_whole() -> None:
    joining = "join WE-864:R1-R12 to EA-864:R1-R12 on tray 1"
    _, after = done(joint("rb-144", "tray-ribbon-12", 1), "name A as WE-864", "name B as EA-864", joining)
    parts = catalogue()
    plant = Plant([*after.plant.entities(), parts.schemes["tia-598"], parts.fibre_classes["g652d"]])
    (tray,) = plant.trays
    drawing = tray_map(plant, tray, replace(DATED, page="A3"))
    assert check(drawing) == []
    said = texts(drawing)
    assert {"WE-864:1-12", "EA-864:133-144"} <= {text.replace(" ", "") for text in said}
    assert not any("drops" in text for text in said)


def test_names_that_look_like_code_stay_words() -> None:
    node = "<script>alert(1)</script>" + "x" * 60
    drops = tuple(
        replace(drop, name=f"=1+1<b>{drop.name}{'y' * 70}", service=f"<i>{n}{'s' * 80}", customer=f"{n}{'c' * 80}")
        for n, drop in enumerate(LARKMOOR.drops)
    )
    plant = mid_span(replace(LARKMOOR, node=node, drops=drops))
    tray = next(tray.id for tray in plant.trays.values() if tray.position == 2)
    drawing = tray_map(plant, tray, DATED)
    assert check(drawing) == []
    assert "<script" not in to_svg(drawing)


def test_the_same_plant_gives_the_same_bytes_and_another_renderer_draws_them() -> None:
    one, two = (to_svg(on(THISTLEMERE, SMALL)) for _ in range(2))
    assert one == two
    root = ElementTree.fromstring(one)
    assert not [node for node in root.iter() if node.tag.endswith("script")]
    faces = [str(path) for path in sorted(Path("render/fonts").glob("*.ttf"))]
    png = bytes(resvg_py.svg_to_bytes(svg_string=one, font_files=faces, skip_system_fonts=True, dpi=50))
    assert len(png) > 5000


@pytest.mark.parametrize("mono", [False, True])
def test_a_traced_path_is_underlaid_in_its_row(mono: bool) -> None:
    plant = mid_span(THISTLEMERE)
    end = next(iter(plant.splices.values())).a
    assert isinstance(end, FibreEnd)
    node = f"{end.cable}:{end.fibre}@{end.stop}<"
    drawing = tray_map(plant, SMALL, replace(DATED, trace=node, mono=mono))
    assert check(drawing) == []
    assert sum(1 for shape, _ in walk(drawing.parts) if isinstance(shape, Rect) and shape.pen.fill == "#FFE58A") == 1


def test_bad_input_is_named() -> None:
    with pytest.raises(PlantError, match="no tray 'nowhere'"):
        tray_map(mid_span(THISTLEMERE), "nowhere", DATED)
    with pytest.raises(PlantError, match="does not fit a card"):
        on(THISTLEMERE, SMALL, replace(DATED, page="A5"))


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from(["tray-12", "tray-24", "tray-36", "tray-24-large"]),
    st.integers(1, 12),
    st.integers(0, 3),
    st.text("ABC-019 <&é", min_size=1, max_size=30),
)
def test_random_jobs_are_faultless(kind: str, joined: int, drops: int, name: str) -> None:
    laid = tuple(Drop(f"{name}{n}", "rd-4", "4", 40.0, f"House {n}", f"S{n}") for n in range(drops))
    spec = replace(THISTLEMERE, tray_type=kind, joined=tuple(range(13, 13 + joined)), drops=laid)
    assert check(on(spec, SMALL)) == []
