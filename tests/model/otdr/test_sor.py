"""Trace files: written by an independent writer and read back, damaged in every way, and never more than a warning."""

from __future__ import annotations

import random
import struct
import tracemalloc
from binascii import crc_hqx
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.errors import PlantError
from model.otdr.sor import MOST_BYTES, read_sor
from model.otdr.sor_blocks import metres, spacing_m
from model.otdr.trace_file import TraceFile
from tests.model.otdr.sor_writer import Mark, Shot, blocks, checksum, little, staircase, text, written

MARKS = (
    Mark(0.0, reflectance_db=-45.0, code="1F"),
    Mark(1200.0, 0.15, slope_db_per_km=0.35, comment="pole 7"),
    Mark(3000.0, reflectance_db=-18.5, slope_db_per_km=0.35, code="2E"),
)
SAMPLE = Shot(events=MARKS, levels_db=staircase(MARKS, 3000.0, 0.35))
both_versions = pytest.mark.parametrize("version", [1, 2])


def sample(version: int = 2, **changes: object) -> Shot:
    return Shot(version=version, **{"events": MARKS, "levels_db": SAMPLE.levels_db, **changes})  # type: ignore[arg-type]


# -- units --------------------------------------------------------------------------------------------------------


def test_times_become_metres_as_published() -> None:
    # Worked examples computed from real files: raw time 623 749 and spacing 2 499 999 at n 1.47110.
    assert metres(623_749, 1.47110) == pytest.approx(12_711.253, abs=5e-4)
    assert spacing_m(2_499_999, 1.47110) == pytest.approx(5.09469679, abs=1e-8)
    assert spacing_m(2_499_999, 1.47110) * 11_776 == pytest.approx(59_995.149, abs=1e-3)
    # A launch lead as user offset 7422 at n 1.46770.
    assert metres(7422, 1.46770) == pytest.approx(151.602, abs=1e-3)


def test_the_checksum_is_the_published_one() -> None:
    # CRC-16/CCITT-FALSE and XMODEM of "123456789", the check values of their catalogues.
    assert checksum(b"123456789") == crc_hqx(b"123456789", 0xFFFF) == 0x29B1
    assert checksum(b"123456789", 0) == crc_hqx(b"123456789", 0) == 0x31C3


# -- whole files --------------------------------------------------------------------------------------------------


@both_versions
def test_what_was_written_is_read(version: int) -> None:
    found = read_sor(written(sample(version, launch_m=150.0, comment="ditch side", total_db=1.2)))
    assert found.warnings == ()
    assert (found.version, found.checksum) == (version, "good")
    assert (found.cable, found.fibre, found.operator, found.comment) == ("MF-48", "17", "T. Wilmot", "ditch side")
    assert (found.from_place, found.to_place) == ("Hub", "K4")
    assert (found.wavelength_nm, found.pulse_ns, found.index) == (1550.0, 100, 1.468)
    assert found.fibre_type == (652 if version == 2 else 0)
    assert found.launch_m == pytest.approx(150.0, abs=0.02)
    assert found.total_loss_db == 1.2
    assert [e.at_m for e in found.events] == pytest.approx([0.0, 1200.0, 3000.0], abs=0.02)
    assert [e.loss_db for e in found.events] == [0.0, 0.15, 0.0]
    assert [e.reflectance_db for e in found.events] == [-45.0, None, -18.5]
    assert [e.slope_db_per_km for e in found.events] == [0.0, 0.35, 0.35]
    assert [(e.reflective, e.saturated, e.end) for e in found.events] == [
        (True, False, False), (False, False, False), (True, True, True),
    ]  # fmt: skip
    assert found.events[1].comment == "pole 7"
    assert found.end_m == pytest.approx(3000.0, abs=0.02)
    assert len(found.curve) == 3000
    assert found.curve.spacing_m == pytest.approx(1.0, abs=1e-6)
    # Zero lies behind the launch lead.
    assert found.curve.at_m(0) == pytest.approx(-150.0, abs=0.02)
    levels = [found.curve.level_db(i) for i in (0, 1199, 1200, 2999)]
    assert [levels[0] - level for level in levels] == pytest.approx([0.0, 0.41965, 0.57, 1.19965], abs=6e-4)  # type: ignore[operator]


