"""An SVG file parses, shows its text with the shipped faces alone, and no wording can break out of it."""

from __future__ import annotations

import math
import re
import struct
import xml.etree.ElementTree as ET
import zlib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path as FilePath

import pytest
import resvg_py
from hypothesis import given
from hypothesis import strategies as st

import render.fonts
from model.errors import PlantError
from render.bands import band
from render.drawing import (
    ArcTo,
    Circle,
    Close,
    CurveTo,
    Drawing,
    Group,
    Line,
    LineTo,
    MoveTo,
    Part,
    Path,
    Pen,
    Rect,
    Text,
)
from render.svg import number, to_svg, write
from render.text import text_width

SVG = "{http://www.w3.org/2000/svg}"
FACES = sorted(str(path) for path in FilePath(render.fonts.__file__).parent.glob("*.ttf"))

HOSTILE = [
    "<script>alert(1)</script>",
    "=1+1",
    "]]>",
    "<![CDATA[ & ]]>",
    "&amp; &#x3C; &unknown;",
    "\"quoted\" and 'quoted'",
    "before\u0001after",
    "lone \ud800 surrogate \udfff",
    "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \u202eabc",
    "x" * 10_000,
    "--><svg onload='alert(1)'>",
    "\ufffe\uffff\x7f\x85",
]


def sheet(*parts: Part, title: str = "Sheet", desc: str = "A sheet") -> Drawing:
    return Drawing(100.0, 50.0, title, desc, parts)


def parse(drawing: Drawing) -> ET.Element:
    return ET.fromstring(to_svg(drawing, validate=True))


def texts(root: ET.Element) -> list[str]:
    """Contents of the lines a reader is told, without the halos below them."""
    return [element.text or "" for element in root.iter(f"{SVG}text") if element.get("aria-hidden") is None]


def stripped(content: str) -> str:
    """The content without controls, surrogates and noncharacters, by the definition of XML 1.0 (2.2 Char)."""

    def allowed(code: int) -> bool:
        return 0x20 <= code < 0x7F or 0xA0 <= code <= 0xD7FF or 0xE000 <= code <= 0xFFFD or 0x10000 <= code <= 0x10FFFF

    return "".join(char for char in content if allowed(ord(char)))


def grey_rows(png: bytes) -> Iterator[bytes]:
    """Rows of the red channel of an 8-bit RGBA picture, after the PNG specification, section 9 (filtering)."""
    place, data, width = 8, b"", 0
    while place < len(png):
        length, kind = struct.unpack(">I4s", png[place : place + 8])
        body = png[place + 8 : place + 8 + length]
        if kind == b"IHDR":
            width = struct.unpack(">I", body[:4])[0]
            assert body[8:10] == b"\x08\x06"
        elif kind == b"IDAT":
            data += body
        place += 12 + length
    raw, stride = zlib.decompress(data), width * 4
    above = bytearray(stride)
    for start in range(0, len(raw), stride + 1):
        how, row = raw[start], bytearray(raw[start + 1 : start + 1 + stride])
        for i in range(stride):
            left = row[i - 4] if i >= 4 else 0
            corner = above[i - 4] if i >= 4 else 0
            if how == 1:
                row[i] = (row[i] + left) & 255
            elif how == 2:
                row[i] = (row[i] + above[i]) & 255
            elif how == 3:
                row[i] = (row[i] + (left + above[i]) // 2) & 255
            elif how == 4:
                guess = left + above[i] - corner
                near = min(
                    (abs(guess - left), 0, left), (abs(guess - above[i]), 1, above[i]), (abs(guess - corner), 2, corner)
                )
                row[i] = (row[i] + near[2]) & 255
        above = row
        yield bytes(row[::4])


def dark_box(drawing: Drawing, per_mm: float = 5.0) -> tuple[float, float, float, float]:
    """Left, top, right and bottom in mm of all dark pixels, drawn by a renderer that has the shipped faces alone."""
    png = resvg_py.svg_to_bytes(svg_string=to_svg(drawing), font_files=FACES, skip_system_fonts=True, dpi=25.4 * per_mm)
    dark = [(x, y) for y, row in enumerate(grey_rows(bytes(png))) for x, value in enumerate(row) if value < 128]
    xs, ys = zip(*dark, strict=True)
    return min(xs) / per_mm, min(ys) / per_mm, (max(xs) + 1) / per_mm, (max(ys) + 1) / per_mm


EVERYTHING = sheet(
    Group(
        (
            Line(0, 0, 1 / 3, 0.1 + 0.2),
            Rect(-0.0001, 2, 10, 5, Pen(fill="#DCDCDA", dash=(1, 0.5), cap="round", join="bevel"), 0.5),
            Circle(5, 5, 2 / 3),
            Path((MoveTo(0, 0), LineTo(10, 0), ArcTo(20, 10, 10, False, True), CurveTo(1, 2, 3, 4, 5, 6), Close())),
            Text(50, 20, "T3-GR 25-36", 2.5, "bold", "middle", angle=-90, halo="#FFFFFF"),
        ),
        role="band",
        ref="cable LM-A1/tube:3",
        title="Tube 3, green",
    ),
    band((MoveTo(0, 30), LineTo(100, 30)), "blue", 2.4, marks=1, ref="LM-A1:1"),
)


def test_page_and_view_are_millimetres() -> None:
    root = parse(EVERYTHING)
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("100mm", "50mm", "0 0 100 50")


def test_the_first_children_say_what_the_sheet_is() -> None:
    root = parse(sheet(title="Enclosure layout <1>", desc="Ten drops & a tray"))
    assert [(child.tag, child.text) for child in list(root)[:2]] == [
        (f"{SVG}title", "Enclosure layout <1>"),
        (f"{SVG}desc", "Ten drops & a tray"),
    ]


def test_groups_lead_back_to_the_plant() -> None:
    group = next(parse(EVERYTHING).iter(f"{SVG}g"))
    assert (group.get("data-ref"), group.get("data-role")) == ("cable LM-A1/tube:3", "band")
    assert group[0].tag == f"{SVG}title"
    assert group[0].text == "Tube 3, green"


def test_ids_are_names_and_differ() -> None:
    refs = ["A B", "A/B", "A B", "7", "-x", "é", "ok"]
    root = parse(sheet(*(Group((Line(0, 0, 1, 1),), ref=ref) for ref in refs)))
    ids = [group.get("id") or "" for group in root.iter(f"{SVG}g")]
    assert len(set(ids)) == len(refs)
    assert all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_.-]*", name) for name in ids)
    assert ids[-1] == "ok"


