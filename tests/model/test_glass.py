# mypy: disable-error-code="arg-type"
"""Cutting never creates or loses glass: the pieces of a fibre always partition its cable."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.edits.cutting import CutFibres, CutTubes, MakeWhole
from model.entities import Cable, MarkJump, TubeWork
from model.glass import Piece, fibre_m, fibre_per_sheath, opening_m, pieces, sheath_m, span_m
from model.graph import Continuity
from model.parts import CableType
from tests.model.lab import cable, end, site, start

UNEVEN = CableType("t", "6 + 12 + 12", "loose tube", (6, 12, 12), "x", "x", "y", 9.0, excess=0.02)
STOPS = tuple("abcdef")


@st.composite
def worked(draw: st.DrawFn) -> Cable:
    """A cable of six stops with marks rising or falling, some tubes opened or cut at each passing stop."""
    base = cable("c", "t", *STOPS)
    steps = draw(st.lists(st.floats(0.0, 5000.0), min_size=10, max_size=10))
    marks = [sum(steps[: i + 1]) for i in range(10)]
    if draw(st.booleans()):
        marks = [60_000.0 - mark for mark in marks]
    stops = []
    for index, stop in enumerate(base.stops):
        mark_in = marks[2 * index - 1] if index else None
        mark_out = marks[2 * index] if index < len(STOPS) - 1 else None
        tubes: tuple[TubeWork, ...] = ()
        if 0 < index < len(STOPS) - 1:
            for tube, fibres in ((1, range(1, 7)), (2, range(7, 19)), (3, range(19, 31))):
                state = draw(st.sampled_from(["express", "opened", "cut"]))
                at_mm = draw(st.none() | st.floats(-10.0, 1e7))
                if state == "opened":
                    chosen = draw(st.sets(st.sampled_from(fibres)))
                    tubes += (TubeWork(tube, "opened", tuple(sorted(chosen)), at_mm),)
                elif state == "cut":
                    tubes += (TubeWork(tube, "cut", (), at_mm),)
        stops.append(replace(stop, mark_in_m=mark_in, mark_out_m=mark_out, tubes=tubes))
    tails = draw(st.tuples(st.floats(0.0, 20.0), st.floats(0.0, 20.0)))
    stops[0] = replace(stops[0], tail_m=tails[0])
    stops[-1] = replace(stops[-1], tail_m=tails[1])
    return replace(base, stops=tuple(stops))


@given(worked())
def test_the_pieces_of_every_fibre_partition_the_cable(made: Cable) -> None:
    by_fibre: dict[int, list[Piece]] = {}
    for piece in pieces(made, UNEVEN):
        by_fibre.setdefault(piece.fibre, []).append(piece)
    assert sorted(by_fibre) == list(range(1, 31))
    for chain in by_fibre.values():
        assert chain[0].first == 0
        assert chain[-1].last == len(STOPS) - 1
        assert all(one.last == two.first for one, two in pairwise(chain))
        assert all(piece.first < piece.last for piece in chain)


@given(worked())
def test_cutting_neither_makes_nor_loses_a_metre_of_glass(made: Cable) -> None:
    uncut = replace(made, stops=tuple(replace(stop, tubes=()) for stop in made.stops))
    whole = {piece.fibre: fibre_m(uncut, UNEVEN, piece) for piece in pieces(uncut, UNEVEN)}
    total = dict.fromkeys(whole, 0.0)
    for piece in pieces(made, UNEVEN):
        length = fibre_m(made, UNEVEN, piece)
        assert length is not None
        assert length >= 0.0
        total[piece.fibre] += length
    for fibre, length in whole.items():
        assert total[fibre] == pytest.approx(length, rel=1e-9, abs=1e-6)


def test_fibre_length_by_hand_from_the_marks() -> None:
    # 100 m, a 2 m opening, 100 m; cut 0.5 m into the opening: 100.5 and 101.5 m of sheath, 2 % more glass, 3 m tail.
    made = cable("c", "t", "a", "b", "z")
    passing = replace(made.stops[1], tubes=(TubeWork(1, "cut", (), 500.0),))
    made = replace(made, stops=(replace(made.stops[0], tail_m=3.0), passing, made.stops[2]))
    first, second = (piece for piece in pieces(made, UNEVEN) if piece.fibre == 1)
    assert sheath_m(made, UNEVEN, first) == pytest.approx(100.5)
    assert sheath_m(made, UNEVEN, second) == pytest.approx(101.5)
    assert fibre_m(made, UNEVEN, first) == pytest.approx(100.5 * 1.02 + 3.0)
    assert fibre_m(made, UNEVEN, second) == pytest.approx(101.5 * 1.02)


def test_a_tube_cut_without_a_place_leaves_the_opening_to_the_exchange_side() -> None:
    made = cable("c", "t", "a", "b", "z")
    made = replace(made, stops=(made.stops[0], replace(made.stops[1], tubes=(TubeWork(1, "cut"),)), made.stops[2]))
    first, second = (piece for piece in pieces(made, UNEVEN) if piece.fibre == 6)
    assert (sheath_m(made, UNEVEN, first), sheath_m(made, UNEVEN, second)) == (102.0, 100.0)


def test_marks_may_fall_along_a_cable() -> None:
    made = cable("c", "t", "a", "b", "z")
    fallen = replace(
        made,
        stops=tuple(
            replace(
                s,
                mark_in_m=None if s.mark_in_m is None else 900.0 - s.mark_in_m,
                mark_out_m=None if s.mark_out_m is None else 900.0 - s.mark_out_m,
            )
            for s in made.stops
        ),
    )
    assert [span_m(fallen, 0), span_m(fallen, 1), opening_m(fallen.stops[1])] == [100.0, 100.0, 2.0]


def test_a_missing_mark_gives_no_length_instead_of_a_wrong_one() -> None:
    made = cable("c", "t", "a", "b", "z")
    made = replace(made, stops=(made.stops[0], replace(made.stops[1], mark_in_m=None), made.stops[2]))
    assert [fibre_m(made, UNEVEN, piece) for piece in pieces(made, UNEVEN)] == [None] * 30


def test_an_uncut_fibre_through_twenty_stops_is_one_edge_a_cut_makes_two_and_made_whole_one_again() -> None:
    places = [f"s{n}" for n in range(22)]
    history = start(*(site(place) for place in places), cable("c", "lt-24", *places))
    here = "c.s11"

    def edges_of(fibre: int) -> int:
        made = Continuity(history.plant)
        return sum(isinstance(p, Piece) and p.fibre == fibre for p in made.edges().values())

    def lengths() -> float:
        made = history.plant.cables["c"]
        kind = history.plant.cable_types["lt-24"]
        return sum(fibre_m(made, kind, p) or 0.0 for p in pieces(made, kind) if p.fibre == 13)

    before = lengths()
    assert edges_of(13) == 1
    history.do(CutFibres("c", here, (13,)))
    assert (edges_of(13), edges_of(14)) == (2, 1)
    assert lengths() == pytest.approx(before)
    history.do(MakeWhole("c", here, (13,)))
    assert (edges_of(13), edges_of(14)) == (1, 1)
    history.do(CutTubes("c", here, (2,)))
    assert (edges_of(12), edges_of(13), edges_of(24)) == (1, 2, 2)


def test_the_ends_of_a_piece_look_at_each_other() -> None:
    made = cable("c", "t", "a", "b", "z")
    piece = next(pieces(made, UNEVEN))
    assert piece.ends(made) == (end("c", 1, "a", ">"), end("c", 1, "z", "<"))


def jumping(*jumps: MarkJump) -> Cable:
    """100 m out of A, 500 m into B, with jumps of the print between."""
    base = cable("c", "t", "a", "b")
    first, last = base.stops
    stops = (replace(first, mark_out_m=100.0, jumps=jumps), replace(last, mark_in_m=500.0))
    return replace(base, stops=stops)


def test_a_span_is_the_sum_of_what_is_printed_between_its_jumps() -> None:
    assert span_m(jumping(), 0) == 400.0
    # A counter that starts anew after 9999: 9900 m and 500 m of it.
    assert span_m(jumping(MarkJump(10_000.0, 0.0)), 0) == 9900.0 + 500.0
    # 100 m of the old print, 20 m falling on the repair length, 278 m of the old print.
    assert span_m(jumping(MarkJump(200.0, 4711.0), MarkJump(4691.0, 222.0)), 0) == 100.0 + 20.0 + 278.0


def test_the_excess_in_both_conventions() -> None:
    # 1000 m of fibre at 2 %: 1000 / 1.02 = 980.39 m of sheath, or 1000 x 0.98 = 980 m.
    of_sheath, of_fibre = UNEVEN, replace(UNEVEN, excess_of="fibre")
    assert 1000.0 / fibre_per_sheath(of_sheath) == pytest.approx(980.392, abs=1e-3)
    assert 1000.0 / fibre_per_sheath(of_fibre) == pytest.approx(980.0)
    assert fibre_per_sheath(of_sheath, 0.005) == pytest.approx(1.025)
