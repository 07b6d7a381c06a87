"""Labels and leaders: least move, no crossings, nothing lost."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString
from shapely.geometry import box as shapely_box

from render.box import Box, Leg, leg_meets_box, legs_cross, legs_nearer_than
from render.labels import Field, Placement, Target, limit_text, place_labels
from render.spread import spread

LEFT, RIGHT = Box(23, 28, 39, 172), Box(268.5, 28, 28, 172)
BAND = Box(70, 16, 190, 4.4)
FIELD = Field(LEFT, RIGHT)

coordinates = st.integers(min_value=0, max_value=400).map(lambda n: n / 2)


@st.composite
def targets_in_a_drawing(draw: st.DrawFn) -> list[Target]:
    count = draw(st.integers(1, 24))
    found = []
    for n in range(count):
        x, y = draw(st.integers(70, 260)), draw(st.integers(40, 195))
        further = draw(st.lists(st.tuples(st.integers(70, 260), st.integers(40, 195)), max_size=2))
        found.append(
            Target(
                f"t{n}",
                x,
                y,
                ("Clamp", "M8")[: draw(st.integers(1, 2))],
                side=draw(st.sampled_from(["left", "right", None])),
                alternatives=tuple(further),
            )
        )
    return found


obstacles = st.lists(
    st.builds(Box, st.integers(70, 240), st.integers(40, 185), st.integers(1, 30), st.integers(1, 12)),
    max_size=6,
)


def faults_of(placement: Placement, walls: list[Box]) -> list[str]:
    """What is wrong with a placement, found with an independent geometry library."""
    found = []
    legs = [LineString([p.leg[:2], p.leg[2:]]) for p in placement.placed]
    boxes = [shapely_box(p.box.x, p.box.y, p.box.right, p.box.bottom) for p in placement.placed]
    for i, j in itertools.combinations(range(len(legs)), 2):
        if legs[i].intersects(legs[j]):
            found.append(f"legs {i} {j} cross")
        if boxes[i].buffer(-1e-6).intersects(boxes[j].buffer(-1e-6)):
            found.append(f"labels {i} {j} overlap")
    for i, leg in enumerate(legs):
        for wall in walls:
            solid = shapely_box(wall.x, wall.y, wall.right, wall.bottom)
            if leg.intersects(solid):
                found.append(f"leg {i} crosses {wall}")
            if boxes[i].buffer(-1e-6).intersects(solid):
                found.append(f"label {i} covers {wall}")
        for j, label in enumerate(boxes):
            if i != j and leg.intersects(label.buffer(-1e-6)):
                found.append(f"leg {i} crosses label {j}")
    return found


@settings(max_examples=40, deadline=None)
@given(targets_in_a_drawing(), obstacles, st.booleans())
def test_leaders_cross_nothing_and_no_label_is_lost(targets: list[Target], walls: list[Box], band: bool) -> None:
    field = Field(LEFT, RIGHT, BAND if band else None, tuple(walls))
    placement = place_labels(targets, field)
    assert faults_of(placement, walls) == []
    placed = [p.target.key for p in placement.placed]
    left_over = [u.target.key for u in placement.unplaced]
    assert sorted(placed + left_over) == sorted(t.key for t in targets)
    for p in placement.placed:
        home = field.box(p.place)
        assert home is not None
        assert home.holds(p.box)
        assert (p.leg.x2, p.leg.y2) in p.target.points
    assert all(u.reason for u in placement.unplaced)


@settings(max_examples=15, deadline=None)
@given(targets_in_a_drawing(), obstacles)
def test_the_same_input_gives_the_same_output(targets: list[Target], walls: list[Box]) -> None:
    field = Field(LEFT, RIGHT, None, tuple(walls))
    assert place_labels(targets, field) == place_labels(list(targets), field)


def best_by_trial(wishes: list[float], gaps: list[float], low: float, high: float) -> float:
    """Least sum of squared moves, by trying every way to cut the row into touching runs.

    At the optimum the row falls into runs of touching things, each at its mean wish or against a bound.
    """
    count, best = len(wishes), float("inf")
    offsets = [sum(gaps[1 : i + 1]) for i in range(count)]
    for cuts in itertools.product((False, True), repeat=count - 1):
        runs, start = [], 0
        for i in range(1, count + 1):
            if i == count or cuts[i - 1]:
                runs.append(range(start, i))
                start = i
        spots = [0.0] * count
        for run in runs:
            mean = sum(wishes[i] - offsets[i] for i in run) / len(run)
            level = min(max(mean, low), high - offsets[-1])
            for i in run:
                spots[i] = level + offsets[i]
        if all(spots[i] - spots[i - 1] >= gaps[i] - 1e-9 for i in range(1, count)):
            best = min(best, sum((s - w) ** 2 for s, w in zip(spots, wishes, strict=True)))
    return best


@given(st.lists(st.tuples(coordinates, st.sampled_from([4.0, 8.0, 12.0])), min_size=1, max_size=7))
def test_pushing_apart_moves_least(things: list[tuple[float, float]]) -> None:
    wishes, gaps = [w for w, _ in things], [g for _, g in things]
    low, high = 10.0, 150.0
    spots = spread(wishes, gaps, low, high)
    assert spots is not None
    assert spots[0] >= low - 1e-9
    assert spots[-1] <= high + 1e-9
    assert all(spots[i] - spots[i - 1] >= gaps[i] - 1e-9 for i in range(1, len(spots)))
    cost = sum((s - w) ** 2 for s, w in zip(spots, wishes, strict=True))
    assert cost == pytest.approx(best_by_trial(wishes, gaps, low, high), abs=1e-6)


def test_two_labels_at_one_height_part_by_half_a_slot_each() -> None:
    # By hand: slots 12 apart, both wish 100, so 94 and 106.
    assert spread([100, 100], [12, 12], 0, 200) == [94, 106]


def test_a_row_without_room_is_refused() -> None:
    assert spread([1, 2, 3], [12, 12, 12], 0, 20) is None


def test_labels_with_room_stand_at_the_height_of_their_targets() -> None:
    targets = [Target("a", 100, 60, ("Basket", "R 71")), Target("b", 230, 120, ("Clamp",))]
    a, b = place_labels(targets, FIELD).placed
    assert (a.place, a.leg) == ("left", Leg(62, 60, 100, 60))
    assert (b.place, b.leg) == ("right", Leg(268.5, 120, 230, 120))
    assert a.box == Box(23, 52, 39, 8)


def test_a_deeper_target_behind_a_nearer_one_does_not_cross_it() -> None:
    # Three targets in a row at one height: sorted by height alone the legs would run through each other.
    targets = [Target(f"t{n}", 80 + 20 * n, 100, ("Tie", "loose"), side="left") for n in range(3)]
    placement = place_labels(targets, FIELD)
    assert not placement.unplaced
    assert [p.place for p in placement.placed] == ["left"] * 3
    assert faults_of(placement, []) == []


def test_a_wall_before_the_target_sends_the_leader_to_the_other_gutter() -> None:
    wall = Box(66, 28, 2, 172)
    (only,) = place_labels([Target("a", 100, 60, ("Basket",), side="left")], Field(LEFT, RIGHT, None, (wall,))).placed
    assert only.place == "right"


def test_a_target_under_a_text_moves_along_its_feature() -> None:
    wall = Box(95, 55, 10, 10)
    (only,) = place_labels(
        [Target("a", 100, 60, ("Basket",), alternatives=((100, 80),))], Field(LEFT, RIGHT, None, (wall,))
    ).placed
    assert (only.leg.x2, only.leg.y2) == (100, 80)


def test_walls_on_both_sides_send_the_label_to_the_band_above() -> None:
    walls = (Box(66, 28, 2, 172), Box(262, 28, 2, 172))
    (only,) = place_labels(
        [Target("a", 100, 60, ("T3-GR", "side B"), colour="#14803C")], Field(LEFT, RIGHT, BAND, walls)
    ).placed
    assert only.place == "top"
    assert BAND.holds(only.box)


def test_labels_beyond_the_room_come_back_with_a_reason() -> None:
    small = Field(Box(0, 0, 39, 20), None)
    placement = place_labels([Target(f"t{n}", 60, 5 + n, ("Clamp", "M8")) for n in range(3)], small)
    # 20 mm hold one slot of 12 and one of 8 without its gap.
    assert len(placement.placed) == 2
    assert [u.target.key for u in placement.unplaced] == ["t2"]
    assert "room" in placement.unplaced[0].reason


def test_a_label_wider_than_its_gutter_is_returned_not_shrunk() -> None:
    (only,) = place_labels([Target("a", 100, 60, ("W" * 60,))], FIELD).unplaced
    assert "wider" in only.reason


def test_a_key_given_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="share a key"):
        place_labels([Target("a", 1, 1, ("x",)), Target("a", 2, 2, ("y",))], FIELD)


def test_limits_carry_the_true_sign() -> None:
    assert limit_text("R", 41, 38, True) == "R 41 ≥ 38"
    assert limit_text("R", 36.04, 38, False) == "R 36 < 38"
    assert limit_text("loss dB", 0.3, 0.5, True, at_least=False) == "loss dB 0.3 ≤ 0.5"
    assert limit_text("fill", "52 %", "40 %", False, at_least=False) == "fill 52 % > 40 %"


# A stroke without length is no valid line in the other library.
legs = st.builds(Leg, coordinates, coordinates, coordinates, coordinates).filter(lambda leg: leg.length > 0)


@given(legs, legs)
def test_crossings_agree_with_an_independent_library(a: Leg, b: Leg) -> None:
    one, other = LineString([a[:2], a[2:]]), LineString([b[:2], b[2:]])
    assert legs_cross(a, b) == one.intersects(other)
    if abs(one.distance(other) - 0.8) > 1e-9:
        assert legs_nearer_than(a, b, 0.8) == (one.distance(other) < 0.8)


@given(legs, st.builds(Box, coordinates, coordinates, st.integers(1, 60), st.integers(1, 60)))
def test_a_stroke_meets_a_box_as_an_independent_library_says(leg: Leg, box: Box) -> None:
    line, solid = LineString([leg[:2], leg[2:]]), shapely_box(box.x, box.y, box.right, box.bottom)
    if line.distance(solid.boundary) > 1e-9:
        assert leg_meets_box(leg, box) == line.intersects(solid)
