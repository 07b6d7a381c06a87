"""The window around the pictures: places, start page, night and large, sheets to files and to a printer."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QFileDialog, QMenu, QWidget
from pytestqt.qtbot import QtBot

from gui.actions import COMMANDS
from gui.filework import print_drawings
from gui.lit_refs import reference_of
from gui.theme import DAY, NIGHT
from model.entities import FibreEnd
from model.graph import node_end
from model.nodes import node_of
from model.trace import trace
from render.sheet_set import Request, drawings
from tests.gui.hands import CTRL, SHIFT, Hands, at_the_window

OBJECT_NAMES = (
    "viewTabs",
    "line",
    "readback",
    "notice",
    "atChip",
    "undoButton",
    "redoButton",
    "sheetButton",
    "nightButton",
    "parts",
    "details",
    "findings",
    "limits",
    "canvas",
    "splicePicture",
    "pathStrip",
    "startPage",
)


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def dark(widget: QWidget) -> float:
    """Mean darkness of a grab, 0 white to 1 black."""
    image = widget.grab().toImage().scaled(60, 40).convertToFormat(QImage.Format.Format_Grayscale8)
    values = [image.pixelColor(x, y).value() for x in range(60) for y in range(40)]
    return 1.0 - sum(values) / len(values) / 255.0


def test_every_command_is_in_a_menu_and_no_key_is_given_twice(hands: Hands) -> None:
    menus = [menu for menu in hands.window.menuBar().findChildren(QMenu) if menu.objectName().startswith("menu")]
    assert len(menus) == len({command.menu for command in COMMANDS})
    listed = [action for menu in menus for action in menu.actions() if not action.isSeparator()]
    assert {action.objectName() for action in listed} == {f"action {c.key}" for c in COMMANDS if c.text}
    keys = [key.toString() for action in listed for key in action.shortcuts()]
    assert len(keys) == len(set(keys))


def test_widgets_carry_the_names_that_scripts_and_screen_readers_use(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    for name in OBJECT_NAMES:
        found = hands.window.findChild(QWidget, name)
        assert found is not None, name
        # A button's own words are its name for a screen reader where it has no other.
        assert found.accessibleName() or getattr(found, "text", str)() or name == "startPage", name


def test_the_at_chip_lists_every_site_and_goes_there_by_keys(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    chip = hands.window.at_chip
    texts = [chip.itemText(index) for index in range(chip.count())]
    assert texts[0] == "Whole plant"
    assert {text.removeprefix("At ") for text in texts[1:]} == {site.name for site in hands.plant.sites.values()}
    chip.setFocus()
    hands.press(Qt.Key.Key_Down)
    place = hands.window.session.place
    assert place == chip.currentData()
    assert place != "wb-07"
    hands.press(Qt.Key.Key_Home)
    assert hands.window.session.place is None
    hands.press(Qt.Key.Key_Down)
    assert hands.window.session.place == "wb-07"


@pytest.mark.parametrize("view", "12345")
def test_every_view_of_every_place_is_drawn_without_a_fault(hands: Hands, view: str) -> None:
    for name in ("thistlemere", "larkmoor"):
        hands.open_sample(name)
        hands.press(Qt.Key(ord(view)), CTRL)
        if view == "5":
            hands.window.boards.trace.show_sheet(True)
        for site in (None, *hands.plant.sites):
            hands.window.session.go(site)
            assert not hands.window.boards.current.stale
    assert not any("last picture" in text for text in hands.notices())


def test_go_in_the_line_moves_the_place_and_the_chip_follows(hands: Hands) -> None:
    hands.open_sample("larkmoor")
    hands.say('go "Penny Cross"', enter=True)
    assert hands.window.session.place == "penny-cross"
    assert hands.window.at_chip.currentText() == "At Penny Cross"


def test_the_start_page_is_worked_by_keys_alone(hands: Hands) -> None:
    start = hands.window.start
    assert start.isVisible()
    assert start.isAncestorOf(hands.focus())
    seen = []
    for _ in range(40):
        focus = hands.focus()
        if focus in seen:
            break
        seen.append(focus)
        hands.press(Qt.Key.Key_Tab)
    names = {widget.objectName() for widget in seen}
    assert {"openPlant", "emptyPlant"} <= names
    assert hands.window.findChild(QWidget, "templateGrid") is not None
    grid = next(widget for widget in seen if "template" in widget.objectName().lower())
    grid.setFocus()
    hands.press(Qt.Key.Key_Return)
    assert hands.window.document.is_open
    assert hands.plant.enclosures
    assert not start.isVisible()


def test_a_recent_plant_is_opened_by_keys(qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        path = hands.open_sample("larkmoor")
    with at_the_window(qtbot, tmp_path) as again:
        for _ in range(30):
            if again.focus() is again.window.start.recent:
                break
            again.press(Qt.Key.Key_Tab)
        assert again.focus() is again.window.start.recent
        again.press(Qt.Key.Key_Return)
        assert again.window.document.path is not None
        assert again.window.document.path.resolve() == path.resolve()


def test_an_empty_plant_by_its_key_has_every_view_without_a_fault(hands: Hands) -> None:
    hands.press(Qt.Key.Key_N, CTRL)
    assert hands.window.document.is_open
    for view in "12345":
        hands.press(Qt.Key(ord(view)), CTRL)
    hands.press(Qt.Key.Key_F8)
    assert hands.window.isVisible()
    assert not any("last picture" in text for text in hands.notices())


def test_night_turns_everything_dark_and_is_remembered(qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.open_sample("thistlemere")
        assert dark(hands.window) < 0.35
        hands.press(Qt.Key.Key_N, CTRL | SHIFT)
        assert hands.window.tokens is NIGHT
        assert dark(hands.window) > 0.65
        assert hands.window.night_button.isChecked()
        hands.press(Qt.Key.Key_Q, CTRL)
    with at_the_window(qtbot, tmp_path) as again:
        assert again.window.tokens is NIGHT
        again.press(Qt.Key.Key_N, CTRL | SHIFT)
        assert again.window.tokens is DAY


def test_large_lettering_grows_and_keeps_night_and_pick(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.pick_tube()
    before = hands.window.line.fontMetrics().height()
    hands.press(Qt.Key.Key_N, CTRL | SHIFT)
    hands.press(Qt.Key.Key_L, CTRL | SHIFT)
    assert hands.window.large
    hands.settle()
    assert hands.window.line.fontMetrics().height() > before * 1.15
    assert hands.window.tokens is NIGHT
    assert hands.window.session.pick == ("tube:tm-b1:2",)


def test_changing_looks_is_no_step(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.press(Qt.Key.Key_N, CTRL | SHIFT)
    hands.press(Qt.Key.Key_L, CTRL | SHIFT)
    hands.press(Qt.Key.Key_F7)
    hands.press(Qt.Key.Key_F7)
    assert hands.steps == 0
    assert hands.window.document.history.clean


@pytest.mark.parametrize(("view", "word"), [("2", "WB-07"), ("3", "WB-07"), ("4", "TM-B1"), ("5", "TH-1")])
def test_the_sheet_of_the_view_in_sight_is_written_as_svg(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, view: str, word: str
) -> None:
    hands.open_sample("thistlemere")
    hands.window.session.set_pick(["service:th-1"])
    hands.press(Qt.Key(ord(view)), CTRL)
    target = tmp_path / "sheet.svg"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    hands.press(Qt.Key.Key_P, CTRL)
    root = ElementTree.fromstring(target.read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    assert word in "".join(root.itertext())
    assert any(text.startswith("Wrote sheet.svg") for text in hands.notices())


@pytest.mark.parametrize("sample", ["thistlemere", "larkmoor"])
def test_every_lit_path_has_a_reference_that_means_it(hands: Hands, sample: str) -> None:
    hands.open_sample(sample)
    continuity = hands.window.document.continuity
    nodes = [node for node in continuity.graph if isinstance(node_end(node), FibreEnd)]
    for node in sorted(nodes)[::7]:
        text = reference_of(continuity, node)
        assert text is not None
        assert node_of(continuity, text) in trace(continuity, node).nodes


def test_a_sheet_that_cannot_be_written_is_told(hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hands.open_sample("thistlemere")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "sheet.svg"), ""))
    hands.press(Qt.Key.Key_P, CTRL)
    notice = hands.window.notice.current
    assert notice is not None
    assert notice.severity == "error"
    assert "not written" in notice.text


def test_all_sheets_of_a_place_go_into_a_folder(hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    hands.open_sample("thistlemere")
    folder = tmp_path / "sheets"
    folder.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    hands.window.actions_by_key["export_all"].trigger()
    written = sorted(folder.glob("*.svg"))
    assert len(written) == len(drawings(hands.plant, Request("all", "wb-07", printed_on="2026-01-01")))
    assert len(written) >= 3


def test_a_sheet_is_printed_to_pdf_at_its_true_size(hands: Hands, tmp_path: Path) -> None:
    hands.open_sample("thistlemere")
    made = [drawing for _, drawing in hands.window.files.sheets()]
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    target = tmp_path / "sheet.pdf"
    printer.setOutputFileName(str(target))
    print_drawings(printer, made)
    text = target.read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", text)
    assert len(boxes) == len(made)
    for (width, height), drawing in zip(boxes, made, strict=True):
        # A point is 25.4 / 72 mm.
        sizes = sorted((float(width) * 25.4 / 72, float(height) * 25.4 / 72))
        assert sizes == pytest.approx(sorted((drawing.width, drawing.height)), abs=0.5)
    assert len(text) > 5000


def test_esc_steps_back_from_the_lit_path_to_the_pick_to_nothing(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    session = hands.window.session
    session.set_pick(["fibre:tm-b1:13"])
    assert session.lit
    hands.window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_Escape)
    assert not session.lit
    assert session.pick == ("fibre:tm-b1:13",)
    hands.press(Qt.Key.Key_Escape)
    assert not session.pick


def test_a_pick_outlives_undo_while_its_thing_exists(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.window.session.set_pick(["cable:d-1"])
    hands.say("part TM-B1:13-16", enter=True)
    hands.window.boards.current.view.setFocus()
    hands.press(Qt.Key.Key_Z, CTRL)
    assert hands.window.session.pick == ("cable:d-1",)
    splice = min(hands.plant.splices)
    hands.window.session.set_pick([f"splice:{splice}"])
    hands.say("part TM-B1:13-16", enter=True)
    assert not hands.window.session.pick


def test_a_notice_never_takes_the_focus_and_esc_gives_it_back(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    hands.say("who TM-B1:T2", enter=True)
    assert hands.window.notice.isVisible()
    assert hands.window.line.hasFocus()
    hands.press(Qt.Key.Key_F9)
    assert hands.window.notice.isAncestorOf(hands.focus())
    hands.press(Qt.Key.Key_Escape)
    assert not hands.window.notice.isAncestorOf(hands.focus())
