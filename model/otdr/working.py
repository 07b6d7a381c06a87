"""The arithmetic from a reading to a mark, line by line, as a technician would write it down to have it checked."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from model.lists.naming import printed_mark, site_name
from model.lookup import cable_type
from model.otdr.band import Band
from model.otdr.walk import Launch, Spot, index_of
from model.otdr.way import Stretch
from model.parts import CableType
from model.plant import Plant


def working_lines(
    plant: Plant, launch: Launch, spot: Spot, band: Band, start: str, place: str, agreed: str = ""
) -> tuple[str, ...]:
    """Every step with its figures. ``start`` is the launch site in words, ``place`` mark and place found, ``agreed``
    how two readings give it in place of one that was shown."""
    first = f"Measured from the {launch.way.from_end} end, at {start}."
    given = (agreed,) if agreed else _shown_lines(plant, launch)
    return (first, *given, *_lines(plant, launch, spot, band, place))


def _shown_lines(plant: Plant, launch: Launch) -> Iterator[str]:
    """From what the instrument showed to fibre beyond the first mark."""
    reading = launch.reading
    shown, first = f"{reading.shown_m:.1f} m shown", f"{launch.index_first:g}"
    if launch.before.site:
        joint = f"the joint at {site_name(plant, launch.before.site)}"
        yield f"Counted from {joint}, {launch.before.sheath_m:.1f} m of sheath from the launch end"
        shown = f"{reading.shown_m:.1f} m shown beyond it"
    if launch.index_set == launch.index_first:
        yield f"{shown} with the index of the cable, {first}: as much fibre"
    else:
        yield f"{shown} x {launch.index_set:g} set / {first} of the cable = {launch.true_m:.1f} m of fibre"
    if reading.lead_m or launch.tail_m:
        off = f"- {reading.lead_m:.1f} m launch lead - {launch.tail_m:.1f} m tail"
        yield f"{off} = {launch.fibre_m:.1f} m beyond the first mark"


def _lines(plant: Plant, launch: Launch, spot: Spot, band: Band, place: str) -> Iterator[str]:
    """From there to the mark, the route and the band."""
    yield from _sheath_lines(plant, launch, spot)
    yield place
    stored = spot.sheath_m - spot.route_m
    off = f"{spot.sheath_m:.1f} m of sheath - {stored:.1f} m in coils, risers and openings"
    yield f"Route: {off} = {spot.route_m:.0f} m along the ground"
    cable = spot.stretch.cable
    low, high = sorted(printed_mark(cable, at) or 0.0 for at in band.marks_m)
    yield "Band: " + ", ".join(f"{s.what} (-{s.near_m:.1f} +{s.far_m:.1f} m)" for s in band.sources)
    whole = f"-{band.near_m:.1f} +{band.far_m:.1f} m of sheath"
    yield f"Together, as the root of the sum of squares, {whole}: marks {low:.0f} to {high:.0f} {cable.mark_unit}"


def _sheath_lines(plant: Plant, launch: Launch, spot: Spot) -> Iterator[str]:
    """One line for every cable that the light goes through, the last as far as the place."""
    runs: list[list[Stretch]] = []
    for stretch in launch.way.stretches:
        if not runs or runs[-1][0].cable.id != stretch.cable.id:
            runs.append([])
        runs[-1].append(stretch)
        if stretch == spot.stretch:
            break
    done_m, left_m = launch.before.sheath_m, max(launch.fibre_m, 0.0)
    for run, onward in pairwise(runs):
        cable = run[0].cable
        sheath = sum(s.sheath_m for s in run)
        fibre = sum(s.fibre_m or 0.0 for s in run)
        real, then = (index_of(plant, each[0].cable, launch) for each in (run, onward))
        left_m = (left_m - fibre) * real / then
        of = f"{sheath:.1f} m of sheath, {excess_words(cable_type(plant, cable))}"
        yield f"- {fibre:.1f} m of fibre in the whole of {cable.name} ({of}) = {left_m:.1f} m"
        done_m += sheath
    last = runs[-1]
    cable = last[0].cable
    tails = sum(s.fibre_m or 0.0 for s in last[:-1] if s.kind == "tail") + spot.tail_m
    less = f" - {tails:.1f} m of bare tail" if tails else ""
    yield f"{left_m:.1f} m of fibre in {cable.name}{less}, {excess_words(cable_type(plant, cable))}: " + (
        f"{spot.sheath_m - done_m:.1f} m of sheath"
    )


def excess_words(kind: CableType) -> str:
    """The excess of a cable type with the convention it is stated in."""
    if kind.excess_of == "fibre":
        return f"sheath = fibre x (1 - {kind.excess:g})"
    return f"sheath = fibre / (1 + {kind.excess:g})"
