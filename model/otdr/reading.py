"""One distance read off an OTDR, and what has to be known of how it was taken.

Metres as the instrument showed them. The instrument measures time; the distance it shows hangs on the group index that
was set: true = shown x set / real. Nothing here knows the plant.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import hypot, isfinite
from typing import Literal

from model.errors import PlantError
from model.lengths import parse_length
from model.parts import CableType

LaunchEnd = Literal["exchange", "field"]
"""The end of the light path the instrument stood at."""

C_M_PER_S = 299_792_458.0
"""Speed of light in vacuum, exact."""
DEFAULT_INDEX = 1.468
"""Group index where neither cable nor reading says one; what trace files hold when nobody set any."""
INDEX_TOL = 0.0005
"""How far the index of a cable may be off; common practice, no source. Real files spread over 0.0006 at 1310 nm."""
LEAST_INDEX, MOST_INDEX = 1.3, 1.7
FARTHEST_M = 1_000_000.0

_INDEX = re.compile(r"[12]([.,]\d{1,7})?")


@dataclass(frozen=True, slots=True)
class Known:
    """A joint of the same path that the instrument shows too: the site it is at, and where it shows.

    Counted from there, what is not known of the glass before it no longer matters.
    """

    site: str
    shown_m: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A distance as an OTDR showed it.

    ``index`` is the group index set on the instrument, ``None`` if it was that of the cable. ``lead_m`` is the launch
    lead, true metres of fibre. ``tail_m`` is the glass between the connector and the first sheath, ``None`` for what
    the plant says of it. With ``known`` the place is counted from that joint, and lead and tail no longer matter.
    ``tol_m`` is the instrument's own error, ``None`` for that of ``instrument_tol_m``.
    """

    shown_m: float
    index: float | None = None
    lead_m: float = 0.0
    tail_m: float | None = None
    from_end: LaunchEnd = "exchange"
    wavelength_nm: int = 1550
    index_tol: float = INDEX_TOL
    tol_m: float | None = None
    known: Known | None = None

    @property
    def instrument_tol_m(self) -> float:
        """The error of the instrument alone, metres: 1 m + 1e-4 of the distance (one published OTDR manual)."""
        return self.tol_m if self.tol_m is not None else 1.0 + 1e-4 * self.shown_m


def checked(reading: Reading) -> Reading:
    """The reading, if its numbers can be; raises PlantError saying which cannot."""
    for name, value in (("reading", reading.shown_m), ("launch lead", reading.lead_m), ("tail", reading.tail_m or 0.0)):
        if not isfinite(value) or not 0.0 <= value <= FARTHEST_M:
            raise PlantError(
                f"a {name} of {value:g} m cannot be", hint=f"Give 0 to {FARTHEST_M / 1000:g} km, as the OTDR shows it"
            )
    if reading.index is not None and not LEAST_INDEX <= reading.index <= MOST_INDEX:
        raise PlantError(
            f"a group index of {reading.index:g} cannot be", hint="Glass has about 1.468; give what was set on the OTDR"
        )
    return reading


def parse_metres(text: str, what: str = "reading") -> float:
    """A distance as people write it, in metres: ``3.359 km``, ``3359``, ``11020 ft``, ``11.02 kft``.

    >>> parse_metres("3.359 km")
    3359.0
    """
    try:
        return parse_length(text, "m")
    except PlantError as error:
        raise PlantError(error.message, where=what, hint=error.hint) from None


def parse_index(text: str, what: str = "index") -> float:
    """A group index as it stands on the instrument: ``1.4682``, ``1,4682`` or ``146820``."""
    typed = text.strip()
    if re.fullmatch(r"1\d{5}", typed):
        return int(typed) / 1e5
    if not _INDEX.fullmatch(typed):
        raise PlantError(f"{typed[:40]!r} is no group index", where=what, hint="Write it like 1.4682")
    return float(typed.replace(",", "."))


def distance_m(round_trip_s: float, index: float) -> float:
    """Metres of fibre from the time there and back: d = c t / (2 n)."""
    return C_M_PER_S * round_trip_s / (2.0 * index)


def true_m(shown_m: float, index_set: float, index_real: float) -> float:
    """Metres of fibre behind a shown distance (formula F16): a low setting shows too far, not too near."""
    return shown_m * index_set / index_real


def pulse_length_m(width_ns: float, index: float) -> float:
    """Metres of fibre that a pulse covers at once: c w / (2 n). Two events nearer than that are seen as one."""
    return distance_m(width_ns * 1e-9, index)


def index_at(kind: CableType, wavelength_nm: float) -> float | None:
    """Group index of a cable type: as given, on the straight line between two wavelengths, or the nearest one's."""
    given = sorted(kind.group_index)
    if not given:
        return None
    below = [pair for pair in given if pair[0] <= wavelength_nm]
    above = [pair for pair in given if pair[0] >= wavelength_nm]
    if not below or not above:
        return (below or above)[-1 if below else 0][1]
    (low_nm, low), (high_nm, high) = below[-1], above[0]
    return low if low_nm == high_nm else low + (wavelength_nm - low_nm) / (high_nm - low_nm) * (high - low)


def together(*errors: float) -> float:
    """Errors of independent sources as one: the root of the sum of their squares."""
    return hypot(*errors)
