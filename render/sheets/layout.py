"""The layout sheet of one enclosure, to scale: what is where, what is cut, how tight every bend is, how long to strip.

Order on paper: caution strip, the box with its labels, tables beside or below, legend and colour key, title block. A
site with several enclosures shows the first by name. The same plant, site and options give the same drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from model.errors import PlantError
from model.plant import Plant
from render.blocks import caution_strip
from render.box import Box
from render.dims import scale_bar
from render.drawing import Drawing, Group, Part
from render.labels import Field, place_labels
from render.leaders import draw_labels
from render.legend import colour_key, legend, notes_list
from render.page import Page, finish, page_size, start_page
from render.sheets import layout_courses as courses
from render.sheets import layout_entries as entries
from render.sheets import layout_hardware as hardware
from render.sheets import layout_keys as keys
from render.sheets import layout_outside as outside
from render.sheets import layout_tables as tables
from render.sheets import layout_tags as tags
from render.sheets import layout_words as words
from render.sheets.layout_fit import Fit, fit, smaller
from render.sheets.layout_flow import Item, columns_of, pour, table_item
from render.sheets.layout_mono import without_colour
from render.sheets.layout_scene import Scene, Taken, gather
from render.sheets.layout_targets import targets
from render.sheets.layout_trace import glow, traced_routes, underlay
from render.sheets.options import Options, sheet_info

KIND = "Layout drawing"
LONGEST_TOP_LEG = 50.0
WIDE_PAGES = ("A3", "Tabloid")
WIDE_BAND = 150.0  # a band beside the title block at least this wide holds legend and colour key


def layout(plant: Plant, site_id: str, options: Options | None = None) -> Drawing:
    """The first sheet: the box to scale with all tables that fit.

    Raises PlantError for an unknown site, one without an enclosure, an unknown page size, or a box that fits no page.
    """
    return layout_sheets(plant, site_id, options)[0]


def layout_sheets(plant: Plant, site_id: str, options: Options | None = None) -> list[Drawing]:
    """All sheets: the drawing, and further ones for tables that found no room on it; raises as ``layout``."""
    options = options or Options()
    scene = gather(plant, site_id)
    page = _page(scene, options, "", 0, 1)
    strip = caution_strip(page.space.x, page.space.y, page.space.width, words.caution(scene))
    placed = fit(scene, page, strip.box.bottom + 3.0, _first_need(scene))
    drawn = _with_tables(scene, placed, page, options)
    shrunk = smaller(scene, page, strip.box.bottom + 3.0, placed) if drawn.over else None
    if shrunk is not None:
        # A drawing one scale smaller is better than a second sheet with a few lines on it, if it shows as much.
        again = _with_tables(scene, shrunk, page, options)
        as_true = courses.true_width(scene, shrunk.view) or not courses.true_width(scene, placed.view)
        if as_true and not again.over and len(again.unnamed) <= len(drawn.unnamed):
            placed, drawn = shrunk, again
    parts, blocks, over = drawn.parts, drawn.blocks, drawn.over
    further: list[list[Part]] = []
    while over:
        more = _page(scene, options, str(placed.view.scale), 1, 2)
        poured, rest = pour(over, columns_of(more.space), split=True)
        if not poured:
            raise PlantError(
                "a table or note does not fit an empty sheet", where=more.size.name, hint="Use a larger page"
            )
        further.append(poured)
        over = rest
    count = 1 + len(further)
    first = _page(scene, options, str(placed.view.scale), 0, count)
    key_parts = _keys(scene, placed, page, options) if page.beside else []
    sheets = [finish(first, (strip.group, *parts, *blocks, *key_parts), desc=_desc(scene))]
    for index, poured in enumerate(further, start=1):
        more = _page(scene, options, str(placed.view.scale), index, count)
        sheets.append(finish(more, tuple(poured), desc=f"Tables of {scene.enclosure.name}"))
    return [replace(one, parts=without_colour(one.parts)) for one in sheets] if options.mono else sheets


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The drawing, the tables and notes on its sheet, those that found no room, and the labels that did not."""

    parts: list[Part]
    blocks: list[Part]
    over: list[Item]
    unnamed: list[str]


