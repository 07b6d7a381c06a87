"""How much each tray of an enclosure still takes: joints in free slots, and fibres stored of every kind.

A share of the slots is kept free for joints that have to be made again (common practice, no source: one in ten). A
joint counts as one stored fibre, as does a loop or a stub.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from model.ids import TrayId
from model.layout import tray_load
from model.lookup import enclosure_at, trays_of
from model.plant import Plant

KEPT = 0.10
"""Share of a tray's slots kept free."""


@dataclass(slots=True)
class Room:
    """What a tray takes beside what it holds: ``slots`` more joints, ``stored`` more fibres with those joints."""

    tray: TrayId
    name: str
    position: int
    slots: int
    stored: int

    def fits(self, joints: int, others: int) -> bool:
        """True when so many joints and other fibres find room."""
        return joints <= self.slots and joints + others <= self.stored

    def take(self, joints: int, others: int) -> None:
        """Use room up."""
        self.slots -= joints
        self.stored -= joints + others


def rooms(plant: Plant, site: str, kept: float = KEPT) -> list[Room]:
    """The room of every tray at a site, by position."""
    box = enclosure_at(plant, site)
    if box is None:
        return []
    found = []
    for tray in trays_of(plant, box.id):
        load = tray_load(plant, tray)
        most = load.most
        usable = min(floor(most * (1.0 - kept) + 1e-9), most - load.tray.reserve)
        found.append(
            Room(
                tray.id,
                tray.name,
                tray.position,
                max(0, usable - load.sleeves),
                max(0, load.kind.stored_max - load.stored),
            )
        )
    return found
