"""The Line, its read-back, and the notice row, with real keys."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from gui.document import Action, Notice
from gui.panels.line_edit import KEPT, Chip, LineEdit, Readback, ReadbackData
from gui.panels.notice import NoticeBar
from gui.theme import DAY, NIGHT


@pytest.fixture
def line(front: Callable[[QWidget], None]) -> LineEdit:
    made = LineEdit()
    made.resize(900, 44)
    front(made)
    made.setFocus()
    return made


def test_enter_says_the_line_and_esc_drops_it(line: LineEdit) -> None:
    said: list[str] = []
    dropped: list[bool] = []
    line.said.connect(said.append)
    line.dropped.connect(lambda: dropped.append(True))
    QTest.keyClicks(line, "go K2")
    QTest.keyClick(line, Qt.Key.Key_Return)
    QTest.keyClick(line, Qt.Key.Key_Escape)
    assert said == ["go K2"]
    assert dropped == [True]
    assert line.text() == "go K2"


def test_up_on_an_empty_line_recalls_earlier_lines_and_down_comes_back(line: LineEdit) -> None:
    for text in ("go K1", "go K2", "go K1"):
        line.keep(text)
    QTest.keyClick(line, Qt.Key.Key_Up)
    assert line.text() == "go K1"
    QTest.keyClick(line, Qt.Key.Key_Up)
    assert line.text() == "go K2"
    QTest.keyClick(line, Qt.Key.Key_Down)
    assert line.text() == "go K1"
    QTest.keyClick(line, Qt.Key.Key_Down)
    assert line.text() == ""


def test_up_leaves_a_half_typed_line_alone(line: LineEdit) -> None:
    line.keep("go K1")
    QTest.keyClicks(line, "cut")
    QTest.keyClick(line, Qt.Key.Key_Up)
    assert line.text() == "cut"


def test_fifty_lines_are_kept(line: LineEdit) -> None:
    for number in range(70):
        line.keep(f"go {number}")
    assert len(line.lines) == KEPT == 50
    assert line.lines[-1] == "go 69"


def test_tab_completes_only_while_there_is_an_ending(front: Callable[[QWidget], None]) -> None:
    box = QWidget()
    column = QVBoxLayout(box)
    line, other = LineEdit(), QLineEdit()
    column.addWidget(line)
    column.addWidget(other)
    front(box)
    line.setFocus()
    wanted: list[int] = []
    line.complete.connect(wanted.append)
    QTest.keyClicks(line, "go t")
    line.show_readback(ReadbackData(endings=("go tray 1",)))
    QTest.keyClick(line, Qt.Key.Key_Tab)
    assert wanted == [0]
    assert line.hasFocus()
    line.take_ending("go tray 1")
    QTest.keyClick(line, Qt.Key.Key_Tab)
    assert wanted == [0]
    assert other.hasFocus()


def test_down_and_control_space_walk_the_endings(line: LineEdit) -> None:
    wanted: list[int] = []
    line.complete.connect(wanted.append)
    QTest.keyClicks(line, "go t")
    QTest.keyClick(line, Qt.Key.Key_Down)
    QTest.keyClick(line, Qt.Key.Key_Space, Qt.KeyboardModifier.ControlModifier)
    assert wanted == [1, 2]
    assert line.text() == "go t"


def test_the_underline_stands_under_the_wrong_piece(line: LineEdit) -> None:
    QTest.keyClicks(line, "join TM-B1:13-16 to D-1:5-8")
    line.show_readback(ReadbackData(error_column=25, error_length=3))
    rect = line.error_rect()
    assert rect is not None
    # Where the pointer would put the cursor tells which letters are above the underline.
    height = line.height() // 2
    assert line.cursorPositionAt(QPoint(round(rect.left()) + 2, height)) == 24
    assert line.cursorPositionAt(QPoint(round(rect.right()) - 1, height)) == 27
    painted = line.grab().toImage()
    ratio = painted.devicePixelRatio()
    at = painted.pixelColor(round(rect.center().x() * ratio), round((rect.top() + 1) * ratio))
    assert at.name() == DAY.error.lower()


def test_the_underline_follows_when_a_long_line_has_scrolled(line: LineEdit) -> None:
    text = "join " + "TM-B1:13-16, " * 20 + "to D-1:5-8"
    line.setText(text)
    line.setCursorPosition(len(text))
    line.show_readback(ReadbackData(error_column=len(text) - 2, error_length=3))
    line.grab()
    rect = line.error_rect()
    assert rect is not None
    assert line.cursorPositionAt(QPoint(round(rect.left()) + 2, line.height() // 2)) == len(text) - 3
    assert rect.right() <= line.width()


def test_typing_takes_the_underline_away(line: LineEdit) -> None:
    QTest.keyClicks(line, "cut x")
    line.show_readback(ReadbackData(error_column=5))
    QTest.keyClicks(line, "y")
    assert line.error_rect() is None


def test_chips_are_shown_in_order_and_never_overlap(qtbot: QtBot) -> None:
    chips = tuple(Chip("label", f"some words number {n}", "warning" if n == 3 else "plain") for n in range(6))
    for large, width in ((False, 1372), (True, 700)):
        row = Readback()
        qtbot.addWidget(row)
        row.set_tokens(NIGHT, large)
        row.resize(width, 56)
        row.show_readback(ReadbackData(chips, endings=("from 13", "spread")))
        places = row.chip_rects()
        assert len(places) == 6
        for index, one in enumerate(places):
            assert one.right() <= width
            assert one.bottom() <= row.height()
            assert not any(one.intersects(other) for other in places[index + 1 :])


def test_the_row_goes_when_there_is_nothing_to_read_back(qtbot: QtBot) -> None:
    row = Readback()
    qtbot.addWidget(row)
    row.show_readback(ReadbackData((Chip("do", "make 4 joints"),)))
    assert row.isVisible()
    assert row.accessibleDescription() == "do: make 4 joints"
    row.show_readback(ReadbackData())
    assert not row.isVisible()


# -- notices -----------------------------------------------------------------------------------------------------


@pytest.fixture
def bar(qtbot: QtBot) -> NoticeBar:
    made = NoticeBar()
    qtbot.addWidget(made)
    made.resize(900, 60)
    return made


def test_a_notice_is_shown_and_never_takes_focus(front: Callable[[QWidget], None]) -> None:
    box = QWidget()
    column = QVBoxLayout(box)
    field, bar = QLineEdit(), NoticeBar()
    column.addWidget(field)
    column.addWidget(bar)
    front(box)
    field.setFocus()
    bar.tell(Notice("error", "The disk is full.", (Action("Save elsewhere", lambda: None),)))
    assert bar.isVisible()
    assert field.hasFocus()
    assert bar.go()
    assert bar.buttons[0].hasFocus()


def test_notes_go_after_a_while_and_errors_stay(bar: NoticeBar) -> None:
    bar._timer.setInterval(1)
    bar.tell(Notice("note", "Saved."))
    assert bar._timer.isActive()
    bar._timer.timeout.emit()
    assert bar.current is None
    assert not bar.isVisible()
    bar.tell(Notice("error", "Not saved."))
    assert not bar._timer.isActive()
    assert bar.isVisible()


def test_an_error_goes_before_what_waits_and_all_are_kept_to_read_again(bar: NoticeBar) -> None:
    bar.tell(Notice("error", "first"))
    bar.tell(Notice("note", "second"))
    bar.tell(Notice("error", "third"))
    assert bar.count.text() == "2 more"
    seen = []
    while bar.current is not None:
        seen.append(bar.current.text)
        QTest.mouseClick(bar.close_button, Qt.MouseButton.LeftButton)
    assert seen == ["first", "third", "second"]
    assert [notice.text for notice in bar.told] == ["first", "second", "third"]


def test_an_error_takes_the_place_of_a_note_in_sight(bar: NoticeBar) -> None:
    bar.tell(Notice("note", "Saved."))
    bar.tell(Notice("error", "Not saved."))
    assert bar.words.text() == "Not saved."


def test_a_button_runs_its_action_once_and_closes_the_notice(bar: NoticeBar) -> None:
    done: list[str] = []
    bar.tell(
        Notice(
            "warning", "x", (Action("Open", lambda: done.append("open")), Action("Leave", lambda: done.append("leave")))
        )
    )
    QTest.mouseClick(bar.buttons[1], Qt.MouseButton.LeftButton)
    assert done == ["leave"]
    assert bar.current is None


def test_an_action_that_tells_something_new_is_heard(bar: NoticeBar) -> None:
    bar.tell(Notice("error", "one", (Action("Again", lambda: bar.tell(Notice("error", "one"))),)))
    QTest.mouseClick(bar.buttons[0], Qt.MouseButton.LeftButton)
    assert bar.words.text() == "one"
    assert bar.isVisible()


def test_esc_gives_the_focus_back_and_keeps_the_notice(bar: NoticeBar) -> None:
    left: list[bool] = []
    bar.left.connect(lambda: left.append(True))
    bar.tell(Notice("error", "x"))
    bar.go()
    QTest.keyClick(bar.close_button, Qt.Key.Key_Escape)
    assert left == [True]
    assert bar.isVisible()