def _with_tables(scene: Scene, placed: Fit, page: Page, options: Options) -> _Drawn:
    parts, unnamed = _drawing(scene, placed, options)
    blocks, over = _first(_items(scene, placed, page, unnamed, options), placed, page)
    return _Drawn(parts, blocks, over, unnamed)


def _first_need(scene: Scene) -> float:
    """Height that the table of what is cut needs in a column 108 wide, mm."""
    if not scene.passing:
        return 0.0
    cable, kind, stop = scene.passing[0]
    item = table_item(tables.cut_table(scene, cable, kind, stop, 108.0), words.count_check(scene, cable, kind, stop))
    return item.draw(0.0, 0.0, 108.0).box.height


def _page(scene: Scene, options: Options, scale: str, index: int, count: int) -> Page:
    """A page of the set; the first carries the revisions, ``index`` counts from 0."""
    name = options.page or "A3"
    wide = name.strip().upper() in {w.upper() for w in WIDE_PAGES}
    turned = options.orientation or ("landscape" if wide else "portrait")
    numbered = replace(
        options,
        sheet=options.sheet + index,
        sheets=max(options.sheets, options.sheet + count - 1) if count > 1 else options.sheets,
    )
    place = scene.plant.sites[scene.enclosure.site]
    supplement = place.place or scene.enclosure.location
    name_of_sheet = "Layout tables" if index else "Enclosure layout"
    seen = " from the front, open" if scene.kind.kind != "in-line" else " from above, open"
    info = sheet_info(
        scene.plant,
        scene.site,
        numbered,
        title=f"{name_of_sheet}, {scene.enclosure.name}",
        kind=KIND,
        supplement=f"{supplement}{', ' if supplement else ''}seen{seen}",
        scale="no scale" if index else scale,
    )
    return start_page(page_size(name, turned), info)


def _drawing(scene: Scene, placed: Fit, options: Options) -> tuple[list[Part], list[str]]:
    """The box with everything in, on and beside it; also the labels that found no place, in words."""
    view = placed.view
    taken = Taken()
    inside = view.box(0, 0, scene.kind.width_mm, scene.kind.height_mm)
    coloured, plain = tags.split_express(scene, view)
    ribbons = {route: width for run in plain for route, width in courses.as_ribbon(run).items()}
    top: list[Part] = hardware.tray_titles(scene, view, taken)
    for run, rows in coloured:
        top += tags.hub_chips(view, run, rows, taken)
    for run in scene.express:
        top += tags.loud_tags(view, run, taken, inside)
    in_hub = {item.route.id for run, _ in coloured for item in run.routes}
    named = [
        i for i in scene.drawn if i.route.kind == "tube" and i.route.id not in in_hub and i.route.id not in ribbons
    ]
    chips, missing = tags.course_chips(scene, view, named, taken, inside)
    for item in named:
        if item.route.id in missing:
            ribbons[item.route.id] = 2.5
    top += chips
    top += tags.slashes(view, scene.drawn, courses.transports(scene), taken, inside)
    around = outside.outside_parts(scene, view, placed.outside, taken)
    around += outside.dimensions(scene, view, placed.outside.depth["bottom"], taken)
    bar = scale_bar(*placed.bar, view.scale, max_width=placed.bar_width)
    taken.take(bar.box)
    traced = traced_routes(scene, options.trace)
    parts: list[Part] = [
        *hardware.housing(scene, view),
        *hardware.bays(scene, view),
        *entries.rails(scene, view),
        *hardware.trays(scene, view),
        *entries.bond(scene, view),
        *entries.rods(scene, view),
        *entries.sheaths(scene, view, placed.outside.stubs),
        *underlay(view, traced, options.mono),
        *courses.glass(scene, view, ribbons, options.mono, {item.route.id for item in traced}, glow(options.mono)),
        *entries.ties(scene, view),
        *entries.fittings(scene, view),
        *top,
        *around,
        bar.group,
    ]
    gutters = {"left": placed.left.width, "right": placed.right.width}
    found = targets(scene, view, gutters)
    placement = place_labels(found, Field(placed.left, placed.right, placed.top, tuple(taken.boxes)))
    # A leg from the band above across the whole box would confuse more than a note does.
    shown = [one for one in placement.placed if one.place != "top" or one.leg.length <= LONGEST_TOP_LEG]
    parts.append(draw_labels(shown))
    kept = {one.target.key for one in shown}
    return [Group(tuple(parts), role="layout")], [one.tag_text for one in found if one.key not in kept]


