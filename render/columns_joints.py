"""Columns of the lists of joints: the splice schedule, its ranges, and the log of every try."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from model.lists.naming import EndName
from model.lists.schedule import ScheduleRange, ScheduleRow
from model.lists.splice_log import LogRow
from model.optics.loss import WAVELENGTHS_NM
from model.optics.readings import At
from render.columns import SIDES, Column, names, numbers
from render.hops import evidence_words
from render.tables import Value


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


def schedule_columns(rows: Sequence[ScheduleRow]) -> list[Column[ScheduleRow]]:
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
        ("services", 0, lambda r: names(r.services)),
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
    ("services", 0, lambda r: names(r.services)),
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
