"""Endings for the steps that make or name things: which words, names and part types can follow what is typed so far.

Only the words before the one being typed are looked at; whether an ending reads is tried elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from model.entries import users_of
from model.ids import SiteId
from model.line.build import SITE_KINDS
from model.line.context import Context
from model.line.making import BOXES, CABLES, SPLITTERS, TRAYS, types_of
from model.line.names import quoted
from model.line.verbs import ADDED, JOB_FIELDS
from model.lookup import enclosure_at
from model.optics.classes import power_classes
from model.parts import CableType

_WORD = re.compile(r'"[^"]*"?|[^\s"]+')


def building_endings(context: Context, step: str, verb: str, word: str) -> Iterator[str]:
    """What can stand where ``word`` is being typed, in the order worth offering; ``step`` is the step before it."""
    said = [piece.strip('"') for piece in _WORD.findall(step)][1:]
    found = _after(context, verb, said)
    typed = word.strip('"').lower()
    yield from (text for text in found if text.strip('"').lower().startswith(typed))


def _after(context: Context, verb: str, said: list[str]) -> Iterable[str]:
    if verb == "add":
        return _added(context, said)
    last = said[-1].lower() if said else ""
    if verb == "name":
        return _named(context, said, last)
    if verb == "mark":
        if not said:
            return _names(context, "cable", here=True)
        if last in ("at", "beyond"):
            return _sites(context)
        if len(said) == 1:
            return ["jump "]
        if "jump" in said:
            return ["none"] if last == "jump" else ["beyond "] if len(said) == 3 else []
        return ["at "] if len(said) == 2 else []
    if verb == "enter":
        if not said:
            return _names(context, "cable", here=True)
        return (
            _sites(context)
            if last == "at"
            else _drop_entries(context)
            if last == "in"
            else ["in "]
            if len(said) == 1
            else []
        )
    if verb == "serve":
        return _served(context, said, last)
    if verb == "remove":
        return _removed(context, said, last)
    if last == "at":
        return _sites(context)
    return [*_entries(context, closing=verb == "plug"), "all"] if not said else ["at "]


def _sites(context: Context, boxed: bool | None = None) -> list[str]:
    """Sites; with ``boxed`` those that have a box, or have none."""
    plant = context.plant
    with_box = {box.site for box in plant.enclosures.values()}
    known = {site.name for site in plant.sites.values() if boxed is None or (site.id in with_box) == boxed}
    return [quoted(name) for name in context.names.of["site"] if name in known]


def _names(context: Context, kind: str, *, here: bool = False) -> list[str]:
    names = list(context.names.of[kind])  # type: ignore[index]  # callers pass a kind
    if here and context.place is not None:
        near = {c.name for c in context.plant.cables.values() if any(s.site == context.place for s in c.stops)}
        names.sort(key=lambda name: name not in near)
    return [quoted(name) for name in names]


def _cables(context: Context, *, drops: bool) -> list[str]:
    """Cable types: those the plant uses first, then the catalogue's, drops apart from feeders."""

    def small(kind: CableType) -> bool:
        return "drop" in kind.construction or kind.construction == "pigtail"

    known: dict[str, CableType] = types_of(context.plant, CABLES)
    used = set(context.plant.cable_types)
    return sorted(known, key=lambda key: (small(known[key]) != drops, key not in used, list(known).index(key)))


def _box_types(context: Context) -> list[str]:
    return list(types_of(context.plant, BOXES))


def _tray_types(context: Context) -> list[str]:
    site = context.place
    boxes = [b for b in context.plant.enclosures.values() if site in (None, b.site)]
    fit = [key for box in boxes for key in context.plant.enclosure_types[box.type].trays]
    return list(dict.fromkeys(fit)) or list(types_of(context.plant, TRAYS))


def _entries(context: Context, *, closing: bool) -> list[str]:
    sites = [context.place] if context.place else [SiteId(b.site) for b in context.plant.enclosures.values()][:1]
    found: list[str] = []
    for site in sites:
        box = enclosure_at(context.plant, site)
        if box is None:
            continue
        used = users_of(context.plant, site)
        entries = [e.name for e in context.plant.enclosure_types[box.type].entries]
        found += [n for n in entries if n not in used and n not in box.plugged] if closing else list(box.plugged)
    return found


def _added(context: Context, said: list[str]) -> Iterable[str]:
    if not said:
        return [f"{kind} " for kind in ADDED]
    kind, last = said[0].lower(), said[-1].lower()
    if last in ("from", "through") or (last == "to" and kind in ("cable", "drop")):
        return _sites(context)
    if kind == "site":
        return SITE_KINDS if len(said) == 2 else []
    if kind == "cable":
        return _cable_words(context, said, last)
    if kind == "drop":
        return _drop_words(context, said, last)
    if kind in ("panel", "splitter"):
        return _device_words(context, kind, said, last)
    if len(said) == 1:
        return _box_types(context) if kind == "box" else _tray_types(context)
    if last in ("at", "to"):
        return _sites(context, boxed=kind == "tray")
    if last in ("as", "times"):
        return []
    tails = ("at ", "as ") if kind == "box" else ("to ", "times ")
    return [tail for tail in tails if tail.strip() not in said]


