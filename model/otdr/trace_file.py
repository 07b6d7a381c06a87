"""What a trace file holds: the curve, its events, and what they were taken with.

Distances are metres of fibre reckoned with the file's own index; zero is where the instrument put it, so that a launch
lead set as user offset lies at negative distances. Loss is dB, positive for less light behind.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

NO_SIGNAL = 65535
"""Stored for a sample that is saturated or below all signal."""

Checksum = Literal["good", "good from 0", "bad", "missing"]


@dataclass(frozen=True, slots=True)
class FileEvent:
    """An event of the file's table.

    ``slope_db_per_km`` is that of the glass before it. ``reflectance_db`` is ``None`` where nothing reflects; it may be
    above zero in real files, which means that it was saturated. ``end`` marks the end of the fibre as the instrument
    saw it; events may stand after it. ``markers_m`` are the five places it was measured with, none in version 1.
    """

    number: int
    at_m: float
    slope_db_per_km: float
    loss_db: float
    reflectance_db: float | None
    reflective: bool
    saturated: bool
    end: bool
    by_hand: bool
    code: str
    method: str
    comment: str = ""
    markers_m: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Curve:
    """Levels at even spacing: sample ``i`` lies at ``start_m + i * spacing_m``.

    ``raw`` counts thousandths of a dB times ``scale`` downward; the lower, the more light.
    """

    start_m: float
    spacing_m: float
    raw: array[int]
    scale: float = 1.0

    def __len__(self) -> int:
        return len(self.raw)

    def at_m(self, index: int) -> float:
        """Distance of a sample."""
        return self.start_m + index * self.spacing_m

    def index_at(self, metres: float) -> int:
        """The sample nearest to a distance, within the curve."""
        if not self.raw:
            return 0
        return min(max(round((metres - self.start_m) / self.spacing_m), 0), len(self.raw) - 1)

    def level_db(self, index: int) -> float | None:
        """Level of a sample, ``None`` without signal. Only differences mean anything."""
        value = self.raw[index]
        return None if value == NO_SIGNAL else -value * self.scale / 1000.0

    def points(self, from_m: float, to_m: float, most: int = 0) -> Iterator[tuple[float, float]]:
        """(metres, dB) of the samples with signal between two distances, both included.

        Above zero, ``most`` is how many are enough: then every so many samples one is taken.
        """
        if not self.raw or to_m < from_m:
            return
        first, last = self.index_at(from_m), self.index_at(to_m)
        for index in range(first, last + 1, max(1, (last - first) // most) if most else 1):
            level = self.level_db(index)
            at = self.at_m(index)
            if level is not None and from_m <= at <= to_m:
                yield at, level


@dataclass(frozen=True, slots=True)
class TraceFile:
    """A whole trace file. What a file does not say is empty, 0 or ``None``.

    ``version`` is 1 or 2. ``index`` is the group index all distances are reckoned with; ``launch_m`` the launch lead
    that was set as user offset, 0 for none. ``nominal_nm`` is the wavelength by its name, 1310 for a laser at 1312.9.
    ``taken`` is seconds since 1970, UTC. ``warnings`` say what is damaged or doubtful, each naming its block;
    ``remarks`` what was understood in spite of how it was written.
    """

    version: int
    cable: str
    fibre: str
    fibre_type: int
    from_place: str
    to_place: str
    cable_code: str
    status: str
    operator: str
    comment: str
    supplier: tuple[str, ...]
    taken: int
    unit: str
    wavelength_nm: float
    nominal_nm: int
    pulse_ns: int
    index: float
    backscatter_db: float
    averages: int
    averaged_s: float
    range_m: float
    launch_m: float
    loss_threshold_db: float
    end_threshold_db: float
    curve: Curve
    events: tuple[FileEvent, ...]
    total_loss_db: float | None
    return_loss_db: float | None
    checksum: Checksum
    unread: tuple[str, ...]
    warnings: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def end_m(self) -> float | None:
        """Distance of the end event, ``None`` where no event is marked as the end."""
        return next((event.at_m for event in self.events if event.end), None)
