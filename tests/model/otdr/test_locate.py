"""A reading becomes a mark: worked by hand on one cable and over several, and back again from any place."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import MarkJump
from model.errors import PlantError
from model.nodes import node_of
from model.otdr.locate import Located, locate
from model.otdr.reading import Known, Reading
from model.parts import CableType
from tests.model.otdr.plants import drum, laid_with_port, marrowfield, one_cable, pon

TICKET = Reading(3359.0, index=1.4682, lead_m=150.0)


def ticket(reading: Reading = TICKET) -> Located:
    continuity = marrowfield()
    return locate(continuity, node_of(continuity, "MF-48:17"), reading)


# The fault ticket, worked by hand: 3359 x 1.4682 / 1.4670 = 3361.7 m; - 150 lead - 6 tail = 3205.7 m of fibre;
# / 1.018 = 3149.1 m of sheath; mark 4 + 3149.1 = 3153, the out side of K2; route 3149.1 - 15 riser - 45 of coils -
# 4 of openings = 3085 m, the chainage of K2. Excess 1.3 to 2.3 %: marks 3138 to 3169.


def test_the_ticket_by_hand() -> None:
    found = ticket()
    assert found.true_m == pytest.approx(3361.7, abs=0.05)
    assert found.fibre_m == pytest.approx(3205.7, abs=0.05)
    assert found.sheath_m == pytest.approx(3149.1, abs=0.05)
    assert found.route_m == pytest.approx(3085.0, abs=0.5)
    assert found.chainage_m == pytest.approx(3085.0, abs=0.5)
    assert (found.mark, found.band) == ("3153 m", ("3138 m", "3169 m"))
    assert (found.cable_name, found.fibre) == ("MF-48", 17)
    assert found.between_names == ("K2", "K3")
    assert (found.nearest.name, found.nearest.side) == ("K2", "out")
    assert found.nearest.offset_m == pytest.approx(0.0, abs=0.2)


def test_the_answers_that_forget_a_step_are_not_given() -> None:
    # 3.359 km as metres along the ground lies 274 m past K2; the lead alone taken off (3203 m fibre, as if it were
    # sheath and route) 118 m past it. Both are in the span after K2 and far outside the band.
    low, high = ticket().band_m
    for wrong_route in (3359.0, 3203.0):
        wrong_mark = 3153.0 + COIL + (wrong_route - 3085.0)
        assert not low <= wrong_mark <= high
        assert abs(ticket().route_m - wrong_route) > 100.0


COIL = 15.0


def test_the_next_box_would_have_shown_another_distance() -> None:
    # K3's in mark 4093: (4093 - 4) x 1.018 + 6 + 150 = 4318.6 m true, 4315 m as shown.
    assert ticket(replace(TICKET, shown_m=4315.0)).nearest.name == "K3"


def test_the_working_shows_every_figure() -> None:
    words = "\n".join(ticket().working)
    for figure in ("3361.7", "3205.7", "0.018", "3149.1", "3153 m", "3085 m", "3138 to 3169 m", "exchange end, at HUB"):
        assert figure in words


def test_from_the_field_end_the_same_place_is_found() -> None:
    # From K4: sheath 4765 - 3153.06 = 1611.94 m, less nothing, x 1.018 = 1640.95 m true, x 1.4670/1.4682 shown.
    shown = (4765.0 - 3153.06) * 1.018 * 1.4670 / 1.4682
    found = ticket(Reading(shown, index=1.4682, from_end="field"))
    assert found.mark == "3153 m"
    assert found.sheath_m == pytest.approx(1611.94, abs=0.01)
    # Along the ground from K4: 4635 - 3085 less nothing; the place lies in the coil at K2.
    assert found.route_m == pytest.approx(1550.0, abs=0.1)
    low, high = found.band_m
    assert 3153 - low == pytest.approx(high - 3153, rel=0.1)
    assert high - low < 20  # nearer, so known better than the 31 m of the reading from the hub


def test_an_index_set_too_low_shows_too_far() -> None:
    assert ticket(replace(TICKET, index=1.4600)).sheath_m < ticket().sheath_m


def test_no_index_means_that_of_the_cable() -> None:
    assert ticket(replace(TICKET, index=None)).true_m == 3359.0


def test_a_tail_given_overrules_the_plant() -> None:
    assert ticket(replace(TICKET, tail_m=16.0)).fibre_m == pytest.approx(ticket().fibre_m - 10.0)


def test_inside_an_opening_the_place_is_the_site() -> None:
    found = ticket(Reading((3152.0 - 4.0) * 1.018 + 6.0))
    assert (found.mark, found.between_names, found.nearest.side) == ("3152 m", ("K2",), "")


# -- conventions of the excess ------------------------------------------------------------------------------------


def test_both_conventions_of_the_excess() -> None:
    # 12 711.253 m of fibre at 1.5 %: x (1 - HF) = 12 520.58 m (one OTDR manual), / (1 + HF) = 12 523.40 m.
    conventions: tuple[tuple[Literal["sheath", "fibre"], float], ...] = (("fibre", 12_520.58), ("sheath", 12_523.40))
    for of, sheath in conventions:
        kind = drum(0.015, excess_of=of)
        continuity = one_cable(kind, (None, 0.0), (20_000.0, None))
        found = locate(continuity, node_of(continuity, "C-48:1"), Reading(12_711.253))
        assert found.sheath_m == pytest.approx(sheath, abs=0.01)
        assert any(("(1 - 0.015)" if of == "fibre" else "(1 + 0.015)") in line for line in found.working)


# -- how sheaths are printed --------------------------------------------------------------------------------------


def plain(*marks: tuple[float | None, float | None], shown: float, **more: object) -> Located:
    """A cable without excess or index error, so that fibre, sheath and shown metres are one."""
    continuity = one_cable(drum(0.0, None, tol=0.0), *marks, **more)
    return locate(continuity, node_of(continuity, "C-48:1"), Reading(shown))


def test_marks_that_fall() -> None:
    found = plain((None, 900.0), (500.0, 498.0), (100.0, None), shown=450.0)
    assert (found.mark, found.between_names) == ("450 m", ("B", "C"))
    assert found.band_m[0] < 450.0 < found.band_m[1]


def test_marks_in_feet() -> None:
    # 304.8 m are 1000 ft; the counter stood at 500 ft (152.4 m).
    found = plain((None, 152.4), (1152.4, None), shown=304.8, mark_unit="ft")
    assert found.mark == "1500 ft"
    assert found.mark_m == pytest.approx(457.2)


def jumped(*jumps: MarkJump, marks: tuple[float, float], shown: float) -> Located:
    continuity = one_cable(drum(0.0, None, tol=0.0), (None, marks[0]), (marks[1], None))
    cable = continuity.plant.cables["c"]
    first = replace(cable.stops[0], jumps=jumps)
    continuity = one_cable(drum(0.0, None, tol=0.0), (None, marks[0]), (marks[1], None), stops=(first, cable.stops[1]))
    return locate(continuity, node_of(continuity, "C-48:1"), Reading(shown))


def test_a_counter_that_starts_anew() -> None:
    # From 9900 up to 9999.99.., then 0 to 150: 250 m of sheath; 60 m on the mark is 9960, 160 m on it is 60.
    wrap = MarkJump(10_000.0, 0.0)
    assert jumped(wrap, marks=(9900.0, 150.0), shown=60.0).mark == "9960 m"
    assert jumped(wrap, marks=(9900.0, 150.0), shown=160.0).mark == "60 m"
    near = jumped(wrap, marks=(9900.0, 150.0), shown=100.5)
    assert near.band_m[0] > 9990.0
    assert near.band_m[1] < 10.0


def test_a_length_with_another_jacket() -> None:
    # 100 m of the old sheath, 20 m of a repair length printed 4711 to 4691, then the old print again from 122.
    repair = (MarkJump(200.0, 4711.0), MarkJump(4691.0, 222.0))
    assert jumped(*repair, marks=(100.0, 500.0), shown=99.0).mark == "199 m"
    assert jumped(*repair, marks=(100.0, 500.0), shown=105.0).mark == "4706 m"
    assert jumped(*repair, marks=(100.0, 500.0), shown=125.0).mark == "227 m"


# -- several cables, tails and a splitter -------------------------------------------------------------------------


def test_over_a_splitter_from_the_customer() -> None:
    # From the outlet: 100 m drop (no excess, n 1.470), 500 m x 1.02 distribution, 2 m tail, splitter, 3 m tail, then
    # 400 m x 1.02 of the feeder: its mark is 1000 - 400. Set 1.468: the drop shows as 100 x 1.470 / 1.468.
    continuity = pon()
    shown = 100.0 * 1.470 / 1.468 + 510.0 + 5.0 + 408.0
    found = locate(continuity, node_of(continuity, "D-48:1"), Reading(shown, index=1.468, from_end="field"))
    assert (found.cable_name, found.mark) == ("F-48", "600 m")
    assert found.sheath_m == pytest.approx(1000.0)
    assert found.fibre_m == pytest.approx(1023.0)
    assert "field end at HOME" in found.launch
    assert found.notes == ()


def test_from_the_exchange_behind_a_splitter_the_sum_of_legs_is_said() -> None:
    continuity = pon()
    found = locate(continuity, node_of(continuity, "D-48:1"), Reading(1020.0 + 3.0 + 2.0 + 102.0, index=1.468))
    assert (found.cable_name, found.mark) == ("D-48", "100 m")
    assert any("SP" in note and "field end" in note for note in found.notes)


def test_a_place_in_a_tail_is_inside_the_site() -> None:
    continuity = pon()
    found = locate(continuity, node_of(continuity, "D-48:1"), Reading(1021.5, index=1.468))
    assert found.between_names == ("CAB",)
    assert found.mark == "1000 m"
    assert "1.5 m into the glass" in found.nearest.words


def test_a_band_at_a_joint_says_that_it_goes_on() -> None:
    continuity = pon()
    found = locate(continuity, node_of(continuity, "D-48:1"), Reading(1019.5, index=1.468))
    assert found.band_m[1] == pytest.approx(1000.0)
    assert any("F-48" in note and "field end" in note for note in found.notes)


# -- readings that cannot be --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (Reading(9000.0), "beyond the end of the path at K4"),
        (Reading(100.0, lead_m=150.0), "in the launch lead"),
        (Reading(float("nan")), "cannot be"),
        (Reading(-5.0), "cannot be"),
        (Reading(3000.0, index=146.82), "group index of 146.82 cannot be"),
        (Reading(3000.0, lead_m=-1.0), "launch lead of -1 m cannot be"),
    ],
)
def test_a_reading_that_cannot_be_is_one_line(reading: Reading, words: str) -> None:
    with pytest.raises(PlantError) as fault:
        ticket(reading)
    assert words in str(fault.value)
    assert fault.value.hint


def test_just_beyond_the_end_is_the_end() -> None:
    # The whole path is 6 + 4761 x 1.018 = 4852.7 m; its error is some 24 m.
    found = ticket(Reading(4860.0))
    assert (found.mark, found.nearest.name) == ("4765 m", "K4")
    assert any("beyond the path" in note for note in found.notes)


def test_a_cable_without_index_is_reckoned_with_the_one_set_and_said() -> None:
    continuity = one_cable(drum(0.0, None), (None, 0.0), (900.0, None))
    found = locate(continuity, node_of(continuity, "C-48:1"), Reading(300.0, index=1.4700))
    assert found.mark == "300 m"
    assert any("C-48" in note and "1.47" in note for note in found.notes)


def test_a_missing_mark_on_the_way_is_named() -> None:
    continuity = one_cable(drum(), (None, 0.0), (None, 502.0), (900.0, None))
    node = node_of(continuity, "C-48:1")
    with pytest.raises(PlantError, match=r"the sheath of C-48 beyond A has no length"):
        locate(continuity, node, Reading(100.0))


# -- there and back -----------------------------------------------------------------------------------------------


@st.composite
def sheaths(draw: st.DrawFn) -> tuple[CableType, list[tuple[float | None, float | None]], float]:
    """A type, marks of two to six stops rising or falling, and the whole sheath."""
    steps = draw(st.lists(st.floats(1.0, 3000.0), min_size=1, max_size=5))
    opening = draw(st.floats(0.0, 5.0))
    base, way = draw(st.floats(0.0, 500.0)), draw(st.sampled_from([1.0, -1.0]))
    if way < 0:
        base += 20_000.0
    at = base
    marks: list[tuple[float | None, float | None]] = []
    left: float | None = None
    for step in steps:
        marks.append((left, at))
        left = at + way * step
        at = left + way * opening
    marks.append((left, None))
    kind = drum(
        draw(st.floats(0.0, 0.03)), draw(st.floats(1.46, 1.48)), excess_of=draw(st.sampled_from(["sheath", "fibre"]))
    )
    return kind, marks, abs((left or 0.0) - base)


@given(sheaths(), st.floats(0.0, 1.0), st.floats(0.0, 300.0), st.sampled_from(["exchange", "field"]))
def test_any_place_is_found_again(
    made: tuple[CableType, list[tuple[float | None, float | None]], float],
    share: float,
    lead: float,
    from_end: Literal["exchange", "field"],
) -> None:
    kind, marks, whole = made
    along = share * whole
    per = 1.0 + kind.excess if kind.excess_of == "sheath" else 1.0 / (1.0 - kind.excess)
    shown = (along * per + lead) * kind.group_index[0][1] / 1.4682
    continuity = one_cable(kind, *marks)
    found = locate(continuity, node_of(continuity, "C-48:7"), Reading(shown, 1.4682, lead, from_end=from_end))
    first, last = marks[0][1] or 0.0, marks[-1][0] or 0.0
    from_first = along if from_end == "exchange" else whole - along
    expected = first + (from_first if last >= first else -from_first)
    assert found.mark_m == pytest.approx(expected, abs=1e-3)
    assert found.sheath_m == pytest.approx(along, abs=1e-3)
    low, high = found.band_m
    assert low - 1e-6 <= found.mark_m <= high + 1e-6


# -- counted from a joint that the instrument shows too ------------------------------------------------------------


def test_counted_from_a_known_joint_what_lies_before_it_no_longer_matters() -> None:
    # From the outlet, the splice at the pole shows at 130 m on a lead nobody wrote down; 51 m further on are 50 m of
    # sheath of D-48 toward the exchange: mark 500 - 50.
    continuity = pon()
    node = node_of(continuity, "D-48:1")
    reading = Reading(130.0 + 51.0, index=1.468, from_end="field", known=Known("pole", 130.0))
    found = locate(continuity, node, reading)
    assert (found.cable_name, found.mark) == ("D-48", "450 m")
    # Metres still count from the launch end: 100 m of drop and these.
    assert found.sheath_m == pytest.approx(150.0)
    assert found.fibre_m == pytest.approx(151.0)
    assert any("joint at POLE" in line for line in found.working)


def test_a_known_joint_narrows_the_band() -> None:
    # Far behind a long feeder: 0.5 % of 1000 m of sheath is 5 m; counted from the splitter it is 0.5 % of 100 m.
    continuity = pon()
    node = node_of(continuity, "D-48:1")
    shown = 1023.0 + 2.0 + 102.0
    whole = locate(continuity, node, Reading(shown, index=1.468))
    near = locate(continuity, node, Reading(shown, index=1.468, known=Known("cab", 1023.0)))
    assert whole.mark == near.mark == "100 m"
    assert whole.far_m > 5.0
    assert near.far_m < 2.0


def test_the_launch_port_as_the_known_joint_is_a_lead() -> None:
    # The tail of 6 m behind the port counts as it does without.
    continuity = laid_with_port()
    node = node_of(continuity, "MF-48:17")
    plain = locate(continuity, node, Reading(3359.0, 1.4682, 150.0))
    known = locate(continuity, node, Reading(3359.0, 1.4682, known=Known("hub", 150.0 * 1.4670 / 1.4682)))
    assert known.mark_m == pytest.approx(plain.mark_m)
    assert known.mark == "3153 m"


@pytest.mark.parametrize(
    ("known", "words"),
    [
        (Known("pole", 300.0), "lies before the joint at POLE"),
        (Known("x", 10.0), "no joint of this path at X has glass behind it"),
        (Known("nowhere", 10.0), "no joint of this path at nowhere"),
    ],
)
def test_a_joint_that_cannot_be_counted_from_is_one_line(known: Known, words: str) -> None:
    continuity = pon()
    with pytest.raises(PlantError) as fault:
        locate(continuity, node_of(continuity, "D-48:1"), Reading(200.0, from_end="field", known=known))
    assert words in str(fault.value)
    assert fault.value.hint
