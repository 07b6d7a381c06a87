"""References in plain text: ``SITE``, ``CABLE``, ``CABLE:13-16``, ``CABLE:T2.3``, ``service:NAME``, ``SITE/TRAY/SLOT``,
``SITE/port/N``, ``SPLITTER:out9`` or ``:in1``, with ``@SITE`` for one place and ``<`` or ``>`` for its exchange or
field side.

The plant's own names are matched longest first, so ``D-01`` is a name and ``13-16`` a range. A name may be quoted.
Letter case does not matter unless two names differ only by it; ``site:NAME`` is the site where a cable has its name
too. What a reference cannot mean is an error with its column and the nearest real names. The same text serves the
command line, the Line of the window and files.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, Side
from model.errors import PlantError, RefError
from model.ids import CableId, PortId, ServiceId, SiteId, SplitterId, TrayId
from model.lookup import cable_type, fibres_of, trays_of
from model.numbers import from_text
from model.parts import CableType
from model.plant import Plant

LONGEST = 8192
"""Characters in one typed line; more is refused."""


@dataclass(frozen=True, slots=True)
class SiteRef:
    """A whole site."""

    site: SiteId


@dataclass(frozen=True, slots=True)
class CableRef:
    """A cable or some of its fibres; ``tubes`` is set when whole tubes were said. ``site`` and ``side`` narrow it."""

    cable: CableId
    fibres: tuple[int, ...] = ()
    tubes: tuple[int, ...] = ()
    site: SiteId | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class ServiceRef:
    """A service."""

    service: ServiceId


@dataclass(frozen=True, slots=True)
class TrayRef:
    """A tray, or some of its slots."""

    tray: TrayId
    slots: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PortRef:
    """A port."""

    port: PortId


@dataclass(frozen=True, slots=True)
class LegRef:
    """One leg of a splitter, or with ``number`` 0 the whole of it."""

    splitter: SplitterId
    role: Literal["in", "out"] = "in"
    number: int = 0


Ref = SiteRef | CableRef | ServiceRef | TrayRef | PortRef | LegRef


def _names(items: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    """Name -> ids, for names and, where they differ, the ids themselves."""
    found: dict[str, list[str]] = {}
    for key, name in items:
        for text in dict.fromkeys((key, name)):  # the name last, so that it is what "nearest" shows
            found.setdefault(text, []).append(key)
    return found


def _nearest(text: str, names: Iterable[str], count: int = 3) -> str:
    pool = list(dict.fromkeys(names))
    by_lower = {name.lower(): name for name in pool}
    close = difflib.get_close_matches(text.lower(), list(by_lower), n=count, cutoff=0.3)
    chosen = [by_lower[name] for name in close] or pool[:count]
    return "Nearest: " + ", ".join(chosen) if chosen else "The plant has none yet"


def _pick(text: str, names: Mapping[str, list[str]], what: str, column: int) -> str:
    """The one id a name stands for."""
    exact = names.get(text)
    found = exact or [key for name, keys in names.items() if name.lower() == text.lower() for key in keys]
    found = list(dict.fromkeys(found))
    if len(found) == 1:
        return found[0]
    if found:
        raise RefError(
            f"{text!r} names {len(found)} {what}s", hint="Say which: " + ", ".join(sorted(found)), column=column
        )
    raise RefError(f"no {what} is called {text!r}", hint=_nearest(text, names), column=column)


def _prefix(text: str, names: Iterable[str], marks: str = ":/@<>") -> str | None:
    """The longest name that ``text`` starts with, followed by nothing that could belong to the name."""
    best = None
    for name in names:
        if text[: len(name)].lower() == name.lower() and (best is None or len(name) > len(best)):
            rest = text[len(name) :]
            if name and (not rest or rest[0] in marks):
                best = name
    return best


def _has(names: Mapping[str, list[str]], text: str) -> bool:
    return text in names or any(name.lower() == text.lower() for name in names)


def _split(text: str, names: Iterable[str], marks: str = ":/@<>", column: int = 1) -> tuple[str, str, int]:
    """(name, what follows it, offset of that) at the start of a text; the name may be quoted."""
    known = _prefix(text, names, marks)
    if known is None and text.startswith('"'):
        close = text.find('"', 1)
        if close < 0:
            raise RefError("the quotation mark is not closed", hint='Write "NAME"', column=column)
        return text[1:close], text[close + 1 :], close + 1
    length = len(known) if known is not None else len(re.split(f"[{marks}]", text, maxsplit=1)[0].rstrip())
    return text[:length], text[length:], length


def parse_ref(plant: Plant, text: str) -> Ref:
    """What a reference names. Raises RefError (column, nearest real names) for anything unknown or ambiguous."""
    if len(text) > LONGEST:
        raise RefError(f"the reference is {len(text)} characters long", hint=f"At most {LONGEST}")
    raw = text.strip()
    if not raw:
        raise RefError("the reference is empty", hint="Name a site, a cable, CABLE:FIBRE or service:NAME")
    try:
        return _parse(plant, raw)
    except RefError as fault:
        if fault.column:
            fault.column += len(text) - len(text.lstrip())
        raise


def _parse(plant: Plant, raw: str) -> Ref:
    sites = _names((s.id, s.name) for s in plant.sites.values())
    cables = _names((c.id, c.name) for c in plant.cables.values())
    if raw.lower().startswith("service:"):
        services = _names((s.id, s.name) for s in plant.services.values())
        return ServiceRef(ServiceId(_pick(_unquote(raw[8:], services), services, "service", 9)))
    if raw.lower().startswith("site:"):
        return SiteRef(SiteId(_pick(_unquote(raw[5:], sites), sites, "site", 6)))
    splitters = _names((s.id, s.name) for s in plant.splitters.values())
    name, rest, offset = _split(raw, [*sites, *cables, *splitters])
    if _has(splitters, name) and not _has(cables, name) and not (_has(sites, name) and not rest.startswith(":")):
        return _on_splitter(plant, name, rest, offset + 1, sites)
    if rest.startswith("/"):
        return _inside(plant, SiteId(_pick(name, sites, "site", 1)), rest[1:], offset + 2)
    if not rest and not (name in cables and name not in sites):
        if not _has(cables, name):
            if not _has(sites, name) and any(name.lower() == s.name.lower() for s in plant.services.values()):
                raise RefError(f"{name} is a service, no site or cable", hint=f"Say service:{name}", column=1)
            return SiteRef(SiteId(_pick(name, sites if _has(sites, name) else {**cables, **sites}, "site or cable", 1)))
        if name in sites and name not in cables:
            return SiteRef(SiteId(_pick(name, sites, "site", 1)))
        if _has(sites, name):
            raise RefError(
                f"{name!r} names a site and a cable", hint=f"Say site:{name} or, for the cable, {name}:all", column=1
            )
    return _on_cable(plant, CableId(_pick(name, cables, "cable", 1)), rest, offset + 1, sites)


_LEG = re.compile(r"(?P<role>in|out)(?P<number>\d{1,5})", re.IGNORECASE)


def _on_splitter(plant: Plant, name: str, rest: str, column: int, sites: Mapping[str, list[str]]) -> LegRef:
    """``:in1``, ``:out9`` or nothing behind a splitter's name, with ``@SITE`` where two splitters have it."""
    part, at, place = rest.partition("@")
    pool = list(plant.splitters.values())
    if at:
        site = _pick(_unquote(place, sites), sites, "site", column + len(part) + 1)
        pool = [splitter for splitter in pool if splitter.site == site]
    key = SplitterId(_pick(name, _names((s.id, s.name) for s in pool), "splitter", 1))
    if not part:
        return LegRef(key)
    kind = plant.splitter_types[plant.splitters[key].type]
    most = {"in": kind.inputs, "out": len(kind.legs_db)}
    match = _LEG.fullmatch(part[1:].strip()) if part.startswith(":") else None
    if match is None:
        hint = f"Write {name}:in1, or {name}:out1 to :out{most['out']}"
        raise RefError(f"{part!r} after {name} is not understood", hint=hint, column=column)
    role: Literal["in", "out"] = "in" if match["role"].lower() == "in" else "out"
    number = int(match["number"])
    if not 1 <= number <= most[role]:
        what = "input" if role == "in" else "leg"
        raise RefError(
            f"{name} has {most[role]} {what}{'s' * (most[role] != 1)}, not {number}",
            hint=f"They count from 1 to {most[role]}",
            column=column + 1,
        )
    return LegRef(key, role, number)


