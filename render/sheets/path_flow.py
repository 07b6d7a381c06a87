"""Sheets filled from the top: the strip of a path comes first, then plot, running loss and notes in what is left.

What does not fit goes on to further sheets, the table in runs of rows; nothing is made smaller. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from render import style
from render.box import Box
from render.drawing import Group, Text, Weight
from render.hops import PathDescription
from render.sheets.filling import Filling
from render.sheets.path_legend import band_height, path_legend
from render.sheets.path_plot import plot
from render.sheets.path_table import Verdict, loss_table
from render.sheets.path_way import Way
from render.tableblock import LaidTable, draw_table, lay_table
from render.text import wrap

BLOCK_GAP = 5.0
LEAST_PLOT = 45.0
MOST_PLOT = 78.0
PLOT_SHARE = 0.7  # of the height left on a large page
NARROW_PLOT = 62.0
ALONE_PLOT = 58.0  # room for the plot alone when the table goes to the next sheet
WIDE = 220.0  # from this width on the table stands beside the plot
TWO_TABLES = 330.0  # and from this one there may be two
TABLE_WIDTH = 122.0
NOTE_PITCH = 4.2


@dataclass(slots=True)
class Flow(Filling):
    """The sheets of a path, each with the legend of its signs."""

    way: Way
    mono: bool
    waves: tuple[int, ...]

    def turn(self) -> None:
        """Begin the next sheet."""
        Filling.turn(self)
        self.parts.append(path_legend(self.page, self.way, self.space, self.mono, self.waves))

    @property
    def foot(self) -> float:
        """Room for the legend where it has none beside the title block."""
        return 0.0 if self.page.beside is not None else band_height(self.way) + 1.0


Notes = Sequence[tuple[str, bool]]


def lay_numbers(flow: Flow, path: PathDescription, way: Way, judged: Verdict, notes: Notes) -> None:
    """Plot, table and notes in what is left of the sheet, and on further ones."""
    wide = flow.space.width >= WIDE
    width = min(TABLE_WIDTH, 0.46 * flow.space.width) if wide else flow.space.width
    laid = lay_table(loss_table(way, path, judged, width))
    tables = _tables(flow, laid, notes, wide)
    if tables == 0:
        closer = lay_table(loss_table(way, path, judged, width, merged=True))
        tables = _tables(flow, closer, notes, wide)
        laid = closer if tables else laid
    alone = tables == 0 and flow.left >= ALONE_PLOT
    if tables == 0 and not alone:
        flow.turn()
        tables = _tables(flow, laid, notes, wide) or 1
    space, top = flow.space, flow.y
    tall = min(max(MOST_PLOT, PLOT_SHARE * flow.left) if wide else NARROW_PLOT, flow.left)
    plot_width = space.width - tables * (width + BLOCK_GAP) if wide else space.width
    flow.parts.append(plot(Box(space.x, top, plot_width, tall), path, way.stations, judged.entry).group)
    if alone:
        flow.turn()
        x, y = _lay_table(flow, laid, space.x, flow.y, 1)
    elif wide:
        x, y = _lay_table(flow, laid, space.x + plot_width + BLOCK_GAP, top, tables)
    else:
        x, y = _lay_table(flow, laid, space.x, top + tall + BLOCK_GAP, 1)
    under = Box(space.x, top + tall + 2.0, plot_width, space.bottom - top - tall - 2.0)
    same = wide and not alone and flow.space == space and x > space.x
    _lay_notes(flow, notes, Box(x, y, width, flow.space.bottom - y), under if same else None)


def _lay_table(flow: Flow, laid: LaidTable, x: float, y: float, tables: int) -> tuple[float, float]:
    """The table from (x, y) on, in as many runs as it takes; returns the place below its last run."""
    width, start, top, foot = laid.table.width, 0, y, y
    half = -(-len(laid.cells) // tables)
    while start < len(laid.cells):
        most = start + half if tables > 1 else len(laid.cells)
        stop = min(_run(laid, start, flow.space.bottom - top), most)
        if stop > start:
            block = draw_table(laid, x, top, range(start, stop), title="running loss")
            flow.parts.append(block.group)
            foot, start = top + block.height + 2.5, stop
        if start < len(laid.cells):
            if x + 2 * width + BLOCK_GAP <= flow.space.right + 0.1:
                x += width + BLOCK_GAP
                continue
            flow.turn()
            x, top, tables = flow.space.x, flow.space.y, 1
    return x, foot


def _lay_notes(flow: Flow, notes: Notes, below: Box, under: Box | None) -> None:
    """Notes below the table where they fit, else under the plot or beside the revision table, else a sheet on."""
    for place in (below, under, _spot(flow)):
        if place is not None and _notes_fit(notes, place):
            break
    else:
        flow.turn()
        place = Box(flow.space.x, flow.y, below.width, flow.left)
    lines = enumerate(_lines(notes, place.width))
    texts = [Text(place.x, place.y + style.H_LABEL + NOTE_PITCH * i, line, weight=_weight(b)) for i, (line, b) in lines]
    flow.parts.append(Group(tuple(texts), role="notes"))


def _notes_fit(notes: Notes, place: Box) -> bool:
    return NOTE_PITCH * len(_lines(notes, place.width)) - NOTE_PITCH + style.H_LABEL <= place.height


def _spot(flow: Flow) -> Box | None:
    """The room left of the revision table, if there is one."""
    page = flow.page
    if page.revision_box is None or page.beside is None:
        return None
    return Box(page.beside.x, page.revision_box.y - 1.0, page.beside.width, page.revision_box.height + 0.2)


def _lines(notes: Notes, width: float) -> list[tuple[str, bool]]:
    return [(line, b) for text, b in notes for line in wrap(text, width, style.H_LABEL, _weight(b))]


def _tables(flow: Flow, laid: LaidTable, notes: Notes, wide: bool) -> int:
    """How many tables side by side hold all the rows in the room left; 0 when none do or the plot has no room."""
    if flow.left < LEAST_PLOT:
        return 0
    width = laid.table.width
    below = 2.5 + NOTE_PITCH * len(_lines(notes, width))
    spot = _spot(flow)
    if spot is not None and _notes_fit(notes, spot):
        below = 0.0
    if not wide:
        return 1 if laid.height() + below + NARROW_PLOT + BLOCK_GAP <= flow.left else 0
    for count in (1, 2) if flow.space.width >= TWO_TABLES else (1,):
        rows = range(-(-len(laid.cells) // count))
        if laid.height(rows) + below <= flow.left:
            return count
    return 0


def _run(laid: LaidTable, start: int, room: float) -> int:
    """One past the last row that fits the room together with head and header; ``start`` if none does."""
    used, row = laid.top_height, start
    while row < len(laid.cells) and used + laid.row_height(row) <= room:
        used += laid.row_height(row)
        row += 1
    return row


def _weight(is_bold: bool) -> Weight:
    return "bold" if is_bold else "normal"