@both_versions
@given(data=st.data())
def test_any_trace_comes_back(version: int, data: st.DataObject) -> None:
    index = data.draw(st.integers(140_000, 150_000)) / 1e5
    step = data.draw(st.floats(0.05, 10.0))
    levels = data.draw(st.lists(st.floats(-60.0, 0.0), min_size=1, max_size=50))
    marks = [
        Mark(
            data.draw(st.floats(-500.0, 60_000.0)),
            data.draw(st.floats(-5.0, 30.0)),
            data.draw(st.floats(-80.0, 5.0)),
            data.draw(st.floats(0.0, 3.0)),
            data.draw(st.sampled_from(["0F", "1F", "2E", "1A", "0M", "1D"])),
        )
        for _ in range(data.draw(st.integers(0, 6)))
    ]
    names = st.text(st.characters(min_codepoint=33, max_codepoint=0x24F, categories=["L", "N"]), max_size=20)
    first = data.draw(st.floats(-100.0, 100.0))
    launch = data.draw(st.floats(0.0, 2000.0))
    shot = Shot(
        version,
        index,
        data.draw(st.sampled_from([850.0, 1310.0, 1312.9, 1550.0, 1625.0, 1650.0])),
        spacing_m=step,
        levels_db=levels,
        events=marks,
        cable=data.draw(names),
        launch_m=launch,
        first_m=first,
    )
    found = read_sor(written(shot))
    assert found.warnings == ()
    assert found.cable == shot.cable
    assert found.wavelength_nm == pytest.approx(shot.wavelength_nm)
    unit = metres(1, index)
    assert found.curve.start_m == pytest.approx(first - launch, abs=1.1 * unit)
    assert found.curve.spacing_m == pytest.approx(step, abs=metres(1e-4, index))
    for mark, event in zip(marks, found.events, strict=True):
        assert event.at_m == pytest.approx(mark.at_m, abs=unit)
        assert event.loss_db == pytest.approx(mark.loss_db, abs=6e-4)
        assert event.end == (mark.code[1] in "ED")
        if event.reflectance_db is not None:
            assert event.reflectance_db == pytest.approx(mark.reflectance_db, abs=6e-4)
    top = max(levels)
    for i, level in enumerate(levels):
        shown = found.curve.level_db(i)
        assert shown is not None
        assert shown == pytest.approx(level - top, abs=6e-4)


# -- traps of real files ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("tenths", [True, False])
def test_the_wavelength_is_nm_however_it_is_stored(tenths: bool) -> None:
    found = read_sor(written(sample(tenths=tenths, wavelength_nm=1310.0)))
    assert found.wavelength_nm == 1310.0
    assert (found.remarks == ()) == tenths


def test_events_behind_the_end_stay_and_are_remarked() -> None:
    marks = (*MARKS, Mark(3400.0, reflectance_db=-57.0, code="1F"))
    found = read_sor(written(sample(events=marks)))
    assert len(found.events) == 4
    assert found.end_m == pytest.approx(3000.0, abs=0.02)
    assert any("after the end" in remark for remark in found.remarks)


def test_a_reflectance_above_zero_and_an_event_before_zero_are_kept() -> None:
    marks = (Mark(-43.9, code="1F", reflectance_db=-40.0), Mark(3000.0, reflectance_db=4.014, code="1E"))
    found = read_sor(written(sample(events=marks)))
    assert found.events[0].at_m == pytest.approx(-43.9, abs=0.02)
    assert found.events[1].reflectance_db == 4.014
    assert any("saturated" in remark for remark in found.remarks)


def test_a_moved_zero_moves_curve_and_events_alike() -> None:
    # 2150 x 100 ps: the same trace saved again with its zero 43.9 m farther in. The step stays on its sample.
    moved = 43.922
    plain = read_sor(written(sample()))
    again = read_sor(
        written(
            sample(
                launch_m=moved,
                events=[Mark(m.at_m - moved, m.loss_db, m.reflectance_db, m.slope_db_per_km, m.code) for m in MARKS],
            )
        )
    )
    for one, two in zip(plain.events, again.events, strict=True):
        assert plain.curve.index_at(one.at_m) == again.curve.index_at(two.at_m)


