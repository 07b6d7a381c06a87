"""The order of the right-hand ends: as few crossings as trying every order finds, for many owners no swap to save."""

from __future__ import annotations

from itertools import pairwise, permutations

from hypothesis import given
from hypothesis import strategies as st

from render.sheets.splice_order import MOST, right_order

CASES = st.lists(st.tuples(st.integers(0, 4), st.integers(1, 12)), min_size=1, max_size=14, unique=True)


def inversions(order: list[int]) -> int:
    """Pairs of lines that cross, with the left end of each from the top of the right side down."""
    return sum(a > b for i, a in enumerate(order) for b in order[i + 1 :])


def tried(owners: list[int], own: list[tuple[int]]) -> int:
    """Fewest crossings of all orders of the owners, each tried."""
    best = None
    for order in permutations(dict.fromkeys(owners)):
        ranked = sorted(range(len(owners)), key=lambda i: (order.index(owners[i]), own[i]))
        found = inversions(ranked)
        best = found if best is None else min(best, found)
    assert best is not None
    return best


def test_crossings_by_hand() -> None:
    # A, then three of B, then two more of A. A on top: its last two cross three of B each, 6; B on top: 3.
    owners, own = list("ABBBAA"), [(1,), (1,), (2,), (3,), (2,), (3,)]
    assert right_order(owners, own) == [1, 2, 3, 0, 4, 5]
    assert inversions([1, 2, 3, 0, 4, 5]) == 3
    # One cable joined back to front: every one of the 6 pairs of 4 crosses, whatever the order of cables.
    assert inversions(right_order(list("AAAA"), [(4,), (3,), (2,), (1,)])) == 6


def test_straight_drops_do_not_cross_and_keep_their_order() -> None:
    assert right_order(list("ABCDEFGHIJKL"), [(1,)] * 12) == list(range(12))


@given(CASES)
def test_as_few_as_trying_every_order(ends: list[tuple[int, int]]) -> None:
    owners, own = [owner for owner, _ in ends], [(number,) for _, number in ends]
    order = right_order(owners, own)
    assert sorted(order) == list(range(len(ends)))
    assert inversions(order) == tried(owners, own)


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 4)), min_size=MOST + 1, max_size=60, unique=True))
def test_many_owners_stay_together_and_no_swap_of_neighbours_saves_a_crossing(ends: list[tuple[int, int]]) -> None:
    owners, own = [owner for owner, _ in ends], [(number,) for _, number in ends]
    order = right_order(owners, own)
    shown = [owners[index] for index in order]
    assert len([1 for a, b in pairwise(shown) if a != b]) == len(set(owners)) - 1
    assert sorted(order) == list(range(len(ends)))
    # No two neighbours could change places and save a crossing.
    seen = list(dict.fromkeys(shown))
    members = {owner: [i for i, o in enumerate(owners) if o == owner] for owner in seen}
    for one, other in pairwise(seen):
        kept = sum(a > b for a in members[one] for b in members[other])
        swapped = sum(a > b for a in members[other] for b in members[one])
        assert kept <= swapped
