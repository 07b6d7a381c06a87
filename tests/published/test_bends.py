"""Bend loss against published limits, interpolated midpoints and the Marcuse formula of an independent library.

Limits: ITU-T G.657 (11/2016) tables 1-2 and G.652 (11/2016) table 2, from memory; the 15 mm limit of A2 at 1550 nm also
in a drop cable's specification, the least radii in an ITU leaflet.
"""

from __future__ import annotations

import math

import ofiber
import pytest

from model.catalogue import catalogue
from model.ids import FibreClassId
from model.optics.bend import course_loss_db, turn_loss
from model.parts import BendPoint, FibreClass
from tests.model.optics.plants import A1, A2, B3, D


@pytest.mark.parametrize(
    ("kind", "radius_mm", "at_1550", "at_1625"),
    [
        (A1, 15, 0.025, 0.10),
        (A1, 10, 0.75, 1.5),
        (A2, 15, 0.003, 0.01),
        (A2, 10, 0.1, 0.2),
        (A2, 7.5, 0.5, 1.0),
        (B3, 10, 0.03, 0.1),
        (B3, 7.5, 0.08, 0.25),
        (B3, 5, 0.15, 0.45),
    ],
)
def test_the_table_is_met_at_its_points(kind: FibreClass, radius_mm: float, at_1550: float, at_1625: float) -> None:
    assert turn_loss(kind, radius_mm, 1550).loss_db == pytest.approx(at_1550, rel=1e-12)
    assert turn_loss(kind, radius_mm, 1625).loss_db == pytest.approx(at_1625, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "kind"), [("g652d", D), ("g657a1", A1), ("g657a2", A2), ("g657b2", A2), ("g657b3", B3)]
)
def test_the_packaged_classes_are_the_table(key: str, kind: FibreClass) -> None:
    packaged = catalogue().fibre_classes[key]
    assert set(packaged.bends) == set(kind.bends)
    assert packaged.least_radius_mm == kind.least_radius_mm


@pytest.mark.parametrize(
    ("kind", "nm", "midpoint_db"), [(A1, 1550, 0.13693), (A1, 1625, 0.38730), (A2, 1550, 0.01732), (A2, 1625, 0.04472)]
)
def test_halfway_between_two_limits_is_their_geometric_mean(kind: FibreClass, nm: int, midpoint_db: float) -> None:
    # sqrt(0.025 x 0.75), sqrt(0.1 x 1.5), sqrt(0.003 x 0.1), sqrt(0.01 x 0.2), by hand.
    assert turn_loss(kind, 12.5, nm).loss_db == pytest.approx(midpoint_db, abs=5e-6)


def test_three_turns_of_a2_on_a_tray_of_12_5_mm() -> None:
    # 3 x 0.01732 dB: the limit, not a typical value.
    assert course_loss_db(A2, [(12.5, 3 * math.tau)], 1550) == pytest.approx(0.052, abs=5e-4)


def test_the_test_winding_of_g652_is_at_its_limit() -> None:
    # 100 turns of 30 mm radius are 18.85 m of fibre and at most 0.1 dB at 1625 nm.
    winding = [(30.0, 100 * math.tau)]
    assert sum(radius * sweep for radius, sweep in winding) / 1000 == pytest.approx(18.85, abs=0.005)
    assert course_loss_db(D, winding, 1625) == pytest.approx(0.1)


def marcuse_db(radius_mm: float, nm: int) -> float:
    """Loss of a turn of plain step-index fibre: the library's dB per metre over the turn's length."""
    per_m = float(ofiber.bending_loss_db(1.4492, 0.0036, 4.1e-6, radius_mm / 1000, nm * 1e-9))
    return per_m * math.tau * radius_mm / 1000


def test_the_formula_gives_its_tabulated_values() -> None:
    assert marcuse_db(15, 1550) == pytest.approx(0.175024, rel=1e-5)
    assert marcuse_db(10, 1625) == pytest.approx(9.64663, rel=1e-5)


@pytest.mark.parametrize("nm", [1550, 1625])
@pytest.mark.parametrize("radius_mm", [11.0, 12.0, 12.5, 13.0, 14.0])
def test_between_two_radii_the_formula_runs_as_the_interpolation_does(radius_mm: float, nm: int) -> None:
    # The formula, not the class, is the reference: two of its values taken as limits must give back those between.
    ends = tuple(BendPoint(radius, 1, nm, marcuse_db(radius, nm)) for radius in (10.0, 15.0))
    plain = FibreClass(FibreClassId("plain"), "plain", 10, 15, ends)
    assert turn_loss(plain, radius_mm, nm).loss_db == pytest.approx(marcuse_db(radius_mm, nm), rel=0.02)


def test_by_the_formula_too_a_longer_wave_loses_more_so_its_limit_bounds_a_shorter() -> None:
    for radius_mm in (7.5, 10.0, 15.0, 20.0, 30.0):
        assert marcuse_db(radius_mm, 1310) < marcuse_db(radius_mm, 1550) < marcuse_db(radius_mm, 1625)
