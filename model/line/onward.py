"""``next``: the last join carried on with the block of ends that follows, on both sides alike.

A block of one cable is followed by the fibres, tubes or ribbons after it, at the same distance and in the same
direction; legs by the next legs; the same fibre of numbered cables by that fibre of the cables numbered next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from model.edits.joining import splice_id
from model.entities import Cable, GlassEnd, LegEnd, Splice
from model.ids import SpliceId, SplitterId, TrayId
from model.line.context import Bench, Made
from model.line.faults import Fix, LineError, Span
from model.line.joints import ends_of, join_picks
from model.line.names import split_number
from model.line.picks import Joined, LegPick, Pick, Picked
from model.line.places import place
from model.line.syntax import Step
from model.line.wording import plain, plural
from model.lookup import fibres_of, passes
from model.plant import Plant

SAY_JOIN = "Say join and both ends"


@dataclass(frozen=True, slots=True)
class _Block:
    """One side of a join as units of one kind at one distance; ``most`` is the last unit there is."""

    units: tuple[int, ...]
    step: int
    known: dict[int, list[Picked]]
    """Picks of every unit there is, by number."""

    def after(self, count: int) -> list[list[Picked]]:
        """The units that follow, at most ``count``, as far as there are any."""
        found = []
        for n in range(1, count + 1):
            picks = self.known.get(self.units[-1] + n * self.step)
            if picks is None:
                break
            found.append(picks)
        return found


def joined_by(plant: Plant, joints: Sequence[Splice]) -> Joined:
    """Joints as a block that ``next`` can carry on; they are all of one site."""
    here = Span(1, 0)

    def pick(end: GlassEnd) -> Picked:
        if isinstance(end, LegEnd):
            return LegPick(end, here)
        cable = plant.cables[end.cable]
        through = any(stop.id == end.stop and passes(cable, index) for index, stop in enumerate(cable.stops))
        size = plant.cable_types[cable.type].ribbon
        ribbon = (end.fibre - 1) // size + 1 if ribbons and size else None
        return Pick(end.cable, end.fibre, end.side if through else None, None, here, ribbon=ribbon)

    ribbons = all(joint.method == "ribbon" for joint in joints)
    left, right = (tuple(pick(end) for end in side) for side in zip(*((s.a, s.b) for s in joints), strict=True))
    return Joined(left, right, joints[0].site, ribbons)


def carry_on(bench: Bench, step: Step) -> Made:
    """``next``. Raises LineError where nothing was joined before, or nothing follows."""
    last = bench.joined or bench.context.last
    span = step.verb.span
    if last is None:
        raise LineError("nothing was joined before", span, hint=SAY_JOIN)
    site = last.site if step.at is None else place(bench, step, [*last.left, *last.right])
    tray = _tray_of(bench, last, span)
    count = int(step.number.text) if step.number else None
    blocks = [_block(bench, side, span, single=count is not None) for side in (last.left, last.right)]
    wanted = [count or len(block.units) for block in blocks]
    found = [block.after(n) for block, n in zip(blocks, wanted, strict=True)]
    for side, units, n in zip((last.left, last.right), found, wanted, strict=True):
        if len(units) < n:
            raise _too_few(bench, step, side, min(map(len, found)), n, single=count is not None)
    left, right = ([pick for unit in side for pick in unit] for side in found)
    if len(left) != len(right):
        raise LineError(f"{plural(len(left), 'fibre')} follow on the left, {len(right)} on the right", span)
    at = replace(step, singly=step.verb) if not last.ribbons else step
    return join_picks(bench, at, left, right, site, bench.plant.trays[tray] if tray else None)


def _tray_of(bench: Bench, last: Joined, span: Span) -> TrayId | None:
    """The tray of the last of the joints. Raises LineError where they are not there any more."""
    splices = [bench.plant.splices.get(SpliceId(splice_id(end))) for end in ends_of(bench, last.left, last.site, "<")]
    if not splices or splices[-1] is None:
        verb = "is" if len(last.left) == 1 else "are"
        raise LineError(f"{plain(bench.plant, last.left)} {verb} not joined any more", span, hint=SAY_JOIN)
    return splices[-1].tray


def _too_few(bench: Bench, step: Step, side: Sequence[Picked], most: int, wanted: int, *, single: bool) -> LineError:
    what = plain(bench.plant, list(side))
    if not most:
        return LineError(f"nothing follows {what}", step.verb.span, hint=SAY_JOIN)
    word = step.number.span if step.number else Span(step.verb.span.end, 0)
    fixes = (Fix(word, str(most) if single else f" {most}"),) if single or len(side) == wanted else ()
    return LineError(
        f"{most} follow {what}, not {wanted}",
        step.number.span if step.number else step.verb.span,
        nearest=f"next {most}" if fixes else "",
        hint="" if fixes else SAY_JOIN,
        fixes=fixes,
    )


def _block(bench: Bench, side: Sequence[Picked], span: Span, *, single: bool) -> _Block:
    """A side as units; ``single`` counts fibres even where whole tubes or ribbons were said. Raises LineError."""
    if all(isinstance(pick, LegPick) for pick in side):
        return _legs(bench, [pick for pick in side if isinstance(pick, LegPick)], span)
    picks = [pick for pick in side if isinstance(pick, Pick)]
    owners = list(dict.fromkeys(pick.cable for pick in picks))
    if len(picks) != len(side):
        raise LineError("fibres and legs were joined in one block", span, hint=SAY_JOIN)
    if len(owners) > 1:
        return _cables(bench, picks, span)
    return _fibres(bench, picks, span, single=single)


def _legs(bench: Bench, picks: Sequence[LegPick], span: Span) -> _Block:
    legs = [pick.leg for pick in picks]
    splitter = bench.plant.splitters[SplitterId(legs[0].splitter)]
    kind = bench.plant.splitter_types[splitter.type]
    if len({(leg.splitter, leg.role) for leg in legs}) > 1:
        raise LineError("legs of several splitters were joined in one block", span, hint=SAY_JOIN)
    count = kind.inputs if legs[0].role == "in" else len(kind.legs_db)
    known: dict[int, list[Picked]] = {
        n: [LegPick(LegEnd(splitter.id, legs[0].role, n), span)] for n in range(1, count + 1)
    }
    numbers = [leg.number for leg in legs]
    return _Block(tuple(numbers), _distance(numbers, span), known)


def _fibres(bench: Bench, picks: Sequence[Pick], span: Span, *, single: bool) -> _Block:
    first = replace(picks[0], span=span, site=None)
    cable = bench.plant.cables[first.cable]
    kind = bench.plant.cable_types[cable.type]
    unit = "" if single else "ribbon" if all(p.ribbon for p in picks) else "tube" if all(p.tube for p in picks) else ""
    known: dict[int, list[Picked]] = {}
    if unit == "tube":
        for t in range(1, len(kind.tubes) + 1):
            known[t] = [replace(first, fibre=f, tube=t, ribbon=None) for f in fibres_of(kind, t)]
        numbers = list(dict.fromkeys(pick.tube or 0 for pick in picks))
    elif unit == "ribbon":
        for r in range(1, kind.fibre_count // kind.ribbon + 1):
            fibres = range((r - 1) * kind.ribbon + 1, r * kind.ribbon + 1)
            known[r] = [replace(first, fibre=f, ribbon=r, tube=None) for f in fibres]
        numbers = list(dict.fromkeys(pick.ribbon or 0 for pick in picks))
    else:
        for f in range(1, kind.fibre_count + 1):
            known[f] = [replace(first, fibre=f, tube=None, ribbon=None)]
        numbers = [pick.fibre for pick in picks]
    return _Block(tuple(numbers), _distance(numbers, span), known)


def _cables(bench: Bench, picks: Sequence[Pick], span: Span) -> _Block:
    runs = [list(run) for _, run in groupby(picks, key=lambda pick: pick.cable)]
    if len({tuple((p.fibre, p.side) for p in run) for run in runs}) > 1:
        raise LineError("the last join took other fibres of each cable", span, hint=SAY_JOIN)
    plant = bench.plant
    stem, _ = _numbered(plant.cables[runs[0][0].cable])
    alike = {number: c for c in plant.cables.values() for s, number in [_numbered(c)] if s == stem and number >= 0}
    numbers = [_numbered(plant.cables[run[0].cable])[1] for run in runs]
    if any(_numbered(plant.cables[run[0].cable])[0] != stem for run in runs) or min(numbers) < 0:
        raise LineError("the names of the cables do not count on", span, hint=SAY_JOIN)
    known: dict[int, list[Picked]] = {
        number: [
            replace(p, cable=c.id, span=span, site=None, tube=None)
            for p in runs[0]
            if p.fibre <= plant.cable_types[c.type].fibre_count
        ]
        for number, c in alike.items()
    }
    return _Block(tuple(numbers), _distance(numbers, span), known)


def _numbered(cable: Cable) -> tuple[str, int]:
    """A name as text in small letters and the number it ends in, -1 for none."""
    stem, number = split_number(cable.name)
    return stem.lower(), -1 if number is None else number


def _distance(numbers: Sequence[int], span: Span) -> int:
    """From each unit to the next. Raises LineError where that is not the same all along."""
    steps = {b - a for a, b in pairwise(numbers)} or {1}
    if len(steps) > 1:
        raise LineError("the last join went by no even steps", span, hint=SAY_JOIN)
    return steps.pop()
