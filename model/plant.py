"""The plant: every entity by kind and id. Read-only for everybody but ``changes``; a value is replaced, never altered.

Look-ups that need more than an id are in ``lookup.py``; what follows from the entities (continuity, lengths, findings)
is computed by pure functions elsewhere and cached, if at all, by ``revision``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Any, Final, TypeVar

from model.entities import (
    Acceptance,
    Cable,
    Enclosure,
    JobInfo,
    Mating,
    Port,
    Route,
    Service,
    Site,
    Splice,
    Splitter,
    Ticket,
    Tray,
)
from model.errors import PlantError
from model.parts import (
    CableType,
    ColourScheme,
    EnclosureType,
    FibreClass,
    Profile,
    SleeveType,
    SplitterType,
    TrayType,
)

Entity = (
    Acceptance
    | Cable
    | Enclosure
    | JobInfo
    | Mating
    | Port
    | Route
    | Service
    | Site
    | Splice
    | Splitter
    | Ticket
    | Tray
    | CableType
    | ColourScheme
    | EnclosureType
    | FibreClass
    | Profile
    | SleeveType
    | SplitterType
    | TrayType
)

KINDS: Final[Mapping[str, type[Any]]] = MappingProxyType(
    {
        "jobs": JobInfo,
        "profiles": Profile,
        "schemes": ColourScheme,
        "fibre_classes": FibreClass,
        "cable_types": CableType,
        "enclosure_types": EnclosureType,
        "tray_types": TrayType,
        "splitter_types": SplitterType,
        "sleeve_types": SleeveType,
        "sites": Site,
        "cables": Cable,
        "enclosures": Enclosure,
        "trays": Tray,
        "routes": Route,
        "splices": Splice,
        "splitters": Splitter,
        "ports": Port,
        "matings": Mating,
        "services": Service,
        "tickets": Ticket,
        "acceptances": Acceptance,
    }
)
"""Table name of each kind of entity, in the order of a file: types before what uses them."""

TABLE_OF: Final[Mapping[type[Any], str]] = MappingProxyType({kind: table for table, kind in KINDS.items()})


T = TypeVar("T")


class Plant:
    """Tables of entities. Reading is free; writing goes through ``model.changes``."""

    __slots__ = ("_kept", "_tables", "_versions", "revision")

    def __init__(self, entities: Iterable[Entity] = ()) -> None:
        """Hold ``entities``; raises PlantError for two of one kind with the same id."""
        self._tables: dict[str, dict[str, Any]] = {table: {} for table in KINDS}
        self._versions = dict.fromkeys(KINDS, 0)
        self._kept: dict[Callable[[Plant], Any], tuple[tuple[int, ...], Any]] = {}
        self.revision = 0
        for entity in entities:
            table = self._tables[TABLE_OF[type(entity)]]
            if entity.id in table:
                raise PlantError(
                    f"two {TABLE_OF[type(entity)]} with the id {entity.id!r}", hint="Give one of them another id"
                )
            table[entity.id] = entity

    def table(self, name: str) -> Mapping[str, Any]:
        """All entities of one kind by id; raises KeyError for a name not in ``KINDS``."""
        return MappingProxyType(self._tables[name])

    def entities(self) -> Iterable[Entity]:
        """Every entity, kind by kind in file order, in insertion order within a kind."""
        for table in self._tables.values():
            yield from table.values()

    def copy(self) -> Plant:
        """An independent plant with the same (shared, frozen) values and revision."""
        other = Plant()
        other._tables = {name: dict(table) for name, table in self._tables.items()}
        other._versions = dict(self._versions)
        other._kept = dict(self._kept)
        other.revision = self.revision
        return other

    def written(self, table: str) -> None:
        """Say that a table was written into, so that nothing read from it is kept. For ``model.changes`` only."""
        self._versions[table] += 1

    def version(self, *tables: str) -> tuple[int, ...]:
        """A value that changes whenever one of these tables does."""
        versions = self._versions
        return tuple([versions[table] for table in tables])

    def kept(self, work: Callable[[Plant], T], *tables: str) -> T:
        """``work`` of this plant, done again only after one of ``tables``, all that it reads, was written into.

        What it gives is shared by all who ask, so none of them may alter it.
        """
        stamp = self.version(*tables)
        found = self._kept.get(work)
        if found is None or found[0] != stamp:
            found = self._kept[work] = (stamp, work(self))
        value: T = found[1]
        return value

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Plant):
            return NotImplemented
        return self._tables == other._tables

    __hash__ = None  # type: ignore[assignment]  # a plant changes; it is no key

    @property
    def job(self) -> JobInfo:
        """What the title block says; empty fields when the plant has none."""
        return self._tables["jobs"].get("job", JobInfo())  # type: ignore[no-any-return]

    @property
    def profiles(self) -> Mapping[str, Profile]:
        """Owner profiles by id."""
        return self._tables["profiles"]

    @property
    def schemes(self) -> Mapping[str, ColourScheme]:
        """Colour schemes by id."""
        return self._tables["schemes"]

    @property
    def fibre_classes(self) -> Mapping[str, FibreClass]:
        """Fibre classes by id."""
        return self._tables["fibre_classes"]

    @property
    def cable_types(self) -> Mapping[str, CableType]:
        """Cable types by id."""
        return self._tables["cable_types"]

    @property
    def enclosure_types(self) -> Mapping[str, EnclosureType]:
        """Enclosure types by id."""
        return self._tables["enclosure_types"]

    @property
    def tray_types(self) -> Mapping[str, TrayType]:
        """Tray types by id."""
        return self._tables["tray_types"]

    @property
    def splitter_types(self) -> Mapping[str, SplitterType]:
        """Splitter types by id."""
        return self._tables["splitter_types"]

    @property
    def sleeve_types(self) -> Mapping[str, SleeveType]:
        """Sleeve types by id."""
        return self._tables["sleeve_types"]

    @property
    def sites(self) -> Mapping[str, Site]:
        """Sites by id."""
        return self._tables["sites"]

    @property
    def cables(self) -> Mapping[str, Cable]:
        """Cables by id."""
        return self._tables["cables"]

    @property
    def enclosures(self) -> Mapping[str, Enclosure]:
        """Enclosures by id."""
        return self._tables["enclosures"]

    @property
    def trays(self) -> Mapping[str, Tray]:
        """Trays by id."""
        return self._tables["trays"]

    @property
    def routes(self) -> Mapping[str, Route]:
        """Routes by id."""
        return self._tables["routes"]

    @property
    def splices(self) -> Mapping[str, Splice]:
        """Splices by id."""
        return self._tables["splices"]

    @property
    def splitters(self) -> Mapping[str, Splitter]:
        """Splitters by id."""
        return self._tables["splitters"]

    @property
    def ports(self) -> Mapping[str, Port]:
        """Ports by id."""
        return self._tables["ports"]

    @property
    def matings(self) -> Mapping[str, Mating]:
        """Matings by id."""
        return self._tables["matings"]

    @property
    def services(self) -> Mapping[str, Service]:
        """Services by id."""
        return self._tables["services"]

    @property
    def tickets(self) -> Mapping[str, Ticket]:
        """Fault tickets by id."""
        return self._tables["tickets"]

    @property
    def acceptances(self) -> Mapping[str, Acceptance]:
        """Accepted findings by id."""
        return self._tables["acceptances"]
