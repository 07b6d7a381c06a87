"""``name``, ``mark`` and ``serve``: what things are called, what is printed on their sheath, who is at a port."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from model.edits.parts import Add, Replace
from model.entities import Cable, Service, Site, Tray
from model.errors import EditError
from model.history import Edit
from model.ids import ServiceId, SiteId
from model.lengths import FOOT_M
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError
from model.line.jumping import jump
from model.line.making import fresh_id, named, refuse_taken
from model.line.places import tray_named
from model.line.syntax import Build, Word
from model.line.verbs import JOB_FIELDS
from model.lookup import passes

TABLES: Final = {"cables": "cable", "sites": "site", "splitters": "splitter", "services": "service"}
ALONE: Final = {"cables": {"cables": "cable", "sites": "site"}, "sites": {"cables": "cable", "sites": "site"}}


def _word(word: Word | None) -> Word:
    assert word is not None  # noqa: S101  # the reader gives it
    return word


def rename(bench: Bench, step: Build) -> Made:
    """``name``: a cable, site, splitter, service or tray, or a line of the title block. Raises LineError."""
    new = _word(step.new)
    if step.kind is not None:
        return _job(bench, step, new)
    if step.tray is not None:
        return _tray(bench, step, new)
    old = _word(step.name)
    table = _table(bench, old)
    entity: Any = named(bench, old, table, TABLES[table])
    if entity.name == new.text:
        raise LineError(f"it is called {new.text} already", new.span, hint="Choose another name")
    if entity.name.lower() != new.text.lower():
        refuse_taken(bench, new, ALONE.get(table, {table: TABLES[table]}))
    made = Made(f"name {entity.name} as {new.text}")
    bench.do(made, Replace(replace(entity, name=new.text), made.name))
    also = _box_too(bench, made, entity, new.text) if table == "sites" else False
    made.chips = [
        Chip("do", f"name a {TABLES[table]}{' and its box' if also else ''}", step.verb.span),
        Chip("what", entity.name, old.span),
        Chip("as", new.text, new.span),
    ]
    return made


def _table(bench: Bench, word: Word) -> str:
    for table in TABLES:
        held = bench.plant.table(table)
        if any(e.name.lower() == word.text.lower() for e in held.values()) or word.text in held:
            return table
    known = [e.name for table in TABLES for e in bench.plant.table(table).values()]
    raise bench.fault_name(word.text, word.span, "thing", known)


def _box_too(bench: Bench, made: Made, site: Site, new: str) -> bool:
    """A box that is called like its site keeps being called so."""
    found = [box for box in bench.plant.enclosures.values() if box.site == site.id and box.name == site.name]
    for box in found:
        bench.do(made, Replace(replace(box, name=new), made.name))
    return bool(found)


def _tray(bench: Bench, step: Build, new: Word) -> Made:
    word = _word(step.tray)
    place = bench.context.place
    sites = [place] if place else sorted({SiteId(box.site) for box in bench.plant.enclosures.values()})
    with_trays = [site for site in sites if bench.trays_at(site)]
    if len(with_trays) != 1:
        raise LineError("at which site?", word.span, hint="Go there first: go SITE")
    tray: Tray = tray_named(bench, word, with_trays[0])
    if any(t.name.lower() == new.text.lower() and t.id != tray.id for t in bench.trays_at(with_trays[0])):
        raise LineError(f"a tray here is called {new.text} already", new.span, hint="Choose another name")
    made = Made(f"name tray {tray.name} as {new.text}")
    bench.do(made, Replace(replace(tray, name=new.text), made.name))
    made.chips = [
        Chip("do", "name a tray", step.verb.span),
        Chip("what", f"tray {tray.name}", word.span),
        Chip("as", new.text, new.span),
    ]
    return made


def _job(bench: Bench, step: Build, new: Word) -> Made:
    kind = _word(step.kind)
    job = bench.plant.job
    made = Made(f"name {kind.text} as {new.text}")
    values: dict[str, Any] = {JOB_FIELDS[kind.text]: new.text}
    changed = replace(job, **values)
    edit: Edit = Replace(changed, made.name) if job.id in bench.plant.table("jobs") else Add((changed,), made.name)
    bench.do(made, edit)
    made.chips = [
        Chip("do", "fill in the title block", step.verb.span),
        Chip("what", kind.text, kind.span),
        Chip("as", new.text, new.span),
    ]
    return made


def mark(bench: Bench, step: Build) -> Made:
    """``mark``: the printed marks of a cable at a stop, in the cable's own unit. Raises LineError."""
    word = _word(step.name)
    if step.kind is not None:
        return jump(bench, step, word)
    cable: Cable = named(bench, word, "cables", "cable")
    if step.at is not None:
        site_id = named(bench, step.at, "sites", "site").id
    else:
        site_id = bench.context.place
        if site_id is None or all(stop.site != site_id for stop in cable.stops):
            inner = [stop.site for i, stop in enumerate(cable.stops) if passes(cable, i)]
            site_id = inner[0] if len(inner) == 1 and len(step.marks) == 2 else None
    index = next((i for i, stop in enumerate(cable.stops) if stop.site == site_id), None)
    if index is None:
        names = [bench.plant.sites[stop.site].name for stop in cable.stops]
        raise LineError(
            f"at which stop of {cable.name}?",
            step.at.span if step.at else word.span,
            hint=f"It stops at {', '.join(names)}: mark {cable.name} MARK at SITE",
        )
    stop = cable.stops[index]
    factor = FOOT_M if cable.mark_unit == "ft" else 1.0
    marks = [float(m.text) * factor for m in step.marks]
    through = passes(cable, index)
    if through and len(marks) == 1:
        near = f"{step.marks[0].text}/{float(step.marks[0].text) + 1.6:g}"
        raise LineError(
            "a passing cable has two marks, one on each side of the opening",
            step.marks[0].span,
            hint=f"Like {near}",
            incomplete=step.marks[0].span.end > len(bench.text.rstrip()),
        )
    if not through and len(marks) == 2:
        span = step.marks[0].span.to(step.marks[1].span)
        first = step.marks[0].text
        raise LineError("a cable has one mark where it ends", span, hint=f"Like {first}", fixes=(Fix(span, first),))
    if through:
        changed = replace(stop, mark_in_m=marks[0], mark_out_m=marks[1])
    else:
        changed = replace(stop, mark_out_m=marks[0]) if index == 0 else replace(stop, mark_in_m=marks[0])
    site_name = bench.plant.sites[stop.site].name
    made = Made(f"mark {cable.name} at {site_name}")
    if changed != stop:
        stops = (*cable.stops[:index], changed, *cable.stops[index + 1 :])
        bench.do(made, Replace(replace(cable, stops=stops), made.name))
    unit = cable.mark_unit
    said = f"{step.marks[0].text} {unit}" + (f" in, {step.marks[1].text} {unit} out" if through else "")
    made.chips = [
        Chip("do", "set the printed marks", step.verb.span),
        Chip("what", f"{cable.name} at {site_name}", word.span),
        Chip("marks", said, step.marks[0].span),
    ]
    if through:
        opening_mm = abs(marks[1] - marks[0]) * 1000.0
        made.chips.append(Chip("opening", f"{opening_mm:.0f} mm", step.marks[-1].span, warns=opening_mm > 20_000))
    return made


