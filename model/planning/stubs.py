"""What to do with the loose glass of an enclosure: cut ends that meet nothing, uncut fibres without a place.

A fibre whose two ends here meet nothing and have no place need not be cut, as long as no joint of its tube is made; a
tube left without a cut passes uncut again. What stays cut is stored on the tray of its tube while there is room, else
in the slack bay. Stubs whole to the exchange are spares, the others are dark; both are said with where they lead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from model.edits.cutting import KeepTubes, MakeWhole
from model.edits.joining import Store
from model.entities import Cable, FibreEnd, LegEnd, Side, Stop
from model.errors import PlantError
from model.glass import Piece, fibre_m
from model.graph import Continuity, end_node, node_end
from model.history import Edit
from model.ids import TrayId
from model.lookup import (
    cable_type,
    cut_fibres,
    enclosure_at,
    ends_at,
    fibres_of,
    looped_fibres,
    passes,
    stops_at,
    tube_of,
)
from model.missing import Place, tray_for
from model.numbers import to_text
from model.parts import CableType
from model.planning.proposal import Proposal, count_of
from model.planning.redraw import redrawn
from model.planning.room import Room, rooms
from model.planning.survey import exchange_port
from model.plant import Plant
from model.trace import walk, ways_on

NAMES = ("fibres cut for nothing", "ends stored in the bay", "ends stored on trays")


@dataclass(slots=True)
class _Work:
    """What is gathered while one proposal is made."""

    edits: list[Edit]
    reasons: list[str]
    rooms: list[Room]
    on_trays: int = 0
    in_bay: int = 0
    needless: int = 0


@dataclass(frozen=True, slots=True)
class _Here:
    """A cable at the site: its fibres whose ends are loose by side, and those that could be whole again."""

    cable: Cable
    kind: CableType
    index: int
    loose: dict[Side, tuple[int, ...]]
    lying: dict[Side, tuple[int, ...]]
    loops: tuple[int, ...]
    needless: tuple[int, ...]

    @property
    def stop(self) -> Stop:
        return self.cable.stops[self.index]


def tidy_stubs(continuity: Continuity, site: str) -> tuple[Proposal, ...]:
    """Proposals for the loose glass at a site with an enclosure, best first; none where all of it has a place.

    Raises PlantError for a site that is not there.
    """
    plant = continuity.plant
    if site not in plant.sites:
        raise PlantError(f"there is no site {site!r}", hint="Name a site of the plant")
    if enclosure_at(plant, site) is None:
        return ()
    here = [_look(continuity, cable, index) for cable, index, _ in stops_at(plant, site)]
    made = [_proposal(continuity, site, here, whole) for whole in (True, False)]
    kept = [made[1]] if made[0].edits == made[1].edits else made
    return tuple(proposal for proposal in kept if proposal.edits)


def _look(continuity: Continuity, cable: Cable, index: int) -> _Here:
    plant, stop = continuity.plant, cable.stops[index]
    kind = cable_type(plant, cable)
    free: dict[Side, list[int]] = {"<": [], ">": []}
    for end in ends_at(plant, cable, index):
        if not ways_on(continuity.graph, end_node(end), "outside"):
            free[end.side].append(end.fibre)
    stored = {(f, record.side) for record in stop.stored for f in record.fibres}
    loops = looped_fibres(kind, stop) if passes(cable, index) else ()
    both = (set(free["<"]) & set(free[">"])) - {f for f, side in stored if side}
    started = _tubes_with_joints_made(plant, cable, kind, stop)
    return _Here(
        cable,
        kind,
        index,
        {side: tuple(f for f in fibres if (f, side) not in stored) for side, fibres in free.items()},
        {side: tuple(f for f in fibres if (f, side) in stored) for side, fibres in free.items()},
        tuple(f for f in loops if (f, "") not in stored),
        tuple(sorted(f for f in both if tube_of(kind, f)[0] not in started)) if passes(cable, index) else (),
    )


def _tubes_with_joints_made(plant: Plant, cable: Cable, kind: CableType, stop: Stop) -> set[int]:
    """Tubes of which a joint here is made: what is cut of them is cut."""
    return {
        tube_of(kind, end.fibre)[0]
        for splice in plant.splices.values()
        if splice.status in ("existing", "done", "remove")
        for end in (splice.a, splice.b)
        if isinstance(end, FibreEnd) and end.cable == cable.id and end.stop == stop.id
    }


def _proposal(continuity: Continuity, site: str, here: Sequence[_Here], whole: bool) -> Proposal:
    plant = continuity.plant
    work = _Work([], [], rooms(plant, site, 0.0))
    left: list[str] = []
    for item in here:
        again = set(item.needless) if whole else set()
        work.needless += len(item.needless) - len(again)
        if again:
            _make_whole(plant, site, item, sorted(again), work)
        for side in ("<", ">"):
            _store(continuity, site, item, side, [f for f in item.loose[side] if f not in again], work)
            lying = [f for f in item.lying[side] if f not in again]
            if lying:
                left.append(f"{item.cable.name}:{to_text(lying)}{side} has a place already and is left alone")
        _store_loops(plant, site, item, item.loops, work)
        drawn, words = redrawn(plant, site, item.stop.id, work.edits) if again else ([], [])
        work.edits += drawn
        work.reasons += words
    left += _parked(continuity, site)
    spared = sum(len(item.needless) for item in here) - work.needless
    what = f"leave {count_of(spared, 'fibre')} uncut" if spared else "store the stubs"
    cost = tuple(zip(NAMES, (work.needless, work.in_bay, work.on_trays), strict=True))
    return Proposal(f"{what} at {plant.sites[site].name}", tuple(work.edits), cost, tuple(work.reasons), tuple(left))


def _make_whole(plant: Plant, site: str, item: _Here, again: list[int], work: _Work) -> None:
    """Edits that take needless cuts back, and close the tubes that have no cut left."""
    cable, stop = item.cable, item.stop
    work.edits.append(MakeWhole(cable.id, stop.id, tuple(again), f"leave {cable.name}:{to_text(again)} uncut"))
    work.reasons.append(
        f"{cable.name}:{to_text(again)} need not be cut: neither end of {count_of(len(again), 'fibre')} meets anything "
        "here, and no joint of the tube is made"
    )
    cut = cut_fibres(item.kind, stop) - set(again)
    tubes = sorted({tube_of(item.kind, f)[0] for f in again})
    closed = [t for t in tubes if not cut & set(fibres_of(item.kind, t))]
    if closed:
        work.edits.append(
            KeepTubes(cable.id, stop.id, tuple(closed), f"keep {cable.name} tube {to_text(closed)} uncut")
        )
        noun, has, passes = ("tube", "has", "passes") if len(closed) == 1 else ("tubes", "have", "pass")
        work.reasons.append(f"{noun} {to_text(closed)} of {cable.name} then {has} no cut fibre and {passes} uncut")
    loops = [f for f in again if tube_of(item.kind, f)[0] not in closed]
    _store_loops(plant, site, item, loops, work)


def _store_loops(plant: Plant, site: str, item: _Here, loops: Sequence[int], work: _Work) -> None:
    closed = {
        t for edit in work.edits if isinstance(edit, KeepTubes) and edit.cable == item.cable.id for t in edit.tubes
    }
    left = [f for f in loops if tube_of(item.kind, f)[0] not in closed]
    for fibres, tray, where in _placed(plant, item, left, work):
        work.edits.append(
            Store(item.cable.id, item.stop.id, fibres, "", tray, name=f"store {item.cable.name}:{to_text(fibres)}")
        )
        work.reasons.append(f"{item.cable.name}:{to_text(fibres)} loop through uncut and are stored {where}")


def _store(continuity: Continuity, site: str, item: _Here, side: Side, fibres: list[int], work: _Work) -> None:
    """Store loose ends, group by group that leads to one place."""
    groups: dict[str, list[int]] = {}
    for fibre in fibres:
        groups.setdefault(_leads(continuity, item, fibre, side), []).append(fibre)
    for lead, members in groups.items():
        for part, tray, where in _placed(continuity.plant, item, members, work):
            name = f"{item.cable.name}:{to_text(part)}{side}"
            work.edits.append(Store(item.cable.id, item.stop.id, part, side, tray, name=f"store {name}"))
            work.reasons.append(f"{name}: {count_of(len(part), 'stub')}, {lead}; stored {where}")


def _placed(
    plant: Plant, item: _Here, fibres: Sequence[int], work: _Work
) -> list[tuple[tuple[int, ...], TrayId | None, str]]:
    """(fibres, tray, where in words) for loose glass: the tube's own tray, another with room, or the bay."""
    found: list[tuple[tuple[int, ...], TrayId | None, str]] = []
    by_tube: dict[int, list[int]] = {}
    for fibre in fibres:
        by_tube.setdefault(tube_of(item.kind, fibre)[0], []).append(fibre)
    for tube, members in by_tube.items():
        box = enclosure_at(plant, item.stop.site)
        own = tray_for(Place(plant, box, item.cable, item.index), fibres_of(item.kind, tube)) if box else None
        ordered = sorted(work.rooms, key=lambda room: own is None or room.tray != own.id)
        room = next((r for r in ordered if r.stored >= len(members)), None)
        if room is None:
            work.in_bay += len(members)
            found.append((tuple(members), None, "in the bay: no tray has room for them"))
            continue
        room.take(0, len(members))
        work.on_trays += len(members)
        found.append((tuple(members), room.tray, f"on tray {room.name}, which takes {room.stored} more"))
    return found


