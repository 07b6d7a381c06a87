"""The findings list: reading, going, curing and accepting with mouse and keys."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.panels.finding_titles import FAULTS
from gui.panels.findings import FindingsPanel
from model.edits.routing import SetSupport
from model.rules.run import RULES


@pytest.fixture
def panel(qtbot: QtBot, document: Any, finding: Callable[..., Any]) -> FindingsPanel:
    route = document.plant.routes["tube tm-b1.wb-07 T2>"]
    cure = ((SetSupport(route.id, 1, route.supports[1], "set back to 38 mm"),),)
    document.findings = (
        finding("bend.tube", "error", "T2 is bent to 31.9 mm, at least 38 mm", refs=(route.id,), cures=cure),
        finding("tray.stored", "warning", "16 of 24 stored"),
        finding("tray.load", "note", "more than its joints"),
        finding("entry.plug", "error", "elsewhere", site="quill-lane"),
    )
    made = FindingsPanel(checks=55)
    qtbot.addWidget(made)
    made.follow(document)
    made.set_place("wb-07")
    made.resize(360, 640)
    made.show()
    return made


def click(panel: FindingsPanel, x: float, y: float) -> None:
    QTest.mouseClick(panel.list.viewport(), Qt.MouseButton.LeftButton, pos=_point(x, y))


def _point(x: float, y: float) -> Any:
    from PySide6.QtCore import QPoint

    return QPoint(round(x), round(y))


def test_every_rule_has_a_first_line_that_names_the_fault() -> None:
    assert {rule.name for rule in RULES} <= set(FAULTS)


def test_only_the_findings_of_the_place_are_listed_and_the_rest_counted(panel: FindingsPanel) -> None:
    assert [row.title for row in panel.model.rows] == [
        "Tube bends too tightly",
        "Too many fibres on the tray",
        "Tray holds more than its joints",
    ]
    assert panel.count.text().startswith("3 of 4")


def test_a_click_goes_to_the_finding(panel: FindingsPanel) -> None:
    gone: list[Any] = []
    panel.goto.connect(gone.append)
    rect = panel.row_rect(1)
    click(panel, rect.left() + 100, rect.top() + 16)
    assert [found.rule for found in gone] == ["tray.stored"]


def test_stepping_goes_round_both_ways_and_skips_what_is_accepted(
    panel: FindingsPanel, document: Any, finding: Callable[..., Any]
) -> None:
    document.findings = (*document.findings, finding("tail.long", "warning", "taken", accepted=True))
    panel.refresh()
    forward = [panel.step().rule for _ in range(4)]  # type: ignore[union-attr]
    assert forward == ["bend.tube", "tray.stored", "tray.load", "bend.tube"]
    assert panel.step(-1).rule == "tray.load"  # type: ignore[union-attr]


def test_the_cure_button_and_alt_enter_ask_for_the_cure(panel: FindingsPanel) -> None:
    asked: list[tuple[str, int]] = []
    panel.cure_asked.connect(lambda found, number: asked.append((found.rule, number)))
    index = panel.model.index(0)
    (entry, place), *_ = panel.delegate.button_rects(panel.list.visualRect(index), index)
    assert entry.text == "Set back to 38 mm"
    assert place.height() >= 40
    click(panel, place.center().x(), place.center().y())
    panel.list.setCurrentIndex(index)
    QTest.keyClick(panel.list, Qt.Key.Key_Return, Qt.KeyboardModifier.AltModifier)
    assert asked == [("bend.tube", 0), ("bend.tube", 0)]


def test_a_finding_without_a_cure_offers_none(panel: FindingsPanel) -> None:
    panel.list.setCurrentIndex(panel.model.index(2))
    assert panel.cure() is False


def test_accepting_needs_a_reason_and_a_name(panel: FindingsPanel) -> None:
    given: list[tuple[str, str, str]] = []
    panel.accept_asked.connect(lambda found, reason, by: given.append((found.rule, reason, by)))
    panel.list.setFocus()
    panel.list.setCurrentIndex(panel.model.index(1))
    QTest.keyClick(panel.list, Qt.Key.Key_F2)
    form = panel.delegate.form
    assert form is not None
    assert not form.yes.isEnabled()
    QTest.keyClicks(form.reason, "room for two more")
    QTest.keyClick(form.reason, Qt.Key.Key_Return)
    QTest.keyClick(form.by, Qt.Key.Key_Return)
    assert given == []
    QTest.keyClicks(form.by, "A. Quarrie")
    QTest.keyClick(form.by, Qt.Key.Key_Return)
    assert given == [("tray.stored", "room for two more", "A. Quarrie")]
    assert panel.delegate.form is None


def test_esc_leaves_a_finding_open(panel: FindingsPanel) -> None:
    panel.list.setCurrentIndex(panel.model.index(1))
    QTest.keyClick(panel.list, Qt.Key.Key_F2)
    form = panel.delegate.form
    assert form is not None
    QTest.keyClick(form.reason, Qt.Key.Key_Escape)
    assert panel.delegate.form is None


def test_a_live_finding_is_marked_and_goes_when_the_drag_ends(
    panel: FindingsPanel, finding: Callable[..., Any]
) -> None:
    panel.show_live([finding("bend.kink", "error", "a corner")])
    assert next((row.finding.rule, row.live) for row in panel.model.rows) == ("bend.kink", True)
    panel.show_live(None)
    assert not any(row.live for row in panel.model.rows)


def test_the_current_finding_stays_current_after_an_edit(
    panel: FindingsPanel, document: Any, finding: Callable[..., Any]
) -> None:
    panel.list.setCurrentIndex(panel.model.index(2))
    document.findings = document.findings[1:]
    document.changed.emit(None)
    row = panel.current()
    assert row is not None
    assert row.finding.rule == "tray.load"


def test_nothing_found_says_what_was_checked(panel: FindingsPanel, document: Any) -> None:
    document.findings = ()
    document.opened.emit()
    assert panel.empty.isVisible()
    assert panel.empty.text().startswith("Nothing found by 55 checks, ")
    assert panel.step() is None
