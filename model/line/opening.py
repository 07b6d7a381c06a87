"""The steps that open, keep and cut: what a line does to tubes and fibres at a stop where the sheath passes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from model.changes import Draft
from model.edits.cutting import CutFibres, CutTubes, KeepTubes, OpenTubes, put_stop
from model.edits.joining import Store
from model.entities import Cable, Side, Stop
from model.errors import EditError
from model.ids import CableId, SiteId, StopId, TrayId
from model.line.context import Bench, Chip, FreshCut, Made
from model.line.faults import Fix, LineError, Span
from model.line.names import quoted
from model.line.picks import LegPick, Pick, Picked
from model.line.places import place, stop_index
from model.line.resolve import glass, thinned
from model.line.syntax import Glass, Step
from model.line.trays import any_tray, said_tray
from model.line.wording import plain, plural, runs, short
from model.lookup import cut_fibres, fibres_of, passes, tube_of, work_on
from model.parts import CableType


@dataclass(frozen=True, slots=True)
class SetOutage:
    """Write at a stop under which approved outage live glass may be cut there."""

    cable: CableId
    stop: StopId
    outage: str
    name: str = "name the outage"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if there is no such stop."""
        cable = draft.plant.cables.get(self.cable)
        index = next((i for i, s in enumerate(cable.stops) if s.id == self.stop), None) if cable else None
        if cable is None or index is None:
            raise EditError(f"{self.cable!r} has no stop {self.stop!r}", hint="It may have been removed")
        put_stop(draft, cable, index, replace(cable.stops[index], outage=self.outage))


def by_cable(bench: Bench, picks: Sequence[Picked]) -> list[tuple[Cable, CableType, list[Pick]]]:
    """Fibre picks cable by cable. Raises LineError for a splitter's leg, which is no tube or fibre of a cable."""
    found: dict[CableId, list[Pick]] = {}
    for pick in picks:
        if isinstance(pick, LegPick):
            raise LineError("a splitter's leg cannot be cut or stored", pick.span, hint="Name fibres of a cable")
        found.setdefault(pick.cable, []).append(pick)
    plant = bench.plant
    return [(plant.cables[key], plant.cable_types[plant.cables[key].type], run) for key, run in found.items()]


def whole_tubes(kind: CableType, picks: Iterable[Pick]) -> tuple[int, ...]:
    """Tubes that were said as tubes and of which every fibre is picked."""
    fibres = {p.fibre for p in picks}
    said = dict.fromkeys(p.tube for p in picks if p.tube)
    return tuple(t for t in said if t and set(fibres_of(kind, t)) <= fibres)


def _passing(bench: Bench, cable: Cable, run: Sequence[Pick], site: SiteId, verb: str) -> Stop:
    index = stop_index(bench, run[0], site)
    if not passes(cable, index):
        name = bench.plant.sites[site].name
        raise LineError(
            f"{cable.name} ends at {name}: there is nothing to {verb}",
            run[0].span,
            hint="Every fibre of it is an end already",
        )
    return cable.stops[index]


def open_or_keep(bench: Bench, step: Step) -> Made:
    """``open`` and ``keep``: whole tubes only. Raises LineError."""
    verb = step.verb.text
    picks = glass(bench, step.what)
    site = place(bench, step, picks, passing=True)
    made = Made(f"{verb} {short(bench.plant, picks)}")
    total = fresh = 0
    for cable, kind, run in by_cable(bench, picks):
        stop = _passing(bench, cable, run, site, verb)
        fibres = {p.fibre for p in run}
        tubes = tuple(dict.fromkeys(tube_of(kind, p.fibre)[0] for p in run))
        part = [p for p in run if not set(fibres_of(kind, tube_of(kind, p.fibre)[0])) <= fibres]
        if part:
            tube = tube_of(kind, part[0].fibre)[0]
            raise LineError(
                f"{verb} takes whole tubes, not fibre{'s' * (len(part) != 1)} {runs(p.fibre for p in part)}",
                part[0].span,
                nearest=f"{quoted(cable.name)}:T{tube}",
                fixes=(Fix(part[0].span, f"T{tube}"),),
            )
        total += len(tubes)
        if verb == "open":
            fresh += sum(work_on(stop, t) is None for t in tubes)
            bench.do(made, OpenTubes(cable.id, stop.id, tubes, name=made.name))
        else:
            _refuse_cut(step, cable, kind, stop, run)
            fresh += sum(work_on(stop, t) is not None for t in tubes)
            bench.do(made, KeepTubes(cable.id, stop.id, tubes, name=made.name))
    words = (
        f"open {plural(total, 'tube')}, cut nothing" if verb == "open" else f"let {plural(total, 'tube')} pass uncut"
    )
    made.chips = [
        Chip("do", words, step.verb.span),
        Chip("what", short(bench.plant, picks), step.what_span),
        Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span),
    ]
    if not fresh:
        made.chips.append(Chip("note", "already so, nothing to change", step.span))
    return made


def without(step: Step, span: Span) -> tuple[Fix, ...]:
    """The fix that leaves out the piece whose range stands at ``span``; none if it is the only one."""
    pieces = [p for p in step.what if isinstance(p, Glass)]
    index = next((i for i, p in enumerate(pieces) if p.part and p.part.span == span), 0)
    if index:
        return (Fix(Span(pieces[index - 1].span.end, pieces[index].span.end - pieces[index - 1].span.end), ""),)
    if len(pieces) > 1 and pieces[1].name is None:
        return (Fix(Span(span.column, pieces[1].span.column - span.column), ""),)
    return ()


