"""The step that joins: pairs of ends, cutting first where needed, in the first free slots of a tray."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

from model.edits.joining import Join, Store, splice_id
from model.entities import FibreEnd, GlassEnd, Side, Tray
from model.ids import SiteId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError, Span
from model.line.opening import cut_here
from model.line.picks import Joined, LegPick, Pick, Picked
from model.line.places import place, stop_index
from model.line.resolve import glass, thinned
from model.line.ribbons import JoinRibbons, Pair
from model.line.syntax import Step
from model.line.trays import need_slots, said_tray
from model.line.wording import plain, plural, runs, short, typed
from model.lookup import passes

PLANNED_DB = 0.10
"""Planned loss of a joint, dB, as ``model.edits.joining.Join`` has it."""


def join(bench: Bench, step: Step) -> Made:
    """``join``. Raises LineError with the piece at fault and what would work."""
    left = thinned(bench, glass(bench, step.what), step.thin)
    right = thinned(bench, glass(bench, step.to), step.to_thin)
    _same_count(bench, step, left, right)
    return join_picks(bench, step, left, right, place(bench, step, [*left, *right]))


def ends_of(bench: Bench, picks: Sequence[Picked], site: SiteId, side: Side) -> list[GlassEnd]:
    """The ends of glass picks mean at a site; ``side`` where the sheath passes and none is said. Raises LineError."""
    return [end_of(bench, pick, site, side) for pick in picks]


def join_picks(
    bench: Bench, step: Step, left: list[Picked], right: list[Picked], site: SiteId, default: Tray | None = None
) -> Made:
    """Joints of picks that count the same; ``default`` is the tray where the step says none. Raises LineError."""
    groups = _ribbons(bench, step, left, right)
    a_ends, b_ends = ends_of(bench, left, site, "<"), ends_of(bench, right, site, ">")
    _unused(bench, step, site, left, right, a_ends, b_ends)
    needed = len(groups) if groups else len(left)
    tray = default if default is not None and step.on is None else said_tray(bench, step, site, needed)
    slots = need_slots(bench, step, site, tray, needed) if tray else []
    made = Made(f"join {short(bench.plant, left)} to {short(bench.plant, right)}")
    stubs = _cut_first(bench, made, site, left, right)
    pairs = tuple(zip(a_ends, b_ends, strict=True))
    first = slots[0] if slots else 1
    if groups:
        _fits_ribbons(bench, step, tray)
        cut = [0, *_sums([len(group) for group in groups])]
        grouped = tuple(pairs[a:b] for a, b in pairwise(cut))
        bench.do(made, JoinRibbons(site, grouped, tray.id if tray else None, first, name=made.name))
    else:
        bench.do(made, Join(site, pairs, tray.id if tray else None, first, planned_db=PLANNED_DB, name=made.name))
    made.joints = [splice_id(a) for a, _ in pairs]
    made.joined = Joined(tuple(left), tuple(right), site, bool(groups))
    if tray is not None:
        _store_stubs(bench, made, stubs, pairs, tray)
    _chips(bench, step, made, site, left, right, tray, slots, len(groups))
    return made


def _sums(counts: Sequence[int]) -> list[int]:
    total, found = 0, []
    for count in counts:
        total += count
        found.append(total)
    return found


def _same_count(bench: Bench, step: Step, left: list[Picked], right: list[Picked]) -> None:
    if len(left) == len(right):
        if not left:
            raise LineError("nothing is left to join", step.what_span, hint="Every and skip took all")
        return
    count = min(len(left), len(right))
    span = step.to_span or step.span
    fixes: list[Fix] = []
    plant = bench.plant
    if len(right) > count and not step.to_thin:
        fixes.append(Fix(span, typed(plant, right[:count])))
    if len(left) > count:
        more = _stretched(bench, right, len(left))
        if more and not step.to_thin:
            fixes.append(Fix(span, typed(plant, more)))
        if not step.thin:
            fixes.append(Fix(step.what_span, typed(plant, left[:count])))
    near = fixes[0].text if fixes else ""
    raise LineError(
        f"{plural(len(left), 'fibre')} on the left, {len(right)} on the right",
        span,
        nearest=near,
        hint="" if near else "Both sides must count the same",
        fixes=tuple(fixes),
    )


def _stretched(bench: Bench, picks: list[Picked], count: int) -> list[Picked]:
    """One cable's picks carried on upward to a count; empty where the cable has no more or several are named."""
    fibres = [p for p in picks if isinstance(p, Pick)]
    if not fibres or len(fibres) != len(picks) or len({p.cable for p in fibres}) != 1:
        return []
    last = fibres[-1]
    kind = bench.plant.cable_types[bench.plant.cables[last.cable].type]
    wanted = range(last.fibre + 1, last.fibre + 1 + count - len(fibres))
    if not len(wanted) or wanted[-1] > kind.fibre_count or {p.fibre for p in fibres} & set(wanted):
        return []
    return [*picks, *(Pick(last.cable, n, last.side, last.site, last.span) for n in wanted)]


