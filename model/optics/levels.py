"""What arrives at both ends of a light path, and anywhere on it, for a power class: Rx = Tx - loss (formula F13).

Both directions run over the same loss, each at the wavelength its class sends on. dBm and dB; wavelengths in nm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from model.optics.classes import Link, PowerClass

Direction = Literal["down", "up"]
DIRECTIONS: tuple[Direction, ...] = ("down", "up")


@dataclass(frozen=True, slots=True)
class Level:
    """Light at one place: what the weakest and the strongest sender that the class allows would give there, in dBm."""

    weakest_dbm: float
    strongest_dbm: float


@dataclass(frozen=True, slots=True)
class Received:
    """What arrives at the receiver of one direction, with its limits.

    ``level`` is as a meter reads it. ``room_db`` is from the weakest light, path penalty taken off, down to the
    sensitivity; ``over_db`` from the strongest up to overload. Below zero either fails.
    """

    direction: Direction
    wavelength_nm: int
    loss_db: float
    level: Level
    sensitivity_dbm: float
    overload_dbm: float
    room_db: float
    over_db: float


def link_of(entry: PowerClass, direction: Direction) -> tuple[Link | None, int]:
    """(the link, its wavelength) of a direction; 0 where the class does not say on what it sends."""
    return (entry.down, entry.down_nm) if direction == "down" else (entry.up, entry.up_nm)


def level_after(link: Link, loss_db: float) -> Level | None:
    """The level after a loss, without the path penalty, which no meter sees; None where no launch is known."""
    if link.tx_min_dbm is None or link.tx_max_dbm is None:
        return None
    return Level(link.tx_min_dbm - loss_db, link.tx_max_dbm - loss_db)


def received(entry: PowerClass, loss_db: Mapping[int, float]) -> tuple[Received, ...]:
    """What arrives down and up, for the directions whose powers, wavelength and loss are known."""
    found: list[Received] = []
    for direction in DIRECTIONS:
        link, nm = link_of(entry, direction)
        level = level_after(link, loss_db[nm]) if link is not None and nm in loss_db else None
        if link is None or level is None:
            continue
        room_db = level.weakest_dbm - (link.penalty_db or 0.0) - link.sensitivity_dbm
        over_db = link.overload_dbm - level.strongest_dbm
        found.append(
            Received(direction, nm, loss_db[nm], level, link.sensitivity_dbm, link.overload_dbm, room_db, over_db)
        )
    return tuple(found)
