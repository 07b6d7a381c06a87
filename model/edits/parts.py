"""Adding, replacing and removing whole entities: sites, cables, enclosures, trays, ports, services, part types.

Removal refuses while something still leans on the entity, and says what.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from model.changes import Draft
from model.entities import Cable, FibreEnd, LegEnd
from model.errors import EditError
from model.lookup import end_exists
from model.plant import KINDS, TABLE_OF, Entity


@dataclass(frozen=True, slots=True)
class Add:
    """Add new entities; raises EditError if an id is taken."""

    entities: tuple[Entity, ...]
    name: str

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        for entity in self.entities:
            draft.add(entity)


@dataclass(frozen=True, slots=True)
class Bring:
    """Bring part types into the plant; a type that is there already with the same values is left alone."""

    entities: tuple[Entity, ...]
    name: str = "bring part types"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if another part has the same id."""
        for entity in self.entities:
            held = draft.table(TABLE_OF[type(entity)]).get(entity.id)
            if held is None:
                draft.add(entity)
            elif held != entity:
                raise EditError(f"the plant has another part {entity.id!r}", hint="Give the new part another id")


@dataclass(frozen=True, slots=True)
class Replace:
    """Replace one entity by a value with the same id; raises EditError if there is none."""

    entity: Entity
    name: str

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        table = TABLE_OF[type(self.entity)]
        if self.entity.id not in draft.table(table):
            raise EditError(f"there is no {self.entity.id!r} in {table}", hint="It may have been removed already")
        draft.put(self.entity)


@dataclass(frozen=True, slots=True)
class Remove:
    """Remove one entity that nothing else leans on; raises EditError naming what does."""

    table: str
    id: str
    name: str

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        if self.id not in draft.table(self.table):
            raise EditError(f"there is no {self.id!r} in {self.table}", hint="It may have been removed already")
        users = leaning_on(draft, self.table, self.id)
        if users:
            raise EditError(
                f"{self.id} is still used by {', '.join(users[:3])}{' and others' if len(users) > 3 else ''}",
                hint="Remove or change those first",
            )
        draft.remove(KINDS[self.table], self.id)


def _ids_in(value: Any) -> set[str]:
    """Every string inside an entity that may be an id of another."""
    if isinstance(value, str):
        return {value}
    if isinstance(value, tuple):
        return set().union(*(_ids_in(item) for item in value)) if value else set()
    if is_dataclass(value) and not isinstance(value, type):
        return set().union(*(_ids_in(getattr(value, field.name)) for field in fields(value)))
    return set()


_REFERRED = {
    "schemes": ("cable_types",),
    "fibre_classes": ("cable_types",),
    "cable_types": ("cables",),
    "enclosure_types": ("enclosures",),
    "tray_types": ("trays", "enclosure_types"),
    "splitter_types": ("splitters",),
    "sites": ("cables", "enclosures", "splices", "splitters", "ports"),
    "cables": ("splices", "matings", "routes"),
    "enclosures": ("trays", "routes"),
    "trays": ("cables", "splices", "splitters", "routes"),
    "splitters": ("splices", "matings"),
    "ports": ("matings", "services"),
}


def leaning_on(draft: Draft, table: str, key: str) -> list[str]:
    """Ids of the entities that refer to one, in file order."""
    wanted = {key}
    if table == "cables":
        cable: Cable = draft.table("cables")[key]
        wanted |= {stop.id for stop in cable.stops}
    return [
        entity.id
        for user in _REFERRED.get(table, ())
        for entity in draft.table(user).values()
        if not (user == table and entity.id == key) and _ids_in(entity) - {entity.id} & wanted
    ]


def require_end(draft: Draft, end: FibreEnd | LegEnd) -> None:
    """Raises EditError unless the end of glass exists in the draft, saying why it does not."""
    plant = draft.plant
    if end_exists(plant, end):
        return
    if isinstance(end, LegEnd):
        raise EditError(f"splitter {end.splitter} has no leg {end.role} {end.number}", hint="Count its legs again")
    cable = plant.cables.get(end.cable)
    if cable is None:
        raise EditError(f"there is no cable {end.cable!r}", hint="Add the cable first")
    count = plant.cable_types[cable.type].fibre_count
    if not 1 <= end.fibre <= count:
        raise EditError(f"{cable.name} has {count} fibres, not {end.fibre}", hint=f"It has fibres 1-{count}")
    if all(stop.id != end.stop for stop in cable.stops):
        raise EditError(f"{cable.name} does not stop there", hint="Choose one of its stops")
    raise EditError(f"{cable.name}:{end.fibre} is uncut there", hint=f"Cut it first: cut {cable.name}:{end.fibre}")
