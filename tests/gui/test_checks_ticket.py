"""The fault ticket of the Trace view, worked by keys and mouse on the Marrowfield sample.

Expected marks and bands are those of the scenario, worked by hand: 3359 x 1.4682 / 1.4670 - 150 - 6 = 3205.7 m of
fibre, / 1.018 = 3149.1 m of sheath, mark 4 + 3149.1 = 3153, at the out side of K2; band 3138 to 3169.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from gui.panels.ticket_model import DOWN, UP
from tests.gui.hands import CTRL, LEFT, PLAIN, SHIFT, Hands, at_the_window
from tests.gui.tickets import DOWN_LIST, UP_LIST, child, counts, paste, type_into, whole_ticket


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        made.open_sample("marrowfield")
        yield made


def test_check_24_two_lists_and_a_number_give_the_place_the_mark_and_the_band(hands: Hands) -> None:
    whole_ticket(hands)
    assert counts(hands) == "5 down, 7 up, 0 not known"
    head = hands.window.boards.trace.answer.head
    assert head.head.text() == "Go to K2, out side"
    assert head.mark.text() == "mark 3153"
    assert head.band.text() == "3138 to 3169"
    assert "Route 3085 m" in " ".join(line.text() for line in head.lines)
    assert "3153" in child(hands, "answer").accessibleDescription()
    rows = hands.window.boards.trace.answer.suspects.rows
    assert [row.keys[0] for row in rows] == ["tube_at|loop|2|mf-48.k2", "tube|2|mf-48.k2", "tube_at|entry|2|mf-48.k3"]
    assert [row.second for row in rows] == [
        "the reading lands here",
        "the reading lands at its K2 end",
        "reading would be 4315",  # the scenario: K3 would have shown 4.315 km
    ]


def test_check_24_what_to_test_next_and_whom_not_to_disturb(hands: Hands) -> None:
    whole_ticket(hands)
    data = hands.window.trace.data
    assert "dark fibres 20-24" in data.test
    # The scenario: T1 f3, T3 f25 and f26 go through; C3 and C4 lie on the same tray.
    assert (data.mind_site, data.mind_count) == ("K2", 5)
    assert data.mind == (
        ("T2: 13-14 (C3 C4), joint, tray 1", True),
        ("T1: 3 (C8), uncut tube", False),
        ("T3: 25-26 (C7 C12), uncut tube", False),
    )
    cleared = dict(data.cleared)
    assert cleared["MF-48 sheath, K2 to K3"] == "C7 C8 C12 up"
    assert cleared["MF-48 T2 orange, K3 to K4"] == "C5 C6 not explained"


def test_check_24_the_three_rulers_and_the_strip_stand_on_one_scale(hands: Hands) -> None:
    whole_ticket(hands)
    page = hands.window.boards.trace
    read = {name: next(label for label, _, rank in page.rulers.labels(name) if not rank) for name in
            ("shown", "mark", "route")}  # fmt: skip
    assert read == {"shown": "3359", "mark": "3153", "route": "3085"}
    spots = {(spot.tube, spot.rank) for spot in page.strip.data.spots}
    assert spots == {(2, 1), (2, 2), (2, 3)}
    k2 = next(s for s in page.strip.data.plan.stations if s.name == "K2")  # type: ignore[union-attr]
    before = page.scale.x_of(k2.at_m)
    hands.press(Qt.Key.Key_Plus, CTRL)
    assert page.scale.x_of(k2.at_m) != before
    assert {w.scale for w in (page.strip, page.plot, page.rulers)} == {page.scale}
    hands.press(Qt.Key.Key_0, CTRL)
    assert page.scale.x_of(k2.at_m) == before


def test_check_25_a_service_cleared_to_not_known_is_not_counted_as_up(hands: Hands) -> None:
    paste(hands, DOWN_LIST)
    paste(hands, UP_LIST)
    before = hands.window.trace.answer
    assert before is not None
    assert "c7" in before.up
    table = child(hands, "ticketTable")
    table.setFocus()
    hands.press(Qt.Key.Key_Home, CTRL)
    hands.press(Qt.Key.Key_Down, times=6)
    hands.press(Qt.Key.Key_N)
    assert counts(hands) == "5 down, 6 up, 1 not known"
    after = hands.window.trace.answer
    assert after is not None
    assert "c7" not in (*after.up, *after.down)
    assert hands.window.undo_button.text() == "Undo: C7 is not known"
    # C8 and C12 still clear the sheath beyond K2, C7 does not any more.
    assert dict(hands.window.trace.data.cleared)["MF-48 sheath, K2 to K3"] == "C8 C12 up"
    hands.press(Qt.Key.Key_Z, CTRL)
    assert counts(hands) == "5 down, 7 up, 0 not known"


def test_check_25_with_nobody_up_the_suspects_are_more(hands: Hands) -> None:
    paste(hands, DOWN_LIST)
    few = len(hands.window.boards.trace.answer.suspects.rows)
    paste(hands, UP_LIST)
    assert len(hands.window.boards.trace.answer.suspects.rows) == 3 < few


def test_check_01_a_pick_and_the_place_outlive_the_trace_view(hands: Hands) -> None:
    session = hands.window.session
    session.go("k2")
    session.set_pick(["tube:mf-48:2"])
    whole_ticket(hands)
    for digit in "12345":
        hands.press(Qt.Key(ord(digit)), CTRL)
    assert session.place == "k2"
    assert session.pick == ("tube:mf-48:2",)
    assert hands.window.at_chip.currentText() == "At K2"


def test_keys_d_u_n_and_space_work_the_row_and_the_mouse_the_buttons(hands: Hands) -> None:
    hands.press(Qt.Key.Key_T, CTRL)
    table = hands.window.boards.trace.ticket.table
    assert table.hasFocus()
    hands.press(Qt.Key.Key_D)
    assert counts(hands) == "1 down, 0 up, 11 not known"
    hands.press(Qt.Key.Key_U)
    assert counts(hands) == "0 down, 1 up, 11 not known"
    hands.press(Qt.Key.Key_N)
    assert counts(hands) == "0 down, 0 up, 12 not known"
    for said in ("1 down, 0 up", "0 down, 1 up", "0 down, 0 up"):
        hands.press(Qt.Key.Key_Space)
        assert counts(hands).startswith(said)
    box = table.visualRect(table.services.index(4, DOWN)).center()
    QTest.mouseClick(table.viewport(), LEFT, PLAIN, box)
    assert counts(hands).startswith("1 down, 0 up")
    QTest.mouseClick(table.viewport(), LEFT, PLAIN, table.visualRect(table.services.index(4, UP)).center())
    assert counts(hands).startswith("0 down, 1 up")
    QTest.mouseClick(table.viewport(), LEFT, PLAIN, table.visualRect(table.services.index(4, UP)).center())
    assert counts(hands).startswith("0 down, 0 up")
    assert hands.window.session.pick == ()


def test_a_key_marks_all_chosen_rows_as_one_step(hands: Hands) -> None:
    hands.press(Qt.Key.Key_T, CTRL)
    steps = hands.steps
    hands.press(Qt.Key.Key_Home, CTRL)
    hands.press(Qt.Key.Key_Down, SHIFT, times=3)
    hands.press(Qt.Key.Key_U)
    assert hands.steps == steps + 1
    assert counts(hands).startswith("0 down, 4 up")


def test_names_that_nobody_has_are_told_with_the_nearest_and_stay_in_the_box(hands: Hands) -> None:
    hands.press(Qt.Key.Key_D, CTRL)
    QTest.keyClicks(hands.focus(), "C5, C66")
    box = hands.window.boards.trace.ticket.paste
    assert box.found.text() == "1 down"
    assert "nobody is called 'C66'" in box.bad.text()
    assert "C6" in box.bad.text()
    assert counts(hands).startswith("0 down"), "nothing is changed before it is taken"
    hands.press(Qt.Key.Key_Return, CTRL)
    assert counts(hands).startswith("1 down")
    assert box.isVisible()
    assert box.field.toPlainText() == "C66"
    assert "nobody is called 'C66'" in hands.notices()[-1]


def test_the_line_works_the_same_ticket(hands: Hands) -> None:
    hands.say("down C5 C6; up C1..C4", enter=True)
    assert hands.window.session.view == 4
    assert counts(hands) == "2 down, 4 up, 6 not known"
    hands.say("clear C1 C5", enter=True)
    assert counts(hands) == "1 down, 3 up, 8 not known"
    hands.say("read MF-48:17 3359", enter=True)
    assert hands.window.trace.state.shot.shown == 3359  # type: ignore[union-attr]
    assert hands.window.undo_button.text() == "Undo: read MF-48 fibre 17 at 3359"


def test_a_number_that_is_none_is_refused_in_its_place_and_changes_nothing(hands: Hands) -> None:
    whole_ticket(hands)
    steps = hands.steps
    for name, text, words in (
        ("index set", "14.682", "no group index"),
        ("shown end", "3 359", "two ways"),
        ("fibre read", "MF-49:17", "MF-49"),
        ("launch lead", "long", "no number"),
    ):
        type_into(hands, name, text)
        assert words in child(hands, "readingFault").text(), name  # type: ignore[attr-defined]
        hands.press(Qt.Key.Key_Escape)
    assert hands.steps == steps
    assert hands.window.boards.trace.answer.head.mark.text() == "mark 3153"


def test_a_reading_beyond_the_path_says_so_in_the_answer(hands: Hands) -> None:
    paste(hands, DOWN_LIST)
    type_into(hands, "shown end", "9999")
    assert "beyond the end of the path" in child(hands, "readingFault").text()  # type: ignore[attr-defined]
    assert hands.window.boards.trace.answer.head.mark.isHidden()


def test_an_empty_ticket_and_no_path_say_what_to_do(hands: Hands) -> None:
    hands.press(Qt.Key.Key_5, CTRL)
    page = hands.window.boards.trace
    assert page.strip.data.plan is None
    assert page.strip.accessibleDescription() == "Pick a fibre, or say trace D-1:3"
    hands.press(Qt.Key.Key_T, CTRL)
    assert page.ticket.empty.isVisible()
    assert page.ticket.empty.text() == "Mark who is down. Not pressed means not known"


def test_without_a_ticket_the_hops_of_the_path_stand_at_the_left_with_their_running_loss(hands: Hands) -> None:
    hands.say("trace service:C9", enter=True)
    page = hands.window.boards.trace
    rows = page.ticket.hops.rows
    assert page.ticket.hops.isVisible()
    assert rows[0].title == "Mated pair"
    losses = [float(row.loss.split()[0]) for row in rows]
    assert losses == sorted(losses)
    # 2.61 dB over all at 1310: 4.883 km x 0.35 + two pairs 0.6 + pigtails and splice 0.3 (planning values).
    assert losses[-1] == pytest.approx(4.883 * 0.35 + 0.6 + 0.3, abs=0.01)
    assert [wave for wave, _ in page.answer.data.losses] == ["1310 nm", "1550 nm"]
    assert not page.form.isVisible()


def test_the_docks_are_away_in_the_trace_view_and_back_in_the_others(hands: Hands) -> None:
    parts = hands.window.docks["Parts"]
    assert parts.isVisible()
    hands.press(Qt.Key.Key_5, CTRL)
    assert not parts.isVisible()
    hands.press(Qt.Key.Key_F7)
    assert parts.isVisible()
    hands.press(Qt.Key.Key_2, CTRL)
    assert parts.isVisible()
    hands.press(Qt.Key.Key_5, CTRL)
    assert parts.isVisible(), "who brought them to the Trace view finds them there again"


def test_show_inside_goes_to_the_box_of_the_suspect(hands: Hands) -> None:
    whole_ticket(hands)
    suspects = child(hands, "suspects")
    suspects.setFocus()
    hands.press(Qt.Key.Key_End)
    inside = child(hands, "showInside")
    QTest.mouseClick(inside, LEFT)
    assert hands.window.session.view == 1
    assert hands.window.session.place == "k3"
    assert "tube:mf-48:2" in hands.window.session.pick


def test_the_cursors_are_walked_by_keys_and_read_off_the_slope_of_the_glass(hands: Hands) -> None:
    hands.say("trace service:C9", enter=True)
    plot = hands.window.boards.trace.plot
    plot.setFocus()
    here = plot.cursors.a_m
    hands.press(Qt.Key.Key_Right, SHIFT)
    assert plot.cursors.a_m == here + 10
    hands.press(Qt.Key.Key_Space)
    there = plot.cursors.b_m
    hands.press(Qt.Key.Key_Left)
    assert plot.cursors.b_m == there - 1
    read = plot.readout()
    # 0.35 dB/km at 1310 is the planning value of the cable.
    assert read.two_point_db == pytest.approx(read.length_m * 0.35 / 1000, abs=1e-6)
    assert "expected" in read.words


def test_several_tickets_are_stepped_through_and_one_can_be_put_away(hands: Hands) -> None:
    hands.say("down C5", enter=True)
    hands.press(Qt.Key.Key_T, CTRL | Qt.KeyboardModifier.AltModifier)
    session = hands.window.session
    assert [t.number for t in hands.plant.tickets.values()] == ["1", "2"]
    assert session.ticket == "ticket-2"
    hands.press(Qt.Key.Key_T, CTRL)
    assert session.ticket == "ticket-1"
    assert counts(hands).startswith("1 down")
    hands.window.actions_by_key["put_away"].trigger()
    assert session.ticket is None
    hands.press(Qt.Key.Key_Z, CTRL, times=2)
    assert not hands.plant.tickets


def test_the_fault_sheet_of_the_ticket_is_drawn_beside_the_window_and_saved(
    hands: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole_ticket(hands)
    out = hands.folder / "fault.svg"
    # The system's own file chooser is the one window a person sees besides this one.
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    hands.press(Qt.Key.Key_P, CTRL)
    hands.qtbot.waitUntil(out.exists, timeout=20_000)
    drawn = out.read_text(encoding="utf-8")
    assert "3153" in drawn
    assert "K2" in drawn
    assert child(hands, "printFault").isVisible()


def test_without_anybody_down_there_is_no_fault_sheet_and_it_says_why(hands: Hands) -> None:
    hands.press(Qt.Key.Key_T, CTRL)
    hands.press(Qt.Key.Key_P, CTRL | SHIFT)
    assert "Mark who is down first" in hands.notices()[-1]
    assert not child(hands, "printFault").isVisible()


def test_f6_walks_ticket_reading_strip_plot_and_answer(hands: Hands) -> None:
    whole_ticket(hands)
    child(hands, "ticketTable").setFocus()
    names = []
    for _ in range(5):
        hands.press(Qt.Key.Key_F6)
        names.append(hands.focus().objectName())
    assert names == ["field shown end", "pathStrip", "lossPlot", "answer", "suspects"]


def test_the_limits_strip_says_how_well_the_suspects_fit_while_the_ticket_is_in_sight(hands: Hands) -> None:
    whole_ticket(hands)
    shown = {gauge.label: f"{gauge.value} {gauge.of}" for gauge in hands.window.trace.gauges(hands.window._gauges)}
    assert shown["Downs explained"] == "5 of 5"
    assert shown["Ups against it"] == "0 of 7"
    assert shown["Band, printed marks"] == "\u00b1 16 m of 50 most"
    assert shown["Live beside the work"] == "5 at K2"
    # Two trays of 24, two joints on them.
    assert shown["Slots for a repair, K2"] == "46 of 48 free"
    hands.press(Qt.Key.Key_2, CTRL)
    assert all("Downs" not in gauge.label for gauge in hands.window.trace.gauges(hands.window._gauges))


@pytest.mark.parametrize(("wide", "high", "large"), [(1600, 1000, False), (1024, 700, True), (1280, 760, False)])
def test_the_mark_and_its_band_are_never_cut_off(hands: Hands, wide: int, high: int, large: bool) -> None:
    whole_ticket(hands)
    hands.window.resize(wide, high)
    hands.window.set_large(large)
    hands.window.boards.trace.show_side("answer")
    hands.settle()
    head = hands.window.boards.trace.answer.head
    for label in (head.mark, head.band, head.head):
        assert label.isVisible()
        assert label.width() >= label.minimumSizeHint().width()
    strip = hands.window.boards.trace.strip
    assert strip.height() >= strip.minimumSizeHint().height()


def test_suspects_are_hatched_on_the_route_and_inside_the_box(hands: Hands) -> None:
    whole_ticket(hands)
    boards = hands.window.boards
    hands.press(Qt.Key.Key_1, CTRL)
    # A frame around K2 and one around K3, and a band between them.
    assert len(boards.current.overlay.suspects) == 3
    hands.window.session.go("k2")
    hands.press(Qt.Key.Key_2, CTRL)
    assert boards.current.overlay.suspects
    hands.window.session.go("k1")
    assert not boards.current.overlay.suspects
    hands.window.actions_by_key["put_away"].trigger()
    hands.window.session.go("k2")
    assert not boards.current.overlay.suspects


def test_a_second_reading_from_the_other_end_is_held_against_the_first(hands: Hands) -> None:
    whole_ticket(hands)
    steps = hands.steps
    QTest.mouseClick(child(hands, "otherEnd"), LEFT)
    assert hands.steps == steps, "nothing is changed before a number is typed"
    # From the house of C9: 30 m of drop x 1.02 and (4765 - 3153.06) m of sheath x 1.018 are 1671.6 m of fibre.
    type_into(hands, "index set", "1.4670")
    type_into(hands, "shown end", "1671.6")
    ticket = next(iter(hands.plant.tickets.values()))
    assert [(shot.from_side, shot.shown) for shot in ticket.shots] == [("<", 3359.0), (">", 1671.6)]
    head = hands.window.boards.trace.answer.head
    assert head.mark.text() == "mark 3153"
    assert any("one cut" in line.text() for line in head.lines)


def test_a_second_reading_made_ready_is_forgotten_with_another_ticket(hands: Hands) -> None:
    whole_ticket(hands)
    QTest.mouseClick(child(hands, "otherEnd"), LEFT)
    form = hands.window.boards.trace.form
    assert (form.data.from_side, form.data.shown) == (">", None)
    hands.press(Qt.Key.Key_T, CTRL | Qt.KeyboardModifier.AltModifier)
    hands.settle()
    assert form.data.from_side == "<", "the new ticket has no reading yet, and none is made ready"


def test_a_new_ticket_starts_with_the_settings_of_the_instrument(hands: Hands) -> None:
    whole_ticket(hands)
    hands.press(Qt.Key.Key_T, CTRL | Qt.KeyboardModifier.AltModifier)
    hands.press(Qt.Key.Key_D)
    type_into(hands, "shown end", "1000")
    shot = hands.plant.tickets["ticket-2"].shots[0]
    assert (shot.index, shot.lead_m, shot.shown) == (1.4682, 150.0, 1000.0)


def test_the_strip_is_walked_by_arrows_and_lists_what_is_here(hands: Hands) -> None:
    whole_ticket(hands)
    strip = hands.window.boards.trace.strip
    strip.setFocus()
    hands.press(Qt.Key.Key_Home)
    hands.press(Qt.Key.Key_Right, times=2)
    hands.press(Qt.Key.Key_Return)
    assert hands.window.session.place == "k2"
    hands.press(Qt.Key.Key_F10, SHIFT)
    assert [thing.ref for thing in hands.window.here.things] == ["site:k2"]
    hands.window.here.menu.close()


def test_every_service_hangs_in_sight_and_only_under_sites_in_sight(hands: Hands) -> None:
    whole_ticket(hands)
    strip = hands.window.boards.trace.strip
    hands.window.trace.tickets.hear(["c7"], "unknown")
    hands.settle()
    said = {name for chip in strip.laid().chips for name in chip.names}
    assert said == {f"C{n}" for n in range(1, 13)}
    lowest = max(chip.row for chip in strip.laid().chips)
    assert strip.height() >= strip.minimumSizeHint().height() > lowest * 25
    boxes = [(chip.row, chip.left, chip.left + chip.wide) for chip in strip.laid().chips]
    assert not any(a[0] == b[0] and a[1] < b[2] and b[1] < a[2] for a in boxes for b in boxes if a is not b)
    assert all(8 <= left < right <= strip.width() - 8 for _, left, right in boxes), "none touches the edge"
    hands.window.boards.trace.scale.show(3100, 3300)
    assert {name for chip in strip.laid().chips for name in chip.names} == {"C3", "C4"}


def test_coming_to_the_trace_view_keys_go_to_the_services_or_the_strip_and_not_into_a_field(hands: Hands) -> None:
    hands.window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_5, CTRL)
    assert hands.focus().objectName() == "pathStrip"
    hands.press(Qt.Key.Key_2, CTRL)
    hands.window.parts.tree.setFocus()
    hands.say("down C5", enter=True)
    hands.press(Qt.Key.Key_2, CTRL)
    hands.window.parts.tree.setFocus()
    hands.press(Qt.Key.Key_5, CTRL)
    assert hands.focus().objectName() == "ticketTable"
