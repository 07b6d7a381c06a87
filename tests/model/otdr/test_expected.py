"""What a path should show, against distances worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.graph import Continuity
from model.nodes import node_of
from model.optics.drawn import drawn_bends
from model.otdr.expected import expected_events
from model.otdr.locate import locate
from model.otdr.reading import Reading
from model.rules.examples import put
from model.storage.files import load
from tests.model.otdr.plants import drum, marrowfield, one_cable, pon
from tests.render.program import HOUSE


def test_a_path_over_a_splitter_from_the_customer() -> None:
    # Outlet, 100 m drop at n 1.470, splice, 500 x 1.02 + 2 m, splitter, 3 m + 1000 x 1.02, the port. Set 1.468.
    continuity = pon()
    found = expected_events(continuity, node_of(continuity, "D-48:1"), "field", 1.468, 50.0)
    drop = 100.0 * 1.470 / 1.468
    lead = 50.0 * 1.470 / 1.468
    assert [e.kind for e in found] == ["connector", "splice", "splitter", "end"]
    assert [e.shown_m for e in found] == pytest.approx(
        [lead, lead + drop, lead + drop + 512.0, lead + drop + 512.0 + 1023.0]
    )
    assert [e.true_m for e in found] == pytest.approx([50.0, 150.0, 662.0, 1685.0])
    assert [e.site_name for e in found] == ["HOME", "POLE", "CAB", "X"]
    # A pair of 0.30; the splice's own 0.12; splice + 4.2 of a 1x2 + splice; pigtail splice and pair.
    legs = continuity.plant.splitter_types["1x2"].legs_db[1]
    assert [e.planned_db for e in found] == pytest.approx([0.30, 0.12, 0.20 + legs, 0.40])
    assert [e.reflects for e in found] == [True, False, False, True]
    assert "splice H-1:1 to D-48:1 at POLE" in found[1].words
    assert [e.behind for e in found] == [""] * 4


def test_from_the_exchange_what_lies_behind_a_splitter_is_marked() -> None:
    continuity = pon()
    found = expected_events(continuity, node_of(continuity, "D-48:1"), "exchange", 1.468)
    assert [e.kind for e in found] == ["connector", "splitter", "splice", "end"]
    assert [e.behind for e in found] == ["", "", "SP", "SP"]


def test_a_dark_fibre_is_a_start_and_an_end() -> None:
    # Hub tail 6 m, then 4761 x 1.018 of fibre.
    continuity = marrowfield()
    found = expected_events(continuity, node_of(continuity, "MF-48:17"))
    assert [(e.kind, e.reflects) for e in found] == [("connector", True), ("end", False)]
    assert found[-1].shown_m == pytest.approx(6.0 + 4761.0 * 1.018)
    assert "dark end" in found[-1].words


def test_a_missing_mark_ends_the_list_and_is_said() -> None:
    continuity = one_cable(drum(), (None, 0.0), (None, 502.0), (900.0, None))
    found = expected_events(continuity, node_of(continuity, "C-48:1"))
    assert found[-1].kind == "unknown"
    assert "C-48 beyond A is not known" in found[-1].words


def test_every_joint_of_the_sample_is_expected_where_it_is_located() -> None:
    # There and back: what is shown for a joint, read off, lies at the site of the joint.
    continuity = Continuity(load(HOUSE / "samples" / "bramblecote.gwp"))
    node = node_of(continuity, "service:BC-041")
    found = expected_events(continuity, node, "field", 1.468, 150.0)
    assert [e.kind for e in found] == ["connector", "connector", "splitter", "end"]
    for event in found[1:-1]:
        place = locate(continuity, node, Reading(event.shown_m, 1.468, 150.0, from_end="field"))
        assert place.nearest.name == event.site_name
        assert place.nearest.offset_m == pytest.approx(0.0, abs=0.1)


def test_bends_tight_enough_to_be_seen_are_expected_at_their_site() -> None:
    plant = load(HOUSE / "samples" / "thistlemere.gwp")
    assert drawn_bends(plant, "wb-07") == drawn_bends(plant)
    assert drawn_bends(plant, "quill-lane") == {}
    continuity = Continuity(plant)
    node = node_of(continuity, "TM-B1:15@WB-07<")
    assert [e for e in expected_events(continuity, node) if e.kind == "bend"] == []
    # The same path in glass that may lose a hundred times as much in its bends.
    worse = [
        replace(held, bends=tuple(replace(point, loss_db=point.loss_db * 100.0) for point in held.bends))
        for held in plant.fibre_classes.values()
    ]
    seen = [e for e in expected_events(Continuity(put(plant, *worse)), node) if e.kind == "bend"]
    assert seen
    assert {e.site_name for e in seen} == {"WB-07"}
    assert all(e.planned_db > 0.05 for e in seen)
