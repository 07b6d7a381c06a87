"""Patch cords and idle legs: what connects ports on a panel's front, and what stands capped until it is wanted.

A cord is a cable with both ends at one site, so it is glass like any other: it is traced, counted and has a length.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite
from typing import Literal

from model.changes import Draft
from model.edits.joining import Plug, describe_end, used_nodes
from model.edits.parts import leaning_on, require_end
from model.entities import Cable, FibreEnd, LegEnd, Mating, Port, Stop
from model.errors import EditError
from model.graph import end_node
from model.ids import CableId, CableTypeId, MatingId, PortId, StopId
from model.lookup import stays_inside

LONGEST_M = 100.0
"""No patch cord is longer than this; a larger number is a slip."""


@dataclass(frozen=True, slots=True)
class Park:
    """Cap idle legs: outputs stand in the parking, inputs are kept as a standby. Raises EditError for a leg in use."""

    legs: tuple[LegEnd, ...]
    name: str = "park legs"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        used = used_nodes(draft)
        for leg in self.legs:
            require_end(draft, leg)
            if end_node(leg) in used:
                raise EditError(f"{describe_end(draft, leg)} is joined", hint="Take it out first")
            splitter = draft.plant.splitters[leg.splitter]
            if leg.role == "in":
                splitter = replace(splitter, standby=tuple(sorted({*splitter.standby, leg.number})))
            else:
                splitter = replace(splitter, parked=tuple(sorted({*splitter.parked, leg.number})))
            draft.put(splitter)


@dataclass(frozen=True, slots=True)
class Patch:
    """Patch ports front to front, pairwise, each by a cord of one fibre of a given length, metres.

    Of equipment and outlets a cord uses the one side they have for plugs, which is called their rear.
    Raises EditError for ports at two sites, a front that is taken, a port patched to itself, or a length out of bounds.
    """

    pairs: tuple[tuple[PortId, PortId], ...]
    type: CableTypeId
    length_m: float = 2.0
    name: str = "patch"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        if not isfinite(self.length_m) or not 0 < self.length_m <= LONGEST_M:
            raise EditError(f"a cord of {self.length_m:g} m", hint=f"Above 0 and at most {LONGEST_M:g} m")
        kind = draft.plant.cable_types.get(self.type)
        if kind is None or kind.fibre_count != 1:
            raise EditError(f"{self.type!r} is no cord of one fibre", hint="Bring a pigtail type of one fibre")
        names = {cable.name.lower() for cable in draft.plant.cables.values()} | set(draft.plant.cables)
        plugs: dict[Literal["front", "rear"], list[tuple[FibreEnd, PortId]]] = {"front": [], "rear": []}
        for a, b in self.pairs:
            near, far = self._port(draft, a), self._port(draft, b)
            if near.site != far.site:
                raise EditError("the two ports are at two sites", hint="A cord stays at one site")
            if a == b:
                raise EditError(f"{near.panel} port {near.number} is patched to itself", hint="Name two ports")
            cord = self._cord(near, names)
            draft.add(cord)
            ends = (
                FibreEnd(cord.id, 1, cord.stops[0].id, ">"),
                FibreEnd(cord.id, 1, cord.stops[1].id, "<"),
            )
            for end, port in zip(ends, (near, far), strict=True):
                plugs["front" if port.role == "panel" else "rear"].append((end, port.id))
        for face, found in plugs.items():
            Plug(tuple(end for end, _ in found), tuple(port for _, port in found), face, None).write(draft)

    @staticmethod
    def _port(draft: Draft, key: PortId) -> Port:
        port = draft.plant.ports.get(key)
        if port is None:
            raise EditError(f"there is no port {key!r}", hint="Add the port first")
        return port

    def _cord(self, port: Port, names: set[str]) -> Cable:
        """A new cord at a port's site, under the first free name, which it takes."""
        number = 1
        while f"pc-{number}" in names:
            number += 1
        key = CableId(f"pc-{number}")
        names.add(key)
        stops = (
            Stop(StopId(f"{key}.a"), port.site, mark_out_m=0.0),
            Stop(StopId(f"{key}.b"), port.site, mark_in_m=self.length_m),
        )
        return Cable(key, f"PC-{number}", self.type, stops, status="planned")


@dataclass(frozen=True, slots=True)
class Unplug:
    """Take plugs out of ports; a cord of one fibre that nothing holds any more goes.

    Raises EditError for a plug that is not there.
    """

    matings: tuple[MatingId, ...]
    name: str = "take out"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        cords: dict[CableId, Cable] = {}
        for key in dict.fromkeys(self.matings):
            mating = draft.plant.matings.get(key)
            if mating is None:
                raise EditError(f"there is no plug {key!r}", hint="It may have been taken out already")
            if isinstance(mating.end, FibreEnd):
                cable = draft.plant.cables[mating.end.cable]
                if stays_inside(cable):
                    cords[cable.id] = cable
            draft.remove(Mating, key)
        for cord in cords.values():
            if draft.plant.cable_types[cord.type].fibre_count == 1 and not leaning_on(draft, "cables", cord.id):
                draft.remove(Cable, cord.id)
