"""The generic part types that come with the program, and parts files that people write themselves.

A parts file is TOML: one table per part, ``[cable_types.my-cable]``, with the field names of ``model.parts`` as keys.
Reading is strict: an unknown key, a missing one, a wrong type, a size that cannot be or a reference to a part that is
not there is one PlantError that names the file, the part and the key. Lengths are millimetres as in ``model.parts``.
It must not know plants: who needs parts asks ``parts_for`` and puts them in.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final, Literal, NoReturn, cast, get_args, get_origin, get_type_hints

import msgspec

from model.errors import PlantError, RefError
from model.part_faults import Part, part_faults
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

TABLES: Final[Mapping[str, type[Any]]] = MappingProxyType(
    {
        "profiles": Profile,
        "schemes": ColourScheme,
        "fibre_classes": FibreClass,
        "cable_types": CableType,
        "tray_types": TrayType,
        "enclosure_types": EnclosureType,
        "splitter_types": SplitterType,
        "sleeve_types": SleeveType,
    }
)
"""Table name of each kind of part in a parts file; types stand before what refers to them."""

PACKAGED: Final = (
    "colours.toml",
    "fibres.toml",
    "cables.toml",
    "sleeves.toml",
    "splitters.toml",
    "trays.toml",
    "enclosures.toml",
    "profiles.toml",
)
MAX_CHARACTERS: Final = 500_000
MAX_LINE: Final = 4_000
"""A longer line can only be a mistake, and a dotted key that long would take the TOML reader minutes."""
IN_WORDS: Final = MappingProxyType(
    {
        "str": "text in quotes",
        "int": "a whole number",
        "float": "a number",
        "bool": "true or false",
        "array": "a list [...]",
        "object": "a table",
        "null": "nothing",
    }
)


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Part types by id, kind by kind; read-only."""

    profiles: Mapping[str, Profile]
    schemes: Mapping[str, ColourScheme]
    fibre_classes: Mapping[str, FibreClass]
    cable_types: Mapping[str, CableType]
    tray_types: Mapping[str, TrayType]
    enclosure_types: Mapping[str, EnclosureType]
    splitter_types: Mapping[str, SplitterType]
    sleeve_types: Mapping[str, SleeveType]

    def parts(self) -> Iterator[Part]:
        """Every part, kind by kind in the order of ``TABLES``."""
        for table in TABLES:
            yield from getattr(self, table).values()

    def joined(self, other: Catalogue) -> Catalogue:
        """Both catalogues in one; where both have an id, the part of ``other`` counts."""
        return _catalogue({table: {**getattr(self, table), **getattr(other, table)} for table in TABLES})


@cache
def catalogue() -> Catalogue:
    """The packaged parts; read once. Raises PlantError when a packaged file is damaged."""
    tables: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
    places: dict[tuple[str, str], str] = {}
    for name in PACKAGED:
        text = files("model.data").joinpath(name).read_text(encoding="utf-8")
        for table, id_, part in _read_parts(text, name):
            if (table, id_) in places:
                _fail(f"{places[table, id_]} has a part of this id already", name, table, id_, hint="Rename one")
            places[table, id_] = name
            tables[table][id_] = part
    whole = _catalogue(tables)
    for (table, id_), where in places.items():
        _check_references(tables[table][id_], whole, where, table, id_)
    return whole


def load_parts(text: str, where: str, known: Catalogue | None = None) -> Catalogue:
    """Read a person's own parts file; the result holds only its parts.

    ``where`` names the file in messages. Parts may refer to each other and to ``known`` (default: the packaged
    catalogue). Raises PlantError for the first fault, and for an id that ``known`` has already.
    """
    known = catalogue() if known is None else known
    tables: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
    for table, id_, part in _read_parts(text, where):
        if id_ in getattr(known, table):
            _fail("there is a part with this id already", where, table, id_, hint="Give yours another id")
        tables[table][id_] = part
    own = _catalogue(tables)
    whole = known.joined(own)
    for table, parts in tables.items():
        for id_, part in parts.items():
            _check_references(part, whole, where, table, id_)
    return own


def parts_for(*ids: str, of: Catalogue | None = None) -> tuple[Part, ...]:
    """The parts named and all they refer to, each once, types before what uses them.

    An id that several kinds share brings them all. Raises RefError for an id that ``of`` (default: the packaged
    catalogue) does not have.
    """
    of = catalogue() if of is None else of
    wanted: set[tuple[str, str]] = set()
    for id_ in ids:
        found = [table for table in TABLES if id_ in getattr(of, table)]
        if not found:
            every = [id_ for table in TABLES for id_ in getattr(of, table)]
            raise RefError(f"the catalogue has no part {_short(id_)}", hint=_nearest(id_, every))
        wanted |= {(table, id_) for table in found}
    for table, id_ in tuple(wanted):
        wanted |= {(used_table, used) for _, used_table, used in references(getattr(of, table)[id_])}
    return tuple(
        cast(Part, part) for table in TABLES for id_, part in getattr(of, table).items() if (table, id_) in wanted
    )


