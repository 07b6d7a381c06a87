"""The steps that take joints apart and put things elsewhere: ``part`` and ``put``."""

from __future__ import annotations

from collections.abc import Sequence

from model.edits.cutting import used_ends
from model.edits.joining import MoveSplices, Part, Store
from model.entities import Cable, FibreEnd, Mating, Side, Stop, Tray
from model.ids import SpliceId, TrayId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError, Span
from model.line.names import quoted
from model.line.opening import by_cable
from model.line.patching import length_said
from model.line.picks import Pick
from model.line.places import place, stop_index
from model.line.ports import all_ports
from model.line.pulling import apart_words, out_of_ports, plugs_on, pull
from model.line.resolve import glass, thinned
from model.line.ribbons import MoveSleeves
from model.line.said_joints import joints_in, joints_of, joints_said, place_of_joints, trays_of_joints, trays_said
from model.line.syntax import OnTray, Step
from model.line.trays import need_slots, said_tray
from model.line.wording import plain, plural, runs, short
from model.lookup import cut_fibres, passes, tube_of, work_on
from model.parts import CableType


def part(bench: Bench, step: Step) -> Made:
    """``part``: joints of the fibres said at this place, or of the slots said. The ends become stubs."""
    ports = all_ports(bench, step.what, step.at)
    if ports:
        return out_of_ports(bench, step, ports)
    plugged: dict[int, list[Mating]] = {}
    if trays_said(step.what):
        site, splices, words = joints_said(bench, step)
    else:
        picks = thinned(bench, glass(bench, step.what), step.thin)
        site = place_of_joints(bench, step, picks)
        plugged = plugs_on(bench, picks, site)
        splices, words = joints_of(bench, step, picks, site, set(plugged)), short(bench.plant, picks)
    made = Made(f"part {words}", apart=splices)
    if plugged:
        pull(bench, made, list({m.id: m for found in plugged.values() for m in found}.values()))
    if splices:
        bench.do(made, Part(tuple(s.id for s in splices), name=made.name))
    for splice in made.apart:
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and splice.tray is not None:
                made.outage_at.append((end.cable, end.stop))
    _store_ends(bench, made)
    made.outage_at = list(dict.fromkeys(made.outage_at))
    made.chips = [
        Chip("do", apart_words(made), step.verb.span),
        Chip("what", words, step.what_span),
        Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span),
        Chip("then", "the ends become stubs where they are", step.span),
    ]
    return made


def _store_ends(bench: Bench, made: Made) -> None:
    """Ends of joints taken apart stay as stubs on the tray where the joint was."""
    found: dict[tuple[str, str, Side, TrayId], list[int]] = {}
    for splice in made.apart:
        for end in (splice.a, splice.b):
            if isinstance(end, FibreEnd) and splice.tray is not None:
                found.setdefault((end.cable, end.stop, end.side, splice.tray), []).append(end.fibre)
    for (cable, stop, side, tray), fibres in found.items():
        bench.do(made, Store(cable, stop, tuple(fibres), side, tray, name="store stubs"))  # type: ignore[arg-type]


def put(bench: Bench, step: Step) -> Made:
    """``put``: joints of a tray to another, or uncut fibres and stubs to a tray or the bay. Raises LineError."""
    trays = trays_said(step.what)
    if trays:
        return _put_joints(bench, step, trays)
    picks = thinned(bench, glass(bench, step.what), step.thin)
    site = place(bench, step, picks)
    if step.first is not None:
        raise LineError("only joints have slots", step.first.span, hint="Leave out from")
    tray = said_tray(bench, step, site)
    made = Made(f"put {short(bench.plant, picks)} on {f'tray {tray.name}' if tray else 'the bay'}")
    loops = stubs = 0
    turns = float(step.turns.text) if step.turns else 0.0
    long_mm = length_said(step.long, "mm") if step.long else None
    place_id = tray.id if tray else None
    used = used_ends(bench.draft)
    for cable, kind, run in by_cable(bench, picks):
        index = stop_index(bench, run[0], site)
        stop = cable.stops[index]
        uncut, ends = _sort(bench, step, cable, kind, index, run, used)
        loops += len(uncut)
        stubs += sum(len(fibres) for fibres in ends.values())
        if uncut:
            bench.do(made, Store(cable.id, stop.id, tuple(uncut), "", place_id, turns, long_mm, name=made.name))
        for side, fibres in ends.items():
            bench.do(made, Store(cable.id, stop.id, tuple(fibres), side, place_id, turns, long_mm, name=made.name))
    what = " and ".join(plural(n, word) for n, word in ((loops, "uncut fibre"), (stubs, "stub")) if n)
    made.chips = [
        Chip("do", f"store {what}", step.verb.span),
        Chip("what", plain(bench.plant, picks), step.what_span),
        Chip("where", f"tray {tray.name}" if tray else "the slack bay", step.on.span if step.on else step.span),
    ]
    if step.turns or step.long:
        said = (f"{turns:g} turns" if step.turns else "", f"{long_mm:g} mm" if long_mm is not None else "")
        made.chips.append(Chip("long", ", ".join(filter(None, said)), (step.turns or step.long or step.verb).span))
    return made


