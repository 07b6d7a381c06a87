"""``glasswright locate``: where along a path an OTDR reading lies, with the arithmetic, and from both ends if asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from model.errors import PlantError
from render.cli_reading import reading_of, reading_options
from render.cli_shared import PLANT, as_json, path_at, site_of
from render.console import answer, as_document, width

if TYPE_CHECKING:
    from model.otdr.locate import Located
    from model.otdr.reading import Known, LaunchEnd, Reading
    from model.otdr.twoended import TwoEnded
    from model.plant import Plant


@click.command(short_help="Turn an OTDR reading into a printed mark, with a band.")
@click.argument("plant_path", metavar="PLANT", type=PLANT)
@click.argument("ref", metavar="REF")
@click.option("--reading", "shown", metavar="M", required=True, help="As shown: 3359, 3.359km, 11020ft.")
@reading_options
@click.option("--known", metavar="SITE=M", help="A joint at SITE shows at M: count from there, with a narrower band.")
@click.option("--other", metavar="M", help="What the other end of the same path showed.")
@click.option("--other-index", metavar="N", help="Group index set there; the same if not said.")
@click.option("--other-lead", metavar="M", default="0", help="Launch lead there.")
@as_json
def locate(
    plant_path: Path,
    ref: str,
    shown: str,
    index: str | None,
    lead: str,
    tail: str | None,
    from_end: LaunchEnd,
    nm: str,
    known: str | None,
    other: str | None,
    other_index: str | None,
    other_lead: str,
    as_json: bool,
) -> None:
    """Find the printed mark, the nearest site and the place along the route that an OTDR reading means.

    The reading is corrected for the index, for launch lead and tail, and for the excess of every cable on the way; the
    band counts what is not known of them. With --other the readings of both ends are held against the fibre length.
    """
    from dataclasses import replace

    from model.otdr.locate import locate as find
    from model.otdr.reading import parse_index, parse_metres
    from model.otdr.twoended import two_ended

    reading = reading_of(shown, index, lead, tail, from_end, nm)
    continuity, node = path_at(plant_path, ref)
    if known is not None:
        if other is not None:
            raise PlantError("both ends need no known joint", where="--known", hint="Leave out --known or --other")
        reading = replace(reading, known=_known(continuity.plant, known))
    if other is None:
        found = find(continuity, node, reading)
        answer(as_document(located_json(found)) if as_json else located_lines(found, width()), 0)
    there = replace(
        reading,
        shown_m=parse_metres(other, "--other"),
        index=parse_index(other_index, "--other-index") if other_index is not None else reading.index,
        lead_m=parse_metres(other_lead, "--other-lead"),
        tail_m=None,
    )
    judged = two_ended(continuity, node, *_exchange_first(reading, there))
    answer(as_document(_both_json(judged, reading)) if as_json else _both_lines(judged, reading, width()), 0)


def _known(plant: Plant, text: str) -> Known:
    """``SITE=M`` as a known joint. Raises PlantError."""
    from model.otdr.reading import Known, parse_metres

    name, sign, shown = text.rpartition("=")
    if not sign:
        raise PlantError(f"{text[:40]!r} is not SITE=M", where="--known", hint="Write --known K1=1900")
    return Known(site_of(plant, name), parse_metres(shown, "--known"))


def _exchange_first(reading: Reading, there: Reading) -> tuple[Reading, Reading]:
    return (reading, there) if reading.from_end == "exchange" else (there, reading)


def located_json(found: Located) -> dict[str, Any]:
    """A located reading in plain values: metres, and marks as whole numbers in the unit the sheath prints."""

    def number(mark: str) -> int:
        return int(mark.split()[0])

    return {
        "from": found.launch,
        "true_m": round(found.true_m, 2),
        "fibre_m": round(found.fibre_m, 2),
        "sheath_m": round(found.sheath_m, 2),
        "mark": number(found.mark),
        "mark_unit": found.mark.split()[1],
        "mark_m": round(found.mark_m, 2),
        "cable": found.cable_name,
        "fibre": found.fibre,
        "between": list(found.between_names),
        "nearest": {
            "site": found.nearest.name,
            "side": found.nearest.side or None,
            "offset_m": round(found.nearest.offset_m, 2),
            "words": found.nearest.words,
        },
        "route_m": round(found.route_m, 1),
        "chainage_m": None if found.chainage_m is None else round(found.chainage_m, 1),
        "band_marks": [number(mark) for mark in found.band],
        "band_m": [round(-found.near_m, 2), round(found.far_m, 2)],
        "working": list(found.working),
        "notes": list(found.notes),
    }


def located_lines(found: Located, width: int = 0) -> list[str]:
    """A located reading as a person reads it: the place first, then how it was found."""
    from render.answers import noted

    between = " and ".join(found.between_names)
    low, high = found.band
    lines = [
        *noted("Mark", f"{found.mark} on {found.cable_name} (fibre {found.fibre}), {low} to {high}", width),
        *noted("Place", found.nearest.words, width),
        *noted("Between" if len(found.between) > 1 else "Inside", between, width),
        *noted("Route", f"{found.route_m:.0f} m along the ground {found.launch}", width),
    ]
    if found.chainage_m is not None and found.from_end == "field":
        lines += noted("Chainage", f"{found.chainage_m:.0f} m", width)
    for index, line in enumerate(found.working):
        lines += noted("Worked" if index == 0 else "", line, width)
    for note in found.notes:
        lines += noted("Note", note, width)
    return lines


def _both_json(judged: TwoEnded, reading: Reading) -> dict[str, Any]:
    shown = judged.agreed or (judged.exchange if reading.from_end == "exchange" else judged.field)
    return {
        **located_json(shown),
        "two_ended": {
            "verdict": judged.verdict,
            "words": judged.words,
            "length_m": round(judged.length_m, 2),
            "sum_m": round(judged.sum_m, 2),
            "gap_m": round(judged.gap_m, 2),
            "tolerance_m": round(judged.tol_m, 2),
            "exchange": located_json(judged.exchange),
            "field": located_json(judged.field),
        },
    }


def _both_lines(judged: TwoEnded, reading: Reading, width: int) -> list[str]:
    from render.answers import noted

    lines = noted("Both ends", judged.words, width)
    if judged.agreed is not None:
        return [*lines, "", *located_lines(judged.agreed, width)]
    return [*lines, "", *located_lines(judged.exchange, width), "", *located_lines(judged.field, width)]
