"""Boxes and what is in them: ``add box``, ``add tray``, ``plug`` and ``unplug``."""

from __future__ import annotations

from dataclasses import replace

from model.edits.entering import Enter
from model.edits.parts import Add, Replace
from model.edits.routing import SetPlugs
from model.entities import Cable, Enclosure, Stop, Tray
from model.entries import entry_pair, free_entries, users_of
from model.errors import EditError
from model.ids import EnclosureId, EnclosureTypeId, SiteId, TrayId, TrayTypeId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError
from model.line.making import (
    BOXES,
    TRAYS,
    box_at,
    bring,
    fresh_id,
    named,
    refuse_taken,
    site_said,
    type_said,
)
from model.line.syntax import Build
from model.line.wording import plural
from model.lookup import passes, sheaths_at, trays_of
from model.parts import EnclosureType, TrayType


def add_box(bench: Bench, step: Build) -> Made:
    """A box at a site: cables there get entries that seal them, all other entries are plugged."""
    assert step.type is not None  # noqa: S101  # the reader gives it
    kind: EnclosureType = type_said(bench, step.type, BOXES, "box")
    empty = [s.id for s in bench.plant.sites.values() if s.kind == "enclosure" and box_at(bench, s.id) is None]
    site = site_said(bench, step.at, step.span, empty, strict=True)
    held = box_at(bench, site.id)
    if held is not None:
        raise LineError(
            f"{site.name} has a box already, {held.name}",
            step.at.span if step.at else step.type.span,
            hint="A site has one box: add a site for another",
        )
    if step.new is not None:
        refuse_taken(bench, step.new, {"enclosures": "box"})
    name = step.new.text if step.new else site.name
    made = Made(f"add box {name}")
    bring(bench, made, BOXES, kind.id)
    key = EnclosureId(fresh_id(bench, "enclosures", f"{site.id} box"))
    bench.do(made, Add((Enclosure(key, site.id, EnclosureTypeId(kind.id), name, (), site.place),), made.name))
    entered = _enter(bench, made, site.id)
    used = users_of(bench.plant, site.id)
    free = tuple(sorted(e.name for e in kind.entries if e.name not in used))
    bench.do(made, SetPlugs(key, free))
    made.chips = [
        Chip("do", "add a box", step.verb.span),
        Chip("what", f"{name}, {kind.title}", step.type.span),
        Chip("at", site.name, step.at.span if step.at else step.span),
    ]
    if entered:
        made.chips.append(Chip("entry", ", ".join(entered), step.span))
    made.chips.append(Chip("then", f"{len(free)} free {'entry' if len(free) == 1 else 'entries'} plugged", step.span))
    outside = _outside(bench, site.id)
    if outside:
        words = f"{', '.join(outside)}: no free entry seals {'it' if len(outside) == 1 else 'them'}"
        made.chips.append(Chip("not entered", words, step.type.span, warns=True))
    return made


def _outside(bench: Bench, site: SiteId) -> list[str]:
    """Names of the cables of a site that are in no entry of its box."""
    return [cable.name for cable, _, stop in sheaths_at(bench.plant, site) if not stop.entry_in and not stop.entry_out]


def _enter(bench: Bench, made: Made, site: SiteId) -> list[str]:
    """Put the cables of a site that are in no entry into free ones that seal them."""
    said = []
    for cable, index, stop in list(sheaths_at(bench.plant, site)):
        box = box_at(bench, site)
        if box is None or stop.entry_in or stop.entry_out:
            continue
        kind = bench.plant.cable_types[cable.type]
        changed: Stop | None = None
        if passes(cable, index):
            pair = entry_pair(bench.plant, box, kind)
            if pair is not None:
                changed = replace(stop, entry_in=pair[0], entry_out=pair[1], anchored_in=True, anchored_out=True)
        else:
            free = free_entries(bench.plant, box, kind)
            if free and index == 0:
                changed = replace(stop, entry_out=free[0].name, anchored_out=True)
            elif free:
                changed = replace(stop, entry_in=free[0].name, anchored_in=True)
        if changed is not None:
            stops = (*cable.stops[:index], changed, *cable.stops[index + 1 :])
            new: Cable = replace(cable, stops=stops)
            bench.do(made, Replace(new, made.name))
            names = " and ".join(name for name in (changed.entry_in, changed.entry_out) if name)
            said.append(f"{cable.name} in {names}")
    return said


