"""Pieces of glass: an uncut fibre is one piece from end to end, however many stops it passes; a cut makes two.

Three lengths: sheath metres from the printed marks, fibre metres = sheath x (1 + excess) + tails, never mixed.
The glass inside a sheath opening belongs to the exchange-side piece up to the cut (common practice: tubes are cut on
the field side so that the exchange side keeps the long tail), so cutting never creates or loses length.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.entities import Cable, FibreEnd, Stop
from model.ids import CableId
from model.lookup import cut_fibres, passes, tube_of, work_on
from model.parts import CableType


@dataclass(frozen=True, slots=True)
class Piece:
    """One uncut piece of glass: fibre of a cable between two of its stops, by index."""

    cable: CableId
    fibre: int
    first: int
    last: int

    def ends(self, cable: Cable) -> tuple[FibreEnd, FibreEnd]:
        """(exchange-side end, field-side end)."""
        return (
            FibreEnd(self.cable, self.fibre, cable.stops[self.first].id, ">"),
            FibreEnd(self.cable, self.fibre, cable.stops[self.last].id, "<"),
        )


def pieces(cable: Cable, kind: CableType) -> Iterator[Piece]:
    """Every piece of glass of a cable, fibre by fibre from the exchange outward."""
    last = len(cable.stops) - 1
    cuts: dict[int, list[int]] = {}
    for index in range(1, last):
        for fibre in cut_fibres(kind, cable.stops[index]):
            cuts.setdefault(fibre, []).append(index)
    for fibre in range(1, kind.fibre_count + 1):
        start = 0
        for index in cuts.get(fibre, ()):
            yield Piece(cable.id, fibre, start, index)
            start = index
        yield Piece(cable.id, fibre, start, last)


def mark_runs(cable: Cable, index: int) -> tuple[tuple[float, float], ...]:
    """The printed marks between stop ``index`` and the next as runs (first mark, last mark), going outward.

    One run, and one more for every jump in it; a run may rise or fall. Empty when a mark is missing.
    """
    out, far = cable.stops[index].mark_out_m, cable.stops[index + 1].mark_in_m
    if out is None or far is None:
        return ()
    jumps = cable.stops[index].jumps
    starts = (out, *(jump.after_m for jump in jumps))
    return tuple(zip(starts, (*(jump.before_m for jump in jumps), far), strict=True))


def span_m(cable: Cable, index: int) -> float | None:
    """Sheath metres between stop ``index`` and the next, from the marks; None when a mark is missing."""
    runs = mark_runs(cable, index)
    return sum(abs(last - first) for first, last in runs) if runs else None


def opening_m(stop: Stop) -> float | None:
    """Sheath opening at a passing stop in metres, from the marks; None when a mark is missing."""
    if stop.mark_in_m is None or stop.mark_out_m is None:
        return None
    return abs(stop.mark_out_m - stop.mark_in_m)


def fibre_per_sheath(kind: CableType, off: float = 0.0) -> float:
    """Metres of fibre in a metre of sheath, with ``off`` added to the excess (its tolerance, say).

    Two conventions are in use and differ in the second place: 1 + excess, or 1 / (1 - excess) where the excess is a
    part of the fibre. The cable type says which.
    """
    excess = kind.excess + off
    return 1.0 / (1.0 - excess) if kind.excess_of == "fibre" else 1.0 + excess


def cut_m(cable: Cable, kind: CableType, fibre: int, index: int) -> float:
    """Where along the opening the fibre is cut, metres from the exchange-side sheath end."""
    stop = cable.stops[index]
    whole = opening_m(stop) or 0.0
    work = work_on(stop, tube_of(kind, fibre)[0])
    if work is None or work.cut_at_mm is None:
        return whole
    return min(max(work.cut_at_mm / 1000.0, 0.0), whole)


def sheath_m(cable: Cable, kind: CableType, piece: Piece) -> float | None:
    """Sheath metres that a piece lies along, openings included; None when a mark it needs is missing."""
    total = 0.0
    for index in range(piece.first, piece.last):
        span = span_m(cable, index)
        if span is None:
            return None
        total += span
        if index > piece.first:
            opened = opening_m(cable.stops[index])
            if opened is None:
                return None
            total += opened
    if passes(cable, piece.first):
        total += (opening_m(cable.stops[piece.first]) or 0.0) - cut_m(cable, kind, piece.fibre, piece.first)
    if passes(cable, piece.last):
        total += cut_m(cable, kind, piece.fibre, piece.last)
    return total


def fibre_m(cable: Cable, kind: CableType, piece: Piece) -> float | None:
    """Fibre metres of a piece: sheath x (1 + excess) plus the tails at the cable's ends (formula F8)."""
    along = sheath_m(cable, kind, piece)
    if along is None:
        return None
    tails = sum(cable.stops[i].tail_m for i in (piece.first, piece.last) if not passes(cable, i))
    return along * fibre_per_sheath(kind) + tails
