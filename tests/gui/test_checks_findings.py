"""Going from finding to finding by F8."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QRectF, Qt
from pytestqt.qtbot import QtBot

from gui.findings_refs import refs_of
from model.rules.registry import Finding
from tests.gui.hands import SAMPLES, SHIFT, Hands, at_the_window

BROKEN = sorted((SAMPLES / "broken").glob("*.gwp"))


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    with at_the_window(qtbot, tmp_path) as made:
        yield made


def current(hands: Hands) -> Finding:
    row = hands.window.findings.current()
    assert row is not None
    return row.finding


def in_sight(hands: Hands, finding: Finding) -> bool:
    """True when what the finding is about is wholly in sight or in the middle, or nothing of it is drawn there."""
    board = hands.window.boards.current
    refs = [ref for ref in refs_of(hands.plant, finding) if board.scene.items_of(ref)]
    if not refs or refs[0].startswith("site:"):
        return True
    box = QRectF()
    for item in board.scene.items_of(refs[0]):
        box = box.united(item.sceneBoundingRect())
    if board.view.visible_mm().contains(box):
        return True
    middle = board.view.visible_mm().center()
    return bool(abs(middle.x() - box.center().x()) < 2.0 and abs(middle.y() - box.center().y()) < 2.0)


def test_check_20_f8_goes_round_all_findings_and_shift_f8_back(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    listed = [row.finding for row in hands.window.findings.model.rows]
    assert len(listed) >= 3
    seen = []
    for _ in listed:
        hands.press(Qt.Key.Key_F8)
        seen.append(current(hands))
    assert sorted(f.message for f in seen) == sorted(f.message for f in listed)
    hands.press(Qt.Key.Key_F8)
    assert current(hands) == seen[0]
    back = []
    for _ in listed:
        hands.press(Qt.Key.Key_F8, SHIFT)
        back.append(current(hands))
    assert back == [*seen[:0:-1], seen[0]]


def test_check_20_a_place_in_sight_stays_where_it_is_and_one_out_of_sight_is_centred(hands: Hands) -> None:
    hands.open_sample("broken/bay-overfull")
    view = hands.window.boards.current.view
    before = view.visible_mm()
    hands.press(Qt.Key.Key_F8)
    assert view.visible_mm() == before
    view.set_scale(4 * view.scale_px, None)
    view.pan_by(-4000, -4000)
    away = view.visible_mm()
    hands.press(Qt.Key.Key_F8)
    hands.press(Qt.Key.Key_F8)
    assert view.visible_mm() != away
    assert in_sight(hands, current(hands))


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_check_20_each_finding_is_brought_into_sight_and_in_details(hands: Hands, tmp_path: Path, path: Path) -> None:
    copy = tmp_path / path.name
    shutil.copyfile(path, copy)
    assert hands.window.open_path(copy)
    everything = [finding for finding in hands.window.document.findings if not finding.accepted]
    assert everything
    seen = []
    for _ in everything:
        hands.press(Qt.Key.Key_F8)
        finding = current(hands)
        refs = refs_of(hands.plant, finding)
        assert hands.window.session.place == finding.site
        assert hands.window.session.pick == tuple(refs[:1])
        assert in_sight(hands, finding), finding
        assert hands.window.details.title.text()
        seen.append(finding)
    assert sorted(f.message for f in seen) == sorted(f.message for f in everything)


def walk_to(hands: Hands, rule: str) -> None:
    """F8 until a finding of this rule is in sight."""
    for _ in hands.window.document.findings:
        hands.press(Qt.Key.Key_F8)
        if current(hands).rule == rule:
            return
    raise AssertionError(f"F8 does not come to {rule}")


def test_f2_after_f8_accepts_the_finding_and_leaves_the_name_alone(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    names = [tray.name for tray in hands.plant.trays.values()]
    walk_to(hands, "tray.load")
    assert hands.focus() is not hands.window.findings.list
    hands.press(Qt.Key.Key_F2)
    hands.settle()
    for words in ("agreed with the owner", "A. Quarrie"):
        hands.type(words)
        hands.press(Qt.Key.Key_Return)
    assert [entry.rule for entry in hands.plant.acceptances.values()] == ["tray.load"]
    assert [tray.name for tray in hands.plant.trays.values()] == names


def test_f2_after_f8_and_a_new_pick_types_over_a_detail(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    walk_to(hands, "tray.load")
    hands.pick_tube()
    hands.press(Qt.Key.Key_F2)
    assert hands.window.details.isAncestorOf(hands.focus())


def test_f2_types_over_a_detail_and_in_the_list_accepts(hands: Hands) -> None:
    hands.open_sample("thistlemere")
    window = hands.window
    hands.pick_tube()
    hands.press(Qt.Key.Key_F2)
    assert window.details.isAncestorOf(hands.focus())
    hands.press(Qt.Key.Key_F8)
    window.findings.list.setFocus()
    hands.press(Qt.Key.Key_F2)
    hands.settle()
    assert window.findings.isAncestorOf(hands.focus())
    assert hands.focus() is not window.findings.list
