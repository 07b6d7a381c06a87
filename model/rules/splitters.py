"""Splitters judged by their legs: an idle one is capped and parked, so that everybody sees it is free."""

from __future__ import annotations

from collections.abc import Iterator

from model.edits.patching import Park
from model.entities import LegEnd
from model.graph import end_node
from model.numbers import to_text
from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "splitter.parked",
    "warning",
    title="Every leg of a splitter is joined, patched or parked",
    reason="A loose connector reflects light, gathers dirt and is patched by mistake.",
    basis=f"{PRACTICE}: a parking bay in the cabinet",
    limit=0,
    unit="legs",
    good=lambda: faults.with_splitter(ex.clean(), parked=(1, 2)),
    bad=lambda: faults.with_splitter(ex.clean(), parked=(1,)),
)
def splitter_parked(context: Context, limit: float) -> Iterator[Found]:
    """Legs on which nothing is and which nobody has parked; of several inputs those no feed is on."""
    users = context.facts.users
    for splitter in sorted(context.plant.splitters.values(), key=lambda s: (s.name, s.id)):
        kind = context.plant.splitter_types.get(splitter.type)
        if splitter.site != context.site or kind is None:
            continue
        outs = [LegEnd(splitter.id, "out", n) for n in range(1, len(kind.legs_db) + 1) if n not in splitter.parked]
        ins = [LegEnd(splitter.id, "in", n) for n in range(1, kind.inputs + 1) if n not in splitter.standby]
        loose = [leg for leg in (*ins, *outs) if end_node(leg) not in users]
        if not any(end_node(LegEnd(splitter.id, "in", n)) in users for n in range(1, kind.inputs + 1)):
            # A splitter without any feed has no idle input: what lacks there is the feed, and the services say so.
            loose = [leg for leg in loose if leg.role == "out"]
        if len(loose) > limit:
            said = [
                f"{word}{'s' * (len(numbers) != 1)} {to_text(numbers)}"
                for word, numbers in (
                    ("input", [leg.number for leg in loose if leg.role == "in"]),
                    ("leg", [leg.number for leg in loose if leg.role == "out"]),
                )
                if numbers
            ]
            yield Found(
                (splitter.id,),
                f"{splitter.name} at {context.name}: {' and '.join(said)} "
                f"{'is' if len(loose) == 1 else 'are'} neither used nor parked",
                len(loose),
                limit,
                ((Park(tuple(loose)),),),
            )


RULES = (splitter_parked,)
