"""The splice schematic of a site: every tube and fibre here, what is uncut, what is joined to what, and what is dark.

The exchange is left, the field right. Rows are drawn one by one where they fit, else equal ranges are folded into
ribbons, else the schematic goes on over several sheets. Not to scale; millimetres on paper. It judges nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from model.entities import Cable
from model.glass import Piece
from model.graph import Continuity
from model.lookup import passes, stops_at
from model.plant import Plant
from model.trace import Trace, trace
from render import style
from render.blocks import caution_strip
from render.box import Box
from render.drawing import Drawing, Line, Part, Text
from render.page import Page, finish, page_size, start_page
from render.refs import cable_ref
from render.sheets.options import Options, sheet_info
from render.sheets.splice_block import paint_block
from render.sheets.splice_build import build
from render.sheets.splice_foot import (
    PLANNED,
    colour_key,
    count_box,
    count_lines,
    key_looks,
    legend_box,
    occurring,
)
from render.sheets.splice_grid import Columns, lay_columns
from render.sheets.splice_pack import Layout, Placed, arrange, endless
from render.sheets.splice_paint import Painter
from render.sheets.splice_rows import SiteTable
from render.sheets.splice_words import Words
from render.text import fits

STRIP_WIDE = 240, 400  # between these a strip is as wide as its words need, mm
STRIP_LANES = 56.0  # least room for the bows and lanes of a strip, mm


def work_line(table: SiteTable) -> str:
    """Which splices may be made: those drawn with a ring, if any; and that every other line stays as it is."""
    planned = PLANNED in occurring(table, False)
    first = "Make only the splices drawn with a ring." if planned else "No splice is to be made here."
    return f"{first} A line that runs across without a ring or a dot is UNCUT and stays uncut."


TITLE_ROOM = 91.6  # width of a title on one line in the title block, mm


def splices(plant: Plant, site_id: str, options: Options) -> Drawing:
    """The schematic of a site, its first sheet if it needs several. Raises PlantError for an unknown page size."""
    return splice_sheets(plant, site_id, options)[0]


def splice_sheets(
    plant: Plant,
    site_id: str,
    options: Options,
    *,
    unfold: bool = False,
    continuity: Continuity | None = None,
) -> list[Drawing]:
    """Every sheet of the schematic of a site; ``unfold`` gives each fibre its own row, on as many sheets as needed.

    ``continuity`` is the graph of the plant, if the caller has one. Sheets are numbered from ``options.sheet``.
    Raises PlantError for an unknown page size, or one too narrow.
    """
    return _Sheets(plant, site_id, options, continuity or Continuity(plant)).draw(unfold)


def splice_strip(
    continuity: Continuity, site_id: str, options: Options, *, folded: bool, opened: Collection[str] = ()
) -> tuple[Part, ...]:
    """The schematic of a site without page, legend and count check, however long; empty where there is no glass.

    ``folded`` makes equal ranges one ribbon, but for those whose key is in ``opened``; else every fibre has a row of
    its own. The slash of a ribbon and the bracket of an opened range carry ``range_ref`` of its key.
    """
    return _Sheets(continuity.plant, site_id, options, continuity).strip(folded, opened)


def live_line(plant: Plant, table: SiteTable) -> str:
    """Which joints of the site carry live services, and what to do before a cut."""
    served = {key for block in table.blocks for row in block.rows for key in row.services}
    live = sorted(plant.services[key].name for key in served if plant.services[key].status == "live")
    if not live:
        return "No joint here carries a live service; uncut glass may. Count the fibre twice, then cut."
    names = ", ".join(live) if len(live) <= 6 else f"{len(live)} services"
    return f"Live over joints here: {names}. Count the fibre twice, then cut."


class _Sheets:
    """Builds the rows once and lays them on pages."""

    def __init__(self, plant: Plant, site: str, options: Options, continuity: Continuity) -> None:
        self.plant, self.site, self.options, self.continuity = plant, site, options, continuity
        self.table: SiteTable = build(continuity, site)
        self.words = Words(plant, site, [row for block in self.table.blocks for row in block.rows])
        self.lines = count_lines(plant, self.table)
        self.caution = (work_line(self.table), live_line(plant, self.table))
        self.key = True
        self.path: Trace | None = None
        if options.trace and options.trace in continuity.graph:
            self.path = trace(continuity, options.trace)
        self.traced = self.on_path()
        self.shown = occurring(self.table, bool(self.traced))

    def draw(self, unfold: bool) -> list[Drawing]:
        """All sheets."""
        page = self.page(0, 1)
        top, bottom, _ = self.foot(page)
        pages = arrange(self.table.blocks, top, bottom, unfold)
        if len(pages) > 1 and page.beside is None:
            self.key = False
            top, bottom, _ = self.foot(page)
            pages = arrange(self.table.blocks, top, bottom, unfold)
        rows = [row for one in pages for placed in one.placed for row, _ in (*placed.rows, *placed.back)]
        columns = lay_columns(page.frame.x, page.frame.right, self.words.needs(rows))
        return [self.sheet(layout, number, len(pages), columns) for number, layout in enumerate(pages)]

    def page(self, number: int, count: int) -> Page:
        """An empty page with its title block."""
        options = self.options
        size = page_size(options.page or "A3", options.orientation or "landscape")
        place = self.plant.sites.get(self.site)
        name = place.name if place else self.site
        sheet = options.sheet + number
        numbered = replace(options, sheet=sheet, sheets=max(options.sheets, sheet))
        if count > 1:
            numbered = replace(numbered, sheets=max(options.sheets, options.sheet + count - 1))
        title = f"Splice schematic, {name}"
        if count > 1:
            title += f" ({number + 1}/{count})"
        kind = "Schematic"
        # A long title takes the line of the supplement, which the drawing itself says anyway.
        supplement = self.supplement() if fits(title, TITLE_ROOM, style.H_TITLE, "bold") else ""
        info = sheet_info(self.plant, self.site, numbered, title=title, kind=kind, supplement=supplement, units="dB")
        return start_page(size, info)

    def supplement(self) -> str:
        """The cables of the site in one line."""
        through = [c for c, i, _ in stops_at(self.plant, self.site) if passes(c, i)]
        ending = [c for c, i, _ in stops_at(self.plant, self.site) if i == len(c.stops) - 1]
        starting = [c for c, i, _ in stops_at(self.plant, self.site) if i == 0]
        parts = [f"{c.name} passing" for c in through] + [f"{c.name} from the exchange" for c in ending]
        if len(starting) <= 2:
            parts += [f"{c.name} to the field" for c in starting]
        else:
            parts.append(f"{len(starting)} cables to the field")
        return ", ".join(parts)

    def foot(self, page: Page) -> tuple[float, float, list[Part]]:
        """(top and bottom of the drawing field, shapes of the caution strip, legend, colour key and count check)."""
        space, left = page.space, page.frame.x + style.PAD_TEXT
        strip = caution_strip(space.x, space.y, space.width, self.caution)
        looks = key_looks(self.plant, self.site)
        block = page.title_block_box
        floor = page.revision_box.y if page.revision_box else space.bottom + style.PAD_BOX
        parts: list[Part] = [strip.group]
        if page.beside is not None and block is not None:
            # The count check above the line, legend and key under it, all beside the revisions and the title block.
            beside = page.beside
            # On a narrow page the count check runs over the full width above the revisions.
            wide = beside.width if beside.width > 130.0 else page.frame.width - 2 * style.PAD_TEXT
            _, high = count_box(left, 0.0, wide, self.lines)
            signs, tall = legend_box(Box(left, block.y, beside.width, 0.0), self.mono, self.shown)
            line = min(floor, block.y - high - 1.5) if wide == beside.width else floor - high - 1.5
            counts, _ = count_box(left, line + 0.6, wide, self.lines)
            key, key_high = colour_key(left, block.y + tall - 0.8, beside.width, looks, self.mono)
            # Where the key has no room it gives way: every chip says its number and letters.
            key = key if tall + key_high <= block.height else []
        else:
            width = page.frame.width - 2 * style.PAD_TEXT
            _, high = count_box(left, 0.0, width, self.lines)
            _, key_high = colour_key(left, 0.0, width, looks if self.key else (), self.mono)
            _, tall = legend_box(Box(left, 0.0, width, 0.0), self.mono, self.shown)
            line = floor - high - key_high - tall - 2.0
            signs, _ = legend_box(Box(left, line + 0.6, width, 0.0), self.mono, self.shown)
            key, _ = colour_key(left, line + tall, width, looks if self.key else (), self.mono)
            counts, _ = count_box(left, line + tall + key_high + 0.6, width, self.lines)
        parts.append(Line(page.frame.x, line, page.frame.right, line, style.OUTLINE))
        return strip.box.bottom + 3.0, line - 3.0, [*parts, *signs, *key, *counts]

    @property
    def mono(self) -> bool:
        """Whether glass is drawn in patterns."""
        return self.options.mono

    def sheet(self, layout: Layout, number: int, count: int, columns: Columns) -> Drawing:
        """One page."""
        page = self.page(number, count)
        top, _, parts = self.foot(page)
        if not layout.placed:
            parts.append(Text(page.frame.x + 12.0, top + 12.0, "No cable stops here and nothing is joined."))
        desc = f"{page.info.title}. {self.supplement()}. {' '.join(self.lines)}"
        return finish(page, (*self.painted(layout, columns), *parts), desc=desc)

    def strip(self, folded: bool, opened: Collection[str]) -> tuple[Part, ...]:
        """Everything on one page without end."""
        layout = endless(self.table.blocks, folded, opened)
        rows = [row for placed in layout.placed for row, _ in (*placed.rows, *placed.back)]
        needs = self.words.needs(rows)
        # As narrow as nothing is left out, so that lettering is as large as it can be.
        wide = [lay_columns(0.0, float(width), needs) for width in range(*STRIP_WIDE, 4)]
        columns = next(c for c in wide if c is wide[-1] or (c.widths == wide[-1].widths and c.lanes >= STRIP_LANES))
        return self.painted(layout, columns, handles=True)

    def painted(self, layout: Layout, columns: Columns, *, handles: bool = False) -> tuple[Part, ...]:
        """The blocks of one page; ``handles``: ranges can be opened and folded at their marks."""
        ended = not any(passes(cable, index) for cable, index, _ in stops_at(self.plant, self.site))
        painter = Painter(self.words, columns, self.mono, layout.plain, ended, handles)
        title = self.trace_title()
        for index, field in enumerate(layout.fields):
            painter.field(field, index == 0)
        for one in layout.placed:
            row, y = one.rows[0]
            if one.block.state == "express":
                on_path = any((one.block.owner, n) in self.traced for n in row.bundle.numbers)
                painter.express(row, y, title if on_path else "")
            else:
                paint_block(painter, one, self.traced, title)
        self.bars(painter, layout.placed)
        self.end_bars(painter)
        return painter.parts()

    def bars(self, painter: Painter, placed: Sequence[Placed]) -> None:
        """Bars of sheath beside the runs of blocks that hang on them."""
        runs: list[list[Placed]] = []
        owner = ""
        for one in placed:
            before, owner = owner, one.block.owner if one.block.kind == "cable" else ""
            if owner and owner == before:
                runs[-1].append(one)
            elif owner:
                runs.append([one])
        for run in runs:
            cable = self.plant.cables[run[0].block.owner]
            top, bottom = run[0].top, run[-1].bottom
            side = ">" if run[0].block.state == "starts" else "<"
            at, ref = painter.at, cable_ref(cable.id)
            painter.sheath(at.bar_left, top, bottom, self.words.bar(cable, side), ref)
            if self.passing(cable):
                painter.sheath(at.bar_right, top, bottom, self.words.bar(cable, ">"), ref)

    def end_bars(self, painter: Painter) -> None:
        """Bars at the right for the runs of rows whose glass leads into one field cable."""
        runs: list[tuple[str, float, float]] = []
        for owner, y in sorted(painter.ends, key=lambda item: item[1]):
            if runs and runs[-1][0] == owner:
                runs[-1] = (owner, runs[-1][1], y)
            else:
                runs.append((owner, y, y))
        for owner, first, last in runs:
            names = self.words.bar(self.plant.cables[owner], ">")
            painter.sheath(painter.at.bar_right, first - 3.4, last + 3.4, names, cable_ref(owner))

    def passing(self, cable: Cable) -> bool:
        """Whether a cable passes the site."""
        return any(stop.site == self.site and passes(cable, i) for i, stop in enumerate(cable.stops))

    def on_path(self) -> frozenset[str | tuple[str, int]]:
        """Nodes of the traced path, and (cable, fibre) for the glass that carries it through here uncut."""
        if self.path is None:
            return frozenset()
        found: set[str | tuple[str, int]] = set(self.path.nodes)
        for step in self.path.steps:
            if isinstance(step.by, Piece):
                stops = self.plant.cables[step.by.cable].stops[step.by.first + 1 : step.by.last]
                if any(stop.site == self.site for stop in stops):
                    found.add((step.by.cable, step.by.fibre))
        return frozenset(found)

    def trace_title(self) -> str:
        """ "TRACE S-4103": the service at the end of the traced path, or the node it was asked for by."""
        if self.path is None:
            return ""
        ends = {self.path.field, self.path.exchange, self.options.trace}
        for service in self.plant.services.values():
            if f"{service.at}/front" in ends or f"{service.at}/rear" in ends:
                return f"TRACE {service.name}"
        return "TRACE"
