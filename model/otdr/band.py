"""How far a located place may be off, each source of error moved to its limit: index, instrument, excess, marks.

The sources are independent, so their shifts join as the root of the sum of squares; each is found by walking the path
again, because excess shifts grow with distance and stop at joints. Sheath metres; marks in metres.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from model.entities import Cable
from model.errors import PlantError
from model.lookup import cable_type
from model.otdr.reading import together
from model.otdr.walk import Launch, Shifts, Spot, walk
from model.otdr.way import mark_at, sheath_parts
from model.plant import Plant

MARK_TOL_M: Final = 1.0
"""How far a printed mark may be off; trade practice, no source."""


@dataclass(frozen=True, slots=True)
class Source:
    """One source of error: what it is, and how many sheath metres it may put the place nearer or farther."""

    what: str
    near_m: float
    far_m: float


@dataclass(frozen=True, slots=True)
class Band:
    """The sources, what they come to together (sheath metres nearer and farther), and the marks there.

    ``marks_m`` stay within the spot's cable, toward the exchange first. ``over`` says at which ends the band reaches
    out of that cable's sheath: "exchange", "field".
    """

    sources: tuple[Source, ...]
    near_m: float
    far_m: float
    marks_m: tuple[float, float]
    over: tuple[str, ...]


def band_of(plant: Plant, launch: Launch, spot: Spot, excess_known: bool = False) -> Band:
    """The band about a spot; without the tolerance of the excess where that has been measured out."""
    reading = launch.reading
    optical = max(launch.optical_m, 0.0)
    instrument = reading.instrument_tol_m * launch.index_set
    index = reading.shown_m * launch.index_set * reading.index_tol / launch.index_first

    def moved(light: float, shifts: Shifts | None = None) -> float:
        return abs(_sheath_m(plant, launch, max(light, 0.0), shifts) - spot.sheath_m)

    sources = [
        Source(f"index ±{reading.index_tol:g}", moved(optical - index), moved(optical + index)),
        Source(
            f"instrument ±{reading.instrument_tol_m:.1f} m", moved(optical - instrument), moved(optical + instrument)
        ),
    ]
    for cable in () if excess_known else _cables_to(launch, spot):
        kind = cable_type(plant, cable)
        least, most = (100.0 * (kind.excess + way * kind.excess_tol) for way in (-1.0, 1.0))
        what = f"excess of {cable.name} {least:.1f} to {most:.1f} %"
        near, far = (moved(optical, {cable.id: way * kind.excess_tol}) for way in (1.0, -1.0))
        sources.append(Source(what, near, far))
    sources.append(Source(f"marks ±{MARK_TOL_M:g} m", MARK_TOL_M, MARK_TOL_M))
    near_m = together(*(source.near_m for source in sources))
    far_m = together(*(source.far_m for source in sources))
    inner, outer = (far_m, near_m) if spot.stretch.inward else (near_m, far_m)
    low, under = _mark_beside(spot, -inner)
    high, beyond = _mark_beside(spot, outer)
    over = ("exchange",) * under + ("field",) * beyond
    return Band(tuple(sources), near_m, far_m, (low, high), over)


def fibre_tol_m(plant: Plant, launch: Launch) -> float:
    """How far reading and path together may be off, metres of fibre: what a place beyond the end is judged by."""
    reading = launch.reading
    by_cable: dict[str, float] = {}
    for stretch in launch.way.stretches:
        if stretch.fibre_m is not None:
            off = stretch.sheath_m * cable_type(plant, stretch.cable).excess_tol
            by_cable[stretch.cable.id] = by_cable.get(stretch.cable.id, 0.0) + off
    index_m = reading.shown_m * reading.index_tol / launch.index_first
    return together(reading.instrument_tol_m, index_m, MARK_TOL_M, *by_cable.values())


def _cables_to(launch: Launch, spot: Spot) -> list[Cable]:
    """The cables between the launch end and a spot, its own included, each once."""
    found: dict[str, Cable] = {}
    for stretch in launch.way.stretches:
        found.setdefault(stretch.cable.id, stretch.cable)
        if stretch == spot.stretch:
            break
    return list(found.values())


def _sheath_m(plant: Plant, launch: Launch, optical: float, shifts: Shifts | None) -> float:
    """Sheath metres to a place, or to the end of what is known."""
    try:
        return walk(plant, launch, optical, shifts)[0].sheath_m
    except PlantError:
        known = launch.before.sheath_m
        for stretch in launch.way.stretches:
            if stretch.fibre_m is None:
                break
            known += stretch.sheath_m
        return known


def _mark_beside(spot: Spot, outward_m: float) -> tuple[float, bool]:
    """(mark so many sheath metres outward of a spot, whether its cable ends before that)."""
    cable = spot.stretch.cable
    parts = sheath_parts(cable)
    if spot.stretch.kind == "tail":
        at = 0 if spot.stretch.stop == 0 else len(parts) - 1
        offset = 0.0 if at == 0 and spot.stretch.stop == 0 else parts[at][2] or 0.0
    else:
        at = next(
            i for i, (kind, stop, _) in enumerate(parts) if (kind, stop) == (spot.stretch.kind, spot.stretch.stop)
        )
        offset = spot.offset_m
    offset += outward_m
    while offset < 0.0 and at > 0 and parts[at - 1][2] is not None:
        at -= 1
        offset += parts[at][2] or 0.0
    while offset > (parts[at][2] or 0.0) and at + 1 < len(parts) and parts[at + 1][2] is not None:
        offset -= parts[at][2] or 0.0
        at += 1
    kind, stop, whole = parts[at]
    within = min(max(offset, 0.0), whole or 0.0)
    return mark_at(cable, kind, stop, within) or 0.0, abs(within - offset) > 1e-6