def _device_words(context: Context, kind: str, said: list[str], last: str) -> Iterable[str]:
    if last == "at":
        return _sites(context)
    if kind == "splitter":
        if last in ("on", "tray"):
            return [f"{'' if last == 'tray' else 'tray '}{name}" for name in _names(context, "tray")]
        types = list(types_of(context.plant, SPLITTERS))
        return (
            [] if len(said) == 1 else types if len(said) == 2 else [t for t in ("at ", "on ") if t.strip() not in said]
        )
    if len(said) == 1:
        return _names(context, "cable", here=True)
    if len(said) == 2:
        return ["with ", "at "]
    if said[2].lower() != "with" or last == "with":
        return []
    if last == "class":
        return [f'"{name}"' for name in (found.name for found in power_classes())]
    more = ("ports ", "equipment ", "outlet ", "class ", "at ")
    return [tail for tail in more if tail.strip() not in [word.lower() for word in said]]


def _removed(context: Context, said: list[str], last: str) -> Iterable[str]:
    if last == "at":
        return _sites(context)
    if last == "tray" and len(said) == 1:
        return _names(context, "tray")
    if last == "panel" and len(said) == 1:
        return [quoted(name) for name in sorted({port.panel for port in context.plant.ports.values()})]
    if said:
        return ["at "] if said[0].lower() in ("tray", "panel") else []
    kinds = ("splitter", "cable", "service", "site")
    return [*(name for kind in kinds for name in _names(context, kind, here=kind == "cable")), "tray ", "panel "]


def _cable_words(context: Context, said: list[str], last: str) -> Iterable[str]:
    if len(said) == 2:
        return _cables(context, drops=False)
    if len(said) == 3:
        return ["from "]
    if last in ("at", "in", "coil", "cable") or len(said) < 3:
        return []
    if "to" in said[3:]:
        return ["at ", "in "]
    return ["to ", "through ", "at ", "in ", "coil "]


def _drop_words(context: Context, said: list[str], last: str) -> Iterable[str]:
    if len(said) == 2:
        return _cables(context, drops=True)
    if len(said) == 3:
        return ["to ", "from "]
    if last in ("at", "in"):
        return _drop_entries(context)
    if "to" in said[3:]:
        number = re.fullmatch(r"[0-9.]+", said[-1]) is not None
        return ["m", "m at "] if number else ["at "] if last == "m" or re.fullmatch(r"[0-9.]+m", last) else []
    return ["to "]


def _drop_entries(context: Context) -> list[str]:
    site = context.place or next((SiteId(b.site) for b in context.plant.enclosures.values()), None)
    box = enclosure_at(context.plant, site) if site else None
    if site is None or box is None:
        return []
    used = users_of(context.plant, site)
    entries = context.plant.enclosure_types[box.type].entries
    free = [e for e in entries if used.get(e.name, 0) < e.cables]
    return [e.name for e in sorted(free, key=lambda e: e.rod_x_mm is not None)]


def _named(context: Context, said: list[str], last: str) -> Iterable[str]:
    if not said:
        site = [quoted(context.plant.sites[context.place].name)] if context.place else []
        rest = [*_names(context, "cable", here=True), *_sites(context), *_names(context, "service")]
        return [*dict.fromkeys([*site, *rest, *_names(context, "splitter")]), "tray ", *(f"{w} " for w in JOB_FIELDS)]
    if last == "tray" and len(said) == 1:
        return _names(context, "tray")
    return ["as "] if "as" not in said[1:] else []


def _served(context: Context, said: list[str], last: str) -> Iterable[str]:
    if not said:
        with_ports = {port.site for port in context.plant.ports.values()}
        names = {context.plant.sites[site].name for site in with_ports}
        return [quoted(name) for name in context.names.of["site"] if name in names]
    if last == "port":
        site = next((s.id for s in context.plant.sites.values() if s.name.lower() == said[0].lower()), None)
        taken = {s.at for s in context.plant.services.values() if s.status != "ceased"}
        ports = [p for p in context.plant.ports.values() if p.site == site]
        return [str(p.number) for p in sorted(ports, key=lambda p: (p.id in taken, p.number))]
    if len(said) == 1:
        return ["port "]
    if len(said) == 3:
        return ["as "]
    return ["for "] if len(said) == 5 else []
