"""What tests of the command line share: the program run in this process, and an empty folder to run it in."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.render.program import Run


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """The whole program: the first word of a call is the verb."""
    return Run(capsys)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder, the current one."""
    monkeypatch.chdir(tmp_path)
    return tmp_path
