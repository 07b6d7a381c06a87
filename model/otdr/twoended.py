"""The same fibre measured from both ends (formula F19): do both readings meet at one cut?

The sum of both readings should be the fibre length of the path. Less leaves a gap: a second cut, or glass that is
gone. More means that one of them is of another fibre, or that the index or a lead is wrong; where each alone sees the
whole path, nothing is cut. Where they meet, the common errors of index and excess fall out of the place. Metres of
fibre.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Literal

from model.errors import PlantError
from model.graph import Continuity
from model.lookup import cable_type
from model.otdr.locate import Located, locate
from model.otdr.reading import Reading, together
from model.otdr.way import way_of

Verdict = Literal["one cut", "two cuts", "no cut", "wrong fibre or index"]
EVEN_M: Final = 2.0
"""A gap up to this is within what two instruments and a mark are off: nothing is said of how it was shared out."""


@dataclass(frozen=True, slots=True)
class TwoEnded:
    """``gap_m`` is path length minus both readings, judged against ``tol_m``; all without leads and end tails.

    ``agreed`` is the place both readings agree on, when it is one cut: its band knows no index and no excess any more.
    """

    length_m: float
    sum_m: float
    gap_m: float
    tol_m: float
    verdict: Verdict
    words: str
    exchange: Located
    field: Located
    agreed: Located | None


def two_ended(continuity: Continuity, node: str, from_exchange: Reading, from_field: Reading) -> TwoEnded:
    """Judge two readings of the path through ``node``; each is taken to be from the end of its name.

    Raises PlantError as ``locate`` does, or when the length of the whole path is not known.
    """
    near, far = replace(from_exchange, from_end="exchange"), replace(from_field, from_end="field")
    one, two = locate(continuity, node, near), locate(continuity, node, far)
    length_m, excess_tol = _length(continuity, node)
    sum_m = one.fibre_m + two.fibre_m
    gap_m = length_m - sum_m
    index_m = near.index_tol / (near.index or 1.468) * near.shown_m + far.index_tol / (far.index or 1.468) * far.shown_m
    tol_m = together(near.instrument_tol_m, far.instrument_tol_m, index_m, *excess_tol)
    between = f"{sum_m:.1f} m of {length_m:.1f} m of fibre"
    agreed = None
    verdict: Verdict
    if min(one.fibre_m, two.fibre_m) >= length_m - tol_m:
        verdict = "no cut"
        words = (
            f"Each reading sees the whole path, {one.fibre_m:.1f} and {two.fibre_m:.1f} m of {length_m:.1f} m of fibre "
            f"within {tol_m:.1f} m: no cut on this path"
        )
    elif abs(gap_m) <= tol_m:
        verdict = "one cut"
        words = f"Both readings meet, {between} within {tol_m:.1f} m: one cut"
        agreed = _agreed(continuity, node, near, far, one, two, length_m)
    elif gap_m > 0.0:
        verdict = "two cuts"
        words = (
            f"{gap_m:.1f} m of fibre lie between the readings, {between}, and they may be {tol_m:.1f} m off: two cuts, "
            f"at {one.mark} on {one.cable_name} and at {two.mark} on {two.cable_name}, or glass missing there"
        )
    else:
        verdict = "wrong fibre or index"
        words = (
            f"The readings overlap by {-gap_m:.1f} m, {between}, and they may be {tol_m:.1f} m off: another fibre, "
            "a wrong index, or a lead not taken off"
        )
    return TwoEnded(length_m, sum_m, gap_m, tol_m, verdict, words, one, two, agreed)


def _length(continuity: Continuity, node: str) -> tuple[float, list[float]]:
    """(fibre metres between the two end tails, tolerance that the excess of each cable adds to them)."""
    way = way_of(continuity, node, "exchange")
    stretches = list(way.stretches)
    for at in (0, -1):
        if len(stretches) > 1 and stretches[at].kind == "tail":
            del stretches[at]
    missing = next((s for s in stretches if s.fibre_m is None), None)
    if missing is not None:
        raise PlantError(
            f"the length of {missing.cable.name} is not known: a printed mark is missing",
            where="two-ended check",
            hint="Enter the marks of its stops",
        )
    tols: dict[str, float] = {}
    for stretch in stretches:
        tol = cable_type(continuity.plant, stretch.cable).excess_tol * stretch.sheath_m
        tols[stretch.cable.id] = tols.get(stretch.cable.id, 0.0) + tol
    return sum(s.fibre_m or 0.0 for s in stretches), list(tols.values())


def _agreed(
    continuity: Continuity, node: str, near: Reading, far: Reading, one: Located, two: Located, length_m: float
) -> Located:
    """The place where both readings, stretched alike to the length of the path, meet.

    What the instruments are off counts by the share of the path on the other side.
    """
    sum_m = one.fibre_m + two.fibre_m
    share = one.fibre_m / sum_m if sum_m > 0.0 else 0.5
    off = together(near.instrument_tol_m * (1.0 - share), far.instrument_tol_m * share)
    moved = share * length_m - one.fibre_m
    shown = max(0.0, near.shown_m + moved * near.shown_m / one.true_m if one.true_m else near.shown_m)
    how = (
        f"{one.fibre_m:.1f} m from there and {two.fibre_m:.1f} m from the other end, stretched alike to the "
        f"{length_m:.1f} m of the path: {share * length_m:.1f} m beyond the first mark"
    )
    found = locate(continuity, node, replace(near, shown_m=shown, index_tol=0.0, tol_m=off), agreed=how)
    gap_m = length_m - sum_m
    if abs(gap_m) <= EVEN_M:
        return found
    inner, outer = sorted((-moved, gap_m - moved))
    note = (
        f"The {abs(gap_m):.1f} m between the readings are shared out over the whole path. Were they all in one place, "
        f"the cut would lie up to {-inner:.1f} m nearer or {outer:.1f} m farther."
    )
    return replace(found, notes=(*found.notes, note))
