"""Joints and trays that change places by hand: Alt over a used slot, the notice's button, the rail, keys and Here."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from model.catalogue import parts_for
from model.edits.parts import Bring
from model.edits.swapping import SwapTrays
from model.history import History
from model.ids import TrayId
from model.plant import Plant
from tests.gui.hands import ALT, LEFT, PLAIN, Hands, sample, send_move
from tests.gui.trays import TRAYS, at_the_trays, slot
from tests.model.line.lines import done, joint


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Larkmoor's tray 2: fibres 25 to 34 in slots 1 to 10 of 24; trays 1 and 3 are empty."""
    with at_the_trays(qtbot, tmp_path, "larkmoor") as found:
        yield found


def fibres(hands: Hands) -> dict[int, int]:
    """Feeder fibre by slot of tray 2."""
    return {s.slot or 0: s.a.fibre for s in hands.plant.splices.values()}  # type: ignore[union-attr]


def positions(hands: Hands) -> dict[str, int]:
    """Position of every tray by name."""
    return {t.name: t.position for t in hands.plant.trays.values()}


def row(hands: Hands, number: int) -> QPoint:
    """Viewport pixel of the middle of a row of the rail, from 0."""
    rail = hands.window.boards.rail
    return rail.visualRect(rail.trays.index(number)).center()


def test_with_alt_a_sleeve_and_the_one_it_is_dropped_on_change_places_as_one_edit(hands: Hands) -> None:
    before = fibres(hands)
    hands.grip(slot(hands, 3))
    hands.mouse_to(slot(hands, 5), LEFT)
    hands.mouse_to(slot(hands, 7), LEFT, ALT)
    tools = hands.window.boards.tray_tools
    assert tools.tag.text() == "Let go: changes places with slot 7"
    assert tools.item.shown.good
    assert hands.steps == 0
    hands.let_go(slot(hands, 7))
    assert fibres(hands) == {**before, 3: 31, 7: 27}
    assert hands.steps == 1
    assert hands.window.undo_button.text() == "Undo: swap tray 2 3 and tray 2 7"
    hands.window.undo_button.click()
    assert fibres(hands) == before


def test_the_refusal_offers_it_too(hands: Hands) -> None:
    hands.drag(slot(hands, 3), slot(hands, 5), slot(hands, 7))
    assert hands.steps == 0
    offer = next(b for b in hands.window.notice.findChildren(QPushButton) if b.text() == "Change places")
    QTest.mouseClick(offer, LEFT)
    assert fibres(hands)[3] == 31
    assert hands.steps == 1


def test_the_list_here_puts_the_words_into_the_line_and_the_line_does_it(hands: Hands) -> None:
    (third,) = (s.id for s in hands.plant.splices.values() if s.slot == 3)
    hands.window.here.open_for([f"splice:{third}"], QPoint(0, 0))
    action = next(a for a in hands.window.here.menu.actions() if a.text() == "Swap with ...")
    action.trigger()
    hands.window.here.menu.close()
    assert hands.window.line.text() == "swap tray 2 3 and tray "
    hands.type("2 7")
    hands.press(Qt.Key.Key_Return)
    assert (fibres(hands)[3], fibres(hands)[7]) == (31, 27)


def test_a_tray_dragged_in_the_rail_changes_places_with_the_one_it_is_dropped_on(hands: Hands) -> None:
    rail = hands.window.boards.rail
    plant = sample("larkmoor")
    by_edit = History(plant)
    ids = {t.name: t.id for t in plant.trays.values()}
    by_edit.do(SwapTrays(ids["2"], ids["3"]))
    start, end = row(hands, 1), row(hands, 2)
    QTest.mousePress(rail.viewport(), LEFT, PLAIN, start)
    send_move(rail.viewport(), start + QPoint(0, 20), LEFT)
    send_move(rail.viewport(), end, LEFT)
    assert rail.painter_.target == ids["3"]
    assert hands.steps == 0
    QTest.mouseRelease(rail.viewport(), LEFT, PLAIN, end)
    assert positions(hands) == {"1": 1, "2": 3, "3": 2}
    assert hands.steps == 1
    assert [r.name for r in rail.trays.rows] == ["1", "3", "2"]
    assert dict(hands.plant.routes) == dict(plant.routes)
    assert hands.window.undo_button.text() == "Undo: swap tray 2 and tray 3"
    assert hands.window.boards.tray_in_sight() == ids["2"]
    hands.window.undo_button.click()
    assert positions(hands) == {"1": 1, "2": 2, "3": 3}


