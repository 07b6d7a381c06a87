"""Order of joints over trays, against trying every order and every start."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise, permutations

import pytest

from model.planning.order import Fixed, Item, crossings, lay, least_crossings

SEEDS = range(240)


def case(seed: int) -> tuple[list[Item], list[int], list[Fixed]]:
    """Up to six joints in up to three groups, trays of two to four places, in a third of the cases joints that stay."""
    dice = random.Random(seed)
    count = dice.randint(1, 6)
    rights = dice.sample(range(10), count)
    lefts = dice.sample(range(10), count)
    places = [tray for tray in range(4) for _ in range(dice.randint(2, 4))]
    now = dice.sample(range(len(places)), count)
    items = [Item(f"j{n}", lefts[n], rights[n], dice.choice("ABC"), now[n]) for n in range(count)]
    fixed = []
    if seed % 3 == 0:
        for _ in range(dice.randint(1, 2)):
            at = dice.randrange(len(places))
            fixed.append(Fixed(dice.randrange(20, 30), dice.randrange(10), dice.choice("ABC"), at, places[at]))
    return items, places, fixed


def placements(order: tuple[Item, ...], places: list[int], skip: bool) -> Iterator[dict[str, int]]:
    """Every way to lay the groups in this order, each on from the last, or with the next tray; the first with any."""
    runs: list[list[Item]] = []
    for item in order:
        if runs and runs[-1][0].group == item.group:
            runs[-1].append(item)
        else:
            runs.append([item])

    def onward(index: int, at: int) -> Iterator[dict[str, int]]:
        if index == len(runs):
            yield {}
            return
        heads = [n for n in range(at + 1, len(places)) if places[n] != places[n - 1]]
        inside = 0 < at < len(places) and places[at] == places[at - 1]
        for start in [at, *(heads if skip or at == 0 else heads[:1] if inside else [])]:
            if start + len(runs[index]) <= len(places):
                here = {item.key: start + n for n, item in enumerate(runs[index])}
                for rest in onward(index + 1, start + len(runs[index])):
                    yield here | rest

    yield from onward(0, 0)


def price(items: list[Item], places: list[int], fixed: list[Fixed], place: dict[str, int]) -> tuple[int, ...]:
    """Groups sharing a tray, crossings, trays used, joints moved, counted afresh."""
    trays = {places[at] for at in place.values()}
    shared = 0
    for tray in trays:
        stay = {f.group for f in fixed if f.tray == tray}
        everyone = stay | {i.group for i in items if places[place[i.key]] == tray}
        shared += len(everyone) - max(1, len(stay))
    lines = [(place[i.key], 1, i) for i in items] + [(f.before, 0, f) for f in fixed]
    crossed = 0
    for i, (at, kind, one) in enumerate(lines):
        for at2, kind2, two in lines[i + 1 :]:
            if kind == kind2 == 0:
                continue
            first, second = (one, two) if (at, kind) < (at2, kind2) else (two, one)
            crossed += (first.left > second.left) + (first.right > second.right)
    return shared, crossed, len(trays), sum(place[i.key] != i.now for i in items)


def together(order: tuple[Item, ...]) -> bool:
    groups = [item.group for item in order]
    return sum(a != b for a, b in pairwise(groups)) == len(set(groups)) - 1


@pytest.mark.parametrize("seed", SEEDS)
def test_the_layout_is_the_best_of_all_orders_of_the_groups(seed: int) -> None:
    items, places, fixed = case(seed)
    found = lay(items, places, fixed)
    orders = [order for order in permutations(items) if together(order)]
    tidy = [order for order in orders if all(a.group != b.group or a.left < b.left for a, b in pairwise(order))]
    best = min(
        (price(items, places, fixed, way) for order in tidy for way in placements(order, places, bool(fixed))),
        default=None,
    )
    assert (found.cost if found else None) == best
    if found:
        assert price(items, places, fixed, dict(found.place)) == found.cost
    if found and not fixed:
        # Inside a group too: no order at all of its joints has fewer crossings.
        anyhow = min(price(items, places, [], way)[:3] for order in orders for way in placements(order, places, False))
        assert found.cost[:3] == anyhow


def test_joints_whose_ends_agree_need_not_cross_and_each_swapped_pair_crosses_once() -> None:
    straight = [Item(str(n), n, n, "") for n in range(5)]
    assert (crossings(straight), least_crossings(straight)) == (0, 0)
    turned = [Item(str(n), n, 4 - n, "") for n in range(5)]
    assert crossings(turned) == least_crossings(turned) == 10  # every one of 5 x 4 / 2 pairs


def test_two_joints_in_the_wrong_slots_cross_on_both_sides() -> None:
    assert crossings([Item("b", 1, 1, ""), Item("a", 0, 0, "")]) == 2


def test_too_few_places_give_no_layout() -> None:
    assert lay([Item("a", 0, 0, ""), Item("b", 1, 1, "")], [0]) is None


def test_more_groups_than_can_all_be_tried_go_in_the_order_of_their_left_ends() -> None:
    items = [Item(str(n), n, n, f"g{n}") for n in range(14)]
    found = lay(items, [n for n in range(14) for _ in range(3)])
    assert found is not None
    assert not found.every_order
    assert found.cost[:3] == (0, 0, 14)
