"""The house is in order: our packages are ours, the top level is short, nothing private is in a tracked file."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

import gui
import model
import render

HOUSE = Path(__file__).resolve().parent.parent
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "gui",
    "model",
    "render",
    "tests",
    "samples",
    ".ci",
    ".gitignore",
    "LICENSE",
}

# Spelled in parts, so that this file does not hold what it looks for.
PRIVATE = re.compile(
    "|".join(
        (
            "/" + r"(?:home|Users|root|work|opt|mnt)/[\w.]",
            "/" + r"tmp/\w",
            r"[A-Za-z]:\\" + r"(?:Users|Temp)",
            r"pypi\." + r"(?:org|io)|python" + r"hosted|npmjs\." + r"(?:com|org)|anaconda\." + r"org",
            r"//[\w.-]+/simple" + r"\b",
        )
    )
)


def tracked() -> list[Path]:
    names = subprocess.run(
        ["git", "ls-files", "-z"], cwd=HOUSE, capture_output=True, check=True, text=True
    ).stdout.split("\0")
    return [HOUSE / name for name in names if name and (HOUSE / name).is_file()]


@pytest.mark.parametrize("package", [model, render, gui])
def test_the_packages_under_test_are_the_ones_in_this_tree(package: object) -> None:
    file = Path(str(getattr(package, "__file__", "")))
    assert file.resolve().parent.parent == HOUSE


def test_no_folder_of_tests_is_a_package() -> None:
    assert list((HOUSE / "tests").rglob("__init__.py")) == []


def test_the_top_level_holds_nothing_else() -> None:
    assert {path.relative_to(HOUSE).parts[0] for path in tracked()} - TOP == set()


@pytest.mark.parametrize("name", ["model", "render"])
def test_importing_every_module_of_model_and_render_never_imports_qt(name: str) -> None:
    modules = sorted(
        ".".join(path.relative_to(HOUSE).with_suffix("").parts)
        for path in tracked()
        if path.suffix == ".py" and path.relative_to(HOUSE).parts[0] == name and path.name != "__init__.py"
    )
    assert modules
    code = (
        "import importlib, sys\n"
        f"for name in {modules!r}: importlib.import_module(name)\n"
        "found = [m for m in sys.modules if m.split('.')[0] in ('PySide6', 'shiboken6', 'gui')]\n"
        "sys.exit(', '.join(found) or 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=HOUSE, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_no_tracked_file_names_a_machine_path_or_a_package_host() -> None:
    found = []
    for path in tracked():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(text.splitlines(), start=1):
            if match := PRIVATE.search(line):
                found.append(f"{path.relative_to(HOUSE)}:{number}: {match[0]}")
    assert found == []


def test_the_search_for_private_words_finds_them() -> None:
    for text in ("cd /" + "home/x", "/" + "work/main", "https://py" + "pi.org/simple/", "C:\\" + "Users\\x"):
        assert PRIVATE.search(text), text
    for text in ("1/2 turn", "path/to/home", "Larkmoor/port/3", "#!/bin/sh", "#!/usr/bin/env python"):
        assert not PRIVATE.search(text), text
