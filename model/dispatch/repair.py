"""How broken glass could be mended: what it takes and what it costs every service, ranked, as edits where possible.

Each cut of a fibre without slack costs two splices, one at either end of a bridging piece (0.10 dB each as planned). A
tube cannot be shortened while its neighbours in the sheath are live: the bridge is as long as the opening it lies in.
Services may instead be rolled onto spare fibres. All of it is worked out from the record, metres and dB.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Final, Literal

from model.correlate.carried import pieces_in, services_in, source_of
from model.correlate.elements import Element
from model.dispatch.rolls import Broken, Spare, broken_pieces, joined_at, spares_for
from model.edits.cutting import CutFibres
from model.edits.joining import Join, Part, Plug, Store
from model.edits.parts import Add, Bring, Remove
from model.entities import Cable, FibreEnd, GlassEnd, Mating, Side, Splice, Stop
from model.glass import Piece, opening_m
from model.graph import Continuity
from model.history import Edit
from model.ids import CableId, CableTypeId, StopId
from model.lists.naming import called, site_name
from model.lookup import cable_type, cut_fibres, enclosure_at, find_stop, passes, tray_type, trays_of
from model.numbers import natural, to_text
from model.optics.budget import budget
from model.optics.drawn import drawn_bends
from model.parts import CableType
from model.planning.proposal import Proposal, count_of
from model.plant import Plant

SPLICE_DB: Final = 0.10
"""Planned loss of one splice (common practice, no source)."""
USUAL_OPENING_M: Final = 2.0
"""Sheath opened for a new box on a cable that has none yet (typical 1.2 to 2.5 m, common practice)."""
RESERVE: Final = 0.9
"""Share of a tray's slots above which it keeps no reserve for the next joint (common practice)."""

Way = Literal["roll", "bridge", "new box"]


@dataclass(frozen=True, slots=True)
class TrayRoom:
    """Slots of one tray: what it has, what is used, and what a repair would take there."""

    tray: str
    words: str
    slots: int
    used: int
    taken: int

    @property
    def full(self) -> bool:
        """Whether nothing is left in reserve afterwards."""
        return self.used + self.taken > RESERVE * self.slots


@dataclass(frozen=True, slots=True)
class NewMargin:
    """What a service keeps of its class, at its worst wavelength, before and after; None without a class."""

    service: str
    before_db: float | None
    after_db: float | None


@dataclass(frozen=True, slots=True)
class Repair:
    """One way to mend a fault.

    ``fibres`` of ``cable`` are mended, or rolled away from; ``bridge_m`` is the length of the bridging piece, None for
    none. ``splices`` counts new ones, ``extra_db`` is what a mended service loses more. ``rooms`` are the trays they go
    to and ``short`` the slots that are missing; a way with some missing has no edits. ``moves`` are (services, from
    fibre, to fibre) of a roll, ``beside`` live services on glass next to the work, ``left_dark`` those this way leaves.
    """

    way: Way
    proposal: Proposal
    cable: str
    fibres: tuple[int, ...]
    bridge_m: float | None
    splices: int
    extra_db: float
    rooms: tuple[TrayRoom, ...]
    short: int
    margins: tuple[NewMargin, ...]
    left_dark: tuple[str, ...] = ()
    moves: tuple[tuple[tuple[str, ...], int, int], ...] = ()
    beside: tuple[str, ...] = ()


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
    found = [_bridge(continuity, failed, pieces, services), _roll(continuity, pieces, services)]
    kept = [one for one in found if one is not None]
    return tuple(sorted(kept, key=lambda one: one.proposal.weight))


