"""Packs the blocks of a splice schematic down one or several pages, and says how high every row stands.

Tried in turn: every fibre a row of its own, closer rows, equal ranges folded, and folded rows under one head for all
trays; the first that needs one page wins. Millimetres on paper. Nothing here draws.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from render.sheets.splice_fold import fold
from render.sheets.splice_rows import Block, Row

HEADER = 12.5  # head of a tray field
LOOP_ROOM = 24.0  # a loop with its circle and words
BACK_ROW = 9.0
PAD, PAD_CLOSE = 2.5, 0.4  # above and below the rows of a block, and where no words stand over its tag
AIR = 9.0  # most that is put between two blocks on a page with room to spare
LEAST_BEGUN = 4  # rows of a tube that are worth beginning at the foot of a page
LONG = 1e7  # mm, longer than any site
ALL_TRAYS = "*"


@dataclass(frozen=True, slots=True)
class Pitch:
    """Heights in mm of a row and of an express tube; ``folded``: equal ranges are one row.

    ``plain``: one field for all trays, and every slot plate says its tray.
    """

    row: float
    express: float
    folded: bool = False
    plain: bool = False


ROOMY = (Pitch(11.5, 17.0), Pitch(10.5, 15.0), Pitch(9.4, 13.5))
PITCHES = (
    Pitch(8.2, 12.0),
    Pitch(6.8, 9.0),
    Pitch(8.2, 12.0, folded=True),
    Pitch(7.2, 8.0, folded=True),
    Pitch(6.8, 8.0, folded=True, plain=True),
)


@dataclass(frozen=True, slots=True)
class Placed:
    """A block, or the part of it on one page, with the middle height of every row, mm on the page.

    ``begun`` tells that there were rows of it on the page before, ``goes_on`` that more are on the next.
    """

    block: Block
    rows: tuple[tuple[Row, float], ...]
    back: tuple[tuple[Row, float], ...]
    top: float
    bottom: float
    begun: bool = False
    goes_on: bool = False

    @property
    def middle(self) -> float:
        """Where its tube stands on the left."""
        heights = [y for _, y in self.rows] or [y for _, y in self.back]
        return (heights[0] + heights[-1]) / 2


@dataclass(frozen=True, slots=True)
class Field:
    """The ground of one tray, or of all where ``tray`` is ``ALL_TRAYS``."""

    tray: str
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Layout:
    """One page: its blocks, the tray fields behind them, and whether slot plates say their tray."""

    placed: tuple[Placed, ...]
    fields: tuple[Field, ...]
    plain: bool


@dataclass(frozen=True, slots=True)
class _Part:
    block: Block
    begun: bool
    goes_on: bool


def arrange(blocks: Sequence[Block], top: float, bottom: float, unfold: bool = False) -> list[Layout]:
    """Pages of blocks between two heights; ``unfold`` keeps every fibre in a row of its own, on any number of pages."""
    if unfold:
        return pack(blocks, top, bottom, PITCHES[0])
    folded = [replace(block, rows=fold(block.rows)) for block in blocks]
    best: list[Layout] = []
    # Few rows stand further apart: they fill the field instead of leaving its foot empty.
    for pitch in (*ROOMY, *PITCHES):
        pages = pack(folded if pitch.folded else blocks, top, bottom, pitch)
        # Among ways that need as many pages the first is the roomiest and says most.
        if not best or len(pages) < len(best):
            best = pages
        if len(best) == 1:
            break
    return best


def endless(blocks: Sequence[Block], folded: bool, opened: Collection[str] = ()) -> Layout:
    """Blocks one below another on a page without end, from the height 0.

    ``folded``: equal ranges are one row, but for those whose key is in ``opened``.
    """
    if folded:
        blocks = [replace(block, rows=fold(block.rows, opened)) for block in blocks]
    return pack(blocks, 0.0, LONG, replace(PITCHES[0], express=9.0), 3.0)[0]


def pack(blocks: Sequence[Block], top: float, bottom: float, pitch: Pitch, most_air: float = AIR) -> list[Layout]:
    """Blocks on as many pages as they need; one that fits no page goes on over several.

    ``most_air`` is what is put between two blocks at most, mm.
    """
    pages: list[list[_Part]] = [[]]
    room = bottom - top
    left, tray = room, ""
    for block in blocks:
        for part in _parts(block, room, pitch, left):
            need, after = _measure(part.block, pitch, tray)
            if need > left and pages[-1]:
                pages.append([])
                left = room
                need, after = _measure(part.block, pitch, "")
            pages[-1].append(part)
            left, tray = left - need, after
    return [_place(page, top, bottom, pitch, most_air) for page in pages]


def _tray(row: Row, pitch: Pitch) -> str:
    """The tray field a row needs; what begins right of the fields needs none."""
    if not row.tray or row.left is None:
        return ""
    return ALL_TRAYS if pitch.plain else row.tray


def _pad(block: Block, pitch: Pitch) -> float:
    return PAD_CLOSE if pitch.folded and block.state in ("ends", "starts") else PAD


def _rows(block: Block, pitch: Pitch, tray: str) -> list[tuple[Row, float, bool, str]]:
    """(row, its height with its head, whether a tray field begins above it, its field); ``tray`` is open above."""
    found: list[tuple[Row, float, bool, str]] = []
    last = len(block.rows) - 1
    for index, row in enumerate(block.rows):
        own = _tray(row, pitch)
        if row.state == "stub" and own != tray:
            own = ""  # a stub lies in a field that is open, and its words say the tray: it opens none
        head = bool(own) and own != tray
        high = pitch.row
        if row.state == "loop":
            high = max(LOOP_ROOM, 10.0 + BACK_ROW * len(block.back) * (index == last))
        found.append((row, high + HEADER * head, head, own))
        tray = own
    return found


def _back_height(block: Block) -> float:
    """Room for the other side's rows below the last row; a loop has them beside its circle."""
    if not block.back or (block.rows and block.rows[-1].state == "loop"):
        return 0.0
    return BACK_ROW * len(block.back) + 3.0


