"""Which tray and slot each joint of a site should have: groups kept apart, fewest crossings, the reserve kept.

Joints that are only planned move; those made stay where they are. The left end of a joint is the one nearer the
exchange, as on the schematic. How the order is found, and when it is proved best, is told in ``order``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import ceil
from typing import Literal

from model.edits.parts import Replace
from model.entities import FibreEnd, GlassEnd, LegEnd, Splice, Tray
from model.errors import PlantError
from model.graph import Continuity, end_node
from model.history import Edit
from model.layout import tray_load
from model.lookup import cable_type, enclosure_at, passes, stops_at, tray_type, trays_of, tube_of
from model.planning.laying import Place, Solver
from model.planning.order import Fixed, Item, Layout, crossings, least_crossings
from model.planning.proposal import Proposal, count_of
from model.planning.redraw import drawn_to
from model.planning.room import KEPT, rooms
from model.plant import Plant
from model.trace import services_by_node

By = Literal["tube", "service", "side", "none"]
"""What a tray should hold one of: a tube's joints, a customer's, those of one side of a passing cable, or anything."""

NAMES = ("groups that share a tray", "crossings", "trays used", "joints moved")


def fill_trays(
    continuity: Continuity,
    site: str,
    by: By = "tube",
    *,
    groups: Mapping[str, str] | None = None,
    kept: float = KEPT,
    keep_drawn: bool = True,
) -> tuple[Proposal, ...]:
    """Proposals for the places of the planned joints at a site, the best first; none where they lie best already.

    ``by`` says which joints form a group; ``groups`` (splice id to group) overrules it. ``kept`` is the share of each
    tray's slots left free, 0 to 1. With ``keep_drawn`` a joint stays on the tray its glass is drawn to. Raises
    PlantError where there is no tray, or not enough room.
    """
    plant = continuity.plant
    if not 0.0 <= kept < 1.0:
        raise PlantError(f"a reserve of {kept:g} of the slots", hint="Give a share from 0 to less than 1")
    if site not in plant.sites:
        raise PlantError(f"there is no site {site!r}", hint="Name a site of the plant")
    box = enclosure_at(plant, site)
    trays = trays_of(plant, box.id) if box else []
    if not trays:
        raise PlantError(f"{plant.sites[site].name} has no tray", hint="Add one: add tray TYPE")
    here = [s for s in plant.splices.values() if s.site == site]
    moving = [s for s in here if s.status == "planned"]
    if not moving:
        return ()
    staying = [s for s in here if s.status != "planned" and s.tray is not None and s.slot is not None]
    places = _places(plant, trays, moving, kept, site)
    if len(places) < len(moving):
        raise PlantError(
            f"the trays of {plant.sites[site].name} take {len(places)} joints with the reserve kept, "
            f"{len(moving)} are planned",
            hint="Add a tray, or keep less free",
        )
    ranks = _ranks(plant, site, here)
    named = dict(groups or {})
    words: dict[str, str] = {s.id: named.get(s.id) or _group(continuity, s, by) for s in here}
    bound = _bound(plant, site, moving) if keep_drawn else {}
    made: list[Proposal] = []
    now = _now(moving, staying, ranks, words, trays)
    fits = all(sum(s.tray == t.id for s in moving) <= sum(p.tray.id == t.id for p in places) for t in trays)
    for apart in (True, False):
        solved = Solver(moving, staying, places, trays, ranks, words if apart else {}, bound).solve()
        if solved is None:
            continue
        items, fixed, layout = solved
        edits = _moves(moving, places, layout)
        if apart and (not edits or (fits and now is not None and now <= layout.cost[:2])):
            return ()
        if not apart and (not edits or not made or layout.cost[1] >= dict(made[0].cost)["crossings"]):
            continue
        cost = tuple(zip(NAMES, layout.cost, strict=True))
        reasons = _reasons(items, fixed, places, trays, layout, now, kept, apart, bound)
        left = _left_alone(trays, places, layout, staying)
        title = f"lay {count_of(len(moving), 'joint')} on the trays of {plant.sites[site].name}"
        made.append(Proposal(title if apart else f"{title}, groups mixed", edits, cost, reasons, left))
    return tuple(made)


def _bound(plant: Plant, site: str, moving: list[Splice]) -> dict[str, str]:
    """The tray of each joint whose glass is drawn to one; where its two ends disagree, the tray it is on."""
    drawn = drawn_to(plant, site)
    found: dict[str, str] = {}
    for splice in moving:
        trays = {drawn[end] for end in (splice.a, splice.b) if isinstance(end, FibreEnd) and end in drawn}
        if len(trays) == 1:
            found[splice.id] = trays.pop()
        elif trays and splice.tray is not None:
            found[splice.id] = splice.tray
    return found


def _places(plant: Plant, trays: list[Tray], moving: list[Splice], kept: float, site: str) -> list[Place]:
    """Every place a planned joint may take, tray by tray from slot 1, the reserve left out."""
    ids = {s.id for s in moving}
    lifted = Plant([e for e in plant.entities() if not (isinstance(e, Splice) and e.id in ids)])
    room = {r.tray: r for r in rooms(lifted, site, kept)}
    found: list[Place] = []
    for tray in trays:
        kind = tray_type(plant, tray)
        held = tray_load(lifted, tray).slots
        free = [slot for slot in range(1, kind.slots + 1) for _ in range(kind.per_slot - len(held.get(slot, ())))]
        most = max(0, min(room[tray.id].slots, room[tray.id].stored))
        found += [Place(tray, slot) for slot in free[:most]]
    return found


def sides_of(splice: Splice) -> tuple[GlassEnd, GlassEnd]:
    """(left end, right end): of two ends the one nearer the exchange is left, the first of equals."""
    return (splice.b, splice.a) if _depth(splice.b) < _depth(splice.a) else (splice.a, splice.b)


def _depth(end: GlassEnd) -> int:
    if isinstance(end, LegEnd):
        return 1 if end.role == "out" else 2
    return 0 if end.side == "<" else 3


def _ranks(plant: Plant, site: str, splices: list[Splice]) -> dict[str, tuple[int, int]]:
    """(place of the left end, place of the right end) of every joint, as the schematic lists them from the top."""
    through = {cable.id for cable, index, _ in stops_at(plant, site) if passes(cable, index)}

    def key(end: GlassEnd) -> tuple[int, bool, str, str, int]:
        if isinstance(end, FibreEnd):
            cable = plant.cables[end.cable]
            return _depth(end), cable.id not in through, cable.name, cable.id, end.fibre
        return _depth(end), False, plant.splitters[end.splitter].name, end.splitter, end.number

    lefts = {k: n for n, k in enumerate(sorted({key(sides_of(s)[0]) for s in splices}))}
    rights = {k: n for n, k in enumerate(sorted({key(sides_of(s)[1]) for s in splices}))}
    return {s.id: (lefts[key(sides_of(s)[0])], rights[key(sides_of(s)[1])]) for s in splices}


def _group(continuity: Continuity, splice: Splice, by: By) -> str:
    """The group of a joint in words."""
    plant = continuity.plant
    left, right = sides_of(splice)
    if by == "none":
        return "all"
    if by == "service":
        ids = services_by_node(continuity).get(end_node(left), ())
        names = sorted({plant.services[key].customer or plant.services[key].name for key in ids})
        return ", ".join(names[:3]) + (" and others" if len(names) > 3 else "") if names else "dark"
    if by == "side":
        cut = {end.side for end in (left, right) if isinstance(end, FibreEnd) and _cut_here(plant, end)}
        return {"<": "exchange side", ">": "field side", "<>": "through"}.get("".join(sorted(cut)), "ending cables")
    if isinstance(left, FibreEnd):
        cable = plant.cables[left.cable]
        return f"{cable.name} tube {tube_of(cable_type(plant, cable), left.fibre)[0]}"
    return plant.splitters[left.splitter].name


def _cut_here(plant: Plant, end: FibreEnd) -> bool:
    cable = plant.cables[end.cable]
    return any(stop.id == end.stop and passes(cable, index) for index, stop in enumerate(cable.stops))


def _now(
    moving: list[Splice],
    staying: list[Splice],
    ranks: dict[str, tuple[int, int]],
    words: dict[str, str],
    trays: list[Tray],
) -> tuple[int, int] | None:
    """(groups sharing a tray, crossings) as the joints lie now; None while one has no slot."""
    at = {tray.id: n for n, tray in enumerate(trays)}
    everything = [*moving, *staying]
    if any(s.tray not in at or s.slot is None for s in everything):
        return None
    ordered = sorted(everything, key=lambda s: (at[s.tray], s.slot, s.id))  # type: ignore[index]
    on: dict[str, set[str]] = {}
    for s in everything:
        on.setdefault(s.tray or "", set()).add(words[s.id])
    stays: dict[str, set[str]] = {}
    for s in staying:
        stays.setdefault(s.tray or "", set()).add(words[s.id])
    held = {s.tray or "" for s in moving}
    shared = sum(len(on[tray]) - max(1, len(stays.get(tray, ()))) for tray in held)
    still = {s.id for s in staying}
    lines = [Item(s.id, *ranks[s.id], "") for s in ordered]
    return shared, crossings(lines) - crossings([line for line in lines if line.key in still])


def _moves(moving: list[Splice], places: list[Place], layout: Layout) -> tuple[Edit, ...]:
    edits: list[Edit] = []
    for splice in sorted(moving, key=lambda s: layout.place[s.id]):
        place = places[layout.place[splice.id]]
        if (splice.tray, splice.slot) != (place.tray.id, place.slot):
            edits.append(Replace(replace(splice, tray=place.tray.id, slot=place.slot), "move joint"))
    return tuple(edits)


def _reasons(
    items: list[Item],
    fixed: list[Fixed],
    places: list[Place],
    trays: list[Tray],
    layout: Layout,
    now: tuple[int, int] | None,
    kept: float,
    apart: bool,
    bound: Mapping[str, str],
) -> tuple[str, ...]:
    shared, crossed, used, moved = layout.cost
    least = least_crossings([*items, *fixed]) - least_crossings(fixed)
    said = [
        f"{count_of(len(items), 'joint')} on {count_of(used, 'tray')}, {count_of(moved, 'joint')} moved: "
        f"{count_of(crossed, 'crossing')}" + (f", {now[1]} as they lie now" if now is not None else "")
    ]
    if crossed == least:
        said.append(f"no order of slots has fewer: the ends of {count_of(least, 'pair')} stand in opposite order")
    elif layout.every_order and not fixed:
        said.append(f"every order of the groups was looked at; with the groups mixed {least} would do")
    else:
        said.append(f"no order of slots has fewer than {least}; between that and {crossed} nothing is proved")
    if apart:
        by_group: dict[str, set[str]] = {}
        for item in items:
            by_group.setdefault(item.group, set()).add(places[layout.place[item.key]].tray.name)
        order = sorted(by_group, key=lambda g: min(layout.place[i.key] for i in items if i.group == g))
        for group in order:
            names = [t.name for t in trays if t.name in by_group[group]]
            joints = sum(item.group == group for item in items)
            said.append(f"{group}: {count_of(joints, 'joint')} on tray {', '.join(names)}")
        if shared:
            said.append(
                f"{count_of(shared, 'group')} share{'s' * (shared == 1)} a tray: there are too few to keep all apart"
            )
    else:
        said.append("the groups are mixed for the sake of fewer crossings")
    if bound:
        said.append(f"{count_of(len(bound), 'joint')} kept on the tray the glass is drawn to")
    said.append(f"{ceil(kept * 100)} % of the slots of every tray stay free")
    return tuple(said)


def _left_alone(trays: list[Tray], places: list[Place], layout: Layout, staying: list[Splice]) -> tuple[str, ...]:
    used = {places[n].tray.id for n in layout.place.values()}
    said = []
    for tray in trays:
        made = sum(s.tray == tray.id for s in staying)
        if tray.id not in used:
            said.append(
                f"tray {tray.name} is left alone: "
                + (f"{count_of(made, 'joint')} made already" if made else "not needed")
            )
        elif made:
            said.append(f"on tray {tray.name} {count_of(made, 'joint')} made already stay where they are")
    return tuple(said)
