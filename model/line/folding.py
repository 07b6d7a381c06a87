"""Ends of glass as text for the Line: the shortest that reads back as the same ends in the same order.

Runs become ranges, whole tubes ``T3``, all of a cable ``all``, fibres at an even distance ``every N``, the same fibre
of cables numbered on ``D-01..D-12:1``. A ribbon that is joined as one stays a ribbon. Nothing is looked up but names.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from model.entities import FibreEnd, GlassEnd, LegEnd, Side
from model.ids import CableId, SiteId, SplitterId
from model.line.context import Context
from model.line.names import in_series, quoted
from model.line.wording import runs
from model.lookup import fibres_of, passes
from model.plant import Plant

LEAST_EVERY = 3
"""Fewest ends worth an ``every``."""


@dataclass(frozen=True, slots=True)
class End:
    """One end: a fibre of a cable (``letter`` empty), a whole ribbon of it (``R``), or a leg (``in`` or ``out``)."""

    owner: str
    number: int
    letter: str = ""
    at: SiteId | None = None
    side: Side | None = None


def end_of(plant: Plant, end: GlassEnd) -> End:
    """A joined end as it can be said: its side only where the sheath passes."""
    if isinstance(end, LegEnd):
        return End(end.splitter, end.number, end.role)
    cable = plant.cables[end.cable]
    through = any(stop.id == end.stop and passes(cable, index) for index, stop in enumerate(cable.stops))
    return End(end.cable, end.fibre, side=end.side if through else None)


def ribbons_of(plant: Plant, ends: Sequence[GlassEnd]) -> list[End] | None:
    """The ends of one sleeve as whole ribbons; None where they are not just that."""
    first = ends[0]
    if not isinstance(first, FibreEnd):
        return None
    size = plant.cable_types[plant.cables[first.cable].type].ribbon
    numbers = [end.fibre for end in ends if isinstance(end, FibreEnd) and end.cable == first.cable]
    if not size or len(numbers) != len(ends) or len(numbers) % size:
        return None
    count = len(numbers) // size
    starts = [numbers[n * size] for n in range(count)]
    if any((s - 1) % size for s in starts) or numbers != [s + k for s in starts for k in range(size)]:
        return None
    pattern = end_of(plant, first)
    return [replace(pattern, number=(s - 1) // size + 1, letter="R") for s in starts]


def side_text(context: Context, ends: Sequence[End]) -> str:
    """One side of a join, the shortest text for it."""
    plain = _pieces(context, ends)
    every = _every(context, ends)
    return every if every and len(every) < len(plain) else plain


def _name(context: Context, end: End) -> str:
    plant = context.plant
    if end.letter in ("in", "out"):
        return plant.splitters[SplitterId(end.owner)].name
    return plant.cables[CableId(end.owner)].name


def _suffix(context: Context, end: End) -> str:
    at = f"@{quoted(context.plant.sites[end.at].name)}" if end.at else ""
    return f"{at}{end.side or ''}"


def _pieces(context: Context, ends: Sequence[End]) -> str:
    groups: list[tuple[End, str]] = []
    for _, group in groupby(ends, key=lambda e: replace(e, number=0)):
        run = list(group)
        groups.append((run[0], _numbers(context, run)))
    said: list[str] = []
    at = 0
    while at < len(groups):
        first, numbers = groups[at]
        count = _series(context, groups, at)
        name, suffix = quoted(_name(context, first)), _suffix(context, first)
        if count > 1:
            last = quoted(_name(context, groups[at + count - 1][0]))
            said.append(f"{name}..{last}:{numbers}{suffix}")
            at += count
            continue
        head, *rest = numbers.split(",")
        said += [f"{name}:{head}{suffix}", *(f"{piece}{suffix}" for piece in rest)]
        at += 1
    return ",".join(said)


def _numbers(context: Context, run: Sequence[End]) -> str:
    """The numbers of one cable or splitter as pieces with commas."""
    letter = run[0].letter
    numbers = [end.number for end in run]
    pieces = runs(numbers).split(",")
    if letter == "R":
        return _units(letter, numbers)
    if letter:
        return ",".join(letter + piece for piece in pieces)
    cable = context.plant.cables[CableId(run[0].owner)]
    site = run[0].at or context.place
    if run[0].side or any(passes(cable, i) for i, stop in enumerate(cable.stops) if site in (None, stop.site)):
        # Where the sheath passes, a whole tube said is a whole tube cut, which a row of fibres is not.
        return ",".join(pieces)
    kind = context.plant.cable_types[cable.type]
    if numbers == list(range(1, kind.fibre_count + 1)) and kind.fibre_count > 1:
        return "all"
    whole: list[int] = []
    at = 0
    tubes = {r.start: (t, list(r)) for t in range(1, len(kind.tubes) + 1) for r in [fibres_of(kind, t)]}
    while at < len(numbers):
        tube, fibres = tubes.get(numbers[at], (0, []))
        if not fibres or numbers[at : at + len(fibres)] != fibres:
            return ",".join(pieces)
        whole.append(tube)
        at += len(fibres)
    by_tube = _units("T", whole)
    return by_tube if len(by_tube) < len(",".join(pieces)) else ",".join(pieces)


def _units(letter: str, numbers: Sequence[int]) -> str:
    """``T1-T3,T5``."""
    return ",".join("-".join(letter + n for n in piece.split("-")) for piece in runs(numbers).split(","))


def _series(context: Context, groups: Sequence[tuple[End, str]], at: int) -> int:
    """How many groups from here on are one series of names, as the Line counts them; 1 for none."""
    first, numbers = groups[at]
    if first.letter in ("in", "out") or "," in numbers:
        return 1
    alike = [
        end
        for end, text in groups[at:]
        if text == numbers and (end.letter, end.at, end.side) == (first.letter, first.at, first.side)
    ]
    count = next((n for n, (a, b) in enumerate(zip(alike, groups[at:], strict=False)) if a is not b[0]), len(alike))
    known = context.names.of["cable"]
    for length in range(count, 2, -1):
        names = [_name(context, end) for end in alike[:length]]
        if in_series(known, names[0], names[-1]) != names:
            continue
        unique = all(context.names.ids(name, "cable") == [end.owner] for name, end in zip(names, alike, strict=False))
        if unique:
            return length
    return 1


def _every(context: Context, ends: Sequence[End]) -> str:
    """``A:1-23 every 2`` where all ends of one cable stand at one distance; empty where they do not."""
    first = ends[0]
    if len(ends) < LEAST_EVERY or first.letter or any(replace(e, number=0) != replace(first, number=0) for e in ends):
        return ""
    steps = {b.number - a.number for a, b in pairwise(ends)}
    step = steps.pop()
    if steps or abs(step) < 2:
        return ""
    return (
        f"{quoted(_name(context, first))}:{first.number}-{ends[-1].number}{_suffix(context, first)} every {abs(step)}"
    )
