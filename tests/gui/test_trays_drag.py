"""Moving joints on a tray by hand: what a drag, a refused slot, a key and the rail do, with real events."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from gui.views.trays import drop_on, held_by, move_edits, slot_at
from model.edits.parts import Replace
from model.entities import Splice
from model.history import History, propose
from model.ids import TrayId
from tests.gui.hands import LEFT, PLAIN, RIGHT, Hands, sample
from tests.gui.trays import TRAYS, at_the_trays, slot


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Larkmoor's tray 2: joints in slots 1 to 10 of 24."""
    with at_the_trays(qtbot, tmp_path, "larkmoor") as found:
        yield found


def joint(hands: Hands, number: int) -> str:
    """Id of the joint in a slot of tray 2."""
    (found,) = [s.id for s in hands.plant.splices.values() if s.slot == number]
    return found


def slots(hands: Hands) -> list[int]:
    """Slots in use, ascending."""
    return sorted(s.slot for s in hands.plant.splices.values() if s.slot is not None)


def test_check_23_a_used_slot_is_refused_and_the_nearest_free_one_named(hands: Hands) -> None:
    moving = joint(hands, 3)
    hands.drag(slot(hands, 3), slot(hands, 5), slot(hands, 7))
    assert hands.steps == 0
    assert hands.plant.splices[moving].slot == 3
    (told,) = hands.notices()
    assert told.startswith("Slot 7 holds ")
    # Slots 1 to 10 are used, so 11 is four away and nothing nearer is free.
    assert told.endswith("Nearest free slot: 11")


def test_check_23_dropping_on_the_named_slot_works_as_one_edit(hands: Hands) -> None:
    moving = joint(hands, 3)
    before = dict(hands.plant.splices)
    hands.drag(slot(hands, 3), slot(hands, 7), slot(hands, 11))
    assert hands.steps == 1
    assert hands.plant.splices[moving].slot == 11
    assert {k: s for k, s in hands.plant.splices.items() if k != moving} == {
        k: s for k, s in before.items() if k != moving
    }
    assert hands.window.undo_button.text() == "Undo: move slot 3 to slot 11"
    hands.window.undo_button.click()
    assert dict(hands.plant.splices) == before


def test_the_button_of_the_notice_puts_it_there_too(hands: Hands) -> None:
    moving = joint(hands, 3)
    hands.drag(slot(hands, 3), slot(hands, 5), slot(hands, 7))
    offer = next(b for b in hands.window.notice.findChildren(QPushButton) if b.text() == "Put it in slot 11")
    QTest.mouseClick(offer, LEFT)
    assert hands.plant.splices[moving].slot == 11


def test_the_tag_of_a_live_joint_in_hand_names_who_is_on_it(hands: Hands) -> None:
    tools = hands.window.boards.tray_tools
    service = next(s for s in hands.plant.services.values() if s.name == "S-4103")
    hands.window.document.do(Replace(replace(service, status="live"), "turn up"))
    hands.settle()
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 15), LEFT)
    assert tools.tag.text() == "To slot 15 of tray 2; live: S-4103, keep lit"
    hands.let_go(slot(hands, 15))
    hands.grip(slot(hands, 4))
    hands.mouse_to(slot(hands, 16), LEFT)
    assert tools.tag.text() == "To slot 16 of tray 2"
    hands.let_go(slot(hands, 16))


def test_while_it_moves_the_tag_says_what_letting_go_would_do(hands: Hands) -> None:
    tools = hands.window.boards.tray_tools
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 7), LEFT)
    assert tools.tag.isVisible()
    assert tools.tag.text() == "Slot 7 is used; nearest free: slot 11; with Alt they change places"
    assert not tools.item.shown.good
    hands.mouse_to(slot(hands, 15), LEFT)
    assert tools.tag.text() == "To slot 15 of tray 2"
    assert tools.item.shown.good
    assert hands.steps == 0
    hands.let_go(slot(hands, 15))
    assert not tools.tag.isVisible()
    assert tools.item.shown.ghost is None


def test_esc_and_the_right_button_put_the_sleeve_back(hands: Hands) -> None:
    before = dict(hands.plant.splices)
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 15), LEFT)
    hands.press(Qt.Key.Key_Escape)
    hands.let_go(slot(hands, 15))
    hands.grip(slot(hands, 4))
    hands.mouse_to(slot(hands, 16), LEFT)
    QTest.mousePress(hands.port(), RIGHT, PLAIN, slot(hands, 16))
    hands.let_go(slot(hands, 16))
    assert dict(hands.plant.splices) == before
    assert hands.steps == 0
    assert not hands.window.boards.tray_tools.tag.isVisible()


def test_letting_go_beside_the_slots_changes_nothing(hands: Hands) -> None:
    hands.drag(slot(hands, 3), slot(hands, 15), QPoint(4, 4))
    assert hands.steps == 0
    assert slots(hands) == list(range(1, 11))


def test_an_empty_slot_is_no_sleeve_to_drag(hands: Hands) -> None:
    hands.grip(slot(hands, 20))
    hands.mouse_to(slot(hands, 22), LEFT)
    assert hands.window.boards.current.view.gesture is None
    hands.let_go(slot(hands, 22))
    assert hands.steps == 0


