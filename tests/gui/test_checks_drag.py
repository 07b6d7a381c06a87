"""Dragging a tube's corner, nudging it and curing it, with the mouse and the keys of the canvas."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFocusEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gui.panels.gauge_data import GaugeData
from gui.panels.skin import Words
from model.edits.routing import SetSupport
from model.layout import course_of
from tests.gui.hands import ALT, CTRL, LEFT, NONE, PLAIN, RIGHT, SHIFT, Hands, at_the_window

ROUTE, C1 = "tube tm-b1.wb-07 T2>", 1
"""Tube 2 on the field side of WB-07: one corner of 40 mm between two ends, and its limit is 38 mm."""
LIMIT_MM = 38.0


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_sample("thistlemere")
        made.pick_tube(f"route:{ROUTE}")
        made.window.boards.current.view.setFocus()
        yield made


def bend_gauge(hands: Hands) -> GaugeData:
    return next(g.data_shown for g in hands.window.limits.gauges if g.data_shown.key == "bend")


def pixels_per_mm(hands: Hands) -> float:
    return hands.window.boards.current.view.scale_px


def right_by(hands: Hands, start: QPoint, right_mm: float) -> QPoint:
    return start + QPoint(round(right_mm * pixels_per_mm(hands)), 0)


def radius_in_plant(hands: Hands) -> float:
    tight = course_of(hands.plant.routes[ROUTE]).tightest()
    assert tight is not None
    return tight[0]


def test_check_08_the_tag_tells_the_bend_at_every_move_and_never_covers_the_handle(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    tools = hands.window.boards.tools
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 4), LEFT)
    said: list[float] = []
    for number in range(1, 40):
        pointer = right_by(hands, start, number * 1.2) + QPoint(0, number % 3)
        hands.mouse_to(pointer, LEFT)
        assert tools.tag.isVisible()
        text = tools.tag.text
        assert text is not None
        assert text.limit_mm == LIMIT_MM
        # The tightest bend of what the tag speaks of, found from its own course.
        drag = hands.window.boards.current.view.gesture
        judged = drag.now  # type: ignore[union-attr]
        found = judged.course.tightest()
        assert text.radius_mm == pytest.approx(found[0])
        assert text.length_mm == pytest.approx(judged.course.length_mm)
        held = next(s for s in judged.route.supports if s.kind == "corner" and s.y_mm < 100)
        grip = hands.at(held.x_mm, held.y_mm)
        box = tools.tag.geometry()
        assert not box.contains(grip)
        assert not box.contains(pointer)
        assert hands.port().rect().contains(box)
        said.append(text.radius_mm or 0.0)
    hands.press(Qt.Key.Key_Escape)
    assert not tools.tag.isVisible()
    assert said[0] == pytest.approx(40.0)
    assert min(said) < LIMIT_MM


def test_check_08_the_tag_flips_at_the_edges_of_the_canvas(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    tools = hands.window.boards.tools
    port = hands.port().rect()
    hands.grip(start)
    for pointer in (port.bottomRight(), port.topLeft(), port.topRight(), port.bottomLeft(), port.center()):
        hands.mouse_to(pointer, LEFT)
        assert port.contains(tools.tag.geometry())
        assert not tools.tag.geometry().contains(pointer)
    hands.press(Qt.Key.Key_Escape)


def test_check_08_the_gauge_lights_and_the_live_finding_shows_while_it_moves(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    assert not bend_gauge(hands).touched
    assert bend_gauge(hands).state == "fine"
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 5), LEFT)
    hands.mouse_to(right_by(hands, start, 40), LEFT)
    assert bend_gauge(hands).touched
    assert bend_gauge(hands).state == "error"
    rows = [row for row in hands.window.findings.model.rows if row.live]
    assert [row.finding.rule for row in rows] == ["bend.tube"]
    assert hands.findings("bend.tube") == []
    hands.press(Qt.Key.Key_Escape)
    assert not bend_gauge(hands).touched
    assert bend_gauge(hands).state == "fine"
    assert not any(row.live for row in hands.window.findings.model.rows)


def test_check_09_past_the_limit_is_a_finding_and_a_red_gauge_until_undo(hands: Hands) -> None:
    before = hands.plant.copy()
    start = hands.handle(ROUTE, C1)
    hands.drag(start, right_by(hands, start, 10), right_by(hands, start, 40))
    assert hands.steps == 1
    assert radius_in_plant(hands) < LIMIT_MM
    assert len(hands.findings("bend.tube")) == 1
    assert hands.findings("bend.tube")[0].severity == "error"
    assert bend_gauge(hands).state == "error"
    assert "bend.tube" in [row.finding.rule for row in hands.window.findings.model.rows]
    QTest.mouseClick(hands.window.undo_button, LEFT)
    assert hands.plant == before
    assert hands.findings("bend.tube") == []
    assert bend_gauge(hands).state == "fine"
    assert hands.steps == 0


def test_check_09_near_the_limit_the_corner_sticks_at_just_legal_unless_alt_is_held(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 5), LEFT)
    # 30.05 mm of straight are left beside a corner that turns a right angle: 38 mm need 38 mm, so 27 mm is too far.
    pointer = right_by(hands, start, 27)
    hands.mouse_to(pointer, LEFT)
    text = hands.window.boards.tools.tag.text
    assert text is not None
    assert text.radius_mm == pytest.approx(LIMIT_MM, abs=0.05)
    assert not text.bad
    hands.mouse_to(pointer, LEFT, ALT)
    free = hands.window.boards.tools.tag.text
    assert free is not None
    assert free.radius_mm is not None
    assert free.radius_mm < LIMIT_MM - 0.1
    hands.press(Qt.Key.Key_Escape)


@pytest.mark.parametrize("way", ["esc", "right button"])
def test_check_10_esc_or_the_right_button_mid_drag_puts_all_back(hands: Hands, way: str) -> None:
    before = hands.plant.copy()
    shown = hands.window.boards.tools.overlay.shown
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(right_by(hands, start, 35), LEFT)
    if way == "esc":
        hands.press(Qt.Key.Key_Escape)
    else:
        QTest.mousePress(hands.port(), RIGHT, PLAIN, right_by(hands, start, 35))
        QTest.mouseRelease(hands.port(), RIGHT, PLAIN, right_by(hands, start, 35))
    hands.mouse_to(right_by(hands, start, 50), LEFT)
    hands.let_go(right_by(hands, start, 50))
    assert hands.plant == before
    assert hands.steps == 0
    assert not hands.window.undo_button.isEnabled()
    after = hands.window.boards.tools.overlay.shown
    assert (after.course, after.supports, after.before) == (shown.course, shown.supports, None)
    assert hands.window.session.pick == (f"route:{ROUTE}",)


def test_check_09_into_a_bay_circle_the_corner_stays_where_the_last_course_is(hands: Hands) -> None:
    # Tube 1 wraps the bay on a lane of 51.7 mm about (85, 92): no course starts from a corner inside it.
    route, corner = "tube tm-b1.wb-07 T1", 2
    hands.pick_tube(f"route:{route}")
    before = hands.plant.copy()
    start, centre = hands.handle(route, corner), hands.at(85.0, 92.0)
    hands.grip(start)
    hands.mouse_to(centre, LEFT)
    assert "no course farther" in hands.window.boards.tools.tag.words()
    hands.let_go(centre)
    support = hands.plant.routes[route].supports[corner]
    assert (support.x_mm, support.y_mm) != (before.routes[route].supports[corner].x_mm, 142.0)
    assert ((support.x_mm - 85.0) ** 2 + (support.y_mm - 92.0) ** 2) ** 0.5 >= 51.6
    assert course_of(hands.plant.routes[route]).length_mm > 0
    assert hands.steps == 1
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before


def test_check_11_alt_enter_on_a_bend_finding_widens_it_as_one_step(hands: Hands) -> None:
    hands.window.document.history.mark_saved()
    # A corner of 30 mm where there is room for 38: typed in Details, as somebody would.
    route = hands.plant.routes[ROUTE]
    hands.window.document.do(SetSupport(route.id, C1, replace(route.supports[C1], radius_mm=30.0), "tighten"))
    assert len(hands.findings("bend.tube")) == 1
    steps = hands.steps
    hands.press(Qt.Key.Key_F8)
    row = hands.window.findings.current()
    assert row is not None
    assert row.finding.rule == "bend.tube"
    hands.press(Qt.Key.Key_Return, ALT)
    assert radius_in_plant(hands) >= LIMIT_MM
    assert hands.findings("bend.tube") == []
    assert hands.steps == steps + 1
    hands.press(Qt.Key.Key_Z, CTRL)
    assert radius_in_plant(hands) == pytest.approx(30.0)


def test_check_11_alt_enter_makes_room_for_a_bend_that_was_dragged_too_tight(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    hands.drag(start, right_by(hands, start, 10), right_by(hands, start, 40))
    tight = hands.plant.copy()
    assert len(hands.findings("bend.tube")) == 1
    hands.press(Qt.Key.Key_F8)
    hands.press(Qt.Key.Key_Return, ALT)
    assert radius_in_plant(hands) >= LIMIT_MM
    assert not [f for f in hands.window.document.findings if f.severity == "error"]
    assert hands.steps == 2
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == tight


def test_check_11_a_finding_without_a_cure_says_so(hands: Hands) -> None:
    hands.press(Qt.Key.Key_F8)
    row = hands.window.findings.current()
    assert row is not None
    assert row.finding.rule == "joint.classes"
    hands.press(Qt.Key.Key_Return, ALT)
    assert hands.steps == 0
    assert any("No cure is known" in text for text in hands.notices())


def test_check_11_alt_enter_during_the_drag_goes_back_to_what_is_legal(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    end = right_by(hands, start, 40)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(end, LEFT)
    hands.press(Qt.Key.Key_Return, ALT)
    text = hands.window.boards.tools.tag.text
    assert text is not None
    assert not text.bad
    hands.let_go(end)
    assert hands.steps == 1
    assert radius_in_plant(hands) >= LIMIT_MM - 1e-6
    assert hands.findings("bend.tube") == []


@pytest.mark.parametrize(("modifiers", "step_mm"), [(PLAIN, 1.0), (SHIFT, 10.0), (ALT, 0.1)])
def test_check_12_arrows_move_the_corner_by_known_steps(
    hands: Hands, modifiers: Qt.KeyboardModifier, step_mm: float
) -> None:
    hands.press(Qt.Key.Key_R, CTRL)
    x, y = hands.plant.routes[ROUTE].supports[C1].x_mm, hands.plant.routes[ROUTE].supports[C1].y_mm
    hands.press(Qt.Key.Key_Right, modifiers)
    active = hands.window.boards.tools.active
    corner = hands.plant.routes[ROUTE].supports[active]
    assert corner.x_mm == pytest.approx(x + step_mm)
    assert corner.y_mm == pytest.approx(y)
    hands.press(Qt.Key.Key_Left, modifiers)
    assert hands.plant.routes[ROUTE].supports[active].x_mm == pytest.approx(x)
    assert hands.steps == 2


def test_check_12_details_show_the_numbers_of_the_tag(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(right_by(hands, start, 33), LEFT)
    tag = hands.window.boards.tools.tag.text
    assert tag is not None
    assert tag.radius_mm is not None
    bends = hands.window.details.bends.bends.bends
    assert min(bend.radius_mm for bend in bends if bend.radius_mm is not None) == pytest.approx(tag.radius_mm, abs=0.05)
    words = [label.text() for label in hands.window.details.findChildren(Words)]
    assert any(f"{tag.length_mm:.0f} mm" in text for text in words), words
    hands.press(Qt.Key.Key_Escape)


def test_check_12_the_support_in_hand_stays_in_hand_when_a_corner_eases_the_way(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(right_by(hands, start, 33), LEFT)
    shown = hands.window.boards.tools.overlay.shown
    held = shown.supports[shown.active]
    # 133.95 and 33 mm, level with the tray's entry at 44.
    assert held.x_mm == pytest.approx(166.95, abs=1.0)
    assert held.y_mm == pytest.approx(44.0)
    hands.let_go(right_by(hands, start, 33))
    tools = hands.window.boards.tools
    assert hands.plant.routes[ROUTE].supports[tools.active] == held


def test_check_13_released_outside_the_window_the_drag_ends(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    outside = QPoint(-400, -300)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(outside, LEFT)
    hands.let_go(outside)
    assert hands.window.boards.current.view.gesture is None
    assert not hands.window.boards.tools.tag.isVisible()
    steps = hands.steps
    plant = hands.plant.copy()
    hands.mouse_to(right_by(hands, start, 60))
    assert hands.plant == plant
    assert hands.steps == steps
    if steps:
        hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant.routes[ROUTE].supports[C1].x_mm == pytest.approx(133.95)


def test_check_13_a_release_that_never_came_puts_all_back_at_the_next_move(hands: Hands) -> None:
    before = hands.plant.copy()
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    hands.mouse_to(right_by(hands, start, 20), NONE)
    assert hands.window.boards.current.view.gesture is None
    assert hands.plant == before
    assert hands.steps == 0


def test_check_13_lost_focus_mid_drag_puts_all_back(hands: Hands) -> None:
    before = hands.plant.copy()
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 10), LEFT)
    view = hands.window.boards.current.view
    QApplication.sendEvent(view, QFocusEvent(QFocusEvent.Type.FocusOut, Qt.FocusReason.ActiveWindowFocusReason))
    hands.mouse_to(right_by(hands, start, 30), LEFT)
    hands.let_go(right_by(hands, start, 30))
    assert hands.plant == before
    assert hands.steps == 0
    assert view.gesture is None


def test_a_view_key_in_the_middle_of_a_drag_puts_it_back(hands: Hands) -> None:
    before = hands.plant.copy()
    start = hands.handle(ROUTE, C1)
    hands.grip(start)
    hands.mouse_to(right_by(hands, start, 20), LEFT)
    hands.press(Qt.Key.Key_4, CTRL)
    hands.press(Qt.Key.Key_2, CTRL)
    assert hands.window.boards.current.view.gesture is None
    assert hands.plant == before


def test_undo_in_the_middle_of_a_drag_puts_the_drag_back_first(hands: Hands) -> None:
    start = hands.handle(ROUTE, C1)
    hands.drag(start, right_by(hands, start, 6), right_by(hands, start, 12))
    once = hands.plant.copy()
    again = hands.handle(ROUTE, C1)
    hands.grip(again)
    hands.mouse_to(right_by(hands, again, 20), LEFT)
    hands.press(Qt.Key.Key_Z, CTRL)
    hands.let_go(right_by(hands, again, 20))
    assert hands.window.boards.current.view.gesture is None
    assert hands.plant.routes[ROUTE].supports[C1].x_mm in (
        pytest.approx(133.95),
        pytest.approx(once.routes[ROUTE].supports[C1].x_mm),
    )
    assert hands.steps in (0, 1)
