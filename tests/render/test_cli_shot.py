"""``glasswright shot``: a trace file as text, JSON and a sheet, alone and against the plant; bad files are one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.optics.readings import true_db
from model.storage.files import load
from tests.model.otdr.sor_writer import Mark, Shot, staircase, written
from tests.render.program import ROUTE, Run

REF = "service:C9"
# The path of C9 from the hub, as an OTDR set to 1.4682 shows it: a tail of 6 m and 4761 x 1.018 m at 1.4670, then
# 30 x 1.02 m at 1.4675.
SPLICE_M = (6.0 + 4761.0 * 1.018) * 1.4670 / 1.4682
DROP_M = 30.6 * 1.4675 / 1.4682
END_M = SPLICE_M + DROP_M


def file(folder: Path, name: str, *marks: Mark) -> Path:
    end = max(mark.at_m for mark in marks)
    levels = staircase(marks, end + 100.0, 0.22, 2.0)
    path = folder / name
    path.write_bytes(written(Shot(index=1.4682, spacing_m=2.0, levels_db=levels, events=marks)))
    return path


@pytest.fixture
def forward(tmp_path: Path) -> Path:
    marks = Mark(0.0, 0.2, -48.0, code="1F"), Mark(SPLICE_M, -0.08), Mark(END_M, 0.0, -15.0, code="1E")
    return file(tmp_path, "forward.sor", *marks)


@pytest.fixture
def back(tmp_path: Path) -> Path:
    marks = Mark(0.0, 0.2, -48.0, code="1F"), Mark(DROP_M, 0.30), Mark(END_M, 0.0, -15.0, code="1E")
    return file(tmp_path, "back.sor", *marks)


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    return file(tmp_path, "broken.sor", Mark(0.0, 0.2, -48.0, code="1F"), Mark(3209.0, 7.0, code="0E"))


def test_a_file_alone(run: Run, forward: Path) -> None:
    found = run("shot", forward, "--json").json
    assert (found["version"], found["wavelength_nm"], found["checksum"]) == (2, 1550.0, "good")
    assert [event["at_m"] for event in found["events"]] == pytest.approx([0.0, SPLICE_M, END_M], abs=0.02)
    assert [event["state"] for event in found["events"]] == [None] * 3
    assert "supplier" not in found
    lines = run("shot", forward).lines
    assert lines[0].split(maxsplit=1)[1] == "cable MF-48, fibre 17, Hub to K4"
    assert any("0 to 4849 m: 0.220 dB/km" in line for line in lines)


def test_held_against_the_plant(run: Run, forward: Path) -> None:
    found = run("shot", forward, "--plant", ROUTE, "--ref", REF, "--json").json
    assert [event["place"] for event in found["events"]] == ["Marrowfield Hub", "K4", "Far Barn"]
    assert [event["state"] for event in found["events"]] == ["ok", "gain", "end"]
    (note,) = found["notes"]
    assert (note["kind"], note["grave"]) == ("gain", False)
    (reading,) = found["readings"]
    assert (reading["wavelength_nm"], reading["loss_db"]) == (1550, -0.08)


def test_both_ends_give_the_true_loss(run: Run, forward: Path, back: Path) -> None:
    found = run("shot", forward, "--plant", ROUTE, "--ref", REF, "--back", back, "--json").json
    splice = found["events"][1]
    assert (splice["loss_db"], splice["back_db"], splice["mean_db"]) == (-0.08, 0.3, 0.11)
    assert {reading["direction"] for reading in found["readings"]} == {"A-B", "B-A"}


def test_readings_go_into_the_plant(run: Run, forward: Path, back: Path, tmp_path: Path) -> None:
    out = tmp_path / "measured.gwp"
    given = ("--plant", ROUTE, "--ref", REF, "--back", back, "--record", out)
    assert run("shot", forward, *given).lines[-1] == str(out)
    (splice,) = [s for s in load(out).splices.values() if s.measured]
    # -0.08 one way and 0.30 the other: 0.11 dB true, at the wavelength of the files.
    assert true_db(splice, 1550) == pytest.approx(0.11)
    assert "the file exists already" in run.refused("shot", forward, *given)
    # Recorded again it takes the place of its own reading.
    again = run("shot", forward, "--plant", out, "--ref", REF, "--record", out, "--json").json
    assert again["written"] == str(out)
    (measured,) = [s for s in load(out).splices.values() if s.measured]
    assert sorted(measured.measured, key=repr) == sorted(splice.measured, key=repr)


def test_a_break_gets_its_mark(run: Run, broken: Path) -> None:
    # 3209 x 1.4682 / 1.4670 - 6 = 3205.6 m of fibre, / 1.018 + 4: mark 3153, the place of the worked ticket.
    found = run("shot", broken, "--plant", ROUTE, "--ref", REF, "--json").json
    (end,) = [event for event in found["events"] if event["state"] == "early end"]
    assert end["place"].startswith("MF-48 3153 m (313")
    assert [event["state"] for event in found["events"] if event["number"] is None] == ["beyond", "beyond"]
    lines = run("shot", broken, "--plant", ROUTE, "--ref", REF).lines
    assert any(line.startswith("Look at") and "crushed, kinked or wet" in line for line in lines)


def test_a_lead_that_the_zero_does_not_leave_out(run: Run, tmp_path: Path) -> None:
    marks = Mark(0.0, 0.2, -48.0, code="1F"), Mark(150.0, 0.3, -50.0, code="1F"), Mark(150.0 + END_M, code="1E")
    path = file(tmp_path, "lead.sor", *marks)
    found = run("shot", path, "--plant", ROUTE, "--ref", REF, "--lead", "150", "--json").json
    start = next(event for event in found["events"] if event["place"] == "Marrowfield Hub")
    assert start["at_m"] == pytest.approx(150.0, abs=0.02)


def test_two_cursors(run: Run, forward: Path) -> None:
    part = run("shot", forward, "--between", "500, 1.5 km", "--json").json["between"]
    assert part["two_point_db"] == pytest.approx(0.22, abs=0.001)
    assert part["least_squares_db_per_km"] == pytest.approx(0.22, abs=0.0005)


def test_a_sheet_is_drawn(run: Run, forward: Path, tmp_path: Path) -> None:
    out = tmp_path / "trace.svg"
    lines = run("shot", forward, "--plant", ROUTE, "--ref", REF, "-o", out, "--printed-on", "2026-01-02").lines
    assert lines[-1] == str(out)
    text = out.read_text(encoding="utf-8")
    assert "Trace of C9" in text
    assert "2026-01-02" in text


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("--plant", ROUTE), "a plant and a fibre of it go together"),
        (("--ref", REF), "a plant and a fibre of it go together"),
        (("--back", "FILE"), "joints of both ends are paired by the plant"),
        (("--plant", ROUTE, "--ref", "K2"), "is a whole site"),
        (("--record", "out.gwp"), "readings go into a plant"),
        (("--plant", ROUTE, "--ref", REF, "--record", "out.txt"), "is no name for a plant"),
        (("--plant", ROUTE, "--ref", "MF-48:20", "--record", "out.gwp"), "no splice of this path shows"),
        (("--between", "500"), "'500' is not two distances"),
        (("--between", "500,500"), "two cursors on one sample"),
        (("--between", "500,900 km"), "--between: the curve runs from "),
        (("--lead", "150"), "--lead: a lead is taken off where the trace is held against a plant"),
        (("--lead", "far"), "--lead: 'far' is no number"),
        (("-o", "trace.pdf"), "is no name for a drawing"),
        (("-o", "trace.svg", "--page", "A9"), "is no page size"),
    ],
)
def test_what_cannot_be_is_one_line(run: Run, forward: Path, given: tuple[object, ...], words: str) -> None:
    line = run.refused("shot", forward, *(forward if word == "FILE" else word for word in given))
    assert words in line


def test_bad_files_are_one_line(run: Run, tmp_path: Path) -> None:
    none = tmp_path / "none.sor"
    assert "there is no such file" in run.refused("shot", none)
    assert "is a folder" in run.refused("shot", tmp_path)
    words = tmp_path / "words.sor"
    words.write_text("this is no trace")
    assert f"{words}: " in (line := run.refused("shot", words))
    assert "no trace in the SR-4731 format" in line
    words.write_bytes(bytes(9_000_000))
    assert "more than the 8 MB a trace may have" in run.refused("shot", words)


def test_a_damaged_file_is_read_with_a_warning(run: Run, forward: Path) -> None:
    data = forward.read_bytes()
    forward.write_bytes(data[:-500])
    found = run("shot", forward, "--json").json
    assert len(found["events"]) == 3
    assert any("DataPts is cut off" in warning for warning in found["warnings"])
    assert any(line.startswith("File") for line in run("shot", forward).lines)
