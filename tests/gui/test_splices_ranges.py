"""Opening one range of the Splices view on demand: by its slash, by key, by the list Here; folding it again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from pytestqt.qtbot import QtBot

from render.drawing import Text, walk
from tests.gui.hands import CTRL, SHIFT, Hands, at_the_window

SPLICES = 3


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at the cabinet's Splices view, bundled: feeder tube 1 is three ranges of four ports each."""
    with at_the_window(qtbot, tmp_path) as found:
        found.open_sample("bramblecote")
        found.window.session.go("bc-5")
        found.window.session.show_view(SPLICES)
        found.settle()
        yield found


def names(hands: Hands) -> list[str]:
    """What the right-hand ends on the feeder panel are called, top down."""
    words = [
        shape.content
        for item in hands.window.boards.boards[SPLICES].scene.shown.values()
        for shape, _ in walk((item.picture,))
        if isinstance(shape, Text)
    ]
    return [word for word in words if word.startswith("FD ") and "services" not in word]


def mark(hands: Hands, key: str) -> QPoint:
    """Viewport pixel of the lettering at the mark of a range: its count, or the plate on its bracket."""
    board = hands.window.boards.boards[SPLICES]
    (item,) = board.scene.items_of(f"range:{key}")
    text = next(shape for shape, _ in walk((item.picture,)) if isinstance(shape, Text))
    return board.view.mapFromScene(QPointF(text.x + 0.8, text.y - 1.2))


WHOLE = ["FD 1-4", "FD 5-8", "FD 9-12", "FD 13-24", "FD 25-36", "FD 37-48"]
OPENED = ["FD 1-4", "FD 5", "FD 6", "FD 7", "FD 8", *WHOLE[2:]]
KEY = "bf-48:5@bf-48.bc-5<"


def test_a_click_on_the_count_opens_that_range_alone_and_a_click_on_its_bracket_folds_it(hands: Hands) -> None:
    counts = hands.window.boards.splices.counts.text()
    # 144 plugs behind the field panel, 48 of the feeder, 4 inputs and 118 legs; 128 - 118 legs are parked.
    assert counts == "314 plugs, 10 parked legs"
    assert names(hands) == WHOLE
    steps = hands.steps
    hands.click(mark(hands, KEY))
    assert names(hands) == OPENED
    assert hands.window.boards.splices.counts.text() == counts
    hands.click(mark(hands, KEY))
    assert names(hands) == WHOLE
    assert hands.steps == steps
    assert hands.window.session.pick == ()


def test_the_key_opens_and_folds_the_range_of_the_picked_fibre(hands: Hands) -> None:
    hands.window.session.set_pick(["fibre:bf-48:6"])
    hands.window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_R, CTRL | SHIFT)
    assert names(hands) == OPENED
    assert hands.window.session.pick == ("fibre:bf-48:6",)
    hands.press(Qt.Key.Key_R, CTRL | SHIFT)
    assert names(hands) == WHOLE


def test_the_list_here_offers_it_by_name(hands: Hands) -> None:
    hands.window.here.open_for(["fibres:bf-48:5-8<"], QPoint(0, 0))
    action = next(a for a in hands.window.here.menu.actions() if a.text() == "Open this range of 4")
    action.trigger()
    hands.window.here.menu.close()
    assert names(hands) == OPENED
    hands.window.here.open_for(["fibre:bf-48:5"], QPoint(0, 0))
    texts = [a.text() for a in hands.window.here.menu.actions()]
    hands.window.here.menu.close()
    assert "Fold this range of 4" in texts


def test_an_opened_range_stays_open_over_an_edit_and_over_undo(hands: Hands) -> None:
    hands.click(mark(hands, KEY))
    hands.say("name BC-5 as BC-6", enter=True)
    assert hands.steps == 1
    assert names(hands) == OPENED
    hands.window.undo_button.click()
    assert names(hands) == OPENED


def test_what_stands_above_an_opened_range_stays_where_it_is(hands: Hands) -> None:
    board = hands.window.boards.boards[SPLICES]

    def place() -> QPoint:
        item = next(i for i in board.scene.items_of("fibres:bf-48:1-4<") if i.picture.role == "tag")
        return board.view.mapFromScene(item.sceneBoundingRect().center())

    before = place()
    hands.click(mark(hands, KEY))
    after = place()
    assert (after - before).manhattanLength() <= 2
