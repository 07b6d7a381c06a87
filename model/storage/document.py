"""A plant as one text: bytes to plant and back.

Layout: every entity stands on one line, sorted by id within its table, except that a list of records directly inside an
entity (the stops of a cable, the supports of a route, the entries of an enclosure type) gets one line per record. So
moving a mark or adding a stop is a change of one line in any line-wise comparison, and no line is rewrapped because
another field grew. Keys keep the order of the entity's fields, tables that of ``model.plant.KINDS``; the same plant is
the same bytes. Reading is strict: a key twice, a key unknown, a wrong type or a value that refers to nothing is an
error with its path, never a guess.
"""

from __future__ import annotations

import gc
import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Final, Literal, get_args, get_origin, get_type_hints

import msgspec

from model.errors import StorageError
from model.plant import KINDS, Plant
from model.storage.integrity import check
from model.storage.migrations import FORMAT, VERSION, migrate
from model.storage.ranges import Numbers
from model.storage.ranges import read as read_numbers
from model.storage.records import reader, record, writer

Tables = Mapping[str, Sequence[Any]]

MOST_VALUES: Final = 4_000_000
"""Objects and lists one file may hold; beyond it memory would run out before anything could be said."""

MOST_NUMBERS: Final = 4_000_000
"""Fibre and tube numbers that all range texts of one file may stand for."""

_RESTORE: Final = "Restore the file from a copy or the recovery log"

DocumentRecord: Final = msgspec.defstruct(
    "Plant",
    [
        ("format", Literal["glasswright-plant"]),
        ("version", Literal[1]),
        *((table, list[record(kind)], msgspec.field(default_factory=list)) for table, kind in KINDS.items()),  # type: ignore[misc,arg-type]
    ],
    forbid_unknown_fields=True,
    gc=False,
)
"""The whole file as strict records."""


class _DoubledKeyError(ValueError):
    """A key stands twice in one object."""


class _Doubled(dict[str, Any]):
    """An object that lost a pair because its key stood twice."""


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) == len(pairs):
        return made
    seen: set[str] = set()
    for key, _ in pairs:
        if key in seen:
            break
        seen.add(key)
    raise _DoubledKeyError(key)


def _constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


def parse(data: bytes) -> Any:
    """JSON text as plain values; raises StorageError with line and column for anything that is not strict JSON."""
    text = _text(data)
    if data.count(b"{") + data.count(b"[") > MOST_VALUES or data.count(b",") > 4 * MOST_VALUES:
        raise StorageError(
            "holds more records than any plant", hint="Check that this is the right file; divide the plant if it is"
        )
    try:
        return json.loads(text, object_pairs_hook=_object, parse_constant=_constant)
    except json.JSONDecodeError as error:
        torn = not text[error.pos :].strip() or error.msg.startswith("Unterminated")
        what = "ends in the middle" if torn else f"is not JSON here ({error.msg})"
        raise StorageError(
            what, where=f"line {error.lineno} column {error.colno}", hint=_RESTORE, column=error.colno
        ) from error
    except _DoubledKeyError as error:
        where = _place_of_doubled(text, str(error))
        raise StorageError(
            f"the key {_short(str(error))} stands twice in one object", where=where, hint="Remove one of the two"
        ) from None
    except RecursionError:
        raise StorageError("brackets are nested too deeply for a plant", hint=_RESTORE) from None
    except ValueError as error:
        what = str(error) if "is no number" in str(error) else "a number has too many digits"
        raise StorageError(what, hint="Put a plain decimal number there") from None


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else f"{text[:40]}...")


