"""``glasswright shot``: the events of an OTDR trace file, held against the plant, from one end or both, and drawn."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_shared import PLANT, as_json, day, path_at, today
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.graph import Continuity
    from model.otdr.reading import LaunchEnd
    from model.otdr.trace_file import TraceFile
    from render.shot import Shot, ShotRow


@click.command(short_help="Read an OTDR trace file and hold it against the plant.")
@click.argument("file", metavar="FILE.sor", type=PLANT)
@click.option("--plant", "plant_path", metavar="PLANT", type=PLANT, help="The plant it was taken on.")
@click.option("--ref", metavar="REF", help="The fibre or service it was taken on; needed with --plant.")
@click.option(
    "--from-end",
    "from_end",
    type=click.Choice(["exchange", "field"]),
    default="exchange",
    show_default=True,
    help="The end of the path the OTDR stood at.",
)
@click.option("--lead", metavar="M", default="0", help="Launch lead that the file's zero does not leave out.")
@click.option("--back", "back_file", metavar="FILE2.sor", type=PLANT, help="The trace from the other end.")
@click.option("--back-lead", metavar="M", default="0", help="Launch lead there.")
@click.option("--between", metavar="A,B", help="Loss between two distances: two points and least squares.")
@click.option("-o", "out", metavar="OUT.svg", type=PLANT, help="Draw the trace on a sheet.")
@click.option("--page", metavar="SIZE", default="A4", show_default=True, help="A4, A3, Letter, Tabloid.")
@click.option("--printed-on", metavar="YYYY-MM-DD", help="Date on the sheet; today if not said.")
@as_json
def shot(
    file: Path,
    plant_path: Path | None,
    ref: str | None,
    from_end: str,
    lead: str,
    back_file: Path | None,
    back_lead: str,
    between: str | None,
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

    if (plant_path is None) != (ref is None):
        raise PlantError(
            "a plant and a fibre of it go together", where="--ref", hint="Say --plant and --ref, or neither"
        )
    if back_file is not None and plant_path is None:
        raise PlantError(
            "joints of both ends are paired by the plant", where="--back", hint="Say --plant and --ref too"
        )
    leads = parse_metres(lead, "--lead"), parse_metres(back_lead, "--back-lead")
    trace = load_trace(file)
    back = load_trace(back_file) if back_file is not None else None
    continuity: Continuity | None = None
    if plant_path is not None and ref is not None:
        continuity, node = path_at(plant_path, ref)
        end: LaunchEnd = "field" if from_end == "field" else "exchange"
        found = held_shot(continuity, node, trace, end, leads[0], back, leads[1])
    else:
        found = plain_shot(trace)
    part = _between(trace, between) if between is not None else None
    drawn = _draw(found, continuity, out, (file, plant_path), ref or "", page, printed_on) if out is not None else []
    if as_json:
        answer(as_document({**shot_json(found, part), "sheets": drawn}), 0)
    answer([*shot_lines(found, part, width()), *drawn], 0)


def _between(trace: TraceFile, text: str) -> dict[str, float]:
    """Loss and slope between two distances, both ways of reading them."""
    from model.otdr.fit import least_squares, two_point
    from model.otdr.reading import parse_metres

    words = text.split(",")
    if len(words) != 2:
        raise PlantError(f"{text[:40]!r} is not two distances", where="--between", hint="Write --between 500,2500")
    a_m, b_m = sorted(parse_metres(word, "--between") for word in words)
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


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _row_json(row: ShotRow) -> dict[str, Any]:
    return {
        "number": row.number,
        "at_m": round(row.at_m, 3),
        "kind": row.kind,
        "what": row.what,
        "place": row.place or None,
        "loss_db": _rounded(row.loss_db, 3),
        "fitted_db": _rounded(row.fitted_db, 3),
        "planned_db": _rounded(row.planned_db, 3),
        "back_db": _rounded(row.back_db, 3),
        "mean_db": _rounded(row.mean_db, 4),
        "reflectance_db": _rounded(row.reflectance_db, 3),
        "slope_db_per_km": _rounded(row.slope_db_per_km, 3),
        "state": row.state or None,
        "end": row.end,
    }


def shot_json(found: Shot, part: dict[str, float] | None = None) -> dict[str, Any]:
    """A shot in plain values, without what the file says of its maker."""
    from render.shot import glass

    trace = found.trace
    return {
        "version": trace.version,
        "cable": trace.cable,
        "fibre": trace.fibre,
        "from_place": trace.from_place,
        "to_place": trace.to_place,
        "wavelength_nm": trace.wavelength_nm,
        "pulse_ns": trace.pulse_ns,
        "index": trace.index,
        "taken": trace.taken or None,
        "launch_m": round(trace.launch_m, 3),
        "points": len(trace.curve),
        "spacing_m": round(trace.curve.spacing_m, 6),
        "total_loss_db": trace.total_loss_db,
        "checksum": trace.checksum,
        "warnings": list(trace.warnings),
        "remarks": list(trace.remarks),
        "events": [_row_json(row) for row in found.rows],
        "glass": [
            {"from_m": round(a, 2), "to_m": round(b, 2), "db_per_km": round(slope, 4)} for a, b, slope in glass(trace)
        ],
        "between": None if part is None else {key: round(value, 4) for key, value in part.items()},
        "stretch": None if found.match is None else round(found.match.stretch, 5),
        "notes": [{"kind": note.kind, "words": note.words, "grave": note.grave} for note in found.notes],
        "readings": [
            {"splice": key, "wavelength_nm": one.wavelength_nm, "direction": one.direction, "loss_db": one.loss_db}
            for key, readings in found.readings
            for one in readings
        ],
    }


def shot_lines(found: Shot, part: dict[str, float] | None = None, width: int = 0) -> list[str]:
    """A shot as a person reads it: how it was taken, a row for each event, and what is to be looked at."""
    from render.answers import clean, noted, table
    from render.shot import doubts, facts, glass, named

    heads = ["event", "m", "what", "place", "dB", "curve", "planned", "back", "mean", "reflects", ""]
    rows = [heads]
    for row in found.rows:
        numbers = [row.loss_db, row.fitted_db, row.planned_db, row.back_db, row.mean_db]
        rows.append(
            [
                "-" if row.number is None else str(row.number),
                f"{row.at_m:.1f}",
                clean(row.what),
                clean(row.place),
                *("" if value is None else f"{value:.3f}" for value in numbers),
                "" if row.reflectance_db is None else f"{row.reflectance_db:.1f}",
                row.state,
            ]
        )
    lines = [*noted("Trace", clean(named(found.trace)), width), *noted("Taken", facts(found.trace), width)]
    lines += table(rows, "lrllrrrrrrl", width) if found.rows else ["no events"]
    for near, far, slope in glass(found.trace):
        lines += noted("Glass", f"{near:.0f} to {far:.0f} m: {slope:.3f} dB/km", width)
    if part is not None:
        words = (
            f"{part['from_m']:g} to {part['to_m']:g} m: {part['two_point_db']:.3f} dB, "
            f"{part['two_point_db_per_km']:.4f} dB/km by two points, {part['least_squares_db_per_km']:.4f} dB/km by "
            f"least squares (scatter {part['scatter_db']:.3f} dB)"
        )
        lines += noted("Between", words, width)
    if found.match is not None and abs(found.match.stretch) >= 0.0005:
        words = f"distances come out {found.match.stretch:+.2%} against the plan: index or excess"
        lines += noted("Stretch", words, width)
    for note in found.notes:
        lines += noted("Look at" if note.grave else "Note", note.words, width)
    for doubt in doubts(found):
        lines += noted("File", doubt, width)
    return lines
