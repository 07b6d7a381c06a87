"""Which tubes to open at a passing stop so that a number of drops are served, as proposals ready to be applied.

Live glass comes first: no tube that carries a live service is touched while the others can serve. Then the fewest tubes
are opened, tubes open already are used first, each keeps its reserve, and the lowest numbers win. The choice is exact
(``cover`` says how); where fewer tubes would do beside live glass, or with the reserve, that is a further proposal.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from model.edits.cutting import CutFibres
from model.edits.joining import Join, Store
from model.entities import Cable, FibreEnd, GlassEnd, Stop
from model.errors import PlantError
from model.graph import Continuity
from model.history import Edit
from model.ids import CableId, StopId, TrayId
from model.lookup import fibres_of
from model.numbers import to_text
from model.parts import CableType
from model.planning.cover import NAMES, First, choose
from model.planning.proposal import Proposal, count_of
from model.planning.redraw import applied, drawn_to, redrawn
from model.planning.room import Room, rooms
from model.planning.survey import Survey, near_end, stop_at, survey, why_left
from model.plant import Plant

MOST_NAMED = 3
"""Exchange ports named in one sentence."""


def open_tubes(
    continuity: Continuity,
    cable: str,
    stop: str,
    wanted: Sequence[GlassEnd],
    *,
    ports: Collection[str] = (),
    reserved: Collection[int] = (),
    reserve: int = 0,
    redraw: bool = True,
) -> tuple[Proposal, ...]:
    """Proposals that join each end of ``wanted``, in their order, to a dark fibre of a cable at a stop it passes.

    ``ports`` are ids of exchange ports that will do (any if empty), ``reserved`` fibres not to be used, ``reserve`` the
    dark fibres each tube keeps (0 or more), ``redraw`` drafts the tubes anew where the enclosure is drawn. The best
    comes first. Raises PlantError when there are not so many fibres, or no room for them on the trays.
    """
    held, kind, here = stop_at(continuity, cable, stop)
    if not wanted:
        raise PlantError("no drop is named to be served", hint="Give the ends to join")
    if reserve < 0:
        raise PlantError(f"a reserve of {reserve} fibres", hint="Give 0 or more")
    tubes = survey(continuity, held, here, reserved, ports)
    made: list[Proposal] = []
    seen: set[tuple[int, ...]] = set()
    faults: list[PlantError] = []
    orders: tuple[tuple[First, int], ...] = (("live", reserve), ("tubes", reserve), ("live", 0))
    for first, keep in orders if reserve else orders[:2]:
        picked = choose([found.offer(keep) for found in tubes], len(wanted), first)
        if picked is None or (keep < reserve and not made):
            continue
        weight, fibres = picked
        flat = tuple(fibre for tube in fibres.values() for fibre in tube)
        if flat in seen or (keep < reserve and weight[1] >= dict(made[0].cost)["tubes opened"]):
            continue
        seen.add(flat)
        try:
            edits, placed = _edits(continuity.plant, held, kind, here, wanted, fibres, redraw)
        except PlantError as fault:
            faults.append(fault)
            continue
        cost = tuple(zip(NAMES[first], weight, strict=True))
        reasons = _reasons(tubes, fibres, keep, reserve, dict(cost), made[0] if made else None)
        left = tuple(why_left(found, keep, True) for found in tubes if found.tube not in fibres)
        name = f"join {held.name}:{to_text(flat)} at {continuity.plant.sites[here.site].name}"
        made.append(Proposal(name, edits, cost, (*reasons, *placed), left))
    if not made:
        raise faults[0] if faults else _too_few(held, tubes, len(wanted), reserve)
    return tuple(made)


def _too_few(cable: Cable, tubes: Sequence[Survey], wanted: int, reserve: int) -> PlantError:
    free = sum(len(found.free) for found in tubes)
    most = sum(found.offer(reserve).most for found in tubes)
    told = "; ".join(f"tube {found.tube}: {found.text()}" for found in tubes)
    hint = f"{free} without the reserve of {reserve} in each tube; {told}" if most < free else told
    return PlantError(f"{cable.name} can serve {most} of the {wanted} drops asked for", hint=hint)


def _reasons(
    tubes: Sequence[Survey],
    fibres: dict[int, tuple[int, ...]],
    keep: int,
    reserve: int,
    cost: dict[str, int],
    best: Proposal | None,
) -> tuple[str, ...]:
    said: list[str] = []
    by_number = {found.tube: found for found in tubes}
    total = sum(len(taken) for taken in fibres.values())
    opened, live = cost["tubes opened"], cost["live fibres beside the work"]
    said.append(
        f"{count_of(total, 'drop')} served with {count_of(opened, 'tube')} newly opened; "
        + ("no live fibre lies in a tube worked on" if not live else _beside(live, tubes, best, opened))
    )
    for tube, taken in fibres.items():
        found = by_number[tube]
        state = "is open already" if found.opened else "is opened"
        rest = len(found.free) - len(taken)
        ends = {found.ports[f].panel for f in taken}
        panels = ", ".join(sorted(ends)[:MOST_NAMED]) + (" and others" if len(ends) > MOST_NAMED else "")
        numbers = to_text(sorted(found.ports[f].number for f in taken))
        said.append(
            f"tube {tube} {state}: {count_of(len(taken), 'fibre')} {to_text(taken)} of {len(found.free)} dark ones, "
            f"whole to {panels} {'port' if len(taken) == 1 else 'ports'} {numbers}; "
            f"{count_of(rest, 'dark fibre')} kept" + (f", live beside it {to_text(found.live)}" if found.live else "")
        )
    if keep < reserve:
        short = [str(t) for t, taken in fibres.items() if len(by_number[t].free) - len(taken) < reserve]
        said.append(f"the reserve of {reserve} is used in tube {', '.join(short)}")
    elif reserve:
        said.append(f"every tube taken from keeps {count_of(reserve, 'dark fibre')} or more")
    # ``cover.choose`` proves it: nothing better is overlooked by its recursion.
    said.append("no choice of fibres costs less, counted in this order: " + ", ".join(cost))
    return tuple(said)


def _beside(live: int, tubes: Sequence[Survey], best: Proposal | None, opened: int) -> str:
    """Why live fibres lie beside the work."""
    words = f"{count_of(live, 'live fibre')} in the tubes worked on"
    if best is not None:
        fewer = dict(best.cost)["tubes opened"] - opened
        return f"{words}: that is the price of opening {count_of(fewer, 'tube')} fewer; an outage has to be approved"
    safe = sum(len(found.free) for found in tubes if not found.live)
    return (
        f"{words}, which cannot be avoided: tubes without a live fibre have only {count_of(safe, 'dark fibre')}; "
        "an outage has to be approved"
    )


def _edits(
    plant: Plant,
    cable: Cable,
    kind: CableType,
    stop: Stop,
    wanted: Sequence[GlassEnd],
    fibres: dict[int, tuple[int, ...]],
    redraw: bool,
) -> tuple[tuple[Edit, ...], tuple[str, ...]]:
    """(edits that cut, join, store and draw, sentences on the trays)."""
    flat = tuple(fibre for taken in fibres.values() for fibre in taken)
    end_of = dict(zip(flat, wanted, strict=True))
    cut = {f for work in stop.tubes for f in (fibres_of(kind, work.tube) if work.state == "cut" else work.cut)}
    fresh = tuple(fibre for fibre in flat if fibre not in cut)
    cid, sid = CableId(cable.id), StopId(stop.id)
    edits: list[Edit] = [CutFibres(cid, sid, fresh, f"cut {cable.name}:{to_text(fresh)}")] if fresh else []
    said: list[str] = []
    free_rooms = rooms(plant, stop.site)
    drawn = drawn_to(plant, stop.site)
    for tube, taken in fibres.items():
        new = tuple(f for f in taken if f in fresh)
        worked = any(work.tube == tube for work in stop.tubes)
        loops = () if worked else tuple(f for f in fibres_of(kind, tube) if f not in taken)
        courses = {drawn[end] for f in taken if isinstance(end := end_of[f], FibreEnd) and end in drawn}
        room, stubs_too = _room_for(plant, stop, tube, taken, new, loops, free_rooms, kind, courses)
        pairs: tuple[tuple[GlassEnd, GlassEnd], ...] = tuple((near_end(cable, stop, f), end_of[f]) for f in taken)
        tray = room.tray if room else None
        edits.append(Join(stop.site, pairs, tray, name=f"join {cable.name}:{to_text(taken)}"))
        if loops:
            edits.append(Store(cid, sid, loops, "", tray, name=f"store {cable.name}:{to_text(loops)}"))
        if new:
            where = tray if stubs_too else None
            edits.append(Store(cid, sid, new, ">", where, name=f"store {cable.name}:{to_text(new)}>"))
        if room:
            room.take(len(taken), len(loops) + (len(new) if stubs_too else 0))
            said.append(
                f"tube {tube} goes to tray {room.name}: {count_of(len(taken), 'joint')}, "
                f"{count_of(len(loops), 'loop-through fibre')}, "
                + (f"{count_of(len(new), 'stub')}" if stubs_too else f"its {count_of(len(new), 'stub')} in the bay")
                + f"; {count_of(room.slots, 'free slot')} left beside the reserve"
            )
            astray = sum(
                drawn.get(end, room.tray) != room.tray for f in taken if isinstance(end := end_of[f], FibreEnd)
            )
            if astray:
                said.append(
                    f"{count_of(astray, 'drop')} of tube {tube} drawn to another tray: draft their courses anew"
                )
    if redraw:
        courses_anew, words = redrawn(plant, stop.site, stop.id, edits)
        edits += courses_anew
        said += words
    applied(plant, edits)
    return tuple(edits), tuple(said)


def _room_for(
    plant: Plant,
    stop: Stop,
    tube: int,
    taken: Sequence[int],
    new: Sequence[int],
    loops: Sequence[int],
    free: Sequence[Room],
    kind: CableType,
    courses: Collection[TrayId],
) -> tuple[Room | None, bool]:
    """(tray for a tube's joints and glass, whether its field-side stubs lie there too); None where there is no tray."""
    if not free:
        return None, False
    own = _tray_of(plant, stop, fibres_of(kind, tube))
    ordered = sorted(free, key=lambda room: (room.tray != own, room.tray not in courses))
    for stubs in (len(new), 0):
        for room in ordered:
            if room.fits(len(taken), len(loops) + stubs):
                return room, stubs == len(new)
    best = max(free, key=lambda room: (room.slots, room.stored))
    raise PlantError(
        f"no tray has room for tube {tube}: {count_of(len(taken), 'joint')} and "
        f"{count_of(len(loops), 'loop-through fibre')}",
        hint=f"Tray {best.name} takes {count_of(best.slots, 'more joint')} and {count_of(best.stored, 'fibre')} "
        "in all; add a tray",
    )


def _tray_of(plant: Plant, stop: Stop, fibres: range) -> TrayId | None:
    """The tray a tube that is open already lies on."""
    for record in stop.stored:
        if record.tray is not None and set(record.fibres) & set(fibres):
            return record.tray
    for splice in sorted(plant.splices.values(), key=lambda s: s.id):
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and end.stop == stop.id and end.fibre in fibres and splice.tray:
                return splice.tray
    return None
