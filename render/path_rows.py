"""Light paths as rows, service by service from the exchange outward: what each element is, where, and the loss so far.
Below a splitter that the path branches at, a row for each leg.

Read off the same description as the path sheet and ``trace``, so that all three say the same. Metres of fibre, dB.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from model.lists.budgets import services_here
from model.lists.source import Source
from model.optics.loss import WAVELENGTHS_NM
from model.trace import service_node
from render.hops import Hop, PathDescription, describe, evidence_words, hop_words
from render.hopwords import tray_words
from render.traced import Branch, traced_path


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
    evidence: str
    """How well the record of the element is known, by whom and when."""


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
        if service_node(source.continuity, key) in source.continuity.graph:
            path = describe(source.continuity, traced_path(source.continuity, key)[0], wavelengths_nm)
            rows += hop_rows(path, source.plant.services[key].name)
    return rows


def hop_rows(path: PathDescription, service: str = "") -> list[PathRow]:
    """The elements of one path from the exchange outward."""
    return [_hop_row(hop, number, service) for number, hop in enumerate(reversed(path.hops), start=1)]


def _hop_row(hop: Hop, number: int, service: str) -> PathRow:
    slot = f"slot {hop.slot}" if hop.slot is not None else ""
    port = f"{hop.panel} {hop.port}" if hop.port is not None else ""
    # The description runs toward the exchange; the list is read outward, so glass is named the other way.
    start, end = (hop.to, hop.site) if hop.kind == "glass" else (hop.site, "")
    return PathRow(
        service,
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
        evidence_words(hop.evidence),
    )


def branch_rows(found: Iterable[Branch], first: int = 1) -> list[PathRow]:
    """The legs below a splitter as rows numbered from ``first``; ``site`` is empty, ``to`` is where a leg ends."""
    none: dict[int, float] = {}
    return [
        PathRow(
            ", ".join(branch.services), number, "leg below", branch.leg, "", branch.end if branch.joined else "", (),
            "", 0, "", 0, "", "", None, none, branch.at_m, branch.at_db, False, "",
        )
        for number, branch in enumerate(found, start=first)
    ]  # fmt: skip
