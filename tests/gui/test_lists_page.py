"""The lists of a place in the window: opened by a key, following the plant, copied as text, left by Esc."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gui.panels.lists_page import ListsPage, as_text
from model.graph import Continuity
from model.plant import Plant
from render.table_lists import all_tables
from render.tables import Table
from tests.gui.hands import CTRL, Hands, at_the_window


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_sample("thistlemere")
        yield made


def page(hands: Hands) -> ListsPage:
    return hands.window.side.lists


def choose(lists: ListsPage, name: str) -> None:
    lists.picker.setCurrentIndex(lists.picker.findData(name))


def test_ctrl_6_shows_every_list_of_the_place_and_esc_goes_back(hands: Hands) -> None:
    hands.press(Qt.Key.Key_6, CTRL)
    lists = page(hands)
    assert lists.isVisible()
    assert lists.heading.text() == "Lists of WB-07"
    names = [lists.picker.itemData(i) for i in range(lists.picker.count())]
    assert names == [table.name for table in all_tables(Continuity(Plant()))]
    assert {"splice-schedule", "cut-list", "storage", "stubs-and-spares", "ports", "splitter-legs"} <= set(names)
    hands.press(Qt.Key.Key_Escape)
    assert not lists.isVisible()
    assert hands.window.boards.stack.isVisible()


def test_the_cut_list_in_the_window_is_that_of_the_sheet_and_follows_an_edit(hands: Hands) -> None:
    hands.press(Qt.Key.Key_6, CTRL)
    lists = page(hands)
    choose(lists, "splice-schedule")
    # Fibres 13 to 16 are joined to the drop's four.
    assert lists.model.rowCount() == 4
    hands.say("part TM-B1:13-14", enter=True)
    if lists.isVisible():
        assert lists.picker.currentData() == "splice-schedule"
        assert lists.model.rowCount() == 2
    else:
        hands.press(Qt.Key.Key_6, CTRL)
        assert lists.model.rowCount() == 2


def test_the_picked_rows_are_copied_with_their_headings(hands: Hands) -> None:
    hands.press(Qt.Key.Key_6, CTRL)
    lists = page(hands)
    choose(lists, "splice-schedule")
    lists.view.selectRow(1)
    lists.copy_button.click()
    lines = QApplication.clipboard().text().split("\n")
    assert len(lines) == 2
    heads, cells = (line.split("\t") for line in lines)
    row = dict(zip(heads, cells, strict=True))
    assert (row["row"], row["A cable"], row["A number"], row["B cable"], row["B number"]) == (
        "2",
        "TM-B1",
        "14",
        "D-1",
        "2",
    )
    assert any("1 row of Splice schedule copied" in words for words in hands.notices())


def test_another_view_leaves_the_lists(hands: Hands) -> None:
    hands.press(Qt.Key.Key_6, CTRL)
    hands.press(Qt.Key.Key_3, CTRL)
    assert not page(hands).isVisible()


def test_a_copied_cell_breaks_no_row_and_is_no_formula() -> None:
    table = Table("t", "T", ("a", "b"), (0, 2), (("=1+1\tx\ny", 1.5), (None, 2.0)))
    assert as_text(table) == "a\tb\n'=1+1 x y\t1.5\n\t2"
    assert as_text(table, [1]) == "a\tb\n\t2"
