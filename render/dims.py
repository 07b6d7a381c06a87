"""Scales, scale bars and dimensions, as standards for technical drawings have them.

Positions are millimetres on paper, y downwards; what is written comes from the caller, who knows the real
lengths. Scales after ISO 5455, filled arrows and text above the line after ISO 129-1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from model.errors import PlantError
from render import style
from render.blocks import Block
from render.box import Box
from render.drawing import Circle, Group, Line, Part, Pen, Rect, Text
from render.marks import arrow_head
from render.text import text_width

EXTENSION_OVERSHOOT = 1.2
OVERALL_STEP = 5.6  # from the chain to the overall line
TEXT_RISE = 0.9  # base line above the dimension line
BAR_HEIGHT = 1.8


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale after ISO 5455: ``paper`` mm on the sheet for ``real`` mm of the thing."""

    paper: int
    real: int

    @property
    def factor(self) -> float:
        """Paper mm per real mm."""
        return self.paper / self.real

    def __str__(self) -> str:
        # An intermediate scale such as 2 for 5 is written 1:2.5.
        return f"1:{self.real / self.paper:g}" if 1 < self.paper < self.real else f"{self.paper}:{self.real}"


# ISO 5455: 2, 5 and 10 times powers of ten, both ways; the largest first.
SCALES = (
    *(Scale(n, 1) for n in (50, 20, 10, 5, 2)),
    Scale(1, 1),
    *(Scale(1, m * power) for power in (1, 10, 100, 1000) for m in (2, 5, 10)),
)


def choose_scale(width_mm: float, height_mm: float, box: Box, largest: Scale = Scale(5, 1)) -> Scale:
    """The largest standard scale at which a thing of that real size fits the box on paper.

    Raises ``PlantError`` when not even 1:10000 fits, or the box has no area.
    """
    for scale in SCALES:
        if scale.factor > largest.factor:
            continue
        if width_mm * scale.factor <= box.width + 1e-6 and height_mm * scale.factor <= box.height + 1e-6:
            return scale
    raise PlantError(
        f"{width_mm:.0f} x {height_mm:.0f} mm fits {box.width:.0f} x {box.height:.0f} mm at no standard scale",
        where="scale",
        hint="Use a larger sheet",
    )


def scale_bar(x: float, y: float, scale: Scale, max_width: float = 130.0) -> Block:
    """Alternate black and white fields with real mm above; (x, y) is the top left corner of the numbers'
    line.

    A field is the longest of 1, 2, 5 times a power of ten that stays within 25 mm of paper, or as the room
    allows.
    """
    label = f"mm SCALE {scale}"
    room = max_width - text_width(label, style.H_LABEL, "bold") - 6.0
    field = max(
        m * 10**k
        for k in range(-1, 7)
        for m in (1, 2, 5)
        if m * 10**k * scale.factor <= min(25.0, room / 2) or (k == -1 and m == 1)
    )
    step = field * scale.factor
    count = max(1, min(10, int(room / step)))
    ends = [i * step + text_width(f"{i * field:g}") / 2 for i in range(count + 1)]
    while count > 1 and ends[count] > room + 4.0:
        count -= 1
    top, base = y + style.H_LABEL + 1.0, y + style.H_LABEL
    fills = (style.INK, style.PAPER)
    parts: list[Part] = [
        Rect(x + i * step, top, step, BAR_HEIGHT, Pen(style.INK, style.W_THIN, fills[i % 2])) for i in range(count)
    ]
    parts += [Text(x + i * step, base, f"{i * field:g}", anchor="middle") for i in range(count + 1)]
    left = x + ends[count] + 1.5
    parts.append(Text(left, top + BAR_HEIGHT, label, weight="bold"))
    width = left - x + text_width(label, style.H_LABEL, "bold")
    return Block(Group(tuple(parts), role="scale-bar"), Box(x, y, width, style.H_LABEL + 1.0 + BAR_HEIGHT))


