"""What the steps that make things share: sites as the line so far leaves them, part types by name, ids, free entries.

A line may use what an earlier step of it has made, so names are looked up in the draft and not in the plant as it was.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from model.catalogue import catalogue, parts_for
from model.edits.parts import Bring
from model.entities import Enclosure, Site
from model.ids import SiteId
from model.line.context import Bench, Made
from model.line.faults import Fix, LineError, Span
from model.line.names import natural, nearest, quoted
from model.line.syntax import Word
from model.lookup import enclosure_at
from model.plant import TABLE_OF, Plant
from model.templates.midspan import slug

CABLES: Final = "cable_types"
BOXES: Final = "enclosure_types"
TRAYS: Final = "tray_types"
SPLITTERS: Final = "splitter_types"


def named(bench: Bench, word: Word, table: str, what: str) -> Any:
    """The one entity of a table with a name, as the line so far leaves it. Raises LineError with the nearest names."""
    held: Mapping[str, Any] = bench.plant.table(table)
    exact = [e for e in held.values() if e.name == word.text]
    found = exact or [e for e in held.values() if e.name.lower() == word.text.lower()]
    if not found and word.text in held:
        return held[word.text]
    if len(found) == 1:
        return found[0]
    if found:
        ids = ", ".join(e.id for e in found[:4])
        raise LineError(f"{word.text!r} names {len(found)} {what}s", word.span, hint=f"Say which by its id: {ids}")
    raise bench.fault_name(word.text, word.span, what, sorted({e.name for e in held.values()}, key=natural))


def site_said(bench: Bench, word: Word | None, span: Span, fit: Iterable[SiteId], *, strict: bool = False) -> Site:
    """The site said; else the place, else the only one that fits; ``strict`` takes the place only if it fits.

    Raises LineError that asks for it.
    """
    if word is not None:
        site: Site = named(bench, word, "sites", "site")
        return site
    place = bench.context.place
    options = list(dict.fromkeys(fit))
    if place is not None and place in bench.plant.sites and (not strict or place in options):
        return bench.plant.sites[place]
    if len(options) == 1:
        return bench.plant.sites[options[0]]
    at = Span(span.end, 0)
    names = [quoted(bench.plant.sites[key].name) for key in options or bench.plant.sites]
    raise LineError(
        "at which site?" if names else "there is no site yet",
        at,
        nearest=", ".join(f"at {name}" for name in names[:3]),
        hint="" if names else "Add one first: add site NAME",
        fixes=tuple(Fix(at, f" at {name}") for name in names[:3]),
        incomplete=bool(names) and at.column > len(bench.text.rstrip()),
    )


def type_said(bench: Bench, word: Word, table: str, what: str, among: Iterable[str] = ()) -> Any:
    """A part type by id: of the plant, else of the catalogue; ``among`` limits it. Raises LineError."""
    known = types_of(bench.plant, table)
    wanted = [key for key in known if key in set(among)] if among else list(known)
    kind = known.get(word.text) or known.get(word.text.lower())
    if kind is not None and kind.id in wanted:
        return kind
    close = nearest(word.text, wanted)
    starts = [key for key in wanted if key.startswith(word.text.lower())]
    raise LineError(
        f"{word.text} does not fit here" if kind is not None else f"no {what} type is called {word.text!r}",
        word.span,
        nearest=", ".join(close),
        fixes=tuple(Fix(word.span, key) for key in [*starts[:1], *close]),
        incomplete=bool(starts) and word.span.end > len(bench.text.rstrip()),
    )


def types_of(plant: Plant, table: str) -> dict[str, Any]:
    """Part types that can be said: those of the plant, then those of the catalogue."""
    return {**getattr(catalogue(), table), **plant.table(table)}


def bring(bench: Bench, made: Made, table: str, key: str) -> None:
    """Bring a type of the catalogue and what it needs, unless the plant has its own of that id."""
    if key in bench.plant.table(table):
        return
    needed = [part for part in parts_for(key) if not _held(bench.plant, part)]
    if needed:
        bench.do(made, Bring(tuple(needed)))


def _held(plant: Plant, part: Any) -> bool:
    return part.id in plant.table(TABLE_OF[type(part)])


def fresh_id(bench: Bench, table: str, name: str) -> str:
    """An id for a new thing: its name made plain, counted up where that is taken."""
    held, base = bench.plant.table(table), slug(name)
    key, count = base, 1
    while key in held:
        count += 1
        key = f"{base}-{count}"
    return key


def refuse_taken(bench: Bench, word: Word, tables: Mapping[str, str]) -> None:
    """Raises LineError where something of these tables has the new name already."""
    for table, what in tables.items():
        if any(e.name.lower() == word.text.lower() for e in bench.plant.table(table).values()):
            raise LineError(f"a {what} is called {word.text} already", word.span, hint="Choose another name")


def box_at(bench: Bench, site: SiteId) -> Enclosure | None:
    """The enclosure of a site as the line so far leaves it."""
    return enclosure_at(bench.plant, site)
