"""What the drafted small wall box asks for, against lengths known in the trade (common practice, no source)."""

from __future__ import annotations

import pytest

from model.layout import drop_runs, tube_runs
from model.lookup import tray_type
from model.prep import opening_needed_mm, strip_needed_mm
from model.templates import TEMPLATES

PLANT = TEMPLATES["mid-span-small"]()
BOX = next(iter(PLANT.enclosures.values()))


def test_a_mid_span_entry_of_a_48_fibre_cable_in_a_small_wall_box_opens_about_1600_mm() -> None:
    # 1600 mm (63 in) of sheath opening: common practice, no source.
    (run,) = tube_runs(PLANT, BOX)
    assert sum(PLANT.cable_types[run.cable.type].tubes) == 48
    assert run.tray is not None
    assert opening_needed_mm(run, tray_type(PLANT, run.tray)) == pytest.approx(1600.0, rel=0.10)


def test_a_drop_into_such_a_box_is_stripped_about_1270_mm() -> None:
    # 1270 mm (50 in) of jacket removed: common practice, no source.
    run = next(run for run in drop_runs(PLANT, BOX) if run.tray is not None)
    assert run.tray is not None
    kind = tray_type(PLANT, run.tray)
    for slot in (1, 12, 24):
        assert strip_needed_mm(run, kind, slot) == pytest.approx(1270.0, rel=0.10)


def test_the_exchange_side_of_an_opened_tube_keeps_the_long_tail() -> None:
    # Tubes to be spliced are cut on the field side: common practice, no source.
    (run,) = tube_runs(PLANT, BOX)
    assert run.cut_mm is not None
    assert run.opening_mm is not None
    assert run.cut_mm > run.opening_mm / 2


def test_fibre_lies_at_least_one_full_turn_on_its_tray() -> None:
    # At least one full turn before the holder: common practice, no source.
    for name in TEMPLATES:
        plant = TEMPLATES[name]()
        housing = next(iter(plant.enclosures.values()))
        for tube in tube_runs(plant, housing):
            assert tube.on_track is not None
            assert tube.on_track.turns >= 1.0
        for drop in drop_runs(plant, housing):
            if drop.tray is not None:
                assert drop.on_track is not None
                assert drop.on_track.turns >= 1.0


def test_tube_side_and_drop_side_enter_a_tray_from_opposite_sides() -> None:
    # Common practice, no source.
    for tray in PLANT.tray_types.values():
        headings = {side: {c.heading_deg for c in tray.corners if c.side == side} for side in ("tube", "drop")}
        assert headings == {"tube": {0.0}, "drop": {180.0}}
