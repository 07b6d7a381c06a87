"""The names a plant gives its things, matched longest first in typed text.

Built once per state of the plant. Letter case does not matter unless two names differ only by it.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from typing import Final, Literal

from model.numbers import natural as natural
from model.plant import Plant

Kind = Literal["cable", "site", "splitter", "service", "tray"]

_AFTER: Final = ":/@<>,;"
"""What may stand right after a name."""


def quoted(name: str) -> str:
    """A name as it can be typed: in quotation marks where it holds a space or a mark of the grammar."""
    return f'"{name}"' if re.search(r"[\s:/@<>,;]|\.\.", name) or not name else name


def ends_name(text: str, at: int) -> bool:
    """True when a name may end before index ``at``."""
    return at >= len(text) or text[at].isspace() or text[at] in _AFTER or text.startswith("..", at)


class _Table:
    """Names of one or more kinds: exact and by lower case, with the lengths that occur."""

    def __init__(self, pairs: Iterable[tuple[str, str]]) -> None:
        self.exact: dict[str, list[str]] = {}
        self.lower: dict[str, list[str]] = {}
        for name, key in pairs:
            if name:
                self.exact.setdefault(name, []).append(key)
                self.lower.setdefault(name.lower(), []).append(key)
        self.lengths = sorted({len(name) for name in self.lower}, reverse=True)

    def longest(self, text: str, lower: str, at: int) -> int:
        """Length of the longest name that stands at index ``at``; 0 if none does."""
        for length in self.lengths:
            if lower[at : at + length] in self.lower and len(lower) - at >= length and ends_name(text, at + length):
                return length
        return 0

    def ids(self, name: str) -> list[str]:
        """Ids a name stands for, exact spelling first."""
        return list(dict.fromkeys(self.exact.get(name) or self.lower.get(name.lower(), [])))


class Names:
    """Every name of a plant by kind. An id serves as a name too where it is no other thing's name."""

    def __init__(self, plant: Plant) -> None:
        self.of: dict[Kind, tuple[str, ...]] = {
            "cable": tuple(sorted({c.name for c in plant.cables.values()}, key=natural)),
            "site": tuple(sorted({s.name for s in plant.sites.values()}, key=natural)),
            "splitter": tuple(sorted({s.name for s in plant.splitters.values()}, key=natural)),
            "service": tuple(sorted({s.name for s in plant.services.values()}, key=natural)),
            "tray": tuple(sorted({t.name for t in plant.trays.values()}, key=natural)),
        }
        named: dict[Kind, Iterable[tuple[str, str]]] = {
            "cable": [(c.name, c.id) for c in plant.cables.values()],
            "site": [(s.name, s.id) for s in plant.sites.values()],
            "splitter": [(s.name, s.id) for s in plant.splitters.values()],
            "service": [(s.name, s.id) for s in plant.services.values()],
            "tray": [(t.name, t.id) for t in plant.trays.values()],
        }
        self._tables: dict[Kind, _Table] = {kind: _Table(pairs) for kind, pairs in named.items()}

    def longest(self, text: str, at: int, kinds: Iterable[Kind]) -> int:
        """Length of the longest name of these kinds at an index of the text, 0 for none."""
        lower = text.lower()
        if len(lower) != len(text):  # a letter whose lower case is longer would shift every column
            lower = text
        return max((self._tables[kind].longest(text, lower, at) for kind in kinds), default=0)

    def ids(self, name: str, kind: Kind) -> list[str]:
        """Ids of the things of a kind that have this name."""
        return self._tables[kind].ids(name)


def nearest(text: str, names: Iterable[str], count: int = 3) -> list[str]:
    """The names closest to a text, closest first; the first names when none is close."""
    pool = list(dict.fromkeys(names))
    by_lower = {name.lower(): name for name in pool}
    close = difflib.get_close_matches(text.lower()[:64], list(by_lower), n=count, cutoff=0.3)
    return [by_lower[name] for name in close] or pool[:count]


def split_number(name: str) -> tuple[str, int | None]:
    """A name as text and the number it ends in."""
    match = re.fullmatch(r"(.*?)([0-9]{1,18})", name, re.DOTALL)
    return (match[1], int(match[2])) if match else (name, None)


def in_series(known: Iterable[str], first: str, last: str) -> list[str] | None:
    """The known names of ``first..last``: the same text with a number between theirs, in the order said.

    None when the two are not alike but for the number they end in.
    """
    (stem, a), (stem_b, b) = split_number(first), split_number(last)
    if stem.lower() != stem_b.lower() or a is None or b is None:
        return None
    low, high = min(a, b), max(a, b)
    chosen = [
        (number, name)
        for name in known
        for s, number in (split_number(name),)
        if s.lower() == stem.lower() and number is not None and low <= number <= high
    ]
    return [name for _, name in (sorted(chosen, reverse=True) if a > b else sorted(chosen))]
