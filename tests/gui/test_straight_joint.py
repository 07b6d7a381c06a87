"""A 96-fibre straight joint of two 8x12 cables, keyboard alone: from an empty box, and from an empty plant."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from model.entities import Cable, Enclosure, Route, Splice, Tray
from model.plant import Entity, Plant
from model.templates import TEMPLATES
from tests.gui.hands import CTRL, Hands, at_the_window

JOIN = "join GL-96:1-16 to PB-96:1-16 on tray 1" + "".join(f"; next on tray {n}" for n in range(2, 7))
IN_A_BOX = (
    "enter GL-96 in 1A; enter PB-96 in 1B; plug all",
    "add tray tray-24 times 6",
    JOIN,
    "draft all",
)
FROM_NOTHING = (
    'add site "Gorse Lane" exchange; add site J-01; add site "Pike Bridge" cabinet',
    'add cable GL-96 lt-96 from "Gorse Lane" at 0 to J-01 at 1480 coil 12; '
    'add cable PB-96 lt-96 from J-01 at 0 coil 12 to "Pike Bridge" at 2015',
    "add box dome-6 at J-01; enter GL-96 in 1A at J-01; enter PB-96 in 1B at J-01; plug all at J-01; "
    "add tray tray-24 to J-01 times 6",
    JOIN,
    "draft all",
)


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def empty_box() -> Plant:
    """The two cables end at a box that holds nothing: in no entry, no plug, no tray, no joint, no course."""
    found: list[Entity] = []
    for entity in TEMPLATES["straight-joint"]().entities():
        if isinstance(entity, Cable):
            stops = tuple(replace(s, entry_in="", entry_out="", stored=(), tubes=()) for s in entity.stops)
            found.append(replace(entity, stops=stops))
        elif isinstance(entity, Enclosure):
            found.append(replace(entity, plugged=()))
        elif not isinstance(entity, Tray | Route | Splice):
            found.append(entity)
    return Plant(found)


def say_all(hands: Hands, lines: Sequence[str]) -> None:
    """Each line by Ctrl+L, its letters, and Enter; each is one step."""
    for number, line in enumerate(lines, start=1):
        hands.say(line, enter=True)
        assert hands.window.line.text() == "", f"{line}: {hands.window.control.reading}"
        assert hands.steps == number


def joined(plant: Plant) -> dict[tuple[str, int], tuple[str, int]]:
    return {(s.a.cable, s.a.fibre): (s.b.cable, s.b.fibre) for s in plant.splices.values()}  # type: ignore[union-attr]


def test_from_an_empty_box_to_a_clean_check_in_four_typed_lines(hands: Hands) -> None:
    hands.open_plant(empty_box())
    plant = hands.plant
    assert (len(plant.trays), len(plant.splices), len(plant.routes)) == (0, 0, 0)
    assert [f for f in hands.window.document.findings if f.severity == "error"]
    assert len(IN_A_BOX) <= 6
    say_all(hands, IN_A_BOX)
    assert joined(hands.plant) == {("gl-96", n): ("pb-96", n) for n in range(1, 97)}
    per_tray = {tray.name: sum(s.tray == tray.id for s in plant.splices.values()) for tray in plant.trays.values()}
    assert per_tray == {str(n): 16 for n in range(1, 7)}
    assert hands.window.document.findings == ()
    hands.press(Qt.Key.Key_Z, CTRL, times=len(IN_A_BOX))
    assert hands.plant == empty_box()


def test_from_an_empty_plant_without_an_error_or_a_warning_in_five(hands: Hands) -> None:
    hands.press(Qt.Key.Key_N, CTRL)
    assert not hands.plant.cables
    assert len(FROM_NOTHING) <= 6
    say_all(hands, FROM_NOTHING)
    assert joined(hands.plant) == {("gl-96", n): ("pb-96", n) for n in range(1, 97)}
    assert hands.window.at_chip.currentText() == "At J-01"
    # The far ends of both cables are not plugged anywhere yet, which is noted and no more.
    assert {(f.severity, f.rule) for f in hands.window.document.findings} <= {("note", "fibre.idle")}
