"""Bands keep their casing, marks and halo; a course becomes a path that every renderer draws alike."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.geometry.segments import Arc, Straight
from render.bands import LONGEST_ARC_RAD, band, halo, mark_dash, ribbon, steps_of
from render.drawing import ArcTo, LineTo, MoveTo, Path, PathStep
from render.planar import outlines
from render.style import INK, LOOKS, PAPER

STEPS: tuple[PathStep, ...] = (MoveTo(0, 0), LineTo(50, 0))


def paths(**options: object) -> list[Path]:
    group = band(STEPS, width=2.4, casing=0.25, **options)  # type: ignore[arg-type]
    return [part for part in group.parts if isinstance(part, Path)]


def test_a_band_is_casing_then_core_on_the_same_steps() -> None:
    casing, core = paths(colour="white")
    assert casing.steps is core.steps
    assert (casing.pen.stroke, casing.pen.width) == (INK, 2.4)
    assert core.pen.stroke == PAPER
    assert core.pen.width == pytest.approx(1.9)


def test_a_band_carries_its_ref_and_role() -> None:
    group = band(STEPS, "blue", 1.0, ref="LM-A1:1", title="tube 1")
    assert (group.role, group.ref, group.title) == ("band", "LM-A1:1", "tube 1")


def test_the_second_dozen_has_one_black_dash_and_the_third_two() -> None:
    # TIA-598-C as restated by Wikipedia: each further dozen adds one stripe, yellow on black.
    assert paths(colour="blue", marks=1)[-1].pen.dash == (1.0, 2.5)
    assert paths(colour="blue", marks=1)[-1].pen.stroke == INK
    assert paths(colour="black", marks=1)[-1].pen.stroke == LOOKS["yellow"].fill
    assert len(mark_dash(2)) == 4
    assert len(mark_dash(3)) == 6


def test_a_transparent_fibre_may_carry_a_black_ring() -> None:
    *_, mark = paths(colour="transparent", marks=1, mark_colour="black")
    assert mark.pen.stroke == INK


@pytest.mark.parametrize("colour", sorted(LOOKS))
@pytest.mark.parametrize("marks", [0, 1, 2])
def test_the_pattern_version_has_no_colour(colour: str, marks: int) -> None:
    drawn = paths(colour=colour, mono=True, marks=marks)
    assert {path.pen.stroke for path in drawn} <= {INK, PAPER}


def test_marks_show_in_the_pattern_version_of_black() -> None:
    plain, marked = paths(colour="black", mono=True), paths(colour="black", mono=True, marks=1)
    assert len(marked) == len(plain) + 2
    assert marked[-2].pen.stroke == PAPER


def test_a_casing_that_leaves_no_core_is_refused() -> None:
    with pytest.raises(ValueError, match="no core"):
        band(STEPS, "blue", 0.5, 0.25)


def test_a_halo_is_white_and_half_a_millimetre_wider_on_each_side() -> None:
    pen = halo(STEPS, 2.4).pen
    assert pen.stroke == PAPER
    assert pen.width == pytest.approx(3.4)


def test_a_ribbon_stands_for_several_fibres_and_claims_no_colour() -> None:
    assert ribbon(STEPS, PAPER, 2.0).role == "ribbon"


def test_a_course_is_scaled_and_moved() -> None:
    steps = steps_of([Straight(0, 0, 100, 0), Arc(100, 20, 20, -math.pi / 2, math.pi / 2)], 0.5, 10, 5)
    assert steps[0] == MoveTo(10, 5)
    assert steps[1] == LineTo(60, 5)
    end = steps[2]
    assert isinstance(end, ArcTo)
    assert (end.x, end.y, end.r) == pytest.approx((70, 15, 10))
    assert end.sweep
    assert not end.large


def test_a_course_may_begin_with_an_arc() -> None:
    first = steps_of([Arc(0, 0, 10, 0, -math.pi / 2)])
    assert first[0] == MoveTo(10, 0)
    end = first[1]
    assert isinstance(end, ArcTo)
    assert (end.x, end.y) == pytest.approx((0, -10))
    assert not end.sweep


@given(
    st.floats(5, 200),
    st.floats(-7, 7),
    st.floats(-20, 20).filter(lambda sweep: abs(sweep) > 0.01),
)
def test_arcs_are_short_pieces_whose_flattened_length_is_radius_times_sweep(
    r: float, start: float, sweep: float
) -> None:
    steps = steps_of([Arc(3, 4, r, start, sweep)])
    pieces = [step for step in steps if isinstance(step, ArcTo)]
    assert abs(sweep) / len(pieces) <= LONGEST_ARC_RAD + 1e-6
    assert not any(piece.large for piece in pieces)
    (line,) = outlines(Path(steps))
    length = sum(math.dist(a, b) for a, b in pairwise(line))
    assert length == pytest.approx(r * abs(sweep), rel=0.01)
    assert all(math.dist(point, (3, 4)) == pytest.approx(r, rel=1e-6) for point in line)
    assert line[-1] == pytest.approx((3 + r * math.cos(start + sweep), 4 + r * math.sin(start + sweep)), abs=1e-6)
