"""Faults planted in random plants: found, never contradicted, and exactly what trying every element by hand finds."""

from __future__ import annotations

from random import Random

import pytest

from model.correlate.affected import affected
from model.correlate.elements import element, elements_of
from model.correlate.suspects import Answer, Suspect, suspects
from model.graph import Continuity
from tests.model.correlate.laid import Laid, laid

PLANTS = 1000
BATCHES = 10


def keys(group: tuple[Suspect, ...]) -> set[str]:
    return {part.key for s in group for part in (s.element, *s.also)}


def named(answer: Answer) -> set[str]:
    return keys(answer.suspects)


def some(rng: Random, services: set[str], least: int) -> list[str]:
    """A random part of the services, at least ``least`` of them."""
    pool = sorted(services)
    return rng.sample(pool, rng.randint(min(least, len(pool)), len(pool)))


def fits(made: Laid, down: list[str], up: list[str]) -> set[str]:
    """Every element that takes down all of ``down`` and none of ``up``, found by trying each."""
    found = set()
    for key in made.keys:
        dark = made.dark([key])
        if dark.issuperset(down) and dark.isdisjoint(up):
            found.add(key)
    return found


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_planted_fault_is_in_the_top_group_and_the_group_is_what_trying_every_element_finds(batch: int) -> None:
    for seed in range(batch, PLANTS, BATCHES):
        made = laid(seed)
        rng = Random(seed)
        harmful = [key for key in made.keys if made.dark([key])]
        planted = rng.choice(harmful)
        gone = made.dark([planted])
        continuity = Continuity(made.plant())
        down, up = some(rng, gone, 1), some(rng, set(made.ways) - gone, 0)
        answer = suspects(continuity, down, up)
        assert answer.single, (seed, planted)
        assert planted in named(answer), (seed, planted)
        assert {s.score for s in answer.suspects} == {1.0}
        assert named(answer) == fits(made, down, up), (seed, planted)
        assert not [c for c in answer.cleared if c.element.key == planted]
        for service in rng.sample(sorted(made.ways), 1):
            own = {key for way in made.ways[service] for key in way}
            assert {e.key for e in elements_of(continuity, service)} == own, (seed, service)
        # Who was measured less clears less: taking answers away never loses a suspect.
        fewer = suspects(continuity, down, up[: len(up) // 2])
        assert named(answer) <= named(fewer), (seed, planted)
        # The cut simulator says who goes dark, whether or not anybody measured them.
        assert set(affected(continuity, element(continuity.plant, planted)).services) == gone, (seed, planted)


def test_two_planted_faults_are_found_as_a_pair() -> None:
    tried = first_named = named_at_all = 0
    for seed in range(PLANTS):
        made = laid(seed)
        rng = Random(seed)
        harmful = [key for key in made.keys if made.dark([key])]
        a, b = rng.choice(harmful), rng.choice(harmful)
        gone = made.dark([a, b])
        down, up = sorted(gone), sorted(set(made.ways) - gone)
        if fits(made, down, up):
            continue  # one fault would explain it all, and the simpler answer is given
        answer = suspects(Continuity(made.plant()), down, up)
        tried += 1
        assert not answer.single
        assert answer.pair is not None, seed
        pairs = [tuple(keys(group) for group in (p.first, p.second)) for p in (answer.pair, *answer.other_pairs)]
        hits = [(a in one and b in other) or (b in one and a in other) for one, other in pairs]
        first_named += hits[0]
        named_at_all += any(hits)
        # Whatever is named does explain it: every one of the first group with every one of the second.
        assert all(made.dark([x, y]) == gone for one, other in pairs for x in one for y in other), seed
    assert tried >= PLANTS / 3
    assert first_named >= 0.95 * tried, f"{first_named} of {tried}"
    assert named_at_all == tried
