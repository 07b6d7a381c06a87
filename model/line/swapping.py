"""The step that lets joints or whole trays change places: ``swap``."""

from __future__ import annotations

from model.edits.swapping import SwapSlots, SwapTrays
from model.entities import Splice, Tray
from model.ids import SpliceId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError
from model.line.names import quoted
from model.line.places import tray_named, tray_site
from model.line.said_joints import joints_in
from model.line.syntax import OnTray, Step, What
from model.line.wording import plural, runs

Held = list[tuple[Tray, int, list[Splice]]]


def swap(bench: Bench, step: Step) -> Made:
    """``swap``: joints of slots with those of others, slot by slot, or two whole trays with each other.

    Raises LineError for anything but trays, for counts that differ, and for a slot said on both sides or empty.
    """
    one, other = _trays(step.what), _trays(step.to)
    if all(piece.slots is None for piece in (*one, *other)):
        return _whole(bench, step, one, other)
    here, there = joints_in(bench, one, bench.context.place), joints_in(bench, other, bench.context.place)
    span = step.to_span or step.span
    if len(here) != len(there):
        raise LineError(
            f"{plural(len(here), 'slot')} on the left, {len(there)} on the right", span, hint="Both must count the same"
        )
    twice = {(tray.id, slot) for tray, slot, _ in here} & {(tray.id, slot) for tray, slot, _ in there}
    if twice:
        slots = runs(slot for _, slot in twice)
        several = "s" * (len(twice) != 1)
        verb = "stand" if several else "stands"
        raise LineError(f"slot{several} {slots} {verb} on both sides", span, hint="A slot changes places with another")
    made = Made(f"swap {_said(here)} and {_said(there)}")
    pairs = tuple((_keys(a), _keys(b)) for (_, _, a), (_, _, b) in zip(here, there, strict=True))
    bench.do(made, SwapSlots(pairs, name=made.name))
    made.joints = [key for pair in pairs for keys in pair for key in keys]
    made.chips = [
        Chip("do", f"let {plural(len(here), 'slot')} change places with {len(there)}", step.verb.span),
        Chip("this", _said(here), step.what_span),
        Chip("with", _said(there), span),
    ]
    return made


def _whole(bench: Bench, step: Step, one: list[OnTray], other: list[OnTray]) -> Made:
    span = step.to_span or step.span
    if len(one) != 1 or len(other) != 1:
        raise LineError("trays change places two at a time", span, hint="Like: swap tray 1 and tray 2")
    site = tray_site(bench, one[0], bench.context.place)
    trays = [tray_named(bench, piece.tray, tray_site(bench, piece, site)) for piece in (one[0], other[0])]
    if trays[0].id == trays[1].id:
        left = [f"tray {quoted(t.name)}" for t in bench.trays_at(site) if t.id != trays[0].id]
        raise LineError(
            f"tray {trays[0].name} stands on both sides",
            other[0].span,
            nearest=", ".join(left[:3]),
            hint="" if left else "There is no other tray here",
            fixes=tuple(Fix(other[0].span, name) for name in left[:3]),
        )
    made = Made(f"swap tray {trays[0].name} and tray {trays[1].name}")
    bench.do(made, SwapTrays(trays[0].id, trays[1].id, name=made.name))
    made.chips = [
        Chip("do", "let two trays change places", step.verb.span),
        Chip("this", f"tray {trays[0].name}, to position {trays[1].position}", step.what_span),
        Chip("with", f"tray {trays[1].name}, to position {trays[0].position}", span),
    ]
    return made


def _trays(what: What) -> list[OnTray]:
    found = [piece for piece in what if isinstance(piece, OnTray)]
    odd = next((piece for piece in what if not isinstance(piece, OnTray)), None)
    if odd is not None:
        raise LineError("only trays and their slots change places", odd.span, hint="Like: swap tray 1 3 and tray 1 7")
    return found


def _keys(joints: list[Splice]) -> tuple[SpliceId, ...]:
    return tuple(joint.id for joint in joints)


def _said(held: Held) -> str:
    trays = {tray.id: tray for tray, _, _ in held}
    return ", ".join(f"tray {t.name} {runs(slot for u, slot, _ in held if u.id == t.id)}" for t in trays.values())