def test_esc_the_right_button_and_letting_go_beside_put_a_carried_tray_back(hands: Hands) -> None:
    rail = hands.window.boards.rail
    start, end = row(hands, 1), row(hands, 2)
    for way in ("esc", "beside"):
        QTest.mousePress(rail.viewport(), LEFT, PLAIN, start)
        send_move(rail.viewport(), end, LEFT)
        assert rail.painter_.target is not None
        if way == "esc":
            QTest.keyClick(rail, Qt.Key.Key_Escape)
            QTest.mouseRelease(rail.viewport(), LEFT, PLAIN, end)
        else:
            beside = QPoint(end.x(), rail.viewport().height() - 4)
            send_move(rail.viewport(), beside, LEFT)
            QTest.mouseRelease(rail.viewport(), LEFT, PLAIN, beside)
        assert rail.painter_.target is None
    assert hands.steps == 0


def test_alt_and_an_arrow_move_the_chosen_tray_by_one_place(hands: Hands) -> None:
    rail = hands.window.boards.rail
    rail.setFocus()
    hands.press(Qt.Key.Key_Up, ALT)
    assert positions(hands) == {"1": 2, "2": 1, "3": 3}
    hands.press(Qt.Key.Key_Up, ALT)  # it is the first already
    assert hands.steps == 1
    shown = hands.window.boards.tray_in_sight()
    assert shown is not None
    assert hands.plant.trays[TrayId(shown)].name == "2"


def test_a_whole_tray_of_joints_moves_by_the_list_here(hands: Hands) -> None:
    tray = next(t for t in hands.plant.trays.values() if t.name == "2")
    hands.window.here.open_for([f"tray:{tray.id}"], QPoint(0, 0))
    action = next(a for a in hands.window.here.menu.actions() if a.text() == "Move all its joints to ...")
    action.trigger()
    hands.window.here.menu.close()
    hands.type("3")
    hands.press(Qt.Key.Key_Return)
    third = next(t.id for t in hands.plant.trays.values() if t.name == "3")
    assert {s.tray for s in hands.plant.splices.values()} == {third}
    assert fibres(hands) == {n: 24 + n for n in range(1, 11)}
    assert hands.steps == 1


def ribbon_joint() -> Plant:
    """Two ribbon cables of 144 joined in slots 1 to 3 of the first of two ribbon trays: 36 joints, 3 sleeves."""
    history, _ = done(joint("rb-144", "tray-ribbon-12", 2), "join A:R1-R3 to B:R1-R3 on tray 1")
    history.do(Bring(parts_for("rb-144", "dome-6", "tray-ribbon-12")))
    return history.plant


def test_a_ribbon_sleeve_is_dragged_with_all_its_joints_and_counts_as_one(hands: Hands) -> None:
    hands.open_plant(ribbon_joint(), "ribbon")
    hands.window.session.go("k")
    hands.window.session.show_view(TRAYS)
    hands.settle()
    rail = hands.window.boards.rail
    assert [r.count for r in rail.trays.rows] == ["3 of 12", "0 of 12"]
    kind = hands.plant.tray_types[next(t.type for t in hands.plant.trays.values())]
    places = {
        n: hands.at(kind.holder_x_mm - 8.0, kind.holder_y_mm + (n - 1) * kind.pitch_mm + (n - 1) // 6 * kind.row_gap_mm)
        for n in (2, 3, 5)
    }
    hands.drag(places[2], places[3], places[5])
    assert hands.steps == 1, hands.notices()
    held: dict[int, int] = {}
    for splice in hands.plant.splices.values():
        held[splice.slot or 0] = held.get(splice.slot or 0, 0) + 1
    assert held == {1: 12, 3: 12, 5: 12}
    assert rail.trays.rows[0].count == "3 of 12"
