"""The best and the worst a path may turn out to be, beside its plan and beside what has been measured of it.

Each element is taken at the least and at the most it may be, measured joints as they are. Bends are not in here. dB by
wavelength in nm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from model.entities import LegEnd
from model.glass import Piece
from model.graph import Continuity, node_end
from model.lookup import cable_type
from model.optics.loss import StepLoss, attenuation_db_per_km, step_loss
from model.parts import SplitterType
from model.trace import Step

SPLICE_DB: Final = (0.02, 0.30)
"""Least: the low end of splicers' estimates, common practice, no source. Most: TIA-568 as an association quotes it."""
PAIR_DB: Final = (0.12, 0.75)
"""Least: mean of connector grade B, IEC 61753-1, from memory. Most: TIA-568 as an association quotes it."""
GLASS_MOST: Final = ((1530, 0.40), (1565, 0.30), (1625, 0.40))
"""(up to nm, dB/km): most of a G.652.D cable, ITU-T G.652 table 2, from memory; beyond 1625 nm none is given."""


@dataclass(frozen=True, slots=True)
class Extremes:
    """The least and the most one path may lose, by wavelength; left out where something is not known."""

    best_db: Mapping[int, float]
    worst_db: Mapping[int, float]


def excess_db(kind: SplitterType) -> float:
    """What a splitter keeps: its input over the sum of its outputs, in dB; 0 of a perfect one, equal or not."""
    return -10 * math.log10(sum(10 ** (-db / 10) for db in kind.legs_db))


def extremes(continuity: Continuity, steps: Sequence[Step], wavelengths_nm: Sequence[int]) -> Extremes:
    """The least and the most loss of a path."""
    losses = [step_loss(continuity, step, wavelengths_nm) for step in steps]
    known = [nm for nm in wavelengths_nm if all(nm in loss.loss_db for loss in losses)]
    spans = {nm: [_span(continuity, loss, nm) for loss in losses] for nm in known}
    return Extremes(
        {nm: math.fsum(least for least, _ in spans[nm]) for nm in known},
        {nm: math.fsum(most for _, most in spans[nm]) for nm in known},
    )


def _span(continuity: Continuity, loss: StepLoss, nm: int) -> tuple[float, float]:
    """(least, most) of one step."""
    planned, by = loss.loss_db[nm], loss.step.by
    if isinstance(by, Piece):
        kind = cable_type(continuity.plant, continuity.plant.cables[by.cable])
        per_km = attenuation_db_per_km(kind, nm)
        most = next((db for up_to, db in GLASS_MOST if nm <= up_to), per_km)
        return planned, (loss.length_m or 0.0) / 1000.0 * max(per_km, most)
    if nm in loss.measured or planned == 0.0:
        # Measured, or a plug without a pigtail, or what a splitter's figure already holds.
        return planned, planned
    if by.kind == "splitter":
        legs = [end for end in (node_end(loss.step.start), node_end(loss.step.end)) if isinstance(end, LegEnd)]
        kind_s = continuity.plant.splitter_types[continuity.plant.splitters[legs[0].splitter].type]
        return min(planned, planned - excess_db(kind_s)), planned
    least, most = PAIR_DB if by.kind == "pair" else SPLICE_DB
    # A plan beyond the most that is usual is no plain joint and stays as it is.
    return (min(least, planned), most) if planned <= most else (planned, planned)
