"""Traces of one path from both ends: the true loss of every joint, and what is to be recorded of the splices.

One direction shows the fibres as much as the joint; the mean of both is the joint's alone (formula F14). Readings are
those that splice records keep, in the direction of the record: "A-B" where the light came from the splice's end ``a``.
"""

from __future__ import annotations

from dataclasses import dataclass

from model.entities import Reading
from model.graph import end_node
from model.ids import SpliceId
from model.optics.readings import ratio_of
from model.otdr.expected import Expected
from model.otdr.judged import APART_DB
from model.otdr.match import Matched, TraceMatch
from model.plant import Plant

Readings = tuple[tuple[SpliceId, tuple[Reading, ...]], ...]
"""What ``model.edits.recording.Measure`` takes: one edit for all splices of a path."""


@dataclass(frozen=True, slots=True)
class BothWays:
    """One joint seen from both ends: the two readings, their mean, and half their difference."""

    expected: Expected
    forward_db: float
    back_db: float
    words: str

    @property
    def mean_db(self) -> float:
        """The true loss: (one way + other way) / 2."""
        return (self.forward_db + self.back_db) / 2

    @property
    def half_db(self) -> float:
        """Half of forward less back: what the difference of the fibres adds one way and takes the other."""
        return (self.forward_db - self.back_db) / 2


def both_ways(forward: TraceMatch, back: TraceMatch) -> tuple[BothWays, ...]:
    """Every joint that both traces show with a loss, in the order of the forward one."""
    there = {joint.id: matched for matched in back.matched for joint in matched.expected.joints}
    found: list[BothWays] = []
    for matched in forward.matched:
        ids = [joint.id for joint in matched.expected.joints if joint.id in there]
        if not ids or matched.loss_db is None:
            continue
        other = there[ids[0]].loss_db
        if other is not None:
            found.append(BothWays(matched.expected, matched.loss_db, other, _words(matched.loss_db, other)))
    return tuple(found)


def _words(forward_db: float, back_db: float) -> str:
    half = (forward_db - back_db) / 2
    if abs(half) <= APART_DB / 2:
        return "both ways agree"
    ratio = ratio_of(half)
    gain = ", a gain one way is none" if min(forward_db, back_db) < 0.0 else ""
    return f"the fibres make {half:+.2f} dB of the forward reading: mode field {ratio:.2f} times as wide behind{gain}"


def splice_readings(plant: Plant, *matches: TraceMatch) -> Readings:
    """What one or two matched traces say of the splices of the plant, to be recorded by one edit.

    Only events that are one splice and nothing else are a reading of it. Later traces count after earlier ones.
    """
    found: dict[SpliceId, list[Reading]] = {}
    for match in matches:
        for matched in match.matched:
            reading = _reading(plant, match, matched)
            if reading is not None:
                found.setdefault(reading[0], []).append(reading[1])
    return tuple((key, tuple(readings)) for key, readings in found.items())


def _reading(plant: Plant, match: TraceMatch, matched: Matched) -> tuple[SpliceId, Reading] | None:
    splices = matched.expected.splices
    if matched.loss_db is None or len(splices) != 1 or len(matched.expected.steps) != 1:
        return None
    key = SpliceId(matched.expected.joints[0].id)
    splice = plant.splices.get(key)
    if splice is None:
        return None
    from_a = splices[0].start == end_node(splice.a)
    return key, Reading(match.trace.nominal_nm, "A-B" if from_a else "B-A", round(matched.loss_db, 3))
