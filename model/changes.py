"""The only way to alter a plant: a ChangeSet says which values replace which, and its inverse is the undo.

A ``Draft`` is a plant with pending changes on top, so that an edit of several steps sees its own earlier steps and
leaves nothing half-done when a later one fails.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from model.errors import EditError
from model.plant import KINDS, TABLE_OF, Entity, Plant

E = TypeVar("E", bound=Entity)


@dataclass(frozen=True, slots=True)
class Change:
    """One value replaced: ``old`` is None for an addition, ``new`` is None for a removal."""

    table: str
    id: str
    old: Entity | None
    new: Entity | None


@dataclass(frozen=True, slots=True)
class ChangeSet:
    """All that one edit changed, at most one change per entity; ``name`` is what the undo button says."""

    name: str
    changes: tuple[Change, ...]

    def inverse(self) -> ChangeSet:
        """The change set that takes this one back."""
        return ChangeSet(self.name, tuple(Change(c.table, c.id, c.new, c.old) for c in reversed(self.changes)))

    def touched(self, table: str) -> Iterator[Change]:
        """The changes of one kind of entity."""
        return (change for change in self.changes if change.table == table)

    def only(self, *tables: str) -> bool:
        """True when nothing but entities of these kinds changed."""
        return all(change.table in tables for change in self.changes)

    def __bool__(self) -> bool:
        return bool(self.changes)


def apply(plant: Plant, changes: ChangeSet) -> None:
    """Write ``changes`` into ``plant``; raises EditError, nothing written, if an old value is not the one there."""
    for change in changes.changes:
        if plant._tables[change.table].get(change.id) != change.old:
            raise EditError(
                f"{change.table} {change.id!r} is not what this change expects", hint="Reload the plant and do it again"
            )
    for change in changes.changes:
        table = plant._tables[change.table]
        if change.new is None:
            del table[change.id]
        else:
            table[change.id] = change.new
        plant.written(change.table)
    plant.revision += 1


class Draft:
    """A plant with changes that are not made yet. Reads see the changes; the plant below stays as it is."""

    def __init__(self, plant: Plant) -> None:
        self._base = plant
        self.plant = plant.copy()
        self._first: dict[tuple[str, str], Entity | None] = {}

    def _note(self, table: str, key: str) -> None:
        self._first.setdefault((table, key), self._base._tables[table].get(key))

    def put(self, entity: Entity) -> None:
        """Add ``entity`` or replace the one with its id."""
        table = TABLE_OF[type(entity)]
        self._note(table, entity.id)
        self.plant._tables[table][entity.id] = entity
        self.plant.written(table)

    def add(self, entity: Entity) -> None:
        """Add ``entity``; raises EditError if its id is taken."""
        table = TABLE_OF[type(entity)]
        if entity.id in self.plant._tables[table]:
            raise EditError(f"the id {entity.id!r} is already taken in {table}", hint="Choose another name")
        self.put(entity)

    def remove(self, kind: type[Any], key: str) -> None:
        """Remove one entity; raises EditError if there is none."""
        table = TABLE_OF[kind]
        if key not in self.plant._tables[table]:
            raise EditError(f"there is no {key!r} in {table}", hint="It may have been removed already")
        self._note(table, key)
        del self.plant._tables[table][key]
        self.plant.written(table)

    def table(self, name: str) -> Mapping[str, Any]:
        """All entities of one kind as they would be."""
        return self.plant.table(name)

    def change_set(self, name: str) -> ChangeSet:
        """What has to be written into the plant to make the draft true."""
        order = {table: index for index, table in enumerate(KINDS)}
        changes = []
        for (table, key), old in self._first.items():
            new = self.plant._tables[table].get(key)
            if old != new:
                changes.append(Change(table, key, old, new))
        changes.sort(key=lambda c: (order[c.table], c.id))
        return ChangeSet(name, tuple(changes))
