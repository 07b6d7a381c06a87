"""How each entity looks in a file: one record per dataclass, derived from the dataclass itself.

The shape differs from the entity in three points only. Lists of fibre or tube numbers are range text, a glass end is a
tagged list (``["fibre", cable, fibre, stop, side]`` or ``["leg", splitter, role, number]``), and a field that has its
default value is left out. The shipped schema pins the result, so that a change of an entity cannot slip into the format
unseen. Numbers are rounded to six decimals (a thousandth of a millimetre in metres) and whole ones lose their ``.0``.
"""

from __future__ import annotations

import types
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from operator import attrgetter
from typing import Any, Final, NewType, Union, get_args, get_origin, get_type_hints

import msgspec

from model.entities import FibreEnd, LegEnd, Route, Splitter, Stored, TubeWork
from model.numbers import to_text
from model.storage.ranges import Numbers

Convert = Callable[[Any], Any]

ENDS: Final[dict[type[Any], str]] = {FibreEnd: "fibre", LegEnd: "leg"}
_RANGES: Final = frozenset(
    {(TubeWork, "cut"), (Stored, "fibres"), (Route, "tubes"), (Splitter, "parked"), (Splitter, "standby")}
)
DECIMALS: Final = 6


def _hints(cls: type[Any]) -> dict[str, Any]:
    """Type of every field of an entity; range text fields as ``Numbers``."""
    hints = get_type_hints(cls)
    return {f.name: Numbers if (cls, f.name) in _RANGES else hints[f.name] for f in fields(cls)}


def _members(hint: Any) -> tuple[Any, ...]:
    """The alternatives of a union, or nothing."""
    return get_args(hint) if get_origin(hint) in (Union, types.UnionType) else ()


def _file_type(hint: Any) -> Any:
    """The type a field has in a file."""
    if isinstance(hint, NewType):
        return hint.__supertype__
    if is_dataclass(hint):
        return record(hint)  # type: ignore[arg-type]  # a class, not an instance
    if members := _members(hint):
        return Union[tuple(_file_type(member) for member in members)]  # noqa: UP007  # made at run time
    if get_origin(hint) is tuple:
        return tuple[tuple(_file_type(item) if item is not ... else item for item in get_args(hint))]  # type: ignore[misc]
    return hint


@cache
def record(cls: type[Any]) -> type[msgspec.Struct]:
    """The strict record of an entity class: unknown keys, missing keys and wrong types are errors."""
    members: list[Any] = []
    for field in fields(cls):
        hint = _hints(cls)[field.name]
        kind = _file_type(hint)
        if field.default is MISSING:
            members.append((field.name, kind))
        elif hint is Numbers:
            members.append((field.name, kind, msgspec.field(default_factory=Numbers)))
        elif is_dataclass(field.default):
            members.append((field.name, kind, record(type(field.default))()))  # type: ignore[arg-type]
        else:
            members.append((field.name, kind, field.default))
    tag = ENDS.get(cls)
    return msgspec.defstruct(
        cls.__name__, members, frozen=True, forbid_unknown_fields=True, gc=False, array_like=tag is not None, tag=tag
    )


@cache
def reader(hint: Any) -> Convert | None:
    """What turns a record (or a field) into the entity (or its value); None where nothing has to be done."""
    if hint is Numbers:
        return attrgetter("values")
    if is_dataclass(hint):
        return _entity_reader(hint)  # type: ignore[arg-type]
    if members := _members(hint):
        by_type = {record(m): reader(m) for m in members if is_dataclass(m)}  # type: ignore[arg-type]
        if not by_type:
            return None
        return lambda value: by_type[type(value)](value)  # type: ignore[misc]
    if get_origin(hint) is tuple:
        inner = reader(get_args(hint)[0])
        if inner is not None:
            return lambda values: tuple(map(inner, values))
    return None


def _entity_reader(cls: type[Any]) -> Convert:
    hints = _hints(cls)
    get = attrgetter(*hints)
    steps = []
    for index, (field, hint) in enumerate(zip(fields(cls), hints.values(), strict=True)):
        if (convert := reader(hint)) is not None:
            default = record(type(field.default))() if is_dataclass(field.default) else None  # type: ignore[arg-type]
            steps.append((index, convert, default, field.default))
    if not steps:
        return lambda value: cls(*get(value))

    def read(value: Any) -> Any:
        values = list(get(value))
        for index, convert, default, instead in steps:
            item = values[index]
            # Most evidence is the default, which all entities can share.
            values[index] = instead if default is not None and item == default else convert(item)
        return cls(*values)

    return read


def number(value: float) -> float | int:
    """A number as it is written: six decimals at most, whole ones without a point, never ``-0``."""
    rounded = round(float(value), DECIMALS)
    return int(rounded) if rounded.is_integer() else rounded


@cache
def writer(hint: Any) -> Convert | None:
    """What turns an entity (or a field) into plain lists and dictionaries; None where it can be written as it is."""
    if hint is Numbers:
        return to_text
    if hint is float:
        return number
    if is_dataclass(hint):
        return _entity_writer(hint)  # type: ignore[arg-type]
    if members := _members(hint):
        kinds = {m: writer(m) for m in members}
        if float in kinds:
            return lambda value: None if value is None else number(value)
        by_type = {m: convert for m, convert in kinds.items() if convert is not None}
        if by_type:
            return lambda value: by_type[type(value)](value)
        return None
    if get_origin(hint) is tuple:
        return _tuple_writer(get_args(hint))
    return None


def _tuple_writer(kinds: tuple[Any, ...]) -> Convert:
    if kinds[-1] is ...:
        inner = writer(kinds[0])
        return list if inner is None else lambda values: list(map(inner, values))
    each = [writer(kind) for kind in kinds]
    return lambda values: [
        value if convert is None else convert(value) for value, convert in zip(values, each, strict=True)
    ]


def _entity_writer(cls: type[Any]) -> Convert:
    plan = [(f.name, f.default, writer(_hints(cls)[f.name])) for f in fields(cls)]
    tag = ENDS.get(cls)
    if tag is not None:
        get = attrgetter(*(name for name, _, _ in plan))
        return lambda value: [tag, *get(value)]

    def write(value: Any) -> dict[str, Any]:
        out = {}
        for name, default, convert in plan:
            item = getattr(value, name)
            if item is default or item == default:
                continue
            out[name] = item if convert is None else convert(item)
        return out

    return write
