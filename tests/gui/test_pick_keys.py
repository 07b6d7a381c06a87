"""Delete, Ctrl+X and Ctrl+V on picked joints: done as the Line does it, held where it would darken somebody."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from gui.pick_work import picked_joints, slots_said
from tests.gui.hands import CTRL, Hands, at_the_window, sample, uncut_larkmoor

TRAYS, SPLICES = 2, 3


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Larkmoor's tray 2, where slot 1 joins fibre 25 to D-01, whose service is live here."""
    with at_the_window(qtbot, tmp_path) as found:
        plant = sample("larkmoor")
        service = next(s for s in plant.services.values() if s.name == "S-4101")
        plant._tables["services"][service.id] = replace(service, status="live")
        found.open_plant(plant)
        found.window.session.show_view(TRAYS)
        found.settle()
        found.window.boards.current.view.setFocus()
        yield found


def joint(hands: Hands, slot: int) -> str:
    (found,) = [s.id for s in hands.plant.splices.values() if s.slot == slot]
    return found


def test_delete_takes_a_picked_joint_apart_as_one_named_step(hands: Hands) -> None:
    gone = joint(hands, 3)
    hands.window.session.set_pick([f"splice:{gone}"])
    hands.press(Qt.Key.Key_Delete)
    assert gone not in hands.plant.splices
    assert len(hands.plant.splices) == 9
    assert hands.steps == 1
    assert hands.window.undo_button.text() == "Undo: part tray 2 3"
    assert hands.window.line.text() == ""
    hands.window.undo_button.click()
    assert gone in hands.plant.splices


def test_delete_on_a_live_joint_names_who_goes_dark_and_waits_for_enter(hands: Hands) -> None:
    live, other = joint(hands, 1), joint(hands, 2)
    hands.window.session.set_pick([f"splice:{live}", f"splice:{other}"])
    hands.press(Qt.Key.Key_Delete)
    assert hands.steps == 0
    assert live in hands.plant.splices
    assert hands.window.line.text() == "part tray 2 1-2"
    assert hands.window.line.hasFocus()
    held = hands.window.control.data().chips[-1]
    assert held.label == "held"
    assert held.text.startswith("S-4101")
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    assert {live, other}.isdisjoint(hands.plant.splices)


def test_a_picked_fibre_stands_for_its_joint_in_splices_too(hands: Hands) -> None:
    hands.window.session.show_view(SPLICES)
    hands.settle()
    hands.window.boards.current.view.setFocus()
    gone = joint(hands, 4)
    hands.window.session.set_pick(["fibre:d-04:1"])
    hands.press(Qt.Key.Key_Delete)
    assert gone not in hands.plant.splices
    assert hands.steps == 1


def test_joints_in_hand_go_to_the_first_free_slots_of_the_tray_in_sight(hands: Hands) -> None:
    moved = [joint(hands, 3), joint(hands, 5)]
    hands.window.session.set_pick([f"splice:{key}" for key in moved])
    hands.press(Qt.Key.Key_X, CTRL)
    assert hands.steps == 0
    third = next(t.id for t in hands.plant.trays.values() if t.name == "3")
    hands.window.session.show_tray(third)
    hands.press(Qt.Key.Key_V, CTRL)
    assert [(hands.plant.splices[key].tray, hands.plant.splices[key].slot) for key in moved] == [(third, 1), (third, 2)]
    assert hands.steps == 1
    assert hands.window.undo_button.text() == "Undo: put tray 2 3,5 on tray 3"
    hands.press(Qt.Key.Key_V, CTRL)
    assert hands.steps == 1
    assert "No joint is in hand" in hands.notices()[-1]


def test_cut_from_the_list_here_names_who_goes_dark_before_and_is_held_once(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor(live=29), "uncut")
    hands.window.here.open_for(["tube:lm-a1:3"], QPoint(0, 0))
    action = next(a for a in hands.window.here.menu.actions() if a.text() == "Cut here")
    action.trigger()
    hands.window.here.menu.close()
    assert hands.steps == 0
    assert hands.window.line.text() == "cut LM-A1:T3"
    first = hands.window.line_preview.shown[0]
    assert (first.head, first.text.startswith("CLINIC, on LM-A1:29.")) == ("1 live service goes dark", True)
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 0
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1


def test_in_the_line_the_keys_edit_the_text(hands: Hands) -> None:
    hands.window.session.set_pick([f"splice:{joint(hands, 3)}"])
    hands.say("go tray 1")
    hands.press(Qt.Key.Key_Home)
    hands.press(Qt.Key.Key_Delete)
    assert hands.window.line.text() == "o tray 1"
    assert hands.steps == 0
    assert len(hands.plant.splices) == 10


def test_with_no_joint_picked_delete_says_what_to_do(hands: Hands) -> None:
    hands.window.session.set_pick(["tube:lm-a1:1"])
    hands.press(Qt.Key.Key_Delete)
    assert hands.steps == 0
    assert hands.notices()[-1].startswith("Pick joints to take apart")


def test_words_for_joints_are_runs_by_tray_without_those_in_no_slot() -> None:
    plant = sample("larkmoor")
    joints = sorted(plant.splices.values(), key=lambda s: s.slot or 0)
    loose = replace(joints[0], tray=None, slot=None)
    assert slots_said(plant, [joints[4], joints[2], joints[3], joints[8], loose]) == "tray 2 3-5,tray 2 9"
    assert slots_said(plant, [loose]) == ""
    refs = [f"splice:{joints[1].id}", "fibre:d-02:1", "site:wb-12", "fibre:d-99:1"]
    assert picked_joints(plant, "wb-12", refs) == [joints[1]]
    assert picked_joints(plant, "elsewhere", ["fibre:d-02:1"]) == []
