# mypy: disable-error-code="union-attr"
"""``swap``: joints and whole trays change places as one step; what cannot is refused at its column."""

from __future__ import annotations

import pytest

from model.layout import course_of
from model.line.entry import Entry
from model.line.readback import all_completions, read_line
from model.plant import Plant
from model.rules.run import check
from tests.model.line.lines import done, joint, large, small


def by_slot(plant: Plant, tray: str) -> dict[int, int]:
    """Fibre of the feeder by slot."""
    (key,) = (t.id for t in plant.trays.values() if t.name == tray)
    return {s.slot or 0: s.a.fibre for s in plant.splices.values() if s.tray == key}


def test_two_joints_change_places_and_one_undo_puts_them_back() -> None:
    # Larkmoor joins fibres 25 to 34 in slots 1 to 10 of tray 2.
    history, after = done(large(), "swap tray 2 3 and tray 2 7")
    assert by_slot(after.plant, "2") == {**{n: 24 + n for n in range(1, 11)}, 3: 31, 7: 27}
    assert history.undo_name == "swap tray 2 3 and tray 2 7"
    history.undo()
    assert by_slot(history.plant, "2") == {n: 24 + n for n in range(1, 11)}


def test_ranges_change_places_slot_by_slot_in_the_order_said() -> None:
    _, after = done(large(), "swap tray 2 1-3 and tray 2 8,tray 2 9,tray 2 10")
    assert [by_slot(after.plant, "2")[n] for n in (1, 2, 3, 8, 9, 10)] == [32, 33, 34, 25, 26, 27]


def test_joints_of_two_trays_change_places() -> None:
    _, after = done(large(), "put tray 2 10 on tray 1; swap tray 1 1 and tray 2 1")
    assert by_slot(after.plant, "1") == {1: 25}
    assert by_slot(after.plant, "2")[1] == 34


def test_a_whole_tray_of_joints_goes_to_another_in_one_step() -> None:
    history, after = done(large(), "put tray 2 on tray 1")
    assert by_slot(after.plant, "1") == {n: 24 + n for n in range(1, 11)}
    assert by_slot(after.plant, "2") == {}
    assert len(history.steps) == 1


def test_a_whole_tray_keeps_its_gaps_where_the_other_is_free_there() -> None:
    _, after = done(large(), "put tray 2 8-10 on tray 2 from 20", "put tray 2 on tray 1")
    assert by_slot(after.plant, "1") == {**{n: 24 + n for n in range(1, 8)}, 20: 32, 21: 33, 22: 34}
    # Where one of its slots is used there, they close up in the free ones.
    _, after = done(large(), "put tray 2 10 on tray 1 from 3", "put tray 2 on tray 1")
    assert by_slot(after.plant, "1") == {3: 34, 1: 25, 2: 26, **{n + 1: 24 + n for n in range(3, 10)}}


def test_two_trays_change_positions_and_their_courses_follow() -> None:
    context = large()
    before = {r.id: r for r in context.plant.routes.values() if r.tray}
    history, after = done(context, "swap tray 2 and tray 1")
    plant = after.plant
    assert {t.name: t.position for t in plant.trays.values()} == {"1": 2, "2": 1, "3": 3}
    box = next(iter(plant.enclosures.values()))
    places = {p.number: p for p in plant.enclosure_types[box.type].tray_positions}
    # Position 1 of this box lies 16 mm lower on the page than position 2.
    down = places[1].y_mm - places[2].y_mm
    assert down == pytest.approx(16.0)
    for key, old in before.items():
        new = plant.routes[key]
        assert new.supports[-1].y_mm == pytest.approx(old.supports[-1].y_mm + down)
        assert new.supports[0] == old.supports[0]
        assert course_of(new).length_mm > 0
    assert not [f for f in check(plant) if f.severity == "error"]
    assert len(history.steps) == 1
    history.undo()
    assert {r.id: r for r in history.plant.routes.values() if r.tray} == before


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        ("swap tray 2 1-3 and tray 2 5-6", 21, "3 slots on the left, 2 on the right"),
        ("swap tray 2 1-3 and tray 2 3-5", 21, "slot 3 stands on both sides"),
        ("swap tray 2 3 and tray 2 12", 26, "slot 12 of tray 2 is empty"),
        ("swap tray 2 3 and tray 2 30", 26, "tray 2 has 24 slots, not 30"),
        ("swap LM-A1:3 and tray 2", 6, "only trays and their slots change places"),
        ("swap tray 2 and tray 2", 17, "tray 2 stands on both sides"),
        ("swap tray 2 and tray 9", 22, "no tray at WB-12 is called '9'"),
        ("swap tray 2 3", 14, "swap with what?"),
        ("swap tray 2 3 on tray 1", 15, "'on' is not understood after swap"),
    ],
)
def test_what_cannot_change_places_is_refused_at_its_column(text: str, column: int, message: str) -> None:
    context = large()
    before = context.plant.copy()
    reading = read_line(context, text)
    assert reading.error is not None
    assert (reading.error.column, reading.error.message) == (column, message)
    assert not reading.edits
    assert Entry().enter(reading) == "refuse"
    assert context.plant == before


def test_a_ribbon_sleeve_changes_places_with_all_its_joints() -> None:
    context = joint("rb-144", "tray-ribbon-12", 2)
    _, after = done(context, "join A:R1-R3 to B:R1-R3 on tray 1", "swap tray 1 1 and tray 1 3")
    held: dict[int, set[int]] = {}
    for splice in after.plant.splices.values():
        held.setdefault(splice.slot or 0, set()).add((splice.a.fibre - 1) // 12 + 1)
    assert held == {1: {3}, 2: {2}, 3: {1}}


def test_endings_offer_trays_and_nothing_else() -> None:
    offered = [c.text for c in all_completions(small(), "swap ")]
    assert offered == ["swap tray 1"]
    assert "swap tray 2 3 and " in [c.text.rstrip() + " " for c in all_completions(large(), "swap tray 2 3")]
