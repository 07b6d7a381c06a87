"""The running loss table of a path sheet, and the notes that say what stands behind its numbers.

Rows run from the exchange outward, each with the fibre distance, its own loss and the sum so far; then the total and
the margin to the class. Loss in dB, distance in km. What is judged comes from the budget; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from model.errors import PlantError
from model.graph import Continuity
from model.lookup import cable_type
from model.optics.budget import budget
from model.optics.classes import PowerClass, power_class
from model.optics.loss import attenuation_db_per_km
from model.plant import Plant
from render.hops import Hop, PathDescription, hop_words, weakest
from render.sheets.path_way import Way
from render.tableblock import Cell, Column, Table, bold


@dataclass(frozen=True, slots=True)
class Verdict:
    """The class a path is held against and how much it leaves by wavelength; ``why`` says what stands in the way."""

    entry: PowerClass | None = None
    most_db: Mapping[int, float] | None = None
    least_db: Mapping[int, float] | None = None
    why: str = ""


def verdict(continuity: Continuity, path: PathDescription, service: str, exchange_port: str) -> Verdict:
    """The margins of a service's budget; of another whole path those to the class of its exchange port, if it has one.

    ``service`` and ``exchange_port`` are ids, empty where there is none.
    """
    if service:
        found = budget(continuity, service, None, tuple(path.loss_db))
        return Verdict(found.power_class, found.margin_max_db, found.margin_min_db, found.why)
    port = continuity.plant.ports.get(exchange_port)
    if port is None or not port.power_class:
        return Verdict()
    try:
        entry = power_class(port.power_class)
    except PlantError as error:
        return Verdict(why=str(error))
    if path.unknown or path.kinds != ("port", "port"):
        return Verdict(entry, why="the path is not whole")
    most = {nm: entry.margin_max_db(db) for nm, db in path.loss_db.items()}
    return Verdict(entry, most, {nm: entry.margin_min_db(db) for nm, db in path.loss_db.items()})


def loss_table(way: Way, path: PathDescription, judged: Verdict, width: float, *, merged: bool = False) -> Table:
    """The table, ``width`` mm wide. ``merged`` gives the pair and the pigtail of a port one row, to save height."""
    waves = tuple(path.loss_db)
    columns = (
        Column("Element", grow=True),
        Column("km", "end"),
        Column("dB", "end"),
        *(Column(str(nm), "end") for nm in waves),
    )
    rows: list[tuple[Cell | str, ...]] = []
    for index, station in enumerate(way.stations):
        if station.uncut:
            what = f"{station.name} passes UNCUT" if station.uncut == 1 else f"{station.name} ({station.uncut} places)"
            rows.append((what, _km(station.at_m), "uncut", *(_db(station.at_db.get(nm)) for nm in waves)))
        own = [
            (words, _km(hop.at_m), own_db(hop), *(_db(hop.at_db.get(nm)) for nm in waves))
            for words, hop in _named(station.hops, merged)
        ]
        if station.end:
            ends = (f"{station.end[0].upper()}{station.end[1:]}", _km(station.at_m), "", *("" for _ in waves))
            own.insert(0 if index == 0 and way.spans else len(own), ends)
        rows += own
    whole = not path.unknown
    total = "Total" if whole else "Total of what is known"
    totals = (bold(_db(path.loss_db[nm])) for nm in waves)
    rows.append((bold(total), bold(_km(path.length_m)), "", *totals))
    rows += _margins(judged, waves)
    return Table(columns, tuple(rows), width, "RUNNING LOSS")


def _named(hops: Sequence[Hop], merged: bool) -> list[tuple[str, Hop]]:
    """The hops with their names; ``merged`` makes one of the pair and pigtail of a port, with both losses."""
    found: list[tuple[str, Hop]] = []
    for hop in hops:
        last = found[-1][1] if found else None
        if merged and last and {last.kind, hop.kind} == {"pair", "pigtail"} and last.ref == hop.ref:
            both = {nm: db + last.loss_db[nm] for nm, db in hop.loss_db.items() if nm in last.loss_db}
            found[-1] = (f"Pair and pigtail {hop.site}, {hop.panel} {hop.port}", replace(hop, loss_db=both))
        else:
            found.append((hop_words(hop), hop))
    return found


def _margins(judged: Verdict, waves: tuple[int, ...]) -> list[tuple[Cell | str, ...]]:
    empty = ("", "", *("" for _ in waves))
    if judged.entry is None:
        return [(bold("No class set"), *empty)]
    entry = judged.entry
    if judged.most_db is None or judged.least_db is None:
        return [(bold(f"No margin to {entry.name}"), *empty)]
    return [
        (bold(f"Margin to {entry.loss_max_db:g} dB, {entry.name}"), "", "", *_bolds(judged.most_db, waves)),
        (bold(f"Above the least {entry.loss_min_db:g} dB"), "", "", *_bolds(judged.least_db, waves)),
    ]


def _bolds(values: Mapping[int, float], waves: tuple[int, ...]) -> tuple[Cell, ...]:
    return tuple(bold(_db(values.get(nm))) for nm in waves)


def _km(metres: float | None) -> str:
    return "?" if metres is None else f"{metres / 1000.0:.3f}"


def _db(value: float | None) -> str:
    return "?" if value is None else f"{value:.2f}"


def own_db(hop: Hop) -> str:
    """Loss of one hop: one number when it is the same at every wavelength, else all of them with strokes between."""
    shown = list(dict.fromkeys(f"{db:.2f}" for db in hop.loss_db.values()))
    return "/".join(shown) if len(shown) == 1 else "/".join(f"{db:.2f}" for db in hop.loss_db.values()) or "?"


def notes(plant: Plant, path: PathDescription, judged: Verdict) -> list[tuple[str, bool]]:
    """Sentences for below the table, each with whether it is bold."""
    found = [(text, False) for text in _glass_notes(plant, path)]
    splices = [hop for hop in path.hops if hop.kind == "splice"]
    measured = [hop for hop in splices if hop.measured]
    whole = [hop for hop in measured if hop.measured >= set(path.loss_db)]
    if splices:
        if not measured:
            found.append(("Splices at their planned loss.", False))
        elif len(whole) == len(splices):
            found.append(("All splices measured both ways.", False))
        else:
            at = ", ".join(dict.fromkeys(_measured_at(hop, path) for hop in measured))
            found.append((f"Splice measured both ways at {at}; others planned.", False))
    if measured:
        found.append((f"Splices as planned would make it {planned_words(path)}.", False))
    found += [(f"{text[0].upper()}{text[1:]}.", True) for text in path.unknown]
    why = "; ".join(part for part in judged.why.split("; ") if part and part not in path.unknown)
    if why:
        found.append((f"{why[0].upper()}{why[1:]}.", False))
    weak = weakest(path)
    if weak:
        hop, evidence = weak[0]
        since = " ".join(filter(None, (evidence.kind, evidence.date, f"by {evidence.by}" if evidence.by else "")))
        if len(weak) == len(path.hops) and len({pair[1] for pair in weak}) == 1:
            found.append((f"Evidence: all records here are {since}.", True))
        else:
            more = f", and {len(weak) - 1} more {evidence.kind}" if len(weak) > 1 else ""
            found.append((f"Weakest record on this path: {hop_words(hop)}, {since}{more}.", True))
    return found


def _measured_at(hop: Hop, path: PathDescription) -> str:
    """Where a splice was measured, with the wavelengths where those are not all of the path's."""
    some = "" if hop.measured >= set(path.loss_db) else f" ({', '.join(map(str, sorted(hop.measured)))} nm)"
    return f"{hop.site}{some}"


