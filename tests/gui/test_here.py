"""What lies under a point: turning through crossing tubes, the list "Here", and the lit path in every view."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QMenu
from pytestqt.qtbot import QtBot

from gui.canvas.view import HOLD_MS
from gui.views.here import things_here, title
from model.templates import TEMPLATES
from render import style
from render.drawing import walk
from tests.gui.hands import LEFT, RIGHT, Hands, at_the_window, sample

ROUTE, ENCLOSURE, TRAYS, SPLICES, TRACE = range(5)


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as found:
        found.open_sample("thistlemere")
        yield found
        found.window.here.menu.close()


def crossing(hands: Hands) -> tuple[QPoint, list[str]]:
    """A pixel where exactly two tubes cross in the box, and their refs, the upper one first."""
    view = hands.window.boards.current.view
    port = view.viewport().rect()
    for y in range(0, port.height(), 3):
        for x in range(0, port.width(), 3):
            refs = view.things_at(view.mapToScene(x, y))
            if len(refs) == 2 and all(ref.startswith("tube:") for ref in refs):
                return QPoint(x, y), refs
    raise AssertionError("no two tubes cross")


def readout(hands: Hands) -> str:
    """The words over the canvas; empty when they are put away."""
    label = hands.port().findChild(QLabel, "pickReadout")
    assert isinstance(label, QLabel)
    return label.text() if label.isVisible() else ""


def action(menu: QMenu, text: str) -> QAction:
    """The line of a list with these words."""
    return next(a for a in menu.actions() if a.text() == text)


def lists(menu: QMenu) -> dict[str, list[str]]:
    """The things of the list, each with its commands."""
    found = {}
    for entry in menu.actions():
        inner = entry.menu()
        if isinstance(inner, QMenu):
            found[entry.text()] = [a.text() for a in inner.actions()]
    return found


def test_check_14_a_second_click_picks_the_tube_underneath_and_says_so(hands: Hands) -> None:
    at, (upper, lower) = crossing(hands)
    view = hands.window.boards.current.view
    hands.click(at)
    assert hands.window.session.pick == (upper,)
    assert readout(hands) == f"1 of 2: {title(hands.plant, upper)}"
    hands.click(at)
    assert hands.window.session.pick == (lower,)
    assert readout(hands) == f"2 of 2: {title(hands.plant, lower)}"
    assert view.accessibleDescription() == readout(hands)
    hands.click(at)
    assert hands.window.session.pick == (upper,)


def test_check_14_a_click_elsewhere_begins_anew(hands: Hands) -> None:
    at, (upper, _) = crossing(hands)
    hands.click(at)
    hands.click(QPoint(2, 2))
    assert not hands.window.session.pick
    assert readout(hands) == ""
    hands.click(at)
    assert hands.window.session.pick == (upper,)


def test_check_14_a_press_held_lists_both(hands: Hands, qtbot: QtBot) -> None:
    at, refs = crossing(hands)
    menu = hands.window.here.menu
    hands.grip(at)
    assert not menu.isVisible()
    qtbot.waitUntil(menu.isVisible, timeout=HOLD_MS * 6)
    assert list(lists(menu)) == [title(hands.plant, ref) for ref in refs]
    assert not menu.isModal()
    menu.close()
    hands.let_go(at)
    assert hands.window.session.pick == ()  # a held press is no click


def test_a_press_that_moves_is_a_drag_and_lists_nothing(hands: Hands, qtbot: QtBot) -> None:
    at, _ = crossing(hands)
    view = hands.window.boards.current.view
    hands.grip(at)
    hands.mouse_to(at + QPoint(30, 0), LEFT)
    assert not view.findChildren(QMenu)
    qtbot.wait(HOLD_MS + 100)
    assert not hands.window.here.menu.isVisible()
    hands.let_go(at + QPoint(30, 0))


def test_the_right_button_lists_what_is_here_with_commands_for_the_line(hands: Hands) -> None:
    at, refs = crossing(hands)
    hands.click(at, RIGHT)
    menu = hands.window.here.menu
    commands = lists(menu)
    # Tube 2 is opened and partly cut here, so it is not offered to be opened again.
    assert commands["T2 OR of TM-B1"] == ["Pick", "Cut here", "Join to ...", "Who is on it"]
    other = next(ref for ref in refs if ref != "tube:tm-b1:2")
    inner = action(menu, title(hands.plant, other)).menu()
    assert isinstance(inner, QMenu)
    action(inner, "Open here").trigger()
    menu.close()
    assert hands.window.line.text() == f"open TM-B1:T{other.rpartition(':')[2]}"
    assert hands.window.line.hasFocus()
    assert hands.steps == 0


def test_the_menu_key_lists_what_is_picked_first(hands: Hands) -> None:
    hands.window.session.show_view(TRAYS)
    hands.settle()
    key = next(s.id for s in hands.plant.splices.values() if s.slot == 2)
    hands.window.session.set_pick([f"splice:{key}"])
    hands.window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_Menu)
    menu = hands.window.here.menu
    assert menu.isVisible()
    assert hands.window.here.things[0].title == "slot 2 of tray 1"
    texts = [c.text for c in hands.window.here.things[0].commands]
    assert texts == [
        "Pick",
        "Trace",
        "Go to tray 1",
        "Move to ...",
        "Swap with ...",
        "Take apart",
        "Mark as done ...",
        "Record a reading ...",
        "Show in Splices",
    ]


def test_an_empty_place_says_so(hands: Hands) -> None:
    hands.click(QPoint(2, 2), RIGHT)
    assert [a.text() for a in hands.window.here.menu.actions()] == ["Nothing here"]


def test_what_the_list_puts_into_the_line_can_be_read(hands: Hands) -> None:
    refs = [f"tube:tm-b1:{n}" for n in (1, 2, 3, 4)] + ["fibre:tm-b1:14", "fibre:d-1:2", "fibres:tm-b1:13-16>"]
    refs += [f"splice:{key}" for key in hands.plant.splices]
    said = [c for t in things_here(hands.plant, "wb-07", refs) for c in t.commands if c.does == "say"]
    assert len(said) > 12
    for command in said:
        hands.window.control.read(command.value)
        reading = hands.window.control.reading
        assert reading is not None
        # Ready to be finished, or ready to be done; what is joined already says so in the Line.
        fault = reading.error
        assert fault is None or fault.incomplete or "joined" in str(fault), (command.value, str(fault))


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_every_thing_of_every_picture_has_a_name(hands: Hands, name: str) -> None:
    hands.window.document.new(TEMPLATES[name]())
    plant = hands.plant
    for site in plant.sites:
        hands.window.session.go(site)
        for view in (ROUTE, ENCLOSURE, TRAYS, SPLICES):
            hands.window.session.show_view(view)
            refs = list(dict.fromkeys(ref for ref, _, _ in hands.window.boards.current.scene.shown if ref))
            things = things_here(plant, site, refs)
            assert all(thing.title and thing.commands[0].text == "Pick" for thing in things)


def test_a_picked_fibre_lights_its_path_in_every_view_and_esc_puts_it_out(hands: Hands) -> None:
    session, boards = hands.window.session, hands.window.boards
    session.set_pick(["fibre:tm-b1:14"])
    hands.settle()
    assert session.lit
    for view in (ROUTE, ENCLOSURE, TRAYS, SPLICES, TRACE):
        session.show_view(view)
        hands.settle()
        board = boards.current
        drawn = [shape for item in board.scene.shown.values() for shape, _ in walk((item.picture,))]
        if view == ROUTE:
            # From the exchange to WB-07 and over the drop; the span on to Ferry Head is dark.
            under = [item for (_, role, _), item in board.scene.shown.items() if role == "trace"]
            assert len(under) == 2
        elif view == TRACE:
            plan = boards.trace.strip.data.plan
            assert plan is not None
            assert [station.name for station in plan.stations][:2] == ["Quill Lane", "WB-07"]
        else:
            # The light yellow that lies under a traced path and nowhere else.
            assert any(style.TRACE in (shape.pen.stroke, shape.pen.fill) for shape in drawn if hasattr(shape, "pen"))
    session.show_view(ENCLOSURE)
    boards.current.view.setFocus()
    hands.press(Qt.Key.Key_Escape)
    assert (session.lit, session.pick) == ("", ("fibre:tm-b1:14",))
    hands.press(Qt.Key.Key_Escape)
    assert session.pick == ()


def test_picking_a_joint_brings_its_tray_into_sight(hands: Hands) -> None:
    hands.open_sample("larkmoor")
    session, boards = hands.window.session, hands.window.boards
    key = next(iter(hands.plant.splices))
    session.set_pick([f"tray:{next(t.id for t in hands.plant.trays.values() if t.name == '3')}"])
    session.set_pick([f"splice:{key}"])
    assert boards.tray_in_sight() == hands.plant.splices[key].tray


def test_a_bundle_is_called_by_its_numbers_and_side() -> None:
    plant = sample("thistlemere")
    assert title(plant, "fibres:tm-b1:13-16>") == "13-16 of TM-B1, field side"
    assert title(plant, "fibre:tm-b1:14") == "14 OR of TM-B1"


def test_a_place_in_the_picture_and_its_pixel_agree(hands: Hands) -> None:
    view = hands.window.boards.current.view
    at, refs = crossing(hands)
    assert view.things_at(QPointF(view.mapToScene(at))) == refs
