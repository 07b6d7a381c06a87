"""What is wrong with a finished sheet, in plain sentences; an empty list means nothing was found.

It looks at the drawing alone, in mm: lettering that overlaps, is hidden or leaves the frame, strokes too thin to
photocopy, leaders that cross what a leader may not cross, and glass without its number and letters in reach.
It reads the roles of groups: "leader" holds the leg of one label together with its own lettering and tag (or both
stand in one group "label"), "dimension", "tag", "loud-tag" and "chip", "band", and "frame" for what may stand
outside the frame.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from render.drawing import Circle, Drawing, Line, Rect, Text
from render.inventory import OUTSIDE, TAGS, Inventory, Tag, take_stock
from render.planar import Bounds, Grid, Polygon, Segment, bounds, crossing, depth, distance, enters, inside, outlines
from render.style import H_FLOOR, W_HEAVY, W_THIN
from render.text import font_size, printable

SLACK_MM = 0.05
REACH_MM = 60.0  # a hand's breadth: the eye finds the tag of a tube without searching
TOUCH_MM = 1.5  # a leader ends on a band when its end is this near to the middle of it

_NUMBER = re.compile(r"\d")
_LETTERS = re.compile(r"[^\W\d_]{2}")


def check(drawing: Drawing, reach_mm: float = REACH_MM) -> list[str]:
    """All faults found, worst for the reader first; ``reach_mm`` is how far the tag of a band may stand from it."""
    sheet = take_stock(drawing)
    grid = Grid()
    for index, one in enumerate(sheet.letterings):
        grid.put(index, bounds(one.box))
    return [
        *_overlaps(sheet, grid),
        *_hidden(sheet, grid),
        *_over_tags(sheet),
        *_outside(sheet, drawing),
        *_leaders_over_text(sheet, grid),
        *_leaders_over_lines(sheet),
        *_bands_without_tags(sheet, reach_mm),
        *_too_small(sheet),
    ]


def _quoted(text: Text) -> str:
    return f'"{printable(text.content)[:40]}"'


def _at(box: Sequence[tuple[float, float]]) -> str:
    left, top, right, low = bounds(box)
    return f"at ({(left + right) / 2:.0f}, {(top + low) / 2:.0f})"


def _overlaps(sheet: Inventory, grid: Grid) -> Iterator[str]:
    for index, one in enumerate(sheet.letterings):
        for other_index in grid.near(bounds(one.box)):
            if other_index <= index:
                continue
            other = sheet.letterings[other_index]
            by = depth(one.box, other.box)
            if by > SLACK_MM:
                yield (f"the texts {_quoted(one.text)} and {_quoted(other.text)} overlap by {by:.1f} mm {_at(one.box)}")


def _hidden(sheet: Inventory, grid: Grid) -> Iterator[str]:
    first = sheet.letterings[0].order if sheet.letterings else len(sheet.shapes)
    for order, shape, _ in sheet.shapes:
        if order < first or isinstance(shape, Text):
            continue
        fills = shape.pen.fill is not None and not isinstance(shape, Line)
        wide = shape.pen.width / 2 if shape.pen.stroke is not None and shape.pen.width > W_HEAVY else 0.0
        if not fills and not wide:
            continue
        for line in outlines(shape):
            for index in grid.near(bounds(line, wide)):
                one = sheet.letterings[index]
                if one.order < order and _covers(line, one.box, fills, wide):
                    yield f"the text {_quoted(one.text)} {_at(one.box)} is hidden by a shape painted over it"


def _covers(line: Polygon, box: Polygon, fills: bool, wide: float) -> bool:
    strokes = pairwise(line)
    if fills:
        middle = ((box[0][0] + box[2][0]) / 2, (box[0][1] + box[2][1]) / 2)
        return inside(middle, line) or any(enters(stroke, box, SLACK_MM) for stroke in strokes)
    edges = list(zip(box, (*box[1:], box[0]), strict=True))
    return any(
        enters(stroke, box, 0.0) or min(distance(stroke, edge) for edge in edges) < wide - SLACK_MM
        for stroke in strokes
    )


def _over_tags(sheet: Inventory) -> Iterator[str]:
    grid = Grid()
    for index, tag in enumerate(sheet.tags):
        grid.put(index, bounds(tag.box))
    for one in sheet.letterings:
        for index in grid.near(bounds(one.box)):
            tag = sheet.tags[index]
            outermost = next(n for n in tag.groups if sheet.groups[n].role in TAGS)
            if outermost not in one.groups and depth(one.box, tag.box) > SLACK_MM:
                yield f"the text {_quoted(one.text)} {_at(one.box)} lies over the tag {sheet.name(tag.number)}"


def _outside(sheet: Inventory, drawing: Drawing) -> Iterator[str]:
    page: Bounds = (0.0, 0.0, drawing.width, drawing.height)
    x, y, width, height = drawing.frame
    frame = (x, y, x + width, y + height) if width and height else page
    for one in sheet.letterings:
        bordering = any(sheet.groups[n].role in OUTSIDE for n in one.groups)
        if not _within(bounds(one.box), page):
            yield f"the text {_quoted(one.text)} {_at(one.box)} leaves the page"
        elif not bordering and not _within(bounds(one.box), frame):
            yield f"the text {_quoted(one.text)} {_at(one.box)} leaves the frame"


def _within(inner: Bounds, outer: Bounds) -> bool:
    return (
        inner[0] >= outer[0] - SLACK_MM
        and inner[1] >= outer[1] - SLACK_MM
        and inner[2] <= outer[2] + SLACK_MM
        and inner[3] <= outer[3] + SLACK_MM
    )


def _leaders_over_text(sheet: Inventory, grid: Grid) -> Iterator[str]:
    for number, strokes in sheet.legs.items():
        own = sheet.own(sheet.around[number])
        texts = {
            index
            for stroke in strokes
            for index in grid.near(bounds(stroke))
            if own.isdisjoint(sheet.letterings[index].groups) and enters(stroke, sheet.letterings[index].box, SLACK_MM)
        }
        for index in sorted(texts):
            one = sheet.letterings[index]
            yield f"the leader {sheet.name(number)} crosses the text {_quoted(one.text)} {_at(one.box)}"
        for tag in sheet.tags:
            if own.isdisjoint(tag.groups) and any(enters(stroke, tag.box, SLACK_MM) for stroke in strokes):
                yield f"the leader {sheet.name(number)} crosses the tag {sheet.name(tag.number)} {_at(tag.box)}"


def _leaders_over_lines(sheet: Inventory) -> Iterator[str]:
    filed = [
        (number, stroke, kind)
        for kind, lines in (("leader", sheet.legs), ("dimension", sheet.dimensions))
        for number, strokes in lines.items()
        for stroke in strokes
    ]
    grid = Grid()
    for index, (_, stroke, _) in enumerate(filed):
        grid.put(index, bounds(stroke))
    found: dict[tuple[int, int], str] = {}
    for index, (number, stroke, kind) in enumerate(filed):
        if kind != "leader":
            break
        own = sheet.own(sheet.around[number])
        for other_index in grid.near(bounds(stroke)):
            other, crossed, what = filed[other_index]
            if other_index <= index or not own.isdisjoint(sheet.around[other]):
                continue
            if crossing(stroke, crossed, SLACK_MM):
                what = "another leader" if what == "leader" else "a dimension line"
                found[number, other] = (
                    f"the leader {sheet.name(number)} crosses {what}, {sheet.name(other)}, {_at(stroke)}"
                )
    yield from found.values()


def _bands_without_tags(sheet: Inventory, reach_mm: float) -> Iterator[str]:
    naming: dict[str, list[Tag]] = defaultdict(list)
    for tag in sheet.tags:
        words = " ".join(tag.words)
        if tag.ref and _NUMBER.search(words) and _LETTERS.search(words):
            naming[tag.ref].append(tag)
    for ref, strokes in sheet.bands.items():
        if not naming[ref]:
            yield f"the band {ref} {_at(strokes[0])} has no tag with its number and letters"
        elif not any(_reaches(sheet, tag, strokes, reach_mm) for tag in naming[ref]):
            yield f"the band {ref} {_at(strokes[0])} has its tag more than {reach_mm:g} mm away"


def _reaches(sheet: Inventory, tag: Tag, strokes: list[Segment], reach_mm: float) -> bool:
    """A tag reaches a band by standing near it, or by a leader of its own that ends on it."""
    edges = list(zip(tag.box, (*tag.box[1:], tag.box[0]), strict=True))
    if any(distance(stroke, edge) <= reach_mm for stroke in strokes for edge in edges):
        return True
    own = sheet.own(tag.groups)
    legs = [leg for n, lines in sheet.legs.items() if not own.isdisjoint(sheet.around[n]) for leg in lines]
    return any(distance(stroke, leg) <= TOUCH_MM for stroke in strokes for leg in legs)


def _too_small(sheet: Inventory) -> Iterator[str]:
    for one in sheet.letterings:
        if font_size(one.text.height) < font_size(H_FLOOR) - 1e-3:
            yield f"the text {_quoted(one.text)} {_at(one.box)} is {one.text.height:g} mm high, less than {H_FLOOR}"
    for _, shape, _ in sheet.shapes:
        if isinstance(shape, Text) or shape.pen.stroke is None or shape.pen.width >= W_THIN - 1e-6:
            continue
        kind = {Line: "line", Rect: "box", Circle: "circle"}.get(type(shape), "path")
        points = [point for line in outlines(shape) for point in line] or [(0.0, 0.0)]
        yield f"a {kind} {_at(points)} is drawn {shape.pen.width:g} mm wide, less than {W_THIN}"
