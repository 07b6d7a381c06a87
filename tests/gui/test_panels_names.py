"""Names, places, entries and the title block typed over in Details."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.panels.details import DetailsPanel
from gui.panels.text_field import TextField


@pytest.fixture
def panel(qtbot: QtBot, document: Any) -> DetailsPanel:
    made = DetailsPanel()
    qtbot.addWidget(made)
    made.follow(document)
    made.set_place("wb-07")
    made.resize(360, 800)
    made.show()
    made.edit.connect(document.history.do)
    return made


def field(panel: DetailsPanel, label: str) -> TextField:
    return next(made for made in panel.texts if made.accessibleName() == label)


def type_over(made: TextField, text: str) -> None:
    made.setFocus()
    made.selectAll()
    QTest.keyClicks(made, text)
    QTest.keyClick(made, Qt.Key.Key_Return)


def test_a_site_and_its_box_take_a_new_name(panel: DetailsPanel, document: Any) -> None:
    type_over(field(panel, "Name"), "WB 70")
    assert document.plant.sites["wb-07"].name == "WB 70"
    assert document.plant.enclosures["wb-07-box"].name == "WB 70"
    assert panel.title.text() == "WB 70"


def test_a_cable_takes_a_new_name_in_one_step(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick(["cable:tm-b1"])
    type_over(field(panel, "Name"), "TM-B9")
    assert document.plant.cables["tm-b1"].name == "TM-B9"
    assert len(document.history.steps) == 1


def test_an_empty_name_is_refused_where_it_stands(panel: DetailsPanel, document: Any) -> None:
    made = field(panel, "Name")
    said: list[str] = []
    made.refused.connect(said.append)
    made.setFocus()
    made.selectAll()
    QTest.keyClick(made, Qt.Key.Key_Delete)
    QTest.keyClick(made, Qt.Key.Key_Return)
    assert said[-1] == "A name is needed here"
    assert document.history.steps == ()


def test_esc_puts_the_old_name_back(panel: DetailsPanel, document: Any) -> None:
    made = field(panel, "Name")
    made.setFocus()
    QTest.keyClicks(made, "x")
    QTest.keyClick(made, Qt.Key.Key_Escape)
    assert made.text() == "WB-07"
    assert document.history.steps == ()


def test_the_title_block_is_typed_over(panel: DetailsPanel, document: Any) -> None:
    type_over(field(panel, "Project"), "Hay Farm")
    assert document.plant.job.project == "Hay Farm"


def test_a_tray_and_an_entry_are_typed_over(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick(["tray:wb-07-tray-1"])
    type_over(field(panel, "Name"), "A")
    assert document.plant.trays["wb-07-tray-1"].name == "A"
    panel.show_pick(["cable:d-1"])
    type_over(field(panel, "Entry"), "6")
    assert document.plant.cables["d-1"].stops[0].entry_out == "6"
    assert "4" in document.plant.enclosures["wb-07-box"].plugged