def _bridge(continuity: Continuity, failed: Element, pieces: Sequence[Piece], services: Sequence[str]) -> Repair | None:
    plant = continuity.plant
    where = _place(plant, failed, pieces)
    if where is None:
        return None
    cable, index, inside = where
    kind, stop = cable_type(plant, cable), cable.stops[index]
    fibres = tuple(sorted({piece.fibre for piece in pieces if piece.cable == cable.id}))
    bridge_m, why_long = _bridge_m(cable, index, inside)
    splices = 2 * len(fibres)
    rooms, short = _rooms(plant, stop, fibres, splices) if inside else ((), 0)
    beside = _beside(continuity, cable, index, inside, fibres)
    reasons = [_not_shortened(plant, beside, bridge_m), why_long]
    reasons.append(f"{count_of(len(fibres), 'fibre')}, 2 splices each: {splices} splices, {2 * SPLICE_DB:.1f} dB more")
    reasons += _room_words(plant, stop.site, rooms, short, splices, inside)
    edits = _bridge_edits(plant, cable, kind, stop, fibres, bridge_m, rooms) if inside and not short else ()
    extra_db = 2 * SPLICE_DB
    place = site_name(plant, stop.site)
    name = f"bridge {cable.name}:{to_text(fibres)} at {place}" if inside else f"new box for {cable.name} after {place}"
    cost = (("services left dark", 0), ("splices", splices), ("live services beside the work", len(beside)))
    return Repair(
        "bridge" if inside else "new box",
        Proposal(name, edits, cost, tuple(reasons), tuple(_left_alone(plant, beside))),
        cable.id,
        fibres,
        bridge_m,
        splices,
        extra_db,
        rooms,
        short,
        _margins(continuity, services, extra_db),
        beside=beside,
    )


def _place(plant: Plant, failed: Element, pieces: Sequence[Piece]) -> tuple[Cable, int, bool] | None:
    """(cable, stop index, whether inside that stop) of glass that lies in a cable; a span has its stop before it."""
    kind, rest = failed.key.split("|", 1)
    if kind == "tray":
        tray = plant.trays[rest]
        site = plant.enclosures[tray.enclosure].site
        counts: dict[tuple[str, int], int] = {}
        for piece in pieces:
            cable = plant.cables[piece.cable]
            for index in range(piece.first + 1, piece.last):
                if cable.stops[index].site == site:
                    counts[cable.id, index] = counts.get((cable.id, index), 0) + 1
        if not counts:
            return None
        key, index = max(counts, key=lambda one: (counts[one], one))
        return plant.cables[CableId(key)], index, True
    cable, index = find_stop(plant, rest.rpartition("|")[2])
    return cable, index, kind == "tube_at"


def _bridge_m(cable: Cable, index: int, inside: bool) -> tuple[float, str]:
    """(length of the bridging piece, why): the opening it lies in, or for a new box what the others have."""
    own = opening_m(cable.stops[index]) if passes(cable, index) else None
    if inside and own:
        return own, f"The bridge is as long as the opening: {own:.1f} m"
    others = [found for i, stop in enumerate(cable.stops) if passes(cable, i) and (found := opening_m(stop))]
    length = median(others) if others else USUAL_OPENING_M
    if inside:
        return length, f"The opening is not known: reckoned with {length:.1f} m"
    said = "as at the other boxes of the cable" if others else "as is usual"
    return length, f"A new box at the place, {length:.1f} m of sheath opened {said}"


def _beside(continuity: Continuity, cable: Cable, index: int, inside: bool, fibres: Sequence[int]) -> tuple[str, ...]:
    """Live services on glass of the same sheath at the place that is not broken."""
    source, plant = source_of(continuity), continuity.plant
    at = index - 1 if inside and index > 0 else index
    others = [f for f in range(1, cable_type(plant, cable).fibre_count + 1) if f not in set(fibres)]
    pieces = [source.piece_on(cable, fibre, at) for fibre in others]
    live = [s for s in services_in(continuity, pieces) if plant.services[s].status == "live"]
    return tuple(sorted(live, key=lambda s: natural(plant.services[s].name)))


def _not_shortened(plant: Plant, beside: Sequence[str], bridge_m: float) -> str:
    if not beside:
        return "Nothing beside it is live: the sheath may be cut and drawn from a coil instead of a bridge"
    return f"No shortening: {_names(plant, beside)} live in the same sheath"


def _names(plant: Plant, services: Sequence[str]) -> str:
    more = f" and {len(services) - 6} more" if len(services) > 6 else ""
    return ", ".join(plant.services[s].name for s in services[:6]) + more


def _left_alone(plant: Plant, beside: Sequence[str]) -> list[str]:
    return [f"{plant.services[s].name} is live in the same sheath" for s in beside]


