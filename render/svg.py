"""Writes a drawing as SVG: one file a person can open anywhere, with names a machine can follow back to the plant.

The page and its coordinates are millimetres. Only the portable part of SVG is used, which every common renderer
draws alike: one ``text`` per line at a computed place, no nested pages, no style sheets. All wording is escaped,
control characters are dropped, numbers carry at most three decimals, and the same drawing gives the same bytes.
Nothing here decides how a sheet looks.
"""

from __future__ import annotations

import os
import re
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path as FilePath
from typing import Any, assert_never

import svgwrite
from svgwrite.data import full11
from svgwrite.data.types import SVGAttribute, SVGElement

from model.errors import PlantError
from render.drawing import (
    ArcTo,
    Circle,
    Close,
    CurveTo,
    Drawing,
    Group,
    Line,
    LineTo,
    MoveTo,
    Part,
    Path,
    PathStep,
    Pen,
    Rect,
    Shape,
    Text,
)
from render.style import PAD_GROUND, PAPER
from render.text import font_size, printable, text_width

FONT_FAMILY = "'DejaVu Sans Condensed', 'DejaVu Sans', sans-serif"
FARTHEST_MM = 1e6  # no sheet is a kilometre wide: a number beyond this is a fault of whoever computed it

_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")
_NOT_IN_ID = re.compile(r"[^A-Za-z0-9_.-]")
_SHAPED = re.compile(
    "[\u0300-\u036f\u0483-\u0489\u0590-\u1fff\u200b-\u200f\u2028-\u202f\u2060-\uffff\U00010000-\U0010ffff]"
)
_HINT = "Check the measures of the enclosure and the cables drawn here"


class DrawingError(PlantError):
    """A drawing that cannot be written: what is wrong and in which group."""


def to_svg(drawing: Drawing, *, validate: bool = False) -> str:
    """The drawing as SVG text, one element a line.

    ``validate`` checks every attribute against the SVG 1.1 tables, which takes about three times as long.
    Raises ``DrawingError`` for a number that is not finite or off any page, a negative size or a wrong colour.
    """
    if validate:
        _allow_own_attributes()
    xml = _Writer(drawing, validate).sheet.get_xml()
    ET.indent(xml, space="")
    return ET.tostring(xml, encoding="unicode") + "\n"


def write(drawing: Drawing, path: FilePath) -> None:
    """Write the drawing to a file in one step: a reader sees the old file or the new one, never half of one.

    Raises ``DrawingError`` before any file is touched, ``OSError`` when the folder cannot be written.
    """
    content = to_svg(drawing).encode("utf-8")
    target = FilePath(os.path.realpath(path))
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)


def number(value: float) -> str:
    """A length, place or angle with at most three decimals, without trailing zeros and without a negative zero."""
    if not -FARTHEST_MM < value < FARTHEST_MM:  # false for NaN too
        raise DrawingError(f"a number of the drawing is {value!r}", hint=_HINT)
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path_data(steps: tuple[PathStep, ...]) -> str:
    """The ``d`` of a path."""
    return " ".join(map(_step, steps))


def _step(step: PathStep) -> str:
    match step:
        case MoveTo(x, y):
            return f"M{number(x)} {number(y)}"
        case LineTo(x, y):
            return f"L{number(x)} {number(y)}"
        case ArcTo(x, y, r, large, sweep):
            return f"A{_size(r)} {_size(r)} 0 {large:d} {sweep:d} {number(x)} {number(y)}"
        case CurveTo(x1, y1, x2, y2, x, y):
            return f"C{number(x1)} {number(y1)} {number(x2)} {number(y2)} {number(x)} {number(y)}"
        case Close():
            return "Z"
        case _:
            assert_never(step)


def _size(value: float) -> str:
    if value < 0:
        raise DrawingError(f"a size of the drawing is negative: {value!r}", hint=_HINT)
    return number(value)


def _colour(value: str) -> str:
    if not _COLOUR.fullmatch(value):
        raise DrawingError(f"{value!r} is no colour", hint="Write colours as #RRGGBB")
    return value


