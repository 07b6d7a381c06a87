# mypy: disable-error-code="arg-type"
"""Change sets say what was there and what is there now; their inverse is exact, and a wrong one writes nothing."""

from __future__ import annotations

import pytest

from model.changes import Change, ChangeSet, Draft, apply
from model.entities import Site
from model.errors import EditError
from model.plant import Plant
from tests.model.lab import cable, site


def test_a_draft_reads_its_own_changes_and_leaves_the_plant_alone() -> None:
    plant = Plant([site("a")])
    draft = Draft(plant)
    draft.put(site("a", "New"))
    draft.add(site("b"))
    assert draft.plant.sites["a"].name == "New"
    assert set(draft.table("sites")) == {"a", "b"}
    assert plant == Plant([site("a")])


def test_a_change_set_holds_one_change_per_entity_from_first_to_last_value() -> None:
    draft = Draft(Plant([site("a")]))
    draft.put(site("a", "One"))
    draft.put(site("a", "Two"))
    draft.add(site("b"))
    draft.remove(Site, "b")
    assert draft.change_set("x").changes == (Change("sites", "a", site("a"), site("a", "Two")),)


def test_putting_back_the_old_value_is_no_change() -> None:
    draft = Draft(Plant([site("a")]))
    draft.put(site("a", "One"))
    draft.put(site("a"))
    assert not draft.change_set("x")


def test_removing_and_adding_again_keeps_the_first_old_value() -> None:
    draft = Draft(Plant([site("a")]))
    draft.remove(Site, "a")
    draft.add(site("a", "Again"))
    assert draft.change_set("x").changes == (Change("sites", "a", site("a"), site("a", "Again")),)


def test_what_others_lean_on_is_written_before_them_whatever_the_order_of_the_steps() -> None:
    draft = Draft(Plant())
    draft.add(cable("c", "lt-12", "a", "b"))
    draft.add(site("b"))
    draft.add(site("a"))
    assert [(c.table, c.id) for c in draft.change_set("x").changes] == [("sites", "a"), ("sites", "b"), ("cables", "c")]


def test_the_inverse_takes_everything_back() -> None:
    plant = Plant([site("a"), site("b")])
    before = plant.copy()
    draft = Draft(plant)
    draft.put(site("a", "New"))
    draft.remove(Site, "b")
    draft.add(site("c"))
    changes = draft.change_set("x")
    apply(plant, changes)
    assert {s.name for s in plant.sites.values()} == {"New", "C"}
    apply(plant, changes.inverse())
    assert plant == before
    assert changes.inverse().inverse() == changes


def test_a_change_set_that_does_not_fit_writes_nothing_at_all() -> None:
    plant = Plant([site("a"), site("b")])
    before, revision = plant.copy(), plant.revision
    changes = ChangeSet(
        "x", (Change("sites", "a", site("a"), site("a", "New")), Change("sites", "b", site("b", "Other"), None))
    )
    with pytest.raises(EditError, match="'b'"):
        apply(plant, changes)
    assert plant == before
    assert plant.revision == revision


def test_the_revision_rises_with_every_set_written() -> None:
    plant = Plant()
    apply(plant, ChangeSet("x", (Change("sites", "a", None, site("a")),)))
    apply(plant, ChangeSet("x", (Change("sites", "a", site("a"), None),)))
    assert plant.revision == 2


def test_taken_ids_and_missing_entities_are_refused() -> None:
    draft = Draft(Plant([site("a")]))
    with pytest.raises(EditError, match="already taken"):
        draft.add(site("a"))
    with pytest.raises(EditError, match="no 'q'"):
        draft.remove(Site, "q")
    assert not draft.change_set("x")
