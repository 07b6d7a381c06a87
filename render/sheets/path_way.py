"""The places of a light path in the order they are drawn, exchange first, and the glass between them.

A place is a joint (everything joined there in one box) or a place the fibre passes uncut; a run of uncut places can
be folded into one. Distances are metres of fibre from the exchange. Words and numbers only; nothing here is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from model.glass import fibre_per_sheath
from model.lengths import FOOT_M
from model.lookup import cable_type
from model.plant import Plant
from model.trace import EndKind
from render.hops import Hop, PathDescription
from render.hopwords import site_name, tray_words
from render.passing import Part, Passing

Sign = Literal["port", "done", "planned", "splitter", "dark", "ring", "branches", "crossed"]
END_SIGNS: Mapping[EndKind, Sign] = {"dark": "dark", "ring": "ring", "branches": "branches", "crossed": "crossed"}
END_WORDS = {"dark": "DARK END", "ring": "RING", "branches": "BRANCHES", "crossed": "JOINED TWICE"}


@dataclass(frozen=True, slots=True)
class Station:
    """A place on the path. ``signs`` are drawn in its box from the exchange side outward; ``uncut`` counts the places
    it stands for when nothing is joined there, 0 for a joint. ``lines`` are its plain words, ``loud`` its bold ones.
    """

    name: str
    site_id: str
    place: str
    lines: tuple[str, ...] = ()
    loud: tuple[str, ...] = ()
    signs: tuple[Sign, ...] = ()
    hops: tuple[Hop, ...] = ()
    uncut: int = 0
    at_m: float | None = 0.0
    at_db: Mapping[int, float] = field(default_factory=dict)
    ref: str = ""
    end: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """Glass between two stations."""

    hop: Hop
    part: Part


@dataclass(frozen=True, slots=True)
class Way:
    """Stations with the spans between them: one more station than spans."""

    stations: tuple[Station, ...]
    spans: tuple[Span, ...]


def way_of(plant: Plant, path: PathDescription) -> Way:
    """The stations and spans of a described path, exchange first."""
    stations: list[Station] = []
    spans: list[Span] = []
    held: list[Hop] = []
    for hop in reversed(path.hops):
        if hop.kind != "glass":
            held.append(hop)
            continue
        stations.append(_joint(plant, hop.to_id, held, path, first=not spans))
        held = []
        for part, passing in _along(plant, hop):
            spans.append(Span(hop, part))
            if passing is not None:
                stations.append(passing)
    site = held[0].site_id if held else path.end_sites[0]
    stations.append(_joint(plant, site, held, path, first=not spans, last=True))
    return Way(tuple(stations), tuple(spans))


def _joint(
    plant: Plant, site_id: str, hops: Sequence[Hop], path: PathDescription, *, first: bool = False, last: bool = False
) -> Station:
    signs: list[Sign] = []
    loud: list[str] = []
    for hop in hops:
        if hop.kind == "pair":
            signs.append("port")
            loud.append(f"{hop.panel} port {hop.port}")
        elif hop.kind == "splice":
            signs.append("done" if hop.done else "planned")
            loud.append(
                ", ".join(filter(None, (tray_words(hop.tray), f"slot {hop.slot}" if hop.slot else "")))
                or "splice, no tray"
            )
        elif hop.kind == "splitter":
            signs.append("splitter")
            loud.append(f"{hop.splitter} {hop.ways.rpartition(', ')[2]}")
    end = ""
    if first and path.kinds[1] != "port":
        signs.insert(0, END_SIGNS[path.kinds[1]])
        loud.append(END_WORDS[path.kinds[1]])
        end = path.ends[1]
    if last and path.kinds[0] != "port":
        signs.append(END_SIGNS[path.kinds[0]])
        loud.append(END_WORDS[path.kinds[0]])
        end = path.ends[0]
    at = hops[-1] if hops else (path.hops[0] if last and path.hops else None)
    site = plant.sites.get(site_id)
    where = (site.place or site.kind) if site else ""
    if at is None:
        at_m, at_db = 0.0 if first else path.length_m, dict.fromkeys(path.loss_db, 0.0)
    else:
        at_m, at_db = at.at_m, dict(at.at_db)
    return Station(
        site_name(plant, site_id), site_id, where, (), tuple(filter(None, loud)), tuple(signs), tuple(hops),
        at_m=at_m, at_db=at_db, ref=f"site:{site_id}", end=end,
    )  # fmt: skip


def _along(plant: Plant, hop: Hop) -> Iterator[tuple[Part, Station | None]]:
    """Each part of a piece of glass with the place passed after it, from the exchange outward."""
    per_sheath = fibre_per_sheath(cable_type(plant, plant.cables[hop.cable_id]))
    at_m = None if hop.at_m is None or hop.length_m is None else hop.at_m - hop.length_m
    done_m: float | None = 0.0
    passed = (*hop.passes[::-1], None)
    for part, passing in zip(hop.parts[::-1], passed, strict=True):
        done_m = None if done_m is None or part.fibre_m is None else done_m + part.fibre_m
        if passing is None:
            yield part, None
            return
        place_m = None if at_m is None or done_m is None else at_m + done_m
        share = done_m / hop.length_m if hop.length_m and done_m is not None else None
        at_db = {}
        for nm, db in hop.at_db.items():
            if share is not None and nm in hop.loss_db:
                at_db[nm] = db - hop.loss_db[nm] * (1.0 - share)
        yield part, _uncut(plant, passing, place_m, at_db)
        if done_m is not None:
            done_m += (passing.opening_m or 0.0) * per_sheath


def _uncut(plant: Plant, passing: Passing, at_m: float | None, at_db: dict[int, float]) -> Station:
    site = plant.sites.get(passing.site_id)
    how = {"express": "tube express", "opened": "in opened tube", "closed": "sheath closed"}[passing.state]
    lines = [f"{how}, {tray_words(passing.tray)}" if passing.tray else how]
    if passing.mark_in_m is not None and passing.mark_out_m is not None and passing.state != "closed":
        scale = FOOT_M if passing.unit == "ft" else 1.0
        marks = f"{passing.mark_in_m / scale:.1f} to {passing.mark_out_m / scale:.1f}"
        lines.append(f"marks {marks} {passing.unit}")
    return Station(
        passing.site, passing.site_id, site.place if site else "", tuple(lines), ("UNCUT",), uncut=1,
        at_m=at_m, at_db=at_db, ref=f"stop:{passing.stop}",
    )  # fmt: skip


def fold(way: Way) -> Way:
    """The same way with every run of two or more uncut places in one station: its first and last name, and how many."""
    stations: list[Station] = []
    spans: list[Span] = []
    index = 0
    while index < len(way.stations):
        run = index
        while run < len(way.stations) and way.stations[run].uncut:
            run += 1
        if run - index < 2:
            run = index + 1
            stations.append(way.stations[index])
        else:
            stations.append(_folded(way, index, run))
        if run - 1 < len(way.spans):
            spans.append(way.spans[run - 1])
        index = run
    return Way(tuple(stations), tuple(spans))


def _folded(way: Way, start: int, stop: int) -> Station:
    first, last, count = way.stations[start], way.stations[stop - 1], stop - start
    within = None if first.at_m is None or last.at_m is None else last.at_m - first.at_m
    lines = (f"passes {count} places uncut", *([f"{metres(within)} fibre within"] if within is not None else []))
    name = f"{first.name} to {last.name}"
    return Station(
        name, last.site_id, "", lines, (), uncut=count, at_m=last.at_m, at_db=last.at_db, ref=first.ref
    )  # fmt: skip


def metres(value: float) -> str:
    """Metres as printed on a sheet: whole from 100 on with groups of three, one decimal below."""
    if value >= 99.95:
        return f"{value:,.0f} m".replace(",", " ")
    return f"{value:.1f} m"
