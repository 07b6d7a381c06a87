"""Adding, replacing and removing whole entities: sites, cables, enclosures, trays, ports, services, part types.

Removal refuses while something still leans on the entity, and says what.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.changes import Draft
from model.entities import Cable, Enclosure, FibreEnd, GlassEnd, LegEnd, Mating, Route, Splice, Splitter, Ticket, Tray
from model.errors import EditError
from model.lookup import end_exists
from model.parts import CableType, EnclosureType
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
    """Replace one entity by a value with the same id.

    Raises EditError if there is none, or if an end of glass that a joint or plug uses would be gone.
    """

    entity: Entity
    name: str

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        table = TABLE_OF[type(self.entity)]
        if self.entity.id not in draft.table(table):
            raise EditError(f"there is no {self.entity.id!r} in {table}", hint="It may have been removed already")
        old = draft.table(table)[self.entity.id]
        held = _ends_held(draft) if table in _GLASS and not _same_glass(old, self.entity) else ()
        draft.put(self.entity)
        for user, end in held:
            if not end_exists(draft.plant, end):
                raise EditError(
                    f"{user} joins glass that {self.entity.id} would no longer have", hint="Take that joint apart first"
                )


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


_GLASS = ("cables", "cable_types", "splitters", "splitter_types")
"""Entities that say which ends of glass there are."""


def _same_glass(old: Entity, new: Entity) -> bool:
    """True where a cable or splitter keeps every end of glass it has: only names, marks, entries or coils change."""
    if isinstance(old, Cable) and isinstance(new, Cable):
        cuts = [[(s.id, s.site, s.tubes) for s in cable.stops] for cable in (old, new)]
        return old.type == new.type and cuts[0] == cuts[1]
    return isinstance(old, Splitter) and isinstance(new, Splitter) and (old.type, old.site) == (new.type, new.site)


def _ends_held(draft: Draft) -> list[tuple[str, GlassEnd]]:
    """(id of the user, end) of every end that a splice or plug uses and that exists."""
    plant = draft.plant
    ends: list[tuple[str, GlassEnd]] = [(mating.id, mating.end) for mating in plant.matings.values()]
    for splice in plant.splices.values():
        ends += [(splice.id, splice.a), (splice.id, splice.b)]
    return [(user, end) for user, end in ends if end_exists(plant, end)]


def _end_ids(end: GlassEnd) -> tuple[tuple[str, str], ...]:
    if isinstance(end, FibreEnd):
        return (("cables", end.cable), ("stops", end.stop))
    return (("splitters", end.splitter),)


def _uses(entity: Entity) -> set[tuple[str, str]]:
    """(table, id) of everything an entity refers to; stops count as a table of their own."""
    found: set[tuple[str, str | None]] = set()
    for field, table in _FIELDS.items():
        value = getattr(entity, field, None)
        if isinstance(value, str):
            found.add((table, value))
    if isinstance(entity, CableType):
        found |= {("schemes", entity.tube_scheme), ("schemes", entity.fibre_scheme)}
    elif isinstance(entity, EnclosureType):
        found |= {("tray_types", tray) for tray in entity.trays}
    elif isinstance(entity, Cable | Enclosure | Tray | Splitter):
        found.add((f"{TABLE_OF[type(entity)][:-1]}_types", entity.type))
    if isinstance(entity, Cable):
        for stop in entity.stops:
            found.add(("sites", stop.site))
            found |= {("trays", stored.tray) for stored in stop.stored}
    elif isinstance(entity, Splice):
        found |= {*_end_ids(entity.a), *_end_ids(entity.b)}
    elif isinstance(entity, Mating):
        found |= set(_end_ids(entity.end))
    elif isinstance(entity, Ticket):
        found |= {("services", service) for service in (*entity.down, *entity.up)}
        found |= {use for shot in entity.shots for use in _end_ids(shot.glass)}
    elif isinstance(entity, Route):
        found |= {("stops", stop) for stop in entity.stops}
    return {(table, key) for table, key in found if key}


_FIELDS = {
    "site": "sites",
    "enclosure": "enclosures",
    "tray": "trays",
    "port": "ports",
    "at": "ports",
    "fibre_class": "fibre_classes",
    "profile": "profiles",
}
"""Fields that hold the id of another entity, in whatever kind they stand."""


def leaning_on(draft: Draft, table: str, key: str) -> list[str]:
    """Ids of the entities that refer to one, in file order. A name or note that happens to equal its id is no use."""
    wanted = {(table, key)}
    if table == "cables":
        cable: Cable = draft.table("cables")[key]
        wanted |= {("stops", stop.id) for stop in cable.stops}
    return [
        entity.id
        for user in KINDS
        for entity in draft.table(user).values()
        if not (user == table and entity.id == key) and _uses(entity) & wanted
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
