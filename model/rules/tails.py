"""Tails and stripped lengths: do they reach the splicing machine, and leave enough and not too much on the tray?

Lengths are those of the drawn courses. The exchange-side tail of an opened tube runs from its sheath end to the cut,
the field-side one from the cut to the other sheath end; a drop's tail is its stripped length. Bare fibre is what is
left of a tail beyond the tube's end on the tray.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.entities import Splice, Tray
from model.layout import DropRun, TubeRun, track_mm
from model.lookup import fibres_of
from model.prep import opening_needed_mm, peel_mm, strip_needed_mm
from model.rules import cures, faults
from model.rules import examples as ex
from model.rules.accounting import SIDE_WORDS
from model.rules.context import Context, Here
from model.rules.registry import PRACTICE, Found, rule


@dataclass(frozen=True, slots=True)
class Tail:
    """One side of glass that is joined: free length from the sheath end and bare part of it, where known."""

    here: Here
    side: str
    tube: int
    tray: Tray | None
    slot: int
    free_mm: float | None
    bare_mm: float | None

    @property
    def label(self) -> str:
        """The tail in words."""
        if self.here.passing:
            return f"{self.here.cable.name} T{self.tube}, {SIDE_WORDS[self.side]}"
        return self.here.cable.name


def _slot(context: Context, here: Here, fibres: range, side: str) -> int | None:
    """Highest slot that fibres of this side are joined in; None when none is joined on a tray."""
    slots = [
        user.slot or 1
        for fibre in fibres
        for user in context.facts.users.get(here.node(fibre, side), ())
        if isinstance(user, Splice) and user.tray is not None
    ]
    return max(slots, default=None)


def tails(context: Context) -> list[Tail]:
    """Every side of every tube, and every drop, that has a joint here."""
    found = []
    for run in context.tube_runs:
        here = context.stops[run.stop.id]
        if not 1 <= run.tube <= len(here.kind.tubes):
            continue
        for side in ("<", ">"):
            slot = _slot(context, here, fibres_of(here.kind, run.tube), side)
            if slot is not None:
                free, bare = _tube_tail(run, side)
                found.append(Tail(here, side, run.tube, run.tray, slot, free, bare))
    for drop in context.drop_runs:
        here = context.stops[drop.stop.id]
        side = here.sides[0]
        slot = _slot(context, here, range(1, here.kind.fibre_count + 1), side)
        if slot is not None:
            found.append(Tail(here, side, 0, drop.tray, slot, drop.strip_mm, drop.bare_mm))
    return found


def _tube_tail(run: TubeRun, side: str) -> tuple[float | None, float | None]:
    """(free length from the sheath end to the cut, bare part of it)."""
    if run.cut_mm is None or run.opening_mm is None:
        return None, None
    free = run.cut_mm if side == "<" else run.opening_mm - run.cut_mm
    tube = run.a_mm if side == "<" else run.b_mm
    return free, None if tube is None else free - tube


def _opened_more(context: Context, tail: Tail) -> cures.Cures:
    """Open as far as the routes ask for: the exchange side has the long tail unless somebody cut elsewhere."""
    runs = [r for r in context.tube_runs if r.stop.id == tail.here.stop.id and r.tube == tail.tube]
    if tail.side != "<" or not runs or runs[0].tray is None:
        return ()
    run = runs[0]
    work = next((w for w in run.stop.tubes if w.tube == run.tube), None)
    needed = opening_needed_mm(run, context.plant.tray_types[runs[0].tray.type])
    if needed is None or run.opening_mm is None or needed <= run.opening_mm or (work and work.cut_at_mm is not None):
        return ()
    return cures.opening(context.plant, run.cable, run.stop, needed)


@rule(
    "tail.free",
    "error",
    title="A tail reaches the splicing machine",
    reason="A joint that cannot be lifted to the machine cannot be made, nor made again.",
    basis=f"{PRACTICE}: 1000 mm from the sheath end, three joints",
    limit=1000,
    unit="mm",
    worse="less",
    good=ex.clean,
    bad=lambda: ex.with_cut_at(ex.clean(), 990.0),
)
def tail_free(context: Context, limit: float) -> Iterator[Found]:
    """Joined tails shorter than the reach."""
    for tail in tails(context):
        if tail.free_mm is not None and tail.free_mm < limit - 1e-6:
            yield Found(
                (tail.here.cable.id, tail.here.stop.id, f"T{tail.tube}{tail.side}"),
                f"{tail.label} at {context.name}: {tail.free_mm:.0f} mm from the sheath end to the joint, "
                f"at least {limit:g} mm",
                tail.free_mm,
                limit,
                _opened_more(context, tail),
            )


@rule(
    "tail.turn",
    "error",
    title="A fibre makes at least one full turn on the tray before its holder",
    reason="Without it nothing is left to make the joint again, and a pull goes straight into the sleeve.",
    basis=PRACTICE,
    limit=1,
    unit="turns",
    worse="less",
    good=ex.clean,
    bad=lambda: faults.short_of_a_turn(ex.clean()),
)
def tail_turn(context: Context, limit: float) -> Iterator[Found]:
    """Joined tails whose bare fibre, less the way into the holder, is under a turn of the track."""
    for tail in tails(context):
        if tail.bare_mm is None or tail.tray is None:
            continue
        kind = context.plant.tray_types[tail.tray.type]
        turns = (tail.bare_mm - peel_mm(kind, tail.slot)) / track_mm(kind)
        if turns < limit - 1e-9:
            yield Found(
                (tail.here.cable.id, tail.here.stop.id, f"T{tail.tube}{tail.side}"),
                f"{tail.label} at {context.name}: {max(turns, 0.0):.2f} turns on tray {tail.tray.name} before the "
                f"holder, at least {limit:g}",
                turns,
                limit,
                _opened_more(context, tail),
            )


@rule(
    "tail.long",
    "warning",
    title="Bare fibre on the tray is not longer than needed",
    reason="Each turn too many fills the track for every later joint.",
    basis="1500 mm, an owner's upper limit for tails, taken here as the bare fibre beyond the tube's end",
    limit=1500,
    unit="mm",
    good=ex.clean,
    bad=lambda: ex.opening_changed(ex.THREE_TURNS_MM),
)
def tail_long(context: Context, limit: float) -> Iterator[Found]:
    """Joined tails with more bare fibre than the limit."""
    for tail in tails(context):
        if tail.bare_mm is not None and tail.bare_mm > limit + 1e-6:
            yield Found(
                (tail.here.cable.id, tail.here.stop.id, f"T{tail.tube}{tail.side}"),
                f"{tail.label} at {context.name}: {tail.bare_mm:.0f} mm bare on the tray, at most {limit:g} mm",
                tail.bare_mm,
                limit,
            )


def _needed(context: Context, run: DropRun) -> float | None:
    """Jacket to strip from a drop by its drawn course; None where it is not drawn to a tray."""
    here = context.stops[run.stop.id]
    if run.tray is None:
        return None
    slot = _slot(context, here, range(1, here.kind.fibre_count + 1), here.sides[0])
    return None if slot is None else strip_needed_mm(run, context.plant.tray_types[run.tray.type], slot)


@rule(
    "drop.strip",
    "warning",
    title="Jacket removed from a drop is what its course needs",
    reason="Stripped too short the joint cannot be made; too long, bare drop fills the enclosure.",
    basis=f"{PRACTICE}: course, way into the holder, whole turns for a reach of 650 mm and three joints",
    limit=10,
    unit="%",
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.clean(), ex.DROP, strip_mm=1040.0),
)
def drop_strip(context: Context, limit: float) -> Iterator[Found]:
    """Drops stripped too far off, or without a length."""
    for run in context.drop_runs:
        needed = _needed(context, run)
        if needed is None:
            continue
        refs = (run.cable.id, run.stop.id)
        if run.strip_mm is None:
            yield Found(
                refs,
                f"{run.cable.name} at {context.name}: no strip length is given, it needs {needed:.0f} mm",
                cures=cures.strip(run.cable, run.stop, needed),
            )
            continue
        off = 100.0 * abs(run.strip_mm - needed) / needed
        if off > limit + 1e-9:
            yield Found(
                refs,
                f"{run.cable.name} at {context.name}: {run.strip_mm:.0f} mm of jacket removed, "
                f"its course needs {needed:.0f} mm ({off:.0f} % off)",
                off,
                limit,
                cures.strip(run.cable, run.stop, needed),
            )


RULES = (tail_free, tail_turn, tail_long, drop_strip)
