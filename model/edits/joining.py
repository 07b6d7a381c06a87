"""Splices, plugs and storage: what is joined, in which slot, and where uncut or dead glass lies.

An end of glass is used once. A slot holds what its tray type allows. Records of storage follow the cuts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite
from typing import Literal

from model.changes import Draft
from model.edits.cutting import forget_stored, put_stop, require_fibres, used_ends
from model.edits.parts import require_end
from model.entities import Cable, FibreEnd, GlassEnd, LegEnd, Mating, Splice, Splitter, Stored, WorkStatus
from model.errors import EditError
from model.graph import end_node
from model.ids import CableId, MatingId, PortId, SiteId, SpliceId, StopId, TrayId
from model.lookup import cut_fibres, passes, tray_type
from model.numbers import to_text
from model.parts import CableType


def splice_id(end: GlassEnd) -> SpliceId:
    """Id of the splice whose first end this is: an end is spliced once, so its own name serves."""
    return SpliceId(f"splice {end_node(end)}")


def used_nodes(draft: Draft) -> dict[str, str]:
    """Node of every end of glass that a splice or a plug uses, legs of splitters too, with the id of what uses it."""
    used: dict[str, str] = {}
    for splice in draft.plant.splices.values():
        used.update({end_node(splice.a): splice.id, end_node(splice.b): splice.id})
    used.update({end_node(mating.end): mating.id for mating in draft.plant.matings.values()})
    return used


def free_slots(draft: Draft, tray_id: str, first: int = 1) -> list[int]:
    """Slots of a tray that can take another splice, ascending from ``first``."""
    tray = draft.plant.trays.get(tray_id)
    if tray is None:
        raise EditError(f"there is no tray {tray_id!r}", hint="Add the tray first")
    if first < 1:
        raise EditError(f"there is no slot {first} on tray {tray.name}", hint="Slots count from 1")
    kind = tray_type(draft.plant, tray)
    held: dict[int, int] = {}
    for splice in draft.plant.splices.values():
        if splice.tray == tray_id and splice.slot is not None:
            held[splice.slot] = held.get(splice.slot, 0) + 1
    return [slot for slot in range(first, kind.slots + 1) if held.get(slot, 0) < kind.per_slot]


def _take_slots(draft: Draft, tray: TrayId, count: int, first: int) -> list[int]:
    free = free_slots(draft, tray, first)
    if len(free) < count:
        name = draft.plant.trays[tray].name
        raise EditError(
            f"tray {name} has {len(free)} free slots from {first}, {count} are needed",
            hint="Use another tray, or a lower first slot",
        )
    return free[:count]


@dataclass(frozen=True, slots=True)
class Join:
    """Splice ends pairwise, in the first free slots of a tray from ``first_slot`` (or in no tray).

    Raises EditError when the counts differ, an end is missing, used or joined to itself, or slots run out.
    """

    site: SiteId
    pairs: tuple[tuple[GlassEnd, GlassEnd], ...]
    tray: TrayId | None = None
    first_slot: int = 1
    method: Literal["fusion", "ribbon", "mechanical"] = "fusion"
    status: WorkStatus = "planned"
    planned_db: float = 0.10
    name: str = "join"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        if self.site not in draft.plant.sites:
            raise EditError(f"there is no site {self.site!r}", hint="Add the site first")
        used = used_nodes(draft)
        for pair in self.pairs:
            for end in pair:
                require_end(draft, end)
                require_here(draft, end, self.site)
                node = end_node(end)
                if node in used:
                    raise EditError(f"{describe_end(draft, end)} is joined already", hint="Take that joint apart first")
                used[node] = ""
        slots: Sequence[int | None] = [None] * len(self.pairs)
        if self.tray is not None:
            require_tray(draft, self.tray, self.site)
            slots = _take_slots(draft, self.tray, len(self.pairs), self.first_slot)
        for (a, b), slot in zip(self.pairs, slots, strict=True):
            draft.add(
                Splice(
                    splice_id(a), self.site, a, b, self.tray, slot, self.method, self.status, planned_db=self.planned_db
                )
            )
        forget_dead(draft, [end for pair in self.pairs for end in pair])


def site_of_end(draft: Draft, end: GlassEnd) -> SiteId:
    """Where an existing end of glass is."""
    plant = draft.plant
    if isinstance(end, FibreEnd):
        return next(stop.site for stop in plant.cables[end.cable].stops if stop.id == end.stop)
    return plant.splitters[end.splitter].site


def require_here(draft: Draft, end: GlassEnd, site: SiteId) -> None:
    """Raises EditError unless an existing end of glass is at a site."""
    if site_of_end(draft, end) != site:
        held = draft.plant.sites.get(site)
        raise EditError(
            f"{describe_end(draft, end)} is not at {held.name if held else site}", hint="Join ends at one site"
        )


def require_tray(draft: Draft, tray_id: str, site: str) -> None:
    """Raises EditError unless a tray exists and is in an enclosure at a site."""
    tray = draft.plant.trays.get(tray_id)
    if tray is None:
        raise EditError(f"there is no tray {tray_id!r}", hint="Add the tray first")
    enclosure = draft.plant.enclosures.get(tray.enclosure)
    if enclosure is None or enclosure.site != site:
        held = draft.plant.sites.get(site)
        raise EditError(f"tray {tray.name} is not at {held.name if held else site}", hint="Use a tray there")


def describe_end(draft: Draft, end: GlassEnd) -> str:
    """An end of glass in words, with its side where the cable is cut through."""
    if isinstance(end, FibreEnd):
        cable = draft.plant.cables.get(end.cable)
        return f"{cable.name if cable else end.cable}:{end.fibre}{end.side}"
    return f"{draft.plant.splitters[end.splitter].name} {end.role} {end.number}"


def forget_dead(draft: Draft, ends: Sequence[GlassEnd]) -> None:
    """Drop what says that ends lie idle, of ends that have just been joined: no stubs and not parked any more."""
    for end in ends:
        if isinstance(end, LegEnd):
            draft.put(_taken(draft.plant.splitters[end.splitter], end))
    by_stop: dict[tuple[CableId, StopId, Literal["<", ">"]], set[int]] = {}
    for end in ends:
        if isinstance(end, FibreEnd):
            by_stop.setdefault((end.cable, end.stop, end.side), set()).add(end.fibre)
    for (cable_id, stop_id, side), fibres in by_stop.items():
        cable = draft.plant.cables[cable_id]
        for index, stop in enumerate(cable.stops):
            if stop.id == stop_id and stop.stored:
                put_stop(draft, cable, index, forget_stored(stop, fibres, side))


def _taken(splitter: Splitter, leg: LegEnd) -> Splitter:
    """The splitter with a leg neither parked nor kept as a standby."""
    if leg.role == "in":
        return replace(splitter, standby=tuple(n for n in splitter.standby if n != leg.number))
    return replace(splitter, parked=tuple(n for n in splitter.parked if n != leg.number))


@dataclass(frozen=True, slots=True)
class Part:
    """Take joints apart; the ends become stubs."""

    splices: tuple[SpliceId, ...]
    name: str = "take joints apart"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if one is missing."""
        for key in self.splices:
            draft.remove(Splice, key)


