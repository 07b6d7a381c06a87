"""``add``: sites, cables and drops, boxes, trays, panels and splitters, with the part types they need. One step each.

A cable that stops at a box gets entries that seal it unless some are said; a drop is plugged at the customer's end.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from model.edits.parts import Add
from model.edits.routing import SetPlugs
from model.entities import Cable, Enclosure, Site, Stop
from model.entries import entry_pair, free_entries, users_of
from model.ids import CableId, CableTypeId, SiteId, StopId
from model.line.context import Bench, Chip, Made
from model.line.devices import add_panel, add_splitter, plug_end
from model.line.faults import Fix, LineError
from model.line.housing import add_box, add_tray
from model.line.making import (
    CABLES,
    box_at,
    bring,
    fresh_id,
    named,
    refuse_taken,
    site_said,
    type_said,
)
from model.line.syntax import Build, Halt, Word
from model.line.wording import plural
from model.lookup import stays_inside
from model.parts import CableType

NAMED: Final = {"cables": "cable", "sites": "site"}


def add(bench: Bench, step: Build) -> Made:
    """What ``add`` comes to. Raises LineError."""
    kind = step.kind.text if step.kind else ""
    makers = {
        "site": _site,
        "cable": _cable,
        "drop": _drop,
        "box": add_box,
        "tray": add_tray,
        "panel": add_panel,
        "splitter": add_splitter,
    }
    return makers[kind](bench, step)


def _word(word: Word | None) -> Word:
    assert word is not None  # noqa: S101  # the reader gives it
    return word


def _site(bench: Bench, step: Build) -> Made:
    name = _word(step.name)
    refuse_taken(bench, name, NAMED)
    kind = step.type.text if step.type else "enclosure"
    made = Made(f"add site {name.text}")
    site = Site(SiteId(fresh_id(bench, "sites", name.text)), name.text, kind)  # type: ignore[arg-type]  # read as one
    bench.do(made, Add((site,), made.name))
    made.chips = [
        Chip("do", "add a site", step.verb.span),
        Chip("what", name.text, name.span),
        Chip("kind", kind, step.type.span if step.type else step.span),
    ]
    return made


def _mark(word: Word) -> float:
    return float(word.text)


def _cable(bench: Bench, step: Build) -> Made:
    name = _word(step.name)
    refuse_taken(bench, name, NAMED)
    kind: CableType = type_said(bench, _word(step.type), CABLES, "cable")
    made = Made(f"add cable {name.text}")
    bring(bench, made, CABLES, kind.id)
    key = fresh_id(bench, "cables", name.text)
    stops: list[Stop] = []
    unplugged: dict[str, set[str]] = {}
    last = len(step.halts) - 1
    for index, halt in enumerate(step.halts):
        site: Site = named(bench, halt.site, "sites", "site")
        if any(stop.site == site.id for stop in stops):
            if kind.construction != "pigtail" or last != 1:
                raise LineError(f"{site.name} is said twice", halt.site.span, hint="A cable stops once at a site here")
            stops = _inside(key, site, step.halts)
            break
        stop = _stop(bench, key, site, halt, kind, index == 0, index == last)
        stops.append(stop)
        box = box_at(bench, site.id)
        if box is not None:
            unplugged.setdefault(box.id, set()).update({stop.entry_in, stop.entry_out})
    cable = Cable(CableId(key), name.text, CableTypeId(kind.id), tuple(stops), status="planned")
    bench.do(made, Add((cable,), made.name))
    if not stays_inside(cable):
        _unplug(bench, made, unplugged)
    way = ", ".join(bench.plant.sites[stop.site].name for stop in stops)
    made.chips = [
        Chip("do", f"add a cable of {plural(kind.fibre_count, 'fibre')}", step.verb.span),
        Chip("what", f"{name.text}, {kind.title}", name.span),
        Chip("way", way, step.halts[0].site.span.to(step.halts[-1].site.span)),
        *([] if stays_inside(cable) else _entry_chips(bench, step, stops)),
    ]
    return made


def _inside(key: str, site: Site, halts: tuple[Halt, ...]) -> list[Stop]:
    """The two ends of a pigtail or cord that stays at one site: it is in no entry and held nowhere."""
    near, far = ([_mark(word) for word in halt.marks] for halt in halts)
    return [
        Stop(StopId(f"{key}.{site.id}.a"), site.id, mark_out_m=near[0] if near else None),
        Stop(StopId(f"{key}.{site.id}.b"), site.id, mark_in_m=far[0] if far else None),
    ]


def _entry_chips(bench: Bench, step: Build, stops: list[Stop]) -> list[Chip]:
    said = []
    for stop in stops:
        names = [name for name in (stop.entry_in, stop.entry_out) if name]
        if names:
            said.append(f"{bench.plant.sites[stop.site].name} {' and '.join(names)}")
        elif box_at(bench, stop.site) is not None:
            return [
                Chip(
                    "entry", f"none that seals it is free at {bench.plant.sites[stop.site].name}", step.span, warns=True
                )
            ]
    return [Chip("entry", ", ".join(said), step.span)] if said else []


def _stop(bench: Bench, key: str, site: Site, halt: Halt, kind: CableType, first: bool, last: bool) -> Stop:
    """A stop of a new cable, in the entries said or in free ones, held where it is in one."""
    marks = [_mark(word) for word in halt.marks]
    if len(marks) > 1 and (first or last):
        raise LineError("a cable has one mark where it ends", halt.marks[1].span, hint=f"Write at {halt.marks[0].text}")
    if len(marks) == 1 and not first and not last:
        raise LineError(
            "a passing cable has two marks, one on each side of the opening",
            halt.marks[0].span,
            hint=f"Like {halt.marks[0].text}/{float(halt.marks[0].text) + 1.6:g}",
        )
    entry_in, entry_out = _entries(bench, site, halt, kind, first, last)
    coil = float(halt.coil.text) if halt.coil else 0.0
    return Stop(
        StopId(f"{key}.{site.id}"),
        site.id,
        mark_in_m=None if first or not marks else marks[0],
        mark_out_m=None if last or not marks else marks[-1],
        entry_in=entry_in,
        entry_out=entry_out,
        coil_in_m=0.0 if first else coil,
        coil_out_m=0.0 if last else coil,
        anchored_in=bool(entry_in),
        anchored_out=bool(entry_out),
    )


def _entries(bench: Bench, site: Site, halt: Halt, kind: CableType, first: bool, last: bool) -> tuple[str, str]:
    box = box_at(bench, site.id)
    if box is None:
        if halt.entries:
            raise LineError(
                f"{site.name} has no box", halt.entries[0].span, hint=f"Add one first: add box TYPE at {site.name}"
            )
        return "", ""
    ends = first or last
    said = [_entry(bench, box, word) for word in halt.entries]
    if said:
        if len(said) != (1 if ends else 2):
            raise LineError(
                "a cable that ends is in one entry" if ends else "a cable that passes is in two entries",
                halt.entries[0].span,
                hint="Like in 4" if ends else "Like in 1A/1B",
            )
        return ("", said[0]) if first else (said[0], "") if last else (said[0], said[1])
    if not ends:
        return entry_pair(bench.plant, box, kind) or ("", "")
    free = free_entries(bench.plant, box, kind)
    name = free[0].name if free else ""
    return ("", name) if first else (name, "")


def _entry(bench: Bench, box: Enclosure, word: Word) -> str:
    """An entry said. Raises LineError for one that the box lacks or that is full."""
    entries = bench.plant.enclosure_types[box.type].entries
    entry = next((e for e in entries if e.name.lower() == word.text.lower()), None)
    used = users_of(bench.plant, box.site)
    free = [e.name for e in entries if used.get(e.name, 0) < e.cables]
    if entry is not None and used.get(entry.name, 0) < entry.cables:
        return entry.name
    raise LineError(
        f"entry {word.text} of {box.name} is full" if entry else f"{box.name} has no entry {word.text}",
        word.span,
        nearest=", ".join(free[:4]),
        fixes=tuple(Fix(word.span, name) for name in free[:3]),
        incomplete=any(e.name.startswith(word.text) for e in entries) and word.span.end > len(bench.text.rstrip()),
    )


def _unplug(bench: Bench, made: Made, entries: dict[str, set[str]]) -> None:
    """Take the plugs out of entries that cables are in now."""
    for key, names in entries.items():
        box: Enclosure = bench.plant.table("enclosures")[key]
        left = tuple(name for name in box.plugged if name not in names)
        if left != box.plugged:
            bench.do(made, SetPlugs(box.id, left))


def _drop(bench: Bench, step: Build) -> Made:
    name = _word(step.name)
    refuse_taken(bench, name, NAMED)
    kind: CableType = type_said(bench, _word(step.type), CABLES, "cable")
    boxes = [SiteId(box.site) for box in bench.plant.enclosures.values()]
    start = site_said(bench, step.at, step.span, boxes)
    made = Made(f"add drop {name.text}")
    bring(bench, made, CABLES, kind.id)
    word = step.halts[0].site
    site = next((s for s in bench.plant.sites.values() if s.name.lower() == word.text.lower()), None)
    if site is not None and site.id == start.id:
        raise LineError(f"{name.text} starts at {site.name}", word.span, hint="Say where it goes to")
    new = site is None
    if site is None:
        site = Site(SiteId(fresh_id(bench, "sites", word.text)), word.text, "premises")
        bench.do(made, Add((site,), made.name))
    key = fresh_id(bench, "cables", name.text)
    first = _stop(bench, key, start, Halt(word, entries=step.entries), kind, True, False)
    length = float(_word(step.length).text)
    if length <= 0:
        raise LineError("a drop has a length", _word(step.length).span, hint="Write metres, like 65 m")
    far = Stop(StopId(f"{key}.{site.id}"), site.id, mark_in_m=length, anchored_in=True)
    cable = Cable(
        CableId(key), name.text, CableTypeId(kind.id), (replace(first, mark_out_m=0.0), far), status="planned"
    )
    bench.do(made, Add((cable,), made.name))
    box = box_at(bench, start.id)
    if box is not None:
        _unplug(bench, made, {box.id: {first.entry_out}})
    made.chips = [
        Chip("do", f"add a drop of {plural(kind.fibre_count, 'fibre')}", step.verb.span),
        Chip("what", f"{name.text}, {kind.title}, {length:g} m", name.span),
        Chip("to", f"{site.name}, new premises" if new else site.name, word.span),
        *_entry_chips(bench, step, [first]),
    ]
    if site.kind == "premises":
        plug_end(bench, made, cable, 1, site, "outlet", "outlet")
        made.chips.append(Chip("then", f"plugged in {plural(kind.fibre_count, 'outlet')} at {site.name}", word.span))
    return made
