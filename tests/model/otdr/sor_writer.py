"""A writer of trace files in the SR-4731 format, versions 1 and 2, for tests: from the described layout, by hand.

It shares nothing with the reader: numbers are put together byte by byte, and the checksum is worked out bit by bit.
Distances and levels are given in metres and dB and turned into the stored units here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

C = 299_792_458.0


def little(value: int, count: int) -> bytes:
    """A whole number in ``count`` bytes, lowest first; a negative one as its complement."""
    value &= (1 << 8 * count) - 1
    return bytes(value >> 8 * place & 0xFF for place in range(count))


def text(value: str) -> bytes:
    return value.encode("utf-8") + b"\0"


def checksum(data: bytes, start: int = 0xFFFF) -> int:
    """CRC-16 with polynomial 0x1021, bit by bit."""
    sum_ = start
    for byte in data:
        sum_ ^= byte << 8
        for _ in range(8):
            sum_ = (sum_ << 1 ^ 0x1021 if sum_ & 0x8000 else sum_ << 1) & 0xFFFF
    return sum_


@dataclass
class Mark:
    """An event to be written. ``code`` is its first two letters: 0, 1, 2 and A, M, E, F, O, D."""

    at_m: float
    loss_db: float = 0.0
    reflectance_db: float = 0.0
    slope_db_per_km: float = 0.0
    code: str = "0F"
    method: str = "LS"
    comment: str = ""


@dataclass
class Shot:
    """A trace to be written; ``levels_db`` are relative, falling with distance."""

    version: int = 2
    index: float = 1.468
    wavelength_nm: float = 1550.0
    tenths: bool = True
    pulse_ns: int = 100
    spacing_m: float = 1.0
    levels_db: Sequence[float] = ()
    events: Sequence[Mark] = ()
    cable: str = "MF-48"
    fibre: str = "17"
    places: tuple[str, str] = ("Hub", "K4")
    launch_m: float = 0.0
    first_m: float = 0.0
    """Where the first sample lies from the instrument's own zero, launch lead included."""
    operator: str = "T. Wilmot"
    comment: str = ""
    total_db: float = 0.0
    scale: int = 1000
    crc_start: int = 0xFFFF
    extra: dict[str, bytes] = field(default_factory=dict)


def units(metres: float, index: float) -> int:
    """One-way time in 100 ps of a distance."""
    return round(metres * index / C * 1e10)


def blocks(shot: Shot) -> dict[str, bytes]:
    """The bodies of the blocks, without names."""
    two = shot.version == 2
    stored_nm = round(shot.wavelength_nm * (10 if shot.tenths else 1))
    launch = units(shot.launch_m, shot.index)
    general = b"EN" + text(shot.cable) + text(shot.fibre)
    general += (little(652, 2) if two else b"") + little(round(shot.wavelength_nm), 2)
    general += text(shot.places[0]) + text(shot.places[1]) + text("code") + b"BC" + little(launch, 4)
    general += (little(round(shot.launch_m * 10), 4) if two else b"") + text(shot.operator) + text(shot.comment)
    points = len(shot.levels_db)
    spacing = round(shot.spacing_m * shot.index / C * 1e14)
    fixed = little(1_700_000_000, 4) + b"mt" + little(stored_nm, 2) + little(units(shot.first_m, shot.index), 4)
    fixed += (little(0, 4) if two else b"") + little(1, 2) + little(shot.pulse_ns, 2) + little(spacing, 4)
    fixed += little(points, 4) + little(round(shot.index * 1e5), 4) + little(815, 2) + little(12_000, 4)
    fixed += (little(300, 2) if two else b"") + little(units(points * shot.spacing_m, shot.index), 4)
    fixed += (little(0, 4) if two else b"") + little(0, 4) + little(52_000, 2) + little(1000, 2) + little(0, 2)
    fixed += little(50, 2) + little(65_000, 2) + little(3000, 2) + (b"ST" + little(0, 16) if two else b"")
    events = little(len(shot.events), 2)
    for number, mark in enumerate(shot.events, start=1):
        events += little(number, 2) + little(units(mark.at_m, shot.index), 4)
        events += little(round(mark.slope_db_per_km * 1000), 2) + little(round(mark.loss_db * 1000), 2)
        events += little(round(mark.reflectance_db * 1000), 4) + mark.code.encode() + b"9999" + mark.method.encode()
        events += (little(0, 20) if two else b"") + text(mark.comment)
    end = max((units(mark.at_m, shot.index) for mark in shot.events), default=0)
    events += little(round(shot.total_db * 1000), 4) + little(0, 4) + little(end, 4)
    events += little(32_000, 2) + little(0, 4) + little(end, 4)
    top = max(shot.levels_db, default=0.0)
    raws = [min(round((top - level) * 1000 * 1000 / shot.scale), 65_534) for level in shot.levels_db]
    data = little(points, 4) + little(1, 2) + little(points, 4) + little(shot.scale, 2)
    data += b"".join(little(raw, 2) for raw in raws)
    supplier = b"".join(text(word) for word in ("maker", "frame", "1", "module", "2", "3.0", ""))
    return {
        "GenParams": general,
        "SupParams": supplier,
        "FxdParams": fixed,
        "KeyEvents": events,
        **shot.extra,
        "DataPts": data,
    }


def written(shot: Shot) -> bytes:
    """The whole file."""
    named = shot.version == 2
    bodies = {name: (text(name) if named else b"") + body for name, body in blocks(shot).items()}
    sizes = {**{name: len(body) for name, body in bodies.items()}, "Cksum": 8 if named else 2}
    rows = b"".join(text(name) + little(200 if named else 101, 2) + little(size, 4) for name, size in sizes.items())
    head = text("Map") if named else b""
    size = len(head) + 8 + len(rows)
    whole = head + little(200 if named else 100, 2) + little(size, 4) + little(len(sizes) + 1, 2) + rows
    whole += b"".join(bodies.values()) + (text("Cksum") if named else b"")
    return whole + little(checksum(whole, shot.crc_start), 2)


def staircase(marks: Sequence[Mark], end_m: float, slope_db_per_km: float, spacing_m: float = 1.0) -> list[float]:
    """Levels of glass of one slope with a step at every event and a floor of noise-free darkness behind ``end_m``."""
    levels = []
    at = 0.0
    while at < end_m:
        lost = sum(mark.loss_db for mark in marks if mark.at_m <= at)
        levels.append(-at / 1000.0 * slope_db_per_km - lost)
        at += spacing_m
    return levels
