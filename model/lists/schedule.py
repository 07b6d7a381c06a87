"""The splice schedule of a site: one row a joint, ranges that fold and unfold without losing anything.

A and B are as recorded, since the readings A-B and B-A belong to them. Losses in dB, wavelengths in nm. A reading one
way shows the difference of the two fibres as much as the joint and may even be below zero; the truth is the mean of
both directions (formula F14), which is given only where both were read.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from model.entities import Evidence, Splice
from model.graph import end_node
from model.lists.naming import EndName, end_name, site_name, tray_name
from model.lists.source import Source
from model.optics.readings import At, estimate_db, read_at, times_made

GAIN_WORDS = "a reading below zero is the difference of the fibres, not the joint"


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """One joint. ``number`` counts the rows of the site from 1; ``services`` are names."""

    number: int
    site: str
    splice: str
    a: EndName
    joint: str
    b: EndName
    tray: str
    slot: int | None
    services: tuple[str, ...]
    status: str
    planned_db: float
    measured: tuple[At, ...]
    estimate_db: float | None
    attempts: int
    """How often it was made, the joint as it is counted; 0 where nobody says that it is made."""
    initials: str
    date: str
    evidence: Evidence
    remark: str


@dataclass(frozen=True, slots=True)
class ScheduleRange:
    """Rows that go on one from another, as one line; ``rows`` are they."""

    rows: tuple[ScheduleRow, ...]

    @property
    def first(self) -> ScheduleRow:
        """The row it begins with."""
        return self.rows[0]

    @property
    def numbers(self) -> tuple[int, ...]:
        """Row numbers."""
        return tuple(row.number for row in self.rows)

    @property
    def slots(self) -> tuple[int, ...]:
        """Slots, each once."""
        return tuple(dict.fromkeys(row.slot for row in self.rows if row.slot is not None))

    @property
    def services(self) -> tuple[str, ...]:
        """Names of services, each once."""
        return tuple(dict.fromkeys(name for row in self.rows for name in row.services))


def schedule(source: Source, site: str) -> tuple[ScheduleRow, ...]:
    """Every joint at a site, by tray position and slot, then by its A end; joints on no tray come last."""
    plant = source.plant

    def place(splice: Splice) -> tuple[object, ...]:
        tray = plant.trays.get(splice.tray) if splice.tray else None
        where = (0, tray.position, tray.id) if tray else (1, 0, "")
        slot = (splice.slot is None, splice.slot or 0)
        name = end_name(plant, splice.a)
        return *where, *slot, name.name, name.side, name.number, splice.id

    ordered = sorted(source.splices_at.get(site, ()), key=place)  # type: ignore[call-overload]  # keys of a site
    return tuple(_row(source, number, splice) for number, splice in enumerate(ordered, start=1))


def _row(source: Source, number: int, splice: Splice) -> ScheduleRow:
    plant = source.plant
    services = dict.fromkeys(key for end in (splice.a, splice.b) for key in source.services.get(end_node(end), ()))
    measured = read_at(splice)
    remarks = [splice.note, "roll meant" if splice.roll else "", GAIN_WORDS if any(m.gain for m in measured) else ""]
    return ScheduleRow(
        number=number,
        site=site_name(plant, splice.site),
        splice=splice.id,
        a=end_name(plant, splice.a),
        joint=splice.method,
        b=end_name(plant, splice.b),
        tray=tray_name(plant, splice.tray),
        slot=splice.slot,
        services=source.names(tuple(services)),
        status=splice.status,
        planned_db=splice.planned_db,
        measured=measured,
        estimate_db=estimate_db(splice.measured),
        attempts=times_made(splice),
        initials=splice.done_by,
        date=splice.done_on,
        evidence=splice.evidence,
        remark="; ".join(word for word in remarks if word),
    )


def fold(rows: Iterable[ScheduleRow]) -> tuple[ScheduleRange, ...]:
    """Rows as ranges; a row with a reading, an estimate or a remark of its own stands alone."""
    runs: list[list[ScheduleRow]] = []
    for row in rows:
        if runs and _goes_on(runs[-1][-1], row):
            runs[-1].append(row)
        else:
            runs.append([row])
    return tuple(ScheduleRange(tuple(run)) for run in runs)


def expand(ranges: Iterable[ScheduleRange]) -> tuple[ScheduleRow, ...]:
    """The single rows of ranges, as they were."""
    return tuple(row for one in ranges for row in one.rows)


def _goes_on(one: ScheduleRow, other: ScheduleRow) -> bool:
    alone = any(row.measured or row.estimate_db is not None or row.attempts > 1 or row.remark for row in (one, other))
    return not alone and (
        _same(one) == _same(other)
        and _follows(one.a, other.a)
        and _follows(one.b, other.b)
        and bool(one.services) == bool(other.services)
        and (one.slot is None) == (other.slot is None)
        # A sleeve may hold a whole ribbon, and then its fibres share a slot.
        and (one.slot is None or other.slot is None or other.slot - one.slot in (0, 1))
    )


def _same(row: ScheduleRow) -> tuple[object, ...]:
    return row.site, row.joint, row.tray, row.status, row.planned_db, row.initials, row.date, row.evidence


def _follows(one: EndName, other: EndName) -> bool:
    return (one.owner, one.side, one.tube) == (other.owner, other.side, other.tube) and other.number == one.number + 1
