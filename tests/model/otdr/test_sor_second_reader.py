"""Files of our test writer, version 2, through somebody else's reader: layout and meaning are not only ours.

That reader knows no version 1 and keeps a sum of its own, so neither is compared.
"""

from __future__ import annotations

from typing import Any

import otdrs
from hypothesis import given
from hypothesis import strategies as st

from model.otdr.sor import read_sor
from model.otdr.sor_blocks import metres, spacing_m
from tests.model.otdr.sor_writer import Mark, Shot, written


@given(
    st.lists(
        st.builds(
            Mark,
            at_m=st.floats(0.0, 50_000.0),
            loss_db=st.floats(-2.0, 20.0),
            reflectance_db=st.floats(-70.0, -10.0),
            code=st.sampled_from(["0F", "1F", "2E"]),
            comment=st.sampled_from(["", "pole 7"]),
        ),
        min_size=1,
        max_size=5,
    ),
    st.lists(st.floats(-50.0, 0.0), min_size=1, max_size=30),
    st.floats(0.0, 1000.0),
    st.integers(140_000, 150_000),
)
def test_both_readers_see_the_same(marks: list[Mark], levels: list[float], launch_m: float, index_e5: int) -> None:
    data = written(Shot(2, index_e5 / 1e5, events=marks, levels_db=levels, launch_m=launch_m))
    ours, theirs = read_sor(data), otdrs.parse_bytes(data)
    general, fixed = theirs.general_parameters, theirs.fixed_parameters
    assert general is not None
    assert fixed is not None
    assert theirs.key_events is not None
    assert theirs.data_points is not None
    assert ours.warnings == ()
    assert (ours.cable, ours.fibre, ours.operator) == (general.cable_id, general.fiber_id, general.operator)
    assert ours.launch_m == metres(general.user_offset, ours.index)
    assert ours.index == fixed.group_index / 1e5
    assert ours.curve.spacing_m == spacing_m(fixed.data_spacing[0], ours.index)
    events: list[Any] = [*theirs.key_events.key_events, theirs.key_events.last_key_event]
    assert [e.at_m for e in ours.events] == [metres(e.event_propogation_time, ours.index) for e in events]
    assert [e.loss_db for e in ours.events] == [e.event_loss / 1000.0 for e in events]
    assert [e.code + e.comment for e in ours.events] == [e.event_code + e.comment for e in events]
    assert list(ours.curve.raw) == list(theirs.data_points.scale_factors[0].data)
