"""A pair of hands at the real window, for the tests: keys, mouse and typed lines as Qt events; plants to work on."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QPoint, QPointF, QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from gui.app import make_window
from gui.views.route_tools import handle_at
from gui.window import MainWindow
from model.edits.cutting import MakeWhole
from model.edits.joining import Part
from model.edits.parts import Add
from model.entities import Service
from model.history import History
from model.ids import CableId, PortId, ServiceId, StopId
from model.plant import Plant
from model.rules.registry import Finding
from model.storage.document import decode, encode

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
LEFT, RIGHT, NONE = Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton, Qt.MouseButton.NoButton
PLAIN, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
SHIFT, ALT = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.AltModifier
TUBE, CORNER = "tube tm-b1.wb-07 T2<", 1


def sample(name: str) -> Plant:
    """A sample plant."""
    return decode((SAMPLES / f"{name}.gwp").read_bytes())


def uncut_thistlemere(live: int | None = None) -> Plant:
    """Thistlemere with its four joints taken apart and tube 2 uncut; ``live``: a fibre with a live service on it."""
    history = History(sample("thistlemere"))
    plant = history.plant
    history.do(
        Part(tuple(joint.id for joint in plant.splices.values())),
        MakeWhole(CableId("tm-b1"), StopId("tm-b1.wb-07"), tuple(range(13, 17))),
    )
    if live is not None:
        served = Service(ServiceId("clinic"), "CLINIC", PortId(f"ferry-head.{live}"), "live")
        history.do(Add((served,), "a live service"))
    return plant


def uncut_larkmoor(live: int | None = None) -> Plant:
    """Larkmoor with two more drops, no joints, and tube 3 uncut; ``live``: a fibre with a live service on it."""
    history = History(sample("larkmoor"))
    plant = history.plant
    history.do(
        Part(tuple(joint.id for joint in plant.splices.values())),
        MakeWhole(CableId("lm-a1"), StopId("lm-a1.wb-12"), tuple(range(25, 37))),
    )
    pattern = plant.cables["d-10"]
    for key in ("d-11", "d-12"):
        stops = tuple(replace(s, id=StopId(s.id.replace("d-10", key))) for s in pattern.stops)
        history.do(Add((replace(pattern, id=CableId(key), name=key.upper(), stops=stops),), f"add {key}"))
    if live is not None:
        served = Service(ServiceId("clinic"), "CLINIC", PortId(f"otter-bridge.{live}"), "live")
        history.do(Add((served,), "a live service"))
    return plant


class Hands:
    """Works one window by events only; asks it questions by its public attributes."""

    def __init__(self, qtbot: QtBot, folder: Path, *, show: bool = True) -> None:
        self.qtbot = qtbot
        self.folder = folder
        self.settings = QSettings(str(folder / "settings.ini"), QSettings.Format.IniFormat)
        self.logs = folder / "logs"
        self.window: MainWindow = make_window(self.settings, self.logs)
        self.window.resize(1600, 1000)
        if show:
            self.show()

    def show(self) -> None:
        """Bring the window to the front."""
        self.window.show()
        self.window.activateWindow()
        self.qtbot.waitUntil(self.window.isActiveWindow, timeout=3000)

    def put_away(self) -> None:
        """Close without being asked."""
        self.window.files.leave = True
        self.window.close()
        self.window.document.close()
        self.window.deleteLater()

    # -- plants --------------------------------------------------------------------------------------------------

    def open_sample(self, name: str) -> Path:
        """Open a copy of a sample."""
        path = self.folder / f"{Path(name).name}.gwp"
        shutil.copyfile(SAMPLES / f"{name}.gwp", path)
        assert self.window.open_path(path)
        self.settle()
        return path

    def open_plant(self, plant: Plant, name: str = "plant") -> Path:
        """Open a plant from a file of its own."""
        path = self.folder / f"{name}.gwp"
        path.write_bytes(encode(plant))
        assert self.window.open_path(path)
        self.settle()
        return path

    @property
    def plant(self) -> Plant:
        """The open plant."""
        return self.window.document.plant

    @property
    def steps(self) -> int:
        """Number of steps that can be taken back."""
        return len(self.window.document.history.steps)

    # -- keys ----------------------------------------------------------------------------------------------------

    def focus(self) -> QWidget:
        """Where keys go."""
        found = QApplication.focusWidget()
        return found if found is not None else self.window

    def press(self, key: Qt.Key, modifiers: Qt.KeyboardModifier = PLAIN, times: int = 1) -> None:
        """Press a key where the focus is."""
        for _ in range(times):
            QTest.keyClick(self.focus(), key, modifiers)

    def type(self, text: str) -> None:
        """Type text where the focus is."""
        QTest.keyClicks(self.focus(), text)

    def say(self, text: str, *, enter: bool = False) -> None:
        """Go to the Line by its key and type; Enter if wanted."""
        self.press(Qt.Key.Key_L, CTRL)
        assert self.window.line.hasFocus()
        self.type(text)
        if enter:
            self.press(Qt.Key.Key_Return)

    def settle(self) -> None:
        """Let queued events happen."""
        QApplication.processEvents()

    # -- mouse ---------------------------------------------------------------------------------------------------

    def port(self) -> QWidget:
        """The viewport of the canvas in sight."""
        return self.window.boards.current.view.viewport()

    def at(self, x_mm: float, y_mm: float) -> QPoint:
        """Viewport pixel of a place on the canvas."""
        return self.window.canvas_point(x_mm, y_mm).toPoint()

    def mouse_to(self, at: QPoint, held: Qt.MouseButton = NONE, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
        """Move the mouse with a button held; QTest itself would move it with none."""
        send_move(self.port(), at, held, modifiers)

    def click(self, at: QPoint, button: Qt.MouseButton = LEFT, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
        """Click on the canvas in sight."""
        QTest.mouseClick(self.port(), button, modifiers, at)

    def pick_tube(self, ref: str = "tube:tm-b1:2") -> None:
        """Pick a tube in the Enclosure view."""
        self.window.session.show_view(1)
        self.window.session.set_pick([ref])
        self.settle()

    def handle(self, route: str = TUBE, support: int = CORNER) -> QPoint:
        """Where the handle of a support is, viewport pixels."""
        return self.at(*handle_at(self.plant.routes[route].supports[support]))

    def grip(self, at: QPoint) -> None:
        """Press the left button."""
        QTest.mousePress(self.port(), LEFT, PLAIN, at)

    def let_go(self, at: QPoint) -> None:
        """Release the left button."""
        QTest.mouseRelease(self.port(), LEFT, PLAIN, at)

    def drag(self, *points: QPoint) -> None:
        """Press at the first point, move through all, and release at the last."""
        self.grip(points[0])
        for point in points[1:]:
            self.mouse_to(point, LEFT)
        self.let_go(points[-1])

    # -- answers -------------------------------------------------------------------------------------------------

    def findings(self, rule: str) -> list[Finding]:
        """Open findings of a rule."""
        return [f for f in self.window.document.findings if f.rule == rule and not f.accepted]

    def notices(self) -> list[str]:
        """Everything told so far."""
        return [notice.text for notice in self.window.notice.told]


def send_move(target: QWidget, at: QPoint, held: Qt.MouseButton, modifiers: Qt.KeyboardModifier = PLAIN) -> None:
    """A mouse move with buttons held, as the window system sends it."""
    from PySide6.QtCore import QEvent
    from PySide6.QtGui import QMouseEvent

    event = QMouseEvent(
        QEvent.Type.MouseMove, QPointF(at), QPointF(target.mapToGlobal(at)), Qt.MouseButton.NoButton, held, modifiers
    )
    QApplication.sendEvent(target, event)


@contextlib.contextmanager
def at_the_window(qtbot: QtBot, folder: Path) -> Iterator[Hands]:
    """Hands at a new window, put away in the end."""
    hands = Hands(qtbot, folder)
    try:
        yield hands
    finally:
        hands.put_away()
        QApplication.clipboard().clear()
        QApplication.processEvents()
