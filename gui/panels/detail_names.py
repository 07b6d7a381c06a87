"""Rows of the details that are typed over: names and places, coils and stripped lengths, the title block. No widget."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from gui.panels.detail_types import Entry, Field, Row, Section
from model.edits.entering import Enter
from model.edits.naming import Rename
from model.edits.parts import Add, Replace
from model.entities import Cable, JobInfo, Service, Site, Tray
from model.history import Edit
from model.lookup import passes
from model.parts import TrayType
from model.plant import Plant


def name_row(table: str, key: str, name: str) -> Row:
    """The name of a thing."""

    def make(text: str) -> Edit:
        return Rename(table, key, text, f"name {name} as {text}")

    return Row("Name", "", "name", entry=Entry(name, make))


def _text_row(label: str, value: str, make: Callable[[str], Edit]) -> Row:
    return Row(label, "", label.lower(), entry=Entry(value, make, needed=False))


def site_rows(site: Site) -> tuple[Row, ...]:
    """Name, place and access of a site."""

    def place(text: str) -> Edit:
        return Replace(replace(site, place=text), f"set the place of {site.name}")

    def access(text: str) -> Edit:
        return Replace(replace(site, access=text), f"set the access of {site.name}")

    return (
        name_row("sites", site.id, site.name),
        _text_row("Place", site.place, place),
        _text_row("Access", site.access, access),
    )


def tray_rows(tray: Tray, kind: TrayType) -> tuple[Row, ...]:
    """Name, sleeves and reserve of a tray."""

    def sleeves(length: float) -> Edit:
        own = None if length == kind.sleeve_mm else length
        return Replace(replace(tray, sleeve_mm=own), f"set tray {tray.name}: sleeves of {length:g} mm")

    def reserve(count: float) -> Edit:
        kept = max(0, min(round(count), kind.slots * kind.per_slot))
        return Replace(replace(tray, reserve=kept), f"set tray {tray.name}: {kept} kept free")

    return (
        name_row("trays", tray.id, tray.name),
        Row("Sleeves", "", "sleeves", Field(tray.sleeve_mm or kind.sleeve_mm, "mm", sleeves)),
        Row("Kept free", "", "kept free", Field(tray.reserve, "", reserve, 0)),
    )


def service_rows(service: Service) -> tuple[Row, ...]:
    """Name and customer of a service."""

    def customer(text: str) -> Edit:
        return Replace(replace(service, customer=text), f"set the customer of {service.name}")

    return name_row("services", service.id, service.name), _text_row("Customer", service.customer, customer)


def stop_rows(plant: Plant, cable: Cable, index: int) -> tuple[Row, ...]:
    """Coils outside on each side, and at an end the jacket removed, as numbers to type over."""
    stop = cable.stops[index]

    def put(words: str, **values: float) -> Edit:
        changed = replace(stop, **values)  # type: ignore[arg-type]  # callers pass fields that are lengths
        stops = (*cable.stops[:index], changed, *cable.stops[index + 1 :])
        return Replace(replace(cable, stops=stops), f"{words} of {cable.name}")

    found = []
    if any(e.site == stop.site for e in plant.enclosures.values()):
        names = "/".join(name for name in (stop.entry_in, stop.entry_out) if name)

        def enter(text: str) -> Edit:
            wanted = tuple(part.strip().upper() for part in text.replace(",", "/").split("/") if part.strip())
            return Enter(cable.id, stop.id, wanted, f"enter {cable.name} in {text}")

        found.append(_text_row("Entry", names, enter))
    if index > 0:
        found.append(Row("Coil in", "", "coil in", Field(stop.coil_in_m, "m", lambda v: put("coil", coil_in_m=v))))
    if index < len(cable.stops) - 1:
        found.append(Row("Coil out", "", "coil out", Field(stop.coil_out_m, "m", lambda v: put("coil", coil_out_m=v))))
    if not passes(cable, index) and any(e.site == stop.site for e in plant.enclosures.values()):
        field = Field(stop.strip_mm or 0.0, "mm", lambda v: put("strip", strip_mm=v), 0)
        found.append(Row("Jacket off", "" if stop.strip_mm is not None else "not known", "jacket off", field))
    return tuple(found)


JOB_WORDS = (
    ("Project", "project"),
    ("Owner", "owner"),
    ("Order", "work_order"),
    ("Drawing", "drawing_no"),
    ("Drawn", "drawn"),
    ("Checked", "checked"),
    ("Approved", "approved"),
    ("Emergency", "emergency_call"),
)


def job_section(plant: Plant) -> Section:
    """The title block that every sheet carries."""
    job = plant.job

    def row(label: str, field: str) -> Row:
        def make(text: str) -> Edit:
            values: dict[str, str] = {field: text}
            changed: JobInfo = replace(job, **values)  # type: ignore[arg-type]  # text fields of the job
            words = f"set {label.lower()} of the title block"
            return Replace(changed, words) if job.id in plant.table("jobs") else Add((changed,), words)

        return _text_row(label, str(getattr(job, field)), make)

    return Section("Title block", tuple(row(label, field) for label, field in JOB_WORDS))
