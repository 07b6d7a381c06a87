"""What can be done with the things under a point: what each is called, and its commands.

A command picks, traces, goes somewhere, or puts words into the Line to be finished there; none changes the plant by
itself. Plain data, no Qt.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, Splice
from model.ids import TrayId
from model.line.names import quoted
from model.lookup import cut_fibres, fibres_of, passes, service_name, work_on
from model.numbers import from_text
from model.plant import Plant
from render.looks import fibre_look, tube_look
from render.refs import split_ref

Does = Literal["pick", "trace", "say", "show", "go"]
TABLES = {
    "splice": "splices",
    "tray": "trays",
    "route": "routes",
    "site": "sites",
    "service": "services",
    "port": "ports",
    "splitter": "splitters",
    "leg": "splitters",
    "cable": "cables",
    "tube": "cables",
    "fibre": "cables",
    "fibres": "cables",
    "enclosure": "enclosures",
    "bay": "enclosures",
    "entry": "enclosures",
}
"""Where the id of a kind of ref is held."""


@dataclass(frozen=True, slots=True)
class Command:
    """One line of the list: its words, what it does, and with what (a ref, a typed line, or a view's name)."""

    text: str
    does: Does
    value: str


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing under the point."""

    ref: str
    title: str
    commands: tuple[Command, ...]


def things_here(plant: Plant, site: str | None, refs: list[str]) -> list[Thing]:
    """The things behind refs that the plant has, in the same order, each with its commands."""
    return [Thing(ref, title(plant, ref), _commands(plant, site, ref)) for ref in refs if known(plant, ref)]


def known(plant: Plant, ref: str) -> bool:
    """Whether the plant has what a ref names."""
    kind, key, _ = split_ref(ref)
    held = key.partition(":")[0] if kind == "bay" else key
    return kind in TABLES and held in plant.table(TABLES[kind])


def title(plant: Plant, ref: str) -> str:
    """What a person calls a thing: ``T2 OR of TM-B1``, ``13 BL of TM-B1``, ``slot 3 of tray 1``."""
    kind, key, number = split_ref(ref)
    if kind in ("tube", "fibre", "fibres"):
        cable = _cable(plant, key)
        if kind == "tube":
            look = tube_look(plant, cable, int(number))
            return f"T{number} {look.code} of {cable.name}"
        if kind == "fibre":
            return f"{fibre_look(plant, cable, int(number)).label} of {cable.name}"
        side = {"<": ", exchange side", ">": ", field side"}.get(number[-1:], "")
        return f"{number.rstrip('<>')} of {cable.name}{side}"
    if kind == "splice":
        splice = next(s for s in plant.splices.values() if s.id == key)
        tray = plant.trays.get(splice.tray) if splice.tray else None
        where = f"slot {splice.slot}" if splice.slot is not None else "joint"
        return f"{where} of tray {tray.name}" if tray else where
    if kind == "service":
        return f"service {service_name(plant, key)}"
    if kind == "bay":
        return f"slack bay {key.rpartition(':')[2]}".strip()
    if kind == "entry":
        return f"entry {number}" if number else "entries"
    if kind == "route":
        return _route(plant, key)
    if kind == "port":
        port = next(p for p in plant.ports.values() if p.id == key)
        return f"port {port.number} of {port.panel}"
    if kind == "leg":
        name = next(s.name for s in plant.splitters.values() if s.id == key)
        return f"leg {number.removeprefix('out')} of {name}" if number.startswith("out") else f"{number} of {name}"
    words = {"tray": "tray ", "enclosure": "box ", "cable": "cable "}.get(kind, "")
    return f"{words}{getattr(plant.table(TABLES[kind])[key], 'name', key)}"


def _cable(plant: Plant, key: str) -> Cable:
    return next(cable for cable in plant.cables.values() if cable.id == key)


def _route(plant: Plant, key: str) -> str:
    route = next(r for r in plant.routes.values() if r.id == key)
    cables = sorted({c.name for c in plant.cables.values() if any(s.id in route.stops for s in c.stops)})
    of = f" of {cables[0]}" if len(cables) == 1 else f" of {len(cables)} drops"
    if route.kind == "tube":
        side = {"<": ", A side", ">": ", B side"}.get(route.side, "")
        return f"{'+'.join(f'T{tube}' for tube in route.tubes)}{of}{side}"
    return f"{'drops' if route.kind == 'bundle' else 'sheath'}{of}"


def _commands(plant: Plant, site: str | None, ref: str) -> tuple[Command, ...]:
    kind, key, number = split_ref(ref)
    made = [Command("Pick", "pick", ref)]
    if kind in ("fibre", "splice", "port", "service", "leg"):
        made.append(Command("Trace", "trace", ref))
    if kind in ("tube", "fibre", "fibres"):
        made += _glass(plant, site, _cable(plant, key), kind, number)
    if kind == "splice":
        splice = next(s for s in plant.splices.values() if s.id == key)
        tray = plant.trays.get(splice.tray) if splice.tray else None
        if tray is not None:
            made.append(Command(f"Go to tray {tray.name}", "show", "Trays"))
            if splice.slot is not None:
                made.append(Command("Move to ...", "say", f"put tray {quoted(tray.name)} {splice.slot} on tray "))
                made.append(Command("Swap with ...", "say", f"swap tray {quoted(tray.name)} {splice.slot} and tray "))
                made.append(Command("Take apart", "say", f"part tray {quoted(tray.name)} {splice.slot}"))
                made += _record(splice, f"tray {quoted(tray.name)} {splice.slot}")
        made.append(Command("Show in Splices", "show", "Splices"))
    if kind == "tray":
        made.append(Command("Go to this tray", "show", "Trays"))
        name = quoted(plant.trays[TrayId(key)].name)
        if any(s.tray == key for s in plant.splices.values()):
            made.append(Command("Move all its joints to ...", "say", f"put tray {name} on tray "))
            made.append(Command("All its joints are done ...", "say", f"done tray {name} by "))
        made.append(Command("Change places with ...", "say", f"swap tray {name} and tray "))
    if kind == "site":
        made.append(Command("Go there", "go", key))
    if kind == "service":
        made.append(Command("Who is on it", "say", f"who service:{quoted(plant.services[key].name)}"))
    return tuple(made)


def _record(splice: Splice, what: str) -> list[Command]:
    """Commands that record what was done to a joint."""
    made = [Command("Record a reading ...", "say", f"measure {what} 1550 ")]
    if splice.status == "planned":
        return [Command("Mark as done ...", "say", f"done {what} by "), *made]
    return [
        *made,
        Command("Made again ...", "say", f"again {what} by "),
        Command("Seen ...", "say", f"seen {what} by "),
    ]


def _glass(plant: Plant, site: str | None, cable: Cable, kind: str, number: str) -> list[Command]:
    """Commands of a tube or of fibres at the place in sight; opening and cutting only where the sheath passes."""
    part, side = number.rstrip("<>"), number[len(number.rstrip("<>")) :]
    typed = f"{quoted(cable.name)}:{'T' if kind == 'tube' else ''}{part}"
    kinds = plant.cable_types[cable.type]
    index = next((i for i, stop in enumerate(cable.stops) if stop.site == site), None)
    made: list[Command] = []
    if index is not None and passes(cable, index):
        stop = cable.stops[index]
        cut = cut_fibres(kinds, stop)
        numbers = set(fibres_of(kinds, int(part))) if kind == "tube" else set(from_text(part))
        if kind == "tube":
            work = work_on(stop, int(part))
            made += [Command("Open here", "say", f"open {typed}")] if work is None else []
            made += (
                [Command("Keep uncut here", "say", f"keep {typed}")] if work is not None and not numbers & cut else []
            )
        made += [Command("Cut here", "say", f"cut {typed}")] if numbers - cut else []
    if index is not None:
        through = passes(cable, index)
        made.append(Command("Join to ...", "say", f"join {typed}{side if through else ''} to "))
    made.append(Command("Who is on it", "say", f"who {typed}"))
    return made
