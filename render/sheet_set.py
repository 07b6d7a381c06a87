"""Which sheets a request means: one sheet, or all of a site's, numbered as one set and named for their files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from model.errors import PlantError, RefError
from model.graph import Continuity, end_node
from model.lookup import enclosure_at, trays_of
from model.nodes import node_of
from model.plant import Plant
from model.refs import ServiceRef, TrayRef, parse_ref
from model.trace import services_by_node
from render.drawing import Drawing
from render.page import page_size
from render.sheets.layout import layout_sheets
from render.sheets.options import Options
from render.sheets.path import path_sheets
from render.sheets.splices import splice_sheets
from render.sheets.tray import tray_map


@dataclass(frozen=True, slots=True)
class Request:
    """What a person asked to be drawn; empty fields leave the choice to the sheet."""

    sheet: str
    site: str
    ref: str = ""
    page: str = ""
    orientation: Literal["", "portrait", "landscape"] | str = ""
    printed_on: str = ""
    mono: bool = False
    trace: str = ""


Maker = Callable[[Options], list[Drawing]]


def drawings(plant: Plant, request: Request, stem: str = "") -> list[tuple[str, Drawing]]:
    """(file name without ending, drawing) of every page asked for, numbered sheet x of y over the whole set.

    Raises PlantError for a page size, reference or site that cannot be.
    """
    if request.page:
        page_size(request.page)
    continuity = Continuity(plant)
    underlay = node_of(continuity, request.trace) if request.trace else ""
    base = Options(
        page=request.page,
        orientation=request.orientation,  # type: ignore[arg-type]  # the command line offers no other
        printed_on=request.printed_on,
        mono=request.mono,
        trace=underlay,
    )
    makers = _makers(plant, continuity, request)
    # A first pass counts the pages: the number of sheets stands on each of them.
    counts = [len(make(base)) for _, make in makers]
    total = sum(counts)
    made: list[tuple[str, Drawing]] = []
    for (name, make), count in zip(makers, counts, strict=True):
        names = [stem or name] + [f"{stem or name}-{i}" for i in range(2, count + 1)]
        first = len(made) + 1
        options = replace(base, sheet=first, sheets=total, file=f"{names[0]}.svg")
        made += zip(names, make(options), strict=True)
    return made


def _makers(plant: Plant, continuity: Continuity, request: Request) -> list[tuple[str, Maker]]:
    site = request.site
    sheets: list[tuple[str, Maker]] = []
    enclosure = enclosure_at(plant, site)
    name = plant.sites[site].name
    if request.sheet in ("layout", "all"):
        if enclosure is None:
            raise PlantError(f"{name} has no enclosure", hint="Name a site that has one with --site")
        sheets.append(("layout", lambda options: layout_sheets(plant, site, options)))
    if request.sheet in ("splices", "all"):
        sheets.append(("splices", lambda options: splice_sheets(plant, site, options)))
    if request.sheet in ("tray", "all"):
        sheets += [
            (f"tray-{plant.trays[tray].name}", partial(_one_tray, plant, tray)) for tray in _trays(plant, request, site)
        ]
    if request.sheet in ("path", "all"):
        sheets += [
            (label, partial(_one_path, plant, node, continuity)) for label, node in _paths(continuity, request, site)
        ]
    return sheets


def _one_tray(plant: Plant, tray: str, options: Options) -> list[Drawing]:
    return [tray_map(plant, tray, options)]


def _one_path(plant: Plant, node: str, continuity: Continuity, options: Options) -> list[Drawing]:
    return path_sheets(plant, node, options, continuity)


def _trays(plant: Plant, request: Request, site: str) -> list[str]:
    """The tray named, or those of the site's enclosure that hold anything (all when none does)."""
    if request.sheet == "tray" and request.ref:
        ref = parse_ref(plant, request.ref)
        if not isinstance(ref, TrayRef):
            raise RefError(f"{request.ref!r} is no tray", hint="Say SITE/TRAY")
        return [ref.tray]
    enclosure = enclosure_at(plant, site)
    trays = trays_of(plant, enclosure.id) if enclosure else []
    if not trays and request.sheet == "tray":
        raise PlantError(f"{plant.sites[site].name} has no tray", hint="Name another site with --site")
    held = {splice.tray for splice in plant.splices.values()}
    held |= {record.tray for cable in plant.cables.values() for stop in cable.stops for record in stop.stored}
    return [tray.id for tray in trays if tray.id in held] or [tray.id for tray in trays[:1]]


def _paths(continuity: Continuity, request: Request, site: str) -> list[tuple[str, str]]:
    """(label, node) of the path named, or of the first service joined at the site."""
    if request.ref and request.sheet == "path":
        ref = parse_ref(continuity.plant, request.ref)
        return [("path", ref.service if isinstance(ref, ServiceRef) else node_of(continuity, request.ref))]
    plant = continuity.plant
    carried = services_by_node(continuity)
    joined = [s for s in plant.splices.values() if s.site == site]
    for splice in sorted(joined, key=lambda s: (s.slot or 0, s.id)):
        for service in carried.get(end_node(splice.a), ()):
            return [("path", service)]
    if request.sheet == "path":
        raise RefError("which path?", hint="Name a fibre or a service: --ref CABLE:FIBRE or --ref service:NAME")
    return []
