"""Views, the Line and its read-back, worked by keys alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from model.lookup import cut_fibres
from tests.gui.hands import CTRL, SHIFT, Hands, at_the_window, uncut_larkmoor, uncut_thistlemere

TWELVE = "join LM-A1:T3 to D-01..D-12:1 on tray 2 from 1"


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def chips(hands: Hands) -> str:
    """Everything the read-back row says."""
    return " | ".join(f"{chip.label} {chip.text}" for chip in hands.window.readback.data.chips)


def test_check_01_control_and_a_digit_shows_a_view_and_keeps_pick_and_place(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.pick_tube()
    window = hands.window
    place = window.at_chip.currentText()
    assert place == "At WB-07"
    for digit, name in zip("12345", ("routeCanvas", "canvas", "trayCanvas", "splicePicture", "pathStrip"), strict=True):
        hands.press(Qt.Key(ord(digit)), CTRL)
        assert window.boards.front.objectName() == name
        assert window.boards.front.isVisible()
        assert window.tabs.currentIndex() == int(digit) - 1
        assert window.session.pick == ("tube:tm-b1:2",)
        assert window.at_chip.currentText() == place


def test_check_01_the_half_typed_line_outlives_a_change_of_view(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.say("join TM-B1:17")
    hands.press(Qt.Key.Key_4, CTRL)
    assert hands.window.line.text() == "join TM-B1:17"


@pytest.mark.parametrize("region", range(5))
def test_check_02_control_l_goes_to_the_line_from_every_region_and_esc_comes_back(hands: Hands, region: int) -> None:
    hands.open_sample("thistlemere")
    window = hands.window
    window.parts.tree.setFocus()
    for _ in range(region):
        hands.press(Qt.Key.Key_F6)
    before = hands.focus()
    assert before is not window.line
    hands.press(Qt.Key.Key_L, CTRL)
    assert window.line.hasFocus()
    hands.press(Qt.Key.Key_Escape)
    assert hands.focus() is before


def test_check_02_six_regions_are_walked_by_f6_and_back_by_shift_f6(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.window.boards.current.view.setFocus()
    forth = []
    for _ in range(6):
        forth.append(hands.focus())
        hands.press(Qt.Key.Key_F6)
    assert hands.focus() is forth[0]
    assert len(set(map(id, forth))) == 6
    back = []
    for _ in range(6):
        hands.press(Qt.Key.Key_F6, SHIFT)
        back.append(hands.focus())
    assert back == forth[::-1]


def test_check_02_esc_drops_the_text_first_and_then_gives_the_focus_back(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.window.parts.tree.setFocus()
    hands.say("cut TM-B1:17-18")
    hands.press(Qt.Key.Key_Escape)
    hands.press(Qt.Key.Key_Escape)
    assert hands.window.line.text() == ""
    hands.press(Qt.Key.Key_Escape)
    assert hands.window.parts.tree.hasFocus()


def test_check_03_a_cut_is_read_back_and_done_only_by_enter(hands: Hands) -> None:
    hands.open_plant(uncut_thistlemere())
    before = hands.plant.copy()
    hands.say("cut TM-B1:13-16")
    assert "4 fibres" in chips(hands)
    assert hands.plant == before
    assert hands.steps == 0
    hands.press(Qt.Key.Key_Return)
    cable = hands.plant.cables["tm-b1"]
    assert cut_fibres(hands.plant.cable_types[cable.type], cable.stops[1]) == {13, 14, 15, 16}
    assert hands.steps == 1
    assert hands.window.undo_button.text() == "Undo: cut TM-B1 13-16"
    assert hands.window.line.text() == ""
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before


def test_check_04_the_wrong_piece_is_underlined_and_tab_takes_the_nearest(hands: Hands) -> None:
    hands.open_plant(uncut_thistlemere())
    before = hands.plant.copy()
    line = "join TM-B1:13-16 to D-1:5-8"
    hands.say(line)
    data = hands.window.readback.data
    assert data.error_column == line.index("5-8") + 1
    assert data.error_length == 3
    rect = hands.window.line.error_rect()
    assert rect is not None
    # The text is in a fixed pitch: three letters of twenty-seven are underlined, the last ones.
    pitch = rect.width() / 3
    cursor = hands.window.line.cursorRect().center().x() + 0.5
    assert abs(rect.right() - cursor) < 1.5
    assert pitch > 5
    assert "D-1 has 4 fibres, not 5-8" in chips(hands)
    assert "D-1:1-4" in chips(hands)
    hands.press(Qt.Key.Key_Return, times=3)
    assert hands.plant == before
    assert hands.steps == 0
    assert hands.window.line.text() == line
    hands.press(Qt.Key.Key_Tab)
    assert hands.window.line.text() == "join TM-B1:13-16 to D-1:1-4"
    assert hands.window.line.hasFocus()
    assert hands.window.readback.data.error_column is None
    hands.press(Qt.Key.Key_Return)
    assert len(hands.plant.splices) == 4


def test_check_05_one_tube_to_twelve_drops_is_previewed_and_one_undo_step(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor())
    before = hands.plant.copy()
    hands.press(Qt.Key.Key_4, CTRL)
    hands.say(TWELVE)
    assert "12 joints" in chips(hands)
    assert hands.window.control.reading is not None
    assert len(hands.window.control.reading.rows) == 12
    gauge = next(g for g in hands.window.limits.gauges if g.data_shown.key == "tray joints")
    assert (gauge.data_shown.value, gauge.data_shown.of) == ("12", "of 24, was 0")
    assert gauge.data_shown.touched
    assert hands.plant == before
    hands.press(Qt.Key.Key_Return)
    joints = list(hands.plant.splices.values())
    assert sorted(j.slot or 0 for j in joints) == list(range(1, 13))
    assert {j.tray for j in joints} == {"wb-12-tray-2"}
    assert hands.steps == 1
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before
    assert not hands.window.undo_button.isEnabled()


def test_check_05_the_gauges_are_as_before_when_the_line_is_dropped(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor())
    before = [gauge.data_shown for gauge in hands.window.limits.gauges]
    hands.say(TWELVE)
    assert [gauge.data_shown for gauge in hands.window.limits.gauges] != before
    hands.press(Qt.Key.Key_Escape, times=2)
    assert [gauge.data_shown for gauge in hands.window.limits.gauges] == before


def test_check_06_a_live_service_holds_the_first_enter_and_the_second_does_it(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor(live=27))
    before = hands.plant.copy()
    hands.say(TWELVE)
    hands.press(Qt.Key.Key_Return)
    last = hands.window.readback.data.chips[-1]
    assert last.kind == "warning"
    assert "CLINIC" in last.text
    assert hands.plant == before
    assert hands.window.line.hasFocus()
    hands.press(Qt.Key.Key_Return)
    assert len(hands.plant.splices) == 12
    assert hands.steps == 1


def test_check_06_a_changed_letter_arms_the_stop_again(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor(live=27))
    hands.say(TWELVE)
    hands.press(Qt.Key.Key_Return)
    hands.press(Qt.Key.Key_Backspace)
    hands.type("1")
    hands.press(Qt.Key.Key_Return)
    assert hands.plant.splices == {}
    hands.press(Qt.Key.Key_Return)
    assert len(hands.plant.splices) == 12


def test_check_06_an_outage_named_needs_no_second_enter(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor(live=27))
    hands.say(TWELVE + " outage CHG-12", enter=True)
    assert len(hands.plant.splices) == 12
    assert next(s for s in hands.plant.cables["lm-a1"].stops if s.site == "wb-12").outage == "CHG-12"
