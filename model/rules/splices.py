"""Splices judged by what they join: numbers in order, like classes of glass, like colour orders, and low loss."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import fmean

from model.entities import Mating, Reading, Splice
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


@rule(
    "splice.loss",
    "error",
    title="No reading of a splice is too high",
    reason="A splice that loses this much is misaligned, dirty or under stress, and gets worse.",
    basis="owner acceptance tables, 0.20 dB at 1550 nm for any splice",
    limit=0.20,
    unit="dB",
    good=lambda: ex.with_splice(ex.clean(), 13, measured=(Reading(1550, "A-B", 0.06),), status="done"),
    bad=lambda: ex.with_splice(ex.clean(), 13, measured=(Reading(1550, "A-B", 0.28), Reading(1550, "B-A", -0.16))),
)
def splice_loss(context: Context, limit: float) -> Iterator[Found]:
    """Splices with a reading above the limit."""
    for splice in context.splices:
        worst = max(splice.measured, key=lambda r: (r.loss_db, r.wavelength_nm), default=None)
        if worst is not None and worst.loss_db > limit + 1e-9:
            yield Found(
                (splice.id,),
                f"{row_text(context, splice)} at {context.name} reads {worst.loss_db:.2f} dB "
                f"({worst.direction}, {worst.wavelength_nm} nm), at most {limit:.2f} dB",
                worst.loss_db,
                limit,
            )


@rule(
    "splice.mean",
    "warning",
    title="The mean of a splice's two directions is low enough",
    reason="Only the mean of both directions is the real loss of a splice.",
    basis="an owner's acceptance table: 0.1 dB averaged over both directions",
    limit=0.10,
    unit="dB",
    good=lambda: ex.with_splice(
        ex.clean(), 13, measured=(Reading(1550, "A-B", 0.15), Reading(1550, "B-A", 0.01)), status="done"
    ),
    bad=lambda: ex.with_splice(
        ex.clean(), 13, measured=(Reading(1550, "A-B", 0.17), Reading(1550, "B-A", 0.11)), status="done"
    ),
)
def splice_mean(context: Context, limit: float) -> Iterator[Found]:
    """Splices whose mean over both directions at one wavelength is above the limit."""
    for splice in context.splices:
        for wave in sorted({r.wavelength_nm for r in splice.measured}):
            ways = [
                [r.loss_db for r in splice.measured if r.wavelength_nm == wave and r.direction == way]
                for way in ("A-B", "B-A")
            ]
            if not all(ways):
                continue
            mean = fmean(fmean(way) for way in ways)
            if mean > limit + 1e-9:
                yield Found(
                    (splice.id, f"{wave} nm"),
                    f"{row_text(context, splice)} at {context.name} means {mean:.3f} dB over both directions at "
                    f"{wave} nm, at most {limit:.2f} dB",
                    mean,
                    limit,
                )


RULES = (joint_order, joint_classes, joint_colours, splice_loss, splice_mean)
