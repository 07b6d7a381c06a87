"""Entries of an enclosure: which cable is in which, whether it seals, how it is held and bonded."""

from __future__ import annotations

from collections.abc import Iterator

from model.edits.entering import Enter
from model.edits.routing import Hold, SetPlugs
from model.entries import entry_pair, free_entries
from model.history import Edit
from model.rules import examples as ex
from model.rules import faults
from model.rules.accounting import SIDE_WORDS
from model.rules.context import Context, Here
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "entry.known",
    "error",
    title="Every leg of sheath uses an entry the enclosure has",
    reason="A cable without an entry of its own is not sealed.",
    basis="entries of the enclosure type",
    good=ex.clean,
    bad=lambda: ex.with_box(ex.with_stop(ex.clean(), ex.DROP, entry_out=""), plugged=("2", "3", "4", "5", "6", "7")),
)
def entry_known(context: Context, limit: float) -> Iterator[Found]:
    """Legs in no entry or in one that is not there."""
    if context.main is None or not context.entries:
        return
    for here in context.sheaths:
        for side, name in here.legs:
            if name not in context.entries:
                said = f"in entry {name}, which {context.main.name} does not have" if name else "in no entry"
                yield Found(
                    (here.cable.id, here.stop.id, side),
                    f"{here.cable.name}, {SIDE_WORDS[side]}, is {said}; it has {', '.join(context.entries)}",
                    cures=_into(context, here),
                )


def _into(context: Context, here: Here) -> tuple[tuple[Edit, ...], ...]:
    """Put a cable into free entries that seal it; none where there are none."""
    if context.main is None:
        return ()
    names: tuple[str, ...]
    if here.passing:
        names = entry_pair(context.plant, context.main, here.kind) or ()
    else:
        names = tuple(e.name for e in free_entries(context.plant, context.main, here.kind)[:1])
    if not names:
        return ()
    words = f"enter {here.cable.name} in {'/'.join(names)}"
    return ((Enter(here.cable.id, here.stop.id, names, words),),)


@rule(
    "entry.seal",
    "error",
    title="A cable's diameter is inside its entry's seal range",
    reason="A seal on too thin a sheath leaks, on too thick a one it crushes.",
    basis="seal range of the entry; of a flat drop both diameters",
    limit=0,
    unit="mm outside the range",
    good=ex.clean,
    bad=lambda: ex.with_entry(ex.clean(), "4", seal_min_mm=4.0),
)
def entry_seal(context: Context, limit: float) -> Iterator[Found]:
    """Legs thinner or thicker than their entry seals."""
    for here in context.sheaths:
        for side, name in here.legs:
            entry = context.entries.get(name)
            if entry is None:
                continue
            sizes = [here.kind.od_mm] + ([here.kind.od_minor_mm] if here.kind.od_minor_mm is not None else [])
            miss = max(max(entry.seal_min_mm - size, size - entry.seal_max_mm) for size in sizes)
            if miss > limit + 1e-9:
                shown = " x ".join(f"{size:g}" for size in sizes)
                yield Found(
                    (here.cable.id, here.stop.id, side),
                    f"entry {name} at {context.name} seals {entry.seal_min_mm:g} to {entry.seal_max_mm:g} mm, "
                    f"{here.cable.name} is {shown} mm",
                    miss,
                    limit,
                )


@rule(
    "entry.cables",
    "error",
    title="An entry holds no more cables than its seal takes",
    reason="Each cable needs its own hole in the seal.",
    basis="cables of the entry",
    unit="cables",
    good=ex.clean,
    bad=lambda: ex.with_entry(ex.clean(), "4", cables=0),
)
def entry_cables(context: Context, limit: float) -> Iterator[Found]:
    """Entries with too many legs."""
    for name, users in sorted(context.in_entry.items()):
        entry = context.entries.get(name)
        if entry is None:
            continue
        most = limit or entry.cables
        if len(users) > most:
            yield Found(
                (context.main.id if context.main else context.site, name),
                f"entry {name} at {context.name} takes {most:g} cable{'s' * (most != 1)}, it holds {len(users)}: "
                + ", ".join(here.cable.name for here in users),
                len(users),
                most,
            )