def _measure(block: Block, pitch: Pitch, tray: str) -> tuple[float, str]:
    """(height of a whole block in mm, the tray field open below it)."""
    if block.state == "express":
        return pitch.express, ""
    rows = _rows(block, pitch, tray)
    after = rows[-1][3] if rows and not block.back else ""
    return sum(high for _, high, _, _ in rows) + _back_height(block) + 2 * _pad(block, pitch), after


def _parts(block: Block, room: float, pitch: Pitch, left: float) -> list[_Part]:
    """A block in parts that each fit a page; one that must be split anyway begins in what is ``left`` of this one."""
    if _measure(block, pitch, "")[0] <= room or len(block.rows) < 2:
        return [_Part(block, False, False)]
    limit = room - _back_height(block) - 2 * PAD
    first = left - 2 * PAD if left >= HEADER + LEAST_BEGUN * pitch.row + 2 * PAD else limit
    parts: list[list[Row]] = [[]]
    used = 0.0
    for row, high, head, own in _rows(block, pitch, ""):
        if parts[-1] and used + high > (first if len(parts) == 1 else limit):
            parts.append([])
            used = 0.0 if head or not own else HEADER
        parts[-1].append(row)
        used += high
    last = len(parts) - 1
    return [
        _Part(replace(block, rows=tuple(rows), back=block.back if i == last else ()), i > 0, i < last)
        for i, rows in enumerate(parts)
    ]


def _place(page: Sequence[_Part], top: float, bottom: float, pitch: Pitch, most_air: float) -> Layout:
    used, tray = 0.0, ""
    for part in page:
        need, tray = _measure(part.block, pitch, tray)
        used += need
    air = min(most_air, max(0.0, bottom - top - used) / (len(page) + 1))
    y, tray = top + air, ""
    placed: list[Placed] = []
    fields: list[Field] = []
    for part in page:
        need, after = _measure(part.block, pitch, tray)
        placed.append(_place_one(part, y, need, pitch, tray, fields))
        y += need + air
        tray = after
    return Layout(tuple(placed), tuple(fields), pitch.plain)


def _place_one(part: _Part, top: float, need: float, pitch: Pitch, tray: str, fields: list[Field]) -> Placed:
    block = part.block
    if block.state == "express":
        return Placed(block, ((block.rows[0], top + pitch.express / 2),), (), top, top + need)
    rows: list[tuple[Row, float]] = []
    y = top + _pad(block, pitch)
    for row, high, head, own in _rows(block, pitch, tray):
        start = y + HEADER * head
        y += high
        if head:
            fields.append(Field(own, start - HEADER, y))
        elif own:
            fields[-1] = replace(fields[-1], bottom=y)
        rows.append((row, start + pitch.row / 2))
    first = y + 3.0 + BACK_ROW / 2
    if block.rows and block.rows[-1].state == "loop":
        first = rows[-1][1] + 11.8
    back = tuple((row, first + BACK_ROW * index) for index, row in enumerate(block.back))
    return Placed(block, tuple(rows), back, top, top + need, part.begun, part.goes_on)
