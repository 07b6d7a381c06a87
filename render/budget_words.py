"""The light budget of one service in words: each wavelength's four sums, its margins, and what arrives at both ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from render.answers import clean, fold, table

if TYPE_CHECKING:
    from model.lists.budget_waves import WaveRow
    from model.optics.budget import ServiceBudget


def wave_lines(
    found: ServiceBudget, row: Mapping[str, Any], waves: Sequence[WaveRow], ageing_db: float, width: int = 0
) -> list[str]:
    """``row`` is the service's machine-readable row; ``ageing_db`` what its margin keeps for ageing and repairs."""
    entry = found.power_class
    lines = [
        f"Service   {clean(row['service'])}" + (f", {clean(waves[0].customer)}" if waves and waves[0].customer else ""),
        f"From      {clean(row['port']) or 'not known'}",
    ]
    if entry is not None:
        lines.append(f"Class     {entry.name}: {entry.loss_min_db:g} to {entry.loss_max_db:g} dB")
    heads = ["nm", "best dB", "planned", "known", "worst", "bends", "margin", "aged", "at worst", "over least", ""]
    rows = [heads] + [
        [
            str(one.wavelength_nm),
            *(_db(value) for value in (one.best_db, one.planned_db, one.known_db, one.worst_db, one.bend_db)),
            *(_db(value, "+.2f") for value in (one.margin_db, one.aged_db, one.worst_margin_db, one.least_db)),
            one.verdict,
        ]
        for one in waves
    ]
    lines += table(rows, "rrrrrrrrrrl", width)
    splices = waves[0].splices if waves else 0
    done = max((one.measured for one in waves), default=0)
    lines.append(f"known     {done} of {splices} splices measured both ways; bends count with every margin")
    lines.append(f"aged      what the margin leaves when {ageing_db:g} dB are kept for ageing, dirt and repairs")
    ways = [one.way for one in waves if one.way is not None]
    if ways:
        heads = ["", "nm", "arrives dBm", "to", "sensitivity", "room dB", "overload", "room dB"]
        body = [
            [
                {"down": "at the customer", "up": "at the exchange"}[way.direction],
                str(way.wavelength_nm),
                f"{way.level.weakest_dbm:.2f}",
                f"{way.level.strongest_dbm:.2f}",
                f"{way.sensitivity_dbm:g}",
                f"{way.room_db:+.2f}",
                f"{way.overload_dbm:g}",
                f"{way.over_db:+.2f}",
            ]
            for way in ways
        ]
        lines += table([heads, *body], "lrrrrrrr", width)
        lines.append("room      to sensitivity with the class's path penalty taken off, which a meter does not show")
    if found.why:
        lines += fold(f"Note      {found.why}", width)
    return lines


def _db(value: float | None, form: str = ".3f") -> str:
    return "" if value is None else format(value, form)
