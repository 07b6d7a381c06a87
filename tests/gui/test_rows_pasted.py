"""Rows of a spreadsheet pasted into the Line, joints copied as rows and carried on with: by keys and the clipboard."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from model.plant import Plant
from tests.gui.hands import ALT, CTRL, SHIFT, Hands, at_the_window, uncut_larkmoor

TABLE = "From\tTo\tTray\tSlot\r\n" + "".join(f"LM-A1:{24 + n}\tD-{n:02d}:1\t2\t{n}\r\n" for n in range(1, 13))
LINE = "join LM-A1:25-36 to D-01..D-12:1 on tray 2 from 1"


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_plant(uncut_larkmoor())
        yield made


def paste(hands: Hands, text: str) -> None:
    QApplication.clipboard().setText(text)
    hands.press(Qt.Key.Key_V, CTRL)


def chips(hands: Hands) -> list[str]:
    return [f"{chip.label}: {chip.text}" for chip in hands.window.readback.data.chips]


def pairs(plant: Plant) -> set[tuple[int, str, int]]:
    return {(s.a.fibre, s.b.cable, s.slot or 0) for s in plant.splices.values()}  # type: ignore[union-attr]


TWELVE = {(24 + n, f"d-{n:02d}", n) for n in range(1, 13)}


def test_a_table_pasted_into_the_line_is_previewed_and_one_step(hands: Hands) -> None:
    before = hands.plant.copy()
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, TABLE)
    assert hands.window.line.text() == LINE
    assert hands.window.line.hasFocus()
    assert hands.window.control.reading is not None
    assert len(hands.window.control.reading.rows) == 12
    assert hands.plant == before
    hands.press(Qt.Key.Key_Return)
    assert pairs(hands.plant) == TWELVE
    assert hands.steps == 1
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before


def test_on_the_splices_view_the_table_goes_to_the_line_too(hands: Hands) -> None:
    hands.press(Qt.Key.Key_4, CTRL)
    hands.window.boards.front.setFocus()
    paste(hands, TABLE)
    assert hands.window.line.text() == LINE
    assert hands.window.line.hasFocus()


def test_bad_rows_are_listed_by_number_and_enter_is_held_once(hands: Hands) -> None:
    hands.press(Qt.Key.Key_B, CTRL | SHIFT)
    hands.press(Qt.Key.Key_4, CTRL)
    before = hands.plant.copy()
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, TABLE + "LM-A1:99\tD-01:1\t2\t13\r\n\r\nLM-A1:37\tD-01:1\t2\t13\r\n")
    assert hands.window.line.text() == LINE
    said = chips(hands)
    assert any(chip.startswith("row 14: LM-A1 has 72 fibres, not 99") for chip in said)
    assert any(chip.startswith("row 16: D-01:1 is in row 2 already") for chip in said)
    listed = hands.window.boards.splices.table.joints.rows
    assert [row.cells[0] for row in listed if row.kind == "bad"] == ["row 14", "row 16"]
    hands.press(Qt.Key.Key_Return)
    assert hands.plant == before
    assert "Enter again joins the others" in chips(hands)[-1]
    hands.press(Qt.Key.Key_Return)
    assert pairs(hands.plant) == TWELVE
    assert hands.steps == 1
    assert not [row for row in hands.window.boards.splices.table.joints.rows if row.kind == "bad"]


def test_a_changed_letter_forgets_the_rows_left_out(hands: Hands) -> None:
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, TABLE + "LM-A1:99\tD-01:1\t2\t13\r\n")
    hands.press(Qt.Key.Key_Backspace)
    hands.type("1")
    assert not any(chip.startswith("row ") for chip in chips(hands))


def test_a_table_of_which_nothing_can_be_joined_is_one_notice(hands: Hands) -> None:
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, "Colour\tLength\nred\t12\nblue\t13\n")
    assert hands.window.line.text() == ""
    assert hands.notices()[-1].startswith("Nothing of the table can be joined: row 1: ")
    paste(hands, "LM-A1:1\tD-01:1\n" * 4098)
    assert "the table has 4098 rows, at most 4096" in hands.notices()[-1]


def test_typed_lines_pasted_together_are_one_line(hands: Hands) -> None:
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, "cut LM-A1:37\njoin LM-A1:25 to D-01:1 on tray 2\n")
    assert hands.window.line.text() == "cut LM-A1:37; join LM-A1:25 to D-01:1 on tray 2"
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1


def test_a_text_of_one_line_is_pasted_as_it_is(hands: Hands) -> None:
    hands.press(Qt.Key.Key_L, CTRL)
    paste(hands, "cut LM-A1:37")
    assert hands.window.line.text() == "cut LM-A1:37"


def pick_rows(hands: Hands, count: int) -> None:
    """Pick the first joints in the table of the Splices view by keys."""
    hands.press(Qt.Key.Key_4, CTRL)
    hands.press(Qt.Key.Key_B, CTRL | SHIFT)
    table = hands.window.boards.splices.table
    table.setFocus()
    first = next(n for n, row in enumerate(table.joints.rows) if row.kind == "joint")
    table.setCurrentIndex(table.joints.index(first, 0))
    for _ in range(count - 1):
        hands.press(Qt.Key.Key_Down, SHIFT)
    hands.settle()


def test_picked_joints_are_copied_as_rows_that_make_them_again(hands: Hands) -> None:
    hands.say(LINE, enter=True)
    pick_rows(hands, 12)
    hands.press(Qt.Key.Key_C, CTRL)
    copied = QApplication.clipboard().text().splitlines()
    assert copied[:2] == ["From\tTo\tTray\tSlot", "LM-A1:25<\tD-01:1\t2\t1"]
    assert len(copied) == 13
    hands.press(Qt.Key.Key_Z, CTRL)
    assert not hands.plant.splices
    hands.press(Qt.Key.Key_V, CTRL)
    hands.press(Qt.Key.Key_Return)
    assert pairs(hands.plant) == TWELVE


def test_a_key_carries_the_picked_joints_on(hands: Hands) -> None:
    hands.say("join LM-A1:25-27 to D-01..D-03:1 on tray 2", enter=True)
    hands.say("cut LM-A1:37", enter=True)
    pick_rows(hands, 2)
    hands.press(Qt.Key.Key_D, CTRL | SHIFT)
    assert hands.window.line.text() == "next"
    # After 25 and 26 comes 27, which is joined already: said, with nothing changed.
    assert hands.window.readback.data.error_column == 1
    hands.press(Qt.Key.Key_Escape, times=2)
    pick_rows_again = hands.window.boards.splices.table
    pick_rows_again.setFocus()
    hands.press(Qt.Key.Key_Down, SHIFT)
    hands.settle()
    hands.press(Qt.Key.Key_D, CTRL | SHIFT)
    hands.press(Qt.Key.Key_Return)
    assert pairs(hands.plant) == {(24 + n, f"d-{n:02d}", n) for n in range(1, 7)}


def test_next_after_a_line_is_one_step_and_refused_once_its_joints_are_gone(hands: Hands) -> None:
    hands.say("join LM-A1:25-28 to D-01..D-04:1 on tray 2", enter=True)
    hands.say("next", enter=True)
    hands.say("next", enter=True)
    assert hands.steps == 3
    assert pairs(hands.plant) == TWELVE
    hands.press(Qt.Key.Key_Z, CTRL)
    hands.say("next")
    assert any("are not joined any more" in chip for chip in chips(hands))


def test_a_line_is_written_out_and_drawn_together_by_keys(hands: Hands) -> None:
    hands.say("join LM-A1:25-27 to D-01..D-03:1 on tray 2")
    hands.press(Qt.Key.Key_E, CTRL | SHIFT)
    assert hands.window.line.text() == (
        "join LM-A1:25< to D-01:1 on tray 2 from 1; join LM-A1:26< to D-02:1 on tray 2 from 2; "
        "join LM-A1:27< to D-03:1 on tray 2 from 3"
    )
    hands.press(Qt.Key.Key_E, CTRL | ALT)
    assert hands.window.line.text() == "join LM-A1:25-27< to D-01..D-03:1 on tray 2"
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    hands.say("cut LM-A1:40")
    hands.press(Qt.Key.Key_E, CTRL | SHIFT)
    assert "only joins can be written out" in hands.notices()[-1]
    assert hands.window.line.text() == "cut LM-A1:40"