def _place_of_doubled(text: str, key: str) -> str:
    """Path of an object in which a key stands twice, found by reading once more with markers."""

    def mark(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        return made if len(made) == len(pairs) else _Doubled(made)

    pending: list[tuple[str, Any]] = [("$", json.loads(text, object_pairs_hook=mark))]
    while pending:
        path, value = pending.pop()
        if isinstance(value, _Doubled):
            return f"{path}.{key}"[:200]
        if isinstance(value, dict):
            pending += [(f"{path}.{name}", item) for name, item in value.items()]
        elif isinstance(value, list):
            pending += [(f"{path}[{index}]", item) for index, item in enumerate(value)]
    return ""


def _text(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise StorageError("is UTF-16 text, a plant is UTF-8", where="byte 1", hint="Save it as UTF-8")
    if (nul := data.find(b"\0")) >= 0:
        raise StorageError("holds a NUL byte, so it is damaged or no text", where=f"byte {nul + 1}", hint=_RESTORE)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - data.rfind(b"\n", 0, error.start)
        raise StorageError(
            "is not UTF-8 text", where=f"line {line} byte {column}", hint=f"Save it as UTF-8, or: {_RESTORE}"
        ) from error
    if not text or text.isspace():
        raise StorageError("the file is empty", hint=_RESTORE)
    return text


def _hook() -> Callable[[type[Any], Any], Any]:
    """A reader of range texts that stops when the file's texts together stand for too many numbers."""
    left = MOST_NUMBERS

    def read(kind: type[Any], value: Any) -> Any:
        nonlocal left
        if kind is not Numbers or type(value) is not str:
            raise ValueError(f"Expected text such as '13-16,20', got {type(value).__name__}")
        numbers = read_numbers(value)
        left -= len(numbers)
        if left < 0:
            raise ValueError("Holds more fibre numbers than any plant")
        return Numbers(numbers)

    return read


def convert(value: Any, kind: Any) -> Any:
    """Plain values as a strict record; raises StorageError with the path of the first fault."""
    try:
        return msgspec.convert(value, kind, dec_hook=_hook())
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at ")
        path = path.strip("`") or "$"
        what = what if len(what) <= 200 else f"{what[:200]}..."
        raise StorageError(what.replace("`", "'"), where=path, hint=_hint(what)) from None
    except RecursionError:
        raise StorageError("brackets are nested too deeply for a plant", hint=_RESTORE) from None


def _hint(what: str) -> str:
    if "unknown field" in what:
        return "Remove the key or correct its spelling"
    if "missing" in what:
        return "Add the key"
    return "Correct the value there"


def _called(path: str, document: Mapping[str, Any]) -> str:
    """Name of the entity a path leads into, in brackets; a person does not count lines of a table."""
    found = re.match(r"\$\.(\w+)\[(\d+)\]", path)
    if not found:
        return ""
    row = document[found[1]][int(found[2])]
    name = (row.get("name") or row.get("id")) if isinstance(row, dict) else None
    return f" ({name[:40]})" if isinstance(name, str) and name else ""


def tables_of(document: Any) -> dict[str, list[Any]]:
    """Entities of a decoded document, table by table, in the order of the file; raises StorageError."""
    if type(document) is not dict:
        raise StorageError("is JSON, but not a plant", hint="Choose a plant file (*.gwp)")
    if document.get("format") != FORMAT:
        raise StorageError(
            f'is JSON, but not a plant: no "format": "{FORMAT}"', where="$.format", hint="Choose a plant file (*.gwp)"
        )
    document = migrate(document)
    try:
        whole = convert(document, DocumentRecord)
    except StorageError as error:
        where = f"{error.where}{_called(error.where, document)}"
        raise StorageError(error.message, where=where, hint=error.hint) from None
    return {table: list(map(reader(kind), getattr(whole, table))) for table, kind in KINDS.items()}  # type: ignore[arg-type]


@contextmanager
def _collector_off() -> Iterator[None]:
    """Nothing made here is ever a cycle, and the collector would walk all of it again and again."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def decode(data: bytes) -> Plant:
    """The plant in ``data``; raises StorageError, one line, for anything that is not a whole plant."""
    with _collector_off():
        tables = tables_of(parse(data))
        check(tables)
        return Plant(entity for table in tables.values() for entity in table)


_dump: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode


@cache
def _blocks(kind: type[Any]) -> frozenset[str]:
    """Fields of an entity whose items get a line each: lists of records."""
    hints = get_type_hints(kind)
    return frozenset(
        f.name for f in fields(kind) if get_origin(hints[f.name]) is tuple and is_dataclass(get_args(hints[f.name])[0])
    )


def _entity_text(values: Mapping[str, Any], blocks: frozenset[str]) -> str:
    if blocks.isdisjoint(values):
        return _dump(values)
    parts = []
    for name, value in values.items():
        if name in blocks:
            lines = ",\n".join(f"      {_dump(item)}" for item in value)
            parts.append(f"{_dump(name)}: [\n{lines}\n    ]")
        else:
            parts.append(f"{_dump(name)}: {_dump(value)}")
    return f"{{{', '.join(parts)}}}"


def tables_in(plant: Plant) -> dict[str, list[Any]]:
    """The entities of a plant in the order of a file."""
    return {name: sorted(plant.table(name).values(), key=lambda entity: entity.id) for name in KINDS}


def _pieces(tables: Tables) -> Iterable[str]:
    yield f'{{\n  "format": {_dump(FORMAT)},\n  "version": {VERSION}'
    for name, entities in tables.items():
        if not entities:
            continue
        write, blocks = writer(KINDS[name]), _blocks(KINDS[name])  # type: ignore[arg-type]
        assert write is not None  # noqa: S101  # every entity is a dataclass
        lines = ",\n".join("    " + _entity_text(write(entity), blocks) for entity in entities)
        yield f",\n  {_dump(name)}: [\n{lines}\n  ]"
    yield "\n}\n"


def encode(plant: Plant) -> bytes:
    """The plant as the bytes of a file; raises StorageError if the plant is not whole, because none could read it."""
    with _collector_off():
        tables = tables_in(plant)
        check(tables)
        return "".join(_pieces(tables)).encode()
