"""Each fault planted on a sheet is found and named; a sheet without faults is silent."""

from __future__ import annotations

from itertools import pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from render.bands import band
from render.check import check
from render.drawing import ArcTo, Circle, Drawing, Group, Line, LineTo, MoveTo, Part, Path, Pen, Rect, Text
from render.planar import crossing, depth, enters, hull, outlines, text_box
from render.style import LEADER, TAG


def faults(*parts: Part, frame: tuple[float, float, float, float] = (10, 10, 180, 130)) -> list[str]:
    return check(Drawing(200, 150, "Sheet", "A sheet", parts, frame))


def leader(label: str, x1: float, y1: float, x2: float, y2: float) -> Group:
    """A label whose leg starts under its own words."""
    words = Text(x1 - 20, y1 - 1.2, label)
    return Group((words, Line(x1 - 20, y1, x1, y1, LEADER), Line(x1, y1, x2, y2, LEADER)), role="leader", ref=label)


def tag(words: str, x: float, y: float, ref: str = "") -> Group:
    return Group((Rect(x, y, 24, 4.2, TAG), Text(x + 4, y + 3.3, words, weight="bold")), role="tag", ref=ref)


def tube(ref: str, y: float) -> Group:
    return band((MoveTo(20, y), LineTo(180, y)), "green", 2.0, ref=ref)


def test_a_clean_sheet_is_silent() -> None:
    dimension = Group((Line(20, 120, 60, 120, LEADER), Text(40, 119, "40", anchor="middle")), role="dimension")
    border = Group((Text(100, 8, "2"),), role="frame")
    assert (
        faults(
            border,
            tube("LM-A1:3", 100),
            tag("T3-GR 25-36", 90, 90, "LM-A1:3"),
            leader("Rod anchor", 40, 30, 80, 99),
            leader("Tube tie", 40, 50, 60, 99),
            dimension,
            Text(50, 20, "Line one gjp"),
            Text(50, 24, "Line two gjp"),
        )
        == []
    )


def test_overlapping_texts_are_named() -> None:
    (fault,) = faults(Text(50, 50, "Cable clamp"), Text(55, 51, "Entry pair"))
    assert '"Cable clamp"' in fault
    assert '"Entry pair"' in fault
    assert "overlap" in fault


def test_turned_texts_are_judged_by_their_true_boxes() -> None:
    # The upright boxes around both overlap; the turned ones lie 8 mm apart.
    one, other = Text(50, 50, "UNCUT - EXPRESS", angle=45), Text(50, 61.3, "UNCUT - EXPRESS", angle=45)
    assert faults(one, other) == []
    assert len(faults(one, Text(50, 53, "UNCUT - EXPRESS", angle=45))) == 1


def test_a_halo_or_the_same_text_twice_counts_once() -> None:
    text = Text(50, 50, "R 41", halo="#FFFFFF")
    assert faults(text, text) == []


def test_text_leaving_the_frame_or_the_page_is_found() -> None:
    assert "leaves the frame" in faults(Text(180, 50, "Too far right"))[0]
    assert "leaves the page" in faults(Text(195, 50, "Too far right"))[0]
    assert faults(Group((Text(2, 50, "A"),), role="frame")) == []
    assert "leaves the page" in faults(Group((Text(-2, 50, "A"),), role="frame"))[0]


def test_a_thin_stroke_is_found() -> None:
    (fault,) = faults(Line(20, 20, 40, 20, Pen(width=0.2)))
    assert "0.2 mm wide" in fault
    assert faults(Circle(50, 50, 3, Pen(None, 0.1, "#111111"))) == []


def test_small_lettering_is_found() -> None:
    (fault,) = faults(Text(50, 50, "fine print", 2.0))
    assert "2 mm high" in fault
    assert faults(Text(50, 50, "floor", 2.1)) == []


def test_a_leader_over_a_strange_text_is_found_and_over_its_own_is_not() -> None:
    (fault,) = faults(leader("Rod anchor", 40, 30, 100, 30.5), Text(60, 31, "Slack basket"))
    assert "Rod anchor" in fault
    assert "Slack basket" in fault
    assert faults(Group((Line(20, 29, 60, 29, LEADER), Text(20, 30, "Own")), role="leader")) == []


def test_a_leader_and_its_label_may_share_a_group() -> None:
    legs = Group((Line(20, 29, 60, 29, LEADER),), role="leader")
    assert faults(Group((Text(20, 30, "Own"), legs), role="label")) == []
    assert len(faults(Text(20, 30, "Own"), legs)) == 1


def test_a_leader_over_a_tag_is_found() -> None:
    found = faults(leader("Rod anchor", 40, 30, 140, 32), tag("T3-GR 25-36", 80, 29))
    assert any("crosses the tag" in fault for fault in found)


def test_a_leader_that_ends_at_the_edge_of_a_tag_only_touches_it() -> None:
    assert faults(leader("Rod anchor", 40, 30, 80, 31), tag("T3-GR 25-36", 80, 29)) == []


def test_leaders_that_cross_are_found_once() -> None:
    (fault,) = faults(leader("Rod anchor", 40, 30, 100, 80), leader("Tube tie", 40, 80, 100, 30))
    assert "Rod anchor" in fault
    assert "Tube tie" in fault


def test_leaders_that_end_on_one_point_do_not_cross() -> None:
    assert faults(leader("Rod anchor", 40, 30, 100, 50), leader("Tube tie", 40, 80, 100, 50)) == []


def test_a_leader_over_a_dimension_line_is_found() -> None:
    dimension = Group((Line(60, 20, 60, 100, LEADER),), role="dimension", title="overall")
    (fault,) = faults(leader("Rod anchor", 40, 30, 100, 80), dimension)
    assert "dimension line" in fault
    assert "overall" in fault


