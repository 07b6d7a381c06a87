"""The signs in the boxes of a path strip: port, splice, splitter, and the ways a path can end. Millimetres on paper.

Each sign stands on the line of the path at its middle (x, y) and takes about 6 mm of it. Black and white only.
"""

from __future__ import annotations

from render import style
from render.drawing import Circle, Group, Line, Part, Pen, Rect
from render.marks import arrow_head, bracket_cap, polygon, splice_dot
from render.sheets.path_way import Sign

SIGN_PITCH = 8.0
HALF_PORT = 2.6
TITLES: dict[Sign, str] = {
    "port": "port, one pair",
    "done": "splice done",
    "planned": "splice planned",
    "splitter": "splitter",
    "dark": "dark end",
    "ring": "closes on itself",
    "branches": "branches here",
    "crossed": "joined more than once",
}


def sign(kind: Sign, x: float, y: float, *, leftmost: bool = False) -> Group:
    """The sign of a kind with its middle at (x, y); ``leftmost`` turns a dark end to the right."""
    parts: tuple[Part, ...]
    if kind in ("done", "planned"):
        ground = Circle(x, y, 2.1, style.GROUND)
        parts = (ground, splice_dot(x, y, kind == "done", 1.6))
    elif kind == "port":
        pen = Pen(style.INK, style.W_OUTLINE, style.HARDWARE)
        parts = (
            Rect(x - HALF_PORT, y - HALF_PORT, 2 * HALF_PORT, 2 * HALF_PORT, pen),
            Circle(x, y, 1.2, Pen(style.INK, style.W_BUNDLE, style.PAPER)),
        )
    elif kind in ("splitter", "branches"):
        pen = Pen(style.INK, style.W_BUNDLE, style.PAPER)
        parts = (polygon(((x - 2.4, y), (x + 2.4, y - 2.8), (x + 2.4, y + 2.8)), pen),)
        if kind == "branches":
            parts += tuple(Line(x + 2.4, y + dy, x + 4.2, y + dy, style.BUNDLE) for dy in (-2.0, 0.0, 2.0))
    elif kind == "dark":
        parts = (bracket_cap(x, y, "right" if leftmost else "left", 5.6),)
    elif kind == "ring":
        parts = (
            Circle(x, y, 2.2, Pen(style.INK, style.W_BUNDLE, style.PAPER)),
            arrow_head(x + 1.2, y - 2.2, 0.0, 2.0),
        )
    else:
        parts = (
            Line(x - 1.8, y - 1.8, x + 1.8, y + 1.8, style.STUB_CAP),
            Line(x - 1.8, y + 1.8, x + 1.8, y - 1.8, style.STUB_CAP),
        )
    return Group(parts, role="sign", title=TITLES[kind])


def stops_line(kind: Sign) -> float:
    """How far from a sign's middle the glass ends, mm: it runs up to a splice, and to the edge of others."""
    return {"port": HALF_PORT, "splitter": 2.4, "branches": 2.4, "ring": 2.2}.get(kind, 0.0)
