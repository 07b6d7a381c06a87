"""Do feeds that stand by for each other run apart? Judged where they meet: at the splitter or the port in the ring."""

from __future__ import annotations

from collections.abc import Iterator

from model.correlate.elements import Element
from model.correlate.paths import Arm, paths_of
from model.correlate.prior import sites_of
from model.correlate.shared import common_of
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule
from model.trace import ways_on

MOST_NAMED = 3
"""Shared elements named in the sentence, the coarsest first; the rest is counted."""
_COARSE = ("sheath", "tube", "tube_at", "tray", "port", "cord", "input", "splitter", "leg", "splice", "fibre", "drop")


@rule(
    "feeds.shared",
    "error",
    title="Working and standby feed share nothing that one event can cut",
    reason="A second feed in the same sheath, tube, tray or port goes down together with the first.",
    basis=PRACTICE,
    limit=0,
    unit="elements",
    good=lambda: faults.with_two_feeds(ex.clean(), both=False),
    bad=lambda: faults.with_two_feeds(ex.clean(), both=True),
)
def feeds_shared(context: Context, limit: float) -> Iterator[Found]:
    """Splitters with several fed inputs, and ports fed from both faces, whose ways have an element in common."""
    for key, name, arms in _meeting(context):
        shared = [item for item in common_of(context.facts.continuity, arms) if _counts(context, item)]
        if len(shared) > limit:
            shared.sort(key=lambda item: _COARSE.index(item.kind))
            said = ", ".join(item.words for item in shared[:MOST_NAMED])
            more = f" and {len(shared) - MOST_NAMED} more" if len(shared) > MOST_NAMED else ""
            message = f"{name} at {context.name}: its feeds share {said}{more}"
            yield Found((key,), message, len(shared), limit)


def _meeting(context: Context) -> Iterator[tuple[str, str, tuple[Arm, ...]]]:
    """(id, name, ways to an exchange) of everything here that several feeds meet at."""
    paths = paths_of(context.facts.continuity)
    for splitter in sorted(context.plant.splitters.values(), key=lambda s: (s.name, s.id)):
        kind = context.plant.splitter_types.get(splitter.type)
        if splitter.site == context.site and kind is not None and kind.inputs > 1:
            yield splitter.id, splitter.name, paths.feeds(splitter.id)
    graph = context.facts.continuity.graph
    for service in context.facts.services_at.get(context.site, ()):
        if all(ways_on(graph, f"{service.at}/{face}", "outside") for face in ("rear", "front")):
            yield service.id, service.name, paths.arms(service.id)


def _counts(context: Context, item: Element) -> bool:
    """Sites always meet somewhere. Trays of other sites are judged by those who open them, and in their own list."""
    if item.kind == "tray":
        return context.site in sites_of(context.plant, item.key)
    return item.kind != "site"


RULES = (feeds_shared,)
