"""Putting a cable into entries of the enclosure it stops at: the plugs come out and its sheath is held there."""

from __future__ import annotations

from dataclasses import dataclass, replace

from model.changes import Draft
from model.edits.cutting import put_stop
from model.entities import Route, Stop
from model.entries import fits, users_of
from model.errors import EditError
from model.ids import CableId, StopId
from model.lookup import enclosure_at, passes


@dataclass(frozen=True, slots=True)
class Enter:
    """Put a cable into entries at a stop: one where it ends, the exchange side's first where it passes.

    The entries it leaves are plugged again unless somebody else is in them, and what was drawn from them goes: its
    courses start elsewhere now. Raises EditError for an entry that the box
    lacks, that is full, or that does not seal the cable.
    """

    cable: CableId
    stop: StopId
    entries: tuple[str, ...]
    name: str = "enter the box"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        plant = draft.plant
        cable = plant.cables.get(self.cable)
        index = next((i for i, s in enumerate(cable.stops) if s.id == self.stop), None) if cable else None
        if cable is None or index is None:
            raise EditError(f"{self.cable!r} has no stop {self.stop!r}", hint="It may have been removed")
        stop = cable.stops[index]
        box = enclosure_at(plant, stop.site)
        if box is None:
            raise EditError(f"{plant.sites[stop.site].name} has no box", hint="Add one first")
        through = passes(cable, index)
        if len(self.entries) != (2 if through else 1):
            raise EditError(
                "a cable that passes is in two entries" if through else "a cable that ends is in one entry",
                hint="Like 1A/1B" if through else "Like 4",
            )
        kinds = {entry.name: entry for entry in plant.enclosure_types[box.type].entries}
        kind = plant.cable_types[cable.type]
        before = {name for name in (stop.entry_in, stop.entry_out) if name}
        used = users_of(plant, stop.site)
        for name in self.entries:
            entry = kinds.get(name)
            if entry is None:
                raise EditError(f"{box.name} has no entry {name}", hint="It has " + ", ".join(kinds))
            if name not in before and used.get(name, 0) >= entry.cables:
                raise EditError(f"entry {name} of {box.name} is full", hint="Choose another")
            if not fits(entry, kind):
                raise EditError(
                    f"entry {name} seals {entry.seal_min_mm:g} to {entry.seal_max_mm:g} mm, not {cable.name}",
                    hint="Choose another",
                )
        put_stop(draft, cable, index, _in(stop, self.entries, through, index == 0))
        left = users_of(draft.plant, stop.site)
        plugs = (set(box.plugged) - set(self.entries)) | {name for name in before if name not in left}
        draft.put(replace(box, plugged=tuple(sorted(plugs))))
        if before and before != set(self.entries):
            _forget_courses(draft, self.stop)


def _forget_courses(draft: Draft, stop: StopId) -> None:
    """Take a stop off every course that is drawn from its old entries; a course of it alone goes."""
    for route in list(draft.plant.routes.values()):
        if stop in route.stops:
            rest = tuple(key for key in route.stops if key != stop)
            if rest and route.kind == "bundle":
                draft.put(replace(route, stops=rest))
            else:
                draft.remove(Route, route.id)


def _in(stop: Stop, entries: tuple[str, ...], through: bool, first: bool) -> Stop:
    if through:
        return replace(stop, entry_in=entries[0], entry_out=entries[1], anchored_in=True, anchored_out=True)
    if first:
        return replace(stop, entry_in="", entry_out=entries[0], anchored_out=True)
    return replace(stop, entry_in=entries[0], entry_out="", anchored_in=True)