def test_a_click_on_a_sleeve_picks_its_joint_and_an_arrow_moves_it_to_the_next_free_slot(hands: Hands) -> None:
    moving = joint(hands, 10)
    hands.click(slot(hands, 10))
    assert hands.window.session.pick == (f"splice:{moving}",)
    hands.press(Qt.Key.Key_Down)
    assert hands.plant.splices[moving].slot == 11
    hands.press(Qt.Key.Key_Up)
    assert hands.plant.splices[moving].slot == 10
    hands.press(Qt.Key.Key_Up)
    assert hands.plant.splices[moving].slot == 10  # 1 to 9 are all used
    assert hands.steps == 2


def test_the_rail_lists_every_tray_and_a_click_or_an_arrow_shows_one(hands: Hands) -> None:
    rail, boards = hands.window.boards.rail, hands.window.boards
    assert [(row.name, row.count) for row in rail.trays.rows] == [("1", "0 of 24"), ("2", "10 of 24"), ("3", "0 of 24")]
    assert rail.trays.rows[1].words == "Tray 2, joints 10 of 24, 14 stubs"
    third = rail.visualRect(rail.trays.index(2)).center()
    QTest.mouseClick(rail.viewport(), LEFT, PLAIN, third)
    shown = boards.tray_in_sight()
    assert shown is not None
    assert hands.plant.trays[TrayId(shown)].name == "3"
    assert hands.window.session.pick == (f"tray:{shown}",)
    assert not boards.boards[TRAYS].scene.items_of(f"splice:{joint(hands, 1)}")
    rail.setFocus()
    hands.press(Qt.Key.Key_Up)
    assert boards.boards[TRAYS].scene.items_of(f"splice:{joint(hands, 1)}")


def test_a_sleeve_carried_over_the_rail_goes_to_a_slot_of_another_tray(hands: Hands) -> None:
    rail = hands.window.boards.rail
    moving = joint(hands, 3)
    place = rail.viewport().mapToGlobal(rail.visualRect(rail.trays.index(2)).center())
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 5), LEFT)
    hands.mouse_to(hands.port().mapFromGlobal(place), LEFT)
    hands.mouse_to(slot(hands, 5), LEFT)
    hands.let_go(slot(hands, 5))
    moved = hands.plant.splices[moving]
    assert moved.tray is not None
    assert (hands.plant.trays[moved.tray].name, moved.slot) == ("3", 5)
    assert hands.steps == 1


def test_esc_after_the_rail_shows_the_first_tray_again(hands: Hands) -> None:
    rail, boards = hands.window.boards.rail, hands.window.boards
    home = boards.tray_in_sight()
    place = rail.viewport().mapToGlobal(rail.visualRect(rail.trays.index(2)).center())
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 5), LEFT)
    hands.mouse_to(hands.port().mapFromGlobal(place), LEFT)
    assert boards.tray_in_sight() != home
    hands.press(Qt.Key.Key_Escape)
    assert boards.tray_in_sight() == home
    assert hands.steps == 0


def test_the_tray_is_drawn_in_its_own_millimetres(hands: Hands) -> None:
    tray = next(t for t in hands.plant.trays.values() if t.name == "2")
    kind = hands.plant.tray_types[tray.type]
    board = hands.window.boards.boards[TRAYS]
    box = next(item.sceneBoundingRect() for (_, role, _), item in board.scene.shown.items() if role == "hardware")
    assert box.width() == pytest.approx(kind.width_mm, abs=2.0)
    assert box.height() == pytest.approx(kind.height_mm, abs=2.0)
    assert board.view.mapFromScene(kind.width_mm, 0).x() - board.view.mapFromScene(0, 0).x() == pytest.approx(
        kind.width_mm * board.view.scale_px, abs=1.0
    )


def test_slots_with_room_for_two_take_both_joints_of_a_slot_or_neither() -> None:
    history = History(sample("larkmoor"))
    plant = history.plant
    tray = next(t for t in plant.trays.values() if t.name == "2")
    second = next(s for s in plant.splices.values() if s.slot == 2)
    history.do(Replace(replace(plant.tray_types[tray.type], per_slot=2), "two to a slot"))
    history.do(Replace(replace(second, slot=1), "share a slot"))
    both = held_by(plant, tray.id, 1)
    assert len(both) == 2
    assert not drop_on(plant, tray, 3, both).free  # one joint lies there: only one more fits
    assert drop_on(plant, tray, 3, both).nearest == 2
    changes = propose(plant, *move_edits(plant, tray, 2, both))
    assert {c.new.slot for c in changes.changes if isinstance(c.new, Splice)} == {2}


def test_a_point_between_two_rows_belongs_to_the_nearer_one() -> None:
    plant = sample("larkmoor")
    kind = plant.tray_types[next(t for t in plant.trays.values() if t.name == "2").type]
    y = kind.holder_y_mm
    assert slot_at(kind, kind.holder_x_mm, y + 0.4 * kind.pitch_mm) == 1
    assert slot_at(kind, kind.holder_x_mm, y + 0.6 * kind.pitch_mm) == 2
    assert slot_at(kind, kind.holder_x_mm, y - 1.5 * kind.pitch_mm) is None
    assert slot_at(kind, kind.holder_x_mm + 1.5 * kind.sleeve_mm, y) is None
