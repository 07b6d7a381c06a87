"""The command line as a person meets it: facts of the samples, one line for every fault, nothing written by halves."""

from __future__ import annotations

import json
import os
import re
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from model.plant import Plant
from model.storage.files import save
from model.templates import TEMPLATES
from render.cli import main

HOUSE = Path(__file__).resolve().parents[2]
SMALL = HOUSE / "samples" / "thistlemere.gwp"
LARGE = HOUSE / "samples" / "larkmoor.gwp"
BROKEN = HOUSE / "samples" / "broken"
ONE, OTHER = sorted(TEMPLATES)[:2]


class Answer:
    def __init__(self, code: int, out: str, err: str) -> None:
        self.code, self.out, self.err = code, out, err

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()


class Run:
    """Run a command in this process."""

    def __init__(self, captured: pytest.CaptureFixture[str]) -> None:
        self.captured = captured

    def __call__(self, *arguments: object) -> Answer:
        with pytest.raises(SystemExit) as end:
            main([str(argument) for argument in arguments])
        out, err = self.captured.readouterr()
        assert isinstance(end.value.code, int)
        return Answer(end.value.code, out, err)

    def refused(self, *arguments: object) -> str:
        """The one line of a refusal."""
        got = self(*arguments)
        assert (got.code, got.out) == (2, "")
        lines = got.err.splitlines()
        assert len(lines) == 1, got.err
        assert lines[0].startswith("glasswright: ")
        assert "inner fault" not in lines[0]
        return lines[0]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return Run(capsys)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def program(*arguments: str, given: dict[str, str] | None = None, **more: Any) -> subprocess.CompletedProcess[bytes]:
    """Run the program as a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(HOUSE), **(given or {})}
    return subprocess.run(
        [sys.executable, "-m", "gui.launch", *arguments],
        env=environment,
        stderr=subprocess.PIPE,
        **{"stdout": subprocess.PIPE, **more},
    )


# What the samples say


def test_the_small_sample_is_good_and_its_tray_holds_more_than_its_joints(run: Run) -> None:
    got = run("check", SMALL)
    assert got.code == 0
    # 4 joints, 8 loop-through and 4 stubs, counted on the drawing
    assert any("tray.load" in line and "16 of 24" in line for line in got.lines)
    assert got.lines[-1].startswith("0 errors, ")


def test_a_row_that_joins_uncut_fibre_17_to_fibre_5_of_4_is_named_for_both(run: Run) -> None:
    got = run("check", BROKEN / "fibre-17-to-drop-5.gwp")
    assert got.code == 1
    assert any("D-1 has 4 fibres, not 5" in line for line in got.lines)
    assert any("TM-B1:17 is uncut" in line for line in got.lines)
    assert got.lines[-1].startswith("2 errors, ")


def test_findings_stand_under_each_other_gravest_first(run: Run) -> None:
    lines = run("check", BROKEN / "fibre-17-to-drop-5.gwp").lines[:-1]
    starts = {re.match(r"\w+ +[\w.]+ +", line).end() for line in lines}  # type: ignore[union-attr]
    assert len(starts) == 1
    order = [line.split()[0] for line in lines]
    assert order == sorted(order, key=["error", "warning", "note"].index)


def test_check_answers_a_program_with_findings_and_their_counts(run: Run) -> None:
    got = run("check", BROKEN / "fibre-17-to-drop-5.gwp", "--json")
    assert got.code == 1
    assert list(got.json) == ["findings", "errors", "warnings", "notes"]
    for finding in got.json["findings"]:
        assert list(finding) == [
            *("rule", "severity", "refs", "message", "measured", "limit", "unit", "basis", "accepted")
        ]
    kinds = [finding["severity"] for finding in got.json["findings"]]
    assert [got.json["errors"], got.json["warnings"], got.json["notes"]] == [
        kinds.count(kind) for kind in ("error", "warning", "note")
    ]


def test_drop_fibre_3_leads_to_port_15_by_the_third_fibre_of_the_second_tube(run: Run) -> None:
    got = run("trace", SMALL, "D-1:3")
    assert got.code == 0
    assert "Exchange end  Quill Lane port 15" in got.lines
    # fibre 15 of tubes of 12: tube 2, position 3, and the third colour is green (TIA-598, from memory)
    assert any("TM-B1:15, tube 2 orange, position 3 green" in line for line in got.lines)


def test_trace_answers_a_program_hop_by_hop(run: Run) -> None:
    got = run("trace", SMALL, "D-1:3", "--json").json
    assert {"from", "hops", "ends", "loss_db"} <= set(got)
    assert got["ends"][-1] == "Quill Lane port 15"
    keys = {"kind", "site", "cable", "tube", "tube_colour", "fibre", "fibre_colour", "tray", "slot"}
    assert all(keys | {"length_m", "loss_db", "cum_m", "cum_db"} <= set(hop) for hop in got["hops"])
    glass = [hop for hop in got["hops"] if hop["cable"] == "TM-B1"]
    assert [(hop["fibre"], hop["tube"], hop["position"], hop["fibre_colour"]) for hop in glass] == [(15, 2, 3, "green")]
    # 2 pairs of 0.3, 3 splices of 0.1 and 2.2589 km of fibre at 0.35 and 0.22 dB/km, by hand
    assert got["loss_db"]["1310"] == pytest.approx(0.9 + 2.2589 * 0.34, abs=0.03)


def test_the_numbers_of_a_trace_stand_in_columns(run: Run) -> None:
    lines = run("trace", SMALL, "D-1:3").lines
    ends = {len(line) for line in lines if re.search(r"\d\.\d{3}$", line)}
    assert ends == {len(lines[1])}


def test_both_pieces_of_a_cut_fibre_are_offered_ready_to_copy(run: Run) -> None:
    line = run.refused("trace", SMALL, "TM-B1:15")
    offered = re.findall(r'"([^"]+)"', line)
    assert offered == ["TM-B1:15@WB-07<", "TM-B1:15@WB-07>"]
    inward, outward = (run("trace", SMALL, ref) for ref in offered)
    assert "Exchange end  Quill Lane port 15" in inward.lines
    assert "Field end     Ferry Head port 15" in outward.lines
    assert any(line.startswith("Exchange end  dark at WB-07") for line in outward.lines)


@pytest.mark.parametrize(
    "ref", ["D-1:3", "d-1:T1.3", "TM-B1:T2.3@WB-07<", "service:TH-3", "WB-07/1/3", "Quill Lane/port/15", "TM-B1:15<"]
)
def test_every_way_to_name_it_finds_the_same_path(run: Run, ref: str) -> None:
    got = run("trace", SMALL, ref, "--json").json
    assert got["ends"] == ["Thistlemere Hall port 3", "Quill Lane port 15"]


def test_the_service_on_port_15_loses_what_the_hand_says(run: Run) -> None:
    rows = run("budget", SMALL, "--json").json["services"]
    row = next(row for row in rows if row["port"] == "Quill Lane port 15")
    assert list(row)[:7] == ["service", "port", "class", "loss_db", "bend_db", "margin_max_db", "margin_min_db"]
    assert row["service"] == "TH-3"
    # 2192.6 m and 66.3 m of fibre, 3 splices of 0.1 dB and 2 pairs of 0.3 dB
    assert row["loss_db"]["1310"] == pytest.approx(1.691, abs=0.001)
    assert row["loss_db"]["1550"] == pytest.approx(1.397, abs=0.001)


def test_a_budget_with_a_class_names_what_is_left_and_what_is_missing(run: Run) -> None:
    got = run("budget", BROKEN / "too-little-light.gwp", "--service", "TH-1")
    dim = [line.split()[0] for line in got.lines if line.endswith("too little light")]
    assert dim == ["1310", "1490", "1550"]  # those asked for, and 1490, which the class sends on
    # GPON class B+ allows 28 dB (G.984.2 Amd 1, from memory)
    row = run("budget", BROKEN / "too-little-light.gwp", "--service", "TH-1", "--json").json["services"][0]
    assert row["margin_max_db"]["1310"] == pytest.approx(28 - row["loss_db"]["1310"] - row["bend_db"]["1310"], abs=1e-3)


def test_a_plant_without_services_has_no_budget(run: Run, tmp_path: Path) -> None:
    save(Plant(), tmp_path / "empty.gwp")
    got = run("budget", tmp_path / "empty.gwp")
    assert (got.code, got.lines) == (1, ["no service is live or planned"])
    assert run("budget", tmp_path / "empty.gwp", "--json").json == {"services": []}


@pytest.mark.parametrize("template", sorted(TEMPLATES))
def test_a_new_plant_can_be_judged_and_budgeted(run: Run, here: Path, template: str) -> None:
    assert run("new", template, "-o", "new.gwp").lines == ["new.gwp"]
    judged = run("check", "new.gwp", "--json")
    assert judged.code == (1 if judged.json["errors"] else 0)
    assert not [f["message"] for f in judged.json["findings"] if "could not judge" in f["message"]]
    budgeted = run("budget", "new.gwp", "--json")
    assert budgeted.code == (0 if budgeted.json["services"] else 1)


# Faults


def test_files_that_are_no_plant_get_one_line_each(run: Run, here: Path) -> None:
    whole = SMALL.read_bytes()
    files = {
        "empty": b"",
        "truncated": whole[: len(whole) // 2],
        "utf16": whole.decode().encode("utf-16"),
        "binary": bytes(range(256)) * 50,
        "deep": b"[" * 100_000,
        "newer": whole.replace(b'"version": 1', b'"version": 999'),
        "nan": whole.replace(b'"mark_out_m": 2149.6', b'"mark_out_m": NaN'),
        "dangling": whole.replace(b'"site": "wb-07"', b'"site": "gone"'),
        "twice": whole.replace(b'"id": "th-2"', b'"id": "th-1"'),
        "newline": whole.replace(b'"name": "WB-07"', b'"name": "WB\\n07"'),
        "long": whole.replace(b'"name": "WB-07"', b'"name": "' + b"x" * 201 + b'"'),
    }
    for name, content in files.items():
        assert content != whole, name
        (here / name).write_bytes(content)
    with (here / "sparse").open("wb") as sparse:
        sparse.truncate(1 << 30)
    os.mkfifo(here / "pipe")
    for name in [*files, "sparse", "pipe", ".", "missing", "x" * 5000]:
        for verb in (["check", name], ["trace", name, "D-1:3"], ["budget", name], ["draw", name, "all", "-o", "out"]):
            line = run.refused(*verb)
            assert name[:100] in line
            assert len(line) < 1000
    assert not (here / "out").exists()


@pytest.mark.parametrize(
    "ref",
    [
        *("", " ", "nonsense", "x" * 8000, "x" * 9000, "D-1:99", "D-1:1-99999999999", "D-1:\u0663", "service:"),
        *("<script>", "WB-07", "TM-B1", "WB-07/1", "WB-07/1/24", "D-1:3@Ferry Head"),
        *("\x1b[31mD-1\x1b[0m:3", "a\nb\nc", "\udcff"),
    ],
)
def test_a_reference_to_nothing_gets_one_line(run: Run, ref: str) -> None:
    line = run.refused("trace", SMALL, ref)
    assert line.isprintable()
    assert len(line) < 1000


@pytest.mark.parametrize(
    "arguments",
    [
        ("nosuchverb",),
        ("check",),
        ("check", SMALL, "more"),
        ("check", SMALL, "--nope"),
        ("check", SMALL, "--site", "nowhere"),
        ("check", SMALL, "--profile", "missing.toml"),
        ("check", SMALL, "--profile", "."),
        ("check", SMALL, "--profile", SMALL),
        ("budget", SMALL, "--service", "nope"),
        ("new", "nope", "-o", "new.gwp"),
        ("new", ONE, "-o", "new.svg"),
        ("new", ONE, "-o", "none/new.gwp"),
        ("draw", SMALL, "layout"),
        ("draw", SMALL, "nosheet", "-o", "x.svg"),
        ("draw", SMALL, "layout", "-o", "none/x.svg"),
        ("draw", SMALL, "layout", "-o", "."),
        ("draw", SMALL, "layout", "-o", "x.gwp"),
        ("draw", SMALL, "layout", "-o", "x" * 300 + ".svg"),
        ("draw", SMALL, "all", "-o", "-"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--page", "A0\x1b"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--printed-on", "<script>"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--printed-on", "2026-02-30"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--ref", "D-1:3"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--trace", "nonsense"),
        ("draw", SMALL, "layout", "-o", "x.svg", "--site", "Quill Lane"),
        ("draw", SMALL, "tray", "-o", "x.svg", "--ref", "D-1:3"),
        ("draw", SMALL, "tray", "-o", "x.svg", "--site", "Quill Lane", "--ref", "WB-07/1"),
        ("draw", SMALL, "path", "-o", "x.svg", "--ref", "WB-07"),
        ("draw", SMALL, "path", "-o", "x.svg", "--site", "Quill Lane"),
    ],
)
def test_a_command_that_cannot_be_gets_one_line_and_writes_nothing(
    run: Run, here: Path, arguments: tuple[object, ...]
) -> None:
    assert run.refused(*arguments).isprintable()
    assert list(here.iterdir()) == []


def test_an_unknown_template_is_answered_with_those_there_are(run: Run) -> None:
    line = run.refused("new", "nope", "-o", "new.gwp")
    assert all(name in line for name in TEMPLATES)


def test_a_plant_is_replaced_only_when_that_is_said(run: Run, here: Path) -> None:
    run("new", ONE, "-o", "new.gwp")
    before = (here / "new.gwp").read_bytes()
    assert "--force" in run.refused("new", OTHER, "-o", "new.gwp")
    assert (here / "new.gwp").read_bytes() == before
    assert run("new", OTHER, "-o", "new.gwp", "--force").code == 0
    assert (here / "new.gwp").read_bytes() != before


# Words of a plant

WORDS = (
    "<script>alert(1)</script>",
    "=1+1",
    "w" * 200,
    "\u202eevil \u05d0\u05d1",
    "塔 \U0001f3e0",
    "a/b@c<d>:1",
    "\x00",
)


@pytest.mark.parametrize("word", WORDS[:-1])
def test_any_name_goes_through_every_verb_and_stays_a_word(run: Run, here: Path, word: str) -> None:
    text = SMALL.read_text(encoding="utf-8")
    for name in ("WB-07", "TM-B1", "TH-3", "Quill Lane"):
        text = text.replace(f'"name": "{name}"', f'"name": {json.dumps((word + name)[-200:], ensure_ascii=False)}')
    (here / "p.gwp").write_text(text, encoding="utf-8")
    site, cable, service = ((word + name)[-200:] for name in ("WB-07", "TM-B1", "TH-3"))
    for verb in (
        ("check", "p.gwp", "--site", site),
        ("trace", "p.gwp", f"{cable}:17"),
        ("trace", "p.gwp", f'"{cable}":15@"{site}"<'),
        ("trace", "p.gwp", f"service:{service}"),
        ("budget", "p.gwp", "--service", service),
        ("draw", "p.gwp", "all", "--site", site, "-o", "out"),
    ):
        got = run(*verb)
        assert (got.code, got.err) == (0, ""), verb
        assert all(c not in got.out for c in "\x1b\u202e\u2028")
    line = run.refused("trace", "p.gwp", f"{cable}:15")
    assert (site if len(word) < 100 and word[0] != "\u202e" else "is cut at") in line


def test_of_several_enclosures_the_site_must_be_said_unless_the_reference_says_it(run: Run, here: Path) -> None:
    text = SMALL.read_text(encoding="utf-8")
    box = re.search(r'\{"id": "wb-07-box",[^\n]*?\}(?=,?\n)', text)
    assert box is not None
    second = box[0].replace('"wb-07-box"', '"second-box"').replace('"site": "wb-07"', '"site": "ferry-head"')
    (here / "two.gwp").write_text(text.replace(box[0], f"{box[0]},\n    {second}"), encoding="utf-8")
    line = run.refused("draw", "two.gwp", "layout", "-o", "x.svg")
    assert "--site" in line
    assert "Ferry Head, WB-07" in line
    assert run("draw", "two.gwp", "layout", "-o", "x.svg", "--site", "wb-07").code == 0
    assert run("draw", "two.gwp", "tray", "-o", "x.svg", "--ref", "WB-07/1").code == 0
    assert run("draw", "two.gwp", "path", "-o", "x.svg", "--ref", "D-1:3").code == 0


# What is written


def test_no_drawing_replaces_a_plant_whatever_its_file_is_called(run: Run, here: Path) -> None:
    plant = SMALL.read_bytes()
    for name in ("p.gwp", "p.svg"):
        (here / name).write_bytes(plant)
    (here / "link.svg").symlink_to("p.gwp")
    (here / "hard.svg").hardlink_to(here / "p.gwp")
    for source, out in (("p.gwp", "p.gwp"), ("p.svg", "p.svg"), ("p.gwp", "link.svg"), ("p.gwp", "hard.svg")):
        run.refused("draw", source, "layout", "-o", out)
    run.refused("draw", SMALL, "layout", "-o", "link.svg")
    assert {(here / name).read_bytes() for name in ("p.gwp", "p.svg", "link.svg", "hard.svg")} == {plant}


def test_all_sheets_come_or_none(run: Run, here: Path) -> None:
    (here / "out" / "path.svg").mkdir(parents=True)
    assert "path.svg" in run.refused("draw", SMALL, "all", "-o", "out")
    assert [path.name for path in (here / "out").iterdir()] == ["path.svg"]
    (here / "file").write_text("mine")
    for out in ("file", "file/sub"):
        run.refused("draw", SMALL, "all", "-o", out)
    assert (here / "file").read_text() == "mine"


def test_all_sheets_go_into_a_new_folder_and_are_named_on_the_output(run: Run, here: Path) -> None:
    got = run("draw", SMALL, "all", "-o", "deep/er")
    assert got.code == 0
    assert sorted(got.lines) == sorted(str(path.relative_to(here)) for path in (here / "deep" / "er").iterdir())
    assert {"layout.svg", "splices.svg", "tray-1.svg", "path.svg"} <= {Path(line).name for line in got.lines}


def test_a_folder_that_takes_no_file_gets_one_line(run: Run, here: Path) -> None:
    closed = Path("/proc/sys") if os.geteuid() == 0 else here / "closed"
    if os.geteuid() != 0:
        closed.mkdir(mode=stat.S_IRUSR | stat.S_IXUSR)
    for sheet, out in (("layout", closed / "x.svg"), ("all", closed / "x")):
        assert "nothing written" in run.refused("draw", SMALL, sheet, "-o", out)


def test_a_dash_prints_the_drawing(run: Run, here: Path) -> None:
    printed = run("draw", SMALL, "layout", "-o", "-", "--printed-on", "2026-03-02")
    assert printed.code == 0
    assert printed.out.startswith("<svg ")
    assert list(here.iterdir()) == []


@pytest.mark.parametrize("page", ["A4", "a3", "Letter", "Tabloid"])
@pytest.mark.parametrize("orientation", ["portrait", "landscape"])
def test_every_sheet_takes_every_page(run: Run, here: Path, page: str, orientation: str) -> None:
    # ISO 216 and ANSI/ASME Y14.1, mm
    sizes = {"A4": (210, 297), "a3": (297, 420), "Letter": (215.9, 279.4), "Tabloid": (279.4, 431.8)}
    sides = sizes[page] if orientation == "portrait" else sizes[page][::-1]
    for sheet in ("layout", "splices", "tray", "path"):
        got = run("draw", SMALL, sheet, "-o", "x.svg", "--page", page, "--orientation", orientation, "--mono")
        assert got.code == 0
        for name in got.lines:
            box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', Path(name).read_text())
            assert box is not None
            assert (float(box[1]), float(box[2])) == sides


# The program and what it runs in


def test_help_and_version_import_nothing_heavy() -> None:
    script = (
        "import sys\n"
        "from gui.launch import main\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n"
        "    heavy = {'networkx', 'svgwrite', 'msgspec', 'PySide6'} & set(sys.modules)\n"
        "    print('HEAVY', sorted(heavy), end.code)\n"
    )
    for flag in ("--help", "--version", "-h"):
        done = subprocess.run(
            [sys.executable, "-c", script, flag], cwd=HOUSE, capture_output=True, text=True, check=True
        )
        assert done.stdout.splitlines()[-1] == "HEAVY [] 0"


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", str(SMALL)),
        ("trace", str(SMALL), "D-1:3"),
        ("budget", str(SMALL)),
        ("draw", str(SMALL), "all", "-o", "out"),
        ("new", ONE, "-o", "new.gwp"),
    ],
    ids=lambda arguments: arguments[0],
)
def test_no_verb_imports_the_window(here: Path, arguments: tuple[str, ...]) -> None:
    script = (
        "import sys\n"
        "from gui.launch import main\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n"
        "    window = [name for name in sys.modules if name.split('.')[0] in ('PySide6', 'shiboken6')]\n"
        "    print('WINDOW', window, end.code)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        env={**os.environ, "PYTHONPATH": str(HOUSE)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines()[-1] == "WINDOW [] 0"


def test_a_reader_who_closes_the_pipe_changes_nothing() -> None:
    for plant, code in ((SMALL, 0), (BROKEN / "ring.gwp", 1)):
        reader, writer = os.pipe()
        os.close(reader)
        done = program("check", str(plant), stdout=writer)
        os.close(writer)
        assert (done.returncode, done.stderr) == (code, b"")
    reader, writer = os.pipe()
    os.close(reader)
    done = program("--help", stdout=writer)
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, b"")


def test_a_full_disk_behind_the_output_is_one_line() -> None:
    for arguments in (("check", str(SMALL), "--json"), ("--help",), ("draw", str(SMALL), "layout", "-o", "-")):
        with Path("/dev/full").open("wb") as full:
            done = program(*arguments, stdout=full)
        assert done.returncode == 2
        assert len(done.stderr.splitlines()) == 1


def test_a_bare_environment_is_enough(here: Path) -> None:
    name = "Übergäng 塔 🏠"
    text = SMALL.read_text().replace('"name": "WB-07"', f'"name": "{name}"')
    (here / "p.gwp").write_text(text, encoding="utf-8")
    bare = {"PYTHONPATH": str(HOUSE), "LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    for verb in (("check", "p.gwp"), ("check", "p.gwp", "--json"), ("trace", "p.gwp", "D-1:3", "--json")):
        done = subprocess.run([sys.executable, "-m", "gui.launch", *verb], env=bare, capture_output=True)
        assert (done.returncode, done.stderr) == (0, b"")
        if "--json" in verb:
            assert name in json.dumps(json.loads(done.stdout), ensure_ascii=False)


def test_an_interrupt_is_one_line_and_leaves_no_file(here: Path) -> None:
    # The interrupt comes at the moment the first sheet is written.
    script = (
        "import render.outfiles as o, os\n"
        "def stop(number):\n    raise KeyboardInterrupt\n"
        "o.os.fsync = stop\n"
        "from render.cli import main\n"
        f"main(['draw', {str(SMALL)!r}, 'all', '-o', 'out'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], env={**os.environ, "PYTHONPATH": str(HOUSE)}, capture_output=True, text=True
    )
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert list(here.iterdir()) == []
