"""Every example the help shows reads without error on the sample it is told of, with its joints taken apart."""

import pytest

from model.edits.cutting import KeepTubes, MakeWhole
from model.edits.joining import Part
from model.edits.recording import MarkDone
from model.graph import Continuity
from model.history import History
from model.line.context import Context
from model.line.help import EXAMPLES, by_topic
from model.line.readback import read_line
from model.plant import Plant
from model.templates import TEMPLATES

AS_BUILT = ("part", "put tray", "swap", "keep", "TH", "put TM", "draft", "done", "measure", "estimate", "again", "seen")
"""Examples that want the joints there."""


def plant_for(example: str) -> Plant:
    history = History(TEMPLATES["mid-span-small"]())
    if not example.startswith(AS_BUILT):
        plant = history.plant
        cable = next(c for c in plant.cables.values() if c.name == "TM-B1")
        history.do(Part(tuple(s.id for s in plant.splices.values())))
        stop = cable.stops[1].id
        history.do(MakeWhole(cable.id, stop, (13, 14, 15, 16)), KeepTubes(cable.id, stop, (2,)))
    if example.startswith("again"):
        history.do(MarkDone(tuple(s.id for s in history.plant.splices.values())))
    if example.startswith(("patch", "park", "remove")):
        site = next(iter(history.plant.enclosures.values())).site
        for line in ("add splitter SP-1 1x4", "add panel DP with 12 ports"):
            reading = read_line(Context(history.plant, Continuity(history.plant), site), line)
            history.do(*reading.edits, name=line)
    return history.plant


@pytest.mark.parametrize("example", [say for say, _ in EXAMPLES])
def test_the_help_promises_only_what_reads(example: str) -> None:
    plant = plant_for(example)
    site = next(iter(plant.enclosures.values())).site
    reading = read_line(Context(plant, Continuity(plant), site), example)
    assert reading.ok, str(reading.error)
    assert reading.edits or reading.answers or reading.plan


def test_every_example_stands_under_one_heading_and_none_of_them_is_taken_for_a_find() -> None:
    rows = [row for _, found in by_topic() for row in found]
    assert sorted(rows) == sorted(EXAMPLES)
    asked = {say.split()[0] for say, _ in dict(by_topic())["Ask and go"]}
    assert asked == {"trace", "who", "go", "down", "read", "TH-3"}
