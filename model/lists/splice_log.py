"""The splice log of a site: every try at every joint that is made, with all that was read of it, kept or broken open.

A row is one try at one wavelength, with the enclosure open or sealed; a try of which nothing was read has one row. Rows
carry the numbers of the schedule. Losses in dB, wavelengths in nm.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from model.entities import Reading
from model.ids import SpliceId
from model.lists.schedule import GAIN_WORDS, ScheduleRow, schedule
from model.lists.source import Source
from model.optics.readings import At, all_read, estimate_db

ONE_WAY_WORDS = "one way only, not the loss"


@dataclass(frozen=True, slots=True)
class LogRow:
    """A try. ``number`` is its row in the schedule, ``attempt`` counts from 1; the joint as it is now is ``kept``."""

    site: str
    number: int
    tray: str
    slot: int | None
    a: str
    b: str
    attempt: int
    kept: bool
    estimate_db: float | None
    read: At | None
    planned_db: float
    by: str
    on: str
    remark: str


def splice_log(source: Source, site: str) -> tuple[LogRow, ...]:
    """Every try at every joint of a site that anybody has recorded, in the order of the schedule."""
    rows: list[LogRow] = []
    for row in schedule(source, site):
        splice = source.plant.splices[SpliceId(row.splice)]
        for number, tried in enumerate(splice.attempts, 1):
            rows += _rows(row, number, tried.readings, tried.by, tried.on, kept=False)
        recorded = row.status == "done" or bool(splice.measured or splice.done_by or splice.done_on)
        if recorded or splice.attempts:
            last = len(splice.attempts) + 1
            rows += _rows(row, last, splice.measured, splice.done_by, splice.done_on, kept=True)
    return tuple(rows)


def _rows(
    row: ScheduleRow, number: int, readings: tuple[Reading, ...], by: str, on: str, *, kept: bool
) -> Iterator[LogRow]:
    for at in all_read(readings) or (None,):
        words = []
        if at is not None and at.one_way:
            words.append(ONE_WAY_WORDS)
        if at is not None and at.gain:
            words.append(GAIN_WORDS)
        yield LogRow(
            row.site,
            row.number,
            row.tray,
            row.slot,
            row.a.text,
            row.b.text,
            number,
            kept,
            estimate_db(readings),
            at,
            row.planned_db,
            by,
            on,
            "; ".join(words),
        )
