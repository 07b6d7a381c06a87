"""Real trace files of two open projects against an independent decoding of their bytes.

Distances are computed from the stored times (d = t x 1e-10 x c / n); slopes and splice losses were fitted by an
independent program, and the stored ones come from the instruments. The tolerances, 0.02 dB and 0.003 dB/km, are those
of that decoding. The files stay where they are (see ``conftest``), and nothing of what they say of instruments is told.
"""

from __future__ import annotations

import hashlib
from itertools import pairwise
from pathlib import Path

import pytest

from model.nodes import node_of
from model.otdr.expected import expected_events
from model.otdr.fit import event_loss_db, least_squares, spans, two_point
from model.otdr.match import match
from model.otdr.sor import read_sor
from model.otdr.trace_file import TraceFile
from tests.model.otdr.plants import spliced_line
from tests.model.otdr.test_sor import judge_harmed

HOUSE = Path(__file__).resolve().parents[2]
FOLDER = next(above / "shared" / "sor" for above in HOUSE.parents if (above / "shared" / "sor").is_dir())

# file: first digits of SHA-256, version, nm, pulse ns, n, points, spacing m, span m, events m, end m, total dB, sum
FILES = {
    "pyotdr_v1_demo_ab": (
        "d22b697f", 1, 1310.0, 1000, 1.47110, 11776, 5.094697, 59_995.149,
        (0.0, 12_711.253, 25_351.201, 38_047.170, 50_727.876), 50_727.876, None, "good",
    ),
    "pyotdr_v1_sample005": (
        "1b159961", 1, 1310.0, 100, 1.46770, 16000, 0.510650, 8_170.402,
        (0.0, 91.406, 395.264, 796.144, 3_787.226), 3_787.226, 2.564, "good",
    ),
    "otdrs_ex1": (
        "511ee516", 2, 1550.0, 30, 1.46750, 30000, 0.204288, 6_128.636,
        (0.0, 10.868, 3_734.423), 3_734.423, 0.576, "good",
    ),
    "otdrs_ex2": (
        "cdcd1474", 2, 1312.9, 10, 1.46770, 31343, 0.319156, 10_003.316,
        (0.0, 150.315, 3_739.225, 3_912.540, 7_327.502, 7_501.777), 3_739.225, 1.912, "bad",
    ),
    "otdrs_ex3": (
        "0141573", 2, 1310.0, 100, 1.46710, 20001, 0.511212, 10_224.760,
        (1_010.663, 6_950.951, 7_984.623), 7_984.623, 3.034, "good from 0",
    ),
}  # fmt: skip


def data_of(name: str) -> bytes:
    return (FOLDER / f"{name}.sor").read_bytes()


def trace(name: str) -> TraceFile:
    return read_sor(data_of(name))


@pytest.mark.parametrize("name", FILES)
def test_every_value_as_decoded(name: str) -> None:
    digest, version, nm, pulse, index, points, spacing, span, events, end, total, checksum = FILES[name]
    assert hashlib.sha256(data_of(name)).hexdigest().startswith(digest)
    found = trace(name)
    assert (found.version, found.pulse_ns, len(found.curve), found.checksum) == (version, pulse, points, checksum)
    assert found.wavelength_nm == pytest.approx(nm)
    assert found.index == pytest.approx(index)
    assert found.curve.spacing_m == pytest.approx(spacing, abs=1e-6)
    assert found.curve.spacing_m * points == pytest.approx(span, abs=1e-3)
    assert [event.at_m for event in found.events] == pytest.approx(list(events), abs=1e-3)
    assert found.end_m == pytest.approx(end, abs=1e-3)
    assert found.total_loss_db == total
    assert [w for w in found.warnings if "Cksum" not in w] == []
    assert bool(found.warnings) == (checksum == "bad")