class _Writer:
    """Carries the element factory, the ids given so far and the attributes of every pen met."""

    def __init__(self, drawing: Drawing, validate: bool) -> None:
        width, height = number(drawing.width), number(drawing.height)
        self.sheet = svgwrite.Drawing(
            size=(f"{width}mm", f"{height}mm"),
            viewBox=f"0 0 {width} {height}",
            font_family=FONT_FAMILY,
            font_stretch="condensed",
            debug=validate,
        )
        self.sheet.elements.remove(self.sheet.defs)
        self.ids: set[str] = set()
        self.pens: dict[Pen, dict[str, str]] = {}
        self.sheet.add(self.sheet.rect((0, 0), (width, height), fill=PAPER))
        for part in drawing.parts:
            self.add(self.sheet, part)
        self.sheet.set_desc(title=printable(drawing.title), desc=printable(drawing.desc))

    def add(self, parent: Any, part: Part) -> None:
        """Add a part and all within it, telling in an error which group it stood in."""
        if not isinstance(part, Group):
            self.shape(parent, part)
            return
        element = parent.add(self.sheet.g())
        ref, role, title = printable(part.ref), printable(part.role), printable(part.title)
        if ref:
            element["id"] = self.unique_id(ref)
            element["data-ref"] = ref
        if role:
            element["data-role"] = role
        if title:
            element.set_desc(title=title)
        try:
            for inner in part.parts:
                self.add(element, inner)
        except DrawingError as error:
            error.where = error.where or " ".join(filter(None, (part.role, part.ref)))
            raise

    def unique_id(self, ref: str) -> str:
        """An XML name made of the ref, with a number from the second group of the same ref on."""
        name = _NOT_IN_ID.sub("_", ref)
        if not (name[0].isalpha() or name[0] == "_"):
            name = f"_{name}"
        unique, count = name, 1
        while unique in self.ids:
            count += 1
            unique = f"{name}-{count}"
        self.ids.add(unique)
        return unique

    def shape(self, parent: Any, shape: Shape) -> None:
        """Add one shape."""
        new = self.sheet
        match shape:
            case Text():
                self.text(parent, shape)
            case Line(x1, y1, x2, y2, pen):
                parent.add(new.line((number(x1), number(y1)), (number(x2), number(y2)), **self.pen(pen, closed=False)))
            case Rect(x, y, width, height, pen, radius):
                corner = _size(radius) if radius else None
                place, size = (number(x), number(y)), (_size(width), _size(height))
                parent.add(new.rect(place, size, corner, corner, **self.pen(pen)))
            case Circle(cx, cy, r, pen):
                parent.add(new.circle((number(cx), number(cy)), _size(r), **self.pen(pen)))
            case Path(steps, pen):
                if steps:
                    parent.add(new.path(d=path_data(steps), **self.pen(pen)))
            case _:
                assert_never(shape)

    def text(self, parent: Any, text: Text) -> None:
        """One line of lettering; a halo is the same line below it, stroked, and hidden from readers aloud.

        The computed width goes into the file, so that lettering keeps to its cell where the face is not
        installed. Joined and marked scripts are left to the reader's own shaping.
        """
        content = printable(text.content)
        if not content:
            return
        place = (number(text.x), number(text.y))
        kind = {"font_size": _size(font_size(text.height))}
        if text.weight != "normal":
            kind["font_weight"] = text.weight
        if text.anchor != "start":
            kind["text_anchor"] = text.anchor
        if not _SHAPED.search(content):
            kind["textLength"] = number(text_width(content, text.height, text.weight))
            kind["lengthAdjust"] = "spacingAndGlyphs"
        if text.angle:
            kind["transform"] = f"rotate({number(text.angle)} {place[0]} {place[1]})"
        if text.halo is not None:
            ground = _colour(text.halo)
            halo = {"fill": ground, "stroke": ground, "stroke_width": number(2 * PAD_GROUND)}
            below = self.sheet.text(content, insert=place, stroke_linejoin="round", **halo, **kind)
            below["aria-hidden"] = "true"
            parent.add(below)
        parent.add(self.sheet.text(content, insert=place, fill=_colour(text.colour), **kind))

    def pen(self, pen: Pen, closed: bool = True) -> dict[str, str]:
        """Attributes of a pen; a line has no inside to fill."""
        known = self.pens.get(pen)
        if known is None:
            known = self.pens[pen] = _pen_attributes(pen)
        return known if closed else {key: value for key, value in known.items() if key != "fill"}


def _pen_attributes(pen: Pen) -> dict[str, str]:
    attributes = {"fill": "none" if pen.fill is None else _colour(pen.fill)}
    if pen.stroke is None:
        return attributes
    attributes |= {"stroke": _colour(pen.stroke), "stroke_width": _size(pen.width)}
    if pen.dash:
        if not sum(pen.dash) > 0:
            raise DrawingError(f"a dash of {pen.dash!r} draws nothing", hint=_HINT)
        attributes["stroke_dasharray"] = ",".join(map(_size, pen.dash))
    if pen.cap != "butt":
        attributes["stroke_linecap"] = pen.cap
    if pen.join != "miter":
        attributes["stroke_linejoin"] = pen.join
    return attributes


@cache
def _allow_own_attributes() -> None:
    """Teach the SVG 1.1 tables of the validator three attributes of SVG 2; every other unknown name stays wrong."""
    own = {"g": ("data-ref", "data-role"), "text": ("aria-hidden",)}
    for element, names in own.items():
        for name in names:
            full11.attributes[name] = SVGAttribute(name, anim=False, types=frozenset(["string"]), const=frozenset())
        old = full11.elements[element]
        full11.elements[element] = SVGElement(
            element,
            attributes=old.valid_attributes | set(names),
            properties=frozenset(),
            children=old.valid_children,
        )
