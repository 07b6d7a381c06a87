"""A shot as text for a person and as plain values for a program; neither tells what the file says of its maker."""

from __future__ import annotations

from typing import Any

from render.answers import clean, noted, table
from render.shot import Shot, ShotRow, doubts, facts, glass, named


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
