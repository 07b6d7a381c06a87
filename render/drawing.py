"""A drawing is data: frozen shapes in millimetres on a page, y downwards, angles in degrees.

SVG, PDF and the window's canvas are interpreters of these values; nothing here knows any of them.
Every group may carry a ``ref``, the id of the entity it pictures, so that a click or a reader of the
file finds its way back to the plant. Colours are ``#RRGGBB``; line widths are millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

Anchor = Literal["start", "middle", "end"]
Weight = Literal["normal", "bold"]


@dataclass(frozen=True, slots=True)
class Pen:
    """How a shape is stroked and filled: width in mm, dash lengths in mm, ``None`` for no ink."""

    stroke: str | None = "#111111"
    width: float = 0.25
    fill: str | None = None
    dash: tuple[float, ...] = ()
    cap: Literal["butt", "round", "square"] = "butt"
    join: Literal["miter", "round", "bevel"] = "miter"


@dataclass(frozen=True, slots=True)
class Line:
    """One straight stroke from (x1, y1) to (x2, y2)."""

    x1: float
    y1: float
    x2: float
    y2: float
    pen: Pen = Pen()


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its top left corner; ``radius`` rounds its corners."""

    x: float
    y: float
    width: float
    height: float
    pen: Pen = Pen()
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle."""

    cx: float
    cy: float
    r: float
    pen: Pen = Pen()


@dataclass(frozen=True, slots=True)
class MoveTo:
    """Start of a sub-path."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class LineTo:
    """Straight to (x, y)."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class ArcTo:
    """Circular arc of radius ``r`` to (x, y); ``sweep`` is clockwise on the page, ``large`` above 180 degrees."""

    x: float
    y: float
    r: float
    large: bool
    sweep: bool


@dataclass(frozen=True, slots=True)
class CurveTo:
    """Cubic curve with control points (x1, y1) and (x2, y2) to (x, y); schematics only, never a true route."""

    x1: float
    y1: float
    x2: float
    y2: float
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Close:
    """Back to the start of the sub-path."""


PathStep = MoveTo | LineTo | ArcTo | CurveTo | Close


@dataclass(frozen=True, slots=True)
class Path:
    """Any outline or route made of straights, true arcs and (schematics only) cubics."""

    steps: tuple[PathStep, ...]
    pen: Pen = Pen()


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering; (x, y) is on the base line, ``height`` is the height of a capital in mm.

    ``angle`` turns the text about (x, y), clockwise positive. ``halo`` lays a band of that colour under it.
    """

    x: float
    y: float
    content: str
    height: float = 2.5
    weight: Weight = "normal"
    anchor: Anchor = "start"
    colour: str = "#111111"
    angle: float = 0.0
    halo: str | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together, painted in order.

    ``role`` says what part the group plays ("frame", "leader", "tag", "band", "dimension", "table" ...): the checks of
    a sheet read it. ``ref`` is an entity id of the plant, ``title`` a sentence for a person's pointer or reader.
    """

    parts: tuple[Part, ...] = ()
    role: str = ""
    ref: str = ""
    title: str = ""


Shape = Line | Rect | Circle | Path | Text
Part = Shape | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """One sheet: page size in mm, a title and a description in words, and its parts in painting order.

    ``frame`` is the box (x, y, width, height) that nothing but the border may leave.
    """

    width: float
    height: float
    title: str
    desc: str
    parts: tuple[Part, ...] = ()
    frame: tuple[float, float, float, float] = field(default=(0.0, 0.0, 0.0, 0.0))


def walk(parts: tuple[Part, ...], roles: tuple[str, ...] = ()) -> Iterator[tuple[Shape, tuple[str, ...]]]:
    """Every shape in painting order with the roles of the groups around it, outermost first."""
    for part in parts:
        if isinstance(part, Group):
            yield from walk(part.parts, (*roles, part.role) if part.role else roles)
        else:
            yield part, roles