def end_of(bench: Bench, pick: Picked, site: SiteId, side: Side) -> GlassEnd:
    """The end of glass a pick means at a site; ``side`` is used where the sheath passes and none is said."""
    if isinstance(pick, LegPick):
        return pick.leg
    cable = bench.plant.cables[pick.cable]
    index = stop_index(bench, pick, site)
    if passes(cable, index):
        return FibreEnd(pick.cable, pick.fibre, cable.stops[index].id, pick.side or side)
    only: Side = ">" if index == 0 else "<"
    if pick.side is not None and pick.side != only:
        raise LineError(
            f"{cable.name} ends at {bench.plant.sites[site].name}: it has no "
            f"{'field' if pick.side == '>' else 'exchange'} side there",
            pick.span,
            hint=f"Leave out {pick.side}",
        )
    return FibreEnd(pick.cable, pick.fibre, cable.stops[index].id, only)


def _unused(
    bench: Bench,
    step: Step,
    site: SiteId,
    left: list[Picked],
    right: list[Picked],
    a_ends: list[GlassEnd],
    b_ends: list[GlassEnd],
) -> None:
    """Raises LineError for an end said twice or joined already."""
    seen: dict[GlassEnd, Picked] = {}
    for pick, end in zip([*left, *right], [*a_ends, *b_ends], strict=True):
        if end in seen:
            raise LineError(f"{plain(bench.plant, [pick])} is said twice", pick.span, hint="An end is joined once")
        seen[end] = pick
    plant = bench.plant
    used: dict[GlassEnd, str] = {}
    for splice in plant.splices.values():
        used.update({splice.a: splice.id, splice.b: splice.id})
    for mating in plant.matings.values():
        used[mating.end] = mating.id
    taken = [(pick, end) for end, pick in seen.items() if end in used]
    if not taken:
        return
    first = taken[0][0]
    same = [(pick, end) for pick, end in taken if pick.span == first.span]
    spliced = [(pick, end) for pick, end in taken if used[end] in plant.splices and isinstance(pick, Pick)]
    fixes: tuple[Fix, ...] = ()
    if len(spliced) == len(taken):
        # A fibre joined on the other side too would lose that joint: say the side.
        once = {used[e]: (p, e) for p, e in reversed(spliced)}
        sided = [
            Pick(p.cable, p.fibre, e.side, None, p.span)
            for p, e in reversed(once.values())
            if isinstance(p, Pick) and isinstance(e, FibreEnd)
        ]
        passing = [p for p in sided if passes(plant.cables[p.cable], stop_index(bench, p, site))]
        apart = typed(plant, [p if p in passing else Pick(p.cable, p.fibre, None, None, p.span) for p in sided])
        where = f" at {bench.text[step.at.span.column - 1 : step.at.span.end - 1]}" if step.at else ""
        fixes = (Fix(Span(step.span.column, 0), f"part {apart}{where}; "),)
    said = plain(plant, [pick for pick, _ in same])
    raise LineError(
        f"{said} {'is' if len(same) == 1 else 'are'} joined already",
        first.span,
        hint=f"Take it apart first: {fixes[0].text.rstrip('; ')}" if fixes else "Name ends that are free",
        fixes=fixes,
    )


