# mypy: disable-error-code="arg-type"
"""Parking, patching and unplugging as edits: what they refuse, and that undo leads back."""

from __future__ import annotations

from math import inf, nan

import pytest

from model.catalogue import parts_for
from model.edits.joining import Join, Plug
from model.edits.parts import Add, Bring
from model.edits.patching import Park, Patch, Unplug
from model.entities import LegEnd, Port, Site, Splitter
from model.errors import EditError
from model.history import History
from model.plant import Plant
from model.storage.document import decode, encode


def field() -> History:
    """Two panels of four ports at one site and one port at another, a 1x4 with its legs parked."""
    history = History(Plant())
    sites = [Site(key, key.upper(), "cabinet") for key in ("c", "d")]
    ports = [Port(f"{panel}{n}", "c", panel, n) for panel in "pq" for n in range(1, 5)]
    splitter = Splitter("s", "c", "1x4", "S", parked=(1, 2, 3, 4))
    history.do(Bring(parts_for("1x4", "pt-1")), Add((*sites, *ports, Port("far", "d", "R", 1), splitter), "field"))
    return history


def splitter_of(history: History) -> Splitter:
    found: Splitter = history.plant.table("splitters")["s"]
    return found


def test_a_leg_that_is_plugged_or_spliced_is_parked_no_more_and_unplugging_leaves_it_loose() -> None:
    history = field()
    history.do(Plug((LegEnd("s", "out", 2),), ("p1",), "front", None))
    assert splitter_of(history).parked == (1, 3, 4)
    history.do(Join("c", ((LegEnd("s", "out", 3), LegEnd("s", "in", 1)),)))
    assert splitter_of(history).parked == (1, 4)
    history.do(Unplug(("plug p1 front",)))
    assert splitter_of(history).parked == (1, 4)
    history.do(Park((LegEnd("s", "out", 2),)))
    assert splitter_of(history).parked == (1, 2, 4)


def test_a_used_or_missing_leg_is_not_parked() -> None:
    history = field()
    history.do(Plug((LegEnd("s", "out", 2),), ("p1",), "front", None))
    for leg in (LegEnd("s", "out", 2), LegEnd("s", "out", 5), LegEnd("nobody", "in", 1)):
        with pytest.raises(EditError):
            history.do(Park((leg,)))
    assert splitter_of(history).parked == (1, 3, 4)


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (Patch((("p1", "p1"),), "pt-1"), "patched to itself"),
        (Patch((("p1", "far"),), "pt-1"), "two sites"),
        (Patch((("p1", "zz"),), "pt-1"), "there is no port"),
        (Patch((("p1", "q1"),), "pt-1", nan), "a cord of nan m"),
        (Patch((("p1", "q1"),), "pt-1", inf), "a cord of inf m"),
        (Patch((("p1", "q1"),), "pt-1", 0.0), "a cord of 0 m"),
        (Patch((("p1", "q1"),), "nothing"), "no cord of one fibre"),
        (Patch((("p1", "q1"), ("p1", "q2")), "pt-1"), "is taken"),
        (Unplug(("plug q1 front",)), "there is no plug"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_refused_says_why_and_changes_nothing(edit: Patch | Unplug, words: str) -> None:
    history = field()
    before = history.plant.copy()
    with pytest.raises(EditError, match=words):
        history.do(edit)
    assert history.plant == before


def test_a_cord_comes_with_both_its_plugs_goes_with_them_and_survives_its_file() -> None:
    history = field()
    history.do(Patch((("p1", "q1"), ("p2", "q2")), "pt-1", 1.5))
    assert sorted(history.plant.cables) == ["pc-1", "pc-2"]
    assert decode(encode(history.plant)) == history.plant
    history.do(Unplug(("plug p1 front",)))
    assert "pc-1" in history.plant.cables, "its other end still stands in q1"
    history.do(Unplug(("plug q1 front",)))
    assert sorted(history.plant.cables) == ["pc-2"]
    history.undo()
    history.undo()
    history.undo()
    assert not history.plant.cables
    assert not history.plant.matings
