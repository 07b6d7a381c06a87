"""A rejoin: a sheath that is cut through drawn together from the coils beside it, one splice a fibre.

Only where nothing beside it is live, and where the coils at both neighbours give what the two new ends take. Metres.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from model.correlate.elements import Element
from model.dispatch.mending import SPLICE_DB, Repair, dark_of, margins, place_of
from model.glass import Piece
from model.graph import Continuity
from model.lists.naming import site_name
from model.planning.proposal import Proposal, count_of

END_M: Final = 2.0
"""Sheath that each new end takes to be prepared (typical 1 to 3 m, common practice)."""


def rejoin(continuity: Continuity, failed: Element, pieces: Sequence[Piece], services: Sequence[str]) -> Repair | None:
    """The rejoin of a sheath span; None for anything else, and where the coils do not give enough."""
    where = place_of(continuity.plant, failed, pieces) if failed.kind == "sheath" else None
    if where is None:
        return None
    plant, (cable, index, _) = continuity.plant, where
    near, far = cable.stops[index], cable.stops[index + 1]
    if near.coil_out_m + far.coil_in_m < 2 * END_M:
        return None
    fibres = tuple(sorted({piece.fibre for piece in pieces if piece.cable == cable.id}))
    coils = (
        f"{near.coil_out_m:g} m at {site_name(plant, near.site)}, {far.coil_in_m:g} m at {site_name(plant, far.site)}"
    )
    reasons = (
        f"The coils give {coils}; the two new ends take {2 * END_M:g} m",
        f"{count_of(len(fibres), 'fibre')}, 1 splice each, {SPLICE_DB:.1f} dB more; one new box with trays for all",
    )
    cost = (("services left dark", 0), ("splices", len(fibres)), ("live services beside the work", 0))
    name = f"rejoin {cable.name} in one new box after {site_name(plant, near.site)}"
    return Repair(
        "rejoin",
        Proposal(name, (), cost, reasons),
        cable.id,
        fibres,
        None,
        len(fibres),
        SPLICE_DB,
        (),
        0,
        margins(continuity, services, SPLICE_DB, pieces),
        dark=dark_of(continuity, cable, pieces),
    )
