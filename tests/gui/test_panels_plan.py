"""The Plan panel by keys alone: a question, its ranked ways, one applied as one step, or dropped."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from model.edits.parts import Replace
from model.history import History
from model.planning import open_tubes
from model.plant import Plant
from model.trace import services_by_node
from tests.gui.hands import ALT, CTRL, SHIFT, Hands, at_the_window, sample, uncut_larkmoor
from tests.model.planning.boxes import Facts, box_plant, drop_ends


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def two_ways() -> Plant:
    """Tubes of 6, 4 and 4 with fibre 1 live, five drops: two dark tubes, or one beside the live fibre."""
    return box_plant(Facts((6, 4, 4), live={1}, wanted=5, trays=3))


def ways(hands: Hands) -> list[str]:
    listed = hands.window.planning.panel.ways
    return [listed.item(n).text() for n in range(listed.count())]


def why(hands: Hands) -> str:
    return hands.window.planning.panel.why.toPlainText()


def rows(hands: Hands) -> list[tuple[str, str]]:
    """The joints that Enter would make or move."""
    shown = hands.window.control.reading
    return [(row.a, row.b) for row in shown.rows] if shown is not None else []


def test_a_key_asks_which_tubes_to_open_and_enter_does_the_best_way_as_one_step(hands: Hands) -> None:
    hands.open_plant(two_ways())
    panel = hands.window.planning.panel
    before = hands.plant.copy()
    assert not panel.isVisible()
    hands.press(Qt.Key.Key_K, CTRL)
    assert panel.isVisible()
    assert hands.focus().objectName() == "planDrops"
    assert hands.window.line.text() == "plan drops all from CAB-1"
    assert len(ways(hands)) == 2
    assert "live fibres beside the work: 0, tubes opened: 2" in ways(hands)[0]
    assert "tube 1 is left alone: 1 live (1)" in why(hands)
    assert rows(hands) == [(f"CAB-1:{n}", f"D-{n - 6}:1") for n in range(7, 12)]
    assert hands.window.boards.preview is hands.window.control.reading
    assert any(gauge.data_shown.touched for gauge in hands.window.limits.gauges)
    assert hands.plant == before
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    assert hands.window.document.history.undo_name == "join CAB-1:7-11 at Box"
    assert not panel.isVisible()
    assert hands.focus() is hands.window.boards.front
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.plant == before


def test_the_panel_shows_what_the_planner_answers(hands: Hands) -> None:
    hands.open_plant(two_ways())
    hands.press(Qt.Key.Key_K, CTRL)
    document = hands.window.document
    stop = document.plant.cables["c"].stops[1].id
    plan = hands.window.planning.panel.plan
    assert plan is not None
    wanted = drop_ends(Facts((6, 4, 4), wanted=5))
    assert plan.ways == open_tubes(document.continuity, "c", stop, wanted)
    for line in (*plan.ways[0].reasons, *plan.ways[0].left_alone):
        assert line in why(hands)


def test_another_way_is_chosen_by_an_arrow_and_done_by_enter(hands: Hands) -> None:
    hands.open_plant(two_ways())
    hands.press(Qt.Key.Key_K, CTRL)
    listed = hands.window.planning.panel.ways
    for _ in range(12):
        if hands.focus() is listed:
            break
        hands.press(Qt.Key.Key_Tab)
    assert hands.focus() is listed
    hands.press(Qt.Key.Key_Down)
    assert hands.window.line.text() == "plan drops all from CAB-1 take 2"
    assert rows(hands) == [(f"CAB-1:{n}", f"D-{n - 1}:1") for n in range(2, 7)]
    assert "1 tube fewer" in why(hands)
    assert hands.steps == 0
    live = services_by_node(hands.window.document.continuity)
    # It lies beside live glass: the first Enter holds and names who, the second does it.
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 0
    assert "V1 is live in the tubes worked on" in hands.window.readback.data.chips[-1].text
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    assert hands.plant.cables["c"].stops[1].outage.startswith("confirmed by ")
    assert {s.a.fibre for s in hands.plant.splices.values()} == {2, 3, 4, 5, 6}  # type: ignore[union-attr]
    after = services_by_node(hands.window.document.continuity)
    assert {key for keys in after.values() for key in keys} == {key for keys in live.values() for key in keys}


def test_esc_drops_the_proposal_and_nothing_is_changed(hands: Hands) -> None:
    hands.open_plant(two_ways())
    before = hands.plant.copy()
    gauges = [gauge.data_shown for gauge in hands.window.limits.gauges]
    hands.press(Qt.Key.Key_K, CTRL)
    hands.press(Qt.Key.Key_Escape)
    assert not hands.window.planning.panel.isVisible()
    assert hands.window.line.text() == ""
    assert hands.focus() is hands.window.boards.front
    assert hands.plant == before
    assert hands.steps == 0
    assert [gauge.data_shown for gauge in hands.window.limits.gauges] == gauges


def test_fields_say_the_line_and_the_line_fills_the_fields(hands: Hands) -> None:
    hands.open_plant(two_ways())
    hands.press(Qt.Key.Key_K, CTRL)
    form = hands.window.planning.panel.form
    hands.press(Qt.Key.Key_A, CTRL)
    hands.type("D-2,D-1")
    assert hands.window.line.text() == "plan drops D-2,D-1 from CAB-1"
    hands.press(Qt.Key.Key_Tab)
    hands.press(Qt.Key.Key_Tab)
    assert hands.focus().objectName() == "planKeep"
    hands.type("3")
    assert hands.window.line.text() == "plan drops D-2,D-1 from CAB-1 keep 3"
    # One fibre each of tubes 2 and 3 can be had with three kept.
    assert rows(hands) == [("CAB-1:7", "D-2:1"), ("CAB-1:11", "D-1:1")]
    hands.press(Qt.Key.Key_L, CTRL)
    hands.press(Qt.Key.Key_A, CTRL)
    hands.type("plan drops D-3 from CAB-1 skip 7 ports 1-20")
    assert (form.drops.text(), form.keep.text(), form.skip.text(), form.ports.text()) == ("D-3", "", "7", "1-20")


def test_a_question_typed_in_the_line_opens_the_panel_and_leaves_the_focus(hands: Hands) -> None:
    hands.open_plant(uncut_larkmoor())
    hands.say("plan stubs")
    panel = hands.window.planning.panel
    assert panel.isVisible()
    assert hands.window.line.hasFocus()
    assert panel.form.kinds["stubs"].isChecked()
    hands.press(Qt.Key.Key_Escape)
    assert not panel.isVisible()
    hands.say("go tray 1")
    assert not panel.isVisible()


def test_what_cannot_be_planned_is_said_in_the_panel(hands: Hands) -> None:
    hands.open_plant(two_ways())
    hands.press(Qt.Key.Key_K, CTRL)
    hands.press(Qt.Key.Key_A, CTRL)
    hands.type("D-9")
    panel = hands.window.planning.panel
    assert panel.isVisible()
    assert "no cable is called 'D-9'" in why(hands)
    assert not panel.apply.isEnabled()
    before = hands.plant.copy()
    hands.press(Qt.Key.Key_Return)
    assert hands.plant == before
    assert hands.steps == 0


def test_trays_and_loose_glass_have_keys_of_their_own(hands: Hands) -> None:
    history = History(sample("thistlemere"))
    for splice in list(history.plant.splices.values()):
        history.do(Replace(replace(splice, slot=5 - (splice.slot or 0)), "turn round"))
    hands.open_plant(history.plant)
    hands.press(Qt.Key.Key_K, CTRL | SHIFT)
    assert hands.window.line.text() == "plan trays by tube keep 10"
    assert hands.focus().objectName() == "planBy"
    assert "0 crossings, 12 as they lie now" in why(hands)
    hands.press(Qt.Key.Key_Down)
    assert hands.window.line.text() == "plan trays by service keep 10"
    hands.press(Qt.Key.Key_Return)
    assert hands.steps == 1
    assert {s.slot: s.a.fibre for s in hands.plant.splices.values()} == {1: 13, 2: 14, 3: 15, 4: 16}  # type: ignore[union-attr]
    hands.press(Qt.Key.Key_K, CTRL | ALT)
    assert hands.window.line.text() == "plan stubs"
    assert "All loose glass has its place" in why(hands)


def test_picked_drops_and_cable_are_what_is_asked_about(hands: Hands) -> None:
    hands.open_plant(two_ways())
    hands.window.session.set_pick(["cable:d2", "fibre:d4:1"])
    hands.press(Qt.Key.Key_K, CTRL)
    assert hands.window.line.text() == "plan drops D-2,D-4 from CAB-1"


@pytest.mark.parametrize("large", [False, True])
def test_in_a_small_window_the_panel_gives_way(hands: Hands, large: bool) -> None:
    hands.open_plant(uncut_larkmoor())
    hands.window.set_large(large)
    hands.window.resize(1024, 768)
    hands.settle()
    least = hands.window.minimumSizeHint().width()
    hands.press(Qt.Key.Key_K, CTRL)
    hands.settle()
    panel = hands.window.planning.panel
    assert hands.window.minimumSizeHint().width() == least
    assert panel.isVisible()
    assert hands.focus() is (panel.ways if panel.width() < panel._skin.px(720) else panel.form.drops)
    for button in (*panel.form.kinds.values(), panel.apply):
        assert button.fontMetrics().horizontalAdvance(button.text()) <= button.width() - 16
