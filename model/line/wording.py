"""Fibres, legs and ends in the words of the Line: short names for the undo button, and text that can be typed again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from model.entities import FibreEnd, GlassEnd
from model.line.names import quoted
from model.line.picks import LegPick, Pick, Picked
from model.plant import Plant

LONGEST_NAME = 80
"""Characters of a step's name on the undo button."""


def runs(numbers: Iterable[int]) -> str:
    """Numbers as ranges in the order given, upward and downward: ``13-16,20`` or ``16-13``."""
    found: list[list[int]] = []
    for n in numbers:
        if found:
            run = found[-1]
            step = run[1] - run[0]
            if (abs(n - run[1]) == 1 and step == 0) or (step and n - run[1] == (1 if step > 0 else -1)):
                run[1] = n
                continue
        found.append([n, n])
    return ",".join(str(a) if a == b else f"{a}-{b}" for a, b in found)


def plural(count: int, word: str) -> str:
    """``1 fibre``, ``4 fibres``."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def grouped(plant: Plant, picks: Sequence[Picked]) -> list[tuple[str, list[Picked]]]:
    """Picks in the order said, as runs of one cable or splitter with its name."""
    found = []
    for _, group in groupby(picks, key=lambda p: p.cable if isinstance(p, Pick) else p.leg.splitter):
        run = list(group)
        first = run[0]
        owner = plant.cables[first.cable] if isinstance(first, Pick) else plant.splitters[first.leg.splitter]
        found.append((owner.name, run))
    return found


def _numbers(run: Sequence[Picked]) -> str:
    legs = [p.leg for p in run if isinstance(p, LegPick)]
    if legs:
        return legs[0].role + runs(leg.number for leg in legs)
    fibres = [p for p in run if isinstance(p, Pick)]
    if all(p.tube for p in fibres):
        return ",".join("T" + piece for piece in runs(dict.fromkeys(p.tube or 0 for p in fibres)).split(","))
    return runs(p.fibre for p in fibres)


def short(plant: Plant, picks: Sequence[Picked]) -> str:
    """Picks for the undo button: ``TM-B1 13-16``, ``SB-72 T5``, ``D-01..D-12 1``."""
    groups = grouped(plant, picks)
    parts = [(name, _numbers(run)) for name, run in groups]
    if len(parts) > 2 and len({numbers for _, numbers in parts}) == 1:
        return f"{parts[0][0]}..{parts[-1][0]} {parts[0][1]}"
    return ", ".join(f"{name} {numbers}" for name, numbers in parts)


def typed(plant: Plant, picks: Sequence[Picked]) -> str:
    """Picks as text for the Line that means the same."""
    pieces = []
    for name, run in grouped(plant, picks):
        legs = [p.leg for p in run if isinstance(p, LegPick)]
        if legs:
            pieces += [f"{quoted(name)}:{leg.role}{leg.number}" for leg in legs]
            continue
        for side, group in groupby((p for p in run if isinstance(p, Pick)), key=lambda p: p.side or ""):
            text = runs(p.fibre for p in group)
            pieces += [f"{quoted(name)}:{piece}{side}" for piece in text.split(",")]
    return ",".join(pieces)


def plain(plant: Plant, picks: Sequence[Picked]) -> str:
    """Picks in plain words: ``TM-B1 fibres 13-16``, ``fibre 1 of 12 drops``."""
    groups = grouped(plant, picks)
    if len(groups) > 2 and len({_numbers(run) for _, run in groups}) == 1:
        text = _numbers(groups[0][1])
        ends = all(len(plant.cables[p.cable].stops) == 2 for p in picks if isinstance(p, Pick))
        word = "fibre" if text.isdigit() else "tube" if text.startswith("T") else "fibres"
        return f"{word} {text} of {len(groups)} {'drops' if ends else 'cables'}"
    said = []
    for name, run in groups[:3]:
        if isinstance(run[0], LegPick):
            said.append(f"{name} {_numbers(run)}")
        else:
            said.append(f"{name} fibre{'s' * (len(run) != 1)} {runs(p.fibre for p in run if isinstance(p, Pick))}")
    more = len(groups) - len(said)
    return ", ".join(said) + (f" and {more} more" if more else "")


def end_text(plant: Plant, end: GlassEnd) -> str:
    """An end of glass as the rows show it: ``TM-B1:13``, ``SP-1 out 3``."""
    if isinstance(end, FibreEnd):
        return f"{plant.cables[end.cable].name}:{end.fibre}"
    return f"{plant.splitters[end.splitter].name} {end.role} {end.number}"


def undo_name(text: str) -> str:
    """A step's name, cut to the length of the button."""
    return text if len(text) <= LONGEST_NAME else text[: LONGEST_NAME - 3].rstrip(" ,;") + "..."
