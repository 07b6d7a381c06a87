"""Ribbon joints as an edit: one sleeve holds all fibres of a ribbon and takes one slot."""

from __future__ import annotations

from dataclasses import dataclass, replace

from model.changes import Draft
from model.edits.joining import Join, free_slots, require_tray, splice_id
from model.entities import GlassEnd
from model.errors import EditError
from model.ids import SiteId, SpliceId, TrayId

Pair = tuple[GlassEnd, GlassEnd]


def _place(draft: Draft, groups: tuple[tuple[SpliceId, ...], ...], tray: TrayId, first: int) -> None:
    """Put each group of joints into one empty slot."""
    held = {s.slot for s in draft.plant.splices.values() if s.tray == tray}
    slots = [slot for slot in free_slots(draft, tray, first) if slot not in held]
    if len(slots) < len(groups):
        raise EditError(
            f"tray {draft.plant.trays[tray].name} has {len(slots)} empty slots from {first}, {len(groups)} are needed",
            hint="Use another tray, or a lower first slot",
        )
    for group, slot in zip(groups, slots, strict=False):
        for key in group:
            draft.put(replace(draft.plant.splices[key], tray=tray, slot=slot))


@dataclass(frozen=True, slots=True)
class JoinRibbons:
    """Splice whole ribbons: each group of pairs shares one sleeve in one empty slot of the tray (or no tray)."""

    site: SiteId
    groups: tuple[tuple[Pair, ...], ...]
    tray: TrayId | None = None
    first_slot: int = 1
    name: str = "join ribbons"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError as ``Join`` does, or when empty slots run out."""
        pairs = tuple(pair for group in self.groups for pair in group)
        Join(self.site, pairs, None, method="ribbon").write(draft)
        if self.tray is not None:
            require_tray(draft, self.tray, self.site)
            _place(draft, tuple(tuple(splice_id(a) for a, _ in g) for g in self.groups), self.tray, self.first_slot)


@dataclass(frozen=True, slots=True)
class MoveSleeves:
    """Move sleeves with all their joints to empty slots of a tray, in the order given."""

    groups: tuple[tuple[SpliceId, ...], ...]
    tray: TrayId
    first_slot: int = 1
    name: str = "move joints"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError for a joint that is gone or when empty slots run out."""
        for group in self.groups:
            for key in group:
                splice = draft.plant.splices.get(key)
                if splice is None:
                    raise EditError(f"there is no joint {key!r}", hint="It may have been taken apart")
                require_tray(draft, self.tray, splice.site)
                draft.put(replace(splice, tray=None, slot=None))
        _place(draft, self.groups, self.tray, self.first_slot)
