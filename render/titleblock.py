"""The title block and the revision table of a sheet.

Data fields after ISO 7200. Every value is checked against its cell: a long title takes two lines where it
can, anything else too long is shortened with an ellipsis, and lettering never shrinks. Millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.entities import Revision
from render import style
from render.box import Box
from render.drawing import Group, Line, Part, Pen, Rect, Text, Weight
from render.text import fits, shorten, text_width, wrap

BLOCK_WIDTH, BLOCK_HEIGHT = 180.0, 42.0
ROW, FOOT = 9.0, 6.0
REVISIONS_HEIGHT, REVISION_ROW = 15.0, 5.0
SHOWN_REVISIONS = 2
PROGRAM = "Glasswright"


@dataclass(frozen=True, slots=True)
class SheetInfo:
    """What the title block says: the fields of ISO 7200, then those of our trade. ``revisions`` run oldest
    first."""

    owner: str
    document_type: str
    status: str
    title: str
    drawing_no: str
    language: str = "en"
    supplement: str = ""
    revision: str = ""
    sheet: int = 1
    sheets: int = 1
    node: str = ""
    work_order: str = ""
    drawn: str = ""
    checked: str = ""
    approved: str = ""
    issued: str = ""
    scale: str = ""
    units: str = "mm"
    profile: str = ""
    colour_code: str = ""
    printed_on: str = ""
    file: str = ""
    revisions: tuple[Revision, ...] = ()


def title_block(box: Box, info: SheetInfo, page_name: str) -> Group:
    """The block in ``box``, 180 x 42 or wider: further width goes to the title side."""
    more = box.width - BLOCK_WIDTH
    big = style.H_HEAD
    rows: tuple[tuple[tuple[str, str, float, float, float], ...], ...] = (
        (
            ("Legal owner", info.owner, 0, 64 + more, 0),
            ("Document type", info.document_type, 64 + more, 30, 0),
            ("Document status", info.status, 94 + more, 46, 0),
            ("Page size", page_name, 140 + more, 20, 0),
            ("Language", info.language, 160 + more, 20, 0),
        ),
        (
            ("Drawing no.", info.drawing_no, 94 + more, 46, big),
            ("Revision", info.revision, 140 + more, 20, big),
            ("Sheet", f"{info.sheet} of {info.sheets}", 160 + more, 20, big),
        ),
        (
            ("Node", info.node, 94 + more, 46, big),
            ("Work order", info.work_order, 140 + more, 40, big),
        ),
        (
            ("Drawn", info.drawn, 0, 30 + more / 3, 0),
            ("Checked", info.checked, 30 + more / 3, 32 + more / 3, 0),
            ("Approved", info.approved, 62 + 2 * more / 3, 32 + more / 3, 0),
            ("Date of issue", info.issued, 94 + more, 26, 0),
            ("Scale", info.scale, 120 + more, 20, 0),
            ("Units", info.units, 140 + more, 14, 0),
            ("Profile", info.profile, 154 + more, 26, 0),
        ),
    )
    parts: list[Part] = [Rect(*box, style.GROUND)]
    for i, row in enumerate(rows):
        for name, value, left, width, height in row:
            cell = Box(box.x + left, box.y + i * ROW, width, ROW)
            parts.extend(_cell(cell, name, value, height or style.H_LABEL))
    parts.extend(_title(Box(box.x, box.y + ROW, 94 + more, 2 * ROW), info))
    parts.extend(_foot(Box(box.x, box.bottom - FOOT, box.width, FOOT), info))
    parts.append(Rect(*box, style.FRAME))
    return Group(tuple(parts), role="title-block", title=info.title)


def _cell(cell: Box, name: str, value: str, height: float) -> list[Part]:
    shown = shorten(value, cell.width - 2.0, height, "bold")
    base = cell.y + (7.4 if height == style.H_LABEL else 7.6)
    return [
        Rect(*cell, style.CELL),
        Text(cell.x + 1.0, cell.y + 2.9, name, style.H_FLOOR, colour=style.INK_SOFT),
        Text(cell.x + 1.0, base, shown, height, "bold"),
    ]


def _title(cell: Box, info: SheetInfo) -> list[Part]:
    """Title and supplement; a long title takes two lines when no supplement needs the second."""
    left, room = cell.x + 1.2, cell.width - 2.4
    parts: list[Part] = [
        Rect(*cell, style.CELL),
        Text(cell.x + 1.0, cell.y + 2.9, "Title", style.H_FLOOR, colour=style.INK_SOFT),
    ]
    if not info.supplement and not fits(info.title, room, style.H_TITLE, "bold"):
        first, *rest = wrap(info.title, room, style.H_TITLE, "bold")
        second = shorten(" ".join(rest), room, style.H_TITLE, "bold")
        parts.append(Text(left, cell.y + 9.0, first, style.H_TITLE, "bold"))
        parts.append(Text(left, cell.y + 15.8, second, style.H_TITLE, "bold"))
        return parts
    parts.append(Text(left, cell.y + 10.0, shorten(info.title, room, style.H_TITLE, "bold"), style.H_TITLE, "bold"))
    if info.supplement:
        parts.append(Text(left, cell.y + 15.8, shorten(info.supplement, room)))
    return parts


def _foot(cell: Box, info: SheetInfo) -> list[Part]:
    """Colour code at the left; print date, file and program at the right, which keep their room first."""
    printed = f"Printed on {info.printed_on}" if info.printed_on else ""
    right = " | ".join(item for item in (printed, info.file, PROGRAM) if item)
    right = shorten(right, 0.6 * cell.width, style.H_FLOOR)
    room = cell.width - 2.0 - text_width(right, style.H_FLOOR) - 4.0
    base, ink = cell.y + 4.2, style.INK_SOFT
    return [
        Rect(*cell, style.CELL),
        Text(cell.x + 1.0, base, shorten(info.colour_code, room, style.H_FLOOR), style.H_FLOOR, colour=ink),
        Text(cell.right - 1.0, base, right, style.H_FLOOR, anchor="end", colour=ink),
    ]


def revision_table(box: Box, revisions: tuple[Revision, ...]) -> Group:
    """Header and the newest two revisions, the newest bold; more than two are counted in the header."""
    shown = revisions[-SHOWN_REVISIONS:]
    what = "What changed"
    if len(revisions) > len(shown):
        what += f" (newest {len(shown)} of {len(revisions)})"
    wide = box.width - BLOCK_WIDTH
    lefts = (1.0, 10.0, 33.0, 151.0 + wide, 161.0 + wide, 171.0 + wide)
    rooms = (8.0, 22.0, 116.0 + wide, 9.0, 9.0, 8.0)
    rows: list[tuple[Weight, tuple[str, ...]]] = [("bold", ("Rev", "Date", what, "By", "Chk", "App"))]
    for revision in shown:
        weight: Weight = "bold" if revision is revisions[-1] else "normal"
        rows.append(
            (
                weight,
                (
                    revision.letter,
                    revision.date,
                    revision.what,
                    revision.by,
                    revision.checked,
                    revision.approved,
                ),
            )
        )
    parts: list[Part] = [Rect(*box, Pen(None, style.W_THIN, style.PAPER))]
    for i, (weight, fields) in enumerate(rows):
        top = box.y + i * REVISION_ROW
        if i:
            rule = style.TABLE_RULE if i == 1 else style.TABLE_ROW
            parts.append(Line(box.x, top, box.right, top, rule))
        for left, room, field in zip(lefts, rooms, fields, strict=True):
            text = shorten(field, room, style.H_LABEL, weight)
            if text:
                parts.append(Text(box.x + left, top + 3.7, text, style.H_LABEL, weight))
    parts.append(Rect(*box, style.FRAME))
    return Group(tuple(parts), role="revisions")
