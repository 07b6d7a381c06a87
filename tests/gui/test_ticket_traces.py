"""Trace files in the Trace view: dropped, plotted and matched, damaged or none at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gui.panels.trace_cursors import Curve
from tests.gui.hands import CTRL, LEFT, PLAIN, Hands, at_the_window
from tests.gui.tickets import DOWN_LIST, UP_LIST, paste, type_into, whole_ticket
from tests.gui.traces import marrowfield, torn


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_sample("marrowfield")
        yield made


def drop(hands: Hands, path: Path) -> None:
    """Drag a file onto the view and let go."""
    page = hands.window.boards.trace
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    at, copy = QPoint(600, 300), Qt.DropAction.CopyAction
    QApplication.sendEvent(page, QDragEnterEvent(at, copy, data, LEFT, PLAIN))
    QApplication.sendEvent(page, QDropEvent(QPointF(at), copy, data, LEFT, PLAIN))
    hands.settle()


def test_a_dropped_trace_is_plotted_matched_and_read_into_the_ticket(hands: Hands) -> None:
    paste(hands, DOWN_LIST)
    paste(hands, UP_LIST)
    type_into(hands, "launch lead", "150")
    path = hands.folder / "hub-f17.sor"
    path.write_bytes(marrowfield())
    steps = hands.steps
    drop(hands, path)
    assert hands.steps == steps + 1
    head = hands.window.boards.trace.answer.head
    assert (head.mark.text(), head.band.text()) == ("mark 3153", "3138 to 3169")
    data = hands.window.boards.trace.plot.data
    said = {event.words: event.kind for event in data.events}
    assert said["END 3359 m, no reflection"] == "end"
    # The path would end at 4883.3 m of fibre: (4883.3 + 150) x 1.4670 / 1.4682 = 5029.2 as shown.
    assert said["missing: Far Barn end 5029"] == "missing"
    assert min(data.measured.at_m) == pytest.approx(-150, abs=0.5)
    assert "hub-f17.sor" in hands.window.boards.trace.right.text()
    assert not hands.notices()


def test_the_slope_of_a_trace_is_read_off_by_two_points_and_least_squares(hands: Hands) -> None:
    hands.say("trace service:C9", enter=True)
    path = hands.folder / "hub-f17.sor"
    path.write_bytes(marrowfield())
    drop(hands, path)
    plot = hands.window.boards.trace.plot
    read = plot.readout()
    assert read.measured
    # The file was written with 0.35 dB/km and noise of 0.02 dB at most.
    assert read.least_squares_db == pytest.approx(read.length_m * 0.35 / 1000, abs=0.005)
    assert read.two_point_db == pytest.approx(read.length_m * 0.35 / 1000, abs=0.045)


def test_check_26_a_damaged_trace_is_plotted_as_far_as_it_goes_and_the_block_is_named(hands: Hands) -> None:
    paste(hands, DOWN_LIST)
    path = hands.folder / "torn.sor"
    path.write_bytes(torn(marrowfield()))
    drop(hands, path)
    notice = hands.window.notice.current
    assert notice is not None
    assert notice.severity == "warning"
    assert "torn.sor" in notice.text
    assert "block DataPts is cut off" in notice.text
    data = hands.window.boards.trace.plot.data
    assert len(data.measured.at_m) > 3000
    assert data.note == "read in part"
    assert QApplication.activeModalWidget() is None
    assert hands.window.isActiveWindow()


@pytest.mark.parametrize(
    ("content", "words"), [(b"", "too short"), (b"Map\0" + b"\xff" * 300, ""), (b"PK\x03\x04" * 90, "")]
)
def test_check_26_a_file_of_which_nothing_can_be_read_changes_nothing(hands: Hands, content: bytes, words: str) -> None:
    whole_ticket(hands)
    steps = hands.steps
    path = hands.folder / "nothing.sor"
    path.write_bytes(content)
    drop(hands, path)
    notice = hands.window.notice.current
    assert notice is not None
    assert notice.severity == "error"
    assert notice.text.startswith("nothing.sor")
    assert words in notice.text
    assert "\n" not in notice.text
    assert hands.steps == steps
    assert hands.window.boards.trace.answer.head.mark.text() == "mark 3153"


def test_a_file_that_is_no_trace_and_one_that_is_gone_are_refused_in_words(hands: Hands) -> None:
    hands.press(Qt.Key.Key_T, CTRL)
    drop(hands, hands.folder / "letter.txt")
    assert "letter.txt is no trace file" in hands.notices()[-1]
    drop(hands, hands.folder / "gone.sor")
    assert "no such file" in hands.notices()[-1]


def test_a_long_trace_is_gone_through_a_few_times_not_once_for_each_of_its_points(hands: Hands) -> None:
    # Instruments store tens of thousands of points: heights sought anew for each of them froze the window.
    class Counted(tuple[float, ...]):
        __slots__ = ()
        gone_through = 0

        def __iter__(self) -> Iterator[float]:
            Counted.gone_through += 1
            return super().__iter__()

    hands.say("trace service:C9", enter=True)
    plot = hands.window.boards.trace.plot
    at_m = [n * 0.5 for n in range(9000)]
    plot.show_data(replace(plot.data, measured=Curve(at_m, Counted(-0.00035 * at for at in at_m))))
    hands.settle()
    plot.grab()
    assert Counted.gone_through <= 10
