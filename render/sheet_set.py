"""Which sheets a request means: one sheet, or all of a site's, numbered as one set and named for their files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from model.errors import PlantError, RefError
from model.graph import Continuity, end_node
from model.lookup import enclosure_at, trays_of
from model.nodes import node_of
from model.optics.loss import WAVELENGTHS_NM
from model.plant import Plant
from model.refs import ServiceRef, TrayRef, parse_ref
from model.trace import services_by_node
from render.drawing import Drawing
from render.outfiles import file_name, unique
from render.page import page_size
from render.sheets.layout import layout_sheets
from render.sheets.options import Options
from render.sheets.path import path_sheets
from render.sheets.splices import splice_sheets
from render.sheets.tray import tray_map


@dataclass(frozen=True, slots=True)
class Request:
    """What a person asked to be drawn; empty fields leave the choice to the sheet.

    ``site`` is an id; it may be empty where ``ref`` alone says what is drawn.
    """

    sheet: str
    site: str
    ref: str = ""
    page: str = ""
    orientation: Literal["", "portrait", "landscape"] | str = ""
    printed_on: str = ""
    mono: bool = False
    trace: str = ""
    waves: tuple[int, ...] = WAVELENGTHS_NM


SETTLES = 6
"""How often a set is drawn at most until its page count stands."""
Maker = Callable[[Options], list[Drawing]]


def drawings(plant: Plant, request: Request, stem: str = "") -> list[tuple[str, Drawing]]:
    """(file name without ending, drawing) of every page asked for, numbered sheet x of y over the whole set.

    Raises PlantError for a page size, reference or site that cannot be.
    """
    if request.page:
        page_size(request.page)
    if request.ref and request.sheet not in ("tray", "path"):
        raise RefError(
            f"a {request.sheet} sheet takes no --ref", hint="Narrow it with --site, or mark a path with --trace"
        )
    continuity = Continuity(plant)
    underlay = node_of(continuity, request.trace) if request.trace else ""
    base = Options(
        page=request.page,
        orientation=request.orientation,  # type: ignore[arg-type]  # the command line offers no other
        printed_on=request.printed_on,
        mono=request.mono,
        trace=underlay,
        waves=request.waves,
    )
    makers = _makers(plant, continuity, request)
    names = unique(stem or file_name(name) for name, _ in makers)
    # The number of all sheets stands on each of them, and sheet 1 alone has the revisions: draw until it comes true.
    counts = [1] * len(makers)
    for _ in range(SETTLES):
        made = _numbered(makers, names, counts, base)
        drawn = [len(pages) for pages in made]
        if drawn == counts:
            pages = [page for sheet in made for page in sheet]
            return list(zip(unique(name for name, _ in pages), (page for _, page in pages), strict=True))
        counts = drawn
    raise PlantError("the number of pages does not settle", hint="Choose another page size")


def _numbered(
    makers: Sequence[tuple[str, Maker]], names: Sequence[str], counts: Sequence[int], base: Options
) -> list[list[tuple[str, Drawing]]]:
    """The pages of every sheet with their names, numbered as if each had as many pages as ``counts`` says."""
    made: list[list[tuple[str, Drawing]]] = []
    first = 1
    for (_, make), name, count in zip(makers, names, counts, strict=True):
        pages = make(replace(base, sheet=first, sheets=sum(counts), file=f"{name}.svg", first=first))
        made.append([(name if index == 1 else f"{name}-{index}", page) for index, page in enumerate(pages, start=1)])
        first += count
    return made


def _makers(plant: Plant, continuity: Continuity, request: Request) -> list[tuple[str, Maker]]:
    site = request.site
    if request.sheet == "path":
        return [(label, partial(_one_path, plant, node, continuity)) for label, node in _paths(continuity, request)]
    if request.sheet == "tray":
        return [(_tray_label(plant, tray), partial(_one_tray, plant, tray)) for tray in _trays(plant, request)]
    if request.sheet in ("layout", "all") and enclosure_at(plant, site) is None:
        raise PlantError(f"{plant.sites[site].name} has no enclosure", hint="Name a site that has one with --site")
    layout: tuple[str, Maker] = ("layout", lambda options: layout_sheets(plant, site, options))
    splices: tuple[str, Maker] = ("splices", lambda options: splice_sheets(plant, site, options))
    if request.sheet != "all":
        return [layout if request.sheet == "layout" else splices]
    return [
        layout,
        splices,
        *((_tray_label(plant, tray), partial(_one_tray, plant, tray)) for tray in _trays(plant, request)),
        *((label, partial(_one_path, plant, node, continuity)) for label, node in _paths(continuity, request)),
    ]


def _tray_label(plant: Plant, tray: str) -> str:
    return f"tray-{plant.trays[tray].name}"


def _one_tray(plant: Plant, tray: str, options: Options) -> list[Drawing]:
    return [tray_map(plant, tray, options)]


def _one_path(plant: Plant, node: str, continuity: Continuity, options: Options) -> list[Drawing]:
    return path_sheets(plant, node, options, continuity)


def _trays(plant: Plant, request: Request) -> list[str]:
    """The tray named, or those of the site's enclosure that hold anything (all when none does)."""
    if request.sheet == "tray" and request.ref:
        ref = parse_ref(plant, request.ref)
        if not isinstance(ref, TrayRef):
            raise RefError(f"{request.ref!r} is no tray", hint="Name it as SITE/TRAY")
        if request.site and plant.enclosures[plant.trays[ref.tray].enclosure].site != request.site:
            name = plant.sites[request.site].name
            raise RefError(f"{request.ref!r} is not at {name}", hint="Say --site or --ref, not both")
        return [ref.tray]
    site = request.site
    enclosure = enclosure_at(plant, site)
    trays = trays_of(plant, enclosure.id) if enclosure else []
    if not trays and request.sheet == "tray":
        raise PlantError(f"{plant.sites[site].name} has no tray", hint="Name another site with --site")
    held = {splice.tray for splice in plant.splices.values()}
    held |= {record.tray for cable in plant.cables.values() for stop in cable.stops for record in stop.stored}
    return [tray.id for tray in trays if tray.id in held] or [tray.id for tray in trays[:1]]


def _paths(continuity: Continuity, request: Request) -> list[tuple[str, str]]:
    """(label, node) of the path named, or of the first service joined at the site."""
    if request.ref and request.sheet == "path":
        ref = parse_ref(continuity.plant, request.ref)
        return [("path", ref.service if isinstance(ref, ServiceRef) else node_of(continuity, request.ref))]
    plant = continuity.plant
    carried = services_by_node(continuity)
    joined = [s for s in plant.splices.values() if s.site == request.site]
    for splice in sorted(joined, key=lambda s: (s.slot or 0, s.id)):
        for service in carried.get(end_node(splice.a), ()):
            return [("path", service)]
    if request.sheet == "path":
        raise RefError(
            "no service is joined here, so no path is chosen",
            hint="Name a fibre or a service: --ref CABLE:FIBRE or --ref service:NAME",
        )
    return []