def test_a_checksum_from_zero_is_good_too_and_a_wrong_one_only_a_warning() -> None:
    assert read_sor(written(sample(crc_start=0))).checksum == "good from 0"
    data = bytearray(written(sample()))
    data[-1] ^= 1
    found = read_sor(bytes(data))
    assert found.checksum == "bad"
    assert [w for w in found.warnings if "Cksum" in w] == list(found.warnings)


def test_blocks_of_others_are_stepped_over() -> None:
    found = read_sor(written(sample(extra={"OwnStuff": b"\1" * 99})))
    assert found.unread == ("OwnStuff",)
    assert found.warnings == ()
    assert len(found.events) == 3


def test_unset_samples_are_no_level() -> None:
    shot = sample(version=1)
    data = written(shot)
    at = data.index(blocks(shot)["DataPts"]) + 12
    changed = data[: at + 10] + b"\xff\xff" + data[at + 12 :]
    found = read_sor(changed)
    assert found.curve.level_db(5) is None
    assert len(list(found.curve.points(found.curve.at_m(4), found.curve.at_m(6)))) == 2


def test_the_scale_of_the_samples_counts() -> None:
    found = read_sor(written(sample(scale=500)))
    first, last = found.curve.level_db(0), found.curve.level_db(2999)
    assert first is not None
    assert last is not None
    assert first - last == pytest.approx(1.19965, abs=1e-3)


# -- damage -------------------------------------------------------------------------------------------------------


def cut_block(name: str, keep: int) -> bytes:
    """A version 2 file whose block ``name`` holds only its first bytes; the map says so."""
    return _rewritten({name: lambda body: body[:keep]})


def _rewritten(changes: dict[str, Callable[[bytes], bytes]]) -> bytes:
    bodies = {name: text(name) + changes.get(name, bytes)(body) for name, body in blocks(SAMPLE).items()}
    sizes = {**{name: len(body) for name, body in bodies.items()}, "Cksum": 8}
    rows = b"".join(text(name) + little(200, 2) + little(size, 4) for name, size in sizes.items())
    whole = text("Map") + little(200, 2) + little(12 + len(rows), 4) + little(len(sizes) + 1, 2) + rows
    whole += b"".join(bodies.values()) + text("Cksum")
    return whole + little(checksum(whole), 2)


@pytest.mark.parametrize(
    ("name", "keep"),
    [("GenParams", 4), ("GenParams", 15), ("SupParams", 8), ("FxdParams", 9), ("FxdParams", 50), ("KeyEvents", 60)],
)
def test_a_block_that_ends_early_is_named_and_the_rest_is_read(name: str, keep: int) -> None:
    found = read_sor(cut_block(name, keep))
    assert any(f"block {name}" in warning for warning in found.warnings)
    assert found.checksum == "good"
    if name != "KeyEvents":
        assert len(found.events) == 3
    else:
        assert len(found.events) == 1  # 2 + 43 bytes hold one event; the second is cut
    if name != "FxdParams":
        assert len(found.curve) == 3000


def test_a_curve_without_events_and_events_without_a_curve_are_read() -> None:
    no_events = read_sor(cut_block("KeyEvents", 1))
    assert (len(no_events.events), len(no_events.curve)) == (0, 3000)
    no_curve = read_sor(cut_block("DataPts", 5))
    assert (len(no_curve.events), len(no_curve.curve)) == (3, 0)
    half = read_sor(cut_block("DataPts", 12 + 1000))
    assert len(half.curve) == 500
    assert any("500 of 3000 samples" in warning for warning in half.warnings)


def test_a_file_cut_in_its_data_keeps_what_is_there() -> None:
    data = written(SAMPLE)
    found = read_sor(data[:-2000])
    assert len(found.events) == 3
    assert 1900 < len(found.curve) < 2100
    assert any("DataPts is cut off" in warning for warning in found.warnings)


