"""What the record of a splice says: its true loss, what is only one direction, what the fibres and not the joint do.

The true loss is (A-B + B-A) / 2 (formula F14). Half the difference of the two readings is what the fibres do to the
instrument: light scattered back is caught the better the smaller the mode field, with 1 / MFD^2, so a joint reads too
low toward the smaller mode field, even below zero, and as much too high from there. A gain one way is therefore never
taken as real. Losses in dB, wavelengths in nm. Which figure a budget reckons with is said by ``counted_db``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from model.entities import Reading, Splice
from model.errors import PlantError

Way = Literal["A-B", "B-A"]
WAYS: Final[tuple[Way, Way]] = ("A-B", "B-A")
NOISE_DB: Final = 0.02
"""Repeatability of a splice reading; a mean further below zero is a fault of measuring (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class At:
    """What was read of a joint at one wavelength, with the enclosure open or sealed; ``None`` where nothing was."""

    wavelength_nm: int
    sealed: bool
    ab_db: float | None
    ba_db: float | None

    @property
    def mean_db(self) -> float | None:
        """The true loss; ``None`` with one direction only."""
        if self.ab_db is None or self.ba_db is None:
            return None
        return (self.ab_db + self.ba_db) / 2

    @property
    def half_db(self) -> float | None:
        """Half of A-B less B-A: what the difference of the fibres adds to A-B and takes from B-A."""
        if self.ab_db is None or self.ba_db is None:
            return None
        return (self.ab_db - self.ba_db) / 2

    @property
    def one_way(self) -> tuple[Way, float] | None:
        """The only direction that was read, with its reading."""
        if self.ab_db is None and self.ba_db is not None:
            return "B-A", self.ba_db
        if self.ba_db is None and self.ab_db is not None:
            return "A-B", self.ab_db
        return None

    @property
    def gain(self) -> tuple[Way, float] | None:
        """The direction that reads below zero, the lower of two: an apparent gain, never a real one."""
        found = [(db, way) for way, db in zip(WAYS, (self.ab_db, self.ba_db), strict=True) if db is not None and db < 0]
        return (min(found)[1], min(found)[0]) if found else None


def all_read(readings: tuple[Reading, ...]) -> tuple[At, ...]:
    """Readings by wavelength, those with the enclosure open before those sealed; of several alike the last counts."""
    found: dict[tuple[int, bool], dict[str, float]] = {}
    for reading in readings:
        if reading.direction != "estimate":
            found.setdefault((reading.wavelength_nm, reading.sealed), {})[reading.direction] = reading.loss_db
    return tuple(At(nm, sealed, ways.get("A-B"), ways.get("B-A")) for (nm, sealed), ways in sorted(found.items()))


def read_at(splice: Splice) -> tuple[At, ...]:
    """What counts of a splice's readings, one for each wavelength, ascending.

    Sealed counts before open, but both directions count before one: a mean of an open and a sealed reading is none.
    """
    chosen: dict[int, At] = {}
    for at in all_read(splice.measured):
        held = chosen.get(at.wavelength_nm)
        if held is None or at.mean_db is not None or held.mean_db is None:
            chosen[at.wavelength_nm] = at
    return tuple(chosen.values())


def true_db(splice: Splice, wavelength_nm: int) -> float | None:
    """Mean of both directions at a wavelength as read, also below zero; ``None`` unless both were read."""
    return next((at.mean_db for at in read_at(splice) if at.wavelength_nm == wavelength_nm), None)


def counted_db(splice: Splice, wavelength_nm: int) -> tuple[float, bool]:
    """(loss in dB, whether measured) that a budget reckons with.

    The true loss where both directions were read, else the planned value: a reading one way, or the splicer's
    estimate, shows the fibres as much as the joint. A mean below zero is noise about a perfect joint and counts as 0,
    since glass does not amplify.
    """
    mean_db = true_db(splice, wavelength_nm) if splice.measured else None
    return (splice.planned_db, False) if mean_db is None else (max(0.0, mean_db), True)


def estimate_db(readings: tuple[Reading, ...]) -> float | None:
    """The splicer's estimate, the last of several."""
    return next((r.loss_db for r in reversed(readings) if r.direction == "estimate"), None)


def rises(splice: Splice) -> tuple[tuple[int, str, float], ...]:
    """(wavelength, how it was read, dB) by which a joint lost more once the enclosure was sealed than before.

    Between means where both directions were read both times, else within one direction: there the fibres cancel out.
    """
    found = all_read(splice.measured)
    before = {at.wavelength_nm: at for at in found if not at.sealed}
    made = []
    for at in found:
        was = before.get(at.wavelength_nm) if at.sealed else None
        if was is None:
            continue
        if at.mean_db is not None and was.mean_db is not None:
            made.append((at.wavelength_nm, "mean", at.mean_db - was.mean_db))
            continue
        for way, now_db, was_db in zip(WAYS, (at.ab_db, at.ba_db), (was.ab_db, was.ba_db), strict=True):
            if now_db is not None and was_db is not None:
                made.append((at.wavelength_nm, way, now_db - was_db))
    return tuple(made)


def times_made(splice: Splice) -> int:
    """How often a joint was made: the tries broken open, and the joint as it is once anybody says that it is there."""
    there = splice.status != "planned" or bool(splice.measured or splice.done_by or splice.done_on)
    return len(splice.attempts) + there


def worst_mean_db(readings: tuple[Reading, ...]) -> float | None:
    """The highest mean of both directions over all wavelengths."""
    return max((at.mean_db for at in all_read(readings) if at.mean_db is not None), default=None)


def best_attempt(splice: Splice) -> tuple[int, float, float] | None:
    """(number from 1, its dB, dB of the joint as it is) of the best try that was broken open and was better.

    Like is compared with like: means of both directions, else the splicer's estimates.
    """
    for figure in (worst_mean_db, estimate_db):
        now_db = figure(splice.measured)
        tried = [(db, n) for n, a in enumerate(splice.attempts, 1) if (db := figure(a.readings)) is not None]
        if now_db is not None and tried:
            best_db, number = min(tried)
            return (number, best_db, now_db) if best_db < now_db - 1e-9 else None
    return None


# -- mode fields ---------------------------------------------------------------------------------------------------


def apparent_db(mfd_a_um: float, mfd_b_um: float) -> float:
    """What unlike mode fields add to the reading A-B: 10 log10(MFD of B / MFD of A), below zero toward the smaller.

    Source: capture of backscattered light goes with 1 / MFD^2 (a 2001 application note on splices of unlike fibre).
    """
    _positive(mfd_a_um, mfd_b_um)
    return 10 * math.log10(mfd_b_um / mfd_a_um)


def mismatch_db(mfd_a_um: float, mfd_b_um: float) -> float:
    """True loss of a perfect joint of unlike mode fields, either way: -20 log10(2 a b / (a^2 + b^2))."""
    _positive(mfd_a_um, mfd_b_um)
    # Never below zero: the quotient is 1 for like mode fields but for rounding.
    return max(0.0, -20 * math.log10(2 * mfd_a_um * mfd_b_um / (mfd_a_um**2 + mfd_b_um**2)))


def ratio_of(half_db: float) -> float:
    """MFD of B over MFD of A that half a difference of readings speaks of, if nothing else does: 10^(half / 10)."""
    return 10 ** (half_db / 10)


def _positive(*mfd_um: float) -> None:
    if not all(math.isfinite(value) and value > 0 for value in mfd_um):
        raise PlantError("a mode field diameter is above zero", hint="Give both in micrometres, such as 9.2 and 8.6")
