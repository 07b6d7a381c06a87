"""The light budget of each service in full: a row for every wavelength, with the best and worst it may turn out to be.

The loss reckoned with is the one known: measured where joints were measured both ways, else planned; the drawn bends
count with it. A wavelength that the class sends on has a direction, launch and receiver limits too. dB, dBm, nm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from model.lists.budgets import services_here
from model.lists.source import Source
from model.optics.budget import ServiceBudget, budget
from model.optics.classes import PowerClass
from model.optics.extremes import Extremes, extremes
from model.optics.levels import Received, received
from model.optics.loss import GlassLosses

TABLE_NM: Final = (1310, 1490, 1550, 1625)
"""The wavelengths a full budget is written for, beside those its class sends on."""


@dataclass(frozen=True, slots=True)
class WaveRow:
    """One service at one wavelength; what is not known is ``None``.

    ``margin_db`` is from the known loss, bends counted, to the most the class allows, ``least_db`` to the least it
    needs; ``worst_margin_db`` and ``best_least_db`` are the same at the worst and at the best. ``aged_db`` is what the
    margin leaves once the ageing reserve is taken off. ``way`` is there where the class sends on this wavelength.
    """

    service: str
    customer: str
    power_class: str
    wavelength_nm: int
    length_m: float | None
    best_db: float | None
    planned_db: float | None
    known_db: float | None
    worst_db: float | None
    bend_db: float
    measured: int
    splices: int
    margin_db: float | None
    least_db: float | None
    worst_margin_db: float | None
    best_least_db: float | None
    aged_db: float | None
    way: Received | None
    verdict: str


def wave_rows(
    source: Source,
    site: str | None = None,
    wavelengths_nm: Sequence[int] = TABLE_NM,
    ageing_db: float = 3.0,
    own: bool = True,
) -> tuple[WaveRow, ...]:
    """A row for each wavelength of each of ``services_here``; with ``own`` those of its class are added.

    ``ageing_db`` is what ageing, dirt and repairs may use up of the margin (an owner's figure).
    """
    memos: dict[tuple[int, ...], GlassLosses] = {}
    rows: list[WaveRow] = []
    for key in services_here(source, site):
        rows += service_waves(source, key, wavelengths_nm, ageing_db, own, memos)
    return tuple(rows)


def service_waves(
    source: Source,
    service: str,
    wavelengths_nm: Sequence[int] = TABLE_NM,
    ageing_db: float = 3.0,
    own: bool = True,
    memos: dict[tuple[int, ...], GlassLosses] | None = None,
) -> list[WaveRow]:
    """The rows of one service."""
    waves = tuple(sorted(set(wavelengths_nm)))
    found = budget(source.continuity, service, source.bends, waves, _memo(memos, waves))
    entry = found.power_class
    if own and entry is not None:
        more = tuple(sorted({*waves, entry.down_nm, entry.up_nm}))
        if more != waves:
            waves = more
            found = budget(source.continuity, service, source.bends, waves, _memo(memos, waves))
    sums = extremes(source.continuity, found.steps, waves)
    known = tuple(nm for nm in waves if nm in sums.best_db)
    if not found.complete and known and known != waves:
        # One wavelength that a cable type does not know must not take the margins of the others.
        found = budget(source.continuity, service, source.bends, known, _memo(memos, known))
    ways = _ways(found, sums)
    return [_row(source, found, sums, ways.get(nm), nm, ageing_db) for nm in waves]


def _memo(memos: dict[tuple[int, ...], GlassLosses] | None, waves: tuple[int, ...]) -> GlassLosses | None:
    return None if memos is None else memos.setdefault(waves, {})


def _ways(found: ServiceBudget, sums: Extremes) -> dict[int, Received]:
    """What arrives each way, by wavelength, over a path that reaches the exchange."""
    if found.power_class is None or not found.complete:
        return {}
    losses = {nm: found.loss_db[nm] + found.bend_db[nm] for nm in found.loss_db if nm in sums.best_db}
    return {way.wavelength_nm: way for way in received(found.power_class, losses)}


def _row(
    source: Source, found: ServiceBudget, sums: Extremes, way: Received | None, nm: int, ageing_db: float
) -> WaveRow:
    service, entry = source.plant.services[found.service], found.power_class
    known, bend = found.loss_db.get(nm) if nm in sums.best_db else None, found.bend_db.get(nm, 0.0)
    judged = entry if entry is not None and known is not None and found.complete else None
    loss = (known or 0.0) + bend
    margin = judged.margin_max_db(loss) if judged else None
    least = judged.margin_min_db(loss) if judged else None
    worst = judged.margin_max_db(sums.worst_db[nm] + bend) if judged else None
    return WaveRow(
        service.name,
        service.customer,
        entry.name if entry else "",
        nm,
        found.length_m,
        sums.best_db.get(nm),
        None if known is None else found.planned_db[nm],
        known,
        sums.worst_db.get(nm),
        bend,
        found.measured.get(nm, 0),
        found.splices,
        margin,
        least,
        worst,
        judged.margin_min_db(sums.best_db[nm]) if judged else None,
        None if margin is None else margin - ageing_db,
        way if judged else None,
        "; ".join(_verdict(found, known, margin, least, worst, way if judged else None, ageing_db, entry)),
    )


def _verdict(
    found: ServiceBudget,
    known: float | None,
    margin: float | None,
    least: float | None,
    worst: float | None,
    way: Received | None,
    ageing_db: float,
    entry: PowerClass | None,
) -> Iterable[str]:
    """What is to be said of a row in words; nothing where all is well."""
    if known is None or not found.complete:
        yield found.why if not found.complete and found.why else "the loss is not known at this wavelength"
        return
    if entry is None:
        yield "no class"
    if margin is not None and margin < -1e-9:
        yield "too little light"
    elif margin is not None and margin < ageing_db - 1e-9:
        yield f"less than {ageing_db:g} dB for ageing and repairs"
    elif worst is not None and worst < -1e-9:
        yield "at its worst too little light"
    if least is not None and least < -1e-9:
        yield "too much light"
    if way is not None and way.room_db < -1e-9 and (margin or 0.0) >= -1e-9:
        yield "the receiver does not see the weakest sender"
    if way is not None and way.over_db < -1e-9 and (least or 0.0) >= -1e-9:
        yield "the strongest sender overloads the receiver"
