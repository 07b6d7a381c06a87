"""The preview of a typed line: in the picture, at the right with what it costs; and what a row that comes in moves."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from pytestqt.qtbot import QtBot

from gui.document import Notice
from render.drawing import Rect, Text, walk
from tests.gui.hands import ALT, Hands, at_the_window, uncut_larkmoor

ENCLOSURE, SPLICES = 1, 3
LINE = "join LM-A1:T3 to D-01..D-12:1 on tray 2 from 1"


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Larkmoor with tube 3 uncut, twelve drops, and a live service on fibre 29."""
    with at_the_window(qtbot, tmp_path) as found:
        found.open_plant(uncut_larkmoor(live=29))
        found.window.session.show_view(SPLICES)
        found.settle()
        yield found


def block(hands: Hands) -> list[object]:
    """Shapes of the preview in the picture."""
    shown = hands.window.boards.boards[SPLICES].scene.shown
    return [shape for (_, role, _), item in shown.items() if role == "preview" for shape, _ in walk((item.picture,))]


def test_the_picture_shows_dashed_slots_under_a_head_that_says_nothing_is_changed(hands: Hands) -> None:
    before = hands.plant.copy()
    hands.say(LINE)
    texts = [shape.content for shape in block(hands) if isinstance(shape, Text)]
    assert "Preview, nothing is changed yet" in texts
    plates = [shape for shape in block(hands) if isinstance(shape, Rect) and shape.radius == 2.6]
    assert len(plates) == 12
    assert all(plate.pen.dash for plate in plates)
    assert [text for text in texts if text.startswith("2 / ")] == [f"2 / {n}" for n in range(1, 13)]
    assert "live: CLINIC" in texts
    view = hands.window.boards.boards[SPLICES].view
    item = next(i for (_, role, _), i in hands.window.boards.boards[SPLICES].scene.shown.items() if role == "preview")
    assert view.visible_mm().contains(item.sceneBoundingRect())
    assert hands.plant == before
    hands.press(Qt.Key.Key_Escape)
    assert block(hands) == []


def test_at_the_right_stand_the_rows_and_what_they_cost_and_details_come_back(hands: Hands) -> None:
    window = hands.window
    assert window.details.isVisible()
    hands.say(LINE)
    panel = window.line_preview
    assert panel.isVisible()
    assert not window.details.isVisible()
    rows = [[str(panel.model.data(panel.model.index(r, c))) for c in range(5)] for r in range(panel.model.rowCount())]
    assert [row[0] for row in rows] == [f"2 / {n}" for n in range(1, 13)]
    assert rows[4] == ["2 / 5", "LM-A1:29", "D-05:1", "0.10", "LIVE"]
    assert {row[4] for i, row in enumerate(rows) if i != 4} == {"new"}
    first = panel.shown[0]
    assert (first.state, first.head) == ("warning", "1 live service goes dark")
    assert first.text.startswith("CLINIC, on LM-A1:29.")
    # The tray was empty, and 12 joints go on it.
    assert [c.text for c in panel.shown if c.head == "Tray 2 joints"] == ["12 of 24, was 0"]
    hands.press(Qt.Key.Key_Escape)
    assert window.details.isVisible()


def test_alt_o_asks_for_the_outage_and_with_it_one_enter_does_it(hands: Hands) -> None:
    hands.say(LINE)
    hands.press(Qt.Key.Key_O, ALT)
    assert hands.window.line.text() == f"{LINE} outage "
    hands.type("CHG-12")
    assert not hands.window.line_preview.outage.isVisible()
    assert hands.window.line_preview.shown[0].state == "note"
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    assert len(hands.plant.splices) == 12
    cable = next(c for c in hands.plant.cables.values() if c.name == "LM-A1")
    assert any("CHG-12" in stop.outage for stop in cable.stops)


def test_a_line_that_costs_nobody_offers_no_outage(hands: Hands) -> None:
    hands.say("join LM-A1:25 to D-01:1 on tray 2")
    assert hands.window.line_preview.isVisible()
    assert not hands.window.line_preview.outage.isVisible()
    assert not any(cost.state == "warning" for cost in hands.window.line_preview.shown)


@pytest.mark.parametrize("view", [ENCLOSURE, 2, SPLICES])
def test_a_notice_that_comes_in_leaves_the_picture_where_it_is_on_the_screen(hands: Hands, view: int) -> None:
    hands.window.session.show_view(view)
    hands.settle()
    canvas = hands.window.boards.current.view

    def on_screen() -> tuple[QPoint, float]:
        return canvas.viewport().mapToGlobal(canvas.mapFromScene(QPointF(60.0, 40.0))), canvas.scale_px

    start, zoom = on_screen()
    high = canvas.viewport().height()
    hands.window.notice.tell(Notice("error", "Something that has to be read"))
    hands.qtbot.waitUntil(lambda: canvas.viewport().height() < high, timeout=3000)
    point, now = on_screen()
    assert (point - start).manhattanLength() <= 1
    assert now == zoom
    hands.window.notice.clear()
    hands.qtbot.waitUntil(lambda: canvas.viewport().height() == high, timeout=3000)
    point, now = on_screen()
    assert (point - start).manhattanLength() <= 1
