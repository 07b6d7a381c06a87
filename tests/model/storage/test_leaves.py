"""The quick look at a whole table never passes what the close look at one entity would find fault with."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from model.entities import Cable, Site, Stop
from model.ids import CableId, CableTypeId, SiteId, StopId
from model.storage.leaves import all_clean, leaf_faults

TEXT = st.text(st.sampled_from(["a", " ", "\n", "\x07", "é", "\u2028"]), max_size=5) | st.sampled_from(["x" * 201])
NUMBER = st.none() | st.floats(allow_nan=True, allow_infinity=True) | st.integers(-3, 3)
SITES = st.builds(Site, st.builds(SiteId, TEXT), TEXT, st.just("enclosure"))
STOPS = st.builds(
    Stop, st.builds(StopId, TEXT), st.just(SiteId("s")), mark_in_m=NUMBER, mark_out_m=NUMBER, entry_in=TEXT
)
CABLES = st.builds(
    Cable, st.builds(CableId, TEXT), TEXT, st.just(CableTypeId("k")), st.lists(STOPS, max_size=3).map(tuple)
)


@given(st.lists(SITES | CABLES, max_size=6))
def test_what_passes_the_quick_look_has_no_fault_in_any_leaf(entities: list[Site | Cable]) -> None:
    if all_clean(entities):
        assert [fault for entity in entities for fault in leaf_faults(entity, "$")] == []


def test_plain_entities_pass_the_quick_look() -> None:
    stop = Stop(StopId("a.1"), SiteId("s"), mark_in_m=4.5)
    assert all_clean([Cable(CableId("a"), "A 1", CableTypeId("k"), (stop,)), Site(SiteId("s"), "É", "enclosure")])


def test_a_number_that_is_none_between_good_ones_does_not_pass_the_quick_look() -> None:
    stops = tuple(
        Stop(StopId(f"a.{n}"), SiteId("s"), mark_in_m=metres) for n, metres in enumerate((1.0, float("nan"), 2.0))
    )
    assert not all_clean([Cable(CableId("a"), "A", CableTypeId("k"), stops)])