@rule(
    "entry.plug",
    "error",
    title="Every unused entry is plugged",
    reason="Water and insects come in by an open entry.",
    basis=PRACTICE,
    limit=0,
    unit="open entries",
    good=ex.clean,
    bad=lambda: ex.with_box(ex.clean(), plugged=("2", "3", "5", "6")),
)
def entry_plug(context: Context, limit: float) -> Iterator[Found]:
    """Entries with neither cable nor plug."""
    if context.main is None:
        return
    opened = [n for n in context.entries if n not in context.in_entry and n not in context.main.plugged]
    if len(opened) > limit:
        word = "entry" if len(opened) == 1 else "entries"
        yield Found(
            (context.main.id, *sorted(opened)),
            f"{context.main.name}: {word} {', '.join(opened)} {'is' if len(opened) == 1 else 'are'} neither used "
            "nor plugged",
            len(opened),
            limit,
            ((SetPlugs(context.main.id, tuple(sorted({*context.main.plugged, *opened}))),),),
        )


@rule(
    "entry.plugged",
    "error",
    title="No cable is in a plugged entry",
    reason="One of the two records is wrong, and the crew finds out on the ladder.",
    basis="physics",
    good=ex.clean,
    bad=lambda: ex.with_box(ex.clean(), plugged=("2", "3", "4", "5", "6", "7")),
)
def entry_plugged(context: Context, limit: float) -> Iterator[Found]:
    """Entries with both a cable and a plug."""
    if context.main is None:
        return
    for name in context.main.plugged:
        users = context.in_entry.get(name, ())
        if users:
            rest = tuple(n for n in context.main.plugged if n != name)
            yield Found(
                (context.main.id, name),
                f"entry {name} of {context.main.name} is plugged, but {users[0].cable.name} is in it",
                cures=((SetPlugs(context.main.id, rest),),),
            )


@rule(
    "entry.spare",
    "warning",
    title="An enclosure keeps an entry for the next branch",
    reason="Without one the next drop needs another enclosure.",
    basis=f"{PRACTICE}; some owners ask two",
    limit=1,
    unit="free entries",
    worse="less",
    good=ex.clean,
    bad=lambda: faults.few_entries(ex.clean()),
)
def entry_spare(context: Context, limit: float) -> Iterator[Found]:
    """Enclosures with too few free entries."""
    if context.main is None or not context.entries:
        return
    free = [name for name in context.entries if name not in context.in_entry]
    if len(free) < limit:
        yield Found(
            (context.main.id,),
            f"{context.main.name} has {len(free)} free entries, at least {limit:g}",
            len(free),
            limit,
        )


@rule(
    "anchor.strength",
    "error",
    title="Every leg's strength member is anchored, or its drop clamped",
    reason="Unheld sheath creeps with cold and pushes tubes into the enclosure.",
    basis=f"{PRACTICE}; anchors of the enclosure type",
    good=ex.clean,
    bad=lambda: ex.with_stop(ex.clean(), anchored_out=False),
)
def anchor_strength(context: Context, limit: float) -> Iterator[Found]:
    """Legs that nothing holds."""
    if context.main is None:
        return
    for here in context.sheaths:
        for side, name in here.legs:
            if not (here.stop.anchored_in if side == "<" else here.stop.anchored_out):
                entry = context.entries.get(name)
                rod = entry is None or entry.rod_x_mm is not None
                hold = (
                    Hold(here.cable.id, here.stop.id, anchored_in=True)
                    if side == "<"
                    else Hold(here.cable.id, here.stop.id, anchored_out=True)
                )
                yield Found(
                    (here.cable.id, here.stop.id, side),
                    f"{here.cable.name} at {context.name}, {SIDE_WORDS[side]}: "
                    + ("its strength member is not anchored" if rod else "it is not clamped"),
                    cures=((hold,),),
                )


@rule(
    "bond.metal",
    "error",
    title="Metal in a cable is bonded",
    reason="Unbonded armour carries touch voltage and lightning to the splicer, and cannot be located.",
    basis="utility practice for armoured cable; an owner who isolates switches the rule off",
    good=lambda: ex.with_stop(ex.with_kind(ex.clean(), metal=True), bonded=True),
    bad=lambda: ex.with_kind(ex.clean(), metal=True),
)
def bond_metal(context: Context, limit: float) -> Iterator[Found]:
    """Metal cables in an enclosure without a bond."""
    if context.main is None:
        return
    for here in context.sheaths:
        if here.kind.metal and not here.stop.bonded:
            yield Found(
                (here.cable.id, here.stop.id),
                f"{here.cable.name} at {context.name} has metal and is not bonded",
                cures=((Hold(here.cable.id, here.stop.id, bonded=True),),),
            )


RULES = (
    entry_known,
    entry_seal,
    entry_cables,
    entry_plug,
    entry_plugged,
    entry_spare,
    anchor_strength,
    bond_metal,
)
