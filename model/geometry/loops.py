"""Turns on a tray track, coils and slack bays: lengths, counts, remainders and what fits.

A stored length rides a racetrack of straights and two half circles; the tail reaches its slot only
when the turn count lands near a whole or half turn. Millimetres and turns (plain numbers). The item
stored is known only by its length and diameter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from model.geometry.errors import GeometryError, require_finite, require_positive

LANDING_TURNS = 0.1
"""How far from a half turn a tail still reaches its slot without slack bow or pull (common practice)."""
BAY_FILL = 0.5
"""Part of a bay's section that tubes lying loose can take without being pressed (common practice)."""


def racetrack_mm(radius_mm: float, straight_mm: float = 0.0, second_straight_mm: float = 0.0) -> float:
    """Length of one turn, P = 2a + 2b + 2*pi*R, for one or two pairs of straights (each 0 or more)."""
    require_positive("track radius in mm", radius_mm)
    for straight in (straight_mm, second_straight_mm):
        _require_not_negative("track straight in mm", straight)
    return 2 * straight_mm + 2 * second_straight_mm + 2 * math.pi * radius_mm


def coil_turns(length_mm: float, radius_mm: float) -> float:
    """Turns of a round coil holding ``length_mm`` at ``radius_mm``."""
    return loop_turns(length_mm, racetrack_mm(radius_mm))


def loop_turns(length_mm: float, loop_mm: float) -> float:
    """Turns of a loop of ``loop_mm`` taken by ``length_mm`` (0 or more)."""
    _require_not_negative("stored length in mm", length_mm)
    require_positive("loop length in mm", loop_mm)
    return length_mm / loop_mm


def nearest_half(turns: float) -> tuple[float, float]:
    """Nearest multiple of half a turn, and the signed remainder in turns (-0.25 to +0.25).

    Exactly between two halves counts down: the length is long enough for the lower one.
    """
    _require_not_negative("turns", turns)
    half = math.ceil(2 * turns - 0.5) / 2
    return half, turns - half


@dataclass(frozen=True, slots=True)
class Landing:
    """How a stored length comes out on its loop; turns are counts, the rest is mm.

    ``remainder_mm`` is too long when positive, short when negative, against ``nearest`` turns.
    ``next_half_mm`` and ``next_whole_mm`` are the total lengths for the next half or whole turn at
    or above the present count. ``lands`` tells whether the remainder is within the tolerance.
    """

    turns: float
    nearest: float
    remainder: float
    remainder_mm: float
    next_half_mm: float
    next_whole_mm: float
    lands: bool


def landing(bare_mm: float, loop_mm: float, tolerance_turns: float = LANDING_TURNS) -> Landing:
    """Count the turns of ``bare_mm`` on a loop of ``loop_mm`` and say how they end."""
    turns = loop_turns(bare_mm, loop_mm)
    nearest, remainder = nearest_half(turns)
    # A length cut to the very mm must not ask for another half turn because of rounding.
    return Landing(
        turns,
        nearest,
        remainder,
        remainder * loop_mm,
        math.ceil(2 * turns - 1e-9) / 2 * loop_mm,
        math.ceil(turns - 1e-9) * loop_mm,
        abs(remainder) <= tolerance_turns + 1e-12,
    )


def bay_capacity(section_mm2: float, diameter_mm: float, fill: float = BAY_FILL) -> int:
    """Whole passes of a tube that a bay section holds: floor(fill * area / d^2)."""
    require_positive("bay section in mm2", section_mm2)
    require_positive("tube diameter in mm", diameter_mm)
    if not 0 < fill <= 1:
        raise GeometryError(f"bay fill is {fill:g}; give a part above 0 and up to 1")
    return math.floor(fill * section_mm2 / diameter_mm**2 + 1e-9)


def bay_passes(items: int, stored_mm: float, loop_mm: float) -> float:
    """Passes through a bay's section by ``items`` tubes that each store ``stored_mm`` on its loop."""
    if items < 0:
        raise GeometryError(f"{items} tubes in a bay; give 0 or more")
    return items * loop_turns(stored_mm, loop_mm)


def bay_fits(passes: float, capacity: int) -> bool:
    """Whether a bay holds the passes: somewhere on the loop the next whole number lies side by side."""
    return math.ceil(passes - 1e-9) <= capacity


def _require_not_negative(what: str, number: float) -> None:
    require_finite(what, number)
    if number < 0:
        raise GeometryError(f"{what} is {number:g}; it cannot be negative")