def _leads(continuity: Continuity, item: _Here, fibre: int, side: Side) -> str:
    """Where a stub's glass leads, in words."""
    node = f"{item.cable.id}:{fibre}@{item.stop.id}{side}"
    port = exchange_port(continuity, node) if side == "<" else None
    if port is not None:
        return f"whole to {continuity.plant.sites[port.site].name} and kept as spare"
    steps = walk(continuity.graph, node, "inside")
    metres = 0.0
    for step in steps.steps:
        if isinstance(step.by, Piece):
            cable = continuity.plant.cables[step.by.cable]
            metres += fibre_m(cable, cable_type(continuity.plant, cable), step.by) or 0.0
    place = _site_name(continuity.plant, steps.end)
    at = steps.end.rpartition("/")[0]
    waiting = sorted(s.name for s in continuity.plant.services.values() if s.at == at and s.status != "ceased")
    if waiting:
        return f"to {place} for {', '.join(waiting)}, which waits to be joined"
    return f"dark to {place}" + (f", {metres:.0f} m of fibre" if metres else "")


def _site_name(plant: Plant, node: str) -> str:
    end = node_end(node)
    if isinstance(end, FibreEnd):
        site = next(stop.site for stop in plant.cables[end.cable].stops if stop.id == end.stop)
    elif isinstance(end, LegEnd):
        site = plant.splitters[end.splitter].site
    else:
        site = plant.ports[node.rpartition("/")[0]].site  # a node that is no glass is a port's
    return plant.sites[site].name


def _parked(continuity: Continuity, site: str) -> list[str]:
    """Splitter legs that nothing is joined to: they stay parked."""
    plant = continuity.plant
    said = []
    for splitter in sorted((s for s in plant.splitters.values() if s.site == site), key=lambda s: (s.name, s.id)):
        count = len(plant.splitter_types[splitter.type].legs_db)
        legs = [
            n
            for n in range(1, count + 1)
            if not ways_on(continuity.graph, end_node(LegEnd(splitter.id, "out", n)), "outside")
        ]
        if legs:
            said.append(f"{splitter.name}: {count_of(len(legs), 'leg')} {to_text(legs)} stay parked and capped")
    return said
