"""What lies in an enclosure and is not drawn: nothing at all, a leg of sheath, uncut tubes, a cable that ends there.

A place of which nothing is drawn gets one note, not a list: many plants are kept for their joints alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from model.missing import missing_legs, places, uncut_missing
from model.numbers import to_text
from model.rules import cures, faults
from model.rules import examples as ex
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "route.none",
    "note",
    title="The enclosure is drawn",
    reason="Without courses no length inside is known, neither of tubes nor of drops.",
    basis=PRACTICE,
    limit=0,
    unit="cables",
    good=ex.clean,
    bad=lambda: faults.undrawn(ex.clean()),
)
def route_none(context: Context, limit: float) -> Iterator[Found]:
    """Enclosures with cables in their entries and no course drawn."""
    if context.main is None or context.drawn:
        return
    held = [place for place in places(context.plant, context.site) if any(e in context.entries for e in place.entries)]
    if len(held) > limit:
        yield Found(
            (context.main.id,),
            f"nothing is drawn in {context.main.name} at {context.name}: {len(held)} cable{'s' * (len(held) != 1)}",
            len(held),
            limit,
            cures.everything(context.plant, context.site),
        )


@rule(
    "route.leg",
    "warning",
    title="Every leg of sheath is drawn",
    reason="A tube starts where its sheath ends, which only a drawn leg shows.",
    basis=PRACTICE,
    good=ex.clean,
    bad=lambda: ex.without(ex.clean(), ex.SHEATH, "routes"),
)
def route_leg(context: Context, limit: float) -> Iterator[Found]:
    """Legs without a course, in enclosures that have any drawn."""
    if not context.drawn:
        return
    for place in places(context.plant, context.site):
        lacking = missing_legs(place)
        if lacking:
            yield Found(
                (place.cable.id, place.stop.id, *lacking),
                f"{place.cable.name} at {context.name}: its leg in entry {', '.join(lacking)} is not drawn",
                cures=cures.legs(context.plant, place.stop.id),
            )


@rule(
    "route.uncut",
    "warning",
    title="Uncut tubes are drawn through the slack bay",
    reason="An uncut tube that is not drawn has no place when the lid closes.",
    basis=PRACTICE,
    limit=0,
    unit="tubes",
    good=ex.clean,
    bad=lambda: ex.without(ex.clean(), ex.T3, "routes"),
)
def route_uncut(context: Context, limit: float) -> Iterator[Found]:
    """Uncut tubes without a course through, in enclosures that have any drawn."""
    if not context.drawn:
        return
    for place in places(context.plant, context.site):
        lacking = uncut_missing(place)
        sided = {t for r in place.routes if r.kind == "tube" and r.side for t in r.tubes}
        lacking = [t for t in lacking if t not in sided]  # drawn as opened: another rule speaks of those
        if len(lacking) > limit:
            yield Found(
                (place.cable.id, place.stop.id, *(f"T{t}" for t in lacking)),
                f"{place.cable.name} at {context.name}: uncut tube{'s' * (len(lacking) != 1)} {to_text(lacking)} "
                f"{'is' if len(lacking) == 1 else 'are'} not drawn",
                len(lacking),
                limit,
                cures.drawn_again(context.plant, place.stop.id),
            )


@rule(
    "route.end",
    "warning",
    title="Every cable that ends here is drawn to its tray",
    reason="A drop whose way is not drawn has no length, so nobody knows how much jacket to strip.",
    basis=PRACTICE,
    good=ex.clean,
    bad=lambda: ex.without(ex.clean(), ex.DROPS, "routes"),
)
def route_end(context: Context, limit: float) -> Iterator[Found]:
    """Ending cables without a course, in enclosures that have any drawn."""
    if not context.drawn:
        return
    for place in cures.undrawn_ends(context.plant, context.site):
        yield Found(
            (place.cable.id, place.stop.id),
            f"{place.cable.name} at {context.name} is not drawn to a tray",
            cures=cures.end(context.plant, place.stop.id),
        )


RULES = (route_none, route_leg, route_uncut, route_end)
