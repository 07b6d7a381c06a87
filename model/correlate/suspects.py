"""From who is down and who is up: what could have failed, what is cleared and by whom, and what to test next.

A suspect lies on every way of every service down to its exchange and takes nobody down who is up. A service that was
not measured says nothing: it neither explains nor contradicts. One with a standby feed is taken down only by what lies
on all its ways, so an element on one arm cannot explain it alone, and that it is up does not clear that element.

Score = share of the down explained, less ``PENALTY`` for each up contradicted, not below 0 (common practice: the weight
has no source). What has the same score is put in order by ``model.correlate.prior``, which never alters the score.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from model.correlate.elements import Element, element
from model.correlate.marks import Marks, marks
from model.correlate.next_tests import NextTest, next_tests
from model.correlate.one_place import also_there
from model.correlate.pairs import Found, best_pairs
from model.correlate.paths import paths_of
from model.correlate.prior import ranks, sites_of, worked_on
from model.errors import PlantError
from model.graph import Continuity
from model.lists.naming import site_name
from model.plant import Plant

PENALTY = 0.5
"""Score lost for each service that is up although the suspect would have taken it down."""
MOST_PARTIAL = 20
"""Suspects named when none explains everything; the rest is among the cleared."""
MOST_CLEARED = 400
"""Cleared elements named, those first that explain most; only their number tells of the rest."""
MOST_NAMES = 8
"""Services named in one sentence."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """What may have failed: ``explains`` and ``contradicted_by`` are service ids, ``score`` from 0 to 1.

    ``also`` are elements at the same place that hold exactly the same glass, such as the tray a tube ends on: no
    service could tell them apart.
    """

    element: Element
    also: tuple[Element, ...]
    explains: tuple[str, ...]
    contradicted_by: tuple[str, ...]
    score: float
    reason: str

    @property
    def words(self) -> str:
        """The element in words, with what is one with it."""
        return " and ".join(part.words for part in (self.element, *self.also))


@dataclass(frozen=True, slots=True)
class Cleared:
    """An element on the way of somebody down that is no suspect, and ``why``: who is up through it, or who is left."""

    element: Element
    explains: tuple[str, ...]
    contradicted_by: tuple[str, ...]
    score: float
    why: str


@dataclass(frozen=True, slots=True)
class Pair:
    """Two faults at once: one of ``first`` and one of ``second``, each a group that nothing known tells apart."""

    first: tuple[Suspect, ...]
    second: tuple[Suspect, ...]
    explains: tuple[str, ...]
    contradicted_by: tuple[str, ...]
    score: float
    reason: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What the correlation says. ``single`` tells whether one fault explains everything.

    ``suspects`` are best first; then all of them have the best score, and together they are the top group. Without
    ``single`` they are the best partial explanations, and ``pair`` is the likeliest pair if two faults explain more;
    ``other_pairs`` explain as much. ``cleared_more`` elements are cleared too but not named.
    ``unplaced`` are services down without a recorded path: nothing can be said about them.
    """

    down: tuple[str, ...]
    up: tuple[str, ...]
    single: bool
    statement: str
    suspects: tuple[Suspect, ...]
    cleared: tuple[Cleared, ...]
    cleared_more: int
    pair: Pair | None
    other_pairs: tuple[Pair, ...]
    next_tests: tuple[NextTest, ...]
    unplaced: tuple[str, ...] = ()

    @property
    def top(self) -> tuple[Suspect, ...]:
        """The suspects that share the best score: what has been observed does not tell them apart."""
        return tuple(s for s in self.suspects if s.score == self.suspects[0].score)


