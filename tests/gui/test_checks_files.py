"""What happens to work when the program is killed, and when somebody else has the file."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from model.plant import Plant
from model.storage.document import decode, encode
from tests.gui.hands import CTRL, LEFT, Hands, at_the_window, uncut_thistlemere

ROOT = Path(__file__).resolve().parents[2]
LINES = [
    "open TM-B1:T3",
    "open TM-B1:T4",
    "cut TM-B1:13-14",
    "cut TM-B1:15-16",
    "join TM-B1:13 to D-1:1 on tray 1",
    "join TM-B1:14 to D-1:2 on tray 1",
    "join TM-B1:15 to D-1:3 on tray 1",
]
"""Seven edits, none of which touches a live service."""

VICTIM = """
import sys
from pathlib import Path
from PySide6.QtCore import QSettings
from PySide6.QtTest import QTest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from gui.app import make_window
folder, lines = Path(sys.argv[1]), sys.argv[2:]
app = QApplication([])
window = make_window(QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat), folder / "logs")
assert window.open_path(folder / "plant.gwp")
window.show()
for line in lines:
    QTest.keyClicks(window.line, line)
    QTest.keyClick(window.line, Qt.Key.Key_Return)
print(len(window.document.history.steps), flush=True)
app.exec()
"""


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def victim(folder: Path) -> subprocess.Popen[str]:
    """A running program on ``folder``'s plant that has done seven edits and saved none."""
    process = subprocess.Popen(
        [sys.executable, "-c", VICTIM, str(folder), *LINES],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    ready, _, _ = select.select([process.stdout], [], [], 60)
    said = process.stdout.readline() if ready else ""
    if said.strip() != "7":
        process.kill()
        raise AssertionError(f"said {said!r}: {process.communicate()[1]}")
    return process


def put_down(process: subprocess.Popen[str]) -> None:
    """Kill a process that was started here, as a power cut would, and wait until it is gone."""
    process.send_signal(signal.SIGKILL)
    process.wait(30)
    for pipe in (process.stdout, process.stderr):
        if pipe is not None:
            pipe.close()


@pytest.fixture
def crashed(tmp_path: Path) -> Plant:
    """A plant file with seven edits lost in a crash; returns the plant as saved."""
    plant = uncut_thistlemere()
    (tmp_path / "plant.gwp").write_bytes(encode(plant))
    put_down(victim(tmp_path))
    return decode((tmp_path / "plant.gwp").read_bytes())


def after_all_lines(plant: Plant) -> set[str]:
    """Ids of the three joints that the seven lines make."""
    assert not plant.splices
    return {f"splice tm-b1:{fibre}@tm-b1.wb-07<" for fibre in (13, 14, 15)}


def test_check_27_the_next_start_offers_the_seven_edits_and_has_them_in_focus(
    crashed: Plant, qtbot: QtBot, tmp_path: Path
) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        card = hands.window.start.card
        assert card.isVisible()
        assert "7" in card.title.text()
        assert hands.focus() is card.bring


def test_check_27_bring_back_does_them_again_as_unsaved_edits(crashed: Plant, qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.press(Qt.Key.Key_Return)
        assert set(hands.plant.splices) == after_all_lines(crashed)
        assert hands.steps == 7
        assert not hands.window.document.history.clean
        assert not any("not saved when the program stopped" in text for text in hands.notices())
        hands.window.boards.current.view.setFocus()
        hands.press(Qt.Key.Key_Z, CTRL, times=7)
        assert hands.plant == crashed
        hands.press(Qt.Key.Key_Y, CTRL, times=7)
        hands.press(Qt.Key.Key_S, CTRL)
        assert hands.window.document.history.clean
    assert set(decode((tmp_path / "plant.gwp").read_bytes()).splices) == after_all_lines(crashed)


def test_check_27_brought_back_and_lost_again_they_are_offered_again(
    crashed: Plant, qtbot: QtBot, tmp_path: Path
) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.press(Qt.Key.Key_Return)
    with at_the_window(qtbot, tmp_path) as hands:
        assert hands.window.start.card.isVisible()
        assert "7" in hands.window.start.card.title.text()


def test_check_27_look_first_opens_the_file_without_them_and_keeps_the_offer(
    crashed: Plant, qtbot: QtBot, tmp_path: Path
) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.press(Qt.Key.Key_Tab)
        assert hands.focus() is hands.window.start.card.look
        hands.press(Qt.Key.Key_Space)
        assert hands.plant == crashed
        assert hands.steps == 0
        notice = hands.window.notice.current
        assert notice is not None
        assert "7 edits" in notice.text
        hands.press(Qt.Key.Key_F9)
        hands.press(Qt.Key.Key_Space)
        assert set(hands.plant.splices) == after_all_lines(crashed)


def test_check_27_leave_them_drops_them_for_good(crashed: Plant, qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        QTest.mouseClick(hands.window.start.card.leave, LEFT)
        assert hands.plant == crashed
        assert hands.steps == 0
        assert hands.window.notice.current is None
    with at_the_window(qtbot, tmp_path) as hands:
        assert not hands.window.start.card.isVisible()


def test_check_28_what_another_process_has_open_is_read_only_and_says_who(qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "plant.gwp").write_bytes(encode(uncut_thistlemere()))
    process = victim(tmp_path)
    try:
        with at_the_window(qtbot, tmp_path) as hands:
            assert not hands.window.start.card.isVisible()
            assert hands.window.open_path(tmp_path / "plant.gwp")
            assert hands.window.document.read_only
            assert any(f"process {process.pid}" in text for text in hands.notices())
    finally:
        put_down(process)


def test_check_28_the_second_window_cannot_edit_and_says_why(hands: Hands, qtbot: QtBot, tmp_path: Path) -> None:
    path = hands.open_plant(uncut_thistlemere())
    other_folder = tmp_path / "other"
    other_folder.mkdir()
    with at_the_window(qtbot, other_folder) as second:
        assert second.window.open_path(path)
        before = second.plant.copy()
        who = second.window.document.why_read_only()
        assert f"process {os.getpid()}" in who
        assert "read only, open on" in second.window.state_label.text()
        for key in ("undo", "redo", "save", "cure"):
            action = second.window.actions_by_key[key]
            assert not action.isEnabled()
            assert who in action.toolTip()
        assert not second.window.undo_button.isEnabled()
        assert who in second.window.undo_button.toolTip()
        second.say("cut TM-B1:13-16", enter=True)
        assert second.plant == before
        assert any(text.startswith("Read only") and who in text for text in second.notices())
        second.window.boards.current.view.setFocus()
        second.pick_tube("route:tube tm-b1.wb-07 T2>")
        second.press(Qt.Key.Key_Right)
        start = second.handle("tube tm-b1.wb-07 T2>", 1)
        second.drag(start, start.__class__(start.x() + 20, start.y()), start.__class__(start.x() + 60, start.y()))
        assert second.plant == before
        # Looking is not editing.
        second.window.line.clear()
        second.say("trace D-1:3", enter=True)
        assert second.window.session.view == 4
    hands.show()
    hands.say("cut TM-B1:13-16", enter=True)
    assert hands.steps == 1
