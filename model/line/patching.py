"""The steps of a patch field: ``patch`` plugs glass into ports or connects ports by cords, ``park`` caps idle legs.

A fibre of a cable goes behind a panel by a spliced pigtail, a leg or a cord into its front by its own connector, unless
``behind`` or ``front`` is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

from model.edits.joining import Plug
from model.edits.patching import Park, Patch
from model.entities import FibreEnd, GlassEnd, Port, Side
from model.graph import end_node
from model.ids import CableTypeId, SiteId
from model.line.context import Bench, Chip, Made
from model.line.faults import Fix, LineError
from model.line.joints import end_of
from model.line.making import CABLES, bring
from model.line.names import quoted
from model.line.picks import LegPick, Pick, Picked
from model.line.places import place, require_at, stop_index
from model.line.ports import all_ports, said_ports
from model.line.resolve import glass, thinned
from model.line.syntax import Step, Word
from model.line.wording import end_text, plain, plural, runs, short
from model.lookup import passes, stays_inside

CORD: Final = "pt-1"
"""Cable type of a patch cord."""
CORD_M: Final = 2.0
"""Length of a cord when none is said, metres: common practice inside one cabinet, no source."""
PIGTAIL_DB: Final = 0.10
"""Planned loss of the splice to a pigtail, dB, as ``model.edits.joining.Plug`` has it."""


def patch(bench: Bench, step: Step) -> Made:
    """``patch``. Raises LineError with the piece at fault and what would work."""
    left, right = all_ports(bench, step.what, step.at), all_ports(bench, step.to, step.at)
    if left and right:
        return _cords(bench, step, left, right)
    if not left and not right:
        raise LineError(
            "neither side is a port",
            step.to_span or step.span,
            hint="Write port PANEL/N, or join glass to glass: join",
        )
    picks = glass(bench, step.to if left else step.what)
    picks = thinned(bench, picks, step.to_thin if left else step.thin)
    ports = left or right
    site = ports[0].site
    require_at(bench, picks, site)
    ends = [_end(bench, pick, site) for pick in picks]
    _same_count(bench, step, len(left) or len(ends), len(right) or len(ends), ports)
    if step.long is not None:
        raise LineError("only a cord has a length here", step.long.span, hint="Leave out long")
    face = _face(step, picks[0], ports[0], bench)
    loss = PIGTAIL_DB if face == "rear" and _is_fibre(bench, picks[0]) else None
    made = Made(f"patch {short(bench.plant, picks)} to {said_ports(ports)}")
    _free(bench, step, ports, face, right_side=not left)
    bench.do(made, Plug(tuple(ends), tuple(port.id for port in ports), face, loss, name=made.name))
    where = f"{said_ports(ports)}, {'behind' if face == 'rear' else 'in front'}"
    glass_span, port_span = step.what_span, step.to_span or step.span
    if left:
        glass_span, port_span = port_span, glass_span
    made.chips = [
        Chip("do", f"plug in {plural(len(ends), 'end')}", step.verb.span),
        Chip("what", plain(bench.plant, picks), glass_span),
        Chip("in", where, port_span),
        Chip("by", "a spliced pigtail each" if loss else "the connector on it", step.span),
        Chip("at", bench.plant.sites[site].name, step.at.span if step.at else step.span),
    ]
    return made


def _is_fibre(bench: Bench, pick: Picked) -> bool:
    return isinstance(pick, Pick) and not stays_inside(bench.plant.cables[pick.cable])


def _face(step: Step, pick: Picked, port: Port, bench: Bench) -> Literal["rear", "front"]:
    if step.behind and step.front:
        raise LineError("behind and front are both said", step.front.span, hint="Say one")
    if step.behind:
        return "rear"
    if step.front:
        return "front"
    return "rear" if port.role != "panel" or _is_fibre(bench, pick) else "front"


def _end(bench: Bench, pick: Picked, site: SiteId) -> GlassEnd:
    """The end of glass a pick means: of a pigtail the one at the panel, its first, unless a side is said."""
    if isinstance(pick, LegPick):
        return pick.leg
    cable = bench.plant.cables[pick.cable]
    if stays_inside(cable):
        side: Side = pick.side or ">"
        return FibreEnd(pick.cable, pick.fibre, cable.stops[0 if side == ">" else -1].id, side)
    if passes(cable, stop_index(bench, pick, site)) and pick.side is None:
        raise LineError(
            f"{cable.name} passes here: which side of the cut?", pick.span, hint="Say < for the exchange side or >"
        )
    return end_of(bench, pick, site, ">")


def _same_count(bench: Bench, step: Step, left: int, right: int, ports: Sequence[Port]) -> None:
    if left == right:
        return
    span = step.to_span or step.span
    near = ""
    if len(ports) == right:
        mates = {p.number for p in bench.plant.ports.values() if (p.site, p.panel) == (ports[0].site, ports[0].panel)}
        first = ports[0].number
        if set(range(first, first + left)) <= mates:
            near = f"port {ports[0].panel}/{runs(range(first, first + left))}"
    raise LineError(
        f"{left} on the left, {right} on the right",
        span,
        nearest=near,
        hint="" if near else "Both sides must count the same",
        fixes=(Fix(span, near),) if near else (),
    )


def _free(bench: Bench, step: Step, ports: Sequence[Port], face: str, *, right_side: bool = True) -> None:
    """Raises LineError for ports whose face is taken, with the first free ones of the panel."""
    taken = {m.port for m in bench.plant.matings.values() if m.face == face}
    full = [port for port in ports if port.id in taken]
    if not full:
        return
    mates = [p for p in bench.plant.ports.values() if (p.site, p.panel) == (ports[0].site, ports[0].panel)]
    free = sorted(p.number for p in mates if p.id not in taken)
    run = _run(free, len(ports))
    span = (step.to_span or step.span) if right_side else step.what_span
    site = bench.plant.sites[ports[0].site].name
    near = f"{quoted(site)}/port/{ports[0].panel}/{run}" if run else ""
    raise LineError(
        f"the {'rear' if face == 'rear' else 'front'} of {said_ports(full)} is taken",
        span,
        nearest=near,
        hint="" if near else "Take it out first, or use another port",
        fixes=(Fix(span, near),) if near else (),
    )


def _run(free: Sequence[int], count: int) -> str:
    """The first stretch of so many free numbers."""
    for index in range(len(free) - count + 1):
        if free[index + count - 1] - free[index] == count - 1:
            return str(free[index]) if count == 1 else f"{free[index]}-{free[index + count - 1]}"
    return ""


def _cords(bench: Bench, step: Step, left: list[Port], right: list[Port]) -> Made:
    """Ports to ports: a cord each, between the fronts of panels."""
    for odd in (step.behind, step.front, *(thin for thin in (*step.thin, *step.to_thin))):
        if odd is not None:
            raise LineError("a cord goes from front to front", odd.span, hint="Leave this out")
    _same_count(bench, step, len(left), len(right), right)
    if left[0].site != right[0].site:
        raise LineError("the two panels are at two sites", step.to_span or step.span, hint="A cord stays at one site")
    length_m = length_said(step.long, "m") / 1000.0 if step.long else CORD_M
    for ports, right_side in ((left, False), (right, True)):
        fronts = [port for port in ports if port.role == "panel"]
        if fronts:
            _free(bench, step, fronts, "front", right_side=right_side)
    made = Made(f"patch {said_ports(left)} to {said_ports(right)}")
    bring(bench, made, CABLES, CORD)
    pairs = tuple((a.id, b.id) for a, b in zip(left, right, strict=True))
    bench.do(made, Patch(pairs, CableTypeId(CORD), length_m, made.name))
    made.chips = [
        Chip("do", f"put in {plural(len(pairs), 'patch cord')} of {length_m:g} m", step.verb.span),
        Chip("from", said_ports(left), step.what_span),
        Chip("to", said_ports(right), step.to_span or step.span),
        Chip("at", bench.plant.sites[left[0].site].name, step.at.span if step.at else step.span),
    ]
    return made


def length_said(word: Word, unit: Literal["m", "mm"]) -> float:
    """Millimetres of a length with or without its unit; ``unit`` is meant where none is said."""
    number, _, said = word.text.partition(" ")
    return float(number) * (1000.0 if (said or unit) == "m" else 1.0)


def park(bench: Bench, step: Step) -> Made:
    """``park``: legs of splitters that nothing is on. Raises LineError."""
    picks = glass(bench, step.what)
    odd = next((pick for pick in picks if isinstance(pick, Pick)), None)
    if odd is not None:
        raise LineError("only a splitter's legs are parked", odd.span, hint="Like: park SP-1:out31-32")
    legs = tuple(pick.leg for pick in picks if isinstance(pick, LegPick))
    place(bench, step, picks)
    used = {end_node(m.end) for m in bench.plant.matings.values()}
    used |= {end_node(end) for s in bench.plant.splices.values() for end in (s.a, s.b)}
    for pick, leg in zip(picks, legs, strict=True):
        if end_node(leg) in used:
            free = [p for p in picks if isinstance(p, LegPick) and end_node(p.leg) not in used]
            said = end_text(bench.plant, leg)
            raise LineError(
                f"{said} is joined",
                pick.span,
                hint=f"Take it out first: part {quoted(bench.plant.splitters[leg.splitter].name)}:"
                f"{leg.role}{leg.number}" + (f"; {plural(len(free), 'other')} could be parked" if free else ""),
            )
    made = Made(f"park {short(bench.plant, picks)}")
    bench.do(made, Park(legs, made.name))
    made.chips = [
        Chip("do", f"park {plural(len(legs), 'leg')}", step.verb.span),
        Chip("what", plain(bench.plant, picks), step.what_span),
        Chip("then", "capped, and counted as free", step.span),
    ]
    if not bench.draft.change_set("").changes:
        made.chips.append(Chip("note", "already so, nothing to change", step.span))
    return made
