"""Reading a trace file in the published SR-4731 interchange format, versions 1 and 2: bytes in, a value out.

The file begins with a map of its blocks. A damaged block gives what it held and a warning that names it; a checksum
that does not match is a warning too, because few real files keep to one sum. Only a file that gives neither a curve
nor events is refused, in one line. Nothing is ever read past its end or held twice.
"""

from __future__ import annotations

from binascii import crc_hqx
from dataclasses import dataclass
from typing import Final

from model.errors import PlantError
from model.otdr import sor_blocks
from model.otdr.bytes_in import Cursor, ShortError
from model.otdr.reading import DEFAULT_INDEX, LEAST_INDEX, MOST_INDEX
from model.otdr.sor_blocks import Data, Events, Fixed, General, event_of, metres, spacing_m
from model.otdr.trace_file import Checksum, Curve, FileEvent, TraceFile

MOST_BYTES: Final = 8_000_000
"""No trace is larger: that would be four million samples, and instruments store a few hundred thousand."""
MOST_BLOCKS: Final = 200
KNOWN: Final = ("GenParams", "SupParams", "FxdParams", "KeyEvents", "LnkParams", "DataPts", "Cksum")
REMEDY: Final = "Save it once more on the instrument, in the SR-4731 format"


@dataclass(frozen=True, slots=True)
class Block:
    """Where a block stands; ``size`` counts its name in version 2."""

    name: str
    start: int
    size: int


def read_sor(data: bytes) -> TraceFile:
    """The trace file in ``data``. Raises one PlantError when nothing in it can be read.

    A checksum that does not match and blocks that are cut off are said in ``warnings``.
    """
    if len(data) > MOST_BYTES:
        raise PlantError(f"a trace file of {len(data)} bytes is too large", hint=f"{MOST_BYTES} is the most")
    warnings: list[str] = []
    version, blocks = _map(data, warnings)
    found: dict[str, bytes] = {name: _body(data, blocks[name], warnings) for name in KNOWN if name in blocks}
    return _assembled(data, version, blocks, found, warnings)


def _map(data: bytes, warnings: list[str]) -> tuple[int, dict[str, Block]]:
    """(version, blocks by name). Raises PlantError when the file has no map that can be followed."""
    named = data.startswith(b"Map\0")
    cursor = Cursor(data, "Map")
    if named:
        cursor.take(4)
    try:
        number, size, count = cursor.numbers("HIH")
    except ShortError:
        raise PlantError("the file is too short for a trace", hint=REMEDY) from None
    if not named and not 50 <= number < 200:
        raise PlantError("the file is no trace in the SR-4731 format", hint=REMEDY)
    version = 2 if named else 1
    if named and not 150 <= number < 300:
        warnings.append(f"block Map says version {number / 100:g}; read as version 2")
    blocks: dict[str, Block] = {}
    start = size
    try:
        if not 2 <= count <= MOST_BLOCKS:
            raise ShortError(f"block Map tells of {count} blocks")
        for _ in range(count - 1):
            name, _, length = cursor.text(), *cursor.numbers("HI")
            if name in blocks:
                warnings.append(f"block {name[:40]} is there twice; the first was read")
            else:
                blocks[name] = Block(name, start, length)
            start += length
    except ShortError as fault:
        warnings.append(f"{fault.message}; the blocks were looked for by their names" if named else fault.message)
    if named:
        _find_by_name(data, blocks, warnings)
    if start != len(data) and not warnings:
        warnings.append(f"block Map tells of {start} bytes and the file has {len(data)}")
    return version, blocks


def _find_by_name(data: bytes, blocks: dict[str, Block], warnings: list[str]) -> None:
    """Put right, in version 2, the known blocks whose name does not stand where the map says."""
    wrong = [
        name for name in KNOWN if name not in blocks or not data.startswith(name.encode() + b"\0", blocks[name].start)
    ]
    places = {name: data.find(name.encode() + b"\0", _after_map(data, name)) for name in KNOWN}
    starts = sorted([at for at in places.values() if at >= 0] + [len(data)])
    for name in wrong:
        at = places[name]
        if at < 0:
            continue
        end = next(start for start in starts if start > at)
        blocks[name] = Block(name, at, end - at)
        warnings.append(f"block {name} was not where the map says and was found by its name")


def _after_map(data: bytes, name: str) -> int:
    """Where to look for a block: behind the entry of the map that has its name, if there is one."""
    entry = data.find(name.encode() + b"\0")
    return entry + len(name) + 7 if entry >= 0 else 0


def _body(data: bytes, block: Block, warnings: list[str]) -> bytes:
    """The bytes of a block without its name."""
    if block.start >= len(data):
        warnings.append(f"block {block.name} is not in the file: it ends before")
        return b""
    if block.start + block.size > len(data):
        warnings.append(f"block {block.name} is cut off: {len(data) - block.start} of {block.size} bytes are there")
    body = data[block.start : block.start + block.size]
    head = block.name.encode() + b"\0"
    return body.removeprefix(head)