def references(part: Part) -> tuple[tuple[str, str, str], ...]:
    """What a part refers to: (its key, the table referred to, the id there). No part refers on further than that."""
    if isinstance(part, CableType):
        return (
            ("tube_scheme", "schemes", part.tube_scheme),
            ("fibre_scheme", "schemes", part.fibre_scheme),
            ("fibre_class", "fibre_classes", part.fibre_class),
        )
    if isinstance(part, EnclosureType):
        return tuple(("trays", "tray_types", tray) for tray in part.trays)
    return ()


def _catalogue(tables: Mapping[str, Mapping[str, Any]]) -> Catalogue:
    return Catalogue(**{table: MappingProxyType(dict(tables[table])) for table in TABLES})


def _fail(message: str, where: str, *path: str, hint: str) -> NoReturn:
    raise PlantError(message, where=": ".join((where, ".".join(path))) if path else where, hint=hint)


def _short(name: object) -> str:
    text = str(name)
    return repr(text if len(text) <= 40 else f"{text[:37]}...")


def _nearest(name: str, known: Iterable[str]) -> str:
    known = list(known)
    # difflib takes its time over long names; nobody means a name that long.
    close = get_close_matches(name[:80], known, n=3, cutoff=0.5)
    return f"Did you mean {' or '.join(close)}?" if close else f"Known are {', '.join(known[:12])}"


def _read_parts(text: str, where: str) -> Iterator[tuple[str, str, Any]]:
    """Table, id and part of everything in a parts file, in file order."""
    if len(text) > MAX_CHARACTERS:
        _fail(f"a parts file of {len(text)} characters", where, hint=f"Split it: {MAX_CHARACTERS} is the most")
    for number, line in enumerate(text.splitlines(), 1):
        if len(line) > MAX_LINE:
            _fail(f"line {number} has {len(line)} characters", where, hint=f"Break it: {MAX_LINE} is the most")
    try:
        document = tomllib.loads(text)
    except RecursionError:
        _fail("lists or tables stand too deep in each other", where, hint="A parts file needs three levels")
    except ValueError as error:
        _fail(f"not TOML: {error}", where, hint="Mend that line")
    for table, parts in document.items():
        if table not in TABLES:
            _fail(f"unknown table {_short(table)}", where, hint=_nearest(table, TABLES))
        if not isinstance(parts, dict):
            _fail("expected one table per part", where, table, hint=f"Write [{table}.YOUR-ID] and its keys below")
        for id_, raw in parts.items():
            if not id_.strip() or len(id_) > 80 or not id_.isprintable():
                _fail(f"{_short(id_)} is no id", where, table, hint="Use 1 to 80 printable characters")
            yield table, id_, _read_part(TABLES[table], raw, where, table, id_)


def _read_part(kind: type[Any], raw: object, where: str, table: str, id_: str) -> Any:
    if isinstance(raw, dict) and "id" in raw:
        _fail("the id stands in the table's heading", where, table, id_, "id", hint="Remove the key")
    _check_keys(kind, {"id": id_, **raw} if isinstance(raw, dict) else raw, where, table, id_)
    try:
        part = msgspec.convert({"id": id_, **cast(dict[str, Any], raw)}, kind)
    except msgspec.ValidationError as error:
        message, _, path = str(error).partition(" - at `$")
        words = re.sub(r"`(\w+)`", lambda found: IN_WORDS.get(found[1], found[1]), message.replace(" | ", "` or `"))
        key = path.strip("`.")
        _fail(words[:1].lower() + words[1:], where, table, id_, key, hint=_choices(kind, key) or "Mend the value")
    for key, fault, hint in part_faults(part):
        _fail(fault, where, table, id_, key, hint=hint)
    return part


def _choices(kind: type[Any], key: str) -> str:
    """The words a key allows, where it allows only some; for a key inside a list the same of the inner table."""
    first, _, rest = key.partition(".")
    hint = get_type_hints(kind).get(first.partition("[")[0])
    if get_origin(hint) is Literal:
        return f"Write {' or '.join(str(word) for word in get_args(hint))}"
    inner = next(iter(get_args(hint)), None)
    return _choices(inner, rest) if rest and isinstance(inner, type) and is_dataclass(inner) else ""


def _check_keys(kind: type[Any], raw: object, where: str, *path: str) -> None:
    """No key that ``kind`` lacks, none of those it needs missing, down through the tables inside."""
    if not isinstance(raw, dict):
        _fail("expected a table of keys", where, *path, hint="Give its keys below the heading")
    names = {field.name: field for field in fields(kind)}
    for key in raw:
        if key not in names:
            _fail(f"unknown key {_short(key)}", where, *path, hint=_nearest(key, names))
    for name, field in names.items():
        if name not in raw and field.default is MISSING and field.default_factory is MISSING:
            _fail(f"the key {name} is missing", where, *path, hint="Add it")
    for name, hint in get_type_hints(kind).items():
        inner = next(iter(get_args(hint)), None)
        if isinstance(inner, type) and is_dataclass(inner) and isinstance(raw.get(name), list):
            for index, item in enumerate(raw[name]):
                _check_keys(inner, item, where, *path, f"{name}[{index}]")


def _check_references(part: Part, known: Catalogue, where: str, table: str, id_: str) -> None:
    for key, used_table, used in references(part):
        there = getattr(known, used_table)
        if used not in there:
            _fail(f"the {used_table} have no {_short(used)}", where, table, id_, key, hint=_nearest(used, there))
