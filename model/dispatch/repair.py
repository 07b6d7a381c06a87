"""How broken glass could be mended: what it takes and what it costs every service, ranked, as edits where possible.

Each cut of a fibre without slack costs two splices, one at either end of a bridge; drawn together from a coil it costs
one. Services may instead be rolled onto spare fibres. All of it is worked out from the record, metres and dB.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from model.correlate.carried import pieces_in, services_in
from model.correlate.elements import Element
from model.dispatch.bridging import bridge
from model.dispatch.mending import NewMargin, Repair, TrayRoom, names
from model.dispatch.rejoining import rejoin
from model.dispatch.rolling import roll
from model.graph import Continuity

__all__ = ["NewMargin", "Repair", "TrayRoom", "repairs"]


def repairs(continuity: Continuity, failed: Element, down: Sequence[str] = ()) -> tuple[Repair, ...]:
    """The ways to mend an element, the best first: fewest services left dark, then fewest splices.

    ``down`` are the services to bring back; without it all that the element carries. Only glass is mended so: for a
    port, a leg or a splitter there is none, and the answer is empty.
    """
    pieces = pieces_in(continuity, failed.key)
    if failed.kind not in ("sheath", "tube", "tube_at", "fibre", "tray") or not pieces:
        return ()
    carried = services_in(continuity, pieces)
    services = tuple(service for service in down if service in set(carried)) or carried
    found = [
        rejoin(continuity, failed, pieces, services),
        bridge(continuity, failed, pieces, services),
        roll(continuity, pieces, services),
    ]
    kept = [one for one in found if one is not None]
    unheard = [s for s in carried if down and s not in down and continuity.plant.services[s].status == "live"]
    if unheard:
        # What was not measured may be up: then the element has not failed as a whole, and this would cut live glass.
        ask = f"Ask first for {names(continuity.plant, unheard)}: live on this glass, and nobody said down"
        kept = [
            one if one.moves else replace(one, proposal=replace(one.proposal, reasons=(ask, *one.proposal.reasons)))
            for one in kept
        ]
    return tuple(sorted(kept, key=lambda one: one.proposal.weight))