def _assembled(
    data: bytes, version: int, blocks: dict[str, Block], found: dict[str, bytes], warnings: list[str]
) -> TraceFile:
    what = sor_blocks.general(found["GenParams"], version, warnings) if found.get("GenParams") else General()
    how = sor_blocks.fixed(found["FxdParams"], version, warnings) if found.get("FxdParams") else Fixed()
    seen = sor_blocks.events(found["KeyEvents"], version, warnings) if found.get("KeyEvents") else Events()
    curve_data = sor_blocks.samples(found["DataPts"], warnings) if found.get("DataPts") else Data()
    needed = ("GenParams", "FxdParams", "KeyEvents", "DataPts")
    warnings += [f"block {name} is missing" for name in needed if name not in found]
    if not seen.events and not curve_data.raw:
        raise PlantError("the trace file holds neither a curve nor events", hint=REMEDY)
    remarks: list[str] = []
    index = _index(how, warnings)
    wavelength = _wavelength(what, how, remarks)
    curve = _curve(what, how, curve_data, index, warnings)
    seen_events = tuple(event_of(raw, index) for raw in seen.events)
    checksum = _checksum(data, blocks)
    if checksum == "bad":
        warnings.append("block Cksum does not match the file: it may have been changed since it was measured")
    elif checksum == "missing":
        warnings.append("block Cksum is missing")
    remarks += _event_remarks(seen_events)
    return TraceFile(
        version=version,
        cable=what.cable,
        fibre=what.fibre,
        fibre_type=what.fibre_type,
        from_place=what.from_place,
        to_place=what.to_place,
        cable_code=what.cable_code,
        status=what.status,
        operator=what.operator,
        comment=what.comment,
        supplier=sor_blocks.supplier(found["SupParams"], warnings) if found.get("SupParams") else (),
        taken=how.taken,
        unit=how.unit,
        wavelength_nm=wavelength,
        nominal_nm=what.wavelength_nm if 600 <= what.wavelength_nm <= 2500 else round(wavelength),
        pulse_ns=how.pulses_ns[0] if how.pulses_ns else 0,
        index=index,
        backscatter_db=-how.backscatter / 10.0,
        averages=how.averages,
        averaged_s=how.averaged_s,
        range_m=metres(how.range, index),
        launch_m=metres(what.user_offset, index),
        loss_threshold_db=how.loss_threshold / 1000.0,
        end_threshold_db=how.end_threshold / 1000.0,
        curve=curve,
        events=seen_events,
        total_loss_db=seen.total_loss / 1000.0 if seen.total_loss else None,
        return_loss_db=seen.return_loss / 1000.0 if seen.return_loss else None,
        checksum=checksum,
        unread=tuple(name for name in blocks if name not in KNOWN or name == "LnkParams"),
        warnings=tuple(warnings),
        remarks=tuple(remarks),
    )


def _event_remarks(events: tuple[FileEvent, ...]) -> list[str]:
    """What is odd about a table of events and still understood."""
    found: list[str] = []
    end = next((event for event in events if event.end), None)
    if end is not None and any(event.at_m > end.at_m for event in events):
        found.append("events stand after the end of the fibre")
    strong = [str(event.number) for event in events if (event.reflectance_db or 0.0) > 0.0]
    if strong:
        found.append(f"event {', '.join(strong)} reflects more than it gets: it was saturated")
    if any(event.at_m < 0.0 for event in events):
        found.append("events stand before zero, in the launch lead")
    return found


def _index(how: Fixed, warnings: list[str]) -> float:
    index = how.index_e5 / 1e5
    if LEAST_INDEX <= index <= MOST_INDEX:
        return index
    warnings.append(f"block FxdParams has a group index of {index:g}; {DEFAULT_INDEX:g} was taken")
    return DEFAULT_INDEX


def _wavelength(what: General, how: Fixed, remarks: list[str]) -> float:
    """Nanometres. FxdParams should store tenths; some files store whole ones, and no band is both."""
    stored = how.wavelength
    if 600 <= stored <= 2500:
        remarks.append("the wavelength is stored in nm, not in tenths of one")
        return float(stored)
    return stored / 10.0 if 6000 <= stored <= 25_000 else float(what.wavelength_nm)


def _curve(what: General, how: Fixed, data: Data, index: float, warnings: list[str]) -> Curve:
    """The samples in place: the first lies at the acquisition offset, zero behind the user offset."""
    stored = how.spacings[0] if how.spacings else 0
    if not stored and data.raw:
        warnings.append("block FxdParams has no sample spacing: the curve has no distances")
        return Curve(0.0, 1.0, sor_blocks.Data().raw, data.scale)
    if how.points and data.raw and how.points[0] != len(data.raw):
        warnings.append(f"block FxdParams tells of {how.points[0]} samples and DataPts holds {len(data.raw)}")
    return Curve(metres(how.offset - what.user_offset, index), spacing_m(stored or 1, index), data.raw, data.scale)


def _checksum(data: bytes, blocks: dict[str, Block]) -> Checksum:
    """CRC-16 with polynomial 0x1021 over every byte before the stored value; from 0xFFFF, in some files from 0."""
    block = blocks.get("Cksum")
    if block is None:
        return "missing"
    at = block.start
    if data.startswith(b"Cksum\0", at):
        at += 6
    if at + 2 > len(data):
        return "missing"
    stored = int.from_bytes(data[at : at + 2], "little")
    if crc_hqx(data[:at], 0xFFFF) == stored:
        return "good"
    return "good from 0" if crc_hqx(data[:at], 0) == stored else "bad"
