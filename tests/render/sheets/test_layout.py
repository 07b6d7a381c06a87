"""The layout sheet: exact facts of the two samples by hand, clean sheets on hostile plants, and stable bytes."""

import glob
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from typing import Literal

import pytest
import resvg_py
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from model.catalogue import catalogue
from model.entities import Enclosure, JobInfo, Route, Splice, Tray
from model.errors import PlantError
from model.ids import EnclosureTypeId, SiteId
from model.plant import Plant
from model.templates import LARKMOOR, THISTLEMERE, Drop, MidSpan, mid_span
from render.check import check
from render.drawing import Drawing, Group, Part, Text, walk
from render.sheets.layout import layout, layout_sheets
from render.sheets.layout_scene import gather
from render.sheets.layout_targets import radius_words
from render.sheets.options import Options
from render.svg import to_svg

NAME_80 = "A name of eighty characters that somebody typed in a hurry and nobody shortened."
HOSTILE = replace(
    THISTLEMERE,
    exchange=NAME_80,
    node=NAME_80 + " B",
    far="<script>alert(1)</script>",
    place="=1+1 & <b>",
    cable="=1+1",
    drops=(Drop("<script>", "rd-4", "4", 65.0, NAME_80 + " C"),),
)
SPECS = {
    "thistlemere": THISTLEMERE,
    "larkmoor": LARKMOOR,
    "hostile names": HOSTILE,
    "unnamed job": replace(THISTLEMERE, job=JobInfo()),
    "one tube": replace(THISTLEMERE, cable_type="lt-12", tube=1, joined=(1, 2, 3), live=(7,)),
    "twelve tubes, a whole one cut": replace(LARKMOOR, cable_type="lt-144", live=(1,)),
    "twenty-four tubes": replace(LARKMOOR, cable_type="lt-288", live=(1,)),
    "metal": replace(LARKMOOR, cable_type="lt-96-steel", live=(1,)),
    "no drops": replace(THISTLEMERE, drops=()),
}
Orientation = Literal["", "portrait", "landscape"]
PAGES: tuple[tuple[str, Orientation], ...] = (
    ("A3", ""),
    ("A4", ""),
    ("A4", "landscape"),
    ("Letter", ""),
    ("Letter", "landscape"),
    ("Tabloid", ""),
)


def site_of(plant: Plant) -> SiteId:
    return next(iter(plant.enclosures.values())).site


def draw(spec: MidSpan, options: Options | None = None) -> list[Drawing]:
    plant = mid_span(spec)
    return layout_sheets(plant, site_of(plant), options)


def texts(sheets: list[Drawing]) -> list[str]:
    return [shape.content for sheet in sheets for shape, _ in walk(sheet.parts) if isinstance(shape, Text)]


def has(sheets: list[Drawing], *pieces: str) -> list[str]:
    lines = texts(sheets)
    return [piece for piece in pieces if not any(piece in line for line in lines)]


def groups(parts: tuple[Part, ...], role: str) -> Iterator[Group]:
    for part in parts:
        if isinstance(part, Group):
            if part.role == role:
                yield part
            yield from groups(part.parts, role)


@pytest.mark.parametrize("name", SPECS)
@pytest.mark.parametrize(("page", "orientation"), PAGES)
def test_no_sheet_has_a_fault(name: str, page: str, orientation: Orientation) -> None:
    options = Options(page=page, orientation=orientation, printed_on="2026-03-15")
    for sheet in draw(SPECS[name], options):
        assert check(sheet) == []


def test_thistlemere_lengths_are_the_ones_counted_by_hand() -> None:
    # Tray track: 2 x 60 + 2 pi 30 = 308.50. Tubes 700 of an opening of 1600 leave 900 bare: 900 / 308.50 = 2.917.
    # Three turns: 925.49, that is 25.5 more; 700 + 925.5 = 1625. Bay hub: 2 pi 45 = 282.74. Legs outside the bay take
    # 200 each and a little slant, 3 x (1600 - 400.8) / 282.74 = 12.72; 0.5 x 22 x 18 / 2.5 squared = 31.7.
    sheets = draw(THISTLEMERE)
    assert len(sheets) == 1
    found = has(sheets, "2.92 turns of 308.5", "925.5 (25.5", "282.7", "12.7 of 31", "routes need 1625")
    assert found == []
    assert "900" in texts(sheets)
    assert "1600" in texts(sheets)


