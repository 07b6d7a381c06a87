"""The preparation sheet of a site: what to strip, open, cut and leave, cable by cable, with the marks to find it by.

Lengths are millimetres, as the marks and the drawn routes give them, beside what those routes ask for where that can be
known. Marks are in the unit the sheath prints. Nothing here judges: a length below its need is a rule's to name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, Side
from model.layout import DropRun, TubeRun, drop_runs, track_mm, tube_runs
from model.lists.naming import printed_mark, site_name, tube_colour
from model.lists.source import Source
from model.lookup import cable_type, enclosure_at, fibres_of, passes, sheaths_at, tray_type, work_on
from model.prep import Allowance, opening_needed_mm, strip_needed_mm, whole_turns


@dataclass(frozen=True, slots=True)
class PrepRow:
    """One thing to do to a cable. ``tube`` is 0 for the sheath; ``side`` is empty where the cable has none here.

    ``mark_from`` and ``mark_to`` bound the sheath that comes off; at a cable's end there is one mark only.
    ``need_mm`` is what the drawn routes ask for, ``live`` names the live services on the glass.
    """

    site: str
    cable: str
    entry: str
    part: Literal["sheath", "tube", "bare fibre"]
    tube: int
    tube_colour: str
    side: Literal["", "<", ">"]
    action: str
    length_mm: float | None
    need_mm: float | None = None
    mark_from: float | None = None
    mark_to: float | None = None
    mark_unit: str = ""
    live: tuple[str, ...] = ()
    remark: str = ""


def prep(source: Source, site: str, allowance: Allowance | None = None) -> tuple[PrepRow, ...]:
    """The rows of every cable at a site with an enclosure, by cable; none where there is no enclosure."""
    plant = source.plant
    box = enclosure_at(plant, site)
    if box is None:
        return ()
    allowance = allowance or Allowance()
    drawn = source.drawn(box)
    runs: dict[tuple[str, int], TubeRun] = {(run.stop.id, run.tube): run for run in tube_runs(plant, box, drawn)}
    drops = {run.stop.id: run for run in drop_runs(plant, box, drawn)}
    rows: list[PrepRow] = []
    for cable, index, stop in sheaths_at(plant, site):
        if passes(cable, index):
            rows += _mid_span(source, cable, index, runs, allowance)
        elif stop.id in drops:
            rows += _end(source, cable, index, drops[stop.id], allowance)
    return tuple(rows)


def _mid_span(
    source: Source, cable: Cable, index: int, runs: dict[tuple[str, int], TubeRun], allowance: Allowance
) -> Iterator[PrepRow]:
    plant, stop = source.plant, cable.stops[index]
    kind = cable_type(plant, cable)
    place = site_name(plant, stop.site)
    entry = " and ".join(name for name in (stop.entry_in, stop.entry_out) if name)
    here = {tube: run for (key, tube), run in runs.items() if key == stop.id}
    needs = [
        opening_needed_mm(run, tray_type(plant, run.tray), allowance) for run in here.values() if run.tray is not None
    ]
    marks = stop.mark_in_m, stop.mark_out_m
    yield PrepRow(
        place,
        cable.name,
        entry,
        "sheath",
        0,
        "",
        "",
        "open the sheath",
        None if None in marks else abs(marks[1] - marks[0]) * 1000.0,  # type: ignore[operator]  # neither is None
        max((need for need in needs if need is not None), default=None),
        printed_mark(cable, stop.mark_in_m),
        printed_mark(cable, stop.mark_out_m),
        cable.mark_unit,
        remark="bond the armour before cutting it" if kind.metal else "",
    )
    for tube in range(1, len(kind.tubes) + 1):
        work = work_on(stop, tube)
        live = source.live(cable, tuple(fibres_of(kind, tube)), index)
        colour = tube_colour(plant, cable, tube)
        if work is None:
            yield PrepRow(place, cable.name, entry, "tube", tube, colour, "", "leave uncut", None, live=live)
            continue
        run = here.get(tube)
        action = "cut the tube" if work.state == "cut" else "open a window in the tube"
        remark = ""
        carried = {end.route.transport_od_mm for end in (run.a, run.b) if end} - {None} if run else set()
        if carried:
            action = "cut the tube back at the sheath, put a transport tube on"
            remark = f"transport tube of {max(filter(None, carried)):g} mm"
        ends: tuple[tuple[Side, float | None], ...] = (
            ("<", run.a_mm if run else None),
            (">", run.b_mm if run else None),
        )
        for side, length_mm in ends:
            yield PrepRow(
                place, cable.name, entry, "tube", tube, colour, side, action, length_mm, live=live, remark=remark
            )
        need = None
        if run is not None and run.tray is not None:
            tray = tray_type(plant, run.tray)
            need = whole_turns(tray, allowance.bare_mm) * track_mm(tray)
        bare = run.bare_mm if run else None
        yield PrepRow(place, cable.name, entry, "bare fibre", tube, colour, "", "store bare", bare, need, live=live)


def _end(source: Source, cable: Cable, index: int, run: DropRun, allowance: Allowance) -> Iterator[PrepRow]:
    plant, stop = source.plant, cable.stops[index]
    side: Side = ">" if index == 0 else "<"
    entry = stop.entry_out if index == 0 else stop.entry_in
    mark = printed_mark(cable, stop.mark_out_m if index == 0 else stop.mark_in_m)
    place = site_name(plant, stop.site)
    needs: list[float] = []
    if run.tray is not None:
        kind = tray_type(plant, run.tray)
        for slot in _slots(source, cable, index, run.tray.id):
            need = strip_needed_mm(run, kind, slot, allowance)
            if need is not None:
                needs.append(need)
    remark = "bond the armour" if cable_type(plant, cable).metal else ""
    yield PrepRow(
        place,
        cable.name,
        entry,
        "sheath",
        0,
        "",
        side,
        "strip the jacket",
        stop.strip_mm,
        max(needs, default=None),
        mark,
        None,
        cable.mark_unit,
        remark=remark,
    )
    course = run.route.course if run.route is not None else None
    if course is not None:
        yield PrepRow(place, cable.name, entry, "tube", 0, "", side, "lead to the tray", course.length_mm)
        yield PrepRow(place, cable.name, entry, "bare fibre", 0, "", side, "store bare", run.bare_mm)


def _slots(source: Source, cable: Cable, index: int, tray: str) -> list[int]:
    """Slots of a tray that this end of the cable is joined in."""
    stop = cable.stops[index]
    found = []
    for splice in source.splices_at.get(stop.site, ()):
        mine = any(getattr(end, "cable", "") == cable.id for end in (splice.a, splice.b))
        if mine and splice.tray == tray and splice.slot is not None:
            found.append(splice.slot)
    return sorted(found)