def serve(bench: Bench, step: Build) -> Made:
    """``serve``: a planned service at a port. Raises LineError for a port that is not there or is taken."""
    site: Site = named(bench, _word(step.at), "sites", "site")
    count, new = _word(step.count), _word(step.new)
    ports = sorted((p for p in bench.plant.ports.values() if p.site == site.id), key=lambda p: (p.number, p.id))
    port = next((p for p in ports if p.number == int(count.text)), None)
    if port is None:
        near = [str(p.number) for p in ports[:3]]
        raise LineError(
            f"{site.name} has no port {count.text}" if ports else f"{site.name} has no port",
            count.span,
            nearest=", ".join(near),
            hint="" if near else f"Add some first: add panel CABLE at {site.name}",
            fixes=tuple(Fix(count.span, n) for n in near),
        )
    held = next((s for s in bench.plant.services.values() if s.at == port.id and s.status != "ceased"), None)
    if held is not None:
        raise LineError(
            f"port {port.number} serves {held.name} already", count.span, hint=f"name {held.name} as {new.text}"
        )
    refuse_taken(bench, new, {"services": "service"})
    customer = step.customer.text if step.customer else site.name if site.kind == "premises" else ""
    key = ServiceId(fresh_id(bench, "services", new.text))
    made = Made(f"serve {site.name} port {port.number} as {new.text}")
    try:
        bench.do(made, Add((Service(key, new.text, port.id, "planned", customer),), made.name))
    except EditError as fault:
        raise LineError(fault.message, new.span, hint=fault.hint) from None
    made.chips = [
        Chip("do", "plan a service", step.verb.span),
        Chip("what", new.text + (f" for {customer}" if customer else ""), new.span),
        Chip("at", f"{site.name}, {port.panel} port {port.number}", count.span),
    ]
    return made