def test_thistlemere_caution_says_what_may_be_cut_and_what_is_live() -> None:
    # Tube 2 holds 13-24: four are cut, eight loop; tubes 1, 3 and 4 hold 36 fibres.
    wanted = (
        "Cut only T2-OR fibres 13-16. Three tubes pass UNCUT (36 fibres) and fibres 17-24 loop through uncut.",
        "LIVE beside the work: TM-B1 fibres 1-2, 25, 40.",
        "Never look into a fibre.",
    )
    assert has(draw(THISTLEMERE), *wanted) == []


def test_counts_of_both_sides_are_the_whole_cable() -> None:
    assert (
        has(draw(THISTLEMERE), "Side A: 4 joined + 8 loop + 36 express = 48 F.", "4 stub + 8 loop + 36 express") == []
    )
    # Larkmoor: tube 3 is cut; ten of its twelve are joined on side A, none on side B; 5 x 12 pass.
    assert has(draw(LARKMOOR), "Side A: 10 joined + 2 stub + 60 express = 72 F.", "12 stub + 60 express = 72 F.") == []


def test_bends_stand_against_their_limits_with_the_true_sign() -> None:
    # lt-48: tube 38 mm; rd-4: drop tube 23 mm (part types).
    sheets = draw(THISTLEMERE)
    assert has(sheets, "R 40 ≥ 38", "R 24.2 ≥ 23", "seals OD 8-14 for 10.4") == []
    assert radius_words(37.96, 38.0) == "R 38 < 38"


def test_the_sheet_is_drawn_at_a_named_scale_with_its_true_width() -> None:
    sheets = draw(LARKMOOR)
    assert has(sheets, "mm SCALE 1:2.5", "480") == []
    # Entries of the large box stand at 52, 82, 112, 142, 236 ... 424 of 480.
    chain = [text for text in texts(sheets) if text in ("52", "94", "46", "40", "56")]
    assert set(chain) == {"52", "94", "46", "40", "56"}


@pytest.mark.parametrize("name", ["thistlemere", "larkmoor", "twenty-four tubes", "metal"])
def test_every_tube_of_the_passing_cable_stands_in_the_table_with_its_state(name: str) -> None:
    plant = mid_span(SPECS[name])
    site = site_of(plant)
    (cable, kind, stop), *_ = gather(plant, site).passing
    work = {one.tube: one.state.upper() for one in stop.tubes}
    sheets = layout_sheets(plant, site)
    for table in (group for sheet in sheets for group in groups(sheet.parts, "table")):
        if "WHAT IS CUT" not in table.title:
            continue
        chips = [group.ref for group in groups(table.parts, "chip")]
        words = [group.title for group in groups(table.parts, "word")]
        assert chips == [f"tube:{cable.id}:{n}" for n in range(1, len(kind.tubes) + 1)]
        assert words[: len(chips)] == [work.get(n, "UNCUT") for n in range(1, len(kind.tubes) + 1)]
        return
    pytest.fail("no table says what is cut")


def test_uncut_legs_carry_two_loud_tags() -> None:
    loud = [group.title for group in groups(draw(THISTLEMERE)[0].parts, "loud-tag")]
    assert loud.count("UNCUT - EXPRESS") >= 2


def test_a_bay_with_too_many_passes_says_so() -> None:
    # 23 tubes x 4.1 turns are 94 passes; 0.5 x 26 x 20 / 2.5 squared holds 41.
    assert has(draw(SPECS["twenty-four tubes"]), "of 41: NO ROOM") == []
    assert has(draw(THISTLEMERE), "NO ROOM") == ["NO ROOM"]


def test_a_metal_cable_asks_for_its_bond() -> None:
    assert has(draw(SPECS["metal"]), "Bond the armour before cutting it.", "armour 1A, 1B") == []
    assert has(draw(THISTLEMERE), "Bond the armour") == ["Bond the armour"]


