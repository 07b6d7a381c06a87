"""What lies at a site without being joined there: uncut tubes and fibres, stubs of cut ones, and spares that pass.

Lengths are millimetres, turns plain numbers. Where a stub or spare leads is found by tracing, never by a record.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from model.entities import Cable, FibreEnd, Side, Stop, Stored
from model.glass import opening_m
from model.graph import end_node
from model.ids import SiteId
from model.layout import bay_loop_mm, express_runs, track_mm, tube_runs
from model.lists.naming import Reach, called, cut_places, reach, site_name, together, tray_name, tube_colour
from model.lists.source import Source
from model.lookup import (
    cable_type,
    cut_fibres,
    enclosure_type,
    fibres_of,
    passes,
    stops_at,
    tray_type,
    work_on,
)


@dataclass(frozen=True, slots=True)
class StoreRow:
    """Uncut glass at a site: a whole tube, or fibres of an opened one.

    ``where`` names a tray or a slack bay, empty when nobody has said; ``turns`` and ``length_mm`` are what is wound
    there, ``None`` when it can neither be read off the drawing nor was recorded.
    """

    site: str
    cable: str
    tube: int
    tube_colour: str
    fibres: tuple[int, ...]
    condition: Literal["uncut tube", "uncut in opened tube"]
    where: str
    turns: float | None
    length_mm: float | None


@dataclass(frozen=True, slots=True)
class SpareRow:
    """Dark glass at hand at a site. ``stub``: an end that nothing is joined to; ``spare``: uncut in an opened tube.

    ``side`` is the side of the cut a stub lies on, empty for a spare. ``length_mm`` is the glass from the end of the
    sheath to a stub's end, or as recorded; of a spare the bare fibre that its opened tube leaves. ``toward_exchange``
    and ``toward_field`` say what the glass reaches; a stub leads one way only.
    """

    site: str
    cable: str
    kind: Literal["stub", "spare"]
    side: Literal["", "<", ">"]
    tube: int
    tube_colour: str
    fibres: tuple[int, ...]
    where: str
    length_mm: float | None
    toward_exchange: Reach
    toward_field: Reach


def storage(source: Source, site: str) -> tuple[StoreRow, ...]:
    """Uncut glass of every cable passing a site, by cable, tube and fibre."""
    plant = source.plant
    bays: dict[tuple[str, int], tuple[str, float | None, float | None]] = {}
    bare: dict[tuple[str, int], tuple[float | None, float | None]] = {}
    for box in source.boxes.get(SiteId(site), ()):
        for run in express_runs(plant, box, source.drawn(box)):
            rest = None if run.opening_mm is None else max(run.opening_mm - run.legs_mm, 0.0)
            bays.update({(run.stop.id, tube): (run.bay.name, run.turns, rest) for tube in run.tubes})
        for tube_run in tube_runs(plant, box, source.drawn(box)):
            turns = tube_run.on_track.turns if tube_run.on_track else None
            bare.setdefault((tube_run.stop.id, tube_run.tube), (turns, tube_run.bare_mm))
    rows: list[StoreRow] = []
    for cable, index, stop in stops_at(plant, site):
        if not passes(cable, index):
            continue
        kind = cable_type(plant, cable)
        cut = cut_fibres(kind, stop)
        for tube in range(1, len(kind.tubes) + 1):
            fibres = fibres_of(kind, tube)
            express = work_on(stop, tube) is None
            colour = tube_colour(plant, cable, tube)
            for numbers, record in _by_record(stop, (f for f in fibres if f not in cut), ""):
                where = _where(source, record)
                turns = record.turns or None if record else None
                length_mm = _wound_mm(source, site, record)
                if express:
                    bay, drawn_turns, drawn_mm = bays.get((stop.id, tube), ("", None, None))
                    where = where or (called("bay", bay) if bay else "")
                else:
                    drawn_turns, drawn_mm = bare.get((stop.id, tube), (None, None))
                rows.append(
                    StoreRow(
                        site_name(plant, stop.site),
                        cable.name,
                        tube,
                        colour,
                        numbers,
                        "uncut tube" if express else "uncut in opened tube",
                        where,
                        turns if turns is not None else drawn_turns,
                        length_mm if length_mm is not None else drawn_mm,
                    )
                )
    return tuple(rows)


def spares(source: Source, site: str) -> tuple[SpareRow, ...]:
    """Stubs and spares of every cable at a site, by cable, side, tube and fibre."""
    places = cut_places(source, site)
    rows: list[SpareRow] = []
    for cable, index, _ in stops_at(source.plant, site):
        through = passes(cable, index)
        sides: tuple[Side, ...] = ("<", ">") if through else (">",) if index == 0 else ("<",)
        for side in sides:
            rows += _stubs(source, cable, index, side, places)
        if through:
            rows += _loops(source, cable, index)
    return tuple(rows)


def _stubs(
    source: Source, cable: Cable, index: int, side: Side, places: dict[tuple[str, int], float]
) -> Iterator[SpareRow]:
    stop, kind = cable.stops[index], cable_type(source.plant, cable)
    ends = sorted(source.cut(cable, index)) if passes(cable, index) else range(1, kind.fibre_count + 1)
    dark = {fibre for fibre in ends if not source.joined(cable, fibre, index, side)}
    for tube in range(1, len(kind.tubes) + 1):
        found = ((fibre, _inward(source, cable, stop, fibre, side)) for fibre in fibres_of(kind, tube) if fibre in dark)
        for fibres, record, far in _grouped(stop, found, side):
            yield SpareRow(
                site_name(source.plant, stop.site),
                cable.name,
                "stub",
                side,
                tube,
                tube_colour(source.plant, cable, tube),
                fibres,
                _where(source, record),
                _length_mm(stop, record, passes(cable, index), side, places.get((stop.id, tube))),
                far if side == "<" else Reach(),
                far if side == ">" else Reach(),
            )


def _loops(source: Source, cable: Cable, index: int) -> Iterator[SpareRow]:
    """Uncut fibres of opened tubes that carry nothing: they may be cut here next."""
    stop, kind = cable.stops[index], cable_type(source.plant, cable)
    cut = source.cut(cable, index)
    bare: dict[tuple[str, int], float | None] = {}
    for box in source.boxes.get(stop.site, ()):
        bare.update({(run.stop.id, run.tube): run.bare_mm for run in tube_runs(source.plant, box, source.drawn(box))})
    for work in sorted(stop.tubes, key=lambda w: w.tube):
        if work.state != "opened":
            continue
        whole = [f for f in fibres_of(kind, work.tube) if f not in cut and not source.carried(cable, f, index)]
        groups: dict[tuple[object, ...], list[tuple[int, Reach, Reach]]] = {}
        for numbers, record in _by_record(stop, whole, ""):
            for fibre in numbers:
                first, last = source.piece_on(cable, fibre, index).ends(cable)
                back = reach(source.continuity, end_node(first), "outside")
                on = reach(source.continuity, end_node(last), "outside")
                groups.setdefault((_where(source, record), back.key, on.key), []).append((fibre, back, on))
        for (where, *_), found in groups.items():
            yield SpareRow(
                site_name(source.plant, stop.site),
                cable.name,
                "spare",
                "",
                work.tube,
                tube_colour(source.plant, cable, work.tube),
                tuple(fibre for fibre, _, _ in found),
                str(where),
                bare.get((stop.id, work.tube)),
                together(back for _, back, _ in found),
                together(on for _, _, on in found),
            )


def _wound_mm(source: Source, site: str, record: Stored | None) -> float | None:
    """Length stored by a record: as measured, else its turns on the tray's track or round the hub of the bay."""
    if record is None or record.length_mm is not None or not record.turns:
        return record.length_mm if record is not None else None
    tray = source.plant.trays.get(record.tray) if record.tray else None
    if tray is not None:
        return record.turns * track_mm(tray_type(source.plant, tray))
    bays = [bay for box in source.boxes.get(SiteId(site), ()) for bay in enclosure_type(source.plant, box).bays]
    return record.turns * bay_loop_mm(bays[0]) if bays else None


