"""Spare glass a service could be rolled onto: dark fibres that reach as far as the broken one does, far ends checked.

A spare lies in the same cable, carries nobody, does not run through what has failed, and can be reached at both ends:
at the exchange-side end by a panel port with a free front or a stub, at the field-side end by a stub or by a cut in
uncut glass there. What the record calls dark is only a record: a power meter says whether it is.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from model.correlate.carried import services_in, source_of
from model.entities import Cable, FibreEnd, Mating, Splice
from model.glass import Piece
from model.graph import Continuity, end_node
from model.lookup import cable_type, passes, tube_of, work_on
from model.trace import service_node, trace


@dataclass(frozen=True, slots=True)
class Spare:
    """One fibre that could take a service over, between two stops of a cable, by index.

    ``port`` is the panel port it is plugged into at the exchange-side end, empty for a stub. ``cut`` says that it runs
    on past the field-side end and would have to be cut there, ``opens`` that its tube is still closed there.
    """

    cable: str
    fibre: int
    tube: int
    first: int
    last: int
    port: str
    cut: bool
    opens: bool
    far: str
    """Node of its field-side end as it is now."""


@dataclass(frozen=True, slots=True)
class Broken:
    """A piece of glass that has failed, and the services whose paths run through it."""

    piece: Piece
    services: tuple[str, ...]


def broken_pieces(continuity: Continuity, services: Sequence[str], failed: Collection[Piece]) -> list[Broken]:
    """The failed pieces on the paths of services, the first of each path from the exchange, in the services' order."""
    found: dict[Piece, list[str]] = {}
    for service in services:
        node = service_node(continuity, service)
        if node not in continuity.graph:
            continue
        steps = reversed(trace(continuity, node).steps)
        piece = next((step.by for step in steps if isinstance(step.by, Piece) and step.by in failed), None)
        if piece is not None:
            found.setdefault(piece, []).append(service)
    return [Broken(piece, tuple(names)) for piece, names in found.items()]


def spares_for(continuity: Continuity, piece: Piece, failed: Collection[Piece]) -> list[Spare]:
    """Fibres that could take the place of a piece: first those already at hand, then those to cut, then to open."""
    cable = continuity.plant.cables[piece.cable]
    kind = cable_type(continuity.plant, cable)
    # Where the broken glass is spliced at the exchange-side end, only a stub can be spliced in its stead.
    spliced = isinstance(joined_at(continuity, piece.ends(cable)[0]), Splice)
    found = []
    for fibre in range(1, kind.fibre_count + 1):
        spare = _spare(continuity, cable, fibre, piece, failed)
        if spare is not None and not (spliced and spare.port):
            found.append(spare)
    return sorted(found, key=lambda s: (s.opens, s.cut, s.fibre))


def _spare(continuity: Continuity, cable: Cable, fibre: int, piece: Piece, failed: Collection[Piece]) -> Spare | None:
    source = source_of(continuity)
    kind = cable_type(continuity.plant, cable)
    own = source.piece_on(cable, fibre, piece.first)
    if own in failed or own.first != piece.first or own.last < piece.last or services_in(continuity, [own]):
        return None
    near, far = own.ends(cable)
    held = source.users.get(end_node(near), ())
    port = ""
    if held:
        mating = held[0]
        if len(held) > 1 or not isinstance(mating, Mating) or mating.face != "rear":
            return None
        if source.faces.get((mating.port, "front")):
            return None
        port = mating.port
    on = own.last > piece.last
    if not on and source.users.get(end_node(far)):
        return None
    tube = tube_of(kind, fibre)[0]
    closed = passes(cable, piece.last) and work_on(cable.stops[piece.last], tube) is None
    return Spare(cable.id, fibre, tube, piece.first, piece.last, port, on, on and closed, end_node(far))


def joined_at(continuity: Continuity, end: FibreEnd) -> Splice | Mating | None:
    """What holds an end of glass, if exactly one thing does."""
    held = source_of(continuity).users.get(end_node(end), ())
    return held[0] if len(held) == 1 else None
