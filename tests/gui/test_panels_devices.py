"""Splitters, legs and ports in Parts and Details, on the cabinet whose figures were worked out by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from gui.panels.detail_data import details
from gui.panels.detail_types import Details
from gui.panels.part_nodes import Node, part_tree
from gui.views.here import title
from model.ids import SiteId
from model.templates.cabinet import bramblecote
from tests.gui.hands import at_the_window


@pytest.fixture
def cabinet(plain: Any) -> Any:
    return plain(bramblecote())


def walk(node: Node) -> list[Node]:
    return [node, *(found for child in node.children for found in walk(child))]


def lines(found: Details | None) -> dict[str, str]:
    assert found is not None
    return {row.label: row.value for section in found.sections for row in section.rows}


def test_parts_list_splitters_with_their_legs_and_panels_with_their_ports(cabinet: Any) -> None:
    nodes = {node.ref: node for node in walk(part_tree(cabinet, "bc-5")) if node.ref}
    # Splitter 2 has 28 homes on it, so 4 of its 32 legs stand parked.
    assert nodes["splitter:sp-2"].second == "28 of 32 legs, 4 parked"
    assert nodes["leg:sp-2:out9"].second == "DP 41"
    assert nodes["leg:sp-2:out32"].second == "parked"
    assert nodes["leg:sp-2:in1"].second == "FD 6"
    assert nodes["port:bc-5.dp.41"].second == "SP-2 leg 9"
    panels = [node for node in walk(part_tree(cabinet, "bc-5")) if node.text.startswith("Panel ")]
    assert [(node.text, node.second) for node in panels] == [
        ("Panel DP", "118 of 144 ports in use"),
        ("Panel FD", "4 of 48 ports in use"),
    ]


def test_details_of_a_splitter_say_every_leg(cabinet: Any) -> None:
    said = lines(details(cabinet, "bc-5", "splitter:sp-2"))
    assert said["Legs"] == "28 of 32 legs on, 4 parked"
    assert said["Parked"] == "29-32"
    assert said["Loss"] == "17.0 dB a leg"
    assert said["Leg 9"] == "in DP 41 front, BC-041"
    assert said["Leg 30"] == "parked"
    assert said["Services"] == "28 services"


def test_details_of_a_port_say_both_its_sides_and_where_each_leads(cabinet: Any) -> None:
    said = lines(details(cabinet, "bc-5", "port:bc-5.dp.41"))
    assert (said["Behind"], said["In front"], said["State"]) == ("BD-144:41", "SP-2 leg 9", "in use")
    assert said["Comes from"] == "Fallow Cross, PON 3"
    assert said["Service"] == "BC-041"


def test_details_of_a_leg_say_what_it_loses_and_reaches(cabinet: Any) -> None:
    said = lines(details(cabinet, "bc-5", "leg:sp-2:out9"))
    assert (said["State"], said["Joined to"], said["Loss"]) == ("patched", "DP 41 front", "17.00 dB planned")
    assert details(cabinet, "bc-5", "leg:sp-2:out33") is None


def test_a_leg_is_called_what_a_person_calls_it(cabinet: Any) -> None:
    assert title(cabinet.plant, "leg:sp-2:out9") == "leg 9 of SP-2"
    assert title(cabinet.plant, "splitter:sp-2") == "SP-2"


def test_a_live_leg_taken_out_by_typing_is_held_named_and_cured(qtbot: QtBot, tmp_path: Path) -> None:
    with at_the_window(qtbot, tmp_path) as hands:
        hands.open_sample("bramblecote")
        hands.window.session.go(SiteId("bc-5"))
        hands.say("part SP-2:out9", enter=True)
        assert hands.steps == 0, "the first Enter only says who goes dark"
        assert "BC-041" in hands.window.readback.accessibleDescription() + " ".join(
            label.text() for label in hands.window.readback.findChildren(QLabel)
        )
        hands.press(Qt.Key.Key_Return)
        assert hands.steps == 1
        found = hands.findings("splitter.parked")
        assert [f.message for f in found] == ["SP-2 at BC-5: leg 9 is neither used nor parked"]
        hands.say("park SP-2:out9", enter=True)
        assert hands.findings("splitter.parked") == []
        hands.say("patch SP-2:out9 to port DP/41", enter=True)
        assert hands.steps == 3
        assert hands.plant.table("splitters")["sp-2"].parked == (29, 30, 31, 32)
