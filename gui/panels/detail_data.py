"""Details of whatever is picked, by its ref: one function per kind, plain data out.

A ref to something that is gone gives None. Marks are shown and typed in the cable's printed unit. No widget is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from gui.panels.detail_devices import leg_details, port_details, splitter_details
from gui.panels.detail_names import job_section, name_row, service_rows, site_rows, stop_rows, tray_rows
from gui.panels.detail_routes import route_details, support_rows, tube_details
from gui.panels.detail_splice import many_joints, splice_details
from gui.panels.detail_types import Details, Field, Row, Section, metres, mm, rows
from gui.panels.gauge_data import Judged
from gui.panels.part_nodes import swatch_of
from model.edits.parts import Replace
from model.entities import Cable, FibreEnd, GlassEnd, Stop
from model.errors import PlantError
from model.glass import Piece, opening_m, sheath_m
from model.history import Edit
from model.layout import bay_loop_mm, drawn_routes, express_runs, track_mm, tray_load, tube_runs
from model.lists.naming import printed_mark
from model.lookup import (
    cut_fibres,
    enclosure_at,
    fibres_of,
    find_stop,
    passes,
    service_name,
    stops_at,
    tray_type,
    tube_of,
)
from model.optics.budget import budget
from model.plant import Plant
from model.prep import opening_needed_mm
from render.looks import fibre_look, ranges
from render.refs import split_ref

FT_PER_M = 1 / 0.3048

__all__ = ["details", "details_of", "support_rows"]


def details(document: Judged, site: str | None, ref: str) -> Details | None:
    """What is known of a picked thing; None when the ref names nothing in the plant."""
    plant = document.plant
    kind, name, last = split_ref(ref)
    try:
        if kind == "route" and name in plant.routes:
            return route_details(plant, plant.routes[name])
        if kind == "tube" and name in plant.cables:
            return tube_details(plant, _cable(plant, name), int(last), site)
        if kind == "fibre" and name in plant.cables:
            return _fibre(document, _cable(plant, name), int(last), site)
        if kind == "cable" and name in plant.cables:
            return _of_cable(plant, _cable(plant, name), site)
        if kind == "stop":
            return _of_cable(plant, *_stop_place(plant, name))
        if kind == "tray" and name in plant.trays:
            return _tray(plant, name)
        if kind == "splice" and name in plant.splices:
            return _splice(plant, name)
        if kind == "entry" and name in plant.enclosures:
            return _entry(plant, name, last) if last else _enclosure(plant, name)
        if kind in ("enclosure", "bay"):
            return _enclosure(plant, name.partition(":")[0])
        if kind == "site" and name in plant.sites:
            return _of_site(plant, name)
        if kind == "service" and name in plant.services:
            return _service(document, name)
        if kind == "plant":
            counts = rows(("Sites", str(len(plant.sites))), ("Cables", str(len(plant.cables))))
            return Details("plant:", "Whole plant", "", None, (Section("", counts), job_section(plant)))
        if kind == "port" and name in plant.ports:
            return port_details(document, name)
        if kind == "splitter" and name in plant.splitters:
            return splitter_details(document, name)
        if kind == "leg" and name in plant.splitters:
            return leg_details(document, name, last)
    except (PlantError, ValueError, KeyError):
        return None
    return None


def details_of(document: Judged, site: str | None, refs: Sequence[str]) -> Details | None:
    """Details of what is picked: of several joints what they share, else of the first thing that is there."""
    names = [name for kind, name, _ in map(split_ref, refs) if kind == "splice" and name in document.plant.splices]
    if len(names) > 1 and len(names) == len(refs):
        return many_joints(document.plant, names)
    return next((made for ref in refs if (made := details(document, site, ref)) is not None), None)


def _cable(plant: Plant, name: str) -> Cable:
    cable: Cable = plant.table("cables")[name]
    return cable


def _stop_place(plant: Plant, stop: str) -> tuple[Cable, str]:
    cable, index = find_stop(plant, stop)
    return cable, cable.stops[index].site


def end_words(plant: Plant, end: GlassEnd) -> str:
    """An end of glass: cable, number, two letters; or splitter and leg."""
    if isinstance(end, FibreEnd):
        cable = plant.cables[end.cable]
        return f"{cable.name} {fibre_look(plant, cable, end.fibre).label}"
    return f"{plant.splitters[end.splitter].name} {end.role} {end.number}"


# -- cables ------------------------------------------------------------------------------------------------------


def _mark_row(cable: Cable, index: int, which: str) -> Row:
    """A printed mark as a field, in the cable's unit; an unknown mark shows as 0 to be typed over."""
    stop = cable.stops[index]
    held = stop.mark_in_m if which == "in" else stop.mark_out_m
    factor = FT_PER_M if cable.mark_unit == "ft" else 1.0

    def make(value: float) -> Edit:
        held_m = value / factor
        changed = replace(stop, mark_in_m=held_m) if which == "in" else replace(stop, mark_out_m=held_m)
        stops = (*cable.stops[:index], changed, *cable.stops[index + 1 :])
        return Replace(replace(cable, stops=stops), f"set mark {which} of {cable.name}")

    label = f"Mark {which}"
    other = "" if held is None or cable.mark_unit == "m" else metres(held)
    return Row(
        label,
        other if held is not None else "not known",
        f"mark {which}",
        Field((held or 0.0) * factor, cable.mark_unit, make, 2),
    )