def _inward(source: Source, cable: Cable, stop: Stop, fibre: int, side: Side) -> Reach:
    return reach(source.continuity, end_node(FibreEnd(cable.id, fibre, stop.id, side)), "inside")


def _length_mm(stop: Stop, record: Stored | None, through: bool, side: Side, cut_at_mm: float | None) -> float | None:
    """Glass from the sheath's end to the stub's end: as recorded, else from the place of the cut or the jacket."""
    if record is not None and record.length_mm is not None:
        return record.length_mm
    if not through:
        return stop.strip_mm
    opened = opening_m(stop)
    if cut_at_mm is None or opened is None:
        return None
    return cut_at_mm if side == "<" else opened * 1000.0 - cut_at_mm


def _where(source: Source, record: Stored | None) -> str:
    if record is None:
        return ""
    return called("tray", tray_name(source.plant, record.tray)) if record.tray else "slack bay"


def _record(stop: Stop, fibre: int, side: str) -> Stored | None:
    return next((held for held in stop.stored if held.side == side and fibre in held.fibres), None)


def _by_record(stop: Stop, fibres: Iterable[int], side: str) -> list[tuple[tuple[int, ...], Stored | None]]:
    """Fibres grouped by the record that says where they lie, in the order of the fibres."""
    groups: dict[Stored | None, list[int]] = {}
    for fibre in fibres:
        groups.setdefault(_record(stop, fibre, side), []).append(fibre)
    return [(tuple(numbers), record) for record, numbers in groups.items()]


def _grouped(
    stop: Stop, found: Iterable[tuple[int, Reach]], side: str
) -> list[tuple[tuple[int, ...], Stored | None, Reach]]:
    """Fibres grouped by where they lie and what they reach."""
    groups: dict[tuple[Stored | None, tuple[str, str, str]], list[tuple[int, Reach]]] = {}
    for fibre, far in found:
        groups.setdefault((_record(stop, fibre, side), far.key), []).append((fibre, far))
    return [
        (tuple(fibre for fibre, _ in held), record, together(far for _, far in held))
        for (record, _), held in groups.items()
    ]