def _items(scene: Scene, placed: Fit, page: Page, unplaced: Sequence[str], options: Options) -> list[Item]:
    """Tables, notes and keys in order of importance."""
    items = [
        table_item(tables.cut_table(scene, cable, kind, stop, 108.0), words.count_check(scene, cable, kind, stop))
        for cable, kind, stop in scene.passing
    ]
    lengths = tables.lengths_table(scene, 108.0)
    if lengths.rows:
        items.append(table_item(lengths))
    if scene.kind.entries:
        items.append(table_item(tables.entries_table(scene, 108.0)))
    _, plain = tags.split_express(scene, placed.view)
    lines = words.notes(
        scene, true_width=courses.true_width(scene, placed.view), ribbons=bool(plain), faults=courses.faults(scene)
    )
    lines += [f"No room for a label: {text}." for text in unplaced]
    items.append(Item(lambda x, y, width: notes_list(x, y, width, lines)))
    if page.beside is None or page.beside.width < WIDE_BAND:
        items += _key_items(scene, bool(plain), options.mono, colours=page.beside is None)
    return items


def _key_items(scene: Scene, plain: bool, mono: bool, *, colours: bool) -> list[Item]:
    signs = keys.entries(scene, mono, plain)
    chips, footnotes = keys.colours(scene)
    half = -(-len(signs) // 2)
    found = [Item(lambda x, y, width: legend(x, y, width, signs, rows=half if width >= 100.0 else len(signs)))]
    if chips and colours:
        found.append(
            Item(
                lambda x, y, width: colour_key(
                    x,
                    y,
                    width,
                    chips,
                    columns=max(2, int(width / 28)),
                    footnotes=footnotes,
                    title="COLOUR KEY: number, two letters",
                )
            )
        )
    return found


def _first(items: list[Item], placed: Fit, page: Page) -> tuple[list[Part], list[Item]]:
    """Pour the items into what the first sheet has left: its column, then the room under the drawing."""
    boxes = list(placed.columns)
    if placed.below is not None:
        boxes += columns_of(placed.below)
    return pour(items, boxes, split=False) if boxes else ([], items)


def _keys(scene: Scene, placed: Fit, page: Page, options: Options) -> list[Part]:
    """Legend and colour key in the band beside the title block."""
    box = page.beside
    if box is None:
        return []
    _, plain = tags.split_express(scene, placed.view)
    signs = keys.entries(scene, options.mono, bool(plain), bool(options.trace))
    chips, footnotes = keys.colours(scene)
    if box.width < WIDE_BAND:
        if not chips:
            return []
        title = "COLOUR KEY: number, two letters"
        return [colour_key(box.x, box.y, box.width, chips, columns=3, footnotes=footnotes, title=title).group]
    first = legend(box.x, box.y, 0.55 * box.width, signs[:10], rows=5)
    x = first.box.right + 6.0
    second = Box(x, box.y, box.right - x, box.height)
    parts: list[Part] = [first.group]
    if chips:
        columns = max(2, int(second.width / 28))
        parts.append(colour_key(*second[:3], chips, columns=columns, footnotes=footnotes).group)
    return parts


def _desc(scene: Scene) -> str:
    """The sheet in one sentence, for readers who hear it."""
    cables = ", ".join(cable.name for cable, _, _ in scene.passing) or "no passing cable"
    return f"{scene.kind.title} at {scene.site_name(scene.site)}, to scale, with {cables} and {len(scene.drops)} drops"
