"""Joints judged by their ends: fibres that exist and are cut, at one place, and no path closed on itself.

Each fault of a schedule row is its own finding, so that a row wrong at both ends says both things.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.edits.cutting import CutFibres
from model.edits.joining import Part
from model.entities import FibreEnd, Mating, Splice
from model.graph import end_node
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule
from model.rules.splices import row_text


def _undo(user: Splice | Mating) -> tuple[tuple[Part, ...], ...]:
    return ((Part((user.id,)),),) if isinstance(user, Splice) else ()


@rule(
    "joint.fibre",
    "error",
    title="A joint names a fibre or leg that is there",
    reason="A schedule row for glass that does not exist cannot be spliced.",
    basis="the fibre count of the cable, the legs of the splitter",
    unit="fibres",
    good=ex.clean,
    bad=lambda: ex.joined(ex.without_stubs(ex.clean(), ex.DROP), "row 49", ex.feeder_end(49), ex.drop_end(4)),
)
def joint_fibre(context: Context, limit: float) -> Iterator[Found]:
    """Joints of fibre or leg numbers beyond the count."""
    for user, end in context.uses:
        if isinstance(end, FibreEnd):
            cable = context.plant.cables.get(end.cable)
            if cable is None:
                continue
            count = context.plant.cable_types[cable.type].fibre_count
            if not 1 <= end.fibre <= count:
                word = "fibre" if count == 1 else "fibres"
                yield Found(
                    (user.id, end_node(end)),
                    f"{cable.name} has {count} {word}, not {end.fibre} ({row_text(context, user)} at {context.name})",
                    end.fibre,
                    count,
                    _undo(user),
                )
            continue
        splitter = context.plant.splitters.get(end.splitter)
        if splitter is None:
            continue
        kind = context.plant.splitter_types[splitter.type]
        count = kind.inputs if end.role == "in" else len(kind.legs_db)
        if not 1 <= end.number <= count:
            word = ("input" if end.role == "in" else "output") + ("" if count == 1 else "s")
            yield Found(
                (user.id, end_node(end)),
                f"{splitter.name} has {count} {word}, not {end.number}",
                end.number,
                count,
                _undo(user),
            )


@rule(
    "joint.uncut",
    "error",
    title="A joint names a fibre that ends here",
    reason="Only a cut fibre can be joined, and only fibres on the cut list may be cut.",
    basis=f"{PRACTICE}: cut list and schedule must be equal",
    good=ex.clean,
    bad=lambda: ex.joined(ex.without_stubs(ex.clean(), ex.DROP), "row 17", ex.feeder_end(17), ex.drop_end(4)),
)
def joint_uncut(context: Context, limit: float) -> Iterator[Found]:
    """Joints of fibres that pass uncut."""
    for user, end in context.uses:
        here = context.stops.get(end.stop) if isinstance(end, FibreEnd) else None
        if here is None or not isinstance(end, FibreEnd) or not here.passing or here.cable.id != end.cable:
            continue
        if 1 <= end.fibre <= here.kind.fibre_count and end.fibre not in here.cut:
            cut = CutFibres(here.cable.id, here.stop.id, (end.fibre,))
            yield Found(
                (user.id, end_node(end)),
                f"{here.cable.name}:{end.fibre} is uncut here at {context.name}, so it cannot be joined "
                f"(row {row_text(context, user)})",
                cures=(*_undo(user), (cut,)),
            )


@rule(
    "joint.place",
    "error",
    title="A joint and both its ends are at one place",
    reason="Glass that is somewhere else cannot be joined here.",
    basis="physics",
    good=ex.clean,
    bad=lambda: faults.elsewhere(ex.clean()),
)
def joint_place(context: Context, limit: float) -> Iterator[Found]:
    """Joints whose ends, or whose tray, are at another place or on a side that the cable does not have."""
    facts = context.facts
    for user, end in context.uses:
        fault = ""
        if isinstance(end, FibreEnd):
            site = facts.stop_sites.get(end.stop)
            here = context.stops.get(end.stop)
            if end.cable not in context.plant.cables:
                fault = f"there is no cable {end.cable}"
            elif site is None or (here is not None and here.cable.id != end.cable):
                fault = f"{facts.end_name(end)} has no such stop"
            elif site != context.site or here is None:
                fault = f"{facts.end_name(end)} ends at {context.plant.sites[site].name}"
            elif end.side not in here.sides:
                fault = f"{facts.end_name(end)} has no {'exchange' if end.side == '<' else 'field'} side here"
        else:
            splitter = context.plant.splitters.get(end.splitter)
            if splitter is None:
                fault = f"there is no splitter {end.splitter}"
            elif splitter.site != context.site:
                fault = f"{splitter.name} is at {context.plant.sites[splitter.site].name}"
        if fault:
            yield Found(
                (user.id, end_node(end)),
                f"the joint {row_text(context, user)} is at {context.name}, but {fault}",
                cures=_undo(user),
            )
    mine = {tray.id for tray in context.trays}
    for splice in context.splices:
        if splice.tray is not None and splice.tray not in mine:
            yield Found(
                (splice.id, splice.tray),
                f"the joint {row_text(context, splice)} is at {context.name}, but its tray is not",
                cures=_undo(splice),
            )


@rule(
    "joint.self",
    "error",
    title="No fibre is joined to itself",
    reason="An end has one face; joined to itself it carries no light anywhere.",
    basis="physics",
    good=ex.clean,
    bad=lambda: ex.joined(ex.without_stubs(ex.clean(), ex.DROP), "self", ex.drop_end(4), ex.drop_end(4)),
)
def joint_self(context: Context, limit: float) -> Iterator[Found]:
    """Splices of an end with itself."""
    for splice in context.splices:
        if splice.a == splice.b:
            yield Found(
                (splice.id,),
                f"{context.facts.end_name(splice.a)} is joined to itself at {context.name}",
                cures=_undo(splice),
            )


@rule(
    "path.ring",
    "error",
    title="No light path closes on itself",
    reason="Light in a closed ring reaches no port.",
    basis="physics",
    good=ex.clean,
    bad=lambda: faults.ring(ex.clean()),
)
def path_ring(context: Context, limit: float) -> Iterator[Found]:
    """Splices on a path that comes back to where it began."""
    graph, rings = context.facts.continuity.graph, context.facts.rings
    seen: set[str] = set()
    for splice in context.splices:
        node = end_node(splice.a)
        if node in seen or splice.a == splice.b or node not in graph:
            continue
        nodes = rings.through(node)
        if nodes:
            seen.update(nodes)
            yield Found(
                (splice.id,),
                f"{row_text(context, splice)} at {context.name} closes a ring of {len(nodes)} steps: "
                "no light gets in or out",
                cures=_undo(splice),
            )


RULES = (joint_fibre, joint_uncut, joint_place, joint_self, path_ring)
