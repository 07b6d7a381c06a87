"""Panels and splitters: ``add panel``, ``add splitter``, and ``remove`` for these and all that nothing leans on.

A new splitter's legs come capped: they are parked, its second input stands by, until something is joined to them.
"""

from __future__ import annotations

from typing import Any, Final

from model.edits.joining import Plug
from model.edits.parts import Add, Remove
from model.entities import Cable, FibreEnd, LegEnd, Port, Side, Site, Splitter
from model.errors import PlantError
from model.ids import PortId, SiteId, SplitterId, SplitterTypeId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError, Span
from model.line.making import SPLITTERS, box_at, bring, fresh_id, named, refuse_taken, site_said, type_said
from model.line.names import quoted
from model.line.places import tray_named
from model.line.syntax import Build, Word
from model.line.wording import plural, runs
from model.optics.classes import power_class
from model.parts import SplitterType

MOST_PORTS: Final = 1728
"""Ports of one panel; more is a slip."""


def _new_ports(
    bench: Bench, made: Made, site: Site, panel: str, count: int, role: Any, power_class: str = ""
) -> list[Port]:
    """Ports of a panel at a site, numbered on from those it has."""
    held = [p.number for p in bench.plant.ports.values() if p.site == site.id and p.panel == panel]
    first = max(held, default=0) + 1
    ports = []
    for number in range(first, first + count):
        key, n = f"{site.id}.{number}", 1
        while key in bench.plant.ports:
            n += 1
            key = f"{site.id}.{number}-{n}"
        ports.append(Port(PortId(key), site.id, panel, number, role, power_class=power_class))
    bench.do(made, Add(tuple(ports), made.name))
    return ports


def plug_end(bench: Bench, made: Made, cable: Cable, index: int, site: Site, panel: str, role: Any) -> list[Port]:
    """New ports at a site, and every fibre of a cable's end plugged into them."""
    stop = cable.stops[index]
    side: Side = ">" if index == 0 else "<"
    count = bench.plant.cable_types[cable.type].fibre_count
    ports = _new_ports(bench, made, site, panel, count, role)
    ends = tuple(FibreEnd(cable.id, n, stop.id, side) for n in range(1, count + 1))
    bench.do(made, Plug(ends, tuple(port.id for port in ports)))
    return ports


def add_panel(bench: Bench, step: Build) -> Made:
    """A panel: of so many empty ports, or one that a cable's end is plugged into. Raises LineError."""
    word = step.name
    assert word is not None  # noqa: S101  # the reader gives it
    if step.count is not None:
        return _panel_of_ports(bench, step, word, step.count)
    known = {cable.name.lower() for cable in bench.plant.cables.values()} | set(bench.plant.cables)
    if word.text.lower() not in known and step.at is None:
        at = Span(step.span.end, 0)
        raise LineError(
            f"a panel {word.text} with how many ports?",
            at,
            hint=f"Like: add panel {quoted(word.text)} with 12 ports; or name a cable whose end is plugged in",
            fixes=(Fix(at, " with 12 ports"),),
            incomplete=at.column > len(bench.text.rstrip()),
        )
    cable: Cable = named(bench, word, "cables", "cable")
    return _panel_of_cable(bench, step, word, cable)


def _panel_of_ports(bench: Bench, step: Build, word: Word, many: Word) -> Made:
    site = site_said(bench, step.at, step.span, [s.id for s in bench.plant.sites.values()])
    count = int(many.text)
    if not 1 <= count <= MOST_PORTS:
        raise LineError(f"a panel of {count} ports", many.span, hint=f"Between 1 and {MOST_PORTS}")
    role = step.type.text if step.type else "panel"
    power = ""
    if step.power is not None:
        try:
            power = power_class(step.power.text).name
        except PlantError as fault:
            raise LineError(fault.message, step.power.span, hint=fault.hint) from None
    panel = next(
        (p.panel for p in bench.plant.ports.values() if p.site == site.id and p.panel.lower() == word.text.lower()),
        word.text,
    )
    made = Made(f"add panel {panel}")
    ports = _new_ports(bench, made, site, panel, count, role, power)
    said = f"{panel} {ports[0].number}-{ports[-1].number}" if count > 1 else f"{panel} {ports[0].number}"
    made.chips = [
        Chip("do", f"add {plural(count, 'port')}", step.verb.span),
        Chip("what", f"{said}, {role if role != 'panel' else 'front and rear free'}", word.span),
        *([Chip("class", power, step.power.span)] if step.power else []),
        Chip("at", site.name, step.at.span if step.at else step.span),
    ]
    return made


