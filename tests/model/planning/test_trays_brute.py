# mypy: disable-error-code="arg-type, union-attr"
"""Trays and slots planned on whole plants, against every way to lay the joints, counted from fibre numbers alone."""

from __future__ import annotations

import random
from collections.abc import Iterable
from itertools import permutations

import pytest

from model.edits.joining import Join
from model.entities import FibreEnd, Route
from model.graph import Continuity
from model.history import History
from model.planning import fill_trays
from model.plant import Plant
from model.templates import TEMPLATES

SEEDS = range(60)
PLACES = [(tray, slot) for tray in (1, 2, 3) for slot in (1, 2, 3, 4)]
"""More than four joints need: a tray for each of three tubes, a slot for each joint."""

Lay = dict[int, tuple[int, int]]
"""(tray, slot) of each joint by its left fibre."""


def case(seed: int) -> tuple[dict[int, int], Lay]:
    """Right fibre by left fibre of up to four joints from up to three tubes, and where they lie at first."""
    dice = random.Random(seed)
    count = dice.randint(2, 4)
    lefts = dice.sample([1, 2, 3, 13, 14, 25, 26], count)
    rights = dice.sample(range(1, 97), count)
    first = dice.sample(PLACES, count)
    return dict(zip(lefts, rights, strict=True)), dict(zip(lefts, first, strict=True))


def price(pairs: dict[int, int], lay: Lay) -> tuple[int, int, int]:
    """(tubes that share a tray with another, crossings left and right of the slots, trays used)."""
    tubes: dict[int, set[int]] = {}
    for left, (tray, _) in lay.items():
        tubes.setdefault(tray, set()).add((left - 1) // 12)
    shared = sum(len(on) - 1 for on in tubes.values())
    crossed = 0
    for a in pairs:
        for b in pairs:
            if lay[a] < lay[b]:
                crossed += (a > b) + (pairs[a] > pairs[b])
    return shared, crossed, len(tubes)


def every_way(pairs: dict[int, int]) -> Iterable[Lay]:
    for chosen in permutations(PLACES, len(pairs)):
        yield dict(zip(pairs, chosen, strict=True))


@pytest.mark.parametrize("seed", SEEDS)
def test_no_way_to_lay_the_joints_is_better(seed: int) -> None:
    pairs, first = case(seed)
    drawn = TEMPLATES["straight-joint"]()
    history = History(Plant([e for e in drawn.entities() if not isinstance(e, Route)]))
    plant = history.plant
    a, b = plant.cables["gl-96"].stops[-1].id, plant.cables["pb-96"].stops[0].id
    for left, (tray, slot) in first.items():
        ends = FibreEnd("gl-96", left, a, "<"), FibreEnd("pb-96", pairs[left], b, ">")
        history.do(Join("j-01", (ends,), f"j-01-tray-{tray}", slot))
    found = fill_trays(Continuity(plant), "j-01", "tube")
    best = min(price(pairs, lay) for lay in every_way(pairs))
    if not found:
        # What lies best already is left alone; fewer trays alone are no reason to move anything.
        assert price(pairs, first)[:2] == best[:2]
        return
    history.do(*found[0].edits)
    lay = {s.a.fibre: (int((s.tray or "")[-1]), s.slot or 0) for s in plant.splices.values()}
    assert price(pairs, lay) == best
    assert found[0].weight[:3] == best
