# mypy: disable-error-code="arg-type"
"""Steps, their names, the saved mark, and listeners that are told once and after the fact."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.changes import ChangeSet
from model.edits.cutting import CutFibres
from model.edits.parts import Add, Remove, Replace
from model.errors import EditError
from model.history import History, propose
from model.plant import Plant
from tests.model.lab import cable, site, start


def add(key: str) -> Add:
    return Add((site(key),), f"add {key}")


def test_undo_and_redo_say_the_name_of_their_step() -> None:
    history = History(Plant())
    assert (history.undo_name, history.redo_name) == (None, None)
    history.do(add("a"))
    history.do(add("b"), add("c"), name="two at once")
    assert (history.undo_name, history.redo_name) == ("two at once", None)
    history.undo()
    assert (history.undo_name, history.redo_name) == ("add a", "two at once")
    assert list(history.plant.sites) == ["a"]
    history.redo()
    assert set(history.plant.sites) == {"a", "b", "c"}
    history.do(add("d"), add("e"))
    assert history.undo_name == "add d; add e"


def test_there_is_nothing_before_the_first_step_and_nothing_after_the_last() -> None:
    history = History(Plant())
    assert history.undo() is None
    history.do(add("a"))
    assert history.redo() is None
    assert history.plant == Plant([site("a")])


def test_clean_follows_the_saved_step_through_undo_and_redo() -> None:
    history = History(Plant())
    assert history.clean
    history.do(add("a"))
    history.do(add("b"))
    history.mark_saved()
    history.undo()
    assert not history.clean
    history.redo()
    assert history.clean
    history.do(add("c"))
    assert not history.clean
    history.undo()
    assert history.clean


def test_a_new_branch_never_looks_like_the_saved_one() -> None:
    history = History(Plant())
    history.do(add("a"))
    history.do(add("b"))
    history.mark_saved()
    history.undo()
    history.do(add("c"))
    assert len(history.steps) == 2
    assert not history.clean
    history.undo()
    history.undo()
    assert not history.clean


@given(st.lists(st.sampled_from(["do", "undo", "redo", "save"]), max_size=30))
def test_clean_is_true_only_of_the_saved_plant(actions: list[str]) -> None:
    history = History(Plant())
    saved = history.plant.copy()
    for number, action in enumerate(actions):
        if action == "do":
            history.do(add(f"s{number}"))
        elif action == "undo":
            history.undo()
        elif action == "redo":
            history.redo()
        else:
            history.mark_saved()
            saved = history.plant.copy()
        # Every step here adds a site of its own name, so equal plants mean the same place in the list of steps.
        assert not history.clean or history.plant == saved
        if history.plant == saved and action == "save":
            assert history.clean


def test_listeners_are_told_once_for_each_step_with_what_was_written() -> None:
    history = History(Plant())
    told: list[ChangeSet] = []
    history.listen(told.append)
    history.do(add("a"), add("b"))
    assert [(c.id, c.old is None) for c in told[0].changes] == [("a", True), ("b", True)]
    history.undo()
    assert {(c.id, c.new is None) for c in told[1].changes} == {("a", True), ("b", True)}
    history.redo()
    assert told[2] == told[0]
    history.undo()
    history.undo()
    assert len(told) == 4


def test_a_listener_sees_the_history_as_it_is_after_the_step() -> None:
    history = History(Plant())
    seen: list[tuple[str | None, str | None, bool]] = []
    history.listen(lambda _: seen.append((history.undo_name, history.redo_name, history.clean)))
    history.do(add("a"))
    history.undo()
    history.redo()
    assert seen == [("add a", None, False), (None, "add a", True), ("add a", None, False)]


def test_an_edit_that_changes_nothing_makes_no_step() -> None:
    history = start(site("a"), site("b"), site("z"), cable("c", "lt-24", "a", "b", "z"))
    told: list[ChangeSet] = []
    history.listen(told.append)
    history.do(Replace(site("a"), "same"))
    history.do(add("q"), Remove("sites", "q", "remove q"))
    assert (history.steps, told, history.clean) == ((), [], True)


def test_an_edit_that_fails_half_way_changes_nothing() -> None:
    history = start(site("a"), site("b"), site("z"), cable("c", "lt-24", "a", "b", "z"))
    history.do(add("q"))
    history.undo()
    before, revision = history.plant.copy(), history.plant.revision
    with pytest.raises(EditError):
        history.do(CutFibres("c", "c.b", (1,)), add("x"), add("x"))
    assert history.plant == before
    assert history.plant.revision == revision
    assert (history.undo_name, history.redo_name) == (None, "add q")


def test_a_proposal_changes_nothing_and_a_stale_one_is_refused() -> None:
    history = start(site("a"), site("b"), site("z"), cable("c", "lt-24", "a", "b", "z"))
    before = history.plant.copy()
    one = propose(history.plant, CutFibres("c", "c.b", (1,)))
    two = propose(history.plant, CutFibres("c", "c.b", (2,)))
    assert history.plant == before
    history.commit(one)
    middle = history.plant.copy()
    with pytest.raises(EditError):
        history.commit(two)
    assert history.plant == middle
    assert len(history.steps) == 1


def test_an_undo_that_cannot_be_written_leaves_the_step_in_place() -> None:
    history = History(Plant())
    history.do(add("a"))
    outsider = History(history.plant)
    outsider.do(Replace(site("a", "renamed"), "rename"))
    with pytest.raises(EditError):
        history.undo()
    assert (history.undo_name, history.redo_name) == ("add a", None)
