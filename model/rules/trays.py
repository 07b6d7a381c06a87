"""What lies on a tray: sleeves by slot, fibres stored of every kind, what fits its holders and the enclosure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from model.edits.joining import MoveSplices
from model.edits.parts import Replace
from model.entities import Tray
from model.layout import TrayLoad
from model.numbers import to_text
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


def _label(context: Context, tray: Tray) -> str:
    return f"tray {tray.name} of {context.plant.enclosures[tray.enclosure].name}"


def load_text(load: TrayLoad) -> str:
    """What a tray holds: ``4 joints + 8 loop-through + 4 stubs = 16 of 24 fibres``."""
    parts = ((load.joints, "joints"), (load.loops, "loop-through"), (load.stubs, "stubs"))
    said = " + ".join(f"{n} {word[:-1] if n == 1 and word.endswith('s') else word}" for n, word in parts if n)
    return f"{said or '0'} = {load.stored} of {load.kind.stored_max} fibres"


@rule(
    "tray.sleeves",
    "error",
    title="A tray holds no more sleeves than it has room for",
    reason="The lid presses sleeves that stand out of their holders and bends the fibres at their ends.",
    basis="slots of the tray type times the sleeves a slot takes",
    unit="sleeves",
    good=ex.clean,
    bad=lambda: faults.unslotted(ex.with_tray_kind(ex.clean(), slots=2)),
)
def tray_sleeves(context: Context, limit: float) -> Iterator[Found]:
    """Trays with more joints than slots; a ribbon sleeve holds one ribbon."""
    for load in context.loads:
        most = limit or load.most
        if load.sleeves > most:
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} holds {load.sleeves} sleeves, it has room for {most:g}",
                load.sleeves,
                most,
            )


@rule(
    "tray.stored",
    "error",
    title="A tray stores no more fibres than it may",
    reason="Loops and stubs take room like joints; an overfull track lifts fibres under the lid.",
    basis="most fibres stored of the tray type; loop-through fibres count as load",
    unit="fibres",
    good=ex.clean,
    bad=lambda: ex.with_tray_kind(ex.clean(), stored_max=2),
)
def tray_stored(context: Context, limit: float) -> Iterator[Found]:
    """Trays over the limit of stored fibres, all kinds together."""
    for load in context.loads:
        most = limit or load.kind.stored_max
        if load.stored > most:
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} stores too much: {load_text(load)}",
                load.stored,
                most,
            )


@rule(
    "tray.load",
    "note",
    title="A tray holds more than its joints",
    reason="Whoever opens it moves loop-through glass and stubs as well.",
    basis=PRACTICE,
    limit=0,
    unit="fibres",
    good=ex.clean,
    bad=lambda: faults.stored_on_tray(ex.clean()),
)
def tray_load_note(context: Context, limit: float) -> Iterator[Found]:
    """Trays with loops or stubs on them."""
    for load in context.loads:
        others = load.loops + load.stubs
        if others > limit:
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} holds more than its joints: {load_text(load)}",
                others,
                limit,
            )


@rule(
    "tray.reserve",
    "warning",
    title="A tray keeps some slots free",
    reason="A joint made again later needs a slot.",
    basis=PRACTICE,
    limit=90,
    unit="%",
    good=ex.clean,
    bad=lambda: ex.with_tray_kind(ex.clean(), slots=3),
)
def tray_reserve(context: Context, limit: float) -> Iterator[Found]:
    """Trays filled beyond the limit, or into the slots they are to keep free, but not beyond their slots."""
    for load in context.loads:
        room, used = load.most, load.sleeves
        most = room - load.tray.reserve
        if load.tray.reserve and most < used <= room:
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} is to keep {load.tray.reserve} slots free, {room - used} of {room} are",
                100.0 * used / room,
                100.0 * most / room,
            )
            continue
        filled = 100.0 * used / room if room else 0.0
        if filled > limit + 1e-9 and used <= room:
            word = "sleeves" if load.kind.kind == "ribbon" else "joints"
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} is {filled:.0f} % full with {used} of {room} {word}, "
                f"at most {limit:g} %",
                filled,
                limit,
            )


@rule(
    "tray.sleeve_length",
    "error",
    title="Sleeves are as long as their holders",
    reason="A sleeve longer than its holder bends the fibre where it leaves it; a shorter one works loose.",
    basis="holder length of the tray type",
    unit="mm",
    good=ex.clean,
    bad=lambda: ex.with_tray(ex.clean(), sleeve_mm=60.0),
)
def tray_sleeve_length(context: Context, limit: float) -> Iterator[Found]:
    """Trays whose sleeves differ from the holders; a profile's limit is the difference allowed."""
    for load in context.loads:
        sleeve = load.tray.sleeve_mm
        if sleeve is not None and abs(sleeve - load.kind.sleeve_mm) > limit + 1e-9:
            usual = replace(load.tray, sleeve_mm=None)
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} takes sleeves of {load.kind.sleeve_mm:g} mm, not {sleeve:g} mm",
                sleeve,
                load.kind.sleeve_mm,
                ((Replace(usual, "use sleeves that fit"),),),
            )


