"""Help and lists stand in place of canvas and docks, and give both back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tests.gui.hands import CTRL, Hands, at_the_window


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_sample("thistlemere")
        yield made


def docks_seen(hands: Hands) -> set[bool]:
    return {dock.isVisible() for dock in hands.window.docks.values()}


def test_all_that_the_line_understands_stands_on_one_screen(hands: Hands) -> None:
    hands.window.resize(1600, 1000)
    hands.press(Qt.Key.Key_F1)
    page = hands.window.side.help
    assert page.isVisible()
    assert docks_seen(hands) == {False}
    QApplication.processEvents()  # the layout takes the docks' room
    assert page.viewport().width() > 1500
    assert page.document().size().height() <= page.viewport().height()
    assert page.document().size().width() <= page.viewport().width()
    hands.press(Qt.Key.Key_Escape)
    assert not page.isVisible()
    assert docks_seen(hands) == {True}


def test_docks_that_were_put_away_stay_away_after_help(hands: Hands) -> None:
    hands.press(Qt.Key.Key_F7)
    hands.press(Qt.Key.Key_F1)
    hands.press(Qt.Key.Key_Escape)
    assert docks_seen(hands) == {False}
    hands.press(Qt.Key.Key_F7)
    assert docks_seen(hands) == {True}


def test_lists_have_the_whole_width_until_another_view(hands: Hands) -> None:
    hands.press(Qt.Key.Key_6, CTRL)
    assert hands.window.side.lists.isVisible()
    assert docks_seen(hands) == {False}
    hands.press(Qt.Key.Key_3, CTRL)
    assert not hands.window.side.lists.isVisible()
    assert docks_seen(hands) == {True}
