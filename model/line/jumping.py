"""The step ``mark CABLE jump``: where the print on a sheath does not run on, in the cable's own unit."""

from __future__ import annotations

from dataclasses import replace

from model.edits.parts import Replace
from model.entities import Cable, MarkJump
from model.glass import span_m
from model.lengths import FOOT_M
from model.line.context import Bench, Chip, Made
from model.line.faults import LineError
from model.line.making import named
from model.line.syntax import Build, Word

FAR_M = 20_000.0
"""No drum holds that much sheath; a longer span is a slip of the hand."""


def jump(bench: Bench, step: Build, word: Word) -> Made:
    """The jumps of the print on the sheath from one stop of a cable, called ``word``, to the next. Raises LineError."""
    cable: Cable = named(bench, word, "cables", "cable")
    index = _index(bench, cable, step, word)
    factor = FOOT_M if cable.mark_unit == "ft" else 1.0
    numbers = [float(mark.text) * factor for mark in step.marks]
    jumps = tuple(MarkJump(a, b) for a, b in zip(numbers[::2], numbers[1::2], strict=True))
    stop, onward = cable.stops[index], cable.stops[index + 1]
    sites = bench.plant.sites
    between = f"{sites[stop.site].name} to {sites[onward.site].name}"
    made = Made(f"print of {cable.name}, {between}")
    changed = replace(cable, stops=(*cable.stops[:index], replace(stop, jumps=jumps), *cable.stops[index + 1 :]))
    if changed != cable:
        bench.do(made, Replace(changed, made.name))
    pairs = zip(step.marks[::2], step.marks[1::2], strict=True)
    said = ", ".join(f"{a.text} then {b.text} {cable.mark_unit}" for a, b in pairs)
    span = step.marks[0].span if step.marks else step.span
    made.chips = [
        Chip("do", "set where the print jumps" if jumps else "let the print run on", step.verb.span),
        Chip("what", f"{cable.name}, {between}", word.span),
        Chip("marks", said or "no jump", span),
    ]
    length = span_m(changed, index)
    if length is not None:
        made.chips.append(Chip("sheath", f"{length:.1f} m", span, warns=length > FAR_M))
    return made


def _index(bench: Bench, cable: Cable, step: Build, word: Word) -> int:
    """The stop that the sheath goes on from: the one named, else the place in hand, else the only one."""
    onward = list(enumerate(cable.stops[:-1]))
    if step.at is not None:
        site = named(bench, step.at, "sites", "site").id
    else:
        place = bench.context.place
        here = any(stop.site == place for _, stop in onward)
        site = place if here else onward[0][1].site if len(onward) == 1 else None
    found = next((i for i, stop in onward if stop.site == site), None)
    if found is None:
        names = ", ".join(bench.plant.sites[stop.site].name for _, stop in onward)
        raise LineError(
            f"beyond which stop of {cable.name}?",
            step.at.span if step.at else word.span,
            hint=f"Its sheath goes on from {names}: mark {cable.name} jump BEFORE/AFTER beyond SITE",
        )
    return found
