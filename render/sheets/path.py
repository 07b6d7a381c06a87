"""The path of one fibre or service on a sheet: its places in a strip, loss against distance, and the running loss.

The exchange stands at the left. A path of more places than fit a row first folds the runs passed uncut, then takes
more rows, then more sheets; lettering never shrinks. Millimetres on paper; the path is traced, never stored.
"""

from __future__ import annotations

from dataclasses import replace

from model.errors import PlantError
from model.graph import Continuity
from model.ids import ServiceId
from model.lookup import cable_type, service_name
from model.plant import Plant
from model.trace import Trace
from render import style
from render.drawing import Drawing, Group, Part, Text
from render.hops import PathDescription, describe
from render.hopwords import short_words
from render.page import finish
from render.sheets.options import Options, sheet_info
from render.sheets.path_flow import Flow, lay_numbers
from render.sheets.path_strip import draw_row, rows_of
from render.sheets.path_table import Verdict, notes, verdict
from render.sheets.path_way import Way, fold, way_of
from render.text import fits, shorten, wrap
from render.traced import traced_path

ROW_GAP = 4.0


def path_sheet(plant: Plant, node_or_service: str, options: Options, continuity: Continuity | None = None) -> Drawing:
    """The path sheet in one drawing: A4 landscape, or A3 landscape when A4 does not hold it and no size is asked for.

    When even that takes several sheets this is the first of ``path_sheets``, which says so. Raises PlantError for a
    name that is neither a service nor a node of the continuity graph.
    """
    known = continuity or Continuity(plant)
    drawings: list[Drawing] = []
    for name in (options.page,) if options.page else ("A4", "A3"):
        drawings = path_sheets(plant, node_or_service, replace(options, page=name), known)
        if len(drawings) == 1:
            break
    return drawings[0]


def path_sheets(
    plant: Plant, node_or_service: str, options: Options, continuity: Continuity | None = None
) -> list[Drawing]:
    """As many sheets as the path takes on the paper asked for (A4 landscape by default)."""
    known = continuity or Continuity(plant)
    traced, service = traced_path(known, node_or_service)
    if len(options.waves) > len(style.CURVES):
        most = f"At most {len(style.CURVES)} on one sheet"
        raise PlantError(f"{len(options.waves)} wavelengths are too many to plot", where="path sheet", hint=most)
    path = describe(known, traced, options.waves)
    carried = service or _service_at(plant, traced)
    judged = verdict(known, path, carried, traced.exchange.rpartition("/")[0])
    name = service_name(plant, service) if service else short_words(plant, traced.start)
    short = plant.services[ServiceId(service)].name if service else short_words(plant, traced.start)
    whole = way_of(plant, path)
    pages = 1
    for _ in range(3):  # the number of sheets stands on each, so it is laid until it no longer changes
        drawings = _lay(plant, path, whole, judged, (name, short), _numbered(options, pages), pages)
        if len(drawings) == pages:
            break
        pages = len(drawings)
    return drawings


def _numbered(options: Options, pages: int) -> Options:
    return replace(options, page=options.page or "A4", sheets=max(options.sheets, options.sheet + pages - 1))


def _service_at(plant: Plant, traced: Trace) -> str:
    """The one service not ceased at the port where the path ends in the field; empty for none or several."""
    port = traced.field.rpartition("/")[0]
    found = [s.id for s in plant.services.values() if s.at == port and s.status != "ceased"]
    return found[0] if len(found) == 1 and traced.field_kind == "port" else ""


def _lay(
    plant: Plant,
    path: PathDescription,
    whole: Way,
    judged: Verdict,
    names: tuple[str, str],
    options: Options,
    pages: int,
) -> list[Drawing]:
    site = next((s.site_id for s in reversed(whole.stations[:-1]) if s.hops), whole.stations[0].site_id)
    title = f"Path of {names[1]}"
    supplement = f"Exchange to field, one fibre, {len(path.loss_db)} wavelengths"
    info = sheet_info(
        plant, site, options, title=title, kind="Path sheet", units="m, dB", suffix="-P",
        supplement=supplement if fits(title, 91.0, style.H_TITLE, "bold") else "",
    )  # fmt: skip
    info = replace(info, colour_code=_colour_line(plant, path))
    flow = Flow(options.page, options.orientation, info, whole, options.mono, options.waves)
    flow.turn()
    width = flow.space.width
    way = whole if len(rows_of(whole, width)) == 1 else fold(whole)
    rows = rows_of(way, width)
    _head(flow, names[0], path, len(rows), pages)
    for row in rows:
        block = draw_row(plant, way, row, flow.space.x, flow.y, width, options.mono)
        if block.height > flow.left and flow.y > flow.space.y:
            flow.turn()
            block = draw_row(plant, way, row, flow.space.x, flow.y, width, options.mono)
        flow.parts.append(block.group)
        flow.y += block.height + ROW_GAP
    shown = whole if len(whole.stations) <= len(way.stations) + 8 else way
    lay_numbers(flow, path, shown, judged, notes(plant, path, judged))
    desc = f"Light path from {path.ends[1]} to {path.ends[0]} over {len(whole.stations)} places."
    return [finish(page, tuple(parts), desc=desc) for page, parts in flow.pages]


def _head(flow: Flow, name: str, path: PathDescription, rows: int, pages: int) -> None:
    space = flow.space
    title = shorten(name, space.width, style.H_TITLE, "bold")
    order = "left (exchange) to right (field)" + (", row by row" if rows > 1 else "")
    words = f"{path.ends[1]} to {path.ends[0]}."
    if path.kinds != ("port", "port"):
        words = f"Exchange end: {path.ends[1]}. Field end: {path.ends[0]}."
    words += f" Read from {order}."
    if pages > 1:
        words += f" Continues on sheet {flow.info.sheet + 1}."
    lines = wrap(f"{words[0].upper()}{words[1:]}", space.width)[:3]
    texts: list[Part] = [Text(space.x, flow.y + 5.5, title, style.H_TITLE, "bold")]
    texts += [Text(space.x, flow.y + 11.0 + 4.0 * i, line) for i, line in enumerate(lines)]
    flow.parts.append(Group(tuple(texts), role="head"))
    flow.y += 15.5 + 4.0 * (len(lines) - 1)


def _colour_line(plant: Plant, path: PathDescription) -> str:
    kinds = [cable_type(plant, plant.cables[hop.cable_id]) for hop in path.hops if hop.kind == "glass"]
    schemes = dict.fromkeys(scheme for kind in kinds for scheme in (kind.tube_scheme, kind.fibre_scheme))
    titles = ", ".join(dict.fromkeys(plant.schemes[scheme].title for scheme in schemes)) or "none"
    return f"Colour code: {titles}, number + two letters."