@pytest.mark.parametrize(
    "cover",
    [
        Rect(40, 40, 60, 20, Pen(fill="#FFFFFF")),
        Circle(55, 49, 3, Pen(fill="#111111")),
        Path((MoveTo(40, 40), LineTo(100, 40), LineTo(60, 70)), Pen(None, fill="#DCDCDA")),
        Path((MoveTo(30, 51.5), LineTo(100, 51.5)), Pen(width=5)),
    ],
    ids=["box", "dot", "triangle", "band"],
)
def test_a_text_under_a_later_shape_is_found_and_over_it_is_not(cover: Part) -> None:
    text = Text(50, 50, "Bend R 42")
    (fault,) = faults(text, cover)
    assert "hidden" in fault
    assert faults(cover, text) == []


def test_an_open_box_hides_nothing() -> None:
    assert faults(Text(50, 50, "Bend R 42"), Rect(40, 40, 60, 20)) == []


def test_a_text_over_a_tag_of_something_else_is_found() -> None:
    found = faults(tag("T3-GR", 50, 50), Text(68, 53, "gutter"))
    assert any("lies over the tag" in fault for fault in found)


def test_a_band_without_its_tag_is_found() -> None:
    (fault,) = faults(tube("LM-A1:3", 100), tag("T4-BR 37-48", 90, 90, "LM-A1:4"))
    assert "LM-A1:3" in fault


def test_a_tag_without_number_and_letters_does_not_name_a_band() -> None:
    for words in ("UNCUT", "25-36"):
        (fault,) = faults(tube("LM-A1:3", 100), tag(words, 90, 90, "LM-A1:3"))
        assert "number and letters" in fault


def test_a_tag_out_of_reach_is_found_unless_a_leader_joins_it() -> None:
    far = tag("T3-GR 25-36", 90, 20, "LM-A1:3")
    (fault,) = faults(tube("LM-A1:3", 100), far)
    assert "60 mm away" in fault
    joined = Group((far, Line(100, 24.2, 100, 99.5, LEADER)), role="leader", ref="LM-A1:3")
    assert faults(tube("LM-A1:3", 100), joined) == []


def test_five_thousand_texts_in_rows_are_silent_and_one_moved_is_found() -> None:
    rows = [Text(10 + 8 * (i % 50), 10 + 4 * (i // 50), f"{i}", 2.5) for i in range(5000)]
    page = Drawing(500, 500, "Sheet", "A sheet", tuple(rows))
    assert check(page) == []
    moved = Drawing(500, 500, "Sheet", "A sheet", (*rows, Text(100, 101, "moved")))
    assert any('"moved"' in fault for fault in check(moved))


# The plane geometry below the checks, against shapely as an independent reference.

places = st.tuples(st.integers(0, 60), st.integers(0, 60))
boxes = st.builds(
    lambda x, y, words, angle: text_box(Text(x, y, words, angle=angle)),
    st.integers(20, 60),
    st.integers(20, 60),
    st.sampled_from(["UNCUT", "T3-GR 25-36", "gj"]),
    st.integers(-180, 180),
)


@given(boxes, boxes)
def test_boxes_overlap_when_shapely_says_so(
    one: tuple[tuple[float, float], ...], other: tuple[tuple[float, float], ...]
) -> None:
    first, second = shapely.Polygon(one), shapely.Polygon(other)
    by = depth(one, other)
    if by > 1e-6:
        assert first.intersection(second).area > 0
    elif by < -1e-6:
        assert first.distance(second) > 0


@given(places, places, boxes)
def test_the_length_of_a_stroke_within_a_box_is_shapelys(
    start: tuple[int, int], end: tuple[int, int], box: tuple[tuple[float, float], ...]
) -> None:
    within = shapely.LineString([start, end]).intersection(shapely.Polygon(box)).length
    assert enters((start, end), box, 0.0) == pytest.approx(within, abs=1e-6)


@given(places, places, places, places)
def test_strokes_cross_when_shapely_says_so(
    a: tuple[int, int], b: tuple[int, int], c: tuple[int, int], d: tuple[int, int]
) -> None:
    one, other = shapely.LineString([a, b]), shapely.LineString([c, d])
    meeting = one.intersection(other)
    expected = a != b and c != d and (one.crosses(other) or meeting.length > 0)
    assert crossing((a, b), (c, d), 1e-9) == expected


@given(st.lists(places, min_size=3, max_size=20))
def test_the_hull_has_the_area_of_shapelys(points: list[tuple[int, int]]) -> None:
    expected = shapely.MultiPoint(points).convex_hull.area
    found = hull([(float(x), float(y)) for x, y in points])
    assert (shapely.Polygon(found).area if len(found) > 2 else 0.0) == pytest.approx(expected)


def test_a_quarter_arc_is_flattened_around_its_centre() -> None:
    # From (10, 0) clockwise on the page to (0, 10): the centre of a small arc of 10 is the origin.
    (line,) = outlines(Path((MoveTo(10, 0), ArcTo(0, 10, 10, False, True))))
    assert all(x * x + y * y == pytest.approx(100) for x, y in line)
    assert all(x >= -1e-9 and y >= -1e-9 for x, y in line)
    assert sum(((c - a) ** 2 + (d - b) ** 2) ** 0.5 for (a, b), (c, d) in pairwise(line)) == pytest.approx(
        15.708, abs=0.01
    )


def test_a_large_arc_goes_the_long_way() -> None:
    (line,) = outlines(Path((MoveTo(10, 0), ArcTo(0, 10, 10, True, False))))
    assert min(x for x, _ in line) == pytest.approx(-10, abs=0.05)
    assert min(y for _, y in line) == pytest.approx(-10, abs=0.05)
