"""Light paths as rows, service by service from the exchange outward: what each element is, where, and the loss so far.

Read off the same description as the path sheet and ``trace``, so that all three say the same. Metres of fibre, dB.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from model.lists.budgets import services_here
from model.lists.source import Source
from model.optics.loss import WAVELENGTHS_NM
from model.trace import service_node, trace
from render.hops import describe, hop_words
from render.hopwords import tray_words


@dataclass(frozen=True, slots=True)
class PathRow:
    """One element of a service's path; ``number`` counts from 1 at the exchange end, ``passed`` are sites passed uncut.

    ``length_m`` and ``loss_db`` are its own, ``at_m`` and ``at_db`` the sums from the exchange up to and including it;
    what is not known is ``None`` or left out. Empty and 0 stand for what the element does not have.
    """

    service: str
    number: int
    element: str
    what: str
    site: str
    to: str
    passed: tuple[str, ...]
    cable: str
    tube: int
    tube_colour: str
    fibre: int
    fibre_colour: str
    place: str
    length_m: float | None
    loss_db: Mapping[int, float]
    at_m: float | None
    at_db: Mapping[int, float]
    measured: bool


ELEMENTS = {
    "pair": "mated pair",
    "plug": "plug",
    "pigtail": "pigtail splice",
    "glass": "fibre",
    "splice": "splice",
    "splitter": "splitter",
}


def path_rows(
    source: Source, site: str | None = None, wavelengths_nm: tuple[int, ...] = WAVELENGTHS_NM
) -> list[PathRow]:
    """The elements of every service not ceased, or of those joined at a site, by service name."""
    rows: list[PathRow] = []
    for key in services_here(source, site):
        node = service_node(source.continuity, key)
        if node not in source.continuity.graph:
            continue
        path = describe(source.continuity, trace(source.continuity, node), wavelengths_nm)
        for number, hop in enumerate(reversed(path.hops), start=1):
            slot = f"slot {hop.slot}" if hop.slot is not None else ""
            port = f"{hop.panel} {hop.port}" if hop.port is not None else ""
            # The description runs toward the exchange; the list is read outward, so glass is named the other way.
            start, end = (hop.to, hop.site) if hop.kind == "glass" else (hop.site, "")
            rows.append(
                PathRow(
                    source.plant.services[key].name,
                    number,
                    ELEMENTS[hop.kind],
                    hop_words(hop),
                    start,
                    end,
                    tuple(place.site for place in reversed(hop.passes)),
                    hop.cable,
                    hop.tube or 0,
                    hop.tube_colour,
                    hop.fibre or 0,
                    hop.fibre_colour,
                    " ".join(word for word in (tray_words(hop.tray), slot, port, hop.splitter, hop.ways) if word),
                    hop.length_m if hop.kind == "glass" else None,
                    hop.loss_db,
                    hop.at_m,
                    hop.at_db,
                    bool(hop.measured),
                )
            )
    return rows
