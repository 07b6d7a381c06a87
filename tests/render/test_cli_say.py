"""``glasswright say``: lines and tables done on a file, or one line of why not and nothing written."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
import xlsxwriter

from model.edits.joining import Part
from model.edits.parts import Add
from model.entities import Service
from model.history import History
from model.ids import PortId, ServiceId
from model.line.help import EXAMPLES
from model.plant import Plant
from model.rules.run import check
from model.storage.files import load, save
from model.storage.lock import Holder, PlantLock
from model.templates import TEMPLATES
from tests.render.program import LARGE, SMALL, Run

JOIN = "join TM-B1:13-16 to D-1:1-4 on tray 1"
WHERE = {"a", "b", "tray", "slot"}


@pytest.fixture
def free(tmp_path: Path) -> Path:
    """Thistlemere with its joints taken apart."""
    history = History(load(SMALL))
    history.do(Part(tuple(s.id for s in history.plant.splices.values())))
    path = tmp_path / "free.gwp"
    save(history.plant, path)
    return path


@pytest.fixture
def served(tmp_path: Path) -> Path:
    """Larkmoor with a live service on fibre 38 of LM-A1."""
    history = History(load(LARGE))
    history.do(Add((Service(ServiceId("clinic"), "CLINIC", PortId("otter-bridge.38"), "live"),), "a live service"))
    path = tmp_path / "served.gwp"
    save(history.plant, path)
    return path


def joints(plant: Plant) -> set[tuple[object, ...]]:
    return {(s.a, s.b, s.tray, s.slot) for s in plant.splices.values()}


def test_a_line_is_done_read_back_and_written(run: Run, free: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gwp"
    got = run("say", free, JOIN, "-o", out)
    assert got.code == 0
    assert got.lines[0] == JOIN
    assert [line.split(None, 1) for line in got.lines[1:2]] == [["do", "make 4 joints"]]
    assert got.lines[-1] == f"written: {out}"
    assert joints(load(out)) == joints(load(SMALL))
    assert load(free).splices == {}


def test_lines_see_what_the_lines_before_them_did(run: Run, free: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gwp"
    got = run("say", free, "join TM-B1:13-14 to D-1:1-2 on tray 1", "next", "-o", out, "--json")
    assert [row["a"] for line in got.json["lines"] for row in line["rows"]] == [f"TM-B1:{n}" for n in range(13, 17)]
    assert got.json["written"] == str(out)
    assert set(got.json["lines"][0]["rows"][0]) >= WHERE
    assert joints(load(out)) == joints(load(SMALL))


def test_lines_come_from_standard_input(run: Run, free: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"# tube 2\n\n{JOIN}\n"))
    assert run("say", free, "-", "-o", tmp_path / "out.gwp").code == 0
    assert joints(load(tmp_path / "out.gwp")) == joints(load(SMALL))


def test_the_column_and_the_nearest_are_said_and_nothing_is_written(run: Run, free: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gwp"
    line = "join TM-B1:13-16 to D-1:5-8"
    assert run.refused("say", free, line, "-o", out) == (
        f"glasswright: column {line.index('5-8') + 1}: D-1 has 4 fibres, not 5-8. Nearest: D-1:1-4"
    )
    fault = run.refused("say", free, JOIN, "cut TM-B1:49", "-o", out)
    assert fault == "glasswright: line 2, column 11: TM-B1 has 48 fibres, not 49. Nearest: TM-B1:48"
    assert not out.exists()


@pytest.mark.parametrize(
    ("line", "column", "why"),
    [
        ("join TM-B1:13-60 to D-1:1-4", 12, "TM-B1 has 48 fibres, not 13-60"),  # overruns a cable
        ("cut TM-B1:T9", 11, "TM-B1 has 4 tubes, not T9"),  # an unknown tube
        ("join TM-B1:13 to D-1:1 on tray 1", 12, "TM-B1 fibre 13 is joined already"),  # a used end
        ("keep TM-B1:T2", 12, "fibres 13-16 of tube 2 of TM-B1 are cut here"),  # uncut said of what is cut
        ("join TM-B1:R1 to D-1:1-4", 12, "TM-B1 has no ribbons"),  # ribbon and single mixed
    ],
)
def test_what_cannot_be_done_is_one_line_with_its_column(
    run: Run, tmp_path: Path, line: str, column: int, why: str
) -> None:
    fault = run.refused("say", SMALL, line, "-o", tmp_path / "out.gwp")
    assert f"column {column}: " in fault
    assert why in fault
    assert list(tmp_path.iterdir()) == []


def test_a_look_names_who_would_go_dark_and_needs_no_outage(run: Run, served: Path) -> None:
    before = served.read_bytes()
    got = run("say", served, "cut LM-A1:38", "cut LM-A1:39", "--dry")
    assert got.code == 0
    assert "1 live service goes dark  CLINIC" in " ".join(got.out.split("\n"))
    assert "nothing is written" in got.out
    assert served.read_bytes() == before


def test_a_live_service_is_named_and_needs_an_outage(run: Run, served: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.gwp"
    fault = run.refused("say", served, "cut LM-A1:38", "-o", out)
    assert "1 live service would be touched: CLINIC goes dark" in fault
    assert "--outage" in fault
    assert not out.exists()
    assert run("say", served, "cut LM-A1:38", "--outage", "CHG-12", "-o", out).code == 0
    stop = next(s for s in load(out).cables["lm-a1"].stops if s.site == "wb-12")
    assert stop.outage == "CHG-12"
    assert run("say", served, "cut LM-A1:38", "--yes", "-o", tmp_path / "yes.gwp").code == 0
    assert next(s for s in load(tmp_path / "yes.gwp").cables["lm-a1"].stops if s.site == "wb-12").outage


def test_dry_reads_back_only(run: Run, free: Path, tmp_path: Path) -> None:
    before = free.read_bytes()
    got = run("say", free, JOIN, "--dry", "-o", tmp_path / "out.gwp")
    assert got.code == 0
    assert sum("TM-B1:" in line and "D-1:" in line for line in got.lines[1:]) == 4
    assert got.lines[-1] == "nothing is written"
    assert free.read_bytes() == before
    assert not (tmp_path / "out.gwp").exists()


def test_a_change_needs_a_place_to_go(run: Run, free: Path) -> None:
    assert "say -o" in run.refused("say", free, JOIN).lower()
    assert "nothing is said" in run.refused("say", free)
    assert "end in .gwp" in run.refused("say", free, JOIN, "-o", "x.svg")


def test_another_file_is_replaced_only_by_force_and_the_plant_itself_unless_it_is_open(run: Run, free: Path) -> None:
    other = free.with_name("other.gwp")
    save(load(SMALL), other)
    assert "exists already" in run.refused("say", free, JOIN, "-o", other)
    lock = PlantLock(free)
    lock.acquire(Holder("ann", "van-2", 1, "12:00"))
    assert "ann on van-2" in run.refused("say", free, JOIN, "-o", free)
    lock.release()
    assert run("say", free, JOIN, "-o", free).code == 0
    assert len(load(free).splices) == 4


def test_what_changes_nothing_needs_no_place(run: Run, free: Path) -> None:
    got = run("say", free, "who TM-B1:T1")
    assert got.code == 0
    assert any("on it" in line for line in got.lines)


def test_a_range_is_written_out_and_drawn_together(run: Run, free: Path) -> None:
    out = run("say", free, JOIN, "--write-out").lines
    assert out == [f"join TM-B1:{12 + n}< to D-1:{n} on tray 1 from {n}" for n in range(1, 5)]
    assert run("say", free, *out, "--together").lines == ["join TM-B1:13-16< to D-1:all on tray 1"]


# Tables


def test_the_schedule_the_program_writes_makes_the_joints_again(run: Run, free: Path, tmp_path: Path) -> None:
    run("tables", SMALL, "-o", tmp_path / "lists")
    out = tmp_path / "out.gwp"
    assert run("say", free, "--rows", tmp_path / "lists" / "splice-schedule.csv", "-o", out).code == 0
    assert joints(load(out)) == joints(load(SMALL))


def test_a_workbook_says_the_same_as_the_text(run: Run, free: Path, tmp_path: Path) -> None:
    book = xlsxwriter.Workbook(tmp_path / "rows.xlsx")
    sheet = book.add_worksheet()
    sheet.write_row(0, 0, ["From cable", "From fibre", "To cable", "To fibre", "Tray", "Slot"])
    for n in range(1, 5):
        sheet.write_row(n, 0, ["TM-B1", 12 + n, "D-1", n, 1, n])
    book.close()
    assert run("say", free, "--rows", tmp_path / "rows.xlsx", "-o", tmp_path / "out.gwp").code == 0
    assert joints(load(tmp_path / "out.gwp")) == joints(load(SMALL))


def test_bad_rows_are_named_and_left_out_only_when_that_is_said(run: Run, free: Path, tmp_path: Path) -> None:
    table, out = tmp_path / "rows.csv", tmp_path / "out.gwp"
    table.write_text("From,To,Tray\nTM-B1:13,D-1:1,1\nTM-B1:99,D-1:2,1\nTM-B1:15,D-1:3,1\n")
    fault = run.refused("say", free, "--rows", table, "-o", out)
    assert "1 of 3 rows cannot be joined: row 3: TM-B1 has 48 fibres, not 99" in fault
    assert not out.exists()
    dry = run("say", free, "--rows", table, "--dry", "--json")
    assert dry.code == 1
    assert [item["row"] for item in dry.json["bad_rows"]] == [3]
    assert run("say", free, "--rows", table, "--skip-bad", "-o", out).code == 0
    assert len(load(out).splices) == 2


@pytest.mark.parametrize(
    ("name", "content", "why"),
    [
        ("rows.xlsx", b"PK\x03\x04 nothing", "the workbook cannot be read"),
        ("rows.csv", b"PK\x00\x01" * 9, "no table of text"),
        ("rows.csv", "From;To\n\xe4;\xf6\n".encode("latin-1"), "not UTF-8"),
        ("rows.csv", b"", "there is no row in it"),
        ("rows.csv", b"x" * 4_000_001, "at most 4000000"),
    ],
)
def test_a_file_that_is_no_table_is_one_line(
    run: Run, free: Path, tmp_path: Path, name: str, content: bytes, why: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    assert why in run.refused("say", free, "--rows", path, "-o", tmp_path / "out.gwp")
    assert "No such file" in run.refused("say", free, "--rows", tmp_path / "gone.csv", "--dry")


def test_text_as_spreadsheets_save_it_in_sixteen_bits_is_read(run: Run, free: Path, tmp_path: Path) -> None:
    path = tmp_path / "rows.txt"
    path.write_bytes("From\tTo\r\nTM-B1:13\tD-1:1\r\n".encode("utf-16"))
    assert run("say", free, "--rows", path, "-o", tmp_path / "out.gwp").code == 0
    assert len(load(tmp_path / "out.gwp").splices) == 1


def test_the_lines_help_shows_every_example(run: Run) -> None:
    got = run("say", "--help-line")
    assert got.code == 0
    for say, means in EXAMPLES:
        assert any(line.startswith(say) for line in got.lines), say
        assert any(line.endswith(means) for line in got.lines), means


def test_a_straight_joint_is_entered_and_checks_clean_from_the_command_line(run: Run, tmp_path: Path) -> None:
    start, out = tmp_path / "start.gwp", tmp_path / "out.gwp"
    save(TEMPLATES["straight-joint"](), start)
    lines = ["join GL-96:1-24 to PB-96:1-24 on tray 1", *(f"next on tray {n}" for n in (2, 3, 4))]
    assert run("say", start, *lines, "-o", out).code == 0
    plant = load(out)
    assert len(plant.splices) == 96
    assert not [f for f in check(plant) if f.severity == "error"]
