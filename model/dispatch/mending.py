"""What a repair is, and what every way to mend has to know: where the glass lies, who is beside it, what it costs.

Planned figures are common practice, no source: 0.10 dB a splice, a tenth of a tray kept. Metres and dB.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from model.correlate.carried import services_in, source_of
from model.correlate.elements import Element
from model.entities import Cable
from model.glass import Piece
from model.graph import Continuity
from model.ids import CableId
from model.lookup import cable_type, find_stop
from model.numbers import natural
from model.optics.budget import budget
from model.optics.drawn import drawn_bends
from model.planning.proposal import Proposal
from model.plant import Plant

SPLICE_DB: Final = 0.10
"""Planned loss of one splice (common practice, no source)."""
RESERVE: Final = 0.9
"""Share of a tray's slots above which it keeps no reserve for the next joint (common practice)."""
NAMED: Final = 6
"""Services named in one sentence."""

Way = Literal["roll", "rejoin", "bridge", "new box"]


@dataclass(frozen=True, slots=True)
class TrayRoom:
    """Slots of one tray: what it has, what is used, and what a repair would take there."""

    tray: str
    words: str
    slots: int
    used: int
    taken: int

    @property
    def full(self) -> bool:
        """Whether nothing is left in reserve afterwards."""
        return self.used + self.taken > RESERVE * self.slots


@dataclass(frozen=True, slots=True)
class NewMargin:
    """What a service keeps of its class, at its worst wavelength, before and after; None without a class."""

    service: str
    before_db: float | None
    after_db: float | None


@dataclass(frozen=True, slots=True)
class Repair:
    """One way to mend a fault.

    ``fibres`` of ``cable`` are mended, or rolled away from; ``bridge_m`` is the length of the bridging piece, None for
    none. ``splices`` counts new ones, ``extra_db`` is what a mended service loses more. ``rooms`` are the trays they go
    to and ``short`` the slots that are missing; a way with some missing has no edits. ``moves`` are (services, from
    fibre, to fibre) of a roll, ``beside`` live services on glass next to the work, ``left_dark`` those this way leaves.
    """

    way: Way
    proposal: Proposal
    cable: str
    fibres: tuple[int, ...]
    bridge_m: float | None
    splices: int
    extra_db: float
    rooms: tuple[TrayRoom, ...]
    short: int
    margins: tuple[NewMargin, ...]
    left_dark: tuple[str, ...] = ()
    moves: tuple[tuple[tuple[str, ...], int, int], ...] = ()
    beside: tuple[str, ...] = ()
    dark: tuple[int, ...] = ()
    """Of the mended fibres those that carry nobody: they are tested again too before the ticket is closed."""


def place_of(plant: Plant, failed: Element, pieces: Sequence[Piece]) -> tuple[Cable, int, bool] | None:
    """(cable, stop index, whether inside that stop) of glass that lies in a cable; a span has its stop before it."""
    kind, rest = failed.key.split("|", 1)
    if kind == "tray":
        tray = plant.trays[rest]
        site = plant.enclosures[tray.enclosure].site
        counts: dict[tuple[str, int], int] = {}
        for piece in pieces:
            cable = plant.cables[piece.cable]
            for index in range(piece.first + 1, piece.last):
                if cable.stops[index].site == site:
                    counts[cable.id, index] = counts.get((cable.id, index), 0) + 1
        if not counts:
            return None
        key, index = max(counts, key=lambda one: (counts[one], one))
        return plant.cables[CableId(key)], index, True
    cable, index = find_stop(plant, rest.rpartition("|")[2])
    return cable, index, kind == "tube_at"


def live_beside(
    continuity: Continuity, cable: Cable, index: int, inside: bool, fibres: Sequence[int]
) -> tuple[str, ...]:
    """Live services on glass of the same sheath at the place that is not broken."""
    source, plant = source_of(continuity), continuity.plant
    at = index - 1 if inside and index > 0 else index
    others = [f for f in range(1, cable_type(plant, cable).fibre_count + 1) if f not in set(fibres)]
    pieces = [source.piece_on(cable, fibre, at) for fibre in others]
    live = [s for s in services_in(continuity, pieces) if plant.services[s].status == "live"]
    return tuple(sorted(live, key=lambda s: natural(plant.services[s].name)))


def dark_of(continuity: Continuity, cable: Cable, pieces: Sequence[Piece]) -> tuple[int, ...]:
    """Fibres of a cable among some pieces of glass that carry no service."""
    own = [piece for piece in pieces if piece.cable == cable.id]
    return tuple(sorted({piece.fibre for piece in own if not services_in(continuity, [piece])}))


def names(plant: Plant, services: Sequence[str], most: int = NAMED) -> str:
    """Services by name, and how many more."""
    more = f" and {len(services) - most} more" if len(services) > most else ""
    return ", ".join(plant.services[s].name for s in services[:most]) + more


def margins(
    continuity: Continuity, services: Sequence[str], extra_db: float = 0.0, mended: Collection[Piece] = ()
) -> tuple[NewMargin, ...]:
    """What each service keeps of its class at 1310 or 1550 nm, the worse, before and after its mended glass loses more.

    A service whose working feed does not run over that glass, but a standby feed, keeps what it has.
    """
    bends = drawn_bends(continuity.plant)
    found = []
    for service in services:
        told = budget(continuity, service, bends)
        worst = min(told.margin_max_db.values()) if told.margin_max_db else None
        more = extra_db if any(step.by in mended for step in told.steps) else 0.0
        found.append(NewMargin(service, worst, None if worst is None else worst - more))
    return tuple(found)
