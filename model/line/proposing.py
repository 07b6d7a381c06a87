"""``plan``: the planner asked from the Line; the best way, or the one taken, is the step's edits, read back with why.

Answers are kept with the state of the plant they belong to, so that typing on does not ask the same twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from model.edits.cutting import CutFibres, CutTubes
from model.edits.joining import Join, splice_id
from model.edits.parts import Replace
from model.entities import FibreEnd, GlassEnd, Splice
from model.errors import PlantError
from model.graph import Continuity
from model.ids import CableId, SiteId
from model.line.context import Bench, Chip, FreshCut, Made
from model.line.faults import Fix, LineError
from model.line.joints import ends_of
from model.line.making import site_said
from model.line.names import quoted
from model.line.picks import Pick
from model.line.places import stop_index
from model.line.questions import Planned, Question
from model.line.resolve import glass, one_id
from model.line.syntax import Ask, Glass, What, Word
from model.line.wording import end_text, plural
from model.lookup import cable_type, cut_fibres, fibres_of, passes, stops_at, tube_of
from model.numbers import from_text
from model.planning import Proposal, fill_trays, open_tubes, tidy_stubs
from model.planning.trays import By

MOST_WHY = 2
"""Reasons told in the read-back; all of them are in the answer."""
BY: dict[str, By] = {"tube": "tube", "service": "service", "side": "side", "crossings": "none"}
KEPT_PERCENT = 10


@dataclass(frozen=True, slots=True)
class _Asked:
    """A question with everything looked up."""

    kind: str
    site: SiteId
    cable: str = ""
    stop: str = ""
    wanted: tuple[GlassEnd, ...] = ()
    ports: tuple[str, ...] = ()
    reserved: tuple[int, ...] = ()
    keep: int = 0
    by: str = "tube"


def plan(bench: Bench, step: Ask) -> Made:
    """``plan``. Raises LineError where the planner finds no way, or there are fewer than the one to be taken."""
    boxes = sorted({SiteId(box.site) for box in bench.plant.enclosures.values()})
    site = SiteId(site_said(bench, step.at, step.span, boxes).id)
    asked = _drops(bench, step, site) if step.kind.text == "drops" else _other(step, site)
    ways = _ways(bench, asked)
    made = Made(f"plan {step.kind.text}")
    question = _question(bench, step, asked)
    if not ways:
        made.plan = Planned(question, (), 0)
        words = "the joints lie best already" if asked.kind == "trays" else "all loose glass has its place"
        made.chips = [Chip("do", "nothing", step.verb.span), Chip("why", words, step.span)]
        return made
    taken = int(step.take.text) if step.take else 1
    if not 1 <= taken <= len(ways):
        span = step.take.span if step.take else step.span
        raise LineError(
            f"there {'is' if len(ways) == 1 else 'are'} {plural(len(ways), 'way')}, not {taken}",
            span,
            nearest=f"take {len(ways)}",
            fixes=(Fix(span, str(len(ways))),),
        )
    way = ways[taken - 1]
    made.name = way.name
    made.plan = Planned(question, ways, taken)
    for edit in way.edits:
        bench.do(made, edit)
    _effects(bench, made)
    if dict(way.cost).get("live fibres beside the work"):
        made.beside = _beside(bench, made)
    made.chips = _chips(step, ways, taken)
    return made


def _other(step: Ask, site: SiteId) -> _Asked:
    keep = int(step.keep.text) if step.keep else KEPT_PERCENT
    if step.keep and not 0 <= keep < 100:
        raise LineError("a reserve is a share of the slots", step.keep.span, hint="Say 0 to 99 %")
    return _Asked(step.kind.text, site, keep=keep, by=step.by.text if step.by else "tube")


def _drops(bench: Bench, step: Ask, site: SiteId) -> _Asked:
    word = step.cable
    assert word is not None  # noqa: S101  # the reader asks for it
    through = [c.name for c, index, _ in stops_at(bench.plant, site) if passes(c, index)]
    cable = one_id(bench, word, "cable", through)
    held = bench.plant.cables[CableId(cable)]
    here = next((stop for c, index, stop in stops_at(bench.plant, site) if c is held and passes(c, index)), None)
    if here is None:
        raise LineError(
            f"{held.name} does not pass {bench.plant.sites[site].name}",
            word.span,
            nearest=", ".join(map(quoted, through[:3])),
            hint="" if through else "No cable passes there",
            fixes=tuple(Fix(word.span, quoted(name)) for name in through[:3]),
        )
    kind = cable_type(bench.plant, held)
    skipped = glass(bench, step.skip, held.id) if step.skip else []
    return _Asked(
        "drops",
        site,
        held.id,
        here.id,
        tuple(_wanted(bench, step.drops, site, held.id)),
        _ports(bench, step),
        tuple(p.fibre for p in skipped if isinstance(p, Pick) and p.cable == held.id and p.fibre <= kind.fibre_count),
        int(step.keep.text) if step.keep else 0,
    )


def _wanted(bench: Bench, drops: What, site: SiteId, feeder: str) -> list[GlassEnd]:
    """The ends to be served, in the order said; a drop named alone gives those not joined yet."""
    joined = {end for s in bench.plant.splices.values() for end in (s.a, s.b)}
    joined |= {m.end for m in bench.plant.matings.values()}
    found: list[GlassEnd] = []
    for piece in drops:
        if isinstance(piece, Glass) and piece.name is None and piece.part and piece.part.text.lower() == "all":
            ends = [end for end in _all_ends(bench, piece, site, feeder) if end not in joined]
            if not ends:
                raise LineError("no drop here has an end left to be joined", piece.span, hint="Name the drops")
            found += ends
            continue
        bare = isinstance(piece, Glass) and piece.name is not None and piece.part is None
        whole = replace(piece, part=Word("all", piece.span)) if bare and isinstance(piece, Glass) else piece
        picks = glass(bench, (whole,))
        for pick in picks:
            if isinstance(pick, Pick):
                stop_index(bench, pick, site)
        ends = ends_of(bench, picks, site, ">")
        if bare:
            ends = [end for end in ends if end not in joined]
            if not ends:
                raise LineError("it has no end left to be joined", piece.span, hint="Name other drops")
        used = [end for end in ends if end in joined]
        if used:
            raise LineError(f"{end_text(bench.plant, used[0])} is joined already", piece.span, hint="Leave it out")
        found += ends
    twice = [end for n, end in enumerate(found) if end in found[:n]]
    if twice:
        raise LineError(f"{end_text(bench.plant, twice[0])} is said twice", drops[-1].span, hint="Say it once")
    return found


def _all_ends(bench: Bench, piece: Glass, site: SiteId, feeder: str) -> list[GlassEnd]:
    """Every end of every cable that starts or ends at a site, but for the feeder, in the order of their names."""
    plant = bench.plant
    there = {c.name: c for c, index, _ in stops_at(plant, site) if not passes(c, index) and c.id != feeder}
    names = [name for name in bench.context.names.of["cable"] if name in there]
    names += [name for name in there if name not in names]
    picks = [
        Pick(there[name].id, fibre, None, None, piece.span)
        for name in names
        for fibre in range(1, cable_type(plant, there[name]).fibre_count + 1)
    ]
    return ends_of(bench, picks, site, ">")


def _ports(bench: Bench, step: Ask) -> tuple[str, ...]:
    if step.ports is None:
        return ()
    try:
        numbers = set(from_text(step.ports.text))
    except PlantError as fault:
        raise LineError(fault.message, step.ports.span, hint=fault.hint) from None
    plant = bench.plant
    ends = [p for p in plant.ports.values() if p.role == "equipment" or plant.sites[p.site].kind == "exchange"]
    found = tuple(sorted(p.id for p in ends if p.number in numbers))
    if not found:
        most = max((p.number for p in ends), default=0)
        raise LineError(
            f"no exchange port has the number {step.ports.text}", step.ports.span, hint=f"They count to {most}"
        )
    return found


def _ways(bench: Bench, asked: _Asked) -> tuple[Proposal, ...]:
    if bench.touched:  # an earlier step of the line has changed what is asked about
        return _solved(Continuity(bench.plant), asked)
    kept = bench.context.kept
    if asked not in kept:
        try:
            kept[asked] = _solved(bench.context.continuity, asked)
        except PlantError as fault:
            kept[asked] = fault
    answer = kept[asked]
    if isinstance(answer, PlantError):
        raise answer
    return answer  # type: ignore[return-value]  # only this module keeps anything under an _Asked


def _solved(graph: Continuity, asked: _Asked) -> tuple[Proposal, ...]:
    if asked.kind == "drops":
        return open_tubes(
            graph,
            asked.cable,
            asked.stop,
            asked.wanted,
            ports=asked.ports,
            reserved=asked.reserved,
            reserve=asked.keep,
        )
    if asked.kind == "trays":
        return fill_trays(graph, asked.site, BY[asked.by], kept=asked.keep / 100)
    return tidy_stubs(graph, asked.site)


def _effects(bench: Bench, made: Made) -> None:
    """What the edits join, move and cut, as the read-back needs it."""
    for edit in made.edits:
        if isinstance(edit, Join):
            made.joints += [splice_id(a) for a, _ in edit.pairs]
        elif isinstance(edit, Replace) and isinstance(edit.entity, Splice):
            made.joints.append(edit.entity.id)
        elif isinstance(edit, CutFibres):
            made.cuts += [FreshCut(edit.cable, edit.stop, f) for f in edit.fibres]
            made.outage_at.append((edit.cable, edit.stop))
        elif isinstance(edit, CutTubes):
            kind = cable_type(bench.plant, bench.plant.cables[edit.cable])
            made.cuts += [FreshCut(edit.cable, edit.stop, f) for t in edit.tubes for f in fibres_of(kind, t)]
            made.outage_at.append((edit.cable, edit.stop))


def _beside(bench: Bench, made: Made) -> list[FreshCut]:
    """The fibres that stay uncut in every tube of which a fibre is cut or joined here."""
    plant = bench.plant
    found: dict[FreshCut, None] = {}
    ends = [end for edit in made.edits if isinstance(edit, Join) for pair in edit.pairs for end in pair]
    for end in ends:
        cable = plant.cables[end.cable] if isinstance(end, FibreEnd) else None
        index = next((i for i, s in enumerate(cable.stops) if s.id == end.stop), 0) if cable else 0  # type: ignore[union-attr]
        if isinstance(end, FibreEnd) and cable is not None and passes(cable, index):
            kind = cable_type(plant, cable)
            tube = fibres_of(kind, tube_of(kind, end.fibre)[0])
            cut = cut_fibres(kind, cable.stops[index])
            found |= dict.fromkeys(FreshCut(cable.id, end.stop, f) for f in tube if f not in cut)
            if (cable.id, end.stop) not in made.outage_at:
                made.outage_at.append((cable.id, end.stop))
    return list(found)


def _chips(step: Ask, ways: Sequence[Proposal], taken: int) -> list[Chip]:
    way = ways[taken - 1]
    beside = dict(way.cost).get("live fibres beside the work", 0)
    chips = [Chip("do", way.name, step.verb.span)]
    if len(ways) > 1:
        span = step.take.span if step.take else step.span
        chips.append(Chip("way", f"{taken} of {len(ways)}, take N for another", span))
    if beside and not step.outage:
        words = f"{plural(beside, 'live fibre')} in the tubes worked on; name an outage"
        chips.append(Chip("beside", words, step.span, warns=True))
    chips += [Chip("why", words, step.span) for words in way.reasons[:MOST_WHY]]
    if way.left_alone:
        more = len(way.left_alone) - 1
        chips.append(Chip("left alone", way.left_alone[0] + (f" and {more} more" if more else ""), step.span))
    return chips


def _question(bench: Bench, step: Ask, asked: _Asked) -> Question:
    def said(what: What) -> str:
        return bench.text[what[0].span.column - 1 : what[-1].span.end - 1] if what else ""

    return Question(
        kind=step.kind.text,
        drops=said(step.drops),
        cable=step.cable.text if step.cable else "",
        keep=asked.keep,
        ports=step.ports.text if step.ports else "",
        skip=said(step.skip),
        by=asked.by,
        at=step.at.text if step.at else "",
        outage=step.outage.text if step.outage else "",
    )
