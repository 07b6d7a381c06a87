"""The blocks of a trace file in the published SR-4731 interchange format, versions 1 and 2.

Layouts as two open readers take them (reverse-engineered; the standard's text was not seen). Numbers are little-endian,
texts end with a zero byte. Times are one way in units of 100 ps: metres = t x 1e-10 x c / n, without the half of a
round trip. A block that ends too early gives what it held, and a warning that names it.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from model.otdr.bytes_in import Cursor, ShortError
from model.otdr.reading import distance_m
from model.otdr.trace_file import FileEvent

T = TypeVar("T")
MOST_PULSES = 64


@dataclass(slots=True)
class General:
    """Block GenParams: what was measured. ``user_offset`` in 100 ps."""

    cable: str = ""
    fibre: str = ""
    fibre_type: int = 0
    wavelength_nm: int = 0
    from_place: str = ""
    to_place: str = ""
    cable_code: str = ""
    status: str = ""
    user_offset: int = 0
    operator: str = ""
    comment: str = ""


@dataclass(slots=True)
class Fixed:
    """Block FxdParams: how it was measured. ``offset`` is the time of the first sample in 100 ps; ``spacing`` the time
    of 10 000 samples in 100 ps."""

    taken: int = 0
    unit: str = ""
    wavelength: int = 0
    offset: int = 0
    pulses_ns: tuple[int, ...] = ()
    spacings: tuple[int, ...] = ()
    points: tuple[int, ...] = ()
    index_e5: int = 0
    backscatter: int = 0
    averages: int = 0
    averaged_s: float = 0.0
    range: int = 0
    loss_threshold: int = 0
    reflection_threshold: int = 0
    end_threshold: int = 0


@dataclass(slots=True)
class Events:
    """Block KeyEvents, times in 100 ps; the summary is ``None`` when the block ended before it."""

    events: list[RawEvent] = field(default_factory=list)
    total_loss: int | None = None
    return_loss: int | None = None


@dataclass(frozen=True, slots=True)
class RawEvent:
    """An event as stored: time in 100 ps, slope, loss and reflectance in thousandths."""

    number: int
    time: int
    slope: int
    loss: int
    reflectance: int
    code: str
    method: str
    markers: tuple[int, ...]
    comment: str


@dataclass(slots=True)
class Data:
    """Block DataPts: the samples of the first pulse width, in thousandths of a dB times ``scale``, downward."""

    raw: array[int] = field(default_factory=lambda: array("H"))
    scale: float = 1.0


def metres(time: float, index: float) -> float:
    """Metres of fibre of a one-way time in 100 ps."""
    return distance_m(2.0 * time * 1e-10, index)


def spacing_m(spacing: int, index: float) -> float:
    """Metres between samples, from the stored time of 10 000 of them."""
    return metres(spacing / 10_000.0, index)


def _filled(into: T, cursor: Cursor, fill: Callable[[T, Cursor], None], warnings: list[str]) -> T:
    """``into`` with as much as the block holds; what is missing is said."""
    try:
        fill(into, cursor)
    except ShortError as fault:
        warnings.append(f"{fault.message}; what stands before that was read")
    return into


def general(data: bytes, version: int, warnings: list[str]) -> General:
    """Read GenParams. Version 1 has neither fibre type nor the offset in metres."""

    def fill(found: General, cursor: Cursor) -> None:
        cursor.take(2)  # language
        found.cable, found.fibre = cursor.text(), cursor.text()
        if version >= 2:
            found.fibre_type = cursor.number("H")
        found.wavelength_nm = cursor.number("H")
        found.from_place, found.to_place, found.cable_code = cursor.text(), cursor.text(), cursor.text()
        found.status = cursor.letters(2)
        found.user_offset = cursor.number("i")
        if version >= 2:
            cursor.take(4)  # the same offset as a distance
        found.operator, found.comment = cursor.text(), cursor.text()

    return _filled(General(), Cursor(data, "GenParams"), fill, warnings)


def supplier(data: bytes, warnings: list[str]) -> tuple[str, ...]:
    """Read SupParams: up to seven texts about the instrument."""
    cursor = Cursor(data, "SupParams")
    found: list[str] = []
    try:
        found.extend(cursor.text() for _ in range(7))
    except ShortError as fault:
        warnings.append(f"{fault.message}; what stands before that was read")
    return tuple(found)


def fixed(data: bytes, version: int, warnings: list[str]) -> Fixed:
    """Read FxdParams."""

    def fill(found: Fixed, cursor: Cursor) -> None:
        found.taken, found.unit, found.wavelength = cursor.number("I"), cursor.letters(2), cursor.number("H")
        found.offset = cursor.number("i")
        if version >= 2:
            cursor.take(4)
        pulses = cursor.number("H")
        if pulses > MOST_PULSES:
            raise ShortError(f"block FxdParams tells of {pulses} pulse widths")
        found.pulses_ns = cursor.numbers(f"{pulses}H")
        found.spacings = cursor.numbers(f"{pulses}I")
        found.points = cursor.numbers(f"{pulses}I")
        found.index_e5, found.backscatter, found.averages = cursor.numbers("IHI")
        if version >= 2:
            found.averaged_s = cursor.number("H") / 10.0
        found.range = cursor.number("i")
        if version >= 2:
            cursor.take(4)
        cursor.take(4 + 2 + 2 + 2)  # front panel offset, noise floor and its scale, power offset
        found.loss_threshold, found.reflection_threshold, found.end_threshold = cursor.numbers("HHH")

    return _filled(Fixed(), Cursor(data, "FxdParams"), fill, warnings)


def events(data: bytes, version: int, warnings: list[str]) -> Events:
    """Read KeyEvents: every event that is whole, then the summary."""

    def fill(found: Events, cursor: Cursor) -> None:
        for _ in range(cursor.number("H")):
            number, time, slope, loss, reflectance = cursor.numbers("Hihhi")
            code, method = cursor.letters(6), cursor.letters(2)
            markers = cursor.numbers("5i") if version >= 2 else ()
            found.events.append(RawEvent(number, time, slope, loss, reflectance, code, method, markers, cursor.text()))
        found.total_loss, _, _, found.return_loss, _, _ = cursor.numbers("iiiHii")

    return _filled(Events(), Cursor(data, "KeyEvents"), fill, warnings)


def samples(data: bytes, warnings: list[str]) -> Data:
    """Read DataPts: the first of its curves."""

    def fill(found: Data, cursor: Cursor) -> None:
        _, curves, count, scale = cursor.numbers("IhIH")
        if curves < 1:
            raise ShortError(f"block DataPts holds {curves} curves")
        found.scale = scale / 1000.0 if scale else 1.0
        if not scale:
            warnings.append("block DataPts has a scale of 0; 1 was taken")
        there = min(count, cursor.left // 2)
        found.raw.frombytes(cursor.take(2 * there))
        if _BIG_ENDIAN:
            found.raw.byteswap()
        if there < count:
            warnings.append(f"block DataPts holds {there} of {count} samples")
        if curves > 1:
            warnings.append(f"block DataPts holds {curves} curves; the first was read")

    return _filled(Data(), Cursor(data, "DataPts"), fill, warnings)


_BIG_ENDIAN = array("H", [1]).tobytes() != b"\x01\x00"


def event_of(raw: RawEvent, index: float) -> FileEvent:
    """An event with its distances in metres. Unknown letters of its code mean nothing special."""
    first, second = raw.code[:1] or " ", raw.code[1:2] or " "
    reflective = first in "12"
    return FileEvent(
        number=raw.number,
        at_m=metres(raw.time, index),
        slope_db_per_km=raw.slope / 1000.0,
        loss_db=raw.loss / 1000.0,
        reflectance_db=raw.reflectance / 1000.0 if raw.reflectance and reflective else None,
        reflective=reflective,
        saturated=first == "2",
        end=second in "ED",
        by_hand=second in "AMD",
        code=raw.code,
        method=raw.method,
        comment=raw.comment,
        markers_m=tuple(metres(marker, index) for marker in raw.markers),
    )
