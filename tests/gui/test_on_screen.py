"""The window on whatever screen there is: the gate runs this file offscreen and again under a real X server.

Only what differs between screens is tried here: the window comes up, takes the focus, and a drag by mouse works.
"""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QPoint, QPointF, QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.app import make_window
from gui.session import ENCLOSURE
from gui.views.route_tools import handle_at

SAMPLES = Path(__file__).parents[2] / "samples"


def test_a_drag_by_mouse_makes_one_edit_on_this_screen(qtbot: QtBot, tmp_path: Path) -> None:
    wanted = os.environ.get("GLASSWRIGHT_SCREEN")
    assert wanted in (None, QGuiApplication.platformName())
    window = make_window(QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat), tmp_path)
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    copy = tmp_path / "plant.gwp"
    copy.write_bytes((SAMPLES / "thistlemere.gwp").read_bytes())
    assert window.open_path(copy)
    window.session.set_pick(["route:tube tm-b1.wb-07 T2>"])
    board = window.boards.boards[ENCLOSURE]
    route = window.boards.tools.route
    assert route is not None
    start = board.view.mapFromScene(QPointF(*handle_at(route.supports[1])))
    port = board.view.viewport()
    QTest.mousePress(port, Qt.MouseButton.LeftButton, pos=start)
    for step in (8, 16, 24):
        QTest.mouseMove(port, start + QPoint(step, step))
        qtbot.wait(1)
    assert window.boards.tools.tag.isVisible()
    QTest.mouseRelease(port, Qt.MouseButton.LeftButton, pos=start + QPoint(24, 24))
    assert window.document.history.undo_name is not None
    assert "C1" in window.document.history.undo_name
    picture = window.grab().toImage()
    colours = {
        picture.pixelColor(x, y).rgb() for x in range(0, picture.width(), 7) for y in range(0, picture.height(), 7)
    }
    assert len(colours) > 50
    window.document.history.mark_saved()