def test_the_peaks_of_the_curve_stand_where_the_events_say() -> None:
    # A reflection rises by 1 dB or more within a few samples of its event: curve and table share one zero, also where
    # a launch lead was set as user offset (two of the files), and where the first sample lies before the connector.
    for name, number in (("otdrs_ex1", 0), ("otdrs_ex1", 2), ("otdrs_ex2", 1), ("pyotdr_v1_sample005", 0)):
        found = trace(name)
        event, curve = found.events[number], found.curve
        at = curve.index_at(event.at_m)
        before = [level for i in range(at - 12, at - 1) if (level := curve.level_db(i)) is not None]
        behind = [level for i in range(at - 1, at + 8) if (level := curve.level_db(i)) is not None]
        assert max(behind) - max(before) > 1.0, (name, number)


def test_user_offsets_are_launch_leads() -> None:
    assert trace("pyotdr_v1_sample005").launch_m == pytest.approx(152.684, abs=1e-3)
    assert trace("otdrs_ex1").launch_m == pytest.approx(503.386, abs=1e-3)
    assert trace("otdrs_ex2").launch_m == 0.0


def test_slopes() -> None:
    demo, ex1 = trace("pyotdr_v1_demo_ab"), trace("otdrs_ex1")
    assert least_squares(demo.curve, 1000.0, 12_500.0).slope_db_per_km == pytest.approx(0.3443, abs=0.0002)
    assert two_point(demo.curve, 1000.0, 12_500.0)[1] == pytest.approx(0.3445, abs=0.0002)
    # The independent fit counted its 0.7 to 3.7 km from the first sample, which lies before the file's zero.
    first = ex1.curve.start_m
    fitted = least_squares(ex1.curve, first + 700.0, first + 3700.0)
    assert fitted.slope_db_per_km == pytest.approx(0.1841, abs=0.0002)
    # Against what the instruments stored.
    assert fitted.slope_db_per_km == pytest.approx(0.185, abs=0.003)
    for _, far, fit in spans(demo):
        assert fit is not None
        assert fit.slope_db_per_km == pytest.approx(far.slope_db_per_km, abs=0.003)


def test_splice_losses() -> None:
    demo = trace("pyotdr_v1_demo_ab")
    by_place = {round(event.at_m, 3): event for event in demo.events}
    for at_m, recomputed, stored in (
        (12_711.253, 0.214, 0.209),
        (38_047.170, 0.154, 0.149),
        (25_351.201, 0.105, 0.087),  # reflective
    ):
        event = by_place[at_m]
        loss = event_loss_db(demo, event)
        assert event.loss_db == stored
        assert loss == pytest.approx(recomputed, abs=0.02)
        assert loss == pytest.approx(stored, abs=0.02)


@pytest.mark.parametrize("name", FILES)
def test_two_thousand_harmed_copies_of_each_file(name: str) -> None:
    judge_harmed(data_of(name), seed=len(name), count=2000)


def test_a_file_held_against_a_plant_of_its_own_distances() -> None:
    # Four cables as long as the glass between the five events, index 1.47110, spliced at 0.10 dB planned: every event
    # is a joint of that plant; 0.209 dB is lossy, and a fusion splice that reflects is none.
    found = trace("pyotdr_v1_demo_ab")
    places = [event.at_m for event in found.events]
    continuity = spliced_line([b - a for a, b in pairwise(places)], 1.47110)
    held = match(found, expected_events(continuity, node_of(continuity, "C1:1"), "exchange", found.index, 0.0, 1310))
    assert [m.fate for m in held.matched] == ["matched"] * 5
    assert held.extra == ()
    assert held.stretch == pytest.approx(0.0, abs=1e-5)
    assert [m.off_m for m in held.matched] == pytest.approx([0.0] * 5, abs=0.5)
    lossy = [m.expected.site_name for m in held.matched if any(n.kind == "lossy" for n in m.notes)]
    reflecting = [m.expected.site_name for m in held.matched if any(n.kind == "reflective" for n in m.notes)]
    assert (lossy, reflecting) == (["P1"], ["P2"])
