"""Small drawn marks: arrow heads, dots, slashes, crosses, caps and signs.

Each function returns one group at the given place on the page, in mm, y downwards, angles in degrees
clockwise from the x axis. They carry no text but counts and entry numbers, and know nothing of the plant.
"""

from __future__ import annotations

import math

from render import style
from render.drawing import Circle, Close, Group, Line, LineTo, MoveTo, Path, Pen, Rect, Text
from render.text import text_width


def arrow_head(x: float, y: float, angle_deg: float, length: float = style.ARROW_LENGTH) -> Path:
    """A filled arrow whose point is (x, y), flying towards ``angle_deg``; 20 degrees at the point."""
    half = length * math.tan(math.radians(style.ARROW_ANGLE_DEG / 2))
    ux, uy = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    bx, by = x - length * ux, y - length * uy
    return polygon(((x, y), (bx - half * uy, by + half * ux), (bx + half * uy, by - half * ux)), style.ARROW)


def polygon(points: tuple[tuple[float, float], ...], pen: Pen) -> Path:
    """A closed outline through the points."""
    first, *rest = points
    return Path((MoveTo(*first), *(LineTo(*point) for point in rest), Close()), pen)


def polyline(points: tuple[tuple[float, float], ...], pen: Pen) -> Path:
    """An open stroke through the points."""
    first, *rest = points
    return Path((MoveTo(*first), *(LineTo(*point) for point in rest)), pen)


def trace_head(x: float, y: float) -> Path:
    """The black head at the right end of a traced path, its base centred on (x, y): 4 long, 6.6 high."""
    return polygon(((x, y - 3.3), (x + 4.0, y), (x, y + 3.3)), style.ARROW)


def slash_count(
    x: float, y: float, count: int | str, *, side: str = "right", above: bool = True, along_deg: float = 0.0
) -> Group:
    """A slash at 60 degrees across a line, with the number of items it stands for.

    ``along_deg`` is 0 for a horizontal line and 90 for a vertical one. The number stands ``right`` or
    ``left`` of the slash; for a horizontal line it is above the line unless ``above`` is False.
    """
    half = 2.3
    ux, uy = half * math.cos(math.radians(60)), half * math.sin(math.radians(60))
    text = str(count)
    width = text_width(text, style.H_LABEL, "bold")
    down = along_deg == 90.0
    base = y + style.H_LABEL / 2 - 0.65 if down else (y - 0.6 if above else y + style.H_LABEL + 0.7)
    left = x + 1.4 if side == "right" else x - 1.4 - width
    return Group(
        (
            Line(x - ux, y + uy, x + ux, y - uy, style.SLASH),
            Rect(left - 0.25, base - style.H_LABEL - 0.25, width + 0.5, style.H_LABEL + 0.5, style.GROUND),
            Text(left, base, text, style.H_LABEL, "bold"),
        ),
        role="slash",
    )


def splice_dot(x: float, y: float, done: bool, radius: float = 1.5) -> Group:
    """A splice: filled when done, open when planned."""
    pen = style.DOT_DONE if done else style.DOT_RING
    return Group(
        (Circle(x, y, radius - pen.width / 2, pen),),
        role="splice",
        title="splice done" if done else "splice planned",
    )


def leader_dot(x: float, y: float) -> Circle:
    """End of a leader on a face."""
    return Circle(x, y, style.LEADER_DOT, style.LEADER_END)


def entry_circle(x: float, y: float, number: str, radius: float = 3.0) -> Group:
    """The number of an entry in a circle; widened to a rounded box when the number has three characters or
    more."""
    width = max(2 * radius, text_width(number, style.H_LABEL, "bold") + 1.6)
    shape = (
        Circle(x, y, radius, style.TAG)
        if width <= 2 * radius
        else Rect(x - width / 2, y - radius, width, 2 * radius, style.TAG, radius)
    )
    return Group((shape, Text(x, y + style.H_LABEL / 2, number, style.H_LABEL, "bold", "middle")), role="entry")


def plug(x: float, y: float, width: float = 10.0, height: float = 6.5) -> Group:
    """A plugged entry centred on (x, y): a collar with a cross."""
    pen = Pen(style.INK, style.W_OUTLINE, style.HARDWARE)
    left, top, dx, dy = x - width / 2, y - height / 2, 0.1 * width, 0.077 * height
    right, bottom = left + width - dx, top + height - dy
    return Group(
        (
            Rect(left, top, width, height, pen, 1.0),
            Rect(
                left - 0.8,
                y - 0.55,
                width + 1.6,
                2.0 if height > 5 else 1.1,
                Pen(style.INK, 0.25, style.RULE),
            ),
            Line(left + dx, top + dy, right, bottom, style.OUTLINE),
            Line(left + dx, bottom, right, top + dy, style.OUTLINE),
        ),
        role="hardware",
        title="plugged entry",
    )


def earth(x: float, y: float) -> Group:
    """The sign for earth hanging from (x, y): a stem of 2 and three bars."""
    bars = ((2.0, 2.0), (1.3, 3.1), (0.6, 4.2))
    return Group(
        (
            Line(x, y, x, y + 2.0, style.BUNDLE),
            *(Line(x - half, y + down, x + half, y + down, style.BUNDLE) for half, down in bars),
        ),
        role="earth",
        title="bond to earth",
    )


def double_chevron(x: float, y: float, height: float = 5.0) -> Group:
    """Two open angles pointing right on a line, about (x, y): it goes on uncut."""
    half = height / 2
    pen = Pen(style.INK, style.W_HEAVY)
    return Group(
        tuple(
            polyline(((x + dx - 1.2, y - half), (x + dx + 1.2, y), (x + dx - 1.2, y + half)), pen) for dx in (-1.0, 1.0)
        ),
        role="chevron",
        title="goes on uncut",
    )


def bracket_cap(x: float, y: float, facing: str = "right", height: float = 3.4) -> Group:
    """The cap on the end of a stub: a bracket at (x, y), open towards ``facing`` (left or right)."""
    arm, half = (1.2 if facing == "right" else -1.2), height / 2
    return Group(
        (polyline(((x + arm, y - half), (x, y - half), (x, y + half), (x + arm, y + half)), style.STUB_CAP),),
        role="stub",
        title="stub end, capped",
    )


def tick_box(x: float, y: float, size: float = 3.2) -> Rect:
    """An empty box to tick, by its top left corner."""
    return Rect(x, y, size, size, Pen(style.INK, style.W_OUTLINE, style.PAPER))


def caution_triangle(x: float, y: float, width: float = 6.0, face: str = "#FFFFFF", ink: str = "#111111") -> Group:
    """A triangle standing on a base line centred at (x, y) with an exclamation mark, both as shapes."""
    height = width * 31 / 30
    solid = Pen(None, 0.25, ink)
    bar_top, bar_foot, r = y - 0.66 * height, y - 0.30 * height, 0.065 * width
    return Group(
        (
            Path(
                (MoveTo(x - width / 2, y), LineTo(x, y - height), LineTo(x + width / 2, y), Close()),
                Pen(None, 0.25, face),
            ),
            polygon(((x - r, bar_top), (x + r, bar_top), (x + 0.6 * r, bar_foot), (x - 0.6 * r, bar_foot)), solid),
            Circle(x, y - 0.15 * height, 0.95 * r, solid),
        ),
        role="caution-sign",
        title="caution",
    )
