"""Pages: frame, zones, title block and what is left for drawing."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from render.box import Box
from render.drawing import Drawing, Text, walk
from render.frame import LETTERS, zone_edges
from render.page import Page, Revision, SheetInfo, finish, page_size, start_page
from render.style import HEIGHTS
from render.text import text_width

REVISIONS = (
    Revision("A", "2025-09-02", "Box set, cable passed through", "IF", "MO", "RL"),
    Revision("B", "2026-03-14", "Drops added", "IF", "MO", "RL"),
)


def sheet(
    name: str = "A3", *, landscape: bool = True, sheet_no: int = 1, title: str = "Enclosure layout, WB-12",
    supplement: str = "seen with the door open", owner: str = "Hollin Vale Fibre Co-operative",
    revisions: tuple[Revision, ...] = REVISIONS, node: str = "WB-12 wall box",
) -> Page:  # fmt: skip
    info = SheetInfo(
        owner=owner,
        document_type="Layout drawing",
        status="FOR CONSTRUCTION",
        title=title,
        supplement=supplement,
        drawing_no="HV-WB12-01",
        revision="B",
        sheet=sheet_no,
        sheets=6,
        node=node,
        work_order="WO 5172",
        drawn="I. Farrow",
        checked="M. Oduya",
        approved="R. Lindqvist",
        issued="2026-03-14",
        scale="1:2",
        profile="HV-2 (2026)",
        colour_code="Colour code: TIA-598 order, number + two letters.",
        printed_on="2026-03-15",
        file="layout_a3.svg",
        revisions=revisions,
    )
    return start_page(page_size(name, "landscape" if landscape else "portrait"), info)


def texts(page: Page) -> list[Text]:
    return [shape for shape, _ in walk(page.parts) if isinstance(shape, Text)]


def text_box(text: Text) -> Box:
    width = text_width(text.content, text.height, text.weight)
    left = text.x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    return Box(left, text.y - text.height, width, text.height)


@pytest.mark.parametrize(
    ("name", "landscape", "width", "height"),
    [
        ("A4", False, 210, 297),  # ISO 216
        ("A3", True, 420, 297),
        ("Letter", False, 215.9, 279.4),  # 8.5 x 11 in
        ("Tabloid", True, 431.8, 279.4),  # 17 x 11 in
    ],
)
def test_pages_have_their_standard_size(name: str, landscape: bool, width: float, height: float) -> None:
    size = page_size(name, "landscape" if landscape else "portrait")
    assert (size.width, size.height) == (width, height)


def test_the_frame_leaves_20_for_binding_and_10_elsewhere() -> None:
    # ISO 5457: 20 on the left, 10 on the other sides.
    assert sheet("A3").frame == Box(20, 10, 390, 277)
    assert sheet("A4", landscape=False).frame == Box(20, 10, 180, 277)


def test_an_unknown_size_names_the_known_ones() -> None:
    with pytest.raises(PlantError, match="B5") as caught:
        page_size("B5")
    assert "A4" in caught.value.hint


def test_zones_of_an_a3_are_counted_from_the_middle() -> None:
    # By hand: middle 20 + 195 = 215; inner fields of 50, ends 45.
    assert zone_edges(20, 390) == [20, 65, 115, 165, 215, 265, 315, 365, 410]
    numbers = [t.content for t in texts(sheet("A3")) if t.y < 10 and t.content.isdigit()]
    assert numbers == ["1", "2", "3", "4", "5", "6", "7", "8"]


@given(st.floats(20, 1200))
def test_zones_are_even_in_number_and_mirror_each_other(length: float) -> None:
    edges = zone_edges(0, length)
    assert len(edges) % 2 == 1
    assert edges[len(edges) // 2] == pytest.approx(length / 2)
    for a, b in zip(edges, reversed(edges), strict=True):
        assert a + b == pytest.approx(length)
    inner = [b - a for a, b in pairwise(edges[1:-1])]
    assert inner == pytest.approx([50.0] * len(inner))


def test_zone_letters_skip_i_and_o() -> None:
    # ISO 5457: I and O are not used.
    assert "I" not in LETTERS
    assert "O" not in LETTERS
    assert len(LETTERS) == 24


def test_the_title_block_stands_bottom_right_and_fills_an_a4() -> None:
    assert sheet("A3").title_block_box == Box(230, 245, 180, 42)
    assert sheet("A4", landscape=False).title_block_box == Box(20, 245, 180, 42)
    letter = sheet("Letter", landscape=False)
    assert letter.title_block_box is not None
    assert letter.title_block_box.x == letter.frame.x
    assert letter.beside is None


def test_the_revision_table_stands_on_sheet_one_only() -> None:
    assert sheet("A3").revision_box == Box(230, 230, 180, 15)
    assert sheet("A3", sheet_no=2).revision_box is None


@pytest.mark.parametrize("name", ["A4", "A3", "Letter", "Tabloid"])
@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("number", [1, 2])
def test_what_is_left_lies_in_the_frame_and_clear_of_the_block(name: str, landscape: bool, number: int) -> None:
    page = sheet(name, landscape=landscape, sheet_no=number)
    assert page.title_block_box is not None
    for box in (page.space, page.beside):
        if box is not None:
            assert page.frame.holds(box)
            assert not box.overlaps(page.title_block_box)
    if page.beside is None and page.revision_box is not None:
        assert not page.space.overlaps(page.revision_box)


def test_every_field_is_on_the_sheet() -> None:
    page = sheet("A3")
    seen = " ".join(t.content for t in texts(page))
    for value in (
        "Hollin Vale Fibre Co-operative", "Layout drawing", "FOR CONSTRUCTION", "A3", "en", "seen with the door open",
        "Enclosure layout, WB-12", "HV-WB12-01", "1 of 6", "WB-12 wall box", "WO 5172", "I. Farrow", "M. Oduya",
        "R. Lindqvist", "2026-03-14", "1:2", "HV-2 (2026)", "TIA-598", "Printed on 2026-03-15", "layout_a3.svg",
    ):  # fmt: skip
        assert value in seen


wild = st.text(st.characters(codec="ascii", min_codepoint=32), min_size=1, max_size=120)


@given(wild, st.one_of(st.just(""), wild), wild, wild, wild, st.sampled_from(["A3", "A4", "Letter"]))
def test_no_text_leaves_the_block_or_meets_another_or_shrinks(
    title: str, supplement: str, owner: str, node: str, what: str, name: str
) -> None:
    page = sheet(
        name,
        landscape=False,
        title=title,
        supplement=supplement,
        owner=owner,
        node=node,
        revisions=(*REVISIONS, Revision("C", "2026-04-01", what, "IF", "MO", "RL")),
    )
    assert page.title_block_box is not None
    assert page.revision_box is not None
    inside = [t for t in texts(page) if page.frame.holds(text_box(t)) or not Box(0, 0, 20, 999).overlaps(text_box(t))]
    block = [t for t in inside if t.content.strip() and page.revision_box.y < t.y < page.frame.bottom]
    block = [t for t in block if page.frame.x < t.x < page.frame.right]
    boxes = [text_box(t) for t in block]
    for i, one in enumerate(boxes):
        assert page.frame.holds(one), block[i]
        assert block[i].height in HEIGHTS
        for j in range(i):
            assert not one.overlaps(boxes[j]), (block[i], block[j])


def test_a_long_title_without_supplement_takes_two_lines() -> None:
    title = "Enclosure layout of the wall box at Larkmoor"
    lines = [t.content for t in texts(sheet(title=title, supplement="")) if t.height == 5.0]
    assert len(lines) == 2
    assert " ".join(lines) == title


def test_older_revisions_are_counted_not_hidden() -> None:
    many = (*REVISIONS, Revision("C", "2026-04-01", "Stub capped"))
    seen = [t.content for t in texts(sheet(revisions=many))]
    assert "What changed (newest 2 of 3)" in seen
    assert "Stub capped" in seen


def test_a_card_has_a_plain_frame() -> None:
    card = sheet("A5", landscape=False)
    assert card.frame == Box(6, 6, 136, 198)
    assert card.title_block_box is None
    assert texts(card) == []


def test_a_finished_page_is_a_drawing_with_its_frame() -> None:
    drawing = finish(sheet(), (Text(100, 100, "x"),), desc="Box with one cable")
    assert isinstance(drawing, Drawing)
    assert drawing.frame == (20, 10, 390, 277)
    assert (drawing.width, drawing.height, drawing.desc) == (420, 297, "Box with one cable")
    assert drawing.parts[-1] == Text(100, 100, "x")
