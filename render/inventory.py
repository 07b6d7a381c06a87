"""What stands on a finished sheet, sorted for its checks: lettering, tags, legs of leaders, dimension lines, bands.

The roles of groups say which shape is what; places are mm on the page. Nothing here judges anything.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from render.drawing import Drawing, Group, Line, Part, Path, Shape, Text
from render.planar import Polygon, Segment, hull, outlines, text_box
from render.text import printable

OWN = frozenset(("leader", "label"))
TAGS = frozenset(("tag", "chip", "loud-tag"))
OUTSIDE = frozenset(("frame", "border", "zones", "trim"))
"""Roles whose lettering may stand outside the frame."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """One line of text with its box and the numbers of the groups around it."""

    order: int
    text: Text
    box: Polygon
    groups: tuple[int, ...]


@dataclass(slots=True)
class Tag:
    """One tag or chip: what it covers, what it says, whose it is, and the groups around it."""

    number: int
    ref: str
    groups: tuple[int, ...]
    points: list[tuple[float, float]] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    box: Polygon = ()


@dataclass(slots=True)
class Inventory:
    """Everything on a sheet, sorted by what the checks ask for."""

    groups: list[Group] = field(default_factory=list)
    letterings: list[Lettering] = field(default_factory=list)
    shapes: list[tuple[int, Shape, tuple[int, ...]]] = field(default_factory=list)
    tags: list[Tag] = field(default_factory=list)
    legs: dict[int, list[Segment]] = field(default_factory=lambda: defaultdict(list))
    dimensions: dict[int, list[Segment]] = field(default_factory=lambda: defaultdict(list))
    bands: dict[str, list[Segment]] = field(default_factory=lambda: defaultdict(list))
    around: dict[int, tuple[int, ...]] = field(default_factory=dict)

    def own(self, groups: Sequence[int]) -> set[int]:
        """The leader and label groups among these: what shares one belongs to one label."""
        return {number for number in groups if self.groups[number].role in OWN}

    def name(self, number: int) -> str:
        """How a sentence speaks of a group: its ref, its title, or its first words."""
        group = self.groups[number]
        if group.ref or group.title:
            return group.ref or group.title
        words = next((one.text.content for one in self.letterings if number in one.groups), "")
        return f'"{words[:40]}"' if words else f"without a name ({group.role})"


def take_stock(drawing: Drawing) -> Inventory:
    """Sort everything on a sheet; the same text twice at the same place counts once."""
    sheet = Inventory()
    seen: set[Text] = set()

    def visit(parts: tuple[Part, ...], around: tuple[int, ...], tags: tuple[Tag, ...]) -> None:
        for part in parts:
            if isinstance(part, Group):
                number = len(sheet.groups)
                sheet.groups.append(part)
                sheet.around[number] = inner = (*around, number)
                held = tags if part.role != "leader" else ()
                if part.role in TAGS:
                    ref = part.ref or next((r for n in reversed(around) if (r := sheet.groups[n].ref)), "")
                    held = (*held, Tag(number, ref, inner))
                    sheet.tags.append(held[-1])
                visit(part.parts, inner, held)
                continue
            order = len(sheet.shapes)
            sheet.shapes.append((order, part, around))
            if isinstance(part, Text):
                if part in seen or not printable(part.content).strip():
                    continue
                seen.add(part)
                box = text_box(part)
                sheet.letterings.append(Lettering(order, part, box, around))
                for tag in tags:
                    tag.words.append(part.content)
                    tag.points.extend(box)
                continue
            for line in outlines(part):
                for tag in tags:
                    tag.points.extend(line)
                if not tags:
                    _file_strokes(sheet, part, around, list(pairwise(line)))

    visit(drawing.parts, (), ())
    for tag in sheet.tags:
        tag.box = hull(tag.points)
    sheet.tags = [tag for tag in sheet.tags if len(tag.box) > 2]
    return sheet


def _file_strokes(sheet: Inventory, shape: Shape, around: tuple[int, ...], strokes: list[Segment]) -> None:
    """Remember strokes as legs, dimension lines or bands, by the innermost group that says so."""
    for number in reversed(around):
        group = sheet.groups[number]
        if group.role == "band" and group.ref:
            sheet.bands[group.ref].extend(strokes)
            return
        if group.role in ("leader", "dimension"):
            if isinstance(shape, Line | Path) and shape.pen.stroke is not None and shape.pen.fill is None:
                (sheet.legs if group.role == "leader" else sheet.dimensions)[number].extend(strokes)
            return
