"""Services out of a typed or pasted list: names and series ``C1..C4``, with commas, spaces or lines between them.

A plant's own names are matched longest first, so a name may hold a space; one that holds a mark is put in quotation
marks. Letter case does not matter unless two names differ only by it.
"""

from __future__ import annotations

from typing import Final

from model.errors import RefError
from model.ids import ServiceId
from model.line.names import Names, in_series, nearest
from model.plant import Plant

MOST_TEXT: Final = 200_000
"""Characters of one list."""
_BETWEEN: Final = ",; \t\r\n"


def _names(plant: Plant) -> Names:
    return Names(plant)


def services_listed(plant: Plant, text: str) -> tuple[ServiceId, ...]:
    """Ids of the services a list names, each once, in its order. Empty for an empty list.

    Raises RefError with the 1-based column and the nearest names for one that is not there.
    """
    if len(text) > MOST_TEXT:
        raise RefError(f"the list is {len(text)} characters long", hint=f"At most {MOST_TEXT}")
    names = plant.kept(_names, "cables", "sites", "splitters", "services", "trays")
    found: dict[ServiceId, None] = {}
    at = 0
    while at < len(text):
        if text[at] in _BETWEEN:
            at += 1
            continue
        column = at + 1
        first, at = _name(names, text, at)
        if text.startswith("..", at):
            last, at = _name(names, text, at + 2)
            series = in_series(names.of["service"], first, last)
            if series is None:
                hint = "Both names must be alike but for the number they end in"
                raise RefError(f"{first}..{last} is no series", hint=hint, column=column)
            for end in (first, last):
                _one(plant, names, end, column)
            found.update((_one(plant, names, name, column), None) for name in series)
        else:
            found[_one(plant, names, first, column)] = None
    return tuple(found)


def _name(names: Names, text: str, at: int) -> tuple[str, int]:
    """(name as typed, index after it) at an index of the list."""
    if text[at : at + 1] == '"' and not names.longest(text, at, ("service",)):
        close = text.find('"', at + 1)
        if close < 0:
            raise RefError("the quotation mark is not closed", hint='Write "NAME"', column=at + 1)
        return text[at + 1 : close], close + 1
    if text[at : at + 8].lower() == "service:":
        at += 8
    length = names.longest(text, at, ("service",))
    if not length:
        while at + length < len(text) and text[at + length] not in _BETWEEN and not text.startswith("..", at + length):
            length += 1
    return text[at : at + length], at + length


def _one(plant: Plant, names: Names, name: str, column: int) -> ServiceId:
    """The one service of a name; an id stands for itself where it is no name."""
    ids = names.ids(name, "service")
    if len(ids) == 1:
        return ServiceId(ids[0])
    if ids:
        hint = "Say which by its id: " + ", ".join(ids[:4])
        raise RefError(f"{name!r} names {len(ids)} services", hint=hint, column=column)
    if name in plant.services:
        return ServiceId(name)
    close = nearest(name, names.of["service"])
    hint = "Nearest: " + ", ".join(close) if close else "The plant has none yet"
    raise RefError(f"no service is called {name[:60]!r}", hint=hint, column=column)
