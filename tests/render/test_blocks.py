"""Blocks: boxed words, tables, dimensions, scales, legends and marks keep their sizes and lose nothing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.errors import PlantError
from render import style
from render.blocks import Block, caution_strip, chip, loud_tag, tag, word
from render.box import Box
from render.dims import Scale, choose_scale, dimension_chain, scale_bar
from render.drawing import Line, LineTo, MoveTo, Part, Path, Rect, Text, walk
from render.labels import place_labels
from render.leaders import draw_label, label_on_feature
from render.legend import LegendEntry, colour_key, legend, notes_list
from render.marks import arrow_head, slash_count, splice_dot
from render.style import LOOKS, contrast
from render.tableblock import (
    Column,
    Table,
    bold,
    chip_cell,
    dot_cell,
    draw_table,
    lay_table,
    loud_cell,
    split_table,
    tick_cell,
    word_cell,
)
from render.targets import Field, Target
from render.text import text_width


def texts(*parts: Part) -> list[Text]:
    return [shape for shape, _ in walk(parts) if isinstance(shape, Text)]


def text_box(text: Text) -> Box:
    width = text_width(text.content, text.height, text.weight)
    left = {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    if text.angle == -90.0:
        return Box(text.x - text.height, text.y - width + left, text.height, width)
    return Box(text.x - left, text.y - text.height, width, text.height)


def fits_its_box(block: Block) -> bool:
    return all(block.box.holds(text_box(text), 0.01) for text in texts(block.group))


@pytest.mark.parametrize("name", sorted(LOOKS))
def test_the_lettering_of_every_chip_is_readable(name: str) -> None:
    # WCAG 2.2, 1.4.3: at least 4.5 to 1.
    (text,) = texts(chip(0, 0, "27 GR", LOOKS[name]).group)
    assert contrast(LOOKS[name].fill, text.colour) >= 4.5


def test_a_chip_is_lettering_plus_1_3_high_and_holds_its_text() -> None:
    for height in (2.5, 3.5):
        block = chip(10, 20, "27 GR", LOOKS["green"], height=height)
        assert block.height == pytest.approx(height + 1.3)
        assert fits_its_box(block)


def test_the_second_dozen_carries_one_mark_and_black_a_yellow_one() -> None:
    def marks(name: str, stripes: int) -> list[Line]:
        shapes = walk((chip(0, 0, "20 BK", LOOKS[name], stripes=stripes).group,))
        return [shape for shape, _ in shapes if isinstance(shape, Line)]

    assert [len(marks("blue", n)) for n in (0, 1, 2)] == [0, 1, 2]
    assert marks("blue", 1)[0].pen.stroke == style.INK
    assert marks("black", 1)[0].pen.stroke == LOOKS["yellow"].fill
    lettering = text_box(texts(chip(0, 0, "20 BK", LOOKS["black"], stripes=2).group)[0])
    assert all(mark.x1 - mark.pen.width / 2 > lettering.right for mark in marks("black", 2))


def test_only_what_must_not_be_cut_is_black() -> None:
    def fill(text: str) -> str | None:
        return next(s.pen.fill for s, _ in walk((word(0, 0, text).group,)) if isinstance(s, Rect))

    assert [fill(t) for t in ("UNCUT", "LIVE")] == [style.INK] * 2
    white = ("OPENED", "CUT", "CUT, side A", "STUB", "planned", "stored", "anything else")
    assert [fill(t) for t in white] == [style.PAPER] * len(white)


def test_boxed_words_hold_their_text() -> None:
    for block in (
        tag(0, 0, "T3-GR 25-36", "#14803C"),
        tag(0, 0, "TRACE S-4103"),
        loud_tag(50, 50, "UNCUT - EXPRESS"),
        loud_tag(50, 50, "UNCUT - EXPRESS", angle=-90),
        word(0, 0, "OPENED"),
        word(0, 0, "a state too long for its box", width=20),
    ):
        assert fits_its_box(block)


def test_a_turned_loud_tag_is_as_long_as_a_level_one() -> None:
    level, turned = loud_tag(0, 0, "UNCUT"), loud_tag(0, 0, "UNCUT", angle=-90)
    assert (level.width, level.height) == (turned.height, turned.width)


def test_a_caution_strip_is_10_high_and_grows_with_its_text() -> None:
    assert caution_strip(22, 12, 386, ("Cut only these.", "Count twice.")).height == 10
    long = caution_strip(22, 12, 176, ("Cut only these fibres. " * 8, "Count twice. " * 12))
    assert long.height > 10
    assert fits_its_box(long)
    said = " ".join(t.content for t in texts(long.group))
    assert said.count("these") == 8
    assert said.count("twice") == 12


def small_table(width: float = 108.0, rows: int = 4) -> Table:
    return Table(
        (
            Column("Tube"),
            Column("State"),
            Column("Where it lies", grow=True),
            Column("Done", "middle"),
            Column("mm", "end"),
        ),
        tuple(
            (chip_cell("T3-GR", LOOKS["green"], 1), word_cell("OPENED"), "to tray 2", dot_cell(True), "2690")
            for _ in range(rows)
        ),
        width,
        "DISPOSITION",
    )


def test_columns_fill_the_width_and_numbers_stand_right() -> None:
    laid = lay_table(small_table())
    assert sum(laid.widths) == pytest.approx(108)
    block = draw_table(laid, 300, 24)
    number = next(t for t in texts(block.group) if t.content == "2690")
    assert (number.anchor, number.x) == ("end", 407)
    # By hand: band 6, header and four rows of 2.5 + 2.3.
    assert block.height == pytest.approx(6 + 5 * 4.8)


words_ = st.lists(st.sampled_from(["tray", "basket", "loop-through", "dark", "to", "4½", "Otter"]), max_size=14)


@settings(deadline=None)
@given(st.lists(words_, min_size=1, max_size=6), st.sampled_from(["wrap", "shorten"]), st.floats(75, 200))
def test_no_cell_leaves_its_column(rows: list[list[str]], fit: str, width: float) -> None:
    columns = (
        Column("Tube"),
        Column("Where it lies", fit="wrap" if fit == "wrap" else "shorten"),
        Column("Tag"),
        Column("mm", "end"),
    )
    cells = tuple((chip_cell("T3-GR", LOOKS["green"]), " ".join(r), "T3-GR A", "2690") for r in rows)
    laid = lay_table(Table(columns, cells, width))
    assert sum(laid.widths) == pytest.approx(width, abs=1e-6)
    block = draw_table(laid, 0, 0)
    assert fits_its_box(block)
    boxes = [text_box(t) for t in texts(block.group)]
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])
    if fit == "wrap":
        said = " ".join(line for row in laid.cells for line in row[1][1]).split()
        assert said == [w for r in rows for w in r]


def test_a_table_that_would_cut_a_number_or_chip_is_refused() -> None:
    with pytest.raises(PlantError, match="need"):
        lay_table(small_table(width=40))
    with pytest.raises(PlantError, match="2 cells for 1 column"):
        lay_table(Table((Column("a"),), (("x", "y"),), 50))


def test_an_empty_table_still_shows_its_header() -> None:
    block = draw_table(lay_table(small_table(rows=0)), 0, 0)
    assert block.height == pytest.approx(10.8)
    assert "Where it lies" in [t.content for t in texts(block.group)]


@given(st.integers(1, 60), st.lists(st.floats(20, 90), min_size=1, max_size=4))
def test_a_split_table_keeps_every_row_once_and_within_its_heights(rows: int, heights: list[float]) -> None:
    laid = lay_table(small_table(rows=rows))
    runs = split_table(laid, heights)
    assert [row for run in runs for row in run] == list(range(rows))
    for i, run in enumerate(runs):
        room = heights[min(i, len(heights) - 1)]
        assert draw_table(laid, 0, 0, run).height <= room + 1e-6


def test_a_later_run_says_that_it_goes_on() -> None:
    laid = lay_table(small_table(rows=9))
    assert "DISPOSITION (continued)" in [t.content for t in texts(draw_table(laid, 0, 0, range(4, 9)).group)]


def test_a_height_below_one_row_is_refused() -> None:
    with pytest.raises(PlantError, match="row 1"):
        split_table(lay_table(small_table()), [12])


def test_cells_show_ticks_loud_tags_and_bold_text() -> None:
    columns = (Column("Seen", "middle"), Column("Do"), Column("Sum", "end"))
    block = draw_table(lay_table(Table(columns, ((tick_cell(), loud_cell("UNCUT"), bold("5.86")),), 60)), 0, 0)
    assert {t.content: t.weight for t in texts(block.group)}["5.86"] == "bold"
    assert any(isinstance(s, Rect) and s.width == s.height for s, _ in walk((block.group,)))


@pytest.mark.parametrize(
    ("width", "height", "box", "scale"),
    [
        (380, 300, Box(0, 0, 200, 160), "1:2"),
        (150, 136, Box(0, 0, 176, 150), "1:1"),
        (30, 20, Box(0, 0, 176, 150), "5:1"),
        (380, 300, Box(0, 0, 189, 160), "1:5"),
        (1900, 300, Box(0, 0, 200, 160), "1:10"),
    ],
)
def test_the_largest_standard_scale_is_taken(width: float, height: float, box: Box, scale: str) -> None:
    # ISO 5455: 1:1, 1:2, 1:5, 1:10 ... and 2:1, 5:1 for enlargement.
    assert str(choose_scale(width, height, box)) == scale


def test_what_fits_no_scale_is_refused() -> None:
    with pytest.raises(PlantError, match="no standard scale"):
        choose_scale(1e9, 1, Box(0, 0, 100, 100))


@given(
    st.sampled_from([Scale(5, 1), Scale(2, 1), Scale(1, 1), Scale(1, 2), Scale(1, 5), Scale(1, 1000)]),
    st.floats(70, 200),
)
def test_a_scale_bar_is_true_and_stays_in_its_width(scale: Scale, width: float) -> None:
    block = scale_bar(0, 0, scale, width)
    assert block.width <= width
    numbers = [t for t in texts(block.group) if t.anchor == "middle"]
    for one in numbers:
        assert one.x == pytest.approx(float(one.content) * scale.factor)
    boxes = [text_box(t) for t in texts(block.group)]
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_dimension_texts_do_not_overlap_and_the_overall_line_lies_5_6_further() -> None:
    stops = [70, 83.5, 103, 106, 108, 122, 143.5, 213, 260]
    block = dimension_chain(stops, ["27", "39", "6", "4", "28", "43", "139", "94"], 220, 205, overall="380")
    boxes = [text_box(t) for t in texts(block.group)]
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert {t.content for t in texts(block.group)} >= {"27", "6", "4", "380"}
    level = [s.y1 for s, _ in walk((block.group,)) if isinstance(s, Line) and s.y1 == s.y2]
    assert [min(level), max(level)] == pytest.approx([220, 225.6])


@given(st.lists(st.floats(1, 40), min_size=1, max_size=12), st.booleans())
def test_no_dimension_is_lost_or_covered(gaps: list[float], vertical: bool) -> None:
    stops = [100.0]
    for gap in gaps:
        stops.append(stops[-1] + gap)
    names = [f"{10 * gap:.0f}" for gap in gaps]
    block = dimension_chain(stops, names, 50, 60 if vertical else 40, vertical=vertical)
    found = texts(block.group)
    assert sorted(t.content for t in found) == sorted(names)
    boxes = [text_box(t) for t in found]
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert all(block.box.holds(box, 0.5) for box in boxes)


def test_a_text_wider_than_its_gap_stands_beside_it() -> None:
    block = dimension_chain([100, 103], ["1234"], 50, 40)
    (text,) = texts(block.group)
    assert text_box(text).x > 103


def test_a_vertical_dimension_reads_upwards() -> None:
    (text,) = texts(dimension_chain([168, 191], ["48"], 153, 143, vertical=True).group)
    assert text.angle == -90
    assert text_box(text).right <= 153


def test_stops_must_rise() -> None:
    with pytest.raises(ValueError, match="rising"):
        dimension_chain([5, 5], ["0"], 0, 0)


def test_an_arrow_is_2_5_long_and_20_degrees_sharp() -> None:
    head = arrow_head(10, 10, 30)
    points = [(s.x, s.y) for s in head.steps if isinstance(s, MoveTo | LineTo)]
    assert points[0] == (10, 10)
    (ax, ay), (bx, by) = points[1], points[2]
    one, two = math.atan2(ay - 10, ax - 10), math.atan2(by - 10, bx - 10)
    assert abs(math.degrees(one - two)) == pytest.approx(20)
    assert math.hypot((ax + bx) / 2 - 10, (ay + by) / 2 - 10) == pytest.approx(2.5)
    # It flies towards 30 degrees, so its base lies behind.
    assert math.degrees(math.atan2(10 - (ay + by) / 2, 10 - (ax + bx) / 2)) == pytest.approx(30)


def test_done_and_planned_splices_differ_without_colour() -> None:
    fills = [next(iter(walk((splice_dot(0, 0, done),))))[0].pen.fill for done in (True, False)]  # type: ignore[union-attr]
    assert fills == [style.INK, style.PAPER]


def test_the_count_of_a_slash_stands_clear_of_it() -> None:
    for side in ("left", "right"):
        group = slash_count(100, 50, 12, side=side)
        slash = next(s for s, _ in walk((group,)) if isinstance(s, Line))
        assert math.degrees(math.atan2(slash.y1 - slash.y2, slash.x2 - slash.x1)) == pytest.approx(60)
        box = text_box(texts(group)[0])
        assert box.x > 100 if side == "right" else box.right < 100


def test_a_legend_keeps_to_its_width_and_a_key_gives_every_chip_one_width() -> None:
    entries = [LegendEntry(lambda x, y: Line(x, y, x + 13, y), f"meaning number {n} of a sign") for n in range(8)]
    assert fits_its_box(legend(23, 245, 100, entries))
    with pytest.raises(PlantError, match="columns"):
        legend(23, 245, 30, entries)
    key = colour_key(127, 245, 98, [(f"{n} BL", "blue", LOOKS["blue"]) for n in (1, 10, 13)], footnotes=["x"])
    widths = {s.width for s, _ in walk((key.group,)) if isinstance(s, Rect)}
    assert len(widths) == 1
    assert fits_its_box(key)


def test_notes_are_numbered_and_wrapped() -> None:
    block = notes_list(300, 190, 60, ["short", "a note that is long enough to need more than one line"])
    assert fits_its_box(block)
    said = " ".join(t.content for t in texts(block.group))
    assert said == "NOTES 1 short 2 a note that is long enough to need more than one line"


def test_a_drawn_leader_ends_at_its_target() -> None:
    target = Target("a", 100, 60, ("Bend R 41", "transport tube"), end="arrow", ref="tube:1")
    (placed,) = place_labels([target], Field(Box(23, 28, 39, 172), None)).placed
    group = draw_label(placed)
    assert group.ref == "tube:1"
    head = next(s for s, _ in walk((group,)) if isinstance(s, Path))
    assert head.steps[0] == MoveTo(100, 60)
    assert [t.content for t in texts(group)] == ["Bend R 41", "transport tube"]
    assert all(placed.box.holds(text_box(t)) for t in texts(group))


def test_a_label_on_its_feature_stands_on_white() -> None:
    group = label_on_feature(Target("a", 0, 0, ("Clamp", "M8 x 20")), 50, 50)
    ground = next(s for s, _ in walk((group,)) if isinstance(s, Rect))
    box = Box(ground.x, ground.y, ground.width, ground.height)
    assert all(box.holds(text_box(t)) for t in texts(group))
    assert ground.pen.fill == style.PAPER