def _of_cable(plant: Plant, cable: Cable, site: str | None) -> Details:
    kind = plant.cable_types[cable.type]
    end = cable.stops[-1]
    length = sheath_m(cable, kind, Piece(cable.id, 1, 0, len(cable.stops) - 1))
    general = rows(
        ("Type", kind.title),
        ("Fibres", str(kind.fibre_count)),
        ("From", plant.sites[cable.stops[0].site].name),
        ("To", plant.sites[end.site].name),
        ("Sheath", metres(length)),
        ("Outside", f"{kind.od_mm:g} mm"),
        ("Status", cable.status),
        ("Known", " ".join(part for part in (cable.evidence.kind, cable.evidence.date, cable.evidence.by) if part)),
    )
    sections = [Section("", (name_row("cables", cable.id, cable.name), *general))]
    index = next((i for i, stop in enumerate(cable.stops) if stop.site == site), None)
    if index is not None:
        sections.append(_stop_section(plant, cable, index))
    else:
        table = [(plant.sites[stop.site].name, _marks(cable, stop)) for stop in cable.stops]
        sections.append(Section("Stop by stop", rows(*table), f"marks in {cable.mark_unit}"))
    return Details(f"cable:{cable.id}", cable.name, kind.title, None, tuple(sections))


def _marks(cable: Cable, stop: Stop) -> str:
    factor = FT_PER_M if cable.mark_unit == "ft" else 1.0
    found = [f"{mark * factor:.1f}" for mark in (stop.mark_in_m, stop.mark_out_m) if mark is not None]
    return " to ".join(found) or "no marks"


def _jumps(cable: Cable, stop: Stop) -> str:
    """Where the print does not run on toward the next stop."""
    pairs = [(printed_mark(cable, jump.before_m), printed_mark(cable, jump.after_m)) for jump in stop.jumps]
    return ", ".join(f"{before:g} then {after:g}" for before, after in pairs)


def _stop_section(plant: Plant, cable: Cable, index: int) -> Section:
    stop = cable.stops[index]
    found: list[Row] = []
    passing = passes(cable, index)
    if index > 0:
        found.append(_mark_row(cable, index, "in"))
    if index < len(cable.stops) - 1:
        found.append(_mark_row(cable, index, "out"))
    opening = opening_m(stop)
    found += rows(
        ("Print jumps", _jumps(cable, stop)),
        ("Opening", mm(opening * 1000.0) if opening is not None and passing else ""),
        ("Anchored", ", ".join(w for w, held in (("A", stop.anchored_in), ("B", stop.anchored_out)) if held)),
        ("Outage", stop.outage),
    )
    found += stop_rows(plant, cable, index)
    return Section(f"At {plant.sites[stop.site].name}", tuple(found), "passes" if passing else "ends here")


