"""A plant from nothing in the window: start page to printed sheets, by typed lines, Details, keys and mouse."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from gui.panels.template_cards import Card
from gui.panels.text_field import TextField
from model.lookup import cut_fibres
from tests.gui.hands import ALT, CTRL, Hands, at_the_window


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def do(hands: Hands, text: str) -> None:
    """Say a line and do it; it must have read and been done."""
    hands.say(text)
    reading = hands.window.control.reading
    assert reading is not None
    assert reading.ok, f"{text}: {reading.error}"
    hands.press(Qt.Key.Key_Return)
    assert hands.window.line.text() == "", f"{text} was not done"


def cure_all(hands: Hands, most: int = 20) -> list[str]:
    """Go from finding to finding and take every cure offered, until none is left; the rules cured, in order."""
    cured: list[str] = []
    for _ in range(most):
        left = [f for f in hands.window.document.findings if f.cures and not f.accepted]
        if not left:
            return cured
        hands.press(Qt.Key.Key_F8)
        row = hands.window.findings.current()
        assert row is not None
        if row.finding.cures:
            before = hands.steps
            hands.press(Qt.Key.Key_Return, ALT)
            assert hands.steps == before + 1, f"{row.finding.rule} was not cured"
            cured.append(row.finding.rule)
    raise AssertionError(f"still curing after {most} rounds: {cured}")


def errors(hands: Hands) -> list[str]:
    return [f.message for f in hands.window.document.findings if f.severity == "error"]


def save_and_open_again(hands: Hands, monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a, **_k: (str(path), ""))
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a, **_k: (str(path), ""))
    before = hands.plant
    hands.press(Qt.Key.Key_S, CTRL)
    assert path.exists()
    hands.press(Qt.Key.Key_O, CTRL)
    assert hands.plant is not before
    assert hands.window.document.path == path


def export_all(hands: Hands, monkeypatch: pytest.MonkeyPatch, folder: Path) -> set[str]:
    """Write all sheets of the place; their names."""
    folder.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_a, **_k: str(folder))
    hands.window.actions_by_key["export_all"].trigger()
    return {path.name for path in folder.glob("*.svg")}


def drag_a_corner(hands: Hands, route: str) -> None:
    """Pick a route and pull one of its corners 5 mm to the right."""
    hands.window.session.show_view(1)
    hands.window.session.set_pick([f"route:{route}"])
    hands.settle()
    supports = hands.plant.routes[route].supports
    corner = next(n for n, s in enumerate(supports) if s.kind == "corner")
    start = hands.handle(route, corner)
    reach = round(5 * hands.window.boards.current.view.scale_px)
    before = hands.steps
    hands.drag(start, start + QPoint(reach // 2, 0), start + QPoint(reach, 0))
    assert hands.steps == before + 1
    assert hands.plant.routes[route].supports != supports


def text_field(hands: Hands, label: str) -> TextField:
    return next(field for field in hands.window.details.texts if field.accessibleName() == label)


def test_a_mid_span_tap_from_its_template_to_its_sheets(
    hands: Hands, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    card = QApplication.focusWidget()
    assert isinstance(card, Card)
    assert card.template.key == "mid-span"
    hands.press(Qt.Key.Key_Return)
    assert hands.window.boards.stack.isVisible()
    # Names: by the Line, and over the field in Details.
    do(hands, "name MS-48 as HC-48")
    do(hands, 'name "Marl Street" as "Hay Cross"')
    hands.window.session.set_pick([])
    project = text_field(hands, "Project")
    project.setFocus()
    project.selectAll()
    QTest.keyClicks(project, "Alder Cottage tap")
    QTest.keyClick(project, Qt.Key.Key_Return)
    assert hands.plant.job.project == "Alder Cottage tap"
    # What is joined.
    do(hands, "cut HC-48:13-16")
    do(hands, "join HC-48:13-16 to D-1:1-4 on tray 1")
    do(hands, "put HC-48:17-24 on tray 1")
    assert len(hands.plant.splices) == 4
    cured = cure_all(hands)
    assert "express.whole" in cured
    assert errors(hands) == []
    courses = {r.side for r in hands.plant.routes.values() if r.kind == "tube" and r.tubes == (2,)}
    assert courses == {"<", ">"}
    drag_a_corner(hands, "tube ms-48.wb-01 T2>")
    cure_all(hands)
    save_and_open_again(hands, monkeypatch, tmp_path / "tap.gwp")
    assert errors(hands) == []
    assert {c.name for c in hands.plant.cables.values()} == {"HC-48", "D-1"}
    written = export_all(hands, monkeypatch, tmp_path / "sheets")
    assert len(written) >= 3


FROM_EMPTY = (
    'add site "Hay Cross" exchange',
    "add site N-1",
    "add site Lea cabinet",
    'add cable F-1 lt-48 from "Hay Cross" at 0 through N-1 at 400/401.6 coil 12 to Lea at 900',
    "add box wall-box-small at N-1",
    "add tray tray-24",
    "add drop D-1 rd-4 to Mill 65 m at 4",
    'add panel F-1 at "Hay Cross"',
    "add panel F-1 at Lea",
    "serve Mill port 1 as MILL-1",
    "cut F-1:13-16",
    "join F-1:13-16 to D-1:1-4 on tray 1",
    "put F-1:17-24 on tray 1",
)


def test_the_same_tap_from_an_empty_plant(hands: Hands, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    hands.press(Qt.Key.Key_N, CTRL)
    for number, text in enumerate(FROM_EMPTY, start=1):
        do(hands, text)
        assert hands.steps == number
    # The first box is gone to, so that later lines need not say where.
    assert hands.window.at_chip.currentText() == "At N-1"
    kind, stop = hands.plant.cable_types["lt-48"], hands.plant.cables["f-1"].stops[1]
    assert cut_fibres(kind, stop) == {13, 14, 15, 16}
    cured = cure_all(hands)
    assert cured[0] == "route.none" or "route.none" in cured
    assert errors(hands) == []
    assert [f.message for f in hands.window.document.findings if f.severity == "warning"] == []
    drag_a_corner(hands, "tube f-1.n-1 T2>")
    save_and_open_again(hands, monkeypatch, tmp_path / "mill.gwp")
    assert errors(hands) == []
    written = export_all(hands, monkeypatch, tmp_path / "sheets")
    assert len(written) >= 3


def test_draft_all_draws_what_an_undo_takes_away_in_one_step(hands: Hands) -> None:
    hands.press(Qt.Key.Key_N, CTRL)
    for text in FROM_EMPTY:
        do(hands, text)
    do(hands, "draft all")
    # Two legs of the feeder and one of the drop, three uncut tubes, both ends of tube 2, the drop.
    assert len(hands.plant.routes) == 2 + 1 + 3 + 2 + 1
    hands.press(Qt.Key.Key_Z, CTRL)
    assert len(hands.plant.routes) == 0


@pytest.mark.parametrize(("key", "joints"), [("straight-joint", 96), ("drop-terminal", 12)])
def test_the_other_templates_are_joined_whole(
    hands: Hands, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, key: str, joints: int
) -> None:
    card = next(c for c in hands.window.start.grid.cards if c.template.key == key)
    QTest.mouseClick(card, Qt.MouseButton.LeftButton)
    if key == "straight-joint":
        for tray in range(4):
            run = f"{tray * 24 + 1}-{tray * 24 + 24}"
            do(hands, f"join GL-96:{run} to PB-96:{run} on tray {tray + 1}")
    else:
        do(hands, "join SR-12:1-12 to D-01..D-12:1 on tray 1")
    assert len(hands.plant.splices) == joints
    cure_all(hands)
    assert errors(hands) == []
    assert export_all(hands, monkeypatch, tmp_path / "sheets")
