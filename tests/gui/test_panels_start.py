"""The start page: templates by arrow and Enter, recent plants, and what a crash left."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QWidget

from gui.panels.recent_list import RecentEntry
from gui.panels.start import RecoverData, StartPage
from gui.panels.template_cards import cards_for
from gui.theme import NIGHT
from model.templates import TEMPLATES

KEYS = ("one", "mid-span-small", "mid-span-large", "four", "five", "six")


@pytest.fixture
def page(front: Callable[[QWidget], None]) -> StartPage:
    made = StartPage(KEYS)
    made.resize(1600, 960)
    front(made)
    return made


def test_every_template_has_a_card_with_words_of_its_own() -> None:
    cards = cards_for(list(TEMPLATES))
    assert [card.key for card in cards] == list(TEMPLATES)
    assert len({card.title for card in cards}) == len(cards)
    assert all(card.about for card in cards if card.key.startswith("mid-span"))


def test_arrows_walk_the_grid_and_enter_takes_a_template(page: StartPage) -> None:
    taken: list[str] = []
    page.template_asked.connect(taken.append)
    page.focus_first()
    QTest.keyClick(page.grid.cards[0], Qt.Key.Key_Right)
    assert page.grid.cards[1].hasFocus()
    QTest.keyClick(page.grid.cards[1], Qt.Key.Key_Return)
    QTest.keyClick(page.grid.cards[1], Qt.Key.Key_Down)
    assert page.grid.columns == 3
    assert page.grid.cards[4].hasFocus()
    QTest.keyClick(page.grid.cards[4], Qt.Key.Key_Up)
    QTest.keyClick(page.grid.cards[1], Qt.Key.Key_Left)
    QTest.keyClick(page.grid.cards[0], Qt.Key.Key_Left)
    assert page.grid.cards[0].hasFocus()
    assert taken == ["mid-span-small"]


def test_a_click_takes_a_template(page: StartPage) -> None:
    taken: list[str] = []
    page.template_asked.connect(taken.append)
    QTest.mouseClick(page.grid.cards[2], Qt.MouseButton.LeftButton)
    assert taken == ["mid-span-large"]


def test_only_what_works_is_offered(page: StartPage) -> None:
    assert not page.import_button.isVisible()
    assert not page.ticket_button.isVisible()
    page.offer(spreadsheet=True)
    asked: list[bool] = []
    page.import_asked.connect(lambda: asked.append(True))
    QTest.mouseClick(page.import_button, Qt.MouseButton.LeftButton)
    assert asked == [True]


def test_recent_plants_open_and_a_missing_one_is_looked_for(page: StartPage) -> None:
    page.show_recent((RecentEntry("/a/t.gwp", "t.gwp", "WB-07"), RecentEntry("/a/g.gwp", "g.gwp", missing=True)))
    opened: list[str] = []
    looked: list[str] = []
    page.recent_asked.connect(opened.append)
    page.look_for_asked.connect(looked.append)
    first = page.recent.visualRect(page.recent.recent.index(0)).center()
    QTest.mouseClick(page.recent.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(40, first.y()))
    page.recent.setCurrentIndex(page.recent.recent.index(1))
    QTest.keyClick(page.recent, Qt.Key.Key_Return)
    assert opened == ["/a/t.gwp"]
    assert looked == ["/a/g.gwp"]


def test_what_a_crash_left_is_focused_and_each_answer_goes_out(page: StartPage) -> None:
    page.show_recovery(
        RecoverData("t.gwp", 7, "13:47", (("13:46", "moved C2"), ("13:44", "joined"), ("13:41", "opened")))
    )
    assert page.card.isVisible()
    assert page.card.bring.hasFocus()
    assert page.card.title.text() == "7 edits were not saved"
    assert page.card.steps.text().endswith("and 4 earlier")
    answers: list[str] = []
    page.recovery_answered.connect(answers.append)
    for made in (page.card.bring, page.card.look, page.card.leave):
        QTest.mouseClick(made, Qt.MouseButton.LeftButton)
    assert answers == ["bring", "look", "leave"]
    page.show_recovery(None)
    assert not page.card.isVisible()


def test_in_a_small_window_large_everything_is_reachable_and_big_enough(page: StartPage) -> None:
    page.set_tokens(NIGHT, large=True)
    page.resize(1024, 700)
    page.show_recent((RecentEntry("/a/t.gwp", "t.gwp"),))
    assert page.verticalScrollBar().maximum() > 0
    body = page.widget()
    assert body is not None
    for made in page.findChildren(QAbstractButton):
        if made.isVisible():
            assert made.height() >= 40, made.objectName()
            assert made.mapTo(body, QPoint(made.width(), 0)).x() <= body.width(), made.objectName()