def _fibre(document: Judged, cable: Cable, fibre: int, site: str | None) -> Details:
    plant = document.plant
    kind = plant.cable_types[cable.type]
    tube, position = tube_of(kind, fibre)
    look = fibre_look(plant, cable, fibre)
    pairs = [("Tube", f"T{tube}, fibre {position} of {len(fibres_of(kind, tube))}")]
    for index, stop in enumerate(cable.stops):
        if site is not None and stop.site != site:
            continue
        if passes(cable, index):
            pairs.append((plant.sites[stop.site].name, "cut" if fibre in cut_fibres(kind, stop) else "uncut"))
    for splice in plant.splices.values():
        ends = (splice.a, splice.b)
        for own, other in (ends, ends[::-1]):
            mine = isinstance(own, FibreEnd) and own.cable == cable.id and own.fibre == fibre
            if mine and (site is None or splice.site == site):
                tray = f", tray {plant.trays[splice.tray].name}" if splice.tray else ""
                slot = f" slot {splice.slot}" if splice.slot else ""
                pairs.append(("Joined to", f"{end_words(plant, other)}{tray}{slot}"))
    return Details(
        f"fibre:{cable.id}:{fibre}",
        f"{look.label} of {cable.name}",
        look.words,
        swatch_of(look),
        (Section("", rows(*pairs)),),
    )


# -- inside ------------------------------------------------------------------------------------------------------


def _tray(plant: Plant, name: str) -> Details:
    tray = plant.table("trays")[name]
    load = tray_load(plant, tray)
    kind = tray_type(plant, tray)
    pairs = [
        ("Joints", f"{load.joints} of {load.most}" if kind.kind != "ribbon" else str(load.joints)),
        ("Sleeves used", f"{load.sleeves} of {load.most}" if kind.kind == "ribbon" else ""),
        ("Looped uncut", f"{load.loops} fibres" if load.loops else ""),
        ("Stubs", f"{load.stubs} fibres" if load.stubs else ""),
        ("Stored", f"{load.stored} of {kind.stored_max} fibres"),
        ("Track", f"{track_mm(kind):.1f} mm a turn, R {kind.track_radius_mm:g}"),
        ("Slots used", ranges(tuple(load.slots))),
        ("Position", str(tray.position)),
    ]
    section = Section("", (*tray_rows(tray, kind), *rows(*pairs)))
    return Details(f"tray:{name}", f"Tray {tray.name}", kind.title, None, (section,))


def _splice(plant: Plant, name: str) -> Details:
    splice = plant.table("splices")[name]
    return splice_details(plant, name, (end_words(plant, splice.a), end_words(plant, splice.b)))


def _entry(plant: Plant, enclosure_id: str, name: str) -> Details | None:
    enclosure = plant.table("enclosures")[enclosure_id]
    kind = plant.enclosure_types[enclosure.type]
    entry = next((entry for entry in kind.entries if entry.name == name), None)
    if entry is None:
        return None
    users = []
    for cable, _, stop in stops_at(plant, enclosure.site):
        if name in (stop.entry_in, stop.entry_out):
            users.append(f"{cable.name}, {plant.cable_types[cable.type].od_mm:g} mm")
    state = "; ".join(users) or ("plugged" if name in enclosure.plugged else "open, not plugged")
    pairs = [
        ("Holds", state),
        ("Seals", f"{entry.seal_min_mm:g} to {entry.seal_max_mm:g} mm"),
        ("Takes", f"{entry.cables} cable{'s' * (entry.cables != 1)}"),
        ("Place", f"x {entry.x_mm:g}, y {entry.y_mm:g} mm"),
    ]
    return Details(
        f"entry:{enclosure_id}:{name}", f"Entry {name}", f"of {enclosure.name}", None, (Section("", rows(*pairs)),)
    )