def planned_words(path: PathDescription) -> str:
    """The loss of a path with every splice as planned: ``1.69 dB at 1310 nm, 1.40 dB at 1550 nm``."""
    said = []
    for nm, db in path.loss_db.items():
        read = [hop for hop in path.hops if hop.splice is not None and nm in hop.measured]
        more = sum(hop.splice.planned_db - hop.loss_db[nm] for hop in read if hop.splice is not None)
        said.append(f"{db + more:.2f} dB at {nm} nm")
    return ", ".join(said)


def _glass_notes(plant: Plant, path: PathDescription) -> list[str]:
    """Attenuation and excess of the cables, those alike named once."""
    alike: dict[str, list[str]] = {}
    for hop in reversed(path.hops):
        if hop.kind == "glass":
            kind = cable_type(plant, plant.cables[hop.cable_id])
            rates = []
            for nm in path.loss_db:
                try:
                    rates.append(f"{attenuation_db_per_km(kind, nm):.2f}")
                except PlantError:
                    rates.append("?")
            alike.setdefault(f"{' and '.join(rates)} dB/km, excess {100 * kind.excess:.1f} %", []).append(hop.cable)
    if len(alike) == 1:
        return [f"Fibre at {next(iter(alike))}."]
    shown = [f"{', '.join(list(dict.fromkeys(names))[:3])}: {text}." for text, names in alike.items()]
    return shown[:3] if len(shown) <= 3 else [*shown[:3], f"{len(shown) - 3} more kinds of fibre as their cables say."]