def _unquote(text: str, names: Mapping[str, list[str]]) -> str:
    """A name without its quotation marks, unless they belong to it."""
    stripped = text.strip()
    quoted = len(stripped) >= 2 and stripped[0] == stripped[-1] == '"' and not _has(names, stripped)
    return stripped[1:-1] if quoted else stripped


def _on_cable(plant: Plant, cable_id: CableId, rest: str, column: int, sites: Mapping[str, list[str]]) -> CableRef:
    cable = plant.cables[cable_id]
    side: Side | None = None
    if rest and rest[-1] in "<>" and not _has(sites, rest.partition("@")[2].strip()):
        side = "<" if rest[-1] == "<" else ">"
        rest = rest[:-1]
    part, at, place = rest.partition("@")
    site: SiteId | None = None
    if at:
        place_column = column + len(part) + 1
        key = _pick(_unquote(place, sites), sites, "site", place_column)
        if all(stop.site != key for stop in cable.stops):
            stops = [plant.sites[stop.site].name for stop in cable.stops if stop.site in plant.sites]
            raise RefError(
                f"{cable.name} does not stop at {plant.sites[key].name}",
                hint="It stops at " + ", ".join(stops),
                column=place_column,
            )
        site = SiteId(key)
    if part and not part.startswith(":"):
        raise RefError(
            f"{part!r} after {cable.name} is not understood", hint=f"Write {cable.name}:13 or :T2", column=column
        )
    fibres, tubes = parse_part(cable, cable_type(plant, cable), part[1:], column + 1) if part else ((), ())
    return CableRef(cable_id, fibres, tubes, site, side)


