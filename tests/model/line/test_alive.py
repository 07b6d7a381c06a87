"""Live services beside the work: named where a line opens their tube or moves their joint, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.edits.parts import Replace
from model.graph import Continuity
from model.history import History
from model.ids import SiteId
from model.line.context import Context
from model.line.entry import Entry
from model.templates import TEMPLATES
from tests.model.line.lines import chips, large, read, small

BESIDE = "live beside the work"


def lit(name: str) -> Context:
    """Larkmoor with one of its ten drops live; S-4103 is on LM-A1:27, tray 2 slot 3."""
    history = History(TEMPLATES["mid-span-large"]())
    service = next(s for s in history.plant.services.values() if s.name == name)
    history.do(Replace(replace(service, status="live"), "turn up"))
    return Context(history.plant, Continuity(history.plant), SiteId("wb-12"))


@pytest.mark.parametrize(
    ("line", "names"),
    [
        # Live on 1, 2, 25 and 40 of twelve to a tube: tubes 1, 3 and 4.
        ("open TM-B1:T1", ("FERRY-HEAD-1", "FERRY-HEAD-2")),
        ("open TM-B1:T3", ("FERRY-HEAD-25",)),
        ("cut TM-B1:37-39", ("FERRY-HEAD-40",)),
    ],
)
def test_the_live_services_of_a_tube_that_is_opened_are_named_and_not_held(line: str, names: tuple[str, ...]) -> None:
    reading = read(small(), line)
    said = chips(reading)[BESIDE]
    assert all(name in said for name in names)
    assert said.count("FERRY-HEAD") == len(names)
    assert reading.holds == ()
    assert Entry().enter(reading) == "do"


@pytest.mark.parametrize(
    "line",
    [
        "put tray 2 3 on tray 1",
        "put tray 2 3 on tray 2 from 20",
        "swap tray 2 3 and tray 2 4",
        "swap tray 1 and tray 2",
    ],
)
def test_a_live_joint_that_is_moved_is_named(line: str) -> None:
    assert "S-4103" in chips(read(lit("S-4103"), line))[BESIDE]
    assert BESIDE not in chips(read(large(), line))


@pytest.mark.parametrize("line", ["put tray 2 4 on tray 1", "set tray 2 reserve 4", "keep LM-A1:T1", "cut LM-A1:35"])
def test_nobody_is_named_where_the_work_is_not_beside_them(line: str) -> None:
    assert BESIDE not in chips(read(lit("S-4103"), line))


def test_who_goes_dark_is_not_said_to_be_beside() -> None:
    said = chips(read(small(), "cut TM-B1:1"))
    assert "FERRY-HEAD-2" in said[BESIDE]
    assert "FERRY-HEAD-1 " not in said[BESIDE]
    assert "FERRY-HEAD-1" in said["1 live service goes dark"]
