"""Endings for the steps that record what was done to joints: directions, wavelengths, who signed before, and when.

Only the words typed so far are looked at; whether an ending reads is tried elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from model.line.context import Context
from model.line.names import quoted
from model.line.recording import LEAST_NM
from model.line.verbs import TAILS
from model.numbers import to_text

_TRAY = re.compile(r'\btray\s+("[^"]*"|\S+)\s*$', re.IGNORECASE)
WAVES = ("1310", "1550", "1625")


def record_endings(context: Context, step: str, verb: str) -> Iterator[str]:
    """What can follow the words of a step that names its joints, in the order of the grammar."""
    said = set(re.findall(r"[^\W\d_]+", step.lower()))
    words = step.split()
    if tray := _TRAY.search(step):
        yield from _filled(context, tray[1].strip('"'))
    valued = any(re.fullmatch(r"[-+]?[0-9]*[.,/][-+0-9.,/]*", word) for word in words)
    if verb == "measure" and not valued:
        if not any(word.isdigit() and int(word) >= LEAST_NM for word in words):
            yield from (f"{nm} " for nm in WAVES)
        elif not re.search(r"\s[ab]-[ab](\s|$)", step.lower()):
            yield from ("A-B ", "B-A ")
        return
    if verb == "estimate" and not valued:
        return
    for tail in TAILS[verb]:
        if tail not in said and not (tail in ("every", "skip") and "tray" in said):
            yield tail if tail in ("sealed", "inherited") else f"{tail} "


def _filled(context: Context, name: str) -> Iterator[str]:
    """Slots of a tray here that hold joints, as ranges."""
    plant = context.plant
    boxes = {box.id for box in plant.enclosures.values() if context.place in (None, box.site)}
    trays = {t.id for t in plant.trays.values() if t.enclosure in boxes and t.name.lower() == name.lower()}
    slots = {s.slot for s in plant.splices.values() if s.tray in trays and s.slot is not None}
    yield from to_text(sorted(slots)).split(",") if slots else ()


def signatures(context: Context, tail: str) -> list[str]:
    """Initials or dates that joints here were signed with before, the most used first."""
    plant = context.plant
    near = [s for s in plant.splices.values() if context.place in (None, s.site)]
    found: dict[str, int] = {}
    for splice in near:
        text = splice.done_by if tail == "by" else splice.done_on
        if text:
            found[text] = found.get(text, 0) + 1
    return [quoted(text) for text in sorted(found, key=lambda text: (-found[text], text))]
