"""How the fibres of a cable are used on every span between two neighbouring stops, and what each reaches both ways.

On a span a fibre is in use (it carries a service that has not ceased), a stub (its glass was cut at a place the cable
passes, and nothing is joined there), or dark but whole. The three add up to the cable's count on every span.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Cable
from model.glass import Piece, span_m
from model.graph import end_node
from model.lists.naming import Reach, reach, site_name, together, tube_colour
from model.lists.source import Source
from model.lookup import cable_type, fibres_of, passes

Use = Literal["in use", "dark", "stub"]


@dataclass(frozen=True, slots=True)
class UseRow:
    """Fibres of one tube on one span with the same use, the same services and the same two far ends.

    ``start`` and ``end`` name the sites of the span, ``sheath_m`` its length by the marks. ``status`` is "live" or
    "planned" for fibres in use.
    """

    cable: str
    start: str
    end: str
    sheath_m: float | None
    tube: int
    tube_colour: str
    fibres: tuple[int, ...]
    use: Use
    services: tuple[str, ...]
    status: str
    toward_exchange: Reach
    toward_field: Reach


@dataclass(frozen=True, slots=True)
class UseCount:
    """The sum of a span: ``in_use`` + ``dark`` + ``stub`` = ``count``."""

    cable: str
    start: str
    end: str
    sheath_m: float | None
    in_use: int
    dark: int
    stub: int
    count: int


def fibre_use(source: Source, cable: Cable) -> tuple[UseRow, ...]:
    """The use of every fibre of a cable, span by span from the exchange outward, by tube and fibre."""
    plant = source.plant
    kind = cable_type(plant, cable)
    known: dict[Piece, tuple[Use, tuple[str, ...], Reach, Reach]] = {}
    rows: list[UseRow] = []
    for span in range(len(cable.stops) - 1):
        start, end = (site_name(plant, cable.stops[i].site) for i in (span, span + 1))
        for tube in range(1, len(kind.tubes) + 1):
            groups: dict[tuple[object, ...], list[tuple[int, Piece]]] = {}
            for fibre in fibres_of(kind, tube):
                piece = source.piece_on(cable, fibre, span)
                if piece not in known:
                    known[piece] = _use(source, cable, piece)
                use, services, back, on = known[piece]
                groups.setdefault((use, services, back.key, on.key), []).append((fibre, piece))
            for held in groups.values():
                use, services, _, _ = known[held[0][1]]
                rows.append(
                    UseRow(
                        cable.name,
                        start,
                        end,
                        span_m(cable, span),
                        tube,
                        tube_colour(plant, cable, tube),
                        tuple(fibre for fibre, _ in held),
                        use,
                        source.names(services),
                        _status(source, services),
                        together(known[piece][2] for _, piece in held),
                        together(known[piece][3] for _, piece in held),
                    )
                )
    return tuple(rows)


def use_counts(source: Source, cable: Cable) -> tuple[UseCount, ...]:
    """How many fibres of a cable are in use, dark or stubs on each span."""
    count = cable_type(source.plant, cable).fibre_count
    found: list[UseCount] = []
    for span in range(len(cable.stops) - 1):
        uses = [_state(source, cable, source.piece_on(cable, fibre, span)) for fibre in range(1, count + 1)]
        start, end = (site_name(source.plant, cable.stops[i].site) for i in (span, span + 1))
        sums = (uses.count("in use"), uses.count("dark"), uses.count("stub"))
        found.append(UseCount(cable.name, start, end, span_m(cable, span), *sums, count))
    return tuple(found)


def _state(source: Source, cable: Cable, piece: Piece) -> Use:
    first, last = piece.ends(cable)
    if source.services.get(end_node(first)):
        return "in use"
    open_cut = any(
        passes(cable, index) and end_node(end) not in source.users
        for index, end in ((piece.first, first), (piece.last, last))
    )
    return "stub" if open_cut else "dark"


def _use(source: Source, cable: Cable, piece: Piece) -> tuple[Use, tuple[str, ...], Reach, Reach]:
    first, last = (end_node(end) for end in piece.ends(cable))
    return (
        _state(source, cable, piece),
        source.services.get(first, ()),
        reach(source.continuity, first, "outside"),
        reach(source.continuity, last, "outside"),
    )


def _status(source: Source, services: tuple[str, ...]) -> str:
    statuses = {source.plant.services[key].status for key in services}
    return "live" if "live" in statuses else "planned" if statuses else ""