def _panel_of_cable(bench: Bench, step: Build, word: Word, cable: Cable) -> Made:
    ends = [cable.stops[0].site, cable.stops[-1].site]
    if step.at is not None:
        site: Site = named(bench, step.at, "sites", "site")
    else:
        bare = [key for key in ends if box_at(bench, key) is None]
        site = site_said(bench, None, step.span, bare or ends, strict=True)
    if site.id not in ends:
        raise LineError(
            f"{cable.name} does not end at {site.name}",
            step.at.span if step.at else step.span,
            nearest=", ".join(bench.plant.sites[key].name for key in ends),
        )
    index = 0 if site.id == ends[0] else len(cable.stops) - 1
    made = Made(f"add panel for {cable.name}")
    panel = "".join(c for c in site.name if c.isalnum())[:2].upper() or "P"
    ports = plug_end(bench, made, cable, index, site, panel, "outlet" if site.kind == "premises" else "panel")
    made.chips = [
        Chip("do", f"add {plural(len(ports), 'port')}", step.verb.span),
        Chip("at", site.name, step.at.span if step.at else step.span),
        Chip("then", f"{cable.name} plugged in {panel} {ports[0].number}-{ports[-1].number}", word.span),
    ]
    return made


def add_splitter(bench: Bench, step: Build) -> Made:
    """A splitter or tap at a site, on a tray where one is said, all its legs capped. Raises LineError."""
    word = step.name
    assert word is not None  # noqa: S101  # the reader gives it
    assert step.type is not None  # noqa: S101
    refuse_taken(bench, word, {"splitters": "splitter", "cables": "cable"})
    kind: SplitterType = type_said(bench, step.type, SPLITTERS, "splitter")
    boxed = [SiteId(box.site) for box in bench.plant.enclosures.values()]
    site = site_said(bench, step.at, step.span, boxed or [s.id for s in bench.plant.sites.values()])
    tray = tray_named(bench, step.tray, site.id) if step.tray else None
    made = Made(f"add splitter {word.text}")
    bring(bench, made, SPLITTERS, kind.id)
    outs = tuple(range(1, len(kind.legs_db) + 1))
    splitter = Splitter(
        SplitterId(fresh_id(bench, "splitters", word.text)),
        site.id,
        SplitterTypeId(kind.id),
        word.text,
        tray.id if tray else None,
        parked=outs,
        standby=tuple(range(2, kind.inputs + 1)),
    )
    bench.do(made, Add((splitter,), made.name))
    losses = sorted(set(kind.legs_db))
    said = " and ".join(f"{loss:g}" for loss in losses) if len(losses) < 3 else f"{losses[0]:g} to {losses[-1]:g}"
    made.chips = [
        Chip("do", "add a splitter", step.verb.span),
        Chip("what", f"{word.text}, {kind.title}, {said} dB a leg", step.type.span),
        Chip("at", site.name + (f", tray {tray.name}" if tray else ""), step.at.span if step.at else step.span),
        Chip("then", f"its {plural(len(outs), 'leg')} stand parked", step.span),
    ]
    return made


_TABLES: Final = (("splitters", "splitter"), ("cables", "cable"), ("services", "service"), ("sites", "site"))


