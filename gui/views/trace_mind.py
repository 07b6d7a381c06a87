"""Whom a hand at a site must not disturb: live services whose glass lies there and that are not down already.

Tube by tube with the fibre numbers; glass on the trays that will be opened is told apart.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from model.correlate.carried import pieces_in, services_in
from model.glass import Piece
from model.graph import Continuity
from model.lookup import cable_type, enclosures_at, stops_at, trays_of, tube_of


@dataclass(frozen=True, slots=True)
class MindRow:
    """Glass of one tube: ``MF-48 T3``, and (fibre, services on it by name)."""

    where: str
    fibres: tuple[tuple[int, tuple[str, ...]], ...]

    @property
    def words(self) -> str:
        """``T3: 25 (C7), 26 (C12)``."""
        return f"{self.where}: " + ", ".join(f"{fibre} ({' '.join(names)})" for fibre, names in self.fibres)


@dataclass(frozen=True, slots=True)
class Mind:
    """What lies at a site: ``count`` live services, the tubes that go by, and what lies on the trays to be opened."""

    site: str
    count: int
    through: tuple[MindRow, ...]
    on_trays: tuple[MindRow, ...]


def mind_at(continuity: Continuity, site: str, down: Collection[str], trays: Collection[str] = ()) -> Mind:
    """Live services at a site that are not down; ``trays`` are those a suspect makes one open."""
    plant = continuity.plant
    opened = {(p.cable, p.fibre) for tray in trays for p in pieces_in(continuity, f"tray|{tray}")}
    passing = [
        (cable, index, cable_type(plant, cable))
        for cable, index, _ in stops_at(plant, site)
        # A drop from here is named by the fibre it is joined to.
        if index > 0 or len(cable.stops) > 2 or len(cable_type(plant, cable).tubes) > 1
    ]
    found: dict[bool, dict[str, dict[int, tuple[str, ...]]]] = {False: {}, True: {}}
    live: set[str] = set()
    for cable, index, kind in passing:
        for fibre in range(1, kind.fibre_count + 1):
            carried = [
                key
                for key in services_in(continuity, _pieces_at(continuity, cable.id, fibre, index))
                if plant.services[key].status == "live" and key not in down
            ]
            if carried:
                live |= set(carried)
                tube = f"T{tube_of(kind, fibre)[0]}"
                where = f"{cable.name} {tube}" if len(passing) > 1 else tube
                names = tuple(plant.services[key].name for key in carried)
                found[(cable.id, fibre) in opened].setdefault(where, {})[fibre] = names
    through, on_trays = (
        tuple(MindRow(where, tuple(sorted(fibres.items()))) for where, fibres in found[key].items())
        for key in (False, True)
    )
    return Mind(plant.sites[site].name, len(live), through, on_trays)


def _pieces_at(continuity: Continuity, cable: str, fibre: int, index: int) -> list[Piece]:
    """The pieces of one fibre that lie at a stop of its cable."""
    held = continuity.plant.cables[cable]
    found = []
    for side in (index - 1, index):
        if 0 <= side < len(held.stops) - 1:
            key = f"fibre|{fibre}|{held.stops[side].id}"
            found += list(pieces_in(continuity, key))
    return found


def trays_to_open(continuity: Continuity, site: str, keys: Collection[str]) -> tuple[str, ...]:
    """Ids of the trays at a site that hold glass of some elements: whoever looks for the fault there opens them."""
    plant = continuity.plant
    wanted = {piece for key in keys for piece in pieces_in(continuity, key)}
    return tuple(
        tray.id
        for box in enclosures_at(plant, site)
        for tray in trays_of(plant, box.id)
        if wanted & set(pieces_in(continuity, f"tray|{tray.id}"))
    )
