"""The packaged trays are true to size: what is drawn on them lies on them, clear of the rest, at a lawful radius."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest

from model.catalogue import catalogue
from model.parts import TrayType

TRAYS = list(catalogue().tray_types.values())
each_tray = pytest.mark.parametrize("tray", TRAYS, ids=lambda tray: tray.id)


def rows(tray: TrayType) -> list[float]:
    return [tray.holder_y_mm + i * tray.pitch_mm + i // tray.rows * tray.row_gap_mm for i in range(tray.slots)]


def turn_mm(tray: TrayType) -> float:
    return 2 * (tray.straight_x_mm + tray.straight_y_mm) + 2 * math.pi * tray.track_radius_mm


def sleeve_diameter_mm(tray: TrayType) -> float:
    return max(
        sleeve.diameter_mm
        for sleeve in catalogue().sleeve_types.values()
        if sleeve.kind == tray.kind and sleeve.length_mm == tray.sleeve_mm
    )


def test_one_turn_on_the_trays() -> None:
    # 2 x 60 + 2 pi 30 = 308.5 and, round the holders, 2 x (74 + 60) + 2 pi 30 = 456.5, by hand.
    assert turn_mm(catalogue().tray_types["tray-24"]) == pytest.approx(308.5, abs=0.05)
    assert turn_mm(catalogue().tray_types["tray-24-large"]) == pytest.approx(456.5, abs=0.05)


@each_tray
def test_the_id_says_the_capacity(tray: TrayType) -> None:
    assert tray.slots * tray.per_slot == int(re.findall(r"\d+", tray.id)[0])


@each_tray
def test_track_lanes_and_holders_lie_on_the_tray(tray: TrayType) -> None:
    outer = tray.track_radius_mm + (tray.lanes - 1) * tray.lane_mm
    half_x, half_y = tray.straight_x_mm / 2 + outer, tray.straight_y_mm / 2 + outer
    assert tray.track_x_mm - half_x >= 2 <= tray.width_mm - tray.track_x_mm - half_x
    assert tray.track_y_mm - half_y >= 2 <= tray.height_mm - tray.track_y_mm - half_y
    half = sleeve_diameter_mm(tray) / 2
    assert rows(tray)[-1] + half <= tray.height_mm - 2
    assert tray.pitch_mm >= 2 * half


@each_tray
def test_sleeves_do_not_lie_on_the_track(tray: TrayType) -> None:
    half = sleeve_diameter_mm(tray) / 2
    if tray.straight_y_mm:  # the holders stand inside the track
        inner = tray.straight_y_mm / 2 + tray.track_radius_mm
        assert tray.track_y_mm - inner < rows(tray)[0] - half
        assert rows(tray)[-1] + half < tray.track_y_mm + inner
    else:
        outer = tray.track_y_mm + tray.track_radius_mm + (tray.lanes - 1) * tray.lane_mm
        assert outer < rows(tray)[0] - half


@each_tray
def test_a_quarter_arc_leads_from_the_side_lane_into_every_row(tray: TrayType) -> None:
    radius = tray.track_radius_mm
    half_x = tray.straight_x_mm / 2 + radius
    # The arc ends before the sleeve does on either side ...
    assert tray.track_x_mm - half_x + radius <= tray.holder_x_mm - tray.sleeve_mm / 2
    assert tray.track_x_mm + half_x - radius >= tray.holder_x_mm + tray.sleeve_mm / 2
    # ... and starts where the fibre runs along y: below the track's middle, or on its straight, up or down.
    low, high = tray.track_y_mm - tray.straight_y_mm / 2, tray.track_y_mm + tray.straight_y_mm / 2
    for row in rows(tray):
        if tray.straight_y_mm:
            assert low <= row - radius <= high or low <= row + radius <= high
        else:
            assert row - radius >= tray.track_y_mm
            assert row >= tray.track_y_mm + 35


@each_tray
def test_tubes_and_drops_enter_from_opposite_sides_above_the_track(tray: TrayType) -> None:
    # Opposite sides: common practice, no source.
    sides = {corner.side: corner for corner in tray.corners}
    assert set(sides) == {"tube", "drop"}
    heights = [corner.y_mm for corner in tray.corners if corner.side == "tube"]
    assert len(set(heights)) >= 2
    assert min(b - a for a, b in pairwise(heights)) >= 2.5  # tubes of 2.5 mm side by side
    tops = [
        tray.track_y_mm - tray.straight_y_mm / 2 - tray.track_radius_mm - lane * tray.lane_mm
        for lane in range(tray.lanes)
    ]
    for corner in tray.corners:
        assert (corner.x_mm, corner.heading_deg) == ((0, 0) if corner.side == "tube" else (tray.width_mm, 180))
        assert min(abs(corner.y_mm - top) for top in tops) < 1e-9


def test_g652_fibre_can_lie_on_every_tray() -> None:
    assert all(tray.track_radius_mm >= catalogue().fibre_classes["g652d"].storage_radius_mm for tray in TRAYS)
