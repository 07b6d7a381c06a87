"""Columns of the lists of light: the loss budget, the same by wavelength, and the path of a service."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from model.lists.budget_waves import WaveRow
from model.lists.budgets import BudgetRow
from model.optics.loss import WAVELENGTHS_NM
from render.columns import Column, names
from render.path_rows import PathRow
from render.tables import Value

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
        ("passes uncut", 0, lambda r: names(r.passed)),
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
