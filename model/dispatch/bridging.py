"""A bridge: a piece of tube or cable between the two ends of broken glass, spliced at both.

A tube cannot be shortened while its neighbours in the sheath are live, so the bridge is as long as the opening it lies
in; in a span the sheath is opened anew. Each fibre takes two splices. Metres and dB.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from statistics import median
from typing import Final

from model.correlate.carried import services_in
from model.correlate.elements import Element
from model.dispatch.mending import SPLICE_DB, Repair, TrayRoom, dark_of, live_beside, margins, names, place_of
from model.edits.cutting import CutFibres
from model.edits.joining import Join
from model.edits.parts import Add, Bring
from model.entities import Cable, FibreEnd, GlassEnd, Stop
from model.glass import Piece, opening_m
from model.graph import Continuity
from model.history import Edit
from model.ids import CableId, CableTypeId, StopId
from model.layout import tray_load
from model.lists.naming import called, site_name
from model.lookup import cable_type, cut_fibres, enclosure_at, passes, trays_of
from model.numbers import to_text
from model.parts import CableType
from model.planning.proposal import Proposal, count_of
from model.plant import Plant

USUAL_OPENING_M: Final = 2.0
"""Sheath opened for a new box on a cable that has none yet (typical 1.2 to 2.5 m, common practice)."""


def bridge(continuity: Continuity, failed: Element, pieces: Sequence[Piece], services: Sequence[str]) -> Repair | None:
    """The bridge an element takes; None for glass that lies in no cable."""
    plant = continuity.plant
    where = place_of(plant, failed, pieces)
    if where is None:
        return None
    cable, index, inside = where
    kind, stop = cable_type(plant, cable), cable.stops[index]
    whole = failed.kind == "sheath"
    own = [piece for piece in pieces if piece.cable == cable.id]
    # A tray may hold glass of other cables too: what runs over that is not brought back by this bridge.
    others = set(services_in(continuity, [piece for piece in pieces if piece.cable != cable.id]))
    left = tuple(service for service in services if service in others)
    done = tuple(service for service in services if service not in others)
    fibres = tuple(sorted({piece.fibre for piece in own}))
    bridge_m, why_long = _bridge_m(cable, index, inside)
    splices = 2 * len(fibres)
    rooms, short = _rooms(plant, stop, fibres, splices) if inside else ((), 0)
    beside = live_beside(continuity, cable, index, inside, fibres)
    reasons = [_not_shortened(plant, beside, bridge_m), why_long]
    reasons.append(f"{count_of(len(fibres), 'fibre')}, 2 splices each: {splices} splices, {2 * SPLICE_DB:.1f} dB more")
    reasons += _room_words(plant, stop.site, rooms, short, splices, inside)
    if whole:
        reasons[1] = "A length of new cable between two boxes, where no coil gives enough to draw the ends together"
    edits = _bridge_edits(plant, cable, kind, stop, fibres, bridge_m, rooms) if inside and not short else ()
    extra_db = 2 * SPLICE_DB
    place = site_name(plant, stop.site)
    name = f"bridge {cable.name}:{to_text(fibres)} at {place}"
    if not inside:
        name = f"{'two new boxes' if whole else 'new box'} for {cable.name} after {place}"
    if left:
        reasons.append(f"{names(plant, left)} run over glass of other cables there: bridge those as well")
    cost = (("services left dark", len(left)), ("splices", splices), ("live services beside the work", len(beside)))
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
        margins(continuity, done, extra_db, own),
        left,
        beside=beside,
        dark=dark_of(continuity, cable, pieces),
    )


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


def _not_shortened(plant: Plant, beside: Sequence[str], bridge_m: float) -> str:
    if not beside:
        return "Nothing beside what failed is live on record: the sheath may be cut and drawn from a coil, not bridged"
    return f"No shortening: {names(plant, beside)} live in the same sheath"


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
        load = tray_load(plant, tray)
        looped = sum(
            len(set(record.fibres) & set(fibres))
            for record in stop.stored
            if record.tray == tray.id and not record.side
        )
        # What looped through is cut and counts as joints now. Both splices of a fibre go to one tray: an even number.
        may_store = load.kind.stored_max - (load.stored - looped)
        free = max(min(load.most - load.sleeves, may_store), 0)
        taken = min(left, free - free % 2)
        if taken:
            rooms.append(TrayRoom(tray.id, called("tray", tray.name), load.most, load.sleeves, taken))
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
