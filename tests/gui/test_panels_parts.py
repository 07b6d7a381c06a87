"""The tree of parts: what it lists, and picking in it and from outside."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QModelIndex, QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.panels.part_nodes import Node, part_tree
from gui.panels.parts import PartsPanel
from gui.panels.parts_model import NODE_ROLE
from model.edits.cutting import OpenTubes
from model.ids import CableId, StopId
from model.templates import TEMPLATES


def walk(node: Node) -> list[Node]:
    return [node, *(found for child in node.children for found in walk(child))]


@pytest.fixture
def panel(qtbot: QtBot, document: Any) -> PartsPanel:
    made = PartsPanel()
    qtbot.addWidget(made)
    made.follow(document)
    made.set_place("wb-07")
    made.resize(300, 900)
    made.show()
    return made


def place(panel: PartsPanel, ref: str) -> QPoint:
    rect = panel.tree.visualRect(panel._index(ref))
    return rect.center()


def shown(panel: PartsPanel) -> list[str]:
    found: list[str] = []
    stack = [QModelIndex()]
    while stack:
        index = stack.pop()
        if index.isValid():
            found.append(index.data(NODE_ROLE).text)
        stack += [panel.filter.index(row, 0, index) for row in range(panel.filter.rowCount(index))]
    return found


def test_a_place_lists_its_cables_tubes_trays_entries_and_services(document: Any) -> None:
    nodes = {node.ref: node for node in walk(part_tree(document, "wb-07")) if node.ref}
    assert nodes["tube:tm-b1:2"].text == "T2 OR"
    assert (nodes["tube:tm-b1:2"].bar, nodes["tube:tm-b1:2"].second) == ("part", "4 of 12 cut")
    assert (nodes["tube:tm-b1:1"].bar, nodes["tube:tm-b1:1"].second) == ("uncut", "uncut")
    assert nodes["tray:wb-07-tray-1"].second == "4 of 24 joined"
    assert nodes["entry:wb-07-box:"].second == "3 used, 5 plugged"
    assert {ref for ref in nodes if ref.startswith("service:")} == {f"service:th-{n}" for n in (1, 2, 3, 4)}


def test_colours_are_spoken_in_full(document: Any) -> None:
    node = next(node for node in walk(part_tree(document, "wb-07")) if node.ref == "tube:tm-b1:2")
    assert node.words() == "Tube 2 orange, 4 of 12 cut"


def test_many_drops_hang_under_one_line(plain: Any) -> None:
    nodes = walk(part_tree(plain(TEMPLATES["mid-span-large"]()), "wb-12"))
    bundle = next(node for node in nodes if node.text == "D-01 to D-10")
    assert bundle.second == "10 drops"
    assert len(bundle.children) == 10


def test_the_whole_plant_lists_sites_and_cables(document: Any) -> None:
    refs = {node.ref for node in walk(part_tree(document, None)) if node.ref}
    assert {"site:wb-07", "site:quill-lane", "cable:tm-b1", "cable:d-1"} <= refs


def test_a_click_picks_and_control_click_adds(panel: PartsPanel) -> None:
    picked: list[list[str]] = []
    panel.picked.connect(picked.append)
    port = panel.tree.viewport()
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, pos=place(panel, "tube:tm-b1:2"))
    control = Qt.KeyboardModifier.ControlModifier
    QTest.mouseClick(port, Qt.MouseButton.LeftButton, control, place(panel, "tube:tm-b1:4"))
    assert picked[0] == ["tube:tm-b1:2"]
    assert set(picked[-1]) == {"tube:tm-b1:2", "tube:tm-b1:4"}


def test_arrow_keys_pick_the_next_part(panel: PartsPanel) -> None:
    panel.show_pick(["tube:tm-b1:1"])
    picked: list[list[str]] = []
    panel.picked.connect(picked.append)
    panel.tree.setFocus()
    QTest.keyClick(panel.tree, Qt.Key.Key_Down)
    assert picked == [["tube:tm-b1:2"]]


def test_a_pick_from_outside_shows_and_is_not_sent_back(panel: PartsPanel) -> None:
    picked: list[list[str]] = []
    panel.picked.connect(picked.append)
    panel.show_pick(["entry:wb-07-box:1A", "nothing:here"])
    chosen = [index.data(NODE_ROLE).ref for index in panel.tree.selectionModel().selectedIndexes()]
    assert chosen == ["entry:wb-07-box:1A"]
    assert panel.tree.isExpanded(panel._index("entry:wb-07-box:1A").parent())
    assert picked == []


def test_a_heading_cannot_be_picked(panel: PartsPanel) -> None:
    picked: list[list[str]] = []
    panel.picked.connect(picked.append)
    heading = panel.filter.index(0, 0)
    QTest.mouseClick(panel.tree.viewport(), Qt.MouseButton.LeftButton, pos=panel.tree.visualRect(heading).center())
    assert all(not refs for refs in picked)


def test_the_field_narrows_the_tree_and_keeps_the_way_to_what_is_found(qtbot: QtBot, panel: PartsPanel) -> None:
    QTest.keyClicks(panel.field, "orange")
    assert sorted(shown(panel)) == ["Cables", "T2 OR", "TM-B1"]
    panel.field.clear()
    QTest.keyClicks(panel.field, "zebra")
    assert shown(panel) == []
    assert "zebra" in panel.empty.text()


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Down])
def test_enter_and_down_in_the_field_pick_the_first_part_found(panel: PartsPanel, key: Qt.Key) -> None:
    picked: list[list[str]] = []
    panel.picked.connect(picked.append)
    for words, ref in (("orange", "tube:tm-b1:2"), ("tray 1", "tray:wb-07-tray-1")):
        panel.field.clear()
        QTest.keyClicks(panel.field, words)
        QTest.keyClick(panel.field, key)
        assert picked[-1] == [ref]
    panel.field.clear()
    QTest.keyClicks(panel.field, "zebra")
    QTest.keyClick(panel.field, key)
    assert all(refs in ([], ["tube:tm-b1:2"], ["tray:wb-07-tray-1"]) for refs in picked)


def test_an_edit_shows_at_once_and_the_pick_survives(panel: PartsPanel, document: Any) -> None:
    panel.show_pick(["tube:tm-b1:3"])
    document.history.do(OpenTubes(CableId("tm-b1"), StopId("tm-b1.wb-07"), (3,)))
    node = panel._index("tube:tm-b1:3").data(NODE_ROLE)
    assert (node.bar, node.second) == ("opened", "opened")
    chosen = [index.data(NODE_ROLE).ref for index in panel.tree.selectionModel().selectedIndexes()]
    assert chosen == ["tube:tm-b1:3"]


def test_enter_opens_what_is_current(panel: PartsPanel) -> None:
    opened: list[str] = []
    panel.opened_part.connect(opened.append)
    panel.show_pick(["tray:wb-07-tray-1"])
    QTest.keyClick(panel.tree, Qt.Key.Key_Return)
    assert opened == ["tray:wb-07-tray-1"]
