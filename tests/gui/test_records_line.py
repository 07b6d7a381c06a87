"""Records of joints at the real window: typed on the Line and into Details by the keyboard, judged, undone by name."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tests.gui.hands import CTRL, Hands, at_the_window

SPLICES = 3


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Thistlemere's Splices view: four planned joints on tray 1."""
    with at_the_window(qtbot, tmp_path) as found:
        found.open_sample("thistlemere")
        found.window.session.show_view(SPLICES)
        found.settle()
        yield found


def test_joints_done_on_the_line_are_one_step_and_undone_by_name(hands: Hands) -> None:
    before = hands.plant.copy()
    hands.say("done tray 1 1-4 by AB on 2026-03-01", enter=True)
    assert {(s.status, s.done_by, s.done_on) for s in hands.plant.splices.values()} == {("done", "AB", "2026-03-01")}
    assert hands.steps == 1
    assert hands.window.undo_button.text() == "Undo: done tray 1 1-4"
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before


def test_a_gain_one_way_is_warned_of_until_the_other_way_is_read(hands: Hands) -> None:
    hands.say("measure tray 1 1 1550 A-B -0.2 by AB on 2026-03-01", enter=True)
    (finding,) = hands.findings("splice.gain")
    assert finding.severity == "warning"
    hands.say("measure tray 1 1 1550 B-A 0.3", enter=True)
    assert hands.findings("splice.gain") == []


def test_a_picked_joint_is_typed_over_and_what_cannot_be_is_said_in_one_line(hands: Hands) -> None:
    key = next(s.id for s in hands.plant.splices.values() if s.slot == 2)
    hands.window.session.set_pick([f"splice:{key}"])
    hands.settle()
    field = next(f for f in hands.window.details.texts if f.accessibleName() == "Initials")
    field.setFocus(Qt.FocusReason.TabFocusReason)
    hands.type("AB")
    hands.press(Qt.Key.Key_Tab)  # to the date
    hands.type("yesterday")
    hands.press(Qt.Key.Key_Return)
    held = hands.plant.splices[key]
    assert (held.done_by, held.done_on) == ("AB", "")
    assert any("'yesterday' is no date" in text for text in hands.notices())
    assert hands.window.undo_button.text() == "Undo: initials of slot 2 of tray 1"
