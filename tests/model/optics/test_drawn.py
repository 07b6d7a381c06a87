"""Bends of the drawn routes, against the small wall box worked by hand."""

from math import pi

import pytest

from model.glass import Piece
from model.graph import Continuity
from model.layout import course_of
from model.optics.budget import budget
from model.optics.drawn import drawn_bends
from model.templates import THISTLEMERE, mid_span


def test_an_uncut_fibre_in_the_bay_has_three_and_a_half_turns_there() -> None:
    plant = mid_span(THISTLEMERE)
    bends = drawn_bends(plant)
    whole = next(piece for piece in bends if isinstance(piece, Piece) and piece.fibre == 1)
    # T1 lies on its lane of 51.67 mm: up one side, three turns and a half, down the other.
    lane = [sweep for radius, sweep in bends[whole] if radius == pytest.approx(51.667, abs=0.01)]
    assert sum(lane) == pytest.approx(3.5 * 2 * pi, abs=1e-6)


def test_a_joined_fibre_carries_its_tube_and_its_turns_on_the_tray() -> None:
    plant = mid_span(THISTLEMERE)
    arcs = drawn_bends(plant)["tm-b1:15@tm-b1.wb-07<"]
    tube = course_of(plant.routes["tube tm-b1.wb-07 T2<"])
    on_tray = sum(sweep for radius, sweep in arcs) - sum(abs(b.sweep_rad) for b in tube.bends())
    # On the tray: whole turns of the track, half a turn to its side lane, a quarter into the slot.
    assert on_tray / (pi / 2) == pytest.approx(round(on_tray / (pi / 2)), abs=1e-6)
    assert on_tray >= 2 * pi


def test_the_budget_counts_drawn_bends_as_their_own_item() -> None:
    continuity = Continuity(mid_span(THISTLEMERE))
    plain = budget(continuity, "th-3")
    drawn = budget(continuity, "th-3", drawn_bends(continuity.plant))
    assert drawn.loss_db == plain.loss_db
    # G.652.D: at most 0.001 dB a turn at 30 mm and wider (G.652 table 2, from memory), A2 0.003 at 15 mm and wider.
    assert 0.0 < drawn.bend_db[1550] < 0.05