def _sort(
    bench: Bench, step: Step, cable: Cable, kind: CableType, index: int, run: list[Pick], used: dict[FibreEnd, str]
) -> tuple[list[int], dict[Side, list[int]]]:
    """Picks of one cable as uncut fibres of opened tubes and as stubs by side. Raises LineError for anything else."""
    stop = cable.stops[index]
    through = passes(cable, index)
    cut = cut_fibres(kind, stop) if through else frozenset(range(1, kind.fibre_count + 1))
    sides: tuple[Side, ...] = ("<", ">") if through else ((">",) if index == 0 else ("<",))
    uncut: list[int] = []
    ends: dict[Side, list[int]] = {}
    closed: dict[int, None] = {}
    for pick in run:
        if pick.fibre not in cut:
            if pick.side:
                raise LineError(f"{cable.name}:{pick.fibre} is uncut here", pick.span, hint="Leave out < and >")
            tube = tube_of(kind, pick.fibre)[0]
            if work_on(stop, tube) is None:
                closed[tube] = None
            uncut.append(pick.fibre)
            continue
        free = [
            side
            for side in sides
            if pick.side in (None, side) and FibreEnd(cable.id, pick.fibre, stop.id, side) not in used
        ]
        if not free:
            raise _joined(bench, cable, stop, pick, used, step)
        for side in free:
            ends.setdefault(side, []).append(pick.fibre)
    if closed:
        names = ",".join(f"{quoted(cable.name)}:T{t}" if i == 0 else f"T{t}" for i, t in enumerate(closed))
        at = f" at {bench.text[step.at.span.column - 1 : step.at.span.end - 1]}" if step.at else ""
        raise LineError(
            f"tube{'s' * (len(closed) != 1)} {runs(closed)} of {cable.name} {'are' if len(closed) > 1 else 'is'} "
            "not opened here",
            run[0].span,
            hint=f"Open it first: open {names}",
            fixes=(Fix(Span(step.span.column, 0), f"open {names}{at}; "),),
        )
    return list(dict.fromkeys(uncut)), {side: list(dict.fromkeys(fibres)) for side, fibres in ends.items()}


def _joined(bench: Bench, cable: Cable, stop: Stop, pick: Pick, used: dict[FibreEnd, str], step: Step) -> LineError:
    """The end is in a joint: it moves with its sleeve."""
    splices = bench.plant.splices
    held = [used.get(FibreEnd(cable.id, pick.fibre, stop.id, side), "") for side in ("<", ">")]
    splice = next((splices[SpliceId(key)] for key in held if key in splices), None)
    near = ""
    if splice is not None and splice.tray is not None and splice.slot is not None:
        near = f"tray {quoted(bench.plant.trays[splice.tray].name)} {splice.slot}"
    return LineError(
        f"{cable.name}:{pick.fibre} is joined here and moves with its joint",
        pick.span,
        nearest=near,
        hint="" if near else "Name stubs or uncut fibres",
        fixes=(Fix(step.what_span, near),) if near else (),
    )


def _put_joints(bench: Bench, step: Step, pieces: list[OnTray]) -> Made:
    place_said = bench.context.place
    held = joints_in(bench, pieces, place_said)
    site = bench.plant.enclosures[held[0][0].enclosure].site
    tray = said_tray(bench, step, site) if step.on else None
    if tray is None:
        at = step.on.span if step.on else Span(step.span.end, 0)
        others = bench.trays_at(site)
        raise LineError(
            "on which tray?",
            at,
            nearest=", ".join(f"on tray {quoted(t.name)}" for t in others[:3]),
            fixes=tuple(Fix(at, f"{'' if step.on else ' '}on tray {quoted(t.name)}") for t in others),
            incomplete=step.on is None and at.column > len(bench.text.rstrip()),
        )
    groups = tuple(tuple(s.id for s in group) for _, _, group in held)
    said = ", ".join(f"tray {t.name} {runs(s for u, s, _ in held if u is t)}" for t in trays_of_joints(held))
    made = Made(f"put {said} on tray {tray.name}")
    first = int(step.first.text) if step.first else 1
    staying = [s for t, s, _ in held if t.id == tray.id]
    if not staying:
        first = need_slots(bench, step, site, tray, len(groups))[0]
    ribbon = any(s.method == "ribbon" for _, _, group in held for s in group)
    own = [slot for _, slot, _ in held]
    if _whole(pieces) and step.first is None and not staying and set(own) <= set(empty_slots(bench, tray)):
        # A whole tray keeps its order and its gaps where the other one is free there.
        for group, slot in zip(groups, own, strict=True):
            bench.do(made, MoveSleeves((group,), tray.id, slot, name=made.name))
    elif ribbon:
        bench.do(made, MoveSleeves(groups, tray.id, first, name=made.name))
    else:
        bench.do(made, MoveSplices(tuple(key for group in groups for key in group), tray.id, first, name=made.name))
    made.joints = [key for group in groups for key in group]
    slots = [bench.plant.splices[SpliceId(group[0])].slot or 0 for group in groups]
    made.chips = [
        Chip("do", f"move {plural(len(groups), 'joint')}", step.verb.span),
        Chip("from", said, step.what_span),
        Chip("to", f"tray {tray.name}, slot{'s' * (len(slots) != 1)} {runs(slots)}", at_or(step)),
    ]
    return made


def _whole(pieces: Sequence[OnTray]) -> bool:
    return len(pieces) == 1 and (pieces[0].slots is None or pieces[0].slots.text.lower() == "all")


def empty_slots(bench: Bench, tray: Tray) -> list[int]:
    """Slots of a tray that hold nothing."""
    used = {splice.slot for splice in bench.plant.splices.values() if splice.tray == tray.id}
    return [slot for slot in range(1, bench.plant.tray_types[tray.type].slots + 1) if slot not in used]


def at_or(step: Step) -> Span:
    """Where ``on`` stands, else the whole step."""
    return step.on.span if step.on else step.span
