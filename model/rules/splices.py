"""Splices judged by what they join: numbers in order, like classes of glass, like colour orders."""

from __future__ import annotations

from collections.abc import Iterator

from model.entities import Mating, Splice
from model.ids import FibreClassId
from model.numbers import to_text
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


def row_text(context: Context, user: Splice | Mating) -> str:
    """A joint as its row of a schedule: end to end, or end in port."""
    if isinstance(user, Splice):
        return f"{context.facts.end_name(user.a)} to {context.facts.end_name(user.b)}"
    port = context.plant.ports[user.port]
    return f"{context.facts.end_name(user.end)} in {port.panel} port {port.number}"


@rule(
    "joint.order",
    "warning",
    title="Fibres are joined in order, unless a roll is meant",
    reason="A swap that nobody meant is found years later, when the wrong customer goes dark.",
    basis=PRACTICE,
    limit=0,
    unit="joints",
    good=ex.clean,
    bad=lambda: faults.swapped(ex.clean()),
)
def joint_order(context: Context, limit: float) -> Iterator[Found]:
    """Joints of two cables whose numbers do not rise together, other than those marked as a roll."""
    for (first, second), rows in sorted(context.pairs.items()):
        rows = sorted((row for row in rows if not row[2].roll), key=lambda row: (row[0].fibre, row[0].side))
        wanted = sorted(row[1].fibre for row in rows)
        odd = [(a, b, due) for (a, b, _), due in zip(rows, wanted, strict=True) if b.fibre != due]
        if len(odd) > limit:
            names = [context.plant.table("cables")[key].name for key in (first, second)]
            said = ", ".join(f"{a.fibre} goes to {b.fibre} and not {due}" for a, b, due in odd[:6])
            yield Found(
                (first, second),
                f"{names[0]} to {names[1]} at {context.name}: {len(odd)} joints are out of order: {said}"
                + (" and others" if len(odd) > 6 else ""),
                len(odd),
                limit,
            )


@rule(
    "joint.classes",
    "note",
    title="Joints of unlike classes of fibre",
    reason="Unlike mode fields show gains and losses by direction, so these joints are measured both ways.",
    basis="measurement practice for splices of unlike mode field, from memory",
    limit=0,
    unit="joints",
    good=ex.clean,
    bad=lambda: ex.with_kind(ex.clean(), ex.DROP, fibre_class="g657a2"),
)
def joint_classes(context: Context, limit: float) -> Iterator[Found]:
    """Pairs of fibre classes that meet here, each with its number of joints."""
    counts: dict[tuple[FibreClassId, FibreClassId], int] = {}
    for splice in context.splices:
        kinds = [context.facts.end_kind(end) for end in (splice.a, splice.b)]
        if kinds[0] and kinds[1] and kinds[0].fibre_class != kinds[1].fibre_class:
            first, second = sorted((kinds[0].fibre_class, kinds[1].fibre_class))
            counts[first, second] = counts.get((first, second), 0) + 1
    for (first, second), count in sorted(counts.items()):
        if count > limit:
            titles = [context.plant.fibre_classes[key].title for key in (first, second)]
            yield Found(
                (context.site, first, second),
                f"{count} joint{'s' * (count != 1)} at {context.name} join{'s' * (count == 1)} {titles[0]} to "
                f"{titles[1]}: measure both ways",
                count,
                limit,
            )


@rule(
    "joint.colours",
    "note",
    title="Joints of cables with different colour orders",
    reason="The same colour then means different numbers, so joining by colour swaps fibres.",
    basis="colour orders of the cable types; join by number",
    limit=0,
    unit="joints",
    good=ex.clean,
    bad=lambda: faults.other_colours(ex.clean()),
)
def joint_colours(context: Context, limit: float) -> Iterator[Found]:
    """Pairs of cables with different fibre colour orders joined here."""
    for (first, second), rows in sorted(context.pairs.items()):
        kinds = [context.facts.end_kind(end) for end in rows[0][:2]]
        if kinds[0] and kinds[1] and kinds[0].fibre_scheme != kinds[1].fibre_scheme and len(rows) > limit:
            names = [context.plant.table("cables")[key].name for key in (first, second)]
            yield Found(
                (first, second),
                f"{names[0]} and {names[1]} at {context.name} count their colours in different orders: "
                f"join {to_text(sorted(row[0].fibre for row in rows))} by number, not by colour",
                len(rows),
                limit,
            )


RULES = (joint_order, joint_classes, joint_colours)
