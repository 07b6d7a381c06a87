# mypy: disable-error-code="arg-type"
"""A plant is its tables: equal by value, read-only from outside, one entity per id and kind."""

from __future__ import annotations

from typing import Any

import pytest

from model.entities import Enclosure, JobInfo
from model.errors import PlantError
from model.plant import KINDS, TABLE_OF, Plant
from tests.model.lab import cable, site


def test_plants_are_equal_by_what_they_hold_whatever_the_order() -> None:
    assert Plant([site("a"), site("b")]) == Plant([site("b"), site("a")])
    assert Plant([site("a")]) != Plant([site("a", "Other")])
    assert Plant([site("a")]) != object()


def test_two_entities_of_one_kind_cannot_share_an_id_but_two_kinds_can() -> None:
    with pytest.raises(PlantError):
        Plant([site("a"), site("a", "Other")])
    plant = Plant([site("a"), cable("a", "lt-12", "a", "b"), Enclosure("a", "a", "x", "A")])
    assert (plant.sites["a"].id, plant.cables["a"].id, plant.enclosures["a"].id) == ("a", "a", "a")


def test_a_copy_shares_values_but_not_tables() -> None:
    plant = Plant([site("a")])
    other = plant.copy()
    assert other.sites["a"] is plant.sites["a"]
    other._tables["sites"].clear()
    assert "a" in plant.sites


def test_types_come_before_what_uses_them() -> None:
    order = list(KINDS)
    for first, second in [
        ("cable_types", "cables"),
        ("tray_types", "trays"),
        ("sites", "cables"),
        ("cables", "splices"),
        ("enclosures", "trays"),
        ("ports", "matings"),
        ("ports", "services"),
    ]:
        assert order.index(first) < order.index(second)
    assert {TABLE_OF[kind] for kind in KINDS.values()} == set(KINDS)


@pytest.mark.parametrize("table", sorted(KINDS))
def test_every_table_has_its_property(table: str) -> None:
    plant: Any = Plant()
    if table == "jobs":
        assert plant.job == JobInfo()
    else:
        assert getattr(plant, table) == {}
        assert plant.table(table) == {}


def test_a_plant_is_no_key() -> None:
    with pytest.raises(TypeError):
        hash(Plant())
