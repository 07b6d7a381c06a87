"""The packaged enclosures are true to size: everything inside, nothing on top of another, room for every bend."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest

from model.catalogue import catalogue
from model.parts import Bay, EnclosureType, Entry

ENCLOSURES = list(catalogue().enclosure_types.values())
each_enclosure = pytest.mark.parametrize("enclosure", ENCLOSURES, ids=lambda enclosure: enclosure.id)

Box = tuple[float, float, float, float]


def apart(a: Box, b: Box) -> bool:
    return a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def inside(box: Box, enclosure: EnclosureType) -> bool:
    return box[0] >= 0 and box[1] >= 0 and box[2] <= enclosure.width_mm and box[3] <= enclosure.height_mm


def bay_box(bay: Bay) -> Box:
    half = bay.ring_mm + bay.straight_mm / 2
    return (bay.x_mm - bay.ring_mm, bay.y_mm - half, bay.x_mm + bay.ring_mm, bay.y_mm + half)


def tray_boxes(enclosure: EnclosureType) -> list[Box]:
    """Each tray type of the enclosure in each of its positions."""
    trays = [catalogue().tray_types[tray] for tray in enclosure.trays]
    return [
        (at.x_mm, at.y_mm, at.x_mm + tray.width_mm, at.y_mm + tray.height_mm)
        for at in enclosure.tray_positions
        for tray in trays
    ]


def along(entry: Entry, inward_mm: float) -> tuple[float, float]:
    angle = math.radians(entry.heading_deg)
    return entry.x_mm + inward_mm * math.cos(angle), entry.y_mm + inward_mm * math.sin(angle)


def clamp_box(entry: Entry) -> Box:
    """A clamp 12 mm deep, 4 mm wider on each side than the largest sheath (common practice, no source)."""
    x, y = along(entry, entry.clamp_mm)
    wide, deep = entry.seal_max_mm / 2 + 4, 6.0
    half_x, half_y = (deep, wide) if entry.heading_deg in (0, 180) else (wide, deep)
    return (x - half_x, y - half_y, x + half_x, y + half_y)


def sheath_end(entry: Entry) -> tuple[float, float]:
    return along(entry, entry.end_mm)


@each_enclosure
def test_entries_stand_on_an_edge_and_point_inward(enclosure: EnclosureType) -> None:
    for entry in enclosure.entries:
        x, y = along(entry, 1.0)
        on_edge = entry.x_mm in (0, enclosure.width_mm) or entry.y_mm in (0, enclosure.height_mm)
        assert on_edge
        assert 0 < x < enclosure.width_mm
        assert 0 < y < enclosure.height_mm
        corner = min(enclosure.corner_mm, 12.0)
        middle = entry.x_mm if entry.heading_deg == -90 else entry.y_mm
        length = enclosure.width_mm if entry.heading_deg == -90 else enclosure.height_mm
        assert corner <= middle <= length - corner


@each_enclosure
def test_clamps_lie_inside_and_apart(enclosure: EnclosureType) -> None:
    boxes = [clamp_box(entry) for entry in enclosure.entries]
    assert all(inside(box, enclosure) for box in boxes)
    assert all(apart(a, b) for a, b in combinations(boxes, 2))


@each_enclosure
def test_trays_and_bays_lie_inside_and_apart(enclosure: EnclosureType) -> None:
    bays = [bay_box(bay) for bay in enclosure.bays]
    trays = tray_boxes(enclosure)
    assert bays
    assert trays
    assert all(inside(box, enclosure) for box in bays + trays)
    assert all(apart(a, b) for a, b in combinations(bays, 2))
    assert all(apart(bay, tray) for bay in bays for tray in trays)


@each_enclosure
def test_sheath_ends_stop_short_of_bays_and_trays(enclosure: EnclosureType) -> None:
    for entry in enclosure.entries:
        x, y = sheath_end(entry)
        half = entry.seal_max_mm / 2
        box = (
            min(x, entry.x_mm) - half,
            min(y, entry.y_mm) - half,
            max(x, entry.x_mm) + half,
            max(y, entry.y_mm) + half,
        )
        assert entry.clamp_mm < entry.end_mm
        assert all(apart(box, other) for other in [*map(bay_box, enclosure.bays), *tray_boxes(enclosure)])


@each_enclosure
def test_anchors_and_bond_stud_stand_clear(enclosure: EnclosureType) -> None:
    assert enclosure.bond_x_mm is not None
    assert enclosure.bond_y_mm is not None
    points = [(enclosure.bond_x_mm, enclosure.bond_y_mm)]
    points += [
        (entry.rod_x_mm, entry.rod_y_mm)
        for entry in enclosure.entries
        if entry.rod_x_mm is not None and entry.rod_y_mm is not None
    ]
    blocks: list[Box] = [(x - 5, y - 5, x + 5, y + 5) for x, y in points]
    others = [*map(clamp_box, enclosure.entries), *map(bay_box, enclosure.bays), *tray_boxes(enclosure)]
    assert all(inside(block, enclosure) for block in blocks)
    assert all(apart(a, b) for a, b in combinations(blocks, 2))
    assert all(apart(block, other) for block in blocks for other in others)


@each_enclosure
def test_cable_entries_have_an_anchor_within_reach(enclosure: EnclosureType) -> None:
    # 55 mm of strength member are left beyond the jacket (common practice, no source).
    for entry in enclosure.entries:
        if entry.seal_max_mm > 9:
            assert entry.rod_x_mm is not None
            assert entry.rod_y_mm is not None
            x, y = sheath_end(entry)
            assert math.hypot(entry.rod_x_mm - x, entry.rod_y_mm - y) <= 55


@each_enclosure
def test_a_through_cable_has_its_pair(enclosure: EnclosureType) -> None:
    pair = {entry.name: entry for entry in enclosure.entries if entry.name in ("1A", "1B")}
    assert set(pair) == {"1A", "1B"}
    bay = enclosure.bays[0]
    if enclosure.kind != "in-line":
        assert pair["1A"].group == pair["1B"].group == "1"
        assert bay.x_mm - pair["1A"].x_mm == pair["1B"].x_mm - bay.x_mm == bay.hub_mm
    else:
        assert (pair["1A"].heading_deg, pair["1B"].heading_deg) == (0, 180)
        assert bay.y_mm - pair["1A"].y_mm == pair["1B"].y_mm - bay.y_mm == bay.hub_mm


@each_enclosure
def test_trays_are_fanned_so_that_each_shows_its_entry_corners(enclosure: EnclosureType) -> None:
    for a, b in pairwise(enclosure.tray_positions):
        if a.x_mm == b.x_mm:
            assert a.y_mm - b.y_mm == 16
            # The higher one on the page lies behind, with room for a tray between.
            assert a.level_mm - b.level_mm >= 10
    assert max(position.level_mm for position in enclosure.tray_positions) + 10 <= enclosure.depth_mm


@each_enclosure
def test_a_drop_can_turn_into_the_upper_corner_of_every_tray(enclosure: EnclosureType) -> None:
    # Tubes of 2.5 mm take R 38; the lane runs up between tray and wall.
    right = max(box[2] for box in tray_boxes(enclosure) if box[2] <= enclosure.width_mm)
    assert enclosure.width_mm - right >= 40


@each_enclosure
def test_the_bay_takes_the_tubes_of_loose_tube_cables(enclosure: EnclosureType) -> None:
    assert all(bay.ring_mm > bay.hub_mm >= catalogue().cable_types["lt-48"].tube_bend_mm for bay in enclosure.bays)


@each_enclosure
def test_rated_splices_are_what_the_trays_hold(enclosure: EnclosureType) -> None:
    tray = catalogue().tray_types[enclosure.trays[0]]
    # A sleeve of the packaged ribbon trays holds a ribbon of 12.
    largest = tray.slots * (12 if tray.kind == "ribbon" else 1)
    assert enclosure.splices == len(enclosure.tray_positions) * largest
    assert enclosure.panel_ports == (288 if enclosure.kind == "cabinet" else 0)


def test_the_small_wall_box() -> None:
    # The course worked by hand: 200 mm straight up from the sheath ends to the hub circle of R 45; bay 22 x 18 mm.
    box = catalogue().enclosure_types["wall-box-small"]
    bay = box.bays[0]
    legs = [entry for entry in box.entries if entry.group == "1"]
    for leg in legs:
        x, y = sheath_end(leg)
        assert abs(x - bay.x_mm) == bay.hub_mm == 45
        assert y - bay.y_mm == pytest.approx(200)
        assert (leg.seal_min_mm, leg.seal_max_mm, leg.end_mm, leg.clamp_mm) == (8, 14, 48, 25)
    assert (bay.ring_mm, bay.section_width_mm, bay.section_height_mm) == (67, 22, 18)
    assert all(left - bay_box(bay)[2] >= 40 for left, *_ in tray_boxes(box))
    drops = [entry for entry in box.entries if entry.cables == 3]
    assert [(entry.seal_min_mm, entry.seal_max_mm) for entry in drops] == [(3, 7)] * 4


def test_the_cables_meant_for_a_box_fit_its_seals() -> None:
    for box, entry_name, cable in (
        ("wall-box-small", "1A", "lt-48"),
        ("wall-box-small", "4", "rd-4"),
        ("wall-box-large", "1A", "lt-72"),
        ("dome-4", "1A", "lt-144"),
        ("cabinet-288", "1A", "lt-288"),
    ):
        entry = next(e for e in catalogue().enclosure_types[box].entries if e.name == entry_name)
        assert entry.seal_min_mm <= catalogue().cable_types[cable].od_mm <= entry.seal_max_mm
