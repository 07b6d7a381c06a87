"""Where a fault lies, as a picture: the printed marks about the reading, its band, and what lies in it.

Horizontal is the mark as the sheath prints it. Boxes are openings of the sheath, dashes are coils. Black, white and
grey only. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from model.entities import Cable, Stop
from model.lists.naming import printed_mark
from model.otdr.locate import Located
from model.plant import Plant
from render import style
from render.blocks import Block
from render.box import Box
from render.drawing import Anchor, Group, Line, Part, Pen, Rect, Text
from render.hopwords import site_name
from render.marks import polygon
from render.sheets.path_plot import nice_step
from render.text import shorten

HEIGHT = 17.0
FLOOR_Y = 11.4
"""Where the lower edge of the strip of sheath stands."""
PAD = 4.0
STRIP = 5.2
BAND = Pen(style.INK, style.W_OUTLINE, style.HARDWARE)
COIL = Pen(style.EDGE, style.W_OUTLINE, dash=(1.0, 0.8))
EDGE_SHARE = 0.26
"""Of the width, for what is named at either edge."""
START: Anchor = "start"
END: Anchor = "end"
AROUND = 0.9
"""Share of the band's width that is shown on either side of it."""


def where(plant: Plant, found: Located, box: Box) -> Block:
    """The picture in a box of ``HEIGHT``; only of cables whose print runs on there."""
    cable = plant.cables[found.cable]
    mark, ends = _unit(cable, found.mark_m), [_unit(cable, m) for m in found.band_m]
    first, last = min(ends), max(ends)
    wide = max(last - first, 4.0)
    low, high = first - AROUND * wide, last + AROUND * wide
    left, right, y = box.x + PAD, box.right - PAD, box.y + FLOOR_Y
    top = y - STRIP

    def at(value: float) -> float:
        return left + (min(max(value, low), high) - low) / (high - low) * (right - left)

    parts: list[Part] = [Rect(*box, style.TABLE_OUTLINE), Rect(left, top, right - left, STRIP, style.FIELD_FILL)]
    for stop in cable.stops:
        parts += _coils(cable, stop, at, y)
    parts.append(Rect(at(first), top + 1.6, at(last) - at(first), 2.0, BAND))
    boxes = [(stop, *_ends(cable, stop)) for stop in cable.stops if _ends(cable, stop)]
    inside = [one for one in boxes if low < one[2] and one[1] < high]
    for _, inner, outer in inside:
        parts.append(Rect(at(inner), top + 0.5, max(at(outer) - at(inner), 0.8), STRIP - 1.0, style.TAG))
    room = (right - left) * EDGE_SHARE
    parts += _beyond(plant, boxes, (low, high), (left, right), top, room)
    point = ((at(mark), top + 1.4), (at(mark) - 1.4, top - 1.6), (at(mark) + 1.4, top - 1.6))
    parts.append(polygon(point, style.ARROW))
    nearest = min(inside, key=lambda one: max(one[1] - mark, mark - one[2], 0.0), default=None)
    # The words of the mark stand away from the box, those of the box on its far side.
    box_after = nearest is not None and nearest[1] + nearest[2] > 2 * mark
    words = f"mark {mark:.0f}"
    x, anchor = (at(mark) - 2.2, END) if box_after else (at(mark) + 2.2, START)
    parts.append(Text(x, top - 1.0, words, style.H_LABEL, "bold", anchor))
    if nearest is not None:
        stop, inner, outer = nearest
        x, anchor = (
            (max(at(outer), at(mark) + 1.4) + 1.0, START) if box_after else (min(at(inner), at(mark) - 1.4) - 1.0, END)
        )
        free = right - room - x if box_after else x - left - room
        name = shorten(site_name(plant, stop.site), max(free - 2.0, 0.0), style.H_LABEL, "bold")
        parts.append(Text(x, top - 1.0, name, style.H_LABEL, "bold", anchor))
    step = nice_step(high - low, 8)
    tick = int(low // step + 1) * step
    while tick < high:
        parts.append(Line(at(tick), y, at(tick), y + 1.2, style.DIMENSION))
        if left + 5.0 < at(tick) < right - 5.0:
            parts.append(Text(at(tick), y + 4.4, f"{tick:.0f}", anchor="middle"))
        tick += step
    return Block(Group(tuple(parts), role="where", title="where the reading lies"), box)


def _coils(cable: Cable, stop: Stop, at: Callable[[float], float], y: float) -> list[Part]:
    """Dashes along the sheath that is coiled or rises on either side of a stop."""
    ends = _ends(cable, stop)
    if not ends:
        return []
    parts: list[Part] = []
    for value, metres in ((ends[0], -stop.coil_in_m), (ends[1], stop.coil_out_m)):
        a, b = sorted((at(value), at(value + _unit(cable, metres))))
        if b - a > 0.5:
            parts.append(Line(a, y - 0.5, b, y - 0.5, COIL))
    return parts


def _beyond(
    plant: Plant,
    boxes: Sequence[tuple[Stop, float, float]],
    window: tuple[float, float],
    edges: tuple[float, float],
    top: float,
    room: float,
) -> list[Part]:
    """The next places outside the window, named at its edges with their marks."""
    before = [(outer, stop) for stop, _, outer in boxes if outer <= window[0]]
    after = [(inner, stop) for stop, inner, _ in boxes if inner >= window[1]]
    parts: list[Part] = []
    if before:
        mark, stop = max(before, key=lambda one: one[0])
        parts.append(Text(edges[0], top - 1.0, shorten(f"< {mark:.0f} {site_name(plant, stop.site)}", room)))
    if after:
        mark, stop = min(after, key=lambda one: one[0])
        words = shorten(f"{mark:.0f} {site_name(plant, stop.site)}", room - 3.0) + " >"
        parts.append(Text(edges[1], top - 1.0, words, anchor="end"))
    return parts


def _ends(cable: Cable, stop: Stop) -> tuple[float, float] | tuple[()]:
    """The marks on both sides of a stop, as printed, lower first; the same twice where the cable ends."""
    known = [_unit(cable, mark) for mark in (stop.mark_in_m, stop.mark_out_m) if mark is not None]
    return (min(known), max(known)) if known else ()


def _unit(cable: Cable, mark_m: float) -> float:
    return printed_mark(cable, mark_m) or 0.0
