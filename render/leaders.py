"""Draws placed labels: text on its shelf, one leg, and a dot or an arrow at the target.

A label that found no gutter can stand on the feature itself on a white ground. Millimetres; places come
from ``render.labels`` and are not questioned here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from render import style
from render.blocks import tag
from render.box import Leg
from render.drawing import Group, Line, Part, Rect, Text, Weight
from render.marks import arrow_head, leader_dot
from render.targets import LINE, SHELF_DROP, Placed, Target


def draw_labels(placed: Iterable[Placed]) -> Group:
    """All placed labels of a drawing."""
    return Group(tuple(draw_label(one) for one in placed), role="labels")


def draw_label(placed: Placed) -> Group:
    """One label with its leader."""
    target, box, leg = placed.target, placed.box, placed.leg
    head: tuple[Part, ...]
    if placed.place == "top":
        head = (tag(box.x, box.y, target.tag_text, target.colour).group,)
    else:
        head = (
            *_lines(box.x, box.bottom - SHELF_DROP, target),
            Line(box.x, box.bottom, box.right, box.bottom, style.LEADER),
        )
    return Group((*head, _leg(leg, target)), role="leader", ref=target.ref, title=target.tag_text)


def label_on_feature(target: Target, x: float, y: float) -> Group:
    """The label centred on (x, y), on a white ground with 0.4 around it, for want of room beside the drawing."""
    pad, width, height = style.PAD_GROUND, target.width, LINE * len(target.lines) - style.LINE_GAP
    left, top = x - width / 2, y - height / 2
    return Group(
        (
            Rect(left - pad, top - pad, width + 2 * pad, height + 2 * pad, style.GROUND),
            *_lines(left, top + height, target),
        ),
        role="label",
        ref=target.ref,
    )


def _lines(x: float, last_base: float, target: Target) -> Iterable[Text]:
    count = len(target.lines)
    for i, line in enumerate(target.lines):
        weight: Weight = "normal" if i else "bold"
        yield Text(x, last_base - LINE * (count - 1 - i), line, style.H_LABEL, weight)


def _leg(leg: Leg, target: Target) -> Group:
    """The leg, ending at the base of its arrow so that the point stays sharp."""
    if target.end == "dot":
        return Group((Line(*leg, style.LEADER), leader_dot(leg.x2, leg.y2)))
    angle = math.atan2(leg.y2 - leg.y1, leg.x2 - leg.x1)
    back = min(style.ARROW_LENGTH, leg.length)
    end = (leg.x2 - back * math.cos(angle), leg.y2 - back * math.sin(angle))
    return Group(
        (
            Line(leg.x1, leg.y1, *end, style.LEADER),
            arrow_head(leg.x2, leg.y2, math.degrees(angle)),
        )
    )
