"""The program as a process: what it imports, closed pipes, a full disk, a bare environment, an interrupt."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from model.templates import TEMPLATES
from tests.render.program import BROKEN, HOUSE, SMALL

ONE = min(TEMPLATES)


def program(*arguments: str, given: dict[str, str] | None = None, **more: Any) -> subprocess.CompletedProcess[bytes]:
    """Run the program as a process of its own."""
    environment = {**os.environ, "PYTHONPATH": str(HOUSE), **(given or {})}
    return subprocess.run(
        [sys.executable, "-m", "gui.launch", *arguments],
        env=environment,
        stderr=subprocess.PIPE,
        **{"stdout": subprocess.PIPE, **more},
    )


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