def test_the_same_drawing_gives_the_same_bytes() -> None:
    assert to_svg(EVERYTHING) == to_svg(replace(EVERYTHING)) == to_svg(EVERYTHING, validate=True)


def test_no_number_has_more_than_three_decimals_or_a_negative_zero() -> None:
    svg = to_svg(EVERYTHING)
    body = svg[svg.index("<title>") :]
    assert not re.search(r"\d\.\d{4}", body)
    assert not re.search(r"[^A-Za-z0-9]-0[^.\d]", body)


@given(st.floats(-9e5, 9e5))
def test_a_number_is_right_to_half_a_thousandth(value: float) -> None:
    written = number(value)
    assert abs(float(written) - value) <= 0.0005 + 1e-9
    assert re.fullmatch(r"-?\d+(\.\d{1,3})?", written)
    assert written != "-0"


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e300])
@pytest.mark.parametrize(
    "make",
    [
        lambda n: Line(n, 0, 1, 1),
        lambda n: Rect(0, 0, n, 1),
        lambda n: Circle(0, 0, n),
        lambda n: Text(0, n, "x"),
        lambda n: Text(0, 0, "x", angle=n),
        lambda n: Path((MoveTo(0, 0), ArcTo(1, 1, n, False, True))),
        lambda n: Line(0, 0, 1, 1, Pen(width=n)),
    ],
)
def test_a_number_off_any_page_is_refused_and_placed(bad: float, make: object) -> None:
    part: Part = make(bad)  # type: ignore[operator]
    with pytest.raises(PlantError, match="band LM-A1:3: "):
        to_svg(sheet(Group((Group((part,)),), role="band", ref="LM-A1:3")))


@pytest.mark.parametrize(
    "part",
    [
        Rect(0, 0, -1, 1),
        Circle(0, 0, -1),
        Line(0, 0, 1, 1, Pen(width=-1)),
        Line(0, 0, 1, 1, Pen(dash=(0, 0))),
        Line(0, 0, 1, 1, Pen(dash=(-1, 2))),
        Line(0, 0, 1, 1, Pen(stroke="red")),
        Text(0, 0, "x", colour="url(#x)"),
        Text(0, 0, "x", halo="white"),
    ],
)
def test_a_size_or_colour_no_renderer_agrees_on_is_refused(part: Part) -> None:
    with pytest.raises(PlantError):
        to_svg(sheet(part))


