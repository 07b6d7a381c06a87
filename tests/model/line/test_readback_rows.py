"""The rows a line makes: what is taken apart, what is new, what was there and only moves."""

from model.graph import Continuity
from model.line.context import Context
from model.line.readback import read_line
from model.templates import TEMPLATES


def states(text: str) -> list[str]:
    plant = TEMPLATES["mid-span-small"]()
    site = next(iter(plant.enclosures.values())).site
    reading = read_line(Context(plant, Continuity(plant), site), text)
    assert reading.ok, reading.error
    return [row.state for row in reading.rows]


def test_a_joint_taken_apart_and_made_again_in_one_line_is_new() -> None:
    assert states("part TM-B1:13; join TM-B1:13 to D-1:1 on tray 1 from 9") == ["parted", "new"]


def test_a_joint_that_only_moves_is_existing() -> None:
    assert states("put tray 1 1-2 on tray 1 from 9") == ["existing", "existing"]
