"""``glasswright shot``: the events of an OTDR trace file, held against the plant, from one end or both, and drawn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from model.errors import PlantError
from render.cli_reading import from_end_option
from render.cli_shared import PLANT, as_json, day, path_at, today
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.graph import Continuity
    from model.otdr.reading import LaunchEnd
    from model.otdr.trace_file import TraceFile
    from render.shot import Shot


@click.command(short_help="Read an OTDR trace file and hold it against the plant.")
@click.argument("file", metavar="FILE.sor", type=PLANT)
@click.option("--plant", "plant_path", metavar="PLANT", type=PLANT, help="The plant it was taken on.")
@click.option("--ref", metavar="REF", help="The fibre or service it was taken on; needed with --plant.")
@from_end_option
@click.option("--lead", metavar="M", default="0", help="Launch lead that the file's zero does not leave out.")
@click.option("--back", "back_file", metavar="FILE2.sor", type=PLANT, help="The trace from the other end.")
@click.option("--back-lead", metavar="M", default="0", help="Launch lead there.")
@click.option("--between", metavar="A,B", help="Loss between two distances: two points and least squares.")
@click.option(
    "--record", metavar="OUT.gwp", type=PLANT, help="Write the splice readings into the plant; may be PLANT itself."
)
@click.option("--force", is_flag=True, help="Let --record replace another existing file.")
@click.option("-o", "out", metavar="OUT.svg", type=PLANT, help="Draw the trace on a sheet.")
@click.option("--page", metavar="SIZE", default="A4", show_default=True, help="A4, A3, Letter, Tabloid.")
@click.option("--printed-on", metavar="YYYY-MM-DD", help="Date on the sheet; today if not said.")
@as_json
def shot(
    file: Path,
    plant_path: Path | None,
    ref: str | None,
    from_end: LaunchEnd,
    lead: str,
    back_file: Path | None,
    back_lead: str,
    between: str | None,
    record: Path | None,
    force: bool,
    out: Path | None,
    page: str,
    printed_on: str | None,
    as_json: bool,
) -> None:
    """Read a trace file of the SR-4731 format, versions 1 and 2: its events, and the losses worked out of its curve.

    With a plant and a fibre its events are named by the plant's joints: what is missing, extra, lossy or reflective is
    said, and where. With the trace of the other end the true loss of each joint is the mean of both.
    """
    from model.otdr.reading import parse_metres
    from model.storage.traces import load_trace
    from render.shot import held_shot, plain_shot
    from render.shot_words import shot_json, shot_lines

    if (plant_path is None) != (ref is None):
        raise PlantError(
            "a plant and a fibre of it go together", where="--ref", hint="Say --plant and --ref, or neither"
        )
    if back_file is not None and plant_path is None:
        raise PlantError(
            "joints of both ends are paired by the plant", where="--back", hint="Say --plant and --ref too"
        )
    if record is not None:
        _check_record(record, plant_path, force)
    leads = parse_metres(lead, "--lead"), parse_metres(back_lead, "--back-lead")
    if plant_path is None and any(leads):
        raise PlantError(
            "a lead is taken off where the trace is held against a plant",
            where="--lead",
            hint="Say --plant and --ref too",
        )
    trace = load_trace(file)
    back = load_trace(back_file) if back_file is not None else None
    continuity: Continuity | None = None
    if plant_path is not None and ref is not None:
        continuity, node = path_at(plant_path, ref)
        found = held_shot(continuity, node, trace, from_end, leads[0], back, leads[1])
    else:
        found = plain_shot(trace)
    part = _between(trace, between) if between is not None else None
    drawn = _draw(found, continuity, out, (file, plant_path), ref or "", page, printed_on) if out is not None else []
    written = _record(found, continuity, record, plant_path) if record is not None else ""
    if as_json:
        answer(as_document({**shot_json(found, part), "sheets": drawn, "written": written or None}), 0)
    answer([*shot_lines(found, part, width()), *drawn, *([written] if written else [])], 0)


def _check_record(record: Path, plant_path: Path | None, force: bool) -> None:
    from render.cli_say import check_out

    if plant_path is None:
        raise PlantError("readings go into a plant", where="--record", hint="Say --plant and --ref too")
    check_out(record, plant_path, force)


def _record(found: Shot, continuity: Continuity | None, record: Path, plant_path: Path | None) -> str:
    """Write the splice readings of a shot into the plant, as one edit; the place of the file."""
    from model.edits.recording import Measure
    from model.history import History
    from render.cli_say import keep, open_for_writing

    if continuity is None or plant_path is None or not found.readings:
        raise PlantError("no splice of this path shows in the trace", where="--record", hint="Nothing was written")
    plant = continuity.plant
    History(plant).do(Measure(found.readings, name="record a trace"))
    with open_for_writing(record, plant_path):
        keep(plant, record)
    return str(record)


def _between(trace: TraceFile, text: str) -> dict[str, float]:
    """Loss and slope between two distances, both ways of reading them."""
    from model.otdr.fit import least_squares, two_point
    from model.otdr.reading import parse_metres

    words = text.split(",")
    if len(words) != 2:
        raise PlantError(f"{text[:40]!r} is not two distances", where="--between", hint="Write --between 500,2500")
    a_m, b_m = sorted(parse_metres(word, "--between") for word in words)
    curve = trace.curve
    start_m, stop_m = curve.start_m, curve.at_m(len(curve) - 1)
    if len(curve) and not start_m - curve.spacing_m <= a_m <= b_m <= stop_m + curve.spacing_m:
        raise PlantError(
            f"the curve runs from {start_m:.0f} to {stop_m:.0f} m", where="--between", hint="Name two distances in it"
        )
    loss_db, slope = two_point(trace.curve, a_m, b_m)
    fit = least_squares(trace.curve, a_m, b_m)
    return {
        "from_m": a_m,
        "to_m": b_m,
        "two_point_db": loss_db,
        "two_point_db_per_km": slope,
        "least_squares_db_per_km": fit.slope_db_per_km,
        "scatter_db": fit.scatter_db,
    }


def _draw(
    found: Shot,
    continuity: Continuity | None,
    out: Path,
    sources: tuple[Path, Path | None],
    ref: str,
    page: str,
    printed_on: str | None,
) -> list[str]:
    from render.outfiles import check_target, put
    from render.sheets.options import Options
    from render.sheets.otdr import otdr_sheets
    from render.svg import to_svg

    for source in sources:
        if source is not None:
            check_target(out, source)
    date = day(printed_on, "--printed-on") if printed_on is not None else today()
    options = Options(page=page, printed_on=date, file=out.name, first=1)
    plant = continuity.plant if continuity is not None else None
    sheets = otdr_sheets(found, options, plant, ref.removeprefix("service:") or sources[0].stem)
    places = [out if i == 0 else out.with_name(f"{out.stem}-{i + 1}{out.suffix}") for i in range(len(sheets))]
    for place in places[1:]:
        check_target(place, sources[0])
    put([(place, to_svg(sheet)) for place, sheet in zip(places, sheets, strict=True)])
    return [str(place) for place in places]