@pytest.mark.parametrize("content", HOSTILE, ids=lambda content: ascii(content)[:20])
def test_hostile_wording_stays_wording(content: str) -> None:
    group = Group((Text(1, 10, content, halo="#FFFFFF"),), role=content, ref=content, title=content)
    root = parse(sheet(group, title=content, desc=content))
    assert {element.tag for element in root.iter()} <= {
        f"{SVG}{name}" for name in ("svg", "title", "desc", "rect", "g", "text")
    }
    assert texts(root) == [stripped(content)] * bool(stripped(content))
    assert all(not name.startswith("on") for element in root.iter() for name in element.attrib)
    assert root[0].text == (stripped(content) or None)


@given(st.text(min_size=1, max_size=80))
def test_text_comes_back_as_it_went_in_without_control_characters(content: str) -> None:
    root = ET.fromstring(to_svg(sheet(Text(1, 10, content))))
    assert texts(root) == [stripped(content)] * bool(stripped(content))


@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=40))
def test_a_ref_comes_back_from_its_group(ref: str) -> None:
    group = next(ET.fromstring(to_svg(sheet(Group((Line(0, 0, 1, 1),), ref=ref)))).iter(f"{SVG}g"))
    assert (group.get("data-ref") or "") == stripped(ref)


def test_only_the_portable_part_of_svg_is_used() -> None:
    root = parse(EVERYTHING)
    used = {name for element in root.iter() for name in element.attrib}
    assert not used & {"style", "class", "dominant-baseline", "paint-order", "clip-path", "vector-effect"}
    assert {element.tag.removeprefix(SVG) for element in root.iter()} == {
        "svg", "title", "g", "desc", "line", "rect", "circle", "path", "text",
    }  # fmt: skip
    assert sum(element.tag == f"{SVG}svg" for element in root.iter()) == 1


def test_a_halo_lies_below_its_text_and_is_not_read_aloud() -> None:
    below, above = parse(sheet(Text(5, 5, "R 41", halo="#FFFFFF"))).iter(f"{SVG}text")
    assert below.text == above.text
    assert (below.get("stroke"), below.get("aria-hidden")) == ("#FFFFFF", "true")
    assert above.get("stroke") is None


def test_text_is_drawn_with_the_shipped_faces_alone_where_its_box_is() -> None:
    left, top, right, low = dark_box(sheet(Text(20, 30, "HEFH", 5)))
    width = text_width("HEFH", 5)
    # The first and last upright stand a side bearing (about 0.5 mm) inside the advances; capitals rise 5.
    assert left == pytest.approx(20.5, abs=0.4)
    assert right == pytest.approx(20 + width - 0.5, abs=0.4)
    assert (top, low) == pytest.approx((25, 30), abs=0.25)


def test_bold_text_is_drawn_with_the_bold_face() -> None:
    normal = dark_box(sheet(Text(20, 30, "HHHHHH", 5)))
    bold = dark_box(sheet(Text(20, 30, "HHHHHH", 5, "bold")))
    assert bold[2] - normal[2] == pytest.approx(text_width("HHHHHH", 5, "bold") - text_width("HHHHHH", 5), abs=0.4)


def test_turned_text_runs_upwards_at_minus_90() -> None:
    left, top, right, low = dark_box(sheet(Text(50, 40, "HHHH", 5, angle=-90)))
    assert (left, right) == pytest.approx((45, 50), abs=0.25)
    assert low <= 40
    assert top == pytest.approx(40 - text_width("HHHH", 5) + 0.5, abs=0.4)


def test_an_arc_with_sweep_turns_clockwise_on_the_page() -> None:
    arc = Path((MoveTo(30, 20), ArcTo(50, 20, 10, False, True)), Pen(width=0.5))
    assert dark_box(sheet(arc)) == pytest.approx((29.75, 9.75, 50.25, 20), abs=0.25)


def test_a_file_is_replaced_in_one_step_and_nothing_is_left_beside_it(tmp_path: FilePath) -> None:
    target = tmp_path / "layout.svg"
    target.write_text("old")
    write(EVERYTHING, target)
    assert target.read_text(encoding="utf-8") == to_svg(EVERYTHING)
    assert list(tmp_path.iterdir()) == [target]


def test_a_drawing_that_cannot_be_written_leaves_the_old_file(tmp_path: FilePath) -> None:
    target = tmp_path / "layout.svg"
    target.write_text("old")
    with pytest.raises(PlantError):
        write(sheet(Line(math.nan, 0, 1, 1)), target)
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [("layout.svg", "old")]


def test_a_folder_that_is_not_there_is_an_os_error(tmp_path: FilePath) -> None:
    with pytest.raises(FileNotFoundError):
        write(EVERYTHING, tmp_path / "none" / "layout.svg")
