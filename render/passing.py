"""What one uncut piece of glass does between its two ends: the places it passes and the glass between them.

Metres of sheath and of fibre, printed marks in metres. The openings passed uncut lie between the parts, so that parts
and openings together are the whole piece. Nothing here knows loss or drawing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, Stop
from model.glass import Piece, cut_m, fibre_per_sheath, opening_m, span_m
from model.lookup import cable_type, passes, tube_of, work_on
from model.plant import Plant
from render.hopwords import site_name

PassState = Literal["express", "opened", "closed"]


@dataclass(frozen=True, slots=True)
class Passing:
    """A place where the fibre goes by uncut.

    ``state``: its tube is express, or opened for other fibres while this one loops through, or the sheath itself is
    closed there. ``mark_in_m`` and ``mark_out_m`` are the printed marks in metres, ``unit`` what the sheath prints.
    """

    site: str
    site_id: str
    stop: str
    state: PassState
    tray: str = ""
    mark_in_m: float | None = None
    mark_out_m: float | None = None
    unit: str = "m"
    opening_m: float | None = None


@dataclass(frozen=True, slots=True)
class Part:
    """Glass between two neighbouring places of one piece, metres of sheath and of fibre; None where unknown."""

    sheath_m: float | None
    fibre_m: float | None


def passings(plant: Plant, cable: Cable, piece: Piece) -> Iterator[Passing]:
    """The places a piece of glass passes uncut, from the exchange side outward."""
    tube, _ = tube_of(cable_type(plant, cable), piece.fibre)
    for index in range(piece.first + 1, piece.last):
        yield _passing(plant, cable.stops[index], cable.mark_unit, tube, piece.fibre)


def _passing(plant: Plant, stop: Stop, unit: str, tube: int, fibre: int) -> Passing:
    opened = work_on(stop, tube) is not None
    stored = next((s.tray for s in stop.stored if not s.side and fibre in s.fibres and s.tray), None)
    gap = opening_m(stop)
    return Passing(
        site_name(plant, stop.site),
        stop.site,
        stop.id,
        "opened" if opened else "closed" if gap == 0.0 else "express",
        plant.trays[stored].name if stored and stored in plant.trays else "",
        stop.mark_in_m,
        stop.mark_out_m,
        unit,
        gap,
    )


def parts_between(plant: Plant, cable: Cable, piece: Piece) -> Iterator[Part]:
    """The piece between its places, from the exchange side outward; openings passed uncut lie between the parts.

    Where the fibre is cut in an opening, the glass up to the cut belongs to the part on that side.
    """
    kind = cable_type(plant, cable)
    for index in range(piece.first, piece.last):
        run, tails = span_m(cable, index), 0.0
        if run is None:
            yield Part(None, None)
            continue
        for end, own, outer in ((index, piece.first, True), (index + 1, piece.last, False)):
            stop = cable.stops[end]
            if end == own and passes(cable, end):
                gap = opening_m(stop) or 0.0
                cut = cut_m(cable, kind, piece.fibre, end)
                run += gap - cut if outer else cut
            elif end == own:
                tails += stop.tail_m
        yield Part(run, run * fibre_per_sheath(kind) + tails)
