"""The switch of the Trays view: fibres of one side alone, uncut loops always; what a tray keeps free in the rail."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from render.drawing import Text, walk
from tests.gui.hands import ALT, CTRL, LEFT, Hands
from tests.gui.trays import TRAYS, at_the_trays


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Thistlemere's tray: 13 to 16 of the feeder joined to a drop, 17 to 24 loop through uncut."""
    with at_the_trays(qtbot, tmp_path, "thistlemere") as found:
        yield found


def fibres(hands: Hands) -> set[str]:
    """Cables whose lone fibres are drawn on their way to a slot."""
    shown = hands.window.boards.boards[TRAYS].scene.shown
    return {ref.split(":")[1] for ref, role, _ in shown if role == "fibre" and ref}


def loud(hands: Hands) -> list[str]:
    shown = hands.window.boards.boards[TRAYS].scene.shown
    return [
        shape.content
        for (_, role, _), item in shown.items()
        if role == "loud-tag"
        for shape, _ in walk((item.picture,))
        if isinstance(shape, Text)
    ]


def slots(hands: Hands) -> int:
    return sum(1 for _, role, _ in hands.window.boards.boards[TRAYS].scene.shown if role == "slot")


def test_one_side_alone_shows_its_fibres_and_never_hides_what_is_uncut(hands: Hands) -> None:
    page = hands.window.boards.tray_page
    both, uncut, count = fibres(hands), loud(hands), slots(hands)
    assert both == {"tm-b1", "d-1"}
    assert uncut == ["UNCUT 17-24 3 turns"]
    for side, left in (("tube", {"tm-b1"}), ("drop", {"d-1"}), ("both", both)):
        QTest.mouseClick(page.switch.buttons[side], LEFT)
        assert fibres(hands) == left
        assert loud(hands) == uncut
        assert slots(hands) == count
    assert hands.steps == 0


def test_the_key_goes_round_the_sides(hands: Hands) -> None:
    page = hands.window.boards.tray_page
    hands.window.boards.current.view.setFocus()
    seen = []
    for _ in range(3):
        hands.press(Qt.Key.Key_B, CTRL | ALT)
        seen.append((page.side, page.switch.buttons[page.side].isChecked()))
    assert seen == [("tube", True), ("drop", True), ("both", True)]


def test_a_reserve_is_set_in_details_and_said_in_the_rail(hands: Hands) -> None:
    tray = next(iter(hands.plant.trays))
    hands.window.session.set_pick([f"tray:{tray}"])
    hands.settle()
    field = next(f for f in hands.window.details.fields if f.accessibleName() == "Kept free")
    field.setFocus()
    field.selectAll()
    hands.type("4")
    hands.press(Qt.Key.Key_Return)
    assert hands.plant.trays[tray].reserve == 4
    assert hands.steps == 1
    assert hands.window.boards.rail.trays.rows[0].rest == "8 uncut, 4 stubs, keep 4"