def test_a_live_fibre_among_those_to_cut_is_named() -> None:
    sheets = draw(replace(THISTLEMERE, live=(14,)))
    assert has(sheets, "Among the fibres to cut, 14 carry LIVE service") == []


def test_bytes_are_the_same_for_the_same_plant_and_date() -> None:
    one, two = (to_svg(draw(LARKMOOR, Options(printed_on="2026-03-15"))[0]) for _ in range(2))
    assert one.encode() == two.encode()


@pytest.mark.parametrize("mono", [False, True])
def test_hostile_names_stay_text_and_both_prints_render(mono: bool) -> None:
    sheet = draw(HOSTILE, Options(mono=mono))[0]
    svg = to_svg(sheet)
    root = ElementTree.fromstring(svg)
    assert not [element for element in root.iter() if element.tag.endswith("script")]
    assert "&lt;script&gt;" in svg
    png = resvg_py.svg_to_bytes(
        svg_string=svg, dpi=60, font_files=glob.glob("render/fonts/*.ttf"), skip_system_fonts=True
    )
    grey = Image.open(BytesIO(bytes(png))).convert("L")
    dark = sum(grey.histogram()[:80])
    assert 0.01 < dark / (grey.width * grey.height) < 0.5


def test_a_mono_print_has_no_coloured_chip() -> None:
    for group in groups(draw(LARKMOOR, Options(mono=True))[0].parts, "chip"):
        fills = {shape.pen.fill for shape, _ in walk(group.parts) if not isinstance(shape, Text)}
        assert fills <= {"#FFFFFF", None}


def test_a_trace_is_laid_under_the_tube_that_holds_it() -> None:
    sheets = draw(LARKMOOR, Options(trace="lm-a1:27@lm-a1.wb-12<"))
    # Fibre 27 ends in tube 3 side A and goes on in drop D-03: two routes.
    assert len(list(groups(sheets[0].parts, "trace"))) == 2
    assert check(sheets[0]) == []


@pytest.mark.parametrize("kind", ["dome-4", "dome-6", "pedestal-pole", "in-line-2", "cabinet-288"])
@pytest.mark.parametrize("page", ["A3", "A4"])
def test_an_enclosure_of_any_kind_without_routes_is_drawn(kind: str, page: str) -> None:
    plant = mid_span(THISTLEMERE)
    entities = [
        replace(entity, type=EnclosureTypeId(kind)) if isinstance(entity, Enclosure) else entity
        for entity in plant.entities()
        if not isinstance(entity, Route)
    ]
    changed = Plant([*entities, catalogue().enclosure_types[kind]])
    sheets = layout_sheets(changed, site_of(changed), Options(page=page))
    assert [check(sheet) for sheet in sheets] == [[] for _ in sheets]
    assert has(sheets, "not drawn") == []


def test_a_box_without_trays_is_drawn() -> None:
    plant = mid_span(THISTLEMERE)
    changed = Plant([e for e in plant.entities() if not isinstance(e, (Route, Tray, Splice))])
    assert check(layout(changed, site_of(changed))) == []


def test_a_site_without_an_enclosure_is_refused_in_one_line() -> None:
    plant = mid_span(THISTLEMERE)
    with pytest.raises(PlantError, match="has no enclosure"):
        layout(plant, "ferry-head")
    with pytest.raises(PlantError, match="no site"):
        layout(plant, "nowhere")


@settings(max_examples=12, deadline=None)
@given(
    cable=st.sampled_from(["lt-24", "lt-48", "lt-72", "lt-96"]),
    tube=st.integers(1, 2),
    count=st.integers(1, 6),
    page=st.sampled_from([page for page, _ in PAGES]),
    name=st.text(min_size=1, max_size=40).filter(lambda text: text.strip()),
)
def test_any_mid_span_job_gives_clean_sheets(cable: str, tube: int, count: int, page: str, name: str) -> None:
    first = 12 * (tube - 1) + 1
    spec = replace(
        THISTLEMERE,
        cable_type=cable,
        tube=tube,
        joined=tuple(range(first, first + count)),
        live=(),
        place=name,
        cable=f"X {name}",
    )
    for sheet in draw(spec, Options(page=page)):
        assert check(sheet) == []