def dimension_chain(
    stops: Sequence[float],
    texts: Sequence[str],
    at: float,
    feature: float,
    *,
    overall: str = "",
    vertical: bool = False,
) -> Block:
    """A row of dimensions between ``stops``, and an overall one 5.6 further out.

    Horizontal: stops are x, ``at`` is the y of the line, ``feature`` the y where extension lines begin.
    Vertical: stops are y (downwards), ``at`` and ``feature`` are x; text reads upwards. Arrows that do not
    fit between two stops stand outside, with a dot between two such gaps; text that does not fit stands
    beside an end or on a stem one line up. Raises ``ValueError`` unless stops rise and there is one text
    for each gap.
    """
    if len(texts) != len(stops) - 1 or any(b <= a for a, b in pairwise(stops)):
        raise ValueError("a dimension chain needs rising stops and one text for each gap")
    pen = _Plotter(vertical)
    away = 1.0 if at >= feature else -1.0
    far = at + away * OVERALL_STEP if overall else at
    for i, stop in enumerate(stops):
        reach = far if overall and i in (0, len(stops) - 1) else at
        pen.line(stop, feature + away, stop, reach + away * EXTENSION_OVERSHOOT)
    gaps = list(pairwise(stops))
    small = [b - a < 2 * style.ARROW_LENGTH + 1.0 for a, b in gaps]
    for i, ((a, b), text) in enumerate(zip(gaps, texts, strict=True)):
        pen.dimension(
            a,
            b,
            at,
            text,
            dot_before=i > 0 and small[i - 1],
            dot_after=i + 1 < len(gaps) and small[i + 1],
            beside=-1 if i == 0 and len(gaps) > 1 else (1 if i == len(gaps) - 1 else 0),
        )
    if overall:
        pen.dimension(stops[0], stops[-1], far, overall, beside=1)
    return pen.block()


class _Plotter:
    """Collects shapes in coordinates along (u) and across (v) the dimension line."""

    def __init__(self, vertical: bool) -> None:
        self.vertical = vertical
        self.parts: list[Part] = []
        self.texts: list[Part] = []  # painted last, so that their grounds cover the stems
        self.filled: dict[int, float] = {}  # end of the last text on each line above the dimension line
        self.us: list[float] = []
        self.vs: list[float] = []

    def _at(self, u: float, v: float) -> tuple[float, float]:
        self.us.append(u)
        self.vs.append(v)
        return (v, u) if self.vertical else (u, v)

    def line(self, u1: float, v1: float, u2: float, v2: float) -> None:
        self.parts.append(Line(*self._at(u1, v1), *self._at(u2, v2), style.DIMENSION))

    def arrow(self, u: float, v: float, forward: bool) -> None:
        angle = (90.0 if self.vertical else 0.0) + (0.0 if forward else 180.0)
        self.parts.append(arrow_head(*self._at(u, v), angle))

    def dot(self, u: float, v: float) -> None:
        self.parts.append(Circle(*self._at(u, v), 0.5, style.ARROW))

    def text(self, u: float, v: float, content: str) -> None:
        """Centred on u, base line at v, on a white ground."""
        half, pad = text_width(content) / 2 + style.PAD_GROUND, 0.3
        x1, y1 = self._at(u - half, v - style.H_LABEL - pad)
        x2, y2 = self._at(u + half, v + pad)
        self.texts.append(Rect(x1, y1, x2 - x1, y2 - y1, style.GROUND))
        x, y = self._at(u, v)
        self.texts.append(Text(x, y, content, anchor="middle", angle=-90.0 if self.vertical else 0.0))

    def dimension(
        self,
        a: float,
        b: float,
        v: float,
        text: str,
        *,
        dot_before: bool = False,
        dot_after: bool = False,
        beside: int = 0,
    ) -> None:
        length, width, out = style.ARROW_LENGTH, text_width(text), 2 * style.ARROW_LENGTH
        inside = b - a >= 2 * length + 1.0
        self.line(a, v, b, v)
        if inside:
            self.arrow(a, v, False)
            self.arrow(b, v, True)
        else:
            for stop, forward, dotted in ((a, True, dot_before), (b, False, dot_after)):
                if dotted:
                    self.dot(stop, v)
                else:
                    self.line(stop, v, stop - out if forward else stop + out, v)
                    self.arrow(stop, v, forward)
        middle, base = (a + b) / 2, v - TEXT_RISE
        if width + 0.8 <= b - a:
            self.text(middle, base, text)
        elif beside:
            edge = (a if beside < 0 else b) + beside * (0.0 if inside else out)
            self.text(edge + beside * (width / 2 + 0.8), v + style.H_LABEL / 2, text)
        else:
            half, level = width / 2 + 0.6, 1
            while self.filled.get(level, -1e9) > middle - half:
                level += 1
            self.filled[level] = middle + half
            base -= level * (style.H_LABEL + style.LINE_GAP)
            self.line(middle, v, middle, base)
            self.text(middle, base, text)

    def block(self) -> Block:
        """All shapes with the box they fill."""
        u, v = min(self.us), min(self.vs)
        du, dv = max(self.us) - u, max(self.vs) - v
        box = Box(v, u, dv, du) if self.vertical else Box(u, v, du, dv)
        return Block(Group((*self.parts, *self.texts), role="dimension"), box)
