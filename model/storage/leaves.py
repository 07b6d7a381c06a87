"""Can every text be read and every number exist? The leaves of a plant, whatever they mean.

Bounds are wide: they keep out what would hang or break the program (a billion tubes, a name of a megabyte), not what is
bad practice. Lengths of any unit stay within a million kilometres written in metres.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields
from functools import cache
from itertools import chain
from operator import attrgetter
from typing import Any, Final
from unicodedata import category

from model.numbers import MOST

LONGEST_NAME: Final = 200
LONGEST_TEXT: Final = 20_000
LARGEST: Final = 1e9
"""Largest magnitude of any number."""

_NAMES: Final = frozenset({"id", "name"})
"""Fields that must say something, on one line."""

_COUNTS: Final = frozenset(
    (
        *("slots", "inputs", "panel_ports", "lanes", "rows", "per_slot", "splices", "stored_max"),
        *("strength_members", "ribbon", "turns", "cables", "level"),
    )
)
"""Fields that make the program draw or count as many things; -MOST to MOST."""


@cache
def _fields(kind: type[Any]) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


@cache
def _plan(kind: type[Any]) -> tuple[tuple[str, ...], tuple[Any, ...], Callable[[Any], tuple[Any, ...]]]:
    """Names and defaults of the fields, and what fetches their values at once; every entity has several fields."""
    return _fields(kind), tuple(field.default for field in fields(kind)), attrgetter(*_fields(kind))  # type: ignore[arg-type]


def text_fault(value: str, name: str) -> str:
    """What is wrong with a text of the field ``name``; empty if nothing is."""
    if name in _NAMES and not value.strip():
        return "is empty"
    longest = LONGEST_NAME if name in _NAMES or name == "title" else LONGEST_TEXT
    if len(value) > longest:
        return f"has {len(value)} characters, more than {longest}"
    if value.isprintable():
        return ""
    spare = "" if name in _NAMES else "\n\t"
    for character in value:
        if character not in spare and category(character) in ("Cc", "Cs", "Zl", "Zp"):
            return f"holds the control character U+{ord(character):04X}"
    return ""


def number_fault(value: float, name: str) -> str:
    """What is wrong with a number of the field ``name``; empty if nothing is."""
    if not math.isfinite(value):
        return f"is {value}, not a number"
    if not -LARGEST <= value <= LARGEST:
        return f"is {value:.3g}, beyond {LARGEST:.0e}"
    if name in _COUNTS and not -MOST <= value <= MOST:
        return f"is {value:.6g}, beyond {MOST}"
    return ""


def _clean(value: Any, name: str) -> bool:
    """True when no leaf below ``value`` has a fault; the quick look that nearly every entity passes."""
    kind = type(value)
    if kind is str:
        return (0 < len(value) < LONGEST_NAME and value.isalnum()) or not text_fault(value, name)
    if kind is float or kind is int:
        return not number_fault(value, name)
    if value is None or kind is bool:
        return True
    if kind is tuple:
        return all(_clean(item, name) for item in value)
    names, defaults, values = _plan(kind)  # type: ignore[arg-type]
    return all(
        item is default or _clean(item, field)
        for field, default, item in zip(names, defaults, values(value), strict=True)
    )


def all_clean(values: Sequence[Any], name: str = "") -> bool:
    """True when no leaf below any of ``values`` has a fault: asked field by field over all of them at once.

    False says only that somewhere a closer look is needed.
    """
    kinds = set(map(type, values))
    if len(kinds) > 1:
        return all(all_clean([value for value in values if type(value) is kind], name) for kind in kinds)
    if not kinds:
        return True
    kind = kinds.pop()
    if kind is str:
        if name in _NAMES and not all(map(str.strip, values)):
            return False
        return max(map(len, values)) <= LONGEST_NAME and "".join(values).isprintable()
    if kind is float or kind is int:
        least, most = min(values), max(values)
        # A comparison with "not a number" is false, so the sum must be finite too.
        return not number_fault(least, name) and not number_fault(most, name) and math.isfinite(math.fsum(values))
    if kind is type(None) or kind is bool:
        return True
    if kind is tuple:
        return all_clean(list(chain.from_iterable(values)), name)
    names, defaults, get = _plan(kind)
    columns = zip(names, defaults, zip(*map(get, values), strict=True), strict=True)
    return all(all_clean([item for item in column if item is not default], field) for field, default, column in columns)


def leaf_faults(value: Any, path: str, name: str = "") -> Iterator[tuple[str, str]]:
    """(path, what is wrong) of every bad text or number below ``value``."""
    if _clean(value, name):
        return
    fault = ""
    if isinstance(value, str):
        fault = text_fault(value, name)
    elif isinstance(value, int | float):
        fault = number_fault(value, name)
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from leaf_faults(item, f"{path}[{index}]", name)
    else:
        for field in _fields(type(value)):  # type: ignore[arg-type]
            yield from leaf_faults(getattr(value, field), f"{path}.{field}", field)
    if fault:
        yield path, fault
