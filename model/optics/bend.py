"""What a bend costs: dB per turn of a fibre class at a radius and wavelength, from its published macrobend limits.

A published limit is what the worst fibre of the class may lose, so every answer is an upper bound, never a typical
value. Radii in millimetres, sweeps in radians, wavelengths in nanometres. Below the least radius of the class there is
no number, only ``BendError``. Nothing here knows what is bent or where; drawn courses come in as radii and sweeps.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from model.errors import PlantError
from model.parts import FibreClass

Basis = Literal["published", "interpolated", "wider", "longer wave"]
"""How a figure was reached.

``published``: a limit as printed. ``interpolated``: between two printed limits. ``wider``: the radius is larger than
any printed one, and the limit of the widest stands. ``longer wave``: no limit is printed for this wavelength, and that
of the nearest longer one stands.
"""

_SLOP_MM = 1e-6
"""A radius computed from a drawing may miss its round value by this much and still be that value."""


class BendError(PlantError):
    """A bend that the published limits put no number to: too tight, or a wavelength longer than any tested."""


class Bend(NamedTuple):
    """An arc of glass: its radius in millimetres and how far it turns in radians, either way."""

    radius_mm: float
    sweep_rad: float


@dataclass(frozen=True, slots=True)
class TurnLoss:
    """Loss of one whole turn in dB, and how the figure was reached; ``at_nm`` is the wavelength of the limits used."""

    loss_db: float
    basis: Basis
    at_nm: int


def _limits(kind: FibreClass, wavelength_nm: int) -> tuple[int, list[tuple[float, float]]]:
    """(wavelength the limits are for, [(radius in mm, dB per turn)] by rising radius)."""
    waves = sorted({point.wavelength_nm for point in kind.bends if point.wavelength_nm >= wavelength_nm})
    if not waves:
        raise BendError(
            f"{kind.title} has no bend limit at {wavelength_nm} nm or longer",
            hint="Bend loss grows with wavelength, so a limit for a shorter one bounds nothing",
        )
    found: dict[float, float] = {}
    for point in kind.bends:
        if point.wavelength_nm == waves[0]:
            if not (point.turns > 0 and point.radius_mm > 0 and point.loss_db >= 0):
                raise BendError(
                    f"{kind.title} has a bend limit that is none: {point.loss_db:g} dB for {point.turns:g} turns of "
                    f"{point.radius_mm:g} mm",
                    hint="Turns and radius are above zero, the loss is zero or more",
                )
            found[point.radius_mm] = point.loss_db / point.turns
    return waves[0], sorted(found.items())


def least_radius_mm(kind: FibreClass, wavelength_nm: int) -> float:
    """Smallest radius a loss can be stated for: the class's least radius, or its tightest limit if that is wider.

    Raises BendError when the class has no limit at this wavelength or a longer one.
    """
    return max(kind.least_radius_mm, _limits(kind, wavelength_nm)[1][0][0])


def turn_loss(kind: FibreClass, radius_mm: float, wavelength_nm: int) -> TurnLoss:
    """Loss of one turn of ``radius_mm`` at ``wavelength_nm``.

    At a published radius the limit itself; between two, log10 of the loss runs straight in the radius, since the loss
    of a bend falls nearly exponentially with it (Marcuse 1976, from memory). Above the widest the limit of the widest
    stands: it does bound the loss, while carrying the line on would promise less than anybody has published. A
    wavelength without limits takes those of the nearest longer one, because bend loss grows with wavelength; so 1310
    is charged as 1550, which is far too much but never too little.
    Raises BendError below the least radius, and for a wavelength longer than any published.
    """
    at_nm, limits = _limits(kind, wavelength_nm)
    least_mm = max(kind.least_radius_mm, limits[0][0])
    if not radius_mm >= least_mm - _SLOP_MM:
        raise BendError(
            f"a bend of {radius_mm:.4g} mm radius is tighter than {kind.title} allows ({least_mm:g} mm)",
            hint="No loss can be stated for it; widen the bend",
        )
    loss_db, basis = _between(limits, radius_mm)
    return TurnLoss(loss_db, basis if at_nm == wavelength_nm else "longer wave", at_nm)


def _between(limits: list[tuple[float, float]], radius_mm: float) -> tuple[float, Basis]:
    for limit_mm, loss_db in limits:
        if abs(radius_mm - limit_mm) <= _SLOP_MM:
            return loss_db, "published"
    for (near_mm, near_db), (far_mm, far_db) in pairwise(limits):
        if near_mm < radius_mm < far_mm:
            part = (radius_mm - near_mm) / (far_mm - near_mm)
            if min(near_db, far_db) <= 0:  # no logarithm of a limit of nothing: the straight line bounds the curve
                return near_db + part * (far_db - near_db), "interpolated"
            return math.exp(math.log(near_db) + part * math.log(far_db / near_db)), "interpolated"
    return limits[-1][1], "wider"


def turns(course: Iterable[tuple[float, float]]) -> float:
    """Whole turns of glass in a course of (radius in mm, sweep in radians), whichever way each bends."""
    return sum(abs(sweep_rad) for _, sweep_rad in course) / math.tau


def course_loss_db(kind: FibreClass, course: Iterable[tuple[float, float]], wavelength_nm: int) -> float:
    """Upper bound in dB of what a course of (radius in mm, sweep in radians) loses; straights have no sweep.

    Each arc counts its share of a turn at its own radius. Raises BendError as ``turn_loss`` does.
    """
    total_db = 0.0
    for radius_mm, sweep_rad in course:
        if sweep_rad:
            total_db += abs(sweep_rad) / math.tau * turn_loss(kind, radius_mm, wavelength_nm).loss_db
    return total_db