def add_tray(bench: Bench, step: Build) -> Made:
    """Trays in the next free positions of a box, named by their position."""
    assert step.type is not None  # noqa: S101  # the reader gives it
    boxes = list(dict.fromkeys(SiteId(box.site) for box in bench.plant.enclosures.values()))
    site = site_said(bench, step.at, step.span, boxes)
    box = box_at(bench, site.id)
    if box is None:
        raise LineError(
            f"{site.name} has no box",
            step.at.span if step.at else step.type.span,
            hint=f"Add one first: add box TYPE at {site.name}",
        )
    housing = bench.plant.enclosure_types[box.type]
    kind: TrayType = type_said(bench, step.type, TRAYS, "tray", housing.trays)
    count = int(step.count.text) if step.count else 1
    taken = {tray.position for tray in trays_of(bench.plant, box.id)}
    free = [place.number for place in housing.tray_positions if place.number not in taken]
    if not 1 <= count <= len(free):
        span = step.count.span if step.count else step.type.span
        raise LineError(
            f"{box.name} has room for {plural(len(free), 'tray')}, not {count}" if count else "no tray is added",
            span,
            hint="" if free else "Choose a box with more trays",
            nearest=str(len(free)) if free and step.count else "",
            fixes=(Fix(span, str(len(free))),) if free and step.count else (),
        )
    made = Made(f"add {plural(count, 'tray')} to {box.name}")
    bring(bench, made, TRAYS, kind.id)
    names = []
    held = {tray.name for tray in trays_of(bench.plant, box.id)}
    for position in free[:count]:
        name = str(position)
        while name in held:
            name += "'"
        held.add(name)
        key = TrayId(fresh_id(bench, "trays", f"{site.id} tray {position}"))
        bench.do(made, Add((Tray(key, box.id, TrayTypeId(kind.id), position, name),), made.name))
        names.append(name)
    made.chips = [
        Chip("do", f"add {plural(count, 'tray')}", step.verb.span),
        Chip("what", f"tray {', '.join(names)}, {kind.title}", step.type.span),
        Chip("at", site.name, step.at.span if step.at else step.span),
    ]
    return made


def enter(bench: Bench, step: Build) -> Made:
    """``enter``: put a cable into entries of the box it stops at. Raises LineError."""
    assert step.name is not None  # noqa: S101  # the reader gives it
    cable: Cable = named(bench, step.name, "cables", "cable")
    boxed = {box.site for box in bench.plant.enclosures.values()}
    stops = [stop.site for stop in cable.stops if stop.site in boxed]
    site = site_said(bench, step.at, step.span, stops, strict=True)
    stop = next((s for s in cable.stops if s.site == site.id), None)
    if stop is None:
        names = ", ".join(bench.plant.sites[s.site].name for s in cable.stops)
        raise LineError(
            f"{cable.name} does not stop at {site.name}",
            step.at.span if step.at else step.name.span,
            hint=f"It stops at {names}",
        )
    made = Made(f"enter {cable.name} in {'/'.join(word.text for word in step.entries)}")
    span = step.entries[0].span.to(step.entries[-1].span)
    try:
        bench.do(made, Enter(cable.id, stop.id, tuple(word.text.upper() for word in step.entries), made.name))
    except EditError as fault:
        box = box_at(bench, site.id)
        free = free_entries(bench.plant, box, bench.plant.cable_types[cable.type]) if box else []
        raise LineError(
            fault.message,
            span,
            hint=fault.hint,
            nearest=", ".join(e.name for e in free[:4]),
            fixes=tuple(Fix(span, e.name) for e in free[:3]) if len(step.entries) == 1 else (),
            incomplete=fault.message.startswith("a cable that passes") and span.end > len(bench.text.rstrip()),
        ) from None
    made.chips = [
        Chip("do", "put a cable into the box", step.verb.span),
        Chip("what", cable.name, step.name.span),
        Chip("in", " and ".join(word.text for word in step.entries), span),
        Chip("at", site.name, step.at.span if step.at else step.span),
    ]
    return made


def plug(bench: Bench, step: Build) -> Made:
    """``plug`` and ``unplug`` entries. Raises LineError for one that is in use or not there."""
    boxes = list(dict.fromkeys(SiteId(box.site) for box in bench.plant.enclosures.values()))
    site = site_said(bench, step.at, step.span, boxes)
    box = box_at(bench, site.id)
    if box is None:
        raise LineError(f"{site.name} has no box", step.at.span if step.at else step.span, hint="Say at which site")
    entries = [entry.name for entry in bench.plant.enclosure_types[box.type].entries]
    used = users_of(bench.plant, site.id)
    closing = step.verb.text == "plug"
    names: list[str] = []
    for word in step.entries:
        if word.text.lower() == "all" and len(step.entries) == 1:
            names = [n for n in entries if n not in used] if closing else list(box.plugged)
            break
        name = next((n for n in entries if n.lower() == word.text.lower()), None)
        open_ones = [n for n in entries if n not in used] if closing else list(box.plugged)
        if name is None or (closing and name in used):
            raise LineError(
                f"a cable is in entry {name}" if name else f"{box.name} has no entry {word.text}",
                word.span,
                nearest=", ".join(open_ones[:4]),
                fixes=tuple(Fix(word.span, n) for n in open_ones[:3]),
                incomplete=any(n.startswith(word.text) for n in entries) and word.span.end > len(bench.text.rstrip()),
            )
        names.append(name)
    made = Made(f"{step.verb.text} {', '.join(w.text for w in step.entries)} of {box.name}")
    before = set(box.plugged)
    after = before | set(names) if closing else before - set(names)
    if after != before:
        bench.do(made, SetPlugs(box.id, tuple(sorted(after)), name=made.name))
    entry_word = "entry" if len(names) == 1 else "entries"
    made.chips = [
        Chip("do", f"{step.verb.text} {entry_word} {', '.join(names) or 'none'}", step.verb.span),
        Chip("at", site.name, step.at.span if step.at else step.span),
    ]
    if after == before:
        made.chips.append(Chip("note", "already so, nothing to change", step.span))
    return made