def suspects(continuity: Continuity, down: Iterable[str], up: Iterable[str] = ()) -> Answer:
    """What a fault could be, given the ids of services down and up; those in neither were not measured.

    Raises PlantError when nobody is down, a service is in both, or the plant has no such service.
    """
    gone, fine = _asked(continuity.plant, down, up)
    paths = paths_of(continuity)
    unplaced = tuple(s for s in gone if not paths.arms(s))
    seen = marks(paths, gone, fine)
    ranked = _Ranked(continuity.plant, seen)
    whole = [key for key in ranked.keys if ranked.fits(key)]
    if whole:
        named, merged = _merged(continuity, ranked, whole)
        found = tuple(ranked.suspect(key, merged.get(key, ())) for key in named)
        pairs: list[Pair] = []
        groups = [[s.element.key for s in found]]
    else:
        named = [key for key in ranked.keys if ranked.score(key) > 0][:MOST_PARTIAL]
        merged = {}
        found = tuple(ranked.suspect(key) for key in named)
        pairs = _pairs(continuity, ranked)
        groups = [[s.element.key for s in part] for pair in pairs[:1] for part in (pair.first, pair.second)] or [named]
    shown = set(named) | {part.key for parts in merged.values() for part in parts}
    pair = pairs[0] if pairs else None
    rest = [key for key in ranked.by_reach() if key not in shown]
    cleared = tuple(ranked.cleared(key) for key in rest[:MOST_CLEARED])
    return Answer(
        gone,
        fine,
        bool(whole),
        _statement(continuity.plant, seen, found, bool(whole), pair, unplaced),
        found,
        cleared,
        len(rest) - len(cleared),
        pair,
        tuple(pairs[1:]),
        next_tests(continuity, seen, groups),
        unplaced,
    )


