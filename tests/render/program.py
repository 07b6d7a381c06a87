"""The command line run in this process: what it answered, and the plants that the tests ask it about."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from render.cli import main

HOUSE = Path(__file__).resolve().parents[2]
SMALL = HOUSE / "samples" / "thistlemere.gwp"
LARGE = HOUSE / "samples" / "larkmoor.gwp"
ROUTE = HOUSE / "samples" / "marrowfield.gwp"
CABINET = HOUSE / "samples" / "bramblecote.gwp"
BROKEN = HOUSE / "samples" / "broken"


class Answer(NamedTuple):
    """Exit code, standard output and standard error of a command."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The output read as JSON."""
        return json.loads(self.out)

    @property
    def lines(self) -> list[str]:
        """The output line by line."""
        return self.out.splitlines()


class Run:
    """Runs a command: the program with the words of ``first``, such as a verb, and those of the call."""

    def __init__(self, captured: pytest.CaptureFixture[str], *first: str) -> None:
        self.captured = captured
        self.first = first

    def __call__(self, *arguments: object) -> Answer:
        with pytest.raises(SystemExit) as end:
            main([*self.first, *map(str, arguments)])
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
