"""What stands on the glass itself: chips that name tubes, loud tags on uncut legs, and slashes with counts.

Each tag looks for a free place along its own course, so that it sits on what it names. Paper mm through the view. It
must not know the labels in the gutters.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sin

from model.geometry.course import Course
from model.layout import Drawn, ExpressRun
from model.lookup import find_stop
from render import style
from render.blocks import chip, chip_width, loud_tag, loud_width
from render.box import Box
from render.drawing import Group, Part
from render.looks import GlassLook, tube_look
from render.marks import slash_count
from render.sheets.layout_courses import Transport, legible
from render.sheets.layout_scene import Scene, Taken, View, spots, touches_bay

CHIP_HIGH = style.H_LABEL + style.CHIP_EXTRA
ROW = CHIP_HIGH + 0.8
LOUD = "UNCUT - EXPRESS"


def looks_of(scene: Scene, run: ExpressRun) -> list[GlassLook]:
    """Looks of the tubes of an express group, in order."""
    return [tube_look(scene.plant, run.cable, tube) for tube in run.tubes]


def hub_rows(view: View, run: ExpressRun, looks: Sequence[GlassLook]) -> list[list[GlassLook]] | None:
    """Chips in rows inside the hub of the bay; None when they do not all fit there."""
    bay = run.bay
    r = bay.hub_mm * view.k - 1.5
    straight = bay.straight_mm * view.k / 2
    widths = [chip_width(look.label, stripes=look.marks) for look in looks]
    for count in range(1, len(looks) + 1):
        tops = [(i - count / 2) * ROW for i in range(count)]
        rows: list[list[GlassLook]] = []
        left = list(zip(looks, widths, strict=True))
        for top in tops:
            far = max(abs(top) - straight, abs(top + CHIP_HIGH) - straight, 0.0)
            if far >= r:
                break
            room = 2 * (r * r - far * far) ** 0.5
            row: list[GlassLook] = []
            # Even rows look calm; a row takes no more than its share.
            share = -(-len(left) // (count - len(rows)))
            while left and len(row) < share and room >= left[0][1]:
                room -= left[0][1] + 1.0
                row.append(left.pop(0)[0])
            rows.append(row)
        if not left and len(rows) == count:
            return rows
    return None


def hub_chips(view: View, run: ExpressRun, rows: list[list[GlassLook]], taken: Taken) -> list[Part]:
    """The chips of an express group, centred in the hub."""
    cx, cy = view.at(run.bay.x_mm, run.bay.y_mm)
    parts: list[Part] = []
    y = cy - (len(rows) * ROW - 0.8) / 2
    for row in rows:
        widths = [chip_width(look.label, stripes=look.marks) for look in row]
        x = cx - (sum(widths) + len(row) - 1.0) / 2
        for look, width in zip(row, widths, strict=True):
            block = chip(x, y, look.label, look.look, stripes=look.marks, ref=look.ref)
            taken.take(block.box)
            parts.append(block.group)
            x += width + 1.0
        y += ROW
    return parts


def loud_tags(view: View, run: ExpressRun, taken: Taken, inside: Box) -> list[Part]:
    """A loud tag on each leg of an express group, along the leg where it runs upright."""
    items = sorted((i for i in run.routes if i.course), key=lambda i: (min(i.route.tubes, default=0), i.route.id))
    course = items[len(items) // 2].course
    if course is None:
        return []
    bay = touches_bay(course, run.bay)
    first, last = bay or (course.length_mm / 3, 2 * course.length_mm / 3)
    parts: list[Part] = []
    for start, end in ((0.0, first), (last, course.length_mm)):
        placed = _loud(view, course, start, end, taken, inside)
        if placed is not None:
            parts.append(placed)
    return parts


def _loud(view: View, course: Course, start: float, end: float, taken: Taken, inside: Box) -> Part | None:
    for text in (LOUD, "UNCUT"):
        long, high = loud_width(text), style.H_LABEL + 2.0
        reach = min(60.0, 0.35 * course.length_mm)
        for low, top in ((start, end), (max(start - reach, 0.0), min(end + reach, course.length_mm))):
            for s in spots(low, top, 4.0):
                upright = abs(sin(course.heading_at(s))) > 0.7
                x, y = view.on(course, s)
                wide, tall = (high, long) if upright else (long, high)
                box = Box(x - wide / 2, y - tall / 2, wide, tall)
                if inside.holds(box.grown(0.5)) and taken.free(box):
                    taken.take(box)
                    return loud_tag(x, y, text, angle=-90 if upright else 0).group
    return None


def course_chips(
    scene: Scene, view: View, items: Sequence[Drawn], taken: Taken, inside: Box
) -> tuple[list[Part], list[str]]:
    """A chip on each route of one tube; also the ids of those that found no place."""
    parts: list[Part] = []
    missing: list[str] = []
    for item in items:
        course, route = item.course, item.route
        if course is None or len(route.tubes) != 1:
            continue
        cable, _ = find_stop(scene.plant, route.stops[0])
        look = tube_look(scene.plant, cable, route.tubes[0])
        size = (chip_width(look.label, stripes=look.marks), CHIP_HIGH)
        # The last part of an opened tube is its own; its leg is shared with the uncut ones.
        start = 0.45 if route.side else 0.0
        spot = taken.along(view, course, size, start * course.length_mm, 0.92 * course.length_mm, inside)
        spot = spot or taken.along(view, course, size, 0.0, course.length_mm, inside)
        if spot is None:
            missing.append(route.id)
            continue
        block = chip(
            spot[0] - size[0] / 2, spot[1] - size[1] / 2, look.label, look.look, stripes=look.marks, ref=look.ref
        )
        taken.take(block.box)
        parts.append(Group((block.group,), role="on-tube", ref=look.ref))
    return parts, missing


def split_express(scene: Scene, view: View) -> tuple[list[tuple[ExpressRun, list[list[GlassLook]]]], list[ExpressRun]]:
    """Express groups coloured one by one, with their chips in the hub, and those drawn as ribbons."""
    coloured: list[tuple[ExpressRun, list[list[GlassLook]]]] = []
    plain: list[ExpressRun] = []
    bays: set[str] = set()
    for run in scene.express:
        rows = hub_rows(view, run, looks_of(scene, run))
        # One hub names one group; a second cable in the same bay stays white and is named by its label.
        if rows is None or not legible(run, view) or run.bay.name in bays:
            plain.append(run)
        else:
            coloured.append((run, rows))
            bays.add(run.bay.name)
    return coloured, plain


def slashes(view: View, items: Sequence[Drawn], tubes: Sequence[Transport], taken: Taken, inside: Box) -> list[Part]:
    """A slash with its count on every bundle near its sheath, and on every transport tube."""
    parts: list[Part] = []
    for item in items:
        if item.route.kind == "bundle" and item.course and len(item.route.stops) > 1:
            count, whole = len(item.route.stops), item.course.length_mm
            found = _slash(view, item.course, 0.0, min(40.0, whole), count, taken, inside)
            parts += found or _slash(view, item.course, 0.0, 0.3 * whole, count, taken, inside)
    for tube in tubes:
        course = tube.stretch
        parts += _slash(view, course, 0.2 * course.length_mm, 0.9 * course.length_mm, tube.count, taken, inside)
    return parts


def _slash(view: View, course: Course, a: float, b: float, count: int, taken: Taken, inside: Box) -> list[Part]:
    for s in spots(a, b, 3.0):
        upright = abs(sin(course.heading_at(s))) > 0.9
        level = abs(sin(course.heading_at(s))) < 0.1
        if not upright and not level:
            continue
        x, y = view.on(course, s)
        for side in ("right", "left"):
            left = x if side == "right" else x - 7.0
            box = Box(left, y - 3.6, 7.0, 6.2)
            if inside.holds(box) and taken.free(box, 0.3):
                taken.take(box)
                return [slash_count(x, y, count, side=side, along_deg=90.0 if upright else 0.0)]
    return []
