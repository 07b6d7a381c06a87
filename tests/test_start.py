"""The program starts: without Qt for every verb and for help, and says where it is not understood."""

from __future__ import annotations

import importlib.metadata
import os
import subprocess
import sys
from pathlib import Path

import pytest

from model.templates import TEMPLATES

HOUSE = Path(__file__).resolve().parent.parent


def started(*arguments: str, cwd: Path = HOUSE) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "gui.launch", *arguments],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(HOUSE)},
        capture_output=True,
        text=True,
    )


def test_the_version_is_that_of_the_package() -> None:
    done = started("--version")
    assert done.returncode == 0
    assert importlib.metadata.version("glasswright") in done.stdout


def test_help_names_every_verb_and_every_verb_has_help() -> None:
    done = started("--help")
    assert (done.returncode, done.stderr) == (0, "")
    for verb in ("check", "trace", "budget", "draw", "new"):
        assert f"\n  {verb} " in done.stdout
        own = started(verb, "--help")
        assert (own.returncode, own.stderr) == (0, "")
        assert own.stdout.startswith(f"Usage: glasswright {verb} ")


def test_the_installed_command_is_this_program() -> None:
    entries = importlib.metadata.entry_points(group="console_scripts", name="glasswright")
    assert {entry.value for entry in entries} == {"gui.launch:main"}


@pytest.mark.parametrize("arguments", [("nosuchverb",), ("--nope",), ("check",)])
def test_a_command_that_is_not_understood_says_where_its_help_is(arguments: tuple[str, ...]) -> None:
    done = started(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert "--help" in line


def test_the_program_runs_from_any_folder(tmp_path: Path) -> None:
    done = started("new", next(iter(TEMPLATES)), "-o", "p.gwp", cwd=tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (0, "p.gwp\n", "")
    assert [path.name for path in tmp_path.iterdir()] == ["p.gwp"]
