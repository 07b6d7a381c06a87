"""Where everything of a tray map stands: page, scale, tray, table, and how its rows are lettered.

The largest scale of ISO 5455 that fits wins, up to 1:1; on it the fullest table, below the tray or to its right.
Page millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from model.errors import PlantError
from model.lookup import enclosure_type
from render.blocks import CAUTION_HEIGHT, Block, caution_strip
from render.box import Box
from render.dims import SCALES, Scale
from render.page import Page, PageSize, page_size, start_page
from render.sheets.options import Options, sheet_info
from render.sheets.tray_facts import Facts
from render.sheets.tray_rows import FAN_GAP, FAN_PITCH, FAN_WIDTH, in_rows
from render.sheets.tray_scene import Place
from render.sheets.tray_table import Halves, halves
from render.sheets.tray_words import cautions
from render.targets import TAG_HEIGHT

GAP = 2.0
TAG_DROP = 3.0  # least run of a leader from a corner tag down to the tray
BAR_HIGH = 6.0
FIGURES_HIGH = 5.0  # a line of figures below the scale bar where it has no room beside it
STRIP = 12.0  # room wished below the tray for callouts

Letters = Literal["rows", "fan", "none"]
"""Labels in the rows, beside the tray with leaders, or in the table only."""


@dataclass(frozen=True, slots=True)
class Stage:
    """Where the tray itself stands, the ground for what is said about it, and how its rows are lettered."""

    place: Place
    field: Box
    tags: Box
    letters: Letters


@dataclass(frozen=True, slots=True)
class Plan:
    """Where everything stands on one page."""

    page: Page
    scale: Scale
    place: Place
    field: Box
    """Ground for the callouts, the tray in it."""
    caution: Block | None
    tags: Box
    """The band for the tags of the corners."""
    bar: tuple[float, float]
    table: Halves
    table_at: tuple[float, float]
    right: float
    letters: Letters

    @property
    def stage(self) -> Stage:
        """The part of it that is not page, table or figures."""
        return Stage(self.place, self.field, self.tags, self.letters)


def _sizes(options: Options) -> list[PageSize]:
    if not options.page:
        return [page_size("A4", options.orientation or "portrait"), page_size("A3", options.orientation or "portrait")]
    if options.orientation:
        return [page_size(options.page, options.orientation)]
    return [page_size(options.page, "portrait"), page_size(options.page, "landscape")]


def plan_for(facts: Facts, options: Options) -> Plan:
    """The largest scale that fits, on the first page that takes it, with the fullest table.

    Raises PlantError for a card, which has no title block, or where nothing fits.
    """
    if options.page.strip().upper() == "A5":
        raise PlantError("a tray map does not fit a card", where="page", hint="Use A4, Letter or larger")
    for scale in (scale for scale in SCALES if scale.factor <= 1):
        for size in _sizes(options):
            for folded, revised in ((False, True), (True, True), (True, False)):
                for plan in _arranged(facts, options, size, scale, folded, revised):
                    if plan is not None:
                        return plan
    raise PlantError(
        f"tray {facts.tray.name} and its table fit no page of size {options.page or 'A3'}", hint="Use a larger page"
    )


def _page(facts: Facts, options: Options, size: PageSize, scale: Scale, revised: bool) -> Page:
    plant, tray = facts.plant, facts.tray
    enclosure = plant.enclosures[tray.enclosure]
    trays = len(enclosure_type(plant, enclosure).tray_positions)
    of = f" of {trays}" if trays else ""
    info = sheet_info(
        plant,
        enclosure.site,
        options,
        title=f"Tray map, {enclosure.name} / {tray.name}",
        kind="Tray map",
        supplement=f"Tray {tray.position}{of}, seen from above",
        scale=str(scale),
    )
    return start_page(size, info if revised else replace(info, revisions=()))


def _arranged(
    facts: Facts, options: Options, size: PageSize, scale: Scale, folded: bool, revised: bool
) -> Iterator[Plan | None]:
    """The plan with the table below the tray, then with the table to its right."""
    page = _page(facts, options, size, scale, revised)
    space, s = page.space, scale.factor
    if page.revision_box is not None and page.revision_box.y < space.bottom:
        space = space._replace(height=page.revision_box.y - GAP - space.y)
    warned = cautions(facts)
    caution = caution_strip(space.x, space.y, space.width, warned) if warned else None
    top = space.y + (max(caution.height, CAUTION_HEIGHT) + GAP if caution else 0.0)
    tags = Box(space.x, top, space.width, TAG_HEIGHT)
    tray_top = tags.bottom + TAG_DROP if facts.entries else top
    wide, high = facts.kind.width_mm * s, facts.kind.height_mm * s
    gutters = 0.0 if in_rows(facts, s) else 2 * (FAN_WIDTH + FAN_GAP)
    floor = tray_top + high + GAP + BAR_HIGH + GAP
    below = Box(space.x, floor, space.width, space.bottom - floor)
    table = halves(facts, below, folded) if wide + gutters <= space.width else None
    if table is not None:
        y = space.bottom - table.height
        bar = y - GAP - BAR_HIGH
        # Room left over goes to the callouts below the tray first.
        rest = bar - GAP - tray_top - high
        if facts.entries and not folded and rest < STRIP:
            yield None  # rather one line for all spare slots than callouts without room
            return
        tray_y = tray_top + max(rest - STRIP, 0.0) / 2
        place = Place(space.x + (space.width - wide) / 2, tray_y, s)
        tags = tags._replace(y=tray_y - TAG_DROP - TAG_HEIGHT)
        field = Box(space.x, tray_top, space.width, bar - GAP - tray_top)
        yield Plan(
            page,
            scale,
            place,
            field,
            caution,
            tags,
            (space.x + 1, bar),
            table,
            (space.x, y),
            space.right,
            _letters(facts, s, field.bottom - place.y),
        )
    left_width = max(wide + gutters, 120.0)
    beside = Box(space.x + left_width + 8.0, tray_top, space.width - left_width - 8.0, space.bottom - tray_top)
    if beside.width < 70.0 or floor + FIGURES_HIGH > space.bottom:
        yield None
        return
    table = halves(facts, beside, folded)
    if table is None:
        yield None
        return
    table_x = space.right - len(table.runs) * table.width - (len(table.runs) - 1) * 4.0
    left = Box(space.x, tray_top, table_x - 8.0 - space.x, space.bottom - tray_top)
    strip = min(left.height - high - BAR_HIGH - FIGURES_HIGH - GAP, 4 * STRIP)
    tags = Box(space.x, top, left.width, TAG_HEIGHT)
    place = Place(left.x + (left.width - wide) / 2, tray_top, s)
    field = Box(left.x, left.y, left.width, high + strip)
    bar_at = (space.x + 1, field.bottom + GAP)
    yield Plan(
        page,
        scale,
        place,
        field,
        caution,
        tags,
        bar_at,
        table,
        (table_x, tray_top),
        left.right,
        _letters(facts, s, field.bottom - place.y),
    )


def _letters(facts: Facts, scale: float, room: float) -> Letters:
    """In the rows where they lie far enough apart, else beside the tray where the used rows find room there."""
    if in_rows(facts, scale):
        return "rows"
    used = sum(1 for row in facts.rows if row.splices)
    return "fan" if used * FAN_PITCH + 4.0 <= room else "none"