def test_blocks_are_found_by_name_when_the_map_is_wrong() -> None:
    data = written(SAMPLE)
    # The size of GenParams in the map is 30 too large: everything behind stands elsewhere.
    entry = data.index(text("GenParams")) + len(text("GenParams")) + 2
    size = int.from_bytes(data[entry : entry + 4], "little")
    found = read_sor(data[:entry] + little(size + 30, 4) + data[entry + 4 :])
    assert (len(found.events), len(found.curve), found.cable) == (3, 3000, "MF-48")
    assert any("found by its name" in warning for warning in found.warnings)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"M",
        b"Map\0",
        b"not a trace file at all, only some words",
        b"\x89PNG\r\n\x1a\n" + bytes(200),
        bytes(5000),
        b"\xff" * 5000,
        written(Shot(levels_db=(), events=())),
        b"Map\0" + little(200, 2) + little(10**9, 4) + little(65_535, 2),
    ],
)
def test_what_is_no_trace_is_one_line(data: bytes) -> None:
    with pytest.raises(PlantError) as fault:
        read_sor(data)
    assert "\n" not in str(fault.value)
    assert fault.value.hint


def test_a_huge_file_is_refused_unread() -> None:
    with pytest.raises(PlantError, match="too large"):
        read_sor(bytes(MOST_BYTES + 1))


def harmed(data: bytes, chance: random.Random) -> bytes:
    """A file cut short, with bits flipped, with a run of ones, or with a piece taken out."""
    what = chance.randrange(4)
    if what == 0:
        return data[: chance.randrange(len(data))]
    found = bytearray(data)
    if what == 1:
        for _ in range(chance.choice((1, 1, 3, 8))):
            # Half of the flips hit the first kilobyte, where the numbers are.
            at = chance.randrange(min(1024, len(found)) if chance.random() < 0.5 else len(found))
            found[at] ^= 1 << chance.randrange(8)
    elif what == 2:
        at = chance.randrange(len(found) - 4)
        found[at : at + 4] = b"\xff\xff\xff\xff"
    else:
        at = chance.randrange(len(found))
        del found[at : at + chance.randrange(1, 40)]
    return bytes(found)


def outcome(data: bytes) -> tuple[TraceFile | None, str]:
    """(what was read, the line of the refusal)."""
    try:
        return read_sor(data), ""
    except PlantError as fault:
        return None, str(fault)


def judge_harmed(data: bytes, seed: int, count: int) -> None:
    """Every harmed file is one error line or says a warning, and takes little memory."""
    chance = random.Random(seed)
    tracemalloc.start()
    try:
        for _ in range(count):
            bad = harmed(data, chance)
            if bad == data:
                continue
            found, line = outcome(bad)
            assert line.strip() if found is None else found.warnings, bad.hex()[:200]
            assert "\n" not in line
        assert tracemalloc.get_traced_memory()[1] < 50_000_000
    finally:
        tracemalloc.stop()


@both_versions
def test_two_thousand_harmed_files_of_each_version(version: int) -> None:
    judge_harmed(written(sample(version, levels_db=SAMPLE.levels_db[:800])), version, 2000)


@given(st.binary(max_size=400))
def test_no_bytes_break_the_reader(data: bytes) -> None:
    for head in (b"", b"Map\0\xc8\0", written(SAMPLE)[:180]):
        found, line = outcome(head + data)
        assert found is not None or (line and "\n" not in line)


def test_a_map_of_lies_does_not_take_memory() -> None:
    rows = text("GenParams") + struct.pack("<HI", 200, 2**32 - 1) + text("DataPts") + struct.pack("<HI", 200, 2**32 - 1)
    data = text("Map") + struct.pack("<HIH", 200, 4, 3) + rows + bytes(100)
    tracemalloc.start()
    try:
        with pytest.raises(PlantError):
            read_sor(data)
        assert tracemalloc.get_traced_memory()[1] < 1_000_000
    finally:
        tracemalloc.stop()