@dataclass(frozen=True, slots=True)
class MoveSplices:
    """Move joints to the free slots of a tray from ``first_slot``, in the order given."""

    splices: tuple[SpliceId, ...]
    tray: TrayId
    first_slot: int = 1
    name: str = "move joints"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if slots run out."""
        moved = []
        for key in dict.fromkeys(self.splices):
            splice = draft.plant.splices.get(key)
            if splice is None:
                raise EditError(f"there is no joint {key!r}", hint="It may have been taken apart")
            require_tray(draft, self.tray, splice.site)
            moved.append(splice)
            draft.put(replace(splice, tray=None, slot=None))
        slots = _take_slots(draft, self.tray, len(moved), self.first_slot)
        for splice, slot in zip(moved, slots, strict=True):
            draft.put(replace(splice, tray=self.tray, slot=slot))


@dataclass(frozen=True, slots=True)
class Plug:
    """Plug glass ends into one face of ports, pairwise.

    Raises EditError if an end is missing, used or at another site than its port, or a face is taken.
    """

    ends: tuple[GlassEnd, ...]
    ports: tuple[PortId, ...]
    face: Literal["rear", "front"] = "rear"
    pigtail_db: float | None = 0.10
    name: str = "plug"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        if len(self.ends) != len(self.ports):
            raise EditError(f"{len(self.ends)} ends and {len(self.ports)} ports", hint="Both sides must count the same")
        used = set(used_nodes(draft))
        taken = {(mating.port, mating.face) for mating in draft.plant.matings.values()}
        for end, port in zip(self.ends, self.ports, strict=True):
            require_end(draft, end)
            if port not in draft.plant.ports:
                raise EditError(f"there is no port {port!r}", hint="Add the port first")
            require_here(draft, end, draft.plant.ports[port].site)
            if end_node(end) in used:
                raise EditError(f"{describe_end(draft, end)} is joined already", hint="Take that joint apart first")
            if (port, self.face) in taken:
                raise EditError(f"the {self.face} of port {port} is taken", hint="Use a free port")
            used.add(end_node(end))
            taken.add((port, self.face))
            key = MatingId(f"plug {port} {self.face}")
            draft.add(Mating(key, port, end, self.face, self.pigtail_db))
        forget_dead(draft, self.ends)


@dataclass(frozen=True, slots=True)
class Store:
    """Say where uncut glass (side empty) or cut ends of a stop lie: on a tray, or in the bay (tray None)."""

    cable: CableId
    stop: StopId
    fibres: tuple[int, ...]
    side: Literal["", "<", ">"] = ""
    tray: TrayId | None = None
    turns: float = 0.0
    length_mm: float | None = None
    name: str = "store"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError for a missing tray, stop or fibre."""
        cable = draft.plant.cables.get(self.cable)
        if cable is None:
            raise EditError(f"there is no cable {self.cable!r}", hint="Add the cable first")
        kind = draft.plant.cable_types[cable.type]
        if not self.fibres:
            raise EditError("no fibres to store", hint=f"Name some of {cable.name}")
        require_fibres(cable, kind, self.fibres)
        for number in (self.turns, self.length_mm or 0.0):
            if not isfinite(number) or number < 0:
                raise EditError(f"{number:g} cannot be stored", hint="Give turns and millimetres of 0 or more")
        for index, stop in enumerate(cable.stops):
            if stop.id == self.stop:
                if self.tray is not None:
                    require_tray(draft, self.tray, stop.site)
                self._require_glass(draft, cable, kind, index)
                stop = forget_stored(stop, set(self.fibres), self.side)
                record = Stored(tuple(sorted(set(self.fibres))), self.side, self.tray, self.turns, self.length_mm)
                stored = sorted([*stop.stored, record], key=lambda s: (s.side, s.fibres))
                put_stop(draft, cable, index, replace(stop, stored=tuple(stored)))
                return
        raise EditError(f"{cable.name} does not stop there", hint="Choose one of its stops")

    def _require_glass(self, draft: Draft, cable: Cable, kind: CableType, index: int) -> None:
        """Uncut glass loops through where the sheath passes; a stub is an end that is there."""
        if self.side:
            used = used_ends(draft)
            for fibre in self.fibres:
                end = FibreEnd(cable.id, fibre, self.stop, self.side)
                require_end(draft, end)
                if end in used:
                    raise EditError(
                        f"{describe_end(draft, end)} is joined, no stub", hint="Take that joint apart first"
                    )
            return
        if not passes(cable, index):
            raise EditError(f"{cable.name} ends there: none of its glass runs through", hint="Say which side: < or >")
        cut = sorted(cut_fibres(kind, cable.stops[index]) & set(self.fibres))
        if cut:
            raise EditError(f"{cable.name}:{to_text(cut)} is cut there", hint="Say which side of the cut: < or >")
