"""The three forms of the Splices view: they count the same, say UNCUT, share the pick and are remembered."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.app import make_window
from gui.panels.joint_rows import count_of, joint_rows
from model.edits.recording import Measure
from model.entities import Reading
from model.graph import Continuity
from model.history import History
from model.ids import SpliceId
from model.numbers import from_text
from model.templates import TEMPLATES
from render.drawing import Group, Text, walk
from tests.gui.hands import CTRL, LEFT, PLAIN, SHIFT, Hands, at_the_window, sample

SPLICES = 3


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    """Hands at Larkmoor's Splices view: 10 joints, tube 3 cut, five tubes uncut."""
    with at_the_window(qtbot, tmp_path) as found:
        found.open_sample("larkmoor")
        found.window.session.show_view(SPLICES)
        found.settle()
        yield found


def show(hands: Hands, form: str) -> None:
    """Press a button of the switch."""
    QTest.mouseClick(hands.window.boards.splices.switch.buttons[form], LEFT)
    hands.settle()


def groups(hands: Hands) -> list[Group]:
    """The groups in the picture."""
    return [item.picture for item in hands.window.boards.boards[SPLICES].scene.shown.values()]


def words_of(group: Group) -> list[str]:
    """The lettering in a group."""
    return [shape.content for shape, _ in walk((group,)) if isinstance(shape, Text)]


def joints_drawn(hands: Hands) -> int:
    """Slots that the plates of the picture name."""
    plates = [words_of(group)[0] for group in groups(hands) if group.role == "slot"]
    return sum(len(from_text(text.replace(" ", ""))) for text in plates)


def tubes_said_uncut(hands: Hands) -> list[str]:
    """Refs of the tubes whose bar says UNCUT."""
    return sorted(
        group.ref for group in groups(hands) if group.role == "express" and any("UNCUT" in w for w in words_of(group))
    )


def test_check_22_bundled_opened_and_rows_agree_in_counts_and_all_say_uncut(hands: Hands) -> None:
    boards = hands.window.boards
    uncut = [f"tube:lm-a1:{tube}" for tube in (1, 2, 4, 5, 6)]  # tube 3 of six is the one that is cut
    for form in ("bundled", "opened"):
        show(hands, form)
        assert boards.splices.front is boards.boards[SPLICES].view
        assert joints_drawn(hands) == 10, form
        assert tubes_said_uncut(hands) == uncut, form
    show(hands, "rows")
    table = boards.splices.table
    assert table.isVisible()
    cells = [
        [str(table.joints.data(table.joints.index(r, c))) for c in range(6)] for r in range(table.joints.rowCount())
    ]
    assert sum(1 for row in cells if row[0].startswith("2 / ")) == 10
    said = [row for row in cells if row[0] == "UNCUT"]
    assert len(said) == 5
    assert {row[4] for row in said} == {"UNCUT 12"}
    # Tube 3: 10 joined and 2 stubs on side A, 12 stubs on side B.
    assert boards.splices.counts.text() == "10 joints, 5 tubes UNCUT, 14 stubs"


