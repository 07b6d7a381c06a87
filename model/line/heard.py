"""A pasted list of services for a fault ticket: who is down, who is up, and the names that nobody has.

A row is one name, several names parted by commas, semicolons, tabs or blanks, or names with a word for their state at
either end (``C5 down``, ``up: C1, C2``). A first row of two such words heads columns. Nothing is guessed: a name that
is not there is listed with its row and the nearest names that are.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from model.edits.ticketing import Hear, hear_name
from model.ids import ServiceId, TicketId
from model.line.names import Names, nearest
from model.line.pasted import MOST_CHARACTERS
from model.plant import Plant
from model.tickets import Heard

WORDS: Final = MappingProxyType(
    {
        "down": "down",
        "dark": "down",
        "out": "down",
        "off": "down",
        "lost": "down",
        "up": "up",
        "ok": "up",
        "lit": "up",
        "on": "up",
        "working": "up",
        "unknown": "unknown",
        "not known": "unknown",
        "not measured": "unknown",
        "?": "unknown",
        "-": "unknown",
    }
)
"""Words for a state, and the state each means."""

MOST_NEAREST: Final = 20
"""Bad names that the nearest are sought for: a list of another plant has hundreds, and nobody reads them all."""

_PARTED: Final = re.compile(r"[,;\t]")
_BEFORE: Final = re.compile(
    rf"\s*({'|'.join(re.escape(w) for w in sorted(WORDS, key=len, reverse=True))})\s*[:=]?\s+", re.IGNORECASE
)
_AFTER: Final = re.compile(
    rf"\s+[:=]?\s*({'|'.join(re.escape(w) for w in sorted(WORDS, key=len, reverse=True))})\s*$", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class BadName:
    """A name that no service has: its row from 1, as it was written, and the nearest names that are there."""

    row: int
    text: str
    nearest: tuple[str, ...]

    def __str__(self) -> str:
        close = f", nearest {', '.join(self.nearest)}" if self.nearest else ""
        return f"row {self.row}: nobody is called {self.text[:40]!r}{close}"


@dataclass(frozen=True, slots=True)
class HeardList:
    """What a list comes to: services by state, each once; of one named twice the later row counts."""

    down: tuple[ServiceId, ...] = ()
    up: tuple[ServiceId, ...] = ()
    unknown: tuple[ServiceId, ...] = ()
    bad: tuple[BadName, ...] = ()
    refused: str = ""
    """Why the whole list was not read, if it was not."""

    def edits(self, plant: Plant, ticket: TicketId) -> list[Hear]:
        """The edits that note it in a ticket."""
        states: tuple[tuple[Heard, tuple[ServiceId, ...]], ...] = (
            ("down", self.down),
            ("up", self.up),
            ("unknown", self.unknown),
        )
        return [Hear(ticket, keys, heard, hear_name(plant, keys, heard)) for heard, keys in states if keys]


def read_list(plant: Plant, text: str, heard: Heard) -> HeardList:
    """What a pasted list says; ``heard`` is the state of names without one. Never raises."""
    if len(text) > MOST_CHARACTERS:
        return HeardList(refused=f"the list is {len(text)} characters long, at most {MOST_CHARACTERS}")
    names = Names(plant)
    found: dict[ServiceId, Heard] = {}
    bad: list[BadName] = []
    heads: list[Heard] = []
    for number, row in enumerate(text.splitlines(), start=1):
        cells = [cell.strip() for cell in _PARTED.split(row)]
        if not heads and not found and len(cells) > 1 and all(cell.lower() in WORDS for cell in cells):
            heads = [_state(cell) for cell in cells]
        elif heads and len(cells) > 1:
            for cell, state in zip(cells, heads, strict=False):
                _take(names, cell, state, number, found, bad)
        else:
            _row(names, cells, heads[0] if heads else heard, number, found, bad)
    lists: dict[Heard, tuple[ServiceId, ...]] = {
        state: tuple(key for key, said in found.items() if said == state) for state in ("down", "up", "unknown")
    }
    return HeardList(lists["down"], lists["up"], lists["unknown"], tuple(bad))


def _state(word: str) -> Heard:
    return WORDS[word.lower()]  # type: ignore[return-value]  # the table holds nothing else


def _row(
    names: Names, cells: list[str], heard: Heard, row: int, found: dict[ServiceId, Heard], bad: list[BadName]
) -> None:
    """One row: the state it names, if it names one, holds for every name in it."""
    said = [cell for cell in cells if cell.lower() in WORDS and not names.ids(cell, "service")]
    state = _state(said[0]) if said else heard
    for index, cell in enumerate(cells):
        if not cell or cell in said:
            continue
        if not names.ids(cell, "service") and not said:
            first = _BEFORE.match(f"{cell} ") if index == 0 else None
            last = _AFTER.search(cell)
            if first:
                state, cell = _state(first[1]), cell[first.end() :].strip()
            elif last:
                _take(names, cell[: last.start()].strip(), _state(last[1]), row, found, bad)
                continue
        _take(names, cell, state, row, found, bad)


def _take(names: Names, text: str, heard: Heard, row: int, found: dict[ServiceId, Heard], bad: list[BadName]) -> None:
    """Names that stand one after the other, the longest first; of a text that starts with none a word is bad."""
    text = text.strip().strip('"')
    keys = names.ids(text, "service")
    if keys:
        for key in keys[:1]:
            found.pop(ServiceId(key), None)
            found[ServiceId(key)] = heard
        return
    at = 0
    while at < len(text):
        if text[at].isspace():
            at += 1
            continue
        known = names.longest(text, at, ("service",))
        if known:
            for key in names.ids(text[at : at + known], "service")[:1]:
                found.pop(ServiceId(key), None)
                found[ServiceId(key)] = heard
            at += known
        else:
            word = text[at:].split(maxsplit=1)[0]
            close = tuple(nearest(word, names.of["service"])) if len(bad) < MOST_NEAREST else ()
            bad.append(BadName(row, word, close))
            at += len(word)
