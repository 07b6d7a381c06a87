"""A roll: services moved from broken glass onto spare fibres, each onto its own. No splice is added to a path."""

from __future__ import annotations

from collections.abc import Sequence

from model.dispatch.mending import Repair, margins, names
from model.dispatch.rolls import Broken, Spare, broken_pieces, joined_at, spares_for
from model.edits.cutting import CutFibres
from model.edits.joining import Join, Part, Plug, Store
from model.edits.parts import Remove
from model.entities import Cable, FibreEnd, Mating, Side, Splice, Stop
from model.glass import Piece
from model.graph import Continuity
from model.history import Edit
from model.lists.naming import site_name
from model.planning.proposal import Proposal, count_of
from model.plant import Plant


def roll(continuity: Continuity, pieces: Sequence[Piece], services: Sequence[str]) -> Repair | None:
    """Each service onto a spare of its own; those without one stay dark."""
    plant = continuity.plant
    failed = frozenset(pieces)
    broken = broken_pieces(continuity, services, failed)
    cables = {one.piece.cable for one in broken}
    if len(cables) != 1:
        return None
    cable = plant.cables[next(iter(cables))]
    taken: set[int] = set()
    rolled: list[tuple[Broken, Spare]] = []
    for one in broken:
        spare = next((s for s in spares_for(continuity, one.piece, failed) if s.fibre not in taken), None)
        if spare is not None:
            taken.add(spare.fibre)
            rolled.append((one, spare))
    if not rolled:
        return None
    edits: list[Edit] = []
    splices = opened = 0
    for one, spare in rolled:
        steps = _roll_edits(continuity, cable, one, spare)
        edits += steps
        splices += sum(len(step.pairs) for step in steps if isinstance(step, Join))
        opened += spare.opens
    done = tuple(service for one, _ in rolled for service in one.services)
    left = tuple(service for service in services if service not in done)
    reasons = [
        f"{names(plant, one.services)}: {cable.name}:{one.piece.fibre} to {spare.fibre}"
        f" at {site_name(plant, cable.stops[spare.last].site)}"
        + (", cut there" if spare.cut else "")
        + (f", T{spare.tube} opened" if spare.opens else "")
        + (f", and patch to port {_port_words(plant, spare.port)}" if spare.port else "")
        for one, spare in rolled
    ]
    cost = (("services left dark", len(left)), ("splices", splices), ("tubes opened", opened))
    return Repair(
        "roll",
        Proposal(f"roll {count_of(len(done), 'service')} onto spare fibres", tuple(edits), cost, tuple(reasons)),
        cable.id,
        tuple(one.piece.fibre for one, _ in rolled),
        None,
        splices,
        0.0,
        (),
        0,
        margins(continuity, done),
        left,
        tuple((one.services, one.piece.fibre, spare.fibre) for one, spare in rolled),
    )


def _port_words(plant: Plant, port: str) -> str:
    found = plant.ports[port]
    return f"{found.panel} {found.number} at {site_name(plant, found.site)}"


def _roll_edits(continuity: Continuity, cable: Cable, one: Broken, spare: Spare) -> list[Edit]:
    """Cut the spare where it passes, take the broken piece out of its joints and plugs and put the spare in.

    A spare with a port of its own at the exchange end stays in it: there the patch moves, often outside the record.
    """
    edits: list[Edit] = []
    last, first = cable.stops[spare.last], cable.stops[spare.first]
    if spare.cut:
        edits.append(CutFibres(cable.id, last.id, (spare.fibre,)))
    ends: tuple[tuple[Stop, Side], ...] = ((last, "<"), (first, ">"))
    for stop, side in ends:
        old, new = (FibreEnd(cable.id, fibre, stop.id, side) for fibre in (one.piece.fibre, spare.fibre))
        held = joined_at(continuity, old)
        if isinstance(held, Splice):
            other = held.b if held.a == old else held.a
            edits += [Part((held.id,)), Join(held.site, ((new, other),), held.tray, held.slot or 1, name="roll")]
            edits.append(Store(cable.id, stop.id, (one.piece.fibre,), side, held.tray, name="roll"))
        elif isinstance(held, Mating) and (stop is last or not spare.port):
            edits.append(Remove("matings", held.id, "roll"))
            edits.append(Plug((new,), (held.port,), held.face, held.pigtail_db, name="roll"))
        if spare.cut and stop is last and isinstance(held, Splice):
            edits.append(Store(cable.id, stop.id, (spare.fibre,), ">", held.tray, name="roll"))
    return edits
