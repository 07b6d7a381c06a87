"""The legs of the splitters at a site: what each is joined to, where that leads, and which stand parked or idle.

An output's planned loss is its type's, leg by leg, so that the two legs of an unequal tap differ; an input has none.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import GlassEnd, LegEnd, Mating, Splice, Splitter
from model.graph import end_node
from model.lists.naming import Reach, end_name, reach, site_name, tray_name
from model.lists.source import Source

LegState = Literal["spliced", "patched", "parked", "standby", "idle"]


@dataclass(frozen=True, slots=True)
class LegRow:
    """One leg. ``to`` is what it is joined to; ``idle`` is a leg that nothing is on and nobody has parked.

    ``reaches`` is where the light path leads away from the splitter.
    """

    site: str
    splitter: str
    type: str
    tray: str
    role: Literal["in", "out"]
    number: int
    planned_db: float | None
    state: LegState
    to: str
    reaches: Reach
    services: tuple[str, ...]


def leg_table(source: Source, site: str) -> tuple[LegRow, ...]:
    """Every leg of every splitter at a site: by splitter, inputs first."""
    plant = source.plant
    here = sorted((s for s in plant.splitters.values() if s.site == site), key=lambda s: (s.name, s.id))
    rows: list[LegRow] = []
    for splitter in here:
        kind = plant.splitter_types[splitter.type]
        legs = [LegEnd(splitter.id, "in", n) for n in range(1, kind.inputs + 1)]
        legs += [LegEnd(splitter.id, "out", n) for n in range(1, len(kind.legs_db) + 1)]
        for leg in legs:
            node = end_node(leg)
            users = source.users.get(node, ())
            rows.append(
                LegRow(
                    site_name(plant, splitter.site),
                    splitter.name,
                    kind.title,
                    tray_name(plant, splitter.tray),
                    leg.role,
                    leg.number,
                    kind.legs_db[leg.number - 1] if leg.role == "out" else None,
                    leg_state(splitter, leg, users),
                    ", ".join(_joined_to(source, leg, user) for user in users),
                    reach(source.continuity, node, "outside") if users else Reach(),
                    source.names(source.services.get(node, ())),
                )
            )
    return tuple(rows)


def leg_state(splitter: Splitter, leg: LegEnd, users: tuple[Splice | Mating, ...]) -> LegState:
    """What is on a leg; what is joined to it says more than a record that it is parked."""
    if users:
        return "spliced" if isinstance(users[0], Splice) else "patched"
    if leg.role == "out":
        return "parked" if leg.number in splitter.parked else "idle"
    return "standby" if leg.number in splitter.standby else "idle"


def _joined_to(source: Source, leg: LegEnd, user: Splice | Mating) -> str:
    plant = source.plant
    if isinstance(user, Mating):
        port = plant.ports.get(user.port)
        return f"{port.panel} {port.number} {user.face}" if port else user.port
    other: GlassEnd = user.b if user.a == leg else user.a
    return end_name(plant, other).text