def _asked(plant: Plant, down: Iterable[str], up: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    gone, fine = tuple(dict.fromkeys(down)), tuple(dict.fromkeys(up))
    for service in (*gone, *fine):
        if service not in plant.services:
            raise PlantError(f"there is no service {service!r}", hint="It may have been removed")
    if not gone:
        raise PlantError("nobody is said to be down", hint="Name the services that are down")
    known = set(fine)
    both = [s for s in gone if s in known]
    if both:
        raise PlantError(f"{_names_of(plant, both)} cannot be down and up at once", hint="Leave it out of one list")
    return gone, fine


def _names_of(plant: Plant, services: Sequence[str]) -> str:
    """The names of the first services of many, and how many more there are."""
    more = f" and {len(services) - MOST_NAMES} more" if len(services) > MOST_NAMES else ""
    return " ".join(plant.services[s].name for s in services[:MOST_NAMES]) + more


def _without(services: Sequence[str], left_out: Sequence[str]) -> list[str]:
    gone = set(left_out)
    return [s for s in services if s not in gone]


class _Ranked:
    """Every element on the way of somebody down, the best suspect first."""

    def __init__(self, plant: Plant, seen: Marks) -> None:
        self.plant = plant
        self.marks = seen
        self._counts = {key: seen.counts(hit) for key, hit in seen.hits.items() if hit & seen.down_bits}
        self._scores = {key: self._score(*counts) for key, counts in self._counts.items()}
        rank = ranks(len(seen.down))
        works = worked_on(plant)
        outward = -1 if len(seen.down) == 1 else 1  # one customer: from the customer inward
        self.keys: list[str] = sorted(
            self._counts,
            key=lambda key: (
                -self.score(key),
                rank[key.split("|", 1)[0]],
                not works or works.isdisjoint(sites_of(plant, key)),
                outward * seen.order[key],
                key,
            ),
        )

    def by_reach(self) -> list[str]:
        """The elements by how many of the down they explain, then by how few are up through them."""
        return sorted(self.keys, key=lambda key: (-self._counts[key][0], self._counts[key][1]))

    def score(self, key: str) -> float:
        return self._scores[key]

    def _score(self, explained: int, contradicted: int) -> float:
        return round(max(0.0, explained / len(self.marks.down) - PENALTY * contradicted), 4)

    def fits(self, key: str) -> bool:
        return self._counts[key] == (len(self.marks.down), 0)

    def names(self, services: Sequence[str]) -> str:
        return _names_of(self.plant, services)

    def suspect(self, key: str, also: tuple[Element, ...] = ()) -> Suspect:
        hit = self.marks.hits[key]
        explains, against = self.marks.explains(hit), self.marks.contradicted_by(hit)
        return Suspect(
            element(self.plant, key), also, explains, against, self.score(key), self._reason(key, explains, against)
        )

    def _reason(self, key: str, explains: tuple[str, ...], against: tuple[str, ...]) -> str:
        said = [self.explained(explains)]
        if against:
            said.append(f"{self.names(against)} up through it")
        elif self.marks.up:
            said.append(f"takes down none of the {len(self.marks.up)} up")
        at = [site_name(self.plant, s) for s in sites_of(self.plant, key) if s in worked_on(self.plant)]
        if at:
            said.append(f"work is going on at {' and '.join(at)}")
        return "; ".join(said)

    def explained(self, explains: tuple[str, ...]) -> str:
        down = self.marks.down
        if len(explains) == len(down):
            return f"explains all {len(down)} down" if len(down) > 1 else "explains the one down"
        return f"explains {len(explains)} of {len(down)} down, not {self.names(_without(down, explains))}"

    def cleared(self, key: str) -> Cleared:
        hit = self.marks.hits[key]
        explains, against = self.marks.explains(hit), self.marks.contradicted_by(hit)
        if against:
            why = f"{self.names(against)} {'is' if len(against) == 1 else 'are'} up through it"
        elif explains:
            why = self.explained(explains)
        else:
            why = "takes nobody down alone: a standby feed runs past it"
        return Cleared(element(self.plant, key), explains, against, self.score(key), why)


def _merged(
    continuity: Continuity, ranked: _Ranked, keys: list[str]
) -> tuple[list[str], dict[str, tuple[Element, ...]]]:
    """(keys left, what is one with some of them): a tray that holds one tube's glass only is no suspect of its own."""
    merged: dict[str, tuple[Element, ...]] = {}
    gone: set[str] = set()
    for key in keys:
        tray = also_there(continuity, key) if key.startswith("tube_at|") else None
        if tray in keys and tray not in gone:
            merged[key] = (element(ranked.plant, tray),)
            gone.add(tray)
    return [key for key in keys if key not in gone], merged


def _pairs(continuity: Continuity, ranked: _Ranked) -> list[Pair]:
    """Pairs that explain more than the best element alone."""
    alone = max((ranked.score(key) for key in ranked.keys), default=0.0)
    found = best_pairs(ranked.marks, ranked.keys, PENALTY)
    return [_pair(continuity, ranked, pair) for pair in found if pair.score > alone]


def _pair(continuity: Continuity, ranked: _Ranked, found: Found) -> Pair:
    seen, groups = ranked.marks, []
    for keys in (found.first, found.second):
        rank = ranks(len(seen.explains(seen.hits[keys[0]])))
        ordered = sorted(keys, key=lambda key: (rank[key.split("|", 1)[0]], seen.order[key], key))
        kept, merged = _merged(continuity, ranked, ordered)
        groups.append(tuple(ranked.suspect(key, merged.get(key, ())) for key in kept))
    first, second = groups
    hit = seen.hits[found.first[0]] | seen.hits[found.second[0]]
    explains, against = seen.explains(hit), seen.contradicted_by(hit)
    reason = f"{first[0].words} with {second[0].words} {ranked.explained(explains)}"
    if against:
        reason += f"; {ranked.names(against)} up against it"
    return Pair(first, second, explains, against, found.score, reason)


def _statement(
    plant: Plant, seen: Marks, found: tuple[Suspect, ...], single: bool, pair: Pair | None, unplaced: tuple[str, ...]
) -> str:
    said = []
    if not seen.down:
        said.append("Nobody down has a path in the record")
    elif single:
        count = f"{len(found)} elements explain" if len(found) > 1 else "One element explains"
        whom = f"all {len(seen.down)} down" if len(seen.down) > 1 else "the one down"
        said.append(f"{count} {whom} and contradict{'s' * (len(found) == 1)} nobody up")
    else:
        said.append(
            "No single fault explains all who are down without taking down somebody who is up: "
            "two faults at once, or an error in the record"
        )
        if pair is None:
            said.append("no pair of faults does better")
        elif len(pair.explains) < len(seen.down):
            said.append(f"the best pair still leaves {_names_of(plant, _without(seen.down, pair.explains))}")
    if unplaced:
        said.append(f"{_names_of(plant, unplaced)} without a path in the record, so left out")
    return "; ".join(said) + "."