@rule(
    "slot.twice",
    "error",
    title="A slot holds no more joints than it takes",
    reason="Two sleeves pressed into one holder bend both fibres.",
    basis="sleeves per slot of the tray type",
    unit="joints",
    good=ex.clean,
    bad=lambda: ex.with_splice(ex.clean(), 14, slot=1),
)
def slot_twice(context: Context, limit: float) -> Iterator[Found]:
    """Slots with more joints than they take; a ribbon slot takes one ribbon."""
    for load in context.loads:
        most = limit or load.kind.per_slot
        if load.kind.kind == "ribbon":
            continue
        for slot, ids in load.slots.items():
            if len(ids) > most:
                rows = ", ".join(
                    f"{context.facts.end_name(s.a)} to {context.facts.end_name(s.b)}"
                    for s in (context.plant.table("splices")[key] for key in ids)
                )
                move = MoveSplices(tuple(context.plant.table("splices")[key].id for key in ids[1:]), load.tray.id)
                yield Found(
                    (load.tray.id, f"slot {slot}", *ids),
                    f"{_label(context, load.tray)}: slot {slot} holds {len(ids)} joints: {rows}",
                    len(ids),
                    most,
                    ((move,),),
                )


@rule(
    "slot.exists",
    "error",
    title="A joint is in a slot the tray has",
    reason="A joint in a slot that is not there ends up loose.",
    basis="slots of the tray type",
    unit="",
    good=ex.clean,
    bad=lambda: ex.with_splice(ex.clean(), 14, slot=25),
)
def slot_exists(context: Context, limit: float) -> Iterator[Found]:
    """Joints in slots beyond the tray."""
    for load in context.loads:
        beyond = tuple(slot for slot in load.slots if not 1 <= slot <= load.kind.slots)
        for slot in beyond:
            ids = load.slots[slot]
            yield Found(
                (load.tray.id, *ids),
                f"{_label(context, load.tray)} has slots 1-{load.kind.slots}, not {to_text([slot])}",
                slot,
                load.kind.slots,
                ((MoveSplices(tuple(context.plant.table("splices")[key].id for key in ids), load.tray.id),),),
            )


@rule(
    "tray.kind",
    "warning",
    title="Single and ribbon joints lie on trays made for them",
    reason="A holder for one sort of sleeve does not hold the other.",
    basis="kind of the tray type",
    limit=0,
    unit="joints",
    good=ex.clean,
    bad=lambda: ex.with_splice(ex.clean(), 14, method="ribbon"),
)
def tray_kind(context: Context, limit: float) -> Iterator[Found]:
    """Trays with joints of the other kind."""
    for load in context.loads:
        splices = [context.plant.table("splices")[key] for ids in load.slots.values() for key in ids]
        odd = [s for s in splices if (s.method == "ribbon") != (load.kind.kind == "ribbon")]
        if len(odd) > limit:
            word = "ribbon" if load.kind.kind == "single" else "single"
            yield Found(
                (load.tray.id,),
                f"{_label(context, load.tray)} is for {load.kind.kind} joints and holds {len(odd)} {word} "
                f"joint{'s' * (len(odd) != 1)}",
                len(odd),
                limit,
            )


@rule(
    "tray.place",
    "error",
    title="A tray is of a type its enclosure takes, in a position of its own",
    reason="A tray that does not fit its hinge carries its weight on the fibres.",
    basis="trays and positions of the enclosure type",
    good=ex.clean,
    bad=lambda: ex.with_box_kind(ex.clean(), trays=("tray-12",)),
)
def tray_place(context: Context, limit: float) -> Iterator[Found]:
    """Trays of a wrong type, in a position that is not there, or in one taken already."""
    taken: dict[tuple[str, int], Tray] = {}
    for tray in context.trays:
        kind = context.plant.enclosure_types[context.plant.enclosures[tray.enclosure].type]
        label = _label(context, tray)
        if tray.type not in kind.trays:
            title = context.plant.tray_types[tray.type].title
            yield Found((tray.id, tray.type), f"{label}: {kind.title} takes no {title!r}")
        numbers = sorted(p.number for p in kind.tray_positions)
        if tray.position not in numbers:
            yield Found(
                (tray.id, "position"), f"{label}: {kind.title} has positions {to_text(numbers)}, not {tray.position}"
            )
        other = taken.setdefault((tray.enclosure, tray.position), tray)
        if other is not tray:
            yield Found((tray.id, other.id), f"{label} is in position {tray.position}, where tray {other.name} is")


@rule(
    "enclosure.joints",
    "error",
    title="An enclosure holds no more joints than it is rated for",
    reason="A forced lid leaks and presses the trays.",
    basis="rated joints of the enclosure type",
    unit="joints",
    good=ex.clean,
    bad=lambda: ex.with_box_kind(ex.clean(), splices=2),
)
def enclosure_joints(context: Context, limit: float) -> Iterator[Found]:
    """Enclosures with more joints than rated."""
    for enclosure in context.enclosures:
        kind = context.plant.enclosure_types[enclosure.type]
        most = limit or kind.splices
        joints = sum(load.joints for load in context.loads if load.tray.enclosure == enclosure.id)
        if most and joints > most:
            yield Found(
                (enclosure.id,),
                f"{enclosure.name} holds {joints} joints, it is rated for {most:g}",
                joints,
                most,
            )


RULES = (
    tray_sleeves,
    tray_stored,
    tray_load_note,
    tray_reserve,
    tray_sleeve_length,
    slot_twice,
    slot_exists,
    tray_kind,
    tray_place,
    enclosure_joints,
)
