"""The cheapest next test: what it is, and what each result would leave of the suspects.

In order of preference (common practice, no source): an OTDR shot into a dark fibre beside the suspects, which tells
places apart by its distance; the level at a spare leg of a splitter; the level at a port, splitter input or splice on
the way; a question about a customer nobody has measured. A test that tells the first two suspects apart goes before
one that only splits the rest. A light source or OTDR is used on dark glass only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from model.correlate.carried import pieces_in, services_in
from model.correlate.dark import DarkShot, dark_shots
from model.correlate.elements import Element, element
from model.correlate.marks import Marks
from model.correlate.paths import Arm, paths_of
from model.graph import Continuity
from model.trace import ways_on

TestKind = Literal["dark fibre", "spare leg", "level", "ask"]
PREFERENCE: Final[tuple[TestKind, ...]] = ("dark fibre", "spare leg", "level", "ask")
MOST_SUSPECTS = 24
"""Suspects of a group that tests are sought for; the later ones are the less likely."""
NONE_OF_THEM: Final = "none of these suspects"
"""What a result means that leaves no suspect."""
MOST_ASKED = 4
"""Customers named in one question."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One result of a test, in words, and the suspects it would leave. ``ends_m`` is where a shot from an exchange port
    ends then, nearest and farthest, metres of fibre without launch lead."""

    result: str
    suspects: tuple[Element, ...]
    ends_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class NextTest:
    """A test: what to do, whether it tells the first two suspects apart, and what each result means.

    ``fibres`` are (cable id, fibre) for a dark fibre, ``services`` the ids of the customers to ask about.
    """

    kind: TestKind
    words: str
    separates_top: bool
    outcomes: tuple[Outcome, ...]
    fibres: tuple[tuple[str, int], ...] = ()
    services: tuple[str, ...] = ()


def next_tests(continuity: Continuity, seen: Marks, groups: Sequence[Sequence[str]]) -> tuple[NextTest, ...]:
    """Tests that split groups of suspects (keys, likeliest first), the best of each kind, best first."""
    found: list[NextTest] = []
    for group in groups:
        some = list(group[:MOST_SUSPECTS])
        if len(some) < 2:
            continue
        arm = _shared_arm(continuity, seen, some)
        made = [_dark(continuity, seen, some), _ask(continuity, seen, some)]
        if arm is not None:
            made += [_spare_leg(continuity, some, arm), _level(continuity, some, arm)]
        found += [test for test in made if test is not None]
    return tuple(sorted(found, key=lambda test: (not test.separates_top, PREFERENCE.index(test.kind))))


def _split(
    continuity: Continuity, group: Sequence[str], result: Callable[[str], str]
) -> tuple[bool, tuple[Outcome, ...]]:
    """(the first two are told apart, what each result leaves), results in the order of the suspects."""
    left: dict[str, list[str]] = {}
    for key in group:
        left.setdefault(result(key), []).append(key)
    outcomes = tuple(Outcome(words, tuple(element(continuity.plant, k) for k in keys)) for words, keys in left.items())
    return result(group[0]) != result(group[1]), outcomes


def _dark(continuity: Continuity, seen: Marks, group: Sequence[str]) -> NextTest | None:
    shots = dark_shots(continuity, seen, group)
    made: list[tuple[tuple[bool, bool, int, int], DarkShot, bool, tuple[Outcome, ...]]] = []
    for place, shot in enumerate(shots):
        apart, outcomes = _split(continuity, group, shot.result)
        if len(outcomes) > 1:
            made.append(((not apart, not shot.from_exchange, -len(outcomes), place), shot, apart, outcomes))
    if not made:
        return None
    _, shot, apart, outcomes = min(made, key=lambda item: item[0])
    if shot.whole not in {outcome.result for outcome in outcomes}:
        # Even then the fibres in use may be hurt alone: pinched on a tray, where dark ones lie untouched.
        bare = [key for key in group if key.startswith(("tube_at|loop", "tube_at|entry", "tray|"))]
        hurt = ", so only the fibres in use are hurt, pinched where they lie bare" if bare else ""
        outcomes = (*outcomes, Outcome(shot.whole + hurt, tuple(element(continuity.plant, key) for key in bare)))
    outcomes = tuple(replace(outcome, ends_m=shot.ends_m.get(outcome.result)) for outcome in outcomes)
    return NextTest("dark fibre", shot.words, apart, outcomes, fibres=shot.fibres)


def _shared_arm(continuity: Continuity, seen: Marks, group: Sequence[str]) -> Arm | None:
    """The way of somebody down on which most of these suspects lie; None for a service with several ways."""
    paths = paths_of(continuity)
    for service in seen.down:
        arms = paths.arms(service)
        if len(arms) == 1 and set(group) <= set(arms[0]):
            return arms[0]
    return None


def _spare_leg(continuity: Continuity, group: Sequence[str], arm: Arm) -> NextTest | None:
    place = {key: index for index, key in enumerate(arm)}
    best: NextTest | None = None
    for key in arm:
        if not key.startswith("leg|"):
            continue
        splitter = key.split("|", 2)[2]
        body = continuity.plant.splitters[splitter]
        legs = len(continuity.plant.splitter_types[body.type].legs_db)
        spare = [n for n in range(1, legs + 1) if not ways_on(continuity.graph, f"{splitter}/out{n}", "outside")]
        if not spare:
            continue

        def result(suspect: str, at: int = place[key]) -> str:
            return "no light" if place[suspect] > at else "light as planned"

        apart, outcomes = _split(continuity, group, result)
        if len(outcomes) > 1 and (best is None or apart > best.separates_top):
            best = NextTest("spare leg", f"read the level at spare leg {spare[0]} of {body.name}", apart, outcomes)
    return best


def _level(continuity: Continuity, group: Sequence[str], arm: Arm) -> NextTest | None:
    """A reading between the suspects; what is read is what arrives at the point from the exchange."""
    place = {key: index for index, key in enumerate(arm)}
    made: list[tuple[tuple[bool, int, int, int], str, bool, tuple[Outcome, ...]]] = []
    for key in arm:
        ease = {"port": 0, "input": 0, "splice": 1}.get(key.split("|", 1)[0])
        if ease is None:
            continue

        def result(suspect: str, at: int = place[key]) -> str:
            return "no light" if place[suspect] > at else "light as planned"

        apart, outcomes = _split(continuity, group, result)
        if len(outcomes) > 1:
            most = max(len(outcome.suspects) for outcome in outcomes)
            made.append(((not apart, ease, most, place[key]), key, apart, outcomes))
    if not made:
        return None
    _, key, apart, outcomes = min(made, key=lambda item: item[0])
    return NextTest("level", f"read the level that arrives at {element(continuity.plant, key).words}", apart, outcomes)


def _ask(continuity: Continuity, seen: Marks, group: Sequence[str]) -> NextTest | None:
    paths, plant = paths_of(continuity), continuity.plant
    told = {*seen.down, *seen.up}
    near = dict.fromkeys(_near(continuity, group))
    alike: dict[frozenset[str], list[str]] = {}
    for service in near:
        if service in told or plant.services[service].status != "live":
            continue
        hit = frozenset(key for key in group if paths.hit(service, frozenset((key,)))[0])
        if hit and len(hit) < len(group):
            alike.setdefault(hit, []).append(service)
    if not alike:
        return None

    def worth(hit: frozenset[str]) -> tuple[bool, int, list[str]]:
        return (group[0] in hit) == (group[1] in hit), abs(2 * len(hit) - len(group)), alike[hit]

    hit = min(alike, key=worth)
    some = alike[hit][:MOST_ASKED]
    names = " or ".join(plant.services[s].name for s in some)
    apart, outcomes = _split(continuity, group, lambda key: "down" if key in hit else "up")
    return NextTest("ask", f"ask whether {names} is up; not measured yet", apart, outcomes, services=tuple(some))


def _near(continuity: Continuity, group: Sequence[str]) -> Iterable[str]:
    for key in group:
        yield from services_in(continuity, pieces_in(continuity, key))
