"""The limits strip: figures of the small wall box by hand, and gauges that are buttons."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from gui.panels.gauge_data import GaugeData, gauges
from gui.panels.limits import LimitsStrip
from gui.theme import DAY, NIGHT
from model.edits.routing import SetSupport

SITE = "wb-07"


def by_key(document: Any, site: str | None = SITE) -> dict[str, GaugeData]:
    return {gauge.key: gauge for gauge in gauges(document, site)}


def test_the_tray_holds_four_joints_eight_loops_and_four_stubs(document: Any) -> None:
    made = by_key(document)
    # Four fibres of a tube of twelve are joined, eight loop through, the four field-side ends are stubs.
    assert (made["tray joints"].value, made["tray joints"].of) == ("4", "of 24")
    assert made["tray stored fibres"].value == str(4 + 8 + 4)


def test_the_bay_holds_three_tubes_of_four_and_a_quarter_turns(document: Any) -> None:
    bay = by_key(document)["bay"]
    # Half of 22 x 18 mm over the square of a 2.5 mm tube is 31.7; three tubes go round 4.24 times.
    assert int(0.5 * 22 * 18 / 2.5**2) == 31
    assert (bay.value, bay.of) == ("12.7", "of 31")


def test_nine_hundred_millimetres_make_not_quite_three_turns(document: Any) -> None:
    # 1600 mm opened less 700 mm of tube, on a track of 2 x 60 + 2 pi 30 = 308.5 mm.
    assert round(900 / 308.5, 2) == 2.92
    turns = by_key(document)["turns"]
    assert (turns.value, turns.of, turns.state) == ("2.92", "3.0 \u00b1 0.1", "fine")


def test_a_bend_below_its_limit_turns_the_gauge_to_error_and_undo_clears_it(document: Any) -> None:
    route = document.plant.routes["tube tm-b1.wb-07 T2>"]
    document.history.do(SetSupport(route.id, 1, replace(route.supports[1], radius_mm=31.9)))
    bend = by_key(document)["bend"]
    assert (bend.value, bend.of, bend.state) == ("31.9 mm", "of 38 least", "error")
    assert bend.where == f"route:{route.id}"
    assert (bend.fraction or 0) < (bend.limit_fraction or 0)
    document.history.undo()
    assert by_key(document)["bend"].state == "fine"


def test_accepted_findings_are_not_counted(document: Any, finding: Callable[..., Any]) -> None:
    document.findings = (
        finding("bend.tube", "error", "a"),
        finding("bend.tube", "error", "b", accepted=True),
        finding("tray.load", "note", "c", site="elsewhere"),
    )
    assert by_key(document)["findings"].counts == (1, 0, 0)
    assert by_key(document, None)["findings"].counts == (1, 0, 1)


def test_a_gauge_is_never_better_than_the_findings_it_sums_up(document: Any, finding: Callable[..., Any]) -> None:
    document.findings = (finding("tray.stored", "warning", "a", refs=("wb-07-tray-1",)),)
    assert by_key(document)["tray stored fibres"].state == "warning"
    document.findings = (finding("tray.stored", "warning", "a", refs=("another-tray",)),)
    assert by_key(document)["tray stored fibres"].state == "fine"


def strip_of(qtbot: QtBot, document: Any, width: int = 1600) -> LimitsStrip:
    strip = LimitsStrip()
    qtbot.addWidget(strip)
    strip.show_gauges(gauges(document, SITE))
    strip.resize(width, strip.sizeHint().height())
    strip.show()
    return strip


def test_a_click_on_a_gauge_asks_for_its_place(qtbot: QtBot, document: Any) -> None:
    strip = strip_of(qtbot, document)
    asked: list[str] = []
    strip.asked.connect(asked.append)
    QTest.mouseClick(strip.gauges[1], Qt.MouseButton.LeftButton)
    strip.gauges[3].setFocus()
    QTest.keyClick(strip.gauges[3], Qt.Key.Key_Space)
    assert asked == ["tray:wb-07-tray-1", "route:tube tm-b1.wb-07 T1"]


def test_a_new_reading_keeps_the_widget_and_its_focus(qtbot: QtBot, front: Callable[..., None], document: Any) -> None:
    strip = strip_of(qtbot, document)
    front(strip)
    gauge = strip.gauges[2]
    gauge.setFocus()
    strip.show_gauges([replace(entry, value="9") for entry in gauges(document, SITE)])
    assert strip.gauges[2] is gauge
    assert gauge.hasFocus()
    assert gauge.accessibleDescription() == "9 of 24, in order"


def test_where_there_is_no_room_the_gravest_and_the_findings_stay(qtbot: QtBot, document: Any) -> None:
    strip = strip_of(qtbot, document, 800)
    data = gauges(document, SITE)
    data[4] = replace(data[4], state="error")
    strip.show_gauges(data)
    for tokens in (DAY, NIGHT):
        strip.set_tokens(tokens, large=True)
        seen = [gauge.data_shown.key for gauge in strip.gauges if gauge.isVisible()]
        assert "turns" in seen
        assert "findings" in seen
        for gauge in strip.gauges:
            if gauge.isVisible():
                assert gauge.width() >= gauge.needed()
                assert gauge.geometry().right() <= strip.width()


def test_the_gauges_out_of_sight_come_with_the_next_page(qtbot: QtBot, document: Any) -> None:
    strip = strip_of(qtbot, document, 800)
    more = strip._more
    seen: set[str] = set()
    for _ in range(7):
        seen |= {gauge.data_shown.key for gauge in strip.gauges if gauge.isVisible()}
        QTest.mouseClick(more, Qt.MouseButton.LeftButton)
    assert seen == {entry.key for entry in gauges(document, SITE)}
