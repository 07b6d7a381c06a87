"""The sheath opening and what it leaves: marks, uncut tubes in the bay, turns of bare fibre, slack outside."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import ceil

from model.entities import Cable
from model.layout import track_mm
from model.rules import cures, faults
from model.rules import examples as ex
from model.rules.accounting import SIDE_WORDS
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "marks.given",
    "warning",
    title="Printed marks are given on both sides of an opening",
    reason="Without them nobody can tell the right cable, the opening, or later the place of a fault.",
    basis=PRACTICE,
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.clean(), mark_in_m=None),
)
def marks_given(context: Context, limit: float) -> Iterator[Found]:
    """Opened stops with a mark missing."""
    for here in context.cables:
        if here.passing and here.stop.tubes:
            missing = [
                word
                for word, mark in (("exchange-side", here.stop.mark_in_m), ("field-side", here.stop.mark_out_m))
                if mark is None
            ]
            if missing:
                yield Found(
                    (here.cable.id, here.stop.id),
                    f"{here.cable.name} at {context.name}: the {' and '.join(missing)} mark is missing",
                )


Marks = list[tuple[int, float]]
"""Printed marks in metres with the index of their stop, going outward."""


def _printed_runs(cable: Cable) -> Iterator[Marks]:
    """The marks of a cable that were printed in one go: all of them, or those between its jumps."""
    run: Marks = []
    for index, stop in enumerate(cable.stops):
        run += [(index, mark) for mark in (stop.mark_in_m, stop.mark_out_m) if mark is not None]
        for jump in stop.jumps:
            yield [*run, (index, jump.before_m)]
            run = [(index, jump.after_m)]
    yield run


def _steps_back(marks: Marks, index: int) -> Iterator[float]:
    """How far each mark at a stop lies back against the way of its run."""
    way = 1.0 if marks and marks[-1][1] >= marks[0][1] else -1.0
    for (_, before), (at, mark) in pairwise(marks):
        if at == index:
            yield way * (before - mark)


@rule(
    "marks.order",
    "warning",
    title="Printed marks rise or fall all along a cable",
    reason="A mark out of order was read wrong, or belongs to another cable.",
    basis="a sheath is printed in one go",
    limit=0,
    unit="m",
    good=ex.clean,
    bad=lambda: faults.mark_misread(ex.clean()),
)
def marks_order(context: Context, limit: float) -> Iterator[Found]:
    """Stops whose marks run against those of the whole cable."""
    for here in context.cables:
        back = [m for marks in _printed_runs(here.cable) for m in _steps_back(marks, here.index)]
        if back and max(back) > limit + 1e-9:
            yield Found(
                (here.cable.id, here.stop.id),
                f"{here.cable.name} at {context.name}: its marks go {max(back):g} m back against the rest of the cable",
                max(back),
                limit,
            )


@rule(
    "marks.opening",
    "warning",
    title="The opening by the marks is the length the uncut tubes are drawn with",
    reason="An uncut tube is as long as the opening: drawn otherwise it does not lie as drawn.",
    basis=f"{PRACTICE}; tubes are up to 2 % longer than the sheath they are stranded in",
    limit=2,
    unit="%",
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.with_cut_at(ex.clean(), 1309.1), mark_in_m=2147.7),
)
def marks_opening(context: Context, limit: float) -> Iterator[Found]:
    """Groups of uncut tubes whose mean drawn length differs from the opening."""
    for run in context.express_runs:
        if not run.opening_mm:
            continue
        off = 100.0 * abs(run.drawn_mm - run.opening_mm) / run.opening_mm
        if off > limit + 1e-9:
            yield Found(
                (run.cable.id, run.stop.id, run.bay.name),
                f"{run.cable.name} at {context.name}: the marks open {run.opening_mm:.0f} mm, uncut tubes are drawn "
                f"{run.drawn_mm:.0f} mm long in the mean ({off:.1f} % off)",
                off,
                limit,
                cures.lanes_or_mark(context.plant, run.cable, run.stop, run.drawn_mm),
            )


@rule(
    "tail.landing",
    "warning",
    title="Bare fibre lands near a whole or half number of turns",
    reason="Away from one the fibre bows or tugs where it leaves the track for its holder.",
    basis=PRACTICE,
    limit=0.1,
    unit="turns",
    good=ex.clean,
    bad=lambda: ex.opening_changed(-60.0),
)
def tail_landing(context: Context, limit: float) -> Iterator[Found]:
    """Opened tubes whose bare fibre lands too far from a half turn."""
    for run in context.tube_runs:
        land = run.on_track
        if land is not None and run.bare_mm is not None and abs(land.remainder) > limit + 1e-9:
            yield Found(
                (run.cable.id, run.stop.id, f"T{run.tube}"),
                f"{run.cable.name} T{run.tube} at {context.name}: {run.bare_mm:.0f} mm of bare fibre are "
                f"{land.turns:.2f} turns, {abs(land.remainder):.2f} from {land.nearest:g}; "
                f"{land.next_half_mm:.0f} mm land, {land.next_half_mm - run.bare_mm:.0f} mm more",
                abs(land.remainder),
                limit,
                cures.bare(context.plant, run, land.next_half_mm),
            )


@rule(
    "tail.round",
    "note",
    title="The opening could be set to whole or half turns exactly",
    reason="A few millimetres more or less of opening make the fibre lie without bow.",
    basis=f"{PRACTICE}; less than 10 mm cannot be measured on a sheath",
    limit=10,
    unit="mm",
    good=ex.clean,
    bad=lambda: ex.opening_changed(-25.0),
)
def tail_round(context: Context, limit: float) -> Iterator[Found]:
    """Opened tubes that land well enough, with some millimetres to spare or lacking."""
    for run in context.tube_runs:
        land = run.on_track
        if land is None or run.bare_mm is None or not land.lands:
            continue
        off = abs(land.remainder_mm)
        if off > limit + 1e-9:
            needs = land.nearest * track_mm(context.plant.tray_types[run.tray.type]) if run.tray else run.bare_mm
            yield Found(
                (run.cable.id, run.stop.id, f"T{run.tube}"),
                f"{run.cable.name} T{run.tube} at {context.name}: {run.bare_mm:.0f} mm of bare fibre are "
                f"{land.turns:.2f} turns; {land.nearest:g} turns need {needs:.0f} mm, "
                f"{off:.0f} mm {'less' if land.remainder_mm > 0 else 'more'} opening",
                off,
                limit,
                cures.bare(context.plant, run, needs),
            )


@rule(
    "bay.passes",
    "error",
    title="The slack bay holds the passes of the uncut tubes",
    reason="Tubes pressed into a full bay are crushed under the lid.",
    basis="half of the bay's section (common practice, no source)",
    unit="passes",
    good=ex.clean,
    bad=lambda: faults.small_bay(ex.clean()),
)
def bay_passes_fit(context: Context, limit: float) -> Iterator[Found]:
    """Bays with more passes than half their section takes, all cables together."""
    by_bay: dict[str, list[tuple[float, int, str, str]]] = {}
    for run in context.express_runs:
        if run.passes is not None:
            by_bay.setdefault(run.bay.name, []).append((run.passes, run.capacity, run.cable.name, run.cable.id))
    for name, runs in sorted(by_bay.items()):
        passes = sum(run[0] for run in runs)
        most = limit or min(run[1] for run in runs)
        # Somewhere on the loop the next whole number lies side by side.
        if ceil(passes - 1e-9) > most:
            yield Found(
                (context.main.id if context.main else context.site, name, *(run[3] for run in runs)),
                f"{name} at {context.name}: {passes:.1f} passes of {', '.join(run[2] for run in runs)}, "
                f"it takes {most:g}",
                passes,
                most,
            )


@rule(
    "coil.slack",
    "warning",
    title="Enough cable is coiled outside to bring the enclosure to the bench",
    reason="Without slack the enclosure cannot be lowered and is worked on in place.",
    basis="common practice 6 to 30 m; owners ask from 20 ft",
    limit=6,
    unit="m",
    worse="less",
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.clean(), coil_in_m=2.0),
)
def coil_slack(context: Context, limit: float) -> Iterator[Found]:
    """Opened cables in an enclosure with too little coiled on a side."""
    if context.main is None:
        return
    for here in context.cables:
        if here.passing and here.stop.tubes:
            least, side = min((here.stop.coil_in_m, "<"), (here.stop.coil_out_m, ">"))
            if least < limit - 1e-9:
                yield Found(
                    (here.cable.id, here.stop.id),
                    f"{here.cable.name} at {context.name}: {least:g} m coiled on the {SIDE_WORDS[side]}, "
                    f"at least {limit:g} m",
                    least,
                    limit,
                )


RULES = (marks_given, marks_order, marks_opening, tail_landing, tail_round, bay_passes_fit, coil_slack)