_PART = re.compile(r"(?P<kind>[TtRr])(?P<a>\d{1,6})(?:-[TtRr]?(?P<b>\d{1,6}))?(?:\.(?P<pos>[\d-]+))?$")


def parse_part(cable: Cable, kind: CableType, text: str, column: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """(fibres, whole tubes) of a part text: ``13-16``, ``T2``, ``T1-T3``, ``T2.3-5``, ``R1-R4``, ``all``, with commas.

    Raises RefError with the column of the fault and what the cable does have.
    """
    fibres: list[int] = []
    tubes: list[int] = []
    for piece in text.split(","):
        word = piece.strip()
        start = column + len(piece) - len(piece.lstrip())
        try:
            if word.lower() == "all":
                fibres += range(1, kind.fibre_count + 1)
                tubes += range(1, len(kind.tubes) + 1)
            elif match := _PART.match(word):
                more, whole = _units(kind, match, cable.name)
                fibres += more
                tubes += whole
            else:
                more_numbers = from_text(word)
                beyond = [n for n in more_numbers if n > kind.fibre_count]
                if beyond:
                    count = kind.fibre_count
                    raise RefError(
                        f"{cable.name} has {count} fibre{'s' * (count != 1)}, not {word}",
                        hint=f"Nearest: {cable.name}:{_nearest_range(more_numbers, count)}",
                    )
                fibres += more_numbers
        except PlantError as fault:
            raise RefError(fault.message, hint=fault.hint, column=start + max(fault.column - 1, 0)) from None
        column += len(piece) + 1
    return tuple(fibres), tuple(tubes)


def _nearest_range(wanted: tuple[int, ...], count: int) -> str:
    """A range of as many fibres that the cable has, ending at its last fibre."""
    first = max(1, count - len(wanted) + 1)
    return str(first) if first == count else f"{first}-{count}"


def _units(kind: CableType, match: re.Match[str], name: str) -> tuple[list[int], list[int]]:
    """Fibres and whole tubes of a T or R piece."""
    ribbon = match["kind"] in "Rr"
    if ribbon and not kind.ribbon:
        raise RefError(f"{name} has no ribbons", hint=f"Say tubes, T1-T{len(kind.tubes)}, or fibre numbers")
    a = int(match["a"])
    b = int(match["b"]) if match["b"] else a
    most = kind.fibre_count // kind.ribbon if ribbon else len(kind.tubes)
    word = "ribbon" if ribbon else "tube"
    if not (1 <= a <= most and 1 <= b <= most):
        raise RefError(
            f"{name} has {most} {word}{'s' * (most != 1)}, not {match[0]}", hint=f"They count from 1 to {most}"
        )
    units = list(range(a, b + 1)) if a <= b else list(range(a, b - 1, -1))
    runs = [
        range((unit - 1) * kind.ribbon + 1, unit * kind.ribbon + 1) if ribbon else fibres_of(kind, unit)
        for unit in units
    ]
    if match["pos"]:
        positions = from_text(match["pos"])
        if max(positions) > len(runs[0]) or len(units) > 1:
            raise RefError(
                f"{word} {a} of {name} has positions 1-{len(runs[0])}, not {match['pos']}",
                hint=f"Write {match['kind'].upper()}{a}.1-{len(runs[0])}",
            )
        return [runs[0][p - 1] for p in positions], []
    return [fibre for run in runs for fibre in run], ([] if ribbon else units)


def _inside(plant: Plant, site: SiteId, rest: str, column: int) -> Ref:
    """``TRAY``, ``TRAY/SLOTS`` or ``port/N`` at a site."""
    enclosures = [e.id for e in plant.enclosures.values() if e.site == site]
    trays = [tray for enclosure in enclosures for tray in trays_of(plant, enclosure)]
    names = _names((t.id, t.name) for t in trays)
    if rest.lower() == "port" or (rest.lower().startswith("port/") and not _has(names, rest)):
        return _port(plant, site, rest[5:], column + 5)
    for tray in trays:
        names.setdefault(str(tray.position), []).append(tray.id)
    names = {name: list(dict.fromkeys(keys)) for name, keys in names.items()}
    head, tail, offset = _split(rest, names, "/", column)
    tray_id = TrayId(_pick(head.strip(), names, "tray", column))
    if not tail:
        return TrayRef(tray_id)
    tail, column = tail[1:], column + offset + 1
    tray_slots = plant.tray_types[plant.trays[tray_id].type].slots
    try:
        slots = from_text(tail)
    except PlantError as fault:
        raise RefError(fault.message, hint=fault.hint, column=column + max(fault.column - 1, 0)) from None
    if max(slots) > tray_slots:
        raise RefError(
            f"tray {plant.trays[tray_id].name} has {tray_slots} slots, not {tail}",
            hint=f"Slots count from 1 to {tray_slots}",
            column=column,
        )
    return TrayRef(tray_id, slots)


def _port(plant: Plant, site: SiteId, text: str, column: int) -> PortRef:
    """``N`` or ``PANEL/N`` among a site's ports."""
    ports = [p for p in plant.ports.values() if p.site == site]
    panel, slash, number = text.rpartition("/")
    found = [p for p in ports if str(p.number) == number.strip() and (not slash or p.panel.lower() == panel.lower())]
    if len(found) == 1:
        return PortRef(found[0].id)
    if found:
        which = ", ".join(f"port/{p.panel}/{p.number}" for p in found)
        raise RefError(f"{len(found)} ports here have the number {number}", hint=f"Say which: {which}", column=column)
    shown = [f"{p.panel}/{p.number}" for p in sorted(ports, key=lambda p: (p.panel, p.number))]
    name = plant.sites[site].name
    raise RefError(f"{name} has no port {text!r}", hint=_nearest(text, shown), column=column)
