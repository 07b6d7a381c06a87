"""Details: figures of the small wall box by hand, and numbers typed over."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.panels.detail_data import details
from gui.panels.details import DetailsPanel
from gui.panels.number_field import NumberField

ROUTE = "tube tm-b1.wb-07 T2>"


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


def words(document: Any, ref: str) -> dict[str, str]:
    found = details(document, "wb-07", ref)
    assert found is not None, ref
    return {row.label: row.value for section in found.sections for row in section.rows}


def field(panel: DetailsPanel, label: str) -> NumberField:
    return next(made for made in panel.fields if made.accessibleName() == label)


def type_over(made: NumberField, text: str) -> None:
    made.setFocus()
    made.selectAll()
    QTest.keyClicks(made, text)
    QTest.keyClick(made, Qt.Key.Key_Return)


def test_a_tray_tells_its_track_and_load(document: Any) -> None:
    found = words(document, "tray:wb-07-tray-1")
    # 2 x 60 + 2 pi 30 = 308.5 mm.
    assert found["Track"].startswith("308.5 mm")
    assert found["Stored"] == "16 of 24 fibres"


def test_a_box_tells_its_bay_and_both_openings(document: Any) -> None:
    found = words(document, "site:wb-07")
    # 2 pi 45 = 282.7 mm; the marks stand 2149.6 - 2148.0 m apart.
    assert found["Loop"] == "282.7 mm"
    assert found["TM-B1 passes"].startswith("12.7 of 31")
    assert found["TM-B1 by marks"] == "1600 mm"


def test_a_tube_tells_where_its_fibre_went(document: Any) -> None:
    found = words(document, "tube:tm-b1:2")
    assert found["Cut"] == "13-16"
    assert found["Looped uncut"] == "17-24"
    assert found["Bare fibre"] == "900 mm"


def test_a_joint_and_a_fibre_name_both_ends(document: Any) -> None:
    assert words(document, "fibre:tm-b1:13")["Joined to"] == "D-1 1 BL, tray 1 slot 1"
    splice = next(iter(document.plant.splices))
    found = words(document, f"splice:{splice}")
    assert {found["A"], found["B"]} == {"TM-B1 13 BL", "D-1 1 BL"}


@pytest.mark.parametrize(
    "ref", ["tube:tm-b1:99", "fibre:tm-b1:0", "tray:gone", "entry:wb-07-box:99", "", "x:y:z", "tube:"]
)
def test_a_ref_to_nothing_has_no_details(document: Any, ref: str) -> None:
    assert details(document, "wb-07", ref) is None


def test_the_table_lists_the_bends_and_their_limit(panel: DetailsPanel) -> None:
    panel.show_pick([f"route:{ROUTE}"])
    model = panel.bends.bends
    assert [(b.name, b.radius_mm, b.limit_mm, b.state) for b in model.bends] == [("C1", 40.0, 38.0, "fine")]
    assert panel.title.text() == "T2 OR of TM-B1, B side"
    assert panel.bends_right.text() == "limit 38 mm, tube"


def test_a_radius_typed_over_is_one_edit(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick([f"route:{ROUTE}"])
    type_over(field(panel, "Radius"), "1 1/2 in")
    assert document.plant.routes[ROUTE].supports[1].radius_mm == pytest.approx(38.1)
    assert field(panel, "Radius").text() == "38.1 mm"
    document.history.undo()
    assert document.history.undo_name is None
    assert document.plant.routes[ROUTE].supports[1].radius_mm == 40.0


def test_what_is_no_number_is_refused_in_its_place_and_esc_puts_it_back(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick([f"route:{ROUTE}"])
    made = field(panel, "X")
    refused: list[str] = []
    made.refused.connect(refused.append)
    type_over(made, "wide")
    assert "is no number" in refused[-1]
    assert document.history.undo_name is None
    QTest.keyClick(made, Qt.Key.Key_Escape)
    assert made.text().endswith("mm")


def test_arrows_in_a_field_step_by_a_millimetre_and_shift_by_ten(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick([f"route:{ROUTE}"])
    made = field(panel, "Y")
    QTest.keyClick(made, Qt.Key.Key_Up)
    assert document.plant.routes[ROUTE].supports[1].y_mm == pytest.approx(45.0)
    QTest.keyClick(made, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert document.plant.routes[ROUTE].supports[1].y_mm == pytest.approx(35.0)


def test_a_mark_typed_in_feet_is_stored_in_metres(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick(["cable:tm-b1"])
    type_over(field(panel, "Mark out"), "7052.5 ft")
    # 7052.5 x 0.3048 = 2149.602 m.
    assert document.plant.cables["tm-b1"].stops[1].mark_out_m == pytest.approx(2149.602)


def test_a_drag_shows_its_figures_and_leaves_no_trace(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick([f"route:{ROUTE}"])
    route = document.plant.routes[ROUTE]
    moved = replace(route, supports=(route.supports[0], replace(route.supports[1], radius_mm=31.9), route.supports[2]))
    panel.show_live({"route": moved})
    assert [(b.radius_mm, b.state) for b in panel.bends.bends.bends] == [(31.9, "error")]
    assert field(panel, "Radius").text() == "31.9 mm"
    panel.show_live(None)
    assert [b.radius_mm for b in panel.bends.bends.bends] == [40.0]
    assert document.history.undo_name is None


def test_a_bend_picked_by_click_is_told(panel: DetailsPanel) -> None:
    panel.show_pick(["route:tube tm-b1.wb-07 T2<"])
    told: list[tuple[str, int]] = []
    panel.bend_picked.connect(lambda route, support: told.append((route, support)))
    index = panel.bends.bends.index(2, 0)
    QTest.mouseClick(panel.bends.viewport(), Qt.MouseButton.LeftButton, pos=panel.bends.visualRect(index).center())
    assert told
    assert told[-1] == ("tube tm-b1.wb-07 T2<", 3)


def test_what_was_picked_and_is_gone_leaves_the_place(panel: DetailsPanel, document: Any) -> None:
    panel.show_pick(["tray:gone"])
    assert panel.title.text() == "WB-07"
    panel.set_place(None)
    assert panel.title.text() == "Whole plant"
