"""Endings for ``plan``: which question, which drops and cable, and the words that may follow."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from model.line.ask import GROUPS, QUESTIONS
from model.line.context import Context
from model.line.names import natural, quoted, split_number
from model.lookup import enclosure_at, passes

_WORD = re.compile(r'"[^"]*"?|[^\s"]+')


def asking_endings(context: Context, step: str, word: str) -> Iterator[str]:
    """What can stand where ``word`` is being typed, in the order worth offering; ``step`` is the step before it."""
    said = [piece.strip('"') for piece in _WORD.findall(step)][1:]
    typed = word.strip('"').lower()
    yield from (text for text in _after(context, said) if text.strip('"').lower().startswith(typed))


def _after(context: Context, said: list[str]) -> Iterable[str]:
    if not said or said[0].lower() not in QUESTIONS:
        return [f"{kind} " if kind != "stubs" else kind for kind in QUESTIONS] if not said else []
    last, kind = said[-1].lower(), said[0].lower()
    if last == "at":
        boxed = [s.name for s in context.plant.sites.values() if enclosure_at(context.plant, s.id)]
        return [quoted(name) for name in sorted(boxed, key=natural)]
    if kind == "drops" and (len(said) == 1 or said[-1].endswith(",")):
        return _drops(context)
    if kind == "drops" and last == "from":
        return [quoted(name) for name in _cables(context, through=True)]
    if last == "by":
        return GROUPS
    if last in ("keep", "ports", "skip", "take"):
        return []
    return [f"{tail} " for tail in QUESTIONS[kind] if tail not in (piece.lower() for piece in said[1:])]


def _cables(context: Context, *, through: bool) -> list[str]:
    """Names of the cables that pass the place, or that start or end there."""
    found = {
        c.name
        for c in context.plant.cables.values()
        for index, stop in enumerate(c.stops)
        if context.place in (None, stop.site) and passes(c, index) == through
    }
    return sorted(found, key=natural)


def _drops(context: Context) -> list[str]:
    """All drops at once, each run of numbered names, then each drop."""
    names = _cables(context, through=False)
    stems: dict[str, list[str]] = {}
    for name in names:
        stem, number = split_number(name)
        if number is not None:
            stems.setdefault(stem.lower(), []).append(name)
    runs = [f"{quoted(run[0])}..{quoted(run[-1])}" for run in stems.values() if len(run) > 1]
    return ["all ", *(f"{run} " for run in runs), *(f"{quoted(name)} " for name in names)]
