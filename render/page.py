"""Pages: sizes, the frame with its zones and marks, the title block and the revision table.

Frame after ISO 5457, title block fields after ISO 7200. A page hands out the boxes that are left for
drawing, so that each sheet lays itself out. Millimetres; the caller brings every date and name, for nothing
here reads a clock.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Revision
from model.errors import PlantError
from render import style
from render.box import Box
from render.drawing import Drawing, Group, Line, Part, Pen, Rect
from render.frame import border, card_border
from render.titleblock import (
    BLOCK_HEIGHT,
    BLOCK_WIDTH,
    REVISIONS_HEIGHT,
    SheetInfo,
    revision_table,
    title_block,
)

__all__ = ["Page", "PageSize", "Revision", "SheetInfo", "finish", "page_size", "start_page"]

SIZES_MM = {  # portrait; ISO 216, and ANSI/ASME Y14.1 for the two in inches
    "A3": (297.0, 420.0),
    "A4": (210.0, 297.0),
    "A5": (148.0, 210.0),
    "Letter": (215.9, 279.4),
    "Tabloid": (279.4, 431.8),
}
BINDING, MARGIN, CARD_MARGIN = 20.0, 10.0, 6.0
FULL_WIDTH_SLACK = 60.0  # a strip narrower than this beside the block is of no use: the block takes it


@dataclass(frozen=True, slots=True)
class PageSize:
    """Name and size of a sheet in mm."""

    name: str
    width: float
    height: float


def page_size(name: str, orientation: Literal["portrait", "landscape"] = "portrait") -> PageSize:
    """A standard size by name: A3, A4, A5, Letter or Tabloid, whatever the case. Raises ``PlantError`` for
    others."""
    for known, (width, height) in SIZES_MM.items():
        if known.lower() == name.strip().lower():
            return PageSize(known, height, width) if orientation == "landscape" else PageSize(known, width, height)
    raise PlantError(f'"{name}" is no page size', where="page", hint="Use " + ", ".join(SIZES_MM))


@dataclass(frozen=True, slots=True)
class Page:
    """A page with its border and title block drawn, and the boxes left.

    ``frame`` is the inside of the frame line. ``space`` is the full-width box above the title block, 2
    inside the frame; on a wide page the revision table of sheet 1 stands in its lower right corner
    (``revision_box``). ``beside`` is the box left of the title block, 3 inside, or None when the block
    takes the full width. A card has no title block.
    """

    size: PageSize
    info: SheetInfo
    frame: Box
    space: Box
    beside: Box | None
    title_block_box: Box | None
    revision_box: Box | None
    parts: tuple[Part, ...]


def start_page(size: PageSize, info: SheetInfo) -> Page:
    """Draw border, title block and, on sheet 1, the revision table; A5 is the card with a plain rounded
    frame."""
    ground = Rect(0.0, 0.0, size.width, size.height, Pen(None, style.W_THIN, style.PAPER))
    if size.name == "A5":
        frame = Box(0.0, 0.0, size.width, size.height).grown(-CARD_MARGIN)
        card = Group((ground, card_border(frame)), role="page")
        return Page(size, info, frame, frame.grown(-style.PAD_BOX), None, None, None, (card,))
    frame = Box(BINDING, MARGIN, size.width - BINDING - MARGIN, size.height - 2 * MARGIN)
    full = frame.width - BLOCK_WIDTH < FULL_WIDTH_SLACK
    wide = frame.width if full else BLOCK_WIDTH
    block = Box(frame.right - wide, frame.bottom - BLOCK_HEIGHT, wide, BLOCK_HEIGHT)
    revisions = (
        Box(block.x, block.y - REVISIONS_HEIGHT, wide, REVISIONS_HEIGHT) if info.sheet == 1 and info.revisions else None
    )
    floor = revisions.y if revisions and full else block.y
    pad = style.PAD_BOX
    space = Box(frame.x + pad, frame.y + pad, frame.width - 2 * pad, floor - frame.y - 2 * pad)
    beside = (
        None if full else Box(frame.x + style.PAD_TEXT, block.y, block.x - frame.x - 2 * style.PAD_TEXT, BLOCK_HEIGHT)
    )
    parts: list[Part] = [ground, border(size.width, size.height, frame), title_block(block, info, size.name)]
    if beside is not None:
        parts.append(Line(frame.x, block.y, block.x, block.y, style.OUTLINE))
    if revisions:
        parts.append(revision_table(revisions, info.revisions))
    return Page(size, info, frame, space, beside, block, revisions, tuple(parts))


def finish(page: Page, parts: tuple[Part, ...], *, desc: str = "") -> Drawing:
    """The drawing: border and title block, then the parts. ``desc`` says in words what is shown."""
    info = page.info
    title = f"{info.title}, {info.supplement}" if info.supplement else info.title
    return Drawing(page.size.width, page.size.height, title, desc or title, (*page.parts, *parts), page.frame)
