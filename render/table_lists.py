"""The lists of a plant as tables: which columns each has, what stands in them and with how many decimals.

Units stand in the headings. Ranges of numbers are written with a dash that no spreadsheet takes for a date. A table is
there even when it is empty, so that a folder of lists always holds the same files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeVar

from model.graph import Continuity
from model.ids import SiteId
from model.lists.budget_waves import WaveRow, wave_rows
from model.lists.budgets import BudgetRow, budget_rows
from model.lists.cuts import CutRow, cut_list
from model.lists.fibres import UseCount, UseRow, fibre_use, use_counts
from model.lists.legs import LegRow, leg_table
from model.lists.materials import MaterialRow, materials
from model.lists.naming import EndName, Reach
from model.lists.ports import PortRow, port_table
from model.lists.preps import PrepRow, prep
from model.lists.schedule import ScheduleRange, ScheduleRow, fold, schedule
from model.lists.source import Source
from model.lists.splice_log import LogRow, splice_log
from model.lists.stores import SpareRow, StoreRow, spares, storage
from model.optics.loss import WAVELENGTHS_NM
from model.optics.readings import At
from model.plant import Plant
from model.rules.profiles import InForce, profile_of
from model.rules.run import RULES
from render.hops import evidence_words
from render.hopwords import site_name
from render.looks import ranges
from render.path_rows import PathRow, path_rows
from render.tables import Table, Value

R = TypeVar("R")
Column = tuple[str, int, Callable[[R], Value]]
"""Heading, decimals, and what stands in the column for a row."""

SIDES = {"<": "exchange", ">": "field", "in": "input", "out": "leg", "": ""}


def all_tables(continuity: Continuity, site: str | None = None) -> list[Table]:
    """Every list of a site, or of the whole plant with its sites by name."""
    source = Source(continuity)
    plant = source.plant
    order = sorted(plant.sites.values(), key=lambda s: (s.name, s.id))
    places: list[str] = [site] if site is not None else [one.id for one in order]

    def each(rows: Callable[[Source, str], Iterable[R]]) -> list[R]:
        return [row for place in places for row in rows(source, place)]

    cables = sorted(plant.cables.values(), key=lambda c: (c.name, c.id))
    cables = [cable for cable in cables if any(stop.site in places for stop in cable.stops)]
    boxes = [box for place in places for box in source.boxes.get(SiteId(place), ())]
    by_site = [schedule(source, place) for place in places]
    rows = [row for found in by_site for row in found]
    folded = [one for found in by_site for one in fold(found)]
    return [
        table_of("splice-schedule", "Splice schedule", _schedule_columns(rows), rows),
        table_of("splice-log", "Splice log, every try", LOG, each(splice_log)),
        table_of("splice-ranges", "Splice schedule, ranges", RANGES, folded),
        table_of("cut-list", "Cut list", CUTS, each(cut_list)),
        table_of("preparation", "Preparation", PREP, each(prep)),
        table_of("storage", "Uncut glass and where it lies", STORAGE, each(storage)),
        table_of("stubs-and-spares", "Stubs and spares", SPARES, each(spares)),
        table_of("fibre-use", "Fibre use, span by span", USE, [r for c in cables for r in fibre_use(source, c)]),
        table_of("fibre-sums", "Fibres in use, sums", SUMS, [r for c in cables for r in use_counts(source, c)]),
        table_of("ports", "Ports", PORTS, each(port_table)),
        table_of("splitter-legs", "Splitter legs", LEGS, each(leg_table)),
        table_of("materials", "Materials", MATERIALS, [r for b in boxes for r in materials(source, b)]),
        table_of("budget", "Loss budget", BUDGET, budget_rows(source, site)),
        table_of(
            "budget-waves", "Loss budget by wavelength", WAVES, wave_rows(source, site, ageing_db=ageing_db(plant))
        ),
        table_of("paths", "Paths from the exchange", path_columns(), path_rows(source, site)),
    ]


def wave_table(rows: Iterable[WaveRow]) -> Table:
    """The loss budget with a row for each service and wavelength."""
    return table_of("budget-waves", "Loss budget by wavelength", WAVES, rows)


def ageing_db(plant: Plant) -> float:
    """What the profile in force keeps of every margin for ageing and repairs, dB: the limit of its margin rule."""
    by_name = {rule.name: rule for rule in RULES}
    return InForce(profile_of(plant), RULES).limit(by_name["budget.margin"])


def title_of(plant: Plant, site: str | None, name: str) -> str:
    """What all tables of a plant are headed with: the project or else ``name``, the site, the work order."""
    job = plant.job
    place = site_name(plant, site) if site is not None else "whole plant"
    return ", ".join(word for word in (job.project or name, place, job.work_order) if word)


def table_of(name: str, title: str, columns: Sequence[Column[Any]], rows: Iterable[Any]) -> Table:
    """A table of rows by its columns."""
    return Table(
        name,
        title,
        tuple(heading for heading, _, _ in columns),
        tuple(digits for _, digits, _ in columns),
        tuple(tuple(get(row) for _, _, get in columns) for row in rows),
    )


def numbers(found: Sequence[int]) -> str:
    """Numbers as ranges with an en dash: of "1-4" with a hyphen a spreadsheet makes the first of April."""
    return ranges(tuple(found)).replace("-", "–")


def _names(found: Iterable[str]) -> str:
    return ", ".join(found)


def reach_words(far: Reach) -> str:
    """Where glass leads: "Ferry Head, FE 13–16", "dark at WB-07, TM-B1 13", or why it does not end."""
    if not far.kind:
        return ""
    place = ", ".join(word for word in (far.site, f"{far.name} {numbers(far.numbers)}".strip()) if word)
    words = {"port": "", "dark": "dark at ", "branches": "branches at ", "ring": "ring at "}
    return words.get(far.kind, "joined more than once at ") + place


def _end(letter: str, pick: Callable[[Any], EndName]) -> list[Column[Any]]:
    return [
        (f"{letter} cable", 0, lambda r: pick(r).name),
        (f"{letter} side", 0, lambda r: SIDES[pick(r).side]),
        (f"{letter} tube", 0, lambda r: pick(r).tube or None),
        (f"{letter} tube colour", 0, lambda r: pick(r).tube_colour),
        (f"{letter} fibre in tube", 0, lambda r: pick(r).position or None),
        (f"{letter} fibre colour", 0, lambda r: pick(r).colour),
        (f"{letter} number", 0, lambda r: pick(r).number),
    ]


def _schedule_columns(rows: Sequence[ScheduleRow]) -> list[Column[ScheduleRow]]:
    """One set of loss columns for each wavelength of a budget, and for every other that was measured at."""
    measured = {m.wavelength_nm for row in rows for m in row.measured}
    readings: list[Column[ScheduleRow]] = []
    for nm in sorted(measured.union(WAVELENGTHS_NM)):
        readings += [
            (f"A-B {nm} nm, dB", 3, _reading(nm, lambda m: m.ab_db)),
            (f"B-A {nm} nm, dB", 3, _reading(nm, lambda m: m.ba_db)),
            (f"mean {nm} nm, dB", 3, _reading(nm, lambda m: m.mean_db)),
        ]
    return [
        ("row", 0, lambda r: r.number),
        ("site", 0, lambda r: r.site),
        *_end("A", lambda r: r.a),
        ("joint", 0, lambda r: r.joint),
        *_end("B", lambda r: r.b),
        ("tray", 0, lambda r: r.tray),
        ("slot", 0, lambda r: r.slot),
        ("services", 0, lambda r: _names(r.services)),
        ("status", 0, lambda r: r.status),
        ("planned loss, dB", 2, lambda r: r.planned_db),
        *readings,
        ("splicer's estimate, dB", 2, lambda r: r.estimate_db),
        ("times made", 0, lambda r: r.attempts or None),
        ("initials", 0, lambda r: r.initials),
        ("date", 0, lambda r: r.date),
        ("evidence", 0, lambda r: evidence_words(r.evidence)),
        ("remark", 0, lambda r: r.remark),
    ]


def _reading(nm: int, pick: Callable[[At], float | None]) -> Callable[[ScheduleRow], Value]:
    def read(row: ScheduleRow) -> Value:
        return next((pick(m) for m in row.measured if m.wavelength_nm == nm), None)

    return read


def _range_end(letter: str, pick: Callable[[ScheduleRow], EndName]) -> list[Column[ScheduleRange]]:
    return [
        (f"{letter} cable", 0, lambda r: pick(r.first).name),
        (f"{letter} side", 0, lambda r: SIDES[pick(r.first).side]),
        (f"{letter} tube", 0, lambda r: pick(r.first).tube or None),
        (f"{letter} tube colour", 0, lambda r: pick(r.first).tube_colour),
        (f"{letter} fibres in tube", 0, lambda r: numbers([p for row in r.rows if (p := pick(row).position)])),
        (f"{letter} numbers", 0, lambda r: numbers([pick(row).number for row in r.rows])),
    ]


RANGES: list[Column[ScheduleRange]] = [
    ("rows", 0, lambda r: numbers(r.numbers)),
    ("site", 0, lambda r: r.first.site),
    *_range_end("A", lambda row: row.a),
    ("joint", 0, lambda r: r.first.joint),
    *_range_end("B", lambda row: row.b),
    ("tray", 0, lambda r: r.first.tray),
    ("slots", 0, lambda r: numbers(r.slots)),
    ("count", 0, lambda r: len(r.rows)),
    ("services", 0, lambda r: _names(r.services)),
    ("status", 0, lambda r: r.first.status),
    ("planned loss each, dB", 2, lambda r: r.first.planned_db),
    ("remark", 0, lambda r: r.first.remark),
]
LOG: list[Column[LogRow]] = [
    ("site", 0, lambda r: r.site),
    ("row", 0, lambda r: r.number),
    ("tray", 0, lambda r: r.tray),
    ("slot", 0, lambda r: r.slot),
    ("A", 0, lambda r: r.a),
    ("B", 0, lambda r: r.b),
    ("try", 0, lambda r: r.attempt),
    ("kept", 0, lambda r: "kept" if r.kept else "broken open"),
    ("splicer's estimate, dB", 2, lambda r: r.estimate_db),
    ("wavelength, nm", 0, lambda r: r.read.wavelength_nm if r.read else None),
    ("enclosure", 0, lambda r: ("sealed" if r.read.sealed else "open") if r.read else ""),
    ("A-B, dB", 3, lambda r: r.read.ab_db if r.read else None),
    ("B-A, dB", 3, lambda r: r.read.ba_db if r.read else None),
    ("mean, dB", 3, lambda r: r.read.mean_db if r.read else None),
    ("half difference, dB", 3, lambda r: r.read.half_db if r.read else None),
    ("planned loss, dB", 2, lambda r: r.planned_db),
    ("initials", 0, lambda r: r.by),
    ("date", 0, lambda r: r.on),
    ("remark", 0, lambda r: r.remark),
]
CUTS: list[Column[CutRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("of", 0, lambda r: r.what),
    ("what is done", 0, lambda r: r.state),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("ribbons", 0, lambda r: numbers(r.ribbons)),
    ("count", 0, lambda r: len(r.fibres)),
    ("joined on exchange side", 0, lambda r: numbers(r.joined_in)),
    ("joined on field side", 0, lambda r: numbers(r.joined_out)),
    ("cut at, mm from exchange side", 0, lambda r: r.cut_at_mm),
    ("printed mark", 2, lambda r: r.mark),
    ("mark unit", 0, lambda r: r.mark_unit if r.mark is not None else ""),
    ("live services", 0, lambda r: _names(r.live)),
    ("outage", 0, lambda r: r.outage),
]
PREP: list[Column[PrepRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("entry", 0, lambda r: r.entry),
    ("part", 0, lambda r: r.part),
    ("tube", 0, lambda r: r.tube or None),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("side", 0, lambda r: SIDES[r.side]),
    ("what to do", 0, lambda r: r.action),
    ("length, mm", 0, lambda r: r.length_mm),
    ("needed, mm", 0, lambda r: r.need_mm),
    ("from mark", 2, lambda r: r.mark_from),
    ("to mark", 2, lambda r: r.mark_to),
    ("mark unit", 0, lambda r: r.mark_unit),
    ("live services", 0, lambda r: _names(r.live)),
    ("remark", 0, lambda r: r.remark),
]
STORAGE: list[Column[StoreRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("condition", 0, lambda r: r.condition),
    ("where", 0, lambda r: r.where),
    ("turns", 2, lambda r: r.turns),
    ("stored, mm", 0, lambda r: r.length_mm),
]
SPARES: list[Column[SpareRow]] = [
    ("site", 0, lambda r: r.site),
    ("cable", 0, lambda r: r.cable),
    ("kind", 0, lambda r: r.kind),
    ("side", 0, lambda r: SIDES[r.side]),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("where", 0, lambda r: r.where),
    ("from sheath end, mm", 0, lambda r: r.length_mm),
    ("reaches toward exchange", 0, lambda r: reach_words(r.toward_exchange)),
    ("reaches toward field", 0, lambda r: reach_words(r.toward_field)),
]
USE: list[Column[UseRow]] = [
    ("cable", 0, lambda r: r.cable),
    ("from", 0, lambda r: r.start),
    ("to", 0, lambda r: r.end),
    ("sheath, m", 2, lambda r: r.sheath_m),
    ("tube", 0, lambda r: r.tube),
    ("tube colour", 0, lambda r: r.tube_colour),
    ("fibres", 0, lambda r: numbers(r.fibres)),
    ("count", 0, lambda r: len(r.fibres)),
    ("use", 0, lambda r: r.use),
    ("services", 0, lambda r: _names(r.services)),
    ("status", 0, lambda r: r.status),
    ("reaches toward exchange", 0, lambda r: reach_words(r.toward_exchange)),
    ("reaches toward field", 0, lambda r: reach_words(r.toward_field)),
]
SUMS: list[Column[UseCount]] = [
    ("cable", 0, lambda r: r.cable),
    ("from", 0, lambda r: r.start),
    ("to", 0, lambda r: r.end),
    ("sheath, m", 2, lambda r: r.sheath_m),
    ("in use", 0, lambda r: r.in_use),
    ("dark but whole", 0, lambda r: r.dark),
    ("stubs", 0, lambda r: r.stub),
    ("fibres", 0, lambda r: r.count),
]
PORTS: list[Column[PortRow]] = [
    ("site", 0, lambda r: r.site),
    ("panel", 0, lambda r: r.panel),
    ("port", 0, lambda r: r.number),
    ("role", 0, lambda r: r.role),
    ("behind", 0, lambda r: _names(end.text for end in r.rear)),
    ("tube", 0, lambda r: (r.rear[0].tube or None) if r.rear else None),
    ("tube colour", 0, lambda r: r.rear[0].tube_colour if r.rear else ""),
    ("fibre in tube", 0, lambda r: (r.rear[0].position or None) if r.rear else None),
    ("fibre colour", 0, lambda r: r.rear[0].colour if r.rear else ""),
    ("leads to", 0, lambda r: reach_words(r.reaches)),
    ("in front", 0, lambda r: _names(end.text for end in r.front)),
    ("front comes from", 0, lambda r: reach_words(r.fed_by)),
    ("state", 0, lambda r: r.state),
    ("services", 0, lambda r: _names(r.services)),
    ("customers", 0, lambda r: _names(r.customers)),
    ("power class", 0, lambda r: r.power_class),
    ("pair, dB", 2, lambda r: r.pair_db),
]
LEGS: list[Column[LegRow]] = [
    ("site", 0, lambda r: r.site),
    ("splitter", 0, lambda r: r.splitter),
    ("type", 0, lambda r: r.type),
    ("tray", 0, lambda r: r.tray),
    ("side", 0, lambda r: SIDES[r.role]),
    ("number", 0, lambda r: r.number),
    ("planned loss, dB", 2, lambda r: r.planned_db),
    ("state", 0, lambda r: r.state),
    ("joined to", 0, lambda r: r.to),
    ("leads to", 0, lambda r: reach_words(r.reaches)),
    ("services", 0, lambda r: _names(r.services)),
]
MATERIALS: list[Column[MaterialRow]] = [
    ("site", 0, lambda r: r.site),
    ("enclosure", 0, lambda r: r.enclosure),
    ("item", 0, lambda r: r.item),
    ("description", 0, lambda r: r.description),
    ("as drawn", 2, lambda r: r.net),
    ("spare, %", 0, lambda r: r.spare_percent),
    ("quantity", 2, lambda r: r.quantity),
    ("unit", 0, lambda r: r.unit),
]
BUDGET: list[Column[BudgetRow]] = [
    ("service", 0, lambda r: r.service),
    ("customer", 0, lambda r: r.customer),
    ("status", 0, lambda r: r.status),
    ("site", 0, lambda r: r.site),
    ("port", 0, lambda r: r.port),
    ("exchange", 0, lambda r: r.exchange),
    ("exchange port", 0, lambda r: r.exchange_port),
    ("fibre, m", 1, lambda r: r.length_m),
    ("splices", 0, lambda r: r.splices),
    ("pairs", 0, lambda r: r.pairs),
    ("splitters", 0, lambda r: r.splitters),
    *((f"splices measured {nm} nm", 0, lambda r, nm=nm: r.measured.get(nm)) for nm in WAVELENGTHS_NM),
    *((f"planned loss {nm} nm, dB", 3, lambda r, nm=nm: r.planned_db.get(nm)) for nm in WAVELENGTHS_NM),
    *((f"loss {nm} nm, dB", 3, lambda r, nm=nm: r.loss_db.get(nm)) for nm in WAVELENGTHS_NM),
    *((f"bends {nm} nm, dB", 3, lambda r, nm=nm: r.bend_db.get(nm)) for nm in WAVELENGTHS_NM),
    ("class", 0, lambda r: r.power_class),
    *((f"margin {nm} nm, dB", 3, lambda r, nm=nm: (r.margin_max_db or {}).get(nm)) for nm in WAVELENGTHS_NM),
    *((f"overload margin {nm} nm, dB", 3, lambda r, nm=nm: (r.margin_min_db or {}).get(nm)) for nm in WAVELENGTHS_NM),
    ("complete", 0, lambda r: "yes" if r.complete else "no"),
    ("remark", 0, lambda r: r.remark),
]
WAVES: list[Column[WaveRow]] = [
    ("service", 0, lambda r: r.service),
    ("customer", 0, lambda r: r.customer),
    ("class", 0, lambda r: r.power_class),
    ("nm", 0, lambda r: r.wavelength_nm),
    ("direction", 0, lambda r: r.way.direction if r.way else ""),
    ("fibre, m", 1, lambda r: r.length_m),
    ("best, dB", 3, lambda r: r.best_db),
    ("planned, dB", 3, lambda r: r.planned_db),
    ("known, dB", 3, lambda r: r.known_db),
    ("worst, dB", 3, lambda r: r.worst_db),
    ("bends, dB", 3, lambda r: r.bend_db),
    ("splices measured", 0, lambda r: r.measured),
    ("splices", 0, lambda r: r.splices),
    ("margin, dB", 3, lambda r: r.margin_db),
    ("margin after ageing, dB", 3, lambda r: r.aged_db),
    ("margin at worst, dB", 3, lambda r: r.worst_margin_db),
    ("over the least, dB", 3, lambda r: r.least_db),
    ("over the least at best, dB", 3, lambda r: r.best_least_db),
    ("arrives weakest, dBm", 2, lambda r: r.way.level.weakest_dbm if r.way else None),
    ("arrives strongest, dBm", 2, lambda r: r.way.level.strongest_dbm if r.way else None),
    ("sensitivity, dBm", 2, lambda r: r.way.sensitivity_dbm if r.way else None),
    ("overload, dBm", 2, lambda r: r.way.overload_dbm if r.way else None),
    ("room to sensitivity, dB", 2, lambda r: r.way.room_db if r.way else None),
    ("room to overload, dB", 2, lambda r: r.way.over_db if r.way else None),
    ("remark", 0, lambda r: r.verdict),
]


def path_columns(wavelengths_nm: Sequence[int] = WAVELENGTHS_NM) -> list[Column[PathRow]]:
    """The columns of a path at these wavelengths."""
    return [
        ("service", 0, lambda r: r.service),
        ("element", 0, lambda r: r.number),
        ("kind", 0, lambda r: r.element),
        ("what", 0, lambda r: r.what),
        ("site", 0, lambda r: r.site),
        ("to", 0, lambda r: r.to),
        ("passes uncut", 0, lambda r: _names(r.passed)),
        ("cable", 0, lambda r: r.cable),
        ("tube", 0, lambda r: r.tube or None),
        ("tube colour", 0, lambda r: r.tube_colour),
        ("fibre", 0, lambda r: r.fibre or None),
        ("fibre colour", 0, lambda r: r.fibre_colour),
        ("place", 0, lambda r: r.place),
        ("fibre, m", 1, lambda r: r.length_m),
        *((f"loss {nm} nm, dB", 3, _at(nm, lambda r: r.loss_db)) for nm in wavelengths_nm),
        ("from exchange, m", 1, lambda r: r.at_m),
        *((f"sum {nm} nm, dB", 3, _at(nm, lambda r: r.at_db)) for nm in wavelengths_nm),
        ("known by", 0, lambda r: "measured" if r.measured else "planned"),
        ("record", 0, lambda r: r.evidence),
    ]


def _at(nm: int, pick: Callable[[PathRow], Mapping[int, float]]) -> Callable[[PathRow], Value]:
    return lambda row: pick(row).get(nm)