def _rooms(plant: Plant, stop: Stop, fibres: Sequence[int], splices: int) -> tuple[tuple[TrayRoom, ...], int]:
    """(trays the new splices go to, slots missing): first where the glass is stored, then the others in order."""
    box = enclosure_at(plant, stop.site)
    if box is None:
        return (), splices
    stored = {record.tray for record in stop.stored if set(record.fibres) & set(fibres)}
    trays = sorted(trays_of(plant, box.id), key=lambda tray: (tray.id not in stored, tray.position))
    rooms, left = [], splices
    for tray in trays:
        kind = tray_type(plant, tray)
        used = sum(1 for splice in plant.splices.values() if splice.tray == tray.id)
        # Both splices of a fibre go to one tray: an even number.
        free = max(kind.slots * kind.per_slot - used, 0)
        taken = min(left, free - free % 2)
        if taken:
            rooms.append(TrayRoom(tray.id, called("tray", tray.name), kind.slots * kind.per_slot, used, taken))
            left -= taken
    return tuple(rooms), left


def _room_words(
    plant: Plant, site: str, rooms: Sequence[TrayRoom], short: int, splices: int, inside: bool
) -> list[str]:
    place = site_name(plant, site)
    if not inside:
        return [f"Trays for {splices} splices in the new box"]
    words = [
        f"{room.words} of {place}: {room.used} of {room.slots} slots used, {room.taken} more fit"
        + (", which leaves no reserve" if room.full else "")
        for room in rooms
    ]
    words.append("The field side keeps no more tail than it has now: measure on site whether it reaches the tray")
    if short:
        words.append(f"{count_of(short, 'slot')} missing at {place}: bring a tray")
    return words


def _bridge_edits(
    plant: Plant,
    cable: Cable,
    kind: CableType,
    stop: Stop,
    fibres: Sequence[int],
    bridge_m: float,
    rooms: Sequence[TrayRoom],
) -> tuple[Edit, ...]:
    """Cut, lay the bridge, splice both ends of it. Only for glass that is uncut there: a cut one has joints already."""
    if set(fibres) & cut_fibres(kind, stop) or stop in (cable.stops[0], cable.stops[-1]):
        return ()
    count = len(fibres)
    name = f"{cable.name} bridge"
    key, number = CableId(f"{stop.id}.bridge"), 1
    while key in plant.cables:
        number += 1
        key, name = CableId(f"{stop.id}.bridge-{number}"), f"{cable.name} bridge {number}"
    type_id = CableTypeId(f"bridge-{count}-{kind.id}")
    tube = replace(
        kind,
        id=type_id,
        title=f"Bridging tube, {count} F",
        construction="pigtail",
        tubes=(count,),
        od_mm=kind.tube_od_mm or kind.od_mm,
        bend_mm=kind.tube_bend_mm,
        bend_load_mm=kind.tube_bend_mm,
        strength_members=0,
        metal=False,
        ribbon=0,
        excess=0.0,
        excess_tol=0.0,
    )
    near, far = StopId(f"{key}.a"), StopId(f"{key}.b")
    bridge = Cable(
        key,
        name,
        type_id,
        (Stop(near, stop.site, mark_out_m=0.0), Stop(far, stop.site, mark_in_m=bridge_m)),
        status="planned",
    )
    edits: list[Edit] = [] if type_id in plant.cable_types else [Bring((tube,))]
    edits += [Add((bridge,), "lay the bridge"), CutFibres(cable.id, stop.id, tuple(fibres))]
    at = 0
    for room in rooms:
        some = range(at, at + room.taken // 2)
        at += room.taken // 2
        pairs: list[tuple[GlassEnd, GlassEnd]] = []
        for place in some:
            fibre = fibres[place]
            pairs.append((FibreEnd(cable.id, fibre, stop.id, "<"), FibreEnd(key, place + 1, near, ">")))
            pairs.append((FibreEnd(key, place + 1, far, "<"), FibreEnd(cable.id, fibre, stop.id, ">")))
        tray = plant.trays[room.tray].id
        edits.append(Join(stop.site, tuple(pairs), tray, name="splice the bridge"))
    return tuple(edits)


def _roll(continuity: Continuity, pieces: Sequence[Piece], services: Sequence[str]) -> Repair | None:
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
        f"{_names(plant, one.services)}: {cable.name}:{one.piece.fibre} to {spare.fibre}"
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
        _margins(continuity, done, 0.0),
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


def _margins(continuity: Continuity, services: Sequence[str], extra_db: float) -> tuple[NewMargin, ...]:
    bends = drawn_bends(continuity.plant)
    found = []
    for service in services:
        margins = budget(continuity, service, bends).margin_max_db
        worst = min(margins.values()) if margins else None
        found.append(NewMargin(service, worst, None if worst is None else worst - extra_db))
    return tuple(found)
