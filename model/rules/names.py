"""Do names at a site tell things apart, so that layout, schedule and labels speak of the same?"""

from __future__ import annotations

from collections.abc import Iterator

from model.rules import examples as ex
from model.rules import faults
from model.rules.context import Context
from model.rules.registry import PRACTICE, Found, rule


@rule(
    "name.twice",
    "warning",
    title="No two things of a kind at a site have the same name",
    reason="A label that fits two cables sends the cut to the wrong one.",
    basis=PRACTICE,
    limit=1,
    unit="things",
    good=ex.clean,
    bad=lambda: faults.same_names(ex.clean()),
)
def name_twice(context: Context, limit: float) -> Iterator[Found]:
    """Cables, enclosures, splitters, or trays of one enclosure that share a name; letter case does not count."""
    things = [("cable", here.cable.name, str(here.cable.id)) for here in context.cables]
    things += [("enclosure", enclosure.name, enclosure.id) for enclosure in context.enclosures]
    things += [("splitter", s.name, s.id) for s in context.plant.splitters.values() if s.site == context.site]
    things += [(f"tray of {context.plant.enclosures[t.enclosure].name}", t.name, t.id) for t in context.trays]
    named: dict[tuple[str, str], dict[str, str]] = {}
    for kind, name, key in things:
        named.setdefault((kind, name.casefold()), {})[key] = name
    for (kind, _), ids in sorted(named.items()):
        if len(ids) > limit:
            yield Found(
                tuple(sorted(ids)),
                f"{', '.join(sorted(ids))} at {context.name} share the name {min(ids.values())!r} as {kind}",
                len(ids),
                limit,
            )


RULES = (name_twice,)