def remove(bench: Bench, step: Build) -> Made:
    """``remove``: one thing that nothing leans on; a panel with all its ports. Raises LineError."""
    word = step.name
    assert word is not None  # noqa: S101  # the reader gives it
    what = step.kind.text if step.kind else ""
    made = Made(f"remove {what} {word.text}".replace("  ", " "))
    if what == "panel":
        found: list[tuple[str, str]] = [("ports", str(port.id)) for port in panel_ports(bench, step, word)]
        words = f"panel {word.text}, {plural(len(found), 'port')}"
    elif what == "tray":
        boxes = list(dict.fromkeys(SiteId(box.site) for box in bench.plant.enclosures.values()))
        tray = tray_named(bench, word, site_said(bench, step.at, step.span, boxes).id)
        found, words = [("trays", tray.id)], f"tray {tray.name}"
    else:
        table, key, words = _one(bench, word)
        found = [(table, key)]
    _refuse_in_use(bench, step, found)
    for table, key in found:
        bench.do(made, Remove(table, key, made.name))
    made.chips = [Chip("do", "remove", step.verb.span), Chip("what", words, word.span)]
    return made


def _refuse_in_use(bench: Bench, step: Build, found: list[tuple[str, str]]) -> None:
    """Raises LineError for a splitter with joined legs and for a panel with plugs, saying how to take them out."""
    assert step.name is not None  # noqa: S101  # the reader gives it
    plant = bench.plant
    keys = {key for _, key in found}
    if found[0][0] == "ports":
        full = sorted({plant.ports[m.port].number for m in plant.matings.values() if m.port in keys})
        if full:
            raise LineError(
                f"{plural(len(full), 'port')} of {step.name.text} {'is' if len(full) == 1 else 'are'} in use: "
                f"{runs(full)}",
                step.name.span,
                hint="Take out what is plugged in first, with part",
            )
    elif found[0][0] == "splitters":
        ends = [m.end for m in plant.matings.values()]
        ends += [end for s in plant.splices.values() for end in (s.a, s.b)]
        legs = {
            role: sorted(e.number for e in ends if isinstance(e, LegEnd) and e.splitter in keys and e.role == role)
            for role in ("in", "out")
        }
        name = quoted(plant.splitters[SplitterId(found[0][1])].name)
        said = [f"{name}:{role}{run}" for role, held in legs.items() if held for run in runs(held).split(",")]
        if said:
            raise LineError(
                f"{plural(sum(map(len, legs.values())), 'leg')} of {step.name.text} in use",
                step.name.span,
                hint=f"Take them out first: part {','.join(said)}",
                fixes=(Fix(Span(step.span.column, 0), f"part {','.join(said)}; "),),
            )


def _one(bench: Bench, word: Word) -> tuple[str, str, str]:
    """(table, id, words) of the one thing that has a name, of whatever kind. Raises LineError."""
    for table, what in _TABLES:
        held = bench.plant.table(table)
        keys = [key for key, e in held.items() if e.name.lower() == word.text.lower() or key == word.text]
        if len(keys) == 1:
            return table, keys[0], f"{what} {held[keys[0]].name}"
        if keys:
            raise LineError(
                f"{word.text!r} names {len(keys)} {what}s", word.span, hint="Say which by its id: " + ", ".join(keys)
            )
    names = bench.context.names.of
    known = [name for kind in ("splitter", "cable", "service", "site") for name in names[kind]]
    raise bench.fault_name(word.text, word.span, "thing", known)


def panel_ports(bench: Bench, step: Build, word: Word) -> list[Port]:
    """The ports of a panel, at the site said or meant. Raises LineError."""
    ports = [p for p in bench.plant.ports.values() if p.panel.lower() == word.text.lower()]
    site = site_said(bench, step.at, step.span, dict.fromkeys(p.site for p in ports))
    here = [p for p in ports if p.site == site.id]
    if not here:
        panels = sorted({p.panel for p in bench.plant.ports.values() if p.site == site.id})
        raise LineError(
            f"{site.name} has no panel {word.text}",
            word.span,
            nearest=", ".join(panels[:4]),
            hint="" if panels else "It has no ports",
            fixes=tuple(Fix(word.span, quoted(name)) for name in panels[:4]),
        )
    return here