def test_check_22_holds_for_a_loop_in_an_opened_tube(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    boards = hands.window.boards
    for form in ("bundled", "opened"):
        show(hands, form)
        assert joints_drawn(hands) == 4
        loud = [w for g in groups(hands) if g.role == "loud-tag" for w in words_of(g)]
        assert loud == ["UNCUT IN OPENED TUBE 17-24"], form
        assert len(tubes_said_uncut(hands)) == 3
    show(hands, "rows")
    rows = boards.splices.table.joints.rows
    assert [row.cells[4] for row in rows if row.kind == "loop"] == ["UNCUT 8"]
    assert boards.splices.counts.text() == "4 joints, 3 tubes UNCUT, 8 fibres UNCUT in opened tubes, 4 stubs"


def test_bundled_is_fewer_strands_than_opened(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    show(hands, "bundled")
    plates = [words_of(group)[0] for group in groups(hands) if group.role == "slot"]
    assert plates == ["1-4"]
    show(hands, "opened")
    plates = [words_of(group)[0] for group in groups(hands) if group.role == "slot"]
    assert plates == ["1", "2", "3", "4"]


def test_a_row_picks_its_joint_and_a_pick_chooses_its_row(hands: Hands) -> None:
    show(hands, "rows")
    table, session = hands.window.boards.splices.table, hands.window.session
    third = next(i for i, row in enumerate(table.joints.rows) if row.cells[0] == "2 / 3")
    QTest.mouseClick(table.viewport(), LEFT, PLAIN, table.visualRect(table.joints.index(third, 1)).center())
    (ref,) = session.pick
    key = ref.partition(":")[2]
    assert hands.plant.splices[key].slot == 3
    assert session.lit
    session.set_pick(["fibre:d-05:1"])
    (chosen,) = {index.row() for index in table.selectionModel().selectedRows()}
    assert table.joints.rows[chosen].cells[0] == "2 / 5"
    session.set_pick(["tube:lm-a1:6"])
    (chosen,) = {index.row() for index in table.selectionModel().selectedRows()}
    assert table.joints.rows[chosen].kind == "uncut"


def test_arrows_walk_the_rows(hands: Hands) -> None:
    show(hands, "rows")
    table = hands.window.boards.splices.table
    table.setFocus()
    hands.press(Qt.Key.Key_Down)
    hands.press(Qt.Key.Key_Down)
    (ref,) = hands.window.session.pick
    assert ref == table.joints.rows[table.currentIndex().row()].ref


def test_keys_change_the_form_and_the_menu_shows_which_it_is(hands: Hands) -> None:
    boards, actions = hands.window.boards, hands.window.actions_by_key
    boards.current.view.setFocus()
    hands.press(Qt.Key.Key_B, CTRL)
    assert boards.splices.form == "opened"
    assert actions["unfold"].isChecked()
    hands.press(Qt.Key.Key_B, CTRL | SHIFT)
    assert boards.splices.form == "rows"
    assert (actions["unfold"].isChecked(), actions["rows"].isChecked()) == (False, True)
    assert boards.splices.table.hasFocus()
    hands.press(Qt.Key.Key_B, CTRL | SHIFT)
    assert boards.splices.form == "bundled"
    assert boards.current.view.hasFocus()


def test_the_form_is_remembered(hands: Hands, qtbot: QtBot) -> None:
    show(hands, "rows")
    other = make_window(hands.settings, hands.folder / "other logs")
    assert other.boards.splices.form == "rows"
    assert other.actions_by_key["rows"].isChecked()
    other.deleteLater()


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_every_fibre_that_stops_at_a_site_is_in_its_rows(name: str) -> None:
    plant = TEMPLATES[name]()
    graph = Continuity(plant)
    for site in plant.sites:
        rows = joint_rows(graph, site)
        assert count_of(rows).joints == sum(1 for s in plant.splices.values() if s.site == site)
        assert count_of(rows).plugs == sum(1 for m in plant.matings.values() if plant.ports[m.port].site == site)


def test_a_place_without_joints_says_what_to_type(hands: Hands) -> None:
    plant = sample("larkmoor")
    assert joint_rows(Continuity(plant), None) == []
    hands.window.session.go(None)
    assert hands.window.boards.splices.counts.text() == "no joints yet"


def test_rows_show_what_a_typed_line_would_make_without_counting_it(hands: Hands) -> None:
    show(hands, "rows")
    hands.say("join LM-A1:35 to LM-A1:25> on tray 1")
    table = hands.window.boards.splices.table
    first = table.joints.rows[0]
    assert (first.kind, first.cells[0], first.cells[4]) == ("preview", "1 / 1", "preview, new")
    assert hands.window.boards.splices.counts.text() == "10 joints, 5 tubes UNCUT, 14 stubs"
    hands.press(Qt.Key.Key_Escape)
    assert table.joints.rows[0].kind == "uncut"


def test_a_joint_has_a_filled_dot_in_the_rows_once_it_is_made() -> None:
    history = History(sample("thistlemere"))
    first = next(SpliceId(s.id) for s in history.plant.splices.values() if s.slot == 1)
    readings = Reading(1550, "A-B", 0.04), Reading(1550, "B-A", 0.06)
    history.do(Measure(((first, readings),)))
    found = [row for row in joint_rows(Continuity(history.plant), "wb-07") if row.kind == "joint"]
    assert [row.cells[4] for row in found] == ["\u25cf done", *["\u25cb planned"] * 3]
    assert [row.cells[5] for row in found] == ["meas. 0.05", *["plan 0.10"] * 3]
    assert found[0].spoken.endswith("done")
    assert found[1].spoken.endswith("joint not made")


def test_a_place_with_nothing_to_join_says_so_in_words_of_a_readable_size(hands: Hands) -> None:
    hands.window.session.go(None)
    hands.settle()
    view = hands.window.boards.boards[SPLICES].view
    words = next(s for g in groups(hands) for s, _ in walk((g,)) if isinstance(s, Text))
    # Capitals between 12 and 32 pixels: lettering of the window is 10 pixels high, its largest 20.
    assert 12 <= words.height * view.scale_px <= 32
    assert view.visible_mm().contains(view.drawing.bounds())


def test_a_long_schematic_is_shown_readable_from_its_top_and_fit_shows_all_of_it(hands: Hands) -> None:
    hands.open_sample("bramblecote")
    hands.window.session.go("bc-5")
    show(hands, "opened")
    view = hands.window.boards.boards[SPLICES].view
    box = view.drawing.bounds()
    assert box.height() > 3 * box.width()
    # Labels of 2.5 mm are at least 6 pixels high.
    assert 2.5 * view.scale_px >= 6.0
    assert view.visible_mm().top() <= box.top() <= view.visible_mm().top() + 30.0
    view.setFocus()
    hands.press(Qt.Key.Key_0, CTRL)
    assert view.visible_mm().contains(box)