def _refuse_cut(step: Step, cable: Cable, kind: CableType, stop: Stop, run: Sequence[Pick]) -> None:
    cut = cut_fibres(kind, stop)
    here = [p for p in run if p.fibre in cut]
    if here:
        tube = tube_of(kind, here[0].fibre)[0]
        whole = [t for t in dict.fromkeys(p.tube for p in run) if t and not cut & set(fibres_of(kind, t))]
        numbers = runs(p.fibre for p in here if tube_of(kind, p.fibre)[0] == tube)
        rest = [t for t in whole if any(p.span == here[0].span and p.tube == t for p in run)]
        text = ",".join(f"T{t}" for t in rest)
        raise LineError(
            f"fibre{'s' * ('-' in numbers or ',' in numbers)} {numbers} of tube {tube} of {cable.name} "
            f"{'are' if '-' in numbers or ',' in numbers else 'is'} cut here",
            here[0].span,
            nearest=f"{quoted(cable.name)}:{text}" if text else "",
            hint="" if text else "Leave this tube out",
            fixes=(Fix(here[0].span, text),) if text else without(step, here[0].span),
        )


def cut_here(bench: Bench, made: Made, cable: Cable, kind: CableType, stop: Stop, run: Sequence[Pick]) -> list[int]:
    """Cut what is not cut yet of a run of picks; whole tubes where whole tubes were said. Fibres freshly cut."""
    done = cut_fibres(kind, stop)
    fresh = [f for f in dict.fromkeys(p.fibre for p in run) if f not in done]
    if not fresh:
        return []
    tubes = tuple(t for t in whole_tubes(kind, run) if set(fibres_of(kind, t)) & set(fresh))
    in_tubes = {f for t in tubes for f in fibres_of(kind, t)}
    if tubes:
        bench.do(made, CutTubes(cable.id, stop.id, tubes, name=f"cut {cable.name}"))
    rest = tuple(f for f in fresh if f not in in_tubes)
    if rest:
        bench.do(made, CutFibres(cable.id, stop.id, rest, name=f"cut {cable.name}"))
    made.cuts += [FreshCut(cable.id, stop.id, f) for f in fresh]
    made.outage_at.append((cable.id, stop.id))
    return fresh


def cut(bench: Bench, step: Step) -> Made:
    """``cut``: the field side becomes stubs; with ``both``, both sides are stored as spare. Raises LineError."""
    picks = thinned(bench, glass(bench, step.what), step.thin)
    site = place(bench, step, picks, passing=True)
    made = Made(f"cut {short(bench.plant, picks)}{' both' if step.both else ''}")
    tray = said_tray(bench, step, site) if step.on else any_tray(bench, site)
    sides: tuple[Side, ...] = ("<", ">") if step.both else (">",)
    if step.both and tray is None and step.on is None and bench.trays_at(site):
        tray = said_tray(bench, step, site)
    count = 0
    places: set[TrayId | None] = set()
    for cable, kind, run in by_cable(bench, picks):
        if any(p.side for p in run):
            raise LineError("a cut has no side", run[0].span, hint="Leave out < and >: both ends appear")
        stop = _passing(bench, cable, run, site, "cut")
        held = _looped_on(stop)
        fresh = cut_here(bench, made, cable, kind, stop, run)
        count += len(fresh)
        for side in sides:
            _store_cut(bench, made, cable, stop, fresh, side, tray.id if tray else None, held, places)
    where = ", ".join(sorted(f"tray {bench.plant.trays[t].name}" if t else "the bay" for t in places))
    made.chips = [
        Chip("do", f"cut {plural(count, 'fibre')}" if count else "cut nothing", step.verb.span),
        Chip("what", plain(bench.plant, picks), step.what_span),
        Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span),
    ]
    if count:
        words = "both sides become spare" if step.both else "field side becomes stubs"
        made.chips.append(
            Chip("then", f"{words} on {where}" if where else f"{words}, no place said", (step.both or step.verb).span)
        )
    already = len(picks) - count
    if already:
        words = "all cut already, nothing to change" if not count else f"{already} cut already"
        made.chips.append(Chip("note", words, step.span))
    return made


def _looped_on(stop: Stop) -> dict[int, TrayId | None]:
    """Where the uncut fibres of a stop lie now."""
    return {fibre: record.tray for record in stop.stored if record.side == "" for fibre in record.fibres}


def _store_cut(
    bench: Bench,
    made: Made,
    cable: Cable,
    stop: Stop,
    fresh: Sequence[int],
    side: Side,
    tray: TrayId | None,
    held: dict[int, TrayId | None],
    places: set[TrayId | None],
) -> None:
    """Stubs stay where the uncut loop lay, unless a tray was said or is the only one."""
    by_tray: dict[TrayId | None, list[int]] = {}
    for fibre in fresh:
        if tray is not None:
            by_tray.setdefault(tray, []).append(fibre)
        elif fibre in held:
            by_tray.setdefault(held[fibre], []).append(fibre)
    for where, fibres in by_tray.items():
        places.add(where)
        bench.do(made, Store(cable.id, stop.id, tuple(fibres), side, where, name=f"store {cable.name}"))
