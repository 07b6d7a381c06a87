"""Joining by drag: it says what the Line would be told, does what Enter would, and nothing that typing could not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from model.edits.cutting import CutFibres, OpenTubes
from model.history import History
from model.ids import CableId, StopId
from model.plant import Plant
from tests.gui.hands import LEFT, PLAIN, RIGHT, Hands, at_the_window, uncut_thistlemere

SPLICES = 3
TUBE, LEFT_STUBS, DROP = "tube:tm-b1:2", "fibres:tm-b1:13-16<", "fibres:d-1:1-4>"


def prepared() -> Plant:
    """Thistlemere with fibres 13 to 16 cut at the wall box and nothing joined."""
    history = History(uncut_thistlemere())
    cable, stop = CableId("tm-b1"), StopId("tm-b1.wb-07")
    history.do(OpenTubes(cable, stop, (2,)), CutFibres(cable, stop, (13, 14, 15, 16)))
    return history.plant


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as found:
        found.open_plant(prepared())
        found.window.session.show_view(SPLICES)
        found.settle()
        yield found


def on(hands: Hands, ref: str, role: str = "tag") -> QPoint:
    """Viewport pixel of the label of glass, where it stands now."""
    board = hands.window.boards.boards[SPLICES]
    box = next(item for item in board.scene.items_of(ref) if item.picture.role == role).sceneBoundingRect()
    # Left of the middle: a tag's lettering is no reason to miss it, but its edge would be.
    return board.view.mapFromScene(QPointF(box.center()))


def take(hands: Hands, ref: str, role: str = "tag") -> None:
    """Press on a label and move far enough that it is a drag."""
    start = on(hands, ref, role)
    hands.grip(start)
    hands.mouse_to(start + QPoint(6, 3), LEFT)
    hands.settle()


def carry(hands: Hands, ref: str, role: str = "tag") -> None:
    """Move to a label."""
    hands.mouse_to(on(hands, ref, role), LEFT)
    hands.settle()


def test_letting_go_on_a_drop_joins_bundle_to_bundle_as_one_step(hands: Hands) -> None:
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    assert hands.window.line.text() == "join TM-B1:13-16< to D-1:1-4"
    assert hands.steps == 0
    hands.let_go(on(hands, DROP))
    pairs = {(s.a.fibre, s.a.side, s.b.cable, s.b.fibre) for s in hands.plant.splices.values()}  # type: ignore[union-attr]
    assert pairs == {(12 + n, "<", "d-1", n) for n in (1, 2, 3, 4)}
    assert hands.steps == 1
    assert hands.window.line.text() == ""
    hands.window.undo_button.click()
    assert not hands.plant.splices


def test_the_same_words_typed_make_the_same_plant(hands: Hands) -> None:
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    hands.let_go(on(hands, DROP))
    dragged = dict(hands.plant.splices)
    hands.window.undo_button.click()
    hands.say("join TM-B1:13-16< to D-1:1-4", enter=True)
    assert dict(hands.plant.splices) == dragged


def test_while_it_is_carried_the_line_reads_it_back_and_the_picture_previews_it(hands: Hands) -> None:
    take(hands, LEFT_STUBS)
    assert hands.window.line.text() == "join TM-B1:13-16< to "
    carry(hands, DROP)
    assert hands.window.control.data().chips[0].text == "make 4 joints"
    assert any(role == "preview" for _, role, _ in hands.window.boards.current.scene.shown)
    assert hands.window.boards.join_tools.tag.text().startswith("Let go: 4 joints")
    assert not hands.plant.splices
    hands.press(Qt.Key.Key_Escape)
    hands.let_go(on(hands, DROP))
    assert hands.window.line.text() == ""
    assert not any(role == "preview" for _, role, _ in hands.window.boards.current.scene.shown)


def test_counts_that_differ_stay_in_the_line_with_the_reason(hands: Hands) -> None:
    take(hands, TUBE)
    carry(hands, DROP)
    assert not hands.window.boards.join_tools.item.shown.good
    assert hands.window.boards.join_tools.tag.text().startswith("12 fibres on the left, 4 on the right")
    hands.let_go(on(hands, DROP))
    assert hands.steps == 0
    assert hands.window.line.text() == "join TM-B1:T2< to D-1:1-4"
    assert hands.window.line.hasFocus()
    assert "12 fibres on the left" in hands.window.control.data().chips[0].text


def test_a_live_fibre_is_not_cut_by_a_drag(hands: Hands) -> None:
    plant = uncut_thistlemere(live=14)
    hands.open_plant(plant, "live")
    hands.settle()
    take(hands, "fibres:tm-b1:13-16")
    carry(hands, DROP)
    assert "CLINIC would go dark" in hands.window.boards.join_tools.tag.text()
    hands.let_go(on(hands, DROP))
    assert hands.steps == 0
    assert not hands.plant.splices
    assert hands.window.line.text() == "join TM-B1:13-16< to D-1:1-4"
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 0  # held once
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1


def test_glass_that_is_joined_already_is_refused_in_the_lines_own_words(hands: Hands) -> None:
    hands.say("join TM-B1:13 to D-1:1", enter=True)
    hands.window.boards.set_form("opened")
    hands.settle()
    steps = hands.steps
    take(hands, "fibre:tm-b1:13", "chip")
    carry(hands, "fibres:d-1:2-4>")
    hands.let_go(on(hands, "fibres:d-1:2-4>"))
    assert hands.steps == steps
    assert hands.window.control.reading is not None
    assert hands.window.control.reading.error is not None


def test_esc_and_the_right_button_give_a_half_typed_line_back(hands: Hands) -> None:
    hands.say("go Ferry")
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    hands.press(Qt.Key.Key_Escape)
    hands.let_go(on(hands, DROP))
    assert hands.window.line.text() == "go Ferry"
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    QTest.mousePress(hands.port(), RIGHT, PLAIN, on(hands, DROP))
    hands.let_go(on(hands, DROP))
    assert hands.window.line.text() == "go Ferry"
    assert hands.steps == 0


def test_letting_go_on_nothing_changes_nothing(hands: Hands) -> None:
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    hands.mouse_to(QPoint(3, 3), LEFT)
    hands.let_go(QPoint(3, 3))
    assert hands.window.line.text() == ""
    assert hands.steps == 0


def test_a_done_drag_gives_a_half_typed_line_back(hands: Hands) -> None:
    hands.say("go Ferry")
    take(hands, LEFT_STUBS)
    carry(hands, DROP)
    hands.let_go(on(hands, DROP))
    assert hands.steps == 1
    assert hands.window.line.text() == "go Ferry"


def test_a_click_on_a_bundle_picks_its_fibres(hands: Hands) -> None:
    hands.click(on(hands, DROP))
    assert hands.window.session.pick == tuple(f"fibre:d-1:{n}" for n in (1, 2, 3, 4))