def _enclosure(plant: Plant, name: str) -> Details:
    enclosure = plant.table("enclosures")[name]
    made = _of_site(plant, enclosure.site)
    return replace(made, ref=f"enclosure:{name}")


def _of_site(plant: Plant, name: str) -> Details:
    site = plant.table("sites")[name]
    stops = [(cable, index, stop) for cable, index, stop in stops_at(plant, name)]
    pairs = [
        ("Along", metres(site.chainage_m) if site.chainage_m is not None else ""),
        ("Cables", ", ".join(cable.name for cable, _, _ in stops)),
    ]
    sections = [Section("", (*site_rows(site), *rows(*pairs)))]
    enclosure = enclosure_at(plant, name)
    second = site.kind
    if enclosure is not None:
        kind = plant.enclosure_types[enclosure.type]
        second = kind.title
        size = f"{kind.width_mm:g} \u00d7 {kind.height_mm:g} \u00d7 {kind.depth_mm:g} mm"
        joints = sum(splice.site == name for splice in plant.splices.values())
        box = [("Size", size), ("Joints", f"{joints} of {kind.splices}" if kind.splices else str(joints))]
        box.append(("Plugged", ", ".join(enclosure.plugged)))
        sections.append(Section("Box", rows(*box)))
        drawn = drawn_routes(plant, enclosure.id)
        bay_rows = [
            ("Loop", ", ".join(dict.fromkeys(mm(bay_loop_mm(bay), 1) for bay in kind.bays))),
        ]
        for run in express_runs(plant, enclosure, drawn):
            used = "not known" if run.passes is None else f"{run.passes:.1f} of {run.capacity}"
            turns = "" if run.turns is None else f", {run.turns:.2f} turns"
            bay_rows.append((f"{run.cable.name} passes", used + turns))
        if kind.bays:
            sections.append(Section("Slack bay", rows(*bay_rows)))
        openings = []
        for cable, index, stop in stops:
            if passes(cable, index):
                by_marks = opening_m(stop)
                openings.append((f"{cable.name} by marks", mm(None if by_marks is None else by_marks * 1000.0)))
        for tube in tube_runs(plant, enclosure, drawn):
            if tube.tray is not None:
                needed = opening_needed_mm(tube, tray_type(plant, tube.tray))
                openings.append(
                    (f"T{tube.tube} by routes", "not drawn" if needed is None else f"{needed:.0f} mm or more")
                )
        if openings:
            sections.append(Section("Opening", rows(*openings)))
    sections.append(job_section(plant))
    return Details(f"site:{name}", site.name, second, None, tuple(sections))


# -- services ----------------------------------------------------------------------------------------------------


def _service(document: Judged, name: str) -> Details:
    plant = document.plant
    service = plant.table("services")[name]
    port = plant.ports[service.at]
    found = budget(document.continuity, name)
    end = plant.ports.get(found.exchange) if found.exchange else None
    pairs = [
        ("Status", service.status),
        ("Port", f"{port.panel} {port.number} at {plant.sites[port.site].name}"),
        ("Reaches", f"{end.panel} {end.number} at {plant.sites[end.site].name}" if end else "no exchange port"),
        ("Length", metres(found.length_m) if found.length_m is not None else ""),
        ("Class", found.power_class.name if found.power_class else "none set"),
    ]
    light = []
    for nm, loss_db in found.loss_db.items():
        margin = found.margin_max_db[nm] if found.margin_max_db else None
        planned = f", {found.planned_db[nm]:.2f} as planned" if found.measured[nm] else ""
        left = f", {margin:+.2f} dB left" if margin is not None else ""
        light.append((f"{nm} nm", f"{loss_db:.2f} dB{planned}{left}"))
    first = Section("", (*service_rows(service), *rows(*pairs)))
    sections = [first, Section("Loss" if found.complete else "Loss, as far as known", rows(*light))]
    if found.why:
        sections.append(Section("", rows(("Note", found.why))))
    return Details(f"service:{name}", service_name(plant, name), "service", None, tuple(sections))
