"""Undo and redo: a list of change sets and a place in it. Doing an edit is the only way a plant changes.

Listeners are called once per step with the change set that was written, and only then.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from model.changes import ChangeSet, Draft, apply
from model.plant import Plant


class Edit(Protocol):
    """One thing a person does, as data: it names entities by id and writes its result into a draft."""

    @property
    def name(self) -> str:
        """What the undo button says, such as ``cut TM-B1 13-16``."""
        ...

    def write(self, draft: Draft) -> None:
        """Check first, then write; raises EditError if it cannot be done."""
        ...


def propose(plant: Plant, *edits: Edit, name: str | None = None) -> ChangeSet:
    """What the edits would change, without changing anything. Several edits become one step."""
    draft = Draft(plant)
    for edit in edits:
        edit.write(draft)
    return draft.change_set(name if name is not None else "; ".join(edit.name for edit in edits))


class History:
    """The steps done to one plant. ``clean`` is true when the plant equals what was last marked saved."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self._done: list[ChangeSet] = []
        self._undone: list[ChangeSet] = []
        self._saved_at: int | None = 0
        self._listeners: list[Callable[[ChangeSet], None]] = []

    def listen(self, listener: Callable[[ChangeSet], None]) -> None:
        """Call ``listener`` after every step, with the change set written."""
        self._listeners.append(listener)

    def _tell(self, changes: ChangeSet) -> ChangeSet:
        # Last of all: a listener that asks for ``clean`` or ``undo_name`` must get the answer after the step.
        for listener in tuple(self._listeners):
            listener(changes)
        return changes

    def do(self, *edits: Edit, name: str | None = None) -> ChangeSet:
        """Do the edits as one step. An edit that changes nothing makes no step. Raises EditError, nothing changed."""
        return self.commit(propose(self.plant, *edits, name=name))

    def commit(self, changes: ChangeSet) -> ChangeSet:
        """Write a proposal made on this very plant as one step."""
        if not changes:
            return changes
        apply(self.plant, changes)
        self._done.append(changes)
        self._undone.clear()
        if self._saved_at is not None and self._saved_at >= len(self._done):
            self._saved_at = None
        return self._tell(changes)

    @property
    def undo_name(self) -> str | None:
        """Name of the step that undo would take back."""
        return self._done[-1].name if self._done else None

    @property
    def redo_name(self) -> str | None:
        """Name of the step that redo would do again."""
        return self._undone[-1].name if self._undone else None

    @property
    def steps(self) -> tuple[ChangeSet, ...]:
        """The steps done and not undone, oldest first."""
        return tuple(self._done)

    def undo(self) -> ChangeSet | None:
        """Take the last step back; None if there is none."""
        if not self._done:
            return None
        inverse = self._done[-1].inverse()
        apply(self.plant, inverse)
        self._undone.append(self._done.pop())
        return self._tell(inverse)

    def redo(self) -> ChangeSet | None:
        """Do the last undone step again; None if there is none."""
        if not self._undone:
            return None
        step = self._undone[-1]
        apply(self.plant, step)
        self._done.append(self._undone.pop())
        return self._tell(step)

    def mark_saved(self) -> None:
        """Remember that the plant as it is now is on disk."""
        self._saved_at = len(self._done)

    @property
    def clean(self) -> bool:
        """True when nothing differs from what was last marked saved."""
        return self._saved_at == len(self._done)
