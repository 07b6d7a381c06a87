"""Whom planned work on a tray disturbs besides those it is for."""

from __future__ import annotations

from collections.abc import Iterator

from model.correlate.affected import others_on_trays
from model.rules import examples as ex
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "tray.live",
    "warning",
    title="A tray with planned work carries no other live service",
    reason="Moving a tray bends the glass on it, and a live circuit there sees its loss jump.",
    basis=PRACTICE,
    limit=0,
    unit="services",
    good=ex.clean,
    bad=lambda: ex.with_service_fields(ex.made(ex.clean(), *ex.both_ways(0.05, 0.05)), "th-1", status="live"),
)
def tray_live(context: Context, limit: float) -> Iterator[Found]:
    """Trays that planned or removed joints open, with live services that these joints are not for."""
    states = {splice.status in ("planned", "remove") for splice in context.splices}
    loops = any(record.side == "" and record.tray for here in context.cables for record in here.stop.stored)
    if True not in states or (False not in states and not loops):
        return  # nothing is planned, or nothing but what is planned lies on a tray
    services = context.plant.services
    for opened in others_on_trays(context.facts.continuity, context.site, carried=context.facts.services):
        if len(opened.services) > limit:
            names = " ".join(services[s].name for s in opened.services[:8])
            more = f" and {len(opened.services) - 8} more" if len(opened.services) > 8 else ""
            yield Found(
                (opened.tray.key.split("|", 1)[1], *opened.services),
                f"planned work opens {opened.tray.words}, which carries {names}{more} live",
                len(opened.services),
                limit,
            )


RULES = (tray_live,)