def _ribbons(bench: Bench, step: Step, left: list[Picked], right: list[Picked]) -> list[list[int]]:
    """Indexes of the pairs of each ribbon joint; empty for single joints. Raises LineError if they differ."""
    if step.singly or not any(isinstance(p, Pick) and p.ribbon for p in [*left, *right]):
        return []

    def key(pick: Picked) -> object:
        return (pick.cable, pick.ribbon) if isinstance(pick, Pick) and pick.ribbon else None

    found = []
    for pair, run in groupby(range(len(left)), key=lambda i: (key(left[i]), key(right[i]))):
        group = list(run)
        whole = all(
            p is not None and sum(key(q) == p for q in side) == len(group)
            for p, side in zip(pair, (left, right), strict=True)
        )
        if not whole:
            at = Span(step.span.end, 0)
            raise LineError(
                "ribbons join to ribbons of the same count",
                (step.to_span or step.span),
                nearest="singly",
                fixes=(Fix(at, " singly"),),
            )
        found.append(group)
    return found


def _fits_ribbons(bench: Bench, step: Step, tray: Tray | None) -> None:
    if tray is not None and bench.plant.tray_types[tray.type].kind != "ribbon":
        raise LineError(
            f"tray {tray.name} takes single sleeves, no ribbon sleeves",
            step.on.span if step.on else Span(step.span.end, 0),
            nearest="singly",
            fixes=(Fix(Span(step.span.end, 0), " singly"),),
        )


def _cut_first(
    bench: Bench, made: Made, site: SiteId, left: list[Picked], right: list[Picked]
) -> list[tuple[Pick, list[int]]]:
    """Cut what passes here uncut. For each cable: one of its picks, and the fibres freshly cut."""
    found = []
    by_cable: dict[str, list[Pick]] = {}
    for pick in [*left, *right]:
        if isinstance(pick, Pick):
            by_cable.setdefault(pick.cable, []).append(pick)
    for run in by_cable.values():
        cable = bench.plant.cables[run[0].cable]
        index = stop_index(bench, run[0], site)
        if passes(cable, index):
            fresh = cut_here(bench, made, cable, bench.plant.cable_types[cable.type], cable.stops[index], run)
            if fresh:
                found.append((run[0], fresh))
    return found


def _store_stubs(
    bench: Bench, made: Made, stubs: list[tuple[Pick, list[int]]], pairs: Sequence[Pair], tray: Tray
) -> None:
    """The other ends of what was cut first lie as stubs on the tray of the joints."""
    joined = {end for pair in pairs for end in pair}
    for pick, fresh in stubs:
        cable = bench.plant.cables[pick.cable]
        site = bench.plant.enclosures[tray.enclosure].site
        stop = cable.stops[stop_index(bench, pick, site)]
        sides: tuple[Side, ...] = ("<", ">")
        for side in sides:
            left = tuple(f for f in fresh if FibreEnd(cable.id, f, stop.id, side) not in joined)
            if left:
                bench.do(made, Store(cable.id, stop.id, left, side, tray.id, name=f"store {cable.name}"))


def _side_word(bench: Bench, ends: list[Picked], site: SiteId, default: Side) -> str:
    """``, A side`` where the sheath passes: the exchange side is A, the field side B."""
    sides = set()
    for pick in ends:
        if isinstance(pick, Pick) and passes(bench.plant.cables[pick.cable], stop_index(bench, pick, site)):
            sides.add(pick.side or default)
    return f", {'A' if '<' in sides else 'B'} side" if len(sides) == 1 else ""


def _chips(
    bench: Bench,
    step: Step,
    made: Made,
    site: SiteId,
    left: list[Picked],
    right: list[Picked],
    tray: Tray | None,
    slots: list[int],
    ribbons: int,
) -> None:
    what = f"make {plural(ribbons, 'ribbon joint')} of {len(left)} fibres" if ribbons else None
    where = f"tray {tray.name}, slot{'s' * (len(slots) != 1)} {runs(slots)}" if tray else "no tray"
    made.chips = [
        Chip("do", what or f"make {plural(len(left), 'joint')}", step.verb.span),
        Chip("from" + _side_word(bench, left, site, "<"), plain(bench.plant, left), step.what_span),
        Chip("to" + _side_word(bench, right, site, ">"), plain(bench.plant, right), step.to_span or step.span),
        Chip("where", where, step.on.span if step.on else step.span),
    ]
    if site != bench.context.place:
        made.chips.append(Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span))
