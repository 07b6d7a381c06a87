"""Somebody who clicks, drags, turns the wheel, types and takes back in any order: five thousand events on each sample.

Nothing may break, nothing may be lost, and taking everything back leads to the plant as it was opened.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from model.graph import Continuity
from model.rules.accounting import account
from model.rules.context import Context, Facts
from model.rules.run import check
from tests.gui.hands import ALT, CTRL, LEFT, NONE, PLAIN, RIGHT, SHIFT, Hands, at_the_window

EVENTS = 5000
MIDDLE = Qt.MouseButton.MiddleButton
Key = Qt.Key
KEYS: tuple[tuple[Qt.Key, Qt.KeyboardModifier], ...] = (
    (Key.Key_F6, PLAIN), (Key.Key_F6, SHIFT), (Key.Key_F7, PLAIN), (Key.Key_F8, PLAIN), (Key.Key_F8, SHIFT),
    (Key.Key_F9, PLAIN), (Key.Key_F1, PLAIN), (Key.Key_Escape, PLAIN), (Key.Key_Tab, PLAIN), (Key.Key_Backtab, PLAIN),
    (Key.Key_0, CTRL), (Key.Key_Plus, CTRL), (Key.Key_Minus, CTRL), (Key.Key_B, CTRL), (Key.Key_E, CTRL),
    (Key.Key_R, CTRL), (Key.Key_L, CTRL), (Key.Key_G, CTRL), (Key.Key_F, CTRL), (Key.Key_S, CTRL),
    (Key.Key_Left, PLAIN), (Key.Key_Right, SHIFT), (Key.Key_Up, ALT), (Key.Key_Down, PLAIN), (Key.Key_Left, CTRL),
    (Key.Key_Space, PLAIN), (Key.Key_Return, PLAIN), (Key.Key_Return, ALT), (Key.Key_Delete, PLAIN),
    (Key.Key_T, CTRL), (Key.Key_D, PLAIN), (Key.Key_U, PLAIN), (Key.Key_N, PLAIN), (Key.Key_N, CTRL | SHIFT),
    (Key.Key_Home, PLAIN), (Key.Key_End, PLAIN), (Key.Key_PageDown, PLAIN),
)  # fmt: skip
"""Keys that open no chooser and leave the program open."""
LINES = {
    "thistlemere": (
        "cut TM-B1:17-20", "cut TM-B1:T3 both", "cut TM-B1:1", "keep TM-B1:T3", "open TM-B1:T4", "part TM-B1:13-16",
        "join TM-B1:13-16 to D-1:1-4 on tray 1", "join TM-B1:17-18 to D-1:3-4", "put TM-B1:17-24 on tray 1",
        "trace D-1:3", "who TM-B1:T2", "go finding 1", "go tray 1", "cut TM-B1:49", "join TM-B1:13-16 to D-1:5-8",
        "cut TM-B1:25-30; keep TM-B1:T4", "nonsense", "join", "\"", "part TM-B1:14",
        "down TH-1 TH-3; up TH-2", "clear TH-1", "read TM-B1:17 1375", "trace service:TH-3",
        "join TM-B1:14 to D-1:2 on tray 1",
    ),
    "larkmoor": (
        "cut LM-A1:37-40", "part LM-A1:25-34", "part LM-A1:26", "join LM-A1:25-34 to D-01..D-10:1 on tray 2",
        "join LM-A1:26 to D-02:1 on tray 2", "keep LM-A1:T4", "open LM-A1:T5", "put LM-A1:25-36 on tray 2",
        "put tray 2 1-4 on tray 3", "trace D-03:1", "who LM-A1:T3", "go tray 3", "go finding 2", "cut LM-A1:73",
        "join LM-A1:35 to D-01:2 on tray 1", "cut LM-A1:1-3 outage CHG-9", "D-05", "..", "join LM-A1:T3 to", "go K2",
    ),
}  # fmt: skip


class RandomUser:
    """Draws one event after the other from a fixed seed."""

    def __init__(self, hands: Hands, lines: tuple[str, ...], seed: int) -> None:
        self.hands = hands
        self.lines = lines
        self.chance = random.Random(seed)
        # Cheap events are common and edits are rare, as with a real hand.
        self.deeds: tuple[tuple[int, Callable[[], None]], ...] = (
            (640, self.move_mouse),
            (110, self.click),
            (18, self.drag),
            (120, self.wheel),
            (56, self.key),
            (6, self.view),
            (20, self.line),
            (9, self.undo),
            (6, self.redo),
            (9, self.place),
            (6, self.pick_a_route),
        )
        self.weights = [weight for weight, _ in self.deeds]

    def step(self) -> None:
        self.chance.choices([deed for _, deed in self.deeds], self.weights)[0]()

    def spot(self) -> QPoint:
        port = self.hands.port().rect()
        # Near the middle, where the picture is, more often than not; sometimes outside.
        reach_x, reach_y = port.width() * 0.55, port.height() * 0.55
        x = port.center().x() + self.chance.uniform(-reach_x, reach_x)
        y = port.center().y() + self.chance.uniform(-reach_y, reach_y)
        return QPoint(round(x), round(y))

    def move_mouse(self) -> None:
        self.hands.mouse_to(self.spot(), self.chance.choice((NONE, NONE, LEFT)))

    def click(self) -> None:
        button = self.chance.choice((LEFT, LEFT, LEFT, RIGHT, MIDDLE))
        self.hands.click(self.spot(), button, self.chance.choice((PLAIN, PLAIN, CTRL, SHIFT)))
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()

    def drag(self) -> None:
        tools = self.hands.window.boards.tools
        route = tools.route
        start = self.spot()
        if route is not None and self.hands.window.session.view == 1:
            start = self.hands.handle(route.id, self.chance.randrange(len(route.supports)))
        points = [start]
        for _ in range(self.chance.randint(1, 3)):
            points.append(points[-1] + QPoint(self.chance.randint(-40, 40), self.chance.randint(-40, 40)))
        self.hands.drag(*points)

    def wheel(self) -> None:
        at = QPointF(self.spot())
        port = self.hands.port()
        turned = QPoint(0, self.chance.choice((-240, -120, 120, 240)))
        held = self.chance.choice((PLAIN, CTRL, SHIFT))
        event = QWheelEvent(
            at,
            QPointF(port.mapToGlobal(at.toPoint())),
            QPoint(),
            turned,
            NONE,
            held,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(port, event)

    def key(self) -> None:
        self.hands.press(*self.chance.choice(KEYS))

    def view(self) -> None:
        self.hands.press(Qt.Key(ord(self.chance.choice("12345"))), CTRL)

    def line(self) -> None:
        hands = self.hands
        hands.press(Key.Key_L, CTRL)
        if self.chance.random() < 0.8:
            hands.window.line.clear()
        text = self.chance.choice(self.lines)
        # All but the end is put in at once, and read once; the last keys are typed.
        hands.window.line.insert(text[:-3])
        hands.type(text[-3:])
        for _ in range(self.chance.randint(0, 2)):
            hands.press(self.chance.choice((Key.Key_Return, Key.Key_Return, Key.Key_Tab, Key.Key_Down)))

    def undo(self) -> None:
        QTest.mouseClick(self.hands.window.undo_button, LEFT)

    def redo(self) -> None:
        QTest.mouseClick(self.hands.window.redo_button, LEFT)

    def place(self) -> None:
        chip = self.hands.window.at_chip
        index = self.chance.randrange(chip.count()) if self.chance.random() < 0.4 else 1
        chip.setCurrentIndex(index)
        chip.activated.emit(index)

    def pick_a_route(self) -> None:
        self.hands.window.session.show_view(1)
        route = self.chance.choice(sorted(self.hands.plant.routes))
        self.hands.window.session.set_pick([f"route:{route}"])


def all_is_well(hands: Hands) -> None:
    """Graph, findings and sums belong to the plant as it is."""
    document = hands.window.document
    plant = document.plant
    assert document.continuity.edges() == Continuity(plant).edges()
    assert document.findings == check(plant)
    assert not any(finding.rule == "rule.failed" for finding in document.findings)
    facts = Facts(plant, document.continuity)
    for site in plant.sites.values():
        context = Context(facts, site.id)
        for here in context.cables:
            for side in here.sides:
                sums = account(context, here, side)
                groups = (sums.spliced, sums.plugged, sums.express, sums.loops, sums.stubs, sums.missing)
                fibres = sorted(fibre for group in groups for fibre in group)
                assert fibres == list(range(1, here.kind.fibre_count + 1)), (here.cable.name, site.name, side)


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


@pytest.mark.parametrize(("name", "seed"), [("thistlemere", 1984), ("larkmoor", 2026)])
def test_five_thousand_events_break_nothing_and_can_all_be_taken_back(hands: Hands, name: str, seed: int) -> None:
    hands.open_sample(name)
    start = hands.plant.copy()
    user = RandomUser(hands, LINES[name], seed)
    checked = hands.plant.revision
    done = 0
    for number in range(EVENTS):
        before = hands.steps
        user.step()
        done += hands.steps > before
        assert hands.window.isVisible()
        assert hands.window.document.is_open
        if number % 250 == 249 and hands.plant.revision != checked:
            checked = hands.plant.revision
            all_is_well(hands)
    assert done > 25
    assert not any("keeps its last picture" in text for text in hands.notices())
    hands.window.boards.current.view.cancel_gesture()
    while hands.window.undo_button.isEnabled():
        hands.window.undo_button.click()
    assert hands.steps == 0
    assert hands.plant == start
    all_is_well(hands)
