"""Opening, saving and closing: bad files, a disk that refuses, unsaved work, and the names of steps."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from model.storage.document import decode, encode
from tests.gui.hands import CTRL, SHIFT, Hands, at_the_window, uncut_thistlemere

BAD = {
    "not json": b"this is no plant",
    "empty": b"",
    "cut short": encode(uncut_thistlemere())[:5000],
    "newer": encode(uncut_thistlemere()).replace(b'"version": 1', b'"version": 999', 1),
    "binary": bytes(range(256)) * 40,
}


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


@pytest.mark.parametrize("kind", sorted(BAD))
def test_a_bad_file_is_told_in_a_notice_and_the_open_plant_stays(hands: Hands, tmp_path: Path, kind: str) -> None:
    path = hands.open_plant(uncut_thistlemere())
    hands.say("cut TM-B1:13-16", enter=True)
    before = hands.plant.copy()
    bad = tmp_path / "bad.gwp"
    bad.write_bytes(BAD[kind])
    assert not hands.window.open_path(bad)
    notice = hands.window.notice.current
    assert notice is not None
    assert notice.severity == "error"
    assert "bad.gwp" in notice.text
    assert "\n" not in notice.text
    assert hands.plant == before
    assert hands.steps == 1
    assert hands.window.document.path == path
    hands.press(Qt.Key.Key_S, CTRL)
    assert hands.window.document.history.clean


def test_a_file_that_is_not_there_is_told_and_the_open_plant_stays(hands: Hands, tmp_path: Path) -> None:
    path = hands.open_plant(uncut_thistlemere())
    assert not hands.window.open_path(tmp_path / "gone.gwp")
    assert hands.window.notice.current is not None
    assert "gone.gwp" in hands.window.notice.current.text
    assert hands.window.document.path == path
    assert not list(tmp_path.glob("gone.gwp*"))


def test_a_bad_file_at_the_start_leaves_the_start_page(hands: Hands, tmp_path: Path) -> None:
    bad = tmp_path / "bad.gwp"
    bad.write_bytes(b"no")
    assert not hands.window.open_path(bad)
    assert hands.window.start.isVisible()
    assert hands.window.notice.isVisible()


def test_opening_a_file_by_the_chooser(hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "chosen.gwp"
    path.write_bytes(encode(uncut_thistlemere()))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    hands.press(Qt.Key.Key_O, CTRL)
    assert hands.window.document.path == path
    assert hands.window.files.recent()[0] == path.resolve()


def test_closing_the_chooser_changes_nothing(hands: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    path = hands.open_plant(uncut_thistlemere())
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("", ""))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    hands.press(Qt.Key.Key_O, CTRL)
    hands.press(Qt.Key.Key_S, CTRL | SHIFT)
    hands.press(Qt.Key.Key_P, CTRL)
    assert hands.window.document.path == path


def test_save_as_goes_on_under_the_new_name(hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    old = hands.open_plant(uncut_thistlemere())
    text = old.read_bytes()
    hands.say("cut TM-B1:13-16", enter=True)
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "new"), ""))
    hands.press(Qt.Key.Key_S, CTRL | SHIFT)
    assert hands.window.document.path == tmp_path / "new.gwp"
    assert old.read_bytes() == text
    assert decode((tmp_path / "new.gwp").read_bytes()) == hands.plant
    assert "all saved" in hands.window.state_label.text()


def test_a_save_that_fails_stays_told_and_can_go_elsewhere(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "stick"
    folder.mkdir()
    path = folder / "plant.gwp"
    path.write_bytes(encode(uncut_thistlemere()))
    assert hands.window.open_path(path)
    hands.say("cut TM-B1:13-16", enter=True)
    folder.rename(tmp_path / "pulled out")
    hands.press(Qt.Key.Key_S, CTRL)
    notice = hands.window.notice.current
    assert notice is not None
    assert notice.severity == "error"
    assert "recovery log" in notice.text
    assert [action.text for action in notice.actions] == ["Save elsewhere..."]
    assert not hands.window.document.history.clean
    hands.qtbot.wait(10)
    assert hands.window.notice.isVisible()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "elsewhere.gwp"), ""))
    hands.press(Qt.Key.Key_F9)
    hands.press(Qt.Key.Key_Space)
    assert decode((tmp_path / "elsewhere.gwp").read_bytes()) == hands.plant
    assert hands.window.document.history.clean


def test_closing_with_unsaved_edits_asks_inside_the_window_and_loses_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.open_plant(uncut_thistlemere())
        hands.say("cut TM-B1:13-16", enter=True)
        hands.press(Qt.Key.Key_Q, CTRL)
        assert hands.window.isVisible()
        notice = hands.window.notice.current
        assert notice is not None
        assert [action.text for action in notice.actions] == ["Save", "Stay"]
        hands.press(Qt.Key.Key_Q, CTRL)
        assert not hands.window.isVisible()
    with at_the_window(qtbot, tmp_path) as again:
        assert again.window.start.card.isVisible()
        assert "1" in again.window.start.card.title.text()


def test_an_edit_after_stay_or_after_the_question_asks_again(hands: Hands) -> None:
    hands.open_plant(uncut_thistlemere())
    hands.say("cut TM-B1:13-14", enter=True)
    hands.press(Qt.Key.Key_Q, CTRL)
    hands.say("cut TM-B1:15-16", enter=True)
    hands.press(Qt.Key.Key_Q, CTRL)
    assert hands.window.isVisible()


def test_save_in_the_closing_question_saves_and_closes(hands: Hands) -> None:
    path = hands.open_plant(uncut_thistlemere())
    hands.say("cut TM-B1:13-16", enter=True)
    plant = hands.plant.copy()
    hands.press(Qt.Key.Key_Q, CTRL)
    hands.press(Qt.Key.Key_F9)
    hands.press(Qt.Key.Key_Space)
    assert not hands.window.isVisible()
    assert decode(path.read_bytes()) == plant


def test_all_saved_closes_at_once(hands: Hands) -> None:
    hands.open_plant(uncut_thistlemere())
    hands.press(Qt.Key.Key_Q, CTRL)
    assert not hands.window.isVisible()


def test_a_new_plant_that_is_left_twice_is_kept_among_the_recent_ones(qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.window.document.new(uncut_thistlemere())
        hands.say("cut TM-B1:13-16", enter=True)
        plant = hands.plant.copy()
        hands.press(Qt.Key.Key_Q, CTRL)
        assert hands.window.isVisible()
        hands.press(Qt.Key.Key_Q, CTRL)
        assert not hands.window.isVisible()
    with at_the_window(qtbot, tmp_path) as again:
        kept = again.window.files.recent()[0]
        assert again.window.open_path(kept)
        assert again.plant == plant


def test_opening_another_plant_keeps_the_edits_of_the_first_in_its_log(hands: Hands, tmp_path: Path) -> None:
    first = hands.open_plant(uncut_thistlemere(), "first")
    hands.say("cut TM-B1:13-16", enter=True)
    hands.open_plant(uncut_thistlemere(), "second")
    assert hands.window.open_path(first)
    notice = hands.window.notice.current
    assert notice is not None
    assert "1 edit was not saved" in notice.text


def test_undo_and_redo_name_their_step_in_buttons_and_menu(hands: Hands) -> None:
    hands.open_plant(uncut_thistlemere())
    window = hands.window
    assert not window.undo_button.isEnabled()
    hands.say("cut TM-B1:13-14", enter=True)
    hands.say("cut TM-B1:15-16", enter=True)
    assert window.undo_button.text() == "Undo: cut TM-B1 15-16"
    assert window.actions_by_key["undo"].text() == "&Undo cut TM-B1 15-16"
    window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_Z, CTRL)
    assert window.undo_button.text() == "Undo: cut TM-B1 13-14"
    assert window.redo_button.text() == "Redo: cut TM-B1 15-16"
    hands.press(Qt.Key.Key_Z, CTRL | SHIFT)
    assert not window.redo_button.isEnabled()
    assert window.redo_button.text() == "Redo"
    assert window.actions_by_key["redo"].shortcuts() == [QKeySequence("Ctrl+Shift+Z"), QKeySequence("Ctrl+Y")]
