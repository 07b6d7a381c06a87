"""The trace sheet: an OTDR curve with its events, each named by the plant's joint, and what is to be looked at.

The plot stands above, the events in a table below it, then the notes; what does not fit goes on to further sheets.
Without a plant the sheet is of the file alone. Millimetres on paper; nothing here reads a file or a clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from model.plant import Plant
from render import style
from render.box import Box
from render.drawing import Circle, Drawing, Group, Line, Part, Pen, Text, Weight
from render.legend import SAMPLE, LegendEntry, legend
from render.page import finish
from render.sheets.filling import Filling
from render.sheets.options import Options, sheet_info
from render.sheets.otdr_plot import CURVE, DOT, MISSING_LINE, plot
from render.sheets.path_plot import PLACE_LINE
from render.shot import Shot, ShotRow, doubts, facts, named
from render.tableblock import Cell, Column, Table, bold, draw_table, lay_table
from render.text import shorten, wrap
from render.titleblock import SheetInfo

PLOT_HEIGHT, LEAST_PLOT = 66.0, 45.0
LEAST_ROWS = 3
GAP = 3.0
NOTE_PITCH = 4.2
COLUMNS = (
    Column("No", "end", width=8.0),
    Column("Distance m", "end"),
    Column("What", fit="wrap", grow=True),
    Column("Place or mark", fit="wrap"),
    Column("Loss dB", "end"),
    Column("Curve", "end"),
    Column("Plan", "end"),
    Column("Back", "end"),
    Column("Mean", "end"),
    Column("Refl. dB", "end"),
    Column("Finding"),
)


class _Sheets(Filling):
    """The sheets of a trace, each with the legend where there is room beside the title block."""

    def turn(self) -> None:
        """Begin the next sheet."""
        super().turn()
        beside = self.page.beside
        if beside is not None:
            self.parts.append(legend(beside.x, beside.y + 1.5, beside.width, _SIGNS, rows=5).group)


def _dot(grave: bool) -> Circle:
    return Circle(0.0, 0.0, DOT, Pen(style.INK, style.W_BUNDLE, style.INK if grave else style.PAPER))


_SIGNS = (
    LegendEntry(lambda x, y: Line(x, y, x + SAMPLE, y, CURVE), "level as sampled"),
    LegendEntry(lambda x, y: replace(_dot(False), cx=x + SAMPLE / 2, cy=y), "event"),
    LegendEntry(lambda x, y: replace(_dot(True), cx=x + SAMPLE / 2, cy=y), "event to look at"),
    LegendEntry(lambda x, y: Line(x, y, x + SAMPLE, y, PLACE_LINE), "place of an event"),
    LegendEntry(lambda x, y: Line(x, y, x + SAMPLE, y, MISSING_LINE), "joint without an event"),
)


def otdr_sheets(shot: Shot, options: Options, plant: Plant | None = None, name: str = "") -> list[Drawing]:
    """The trace of a shot on as many sheets as it takes; ``name`` says what it is of."""
    sheets = 1
    for _ in range(3):  # the number of sheets stands on each, so it is laid until it no longer changes
        known = replace(options, sheets=max(options.sheets, options.sheet + sheets - 1))
        drawings = _lay(shot, known, plant, name)
        if len(drawings) == sheets:
            break
        sheets = len(drawings)
    return drawings


def _lay(shot: Shot, options: Options, plant: Plant | None, name: str) -> list[Drawing]:
    pages = _Sheets(options.page or "A4", options.orientation, _info(shot, options, plant, name))
    pages.turn()
    _head(pages, shot, name)
    width = pages.space.width
    laid = lay_table(_table(shot.rows, width))
    notes = _notes(shot, width)
    with_table = pages.left - laid.height() - GAP
    wishes = (with_table - NOTE_PITCH * len(notes) - GAP - 0.5, with_table, min(PLOT_HEIGHT, pages.left))
    tall = next(wish for wish in wishes if wish >= LEAST_PLOT or wish == wishes[-1])
    pages.parts.append(plot(Box(pages.space.x, pages.y, width, tall), shot).group)
    pages.y += tall + GAP
    row = 0
    while row < len(laid.cells):
        stop, used = row, laid.top_height
        while stop < len(laid.cells) and used + laid.row_height(stop) <= pages.left:
            used += laid.row_height(stop)
            stop += 1
        if stop == row or (stop - row < LEAST_ROWS and stop < len(laid.cells) and pages.y > pages.space.y):
            pages.turn()
            continue
        block = draw_table(laid, pages.space.x, pages.y, range(row, stop), title="events")
        pages.parts.append(block.group)
        pages.y += block.height + GAP
        row = stop
    _lay_notes(pages, notes)
    desc = f"OTDR trace with {len(shot.rows)} events; {facts(shot.trace)}."
    return [finish(page, tuple(parts), desc=desc) for page, parts in pages.pages]


def _info(shot: Shot, options: Options, plant: Plant | None, name: str) -> SheetInfo:
    title, kind = f"Trace of {name}", "OTDR trace"
    if plant is None:
        return SheetInfo(
            "", kind, "", title, "", units="m, dB", printed_on=options.printed_on, file=options.page_file,
            sheet=options.sheet, sheets=options.sheets, scale="no scale",
        )  # fmt: skip
    site = shot.match.matched[0].expected.site if shot.match and shot.match.matched else ""
    return sheet_info(plant, site, options, title=title, kind=kind, units="m, dB", suffix="-O")


def _head(pages: _Sheets, shot: Shot, name: str) -> None:
    space = pages.space
    title = shorten(f"Trace of {name}", space.width, style.H_TITLE, "bold")
    start = f"Measured from {shot.start}. " if shot.start else ""
    lines = wrap(f"{start}{_capital(facts(shot.trace))}.", space.width)
    said = named(shot.trace)
    if said:
        lines += wrap(f"The file says: {said}.", space.width)
    texts: list[Part] = [Text(space.x, pages.y + 5.5, title, style.H_TITLE, "bold")]
    texts += [Text(space.x, pages.y + 11.0 + 4.0 * i, line) for i, line in enumerate(lines[:3])]
    pages.parts.append(Group(tuple(texts), role="head"))
    pages.y += 13.0 + 4.0 * (len(lines[:3]) - 1)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _table(rows: Sequence[ShotRow], width: float) -> Table:
    """The events; columns that nothing stands in are left out."""
    cells = [_cells(row) for row in rows]
    kept = [i for i in range(len(COLUMNS)) if i < 3 or any(_said(row[i]) for row in cells)]
    return Table(tuple(COLUMNS[i] for i in kept), tuple(tuple(row[i] for i in kept) for row in cells), width, "Events")


def _said(cell: Cell | str) -> str:
    return cell if isinstance(cell, str) else cell.text


def _cells(row: ShotRow) -> tuple[Cell | str, ...]:
    numbers = (row.loss_db, row.fitted_db, row.planned_db, row.back_db, row.mean_db)
    state = "" if row.state in ("ok", "end") else row.state
    return (
        "-" if row.number is None else str(row.number),
        f"{row.at_m:.1f}",
        _capital(row.what),
        row.place,
        *("" if value is None else f"{value:.2f}" for value in numbers),
        "" if row.reflectance_db is None else f"{row.reflectance_db:.1f}",
        bold(state) if row.grave else state,
    )


def _notes(shot: Shot, width: float) -> list[tuple[str, Weight]]:
    """Lines of the notes: what to look at in bold, then what is good to know, then doubts about the file.

    What a row of the table says already is left out.
    """
    found: list[tuple[str, Weight]] = []
    said = {row.what for row in shot.rows}
    for note in shot.notes:
        if note.kind != "beyond" and note.words not in said:
            weight: Weight = "bold" if note.grave else "normal"
            found += [(line, weight) for line in wrap(f"{_capital(note.words)}.", width, style.H_LABEL, weight)]
    for doubt in doubts(shot):
        found += [(line, "normal") for line in wrap(f"File: {doubt}.", width)]
    return found


def _lay_notes(pages: _Sheets, lines: Sequence[tuple[str, Weight]]) -> None:
    texts: list[Part] = []
    for line, weight in lines:
        if pages.left < NOTE_PITCH:
            if texts:
                pages.parts.append(Group(tuple(texts), role="notes"))
            texts = []
            pages.turn()
        texts.append(Text(pages.space.x, pages.y + style.H_LABEL, line, weight=weight))
        pages.y += NOTE_PITCH
    if texts:
        pages.parts.append(Group(tuple(texts), role="notes"))
