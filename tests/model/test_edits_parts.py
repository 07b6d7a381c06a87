# mypy: disable-error-code="arg-type"
"""Adding, replacing and removing whole entities: nothing that something leans on goes away."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.catalogue import parts_for
from model.edits.cutting import CutFibres
from model.edits.joining import Join, Plug, Store
from model.edits.parts import Add, Bring, Remove, Replace
from model.edits.routing import DrawRoute
from model.entities import JobInfo, Route, Service, Support
from model.errors import EditError
from model.history import History
from model.parts import Profile
from tests.model.lab import box, cable, end, leg, panel, site, splitter, start


def lab() -> History:
    history = start(
        JobInfo(profile="own"),
        Profile("own", "Own"),
        Profile("idle", "Idle"),
        *(site(place) for place in "abzq"),
        # Named and noted like other things on purpose: a name is no use of an id.
        cable("c", "lt-24", "a", "b", "z", name="idle"),
        cable("d", "rd-4", "b", "z", name="q"),
        *box("b", trays=2),
        *panel("a", 2),
        splitter("s", "b", "1x2"),
        splitter("q", "b", "1x2"),
        Service("svc", "q", "a.2"),
    )
    history.do(
        CutFibres("c", "c.b", (1, 2)),
        Join("b", ((end("c", 1, "b", "<"), leg("s", "in")),), "tray-b-1"),
        Plug((end("c", 1, "a", ">"),), ("a.1",)),
        Store("c", "c.b", (2,), "<", "tray-b-2"),
        DrawRoute(Route("r", "box-b", "tube", ("d.b",), (Support("anchor", 0, 0), Support("anchor", 9, 9)))),
    )
    return history


@pytest.mark.parametrize(
    ("table", "key", "user"),
    [
        ("sites", "a", "c"),
        ("sites", "b", "c"),
        ("cables", "c", "splice c:1@c.b<"),
        ("cables", "d", "r"),
        ("enclosures", "box-b", "tray-b-1"),
        ("trays", "tray-b-1", "splice c:1@c.b<"),
        ("trays", "tray-b-2", "c"),
        ("splitters", "s", "splice c:1@c.b<"),
        ("ports", "a.1", "plug a.1 rear"),
        ("ports", "a.2", "svc"),
        ("cable_types", "lt-24", "c"),
        ("tray_types", "tray-12", "wall-box-small"),
        ("enclosure_types", "wall-box-small", "box-b"),
        ("splitter_types", "1x2", "s"),
        ("schemes", "tia-598", "lt-24"),
        ("fibre_classes", "g652d", "lt-24"),
        ("profiles", "own", "job"),
    ],
)
def test_what_is_leaned_on_stays_and_the_user_is_named(table: str, key: str, user: str) -> None:
    history = lab()
    with pytest.raises(EditError) as fault:
        history.do(Remove(table, key, "remove"))
    assert user in fault.value.message or "and others" in fault.value.message
    assert key in history.plant.table(table)


@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("sites", "q"),
        ("splitters", "q"),
        ("profiles", "idle"),
        ("cable_types", "lt-48"),
        ("splitter_types", "1x32"),
        ("services", "svc"),
        ("routes", "r"),
        ("splices", "splice c:1@c.b<"),
    ],
)
def test_what_nothing_leans_on_goes_though_a_name_equals_its_id(table: str, key: str) -> None:
    history = lab()
    before = history.plant.copy()
    history.do(Remove(table, key, "remove"))
    assert key not in history.plant.table(table)
    history.undo()
    assert history.plant == before


def test_a_replacement_must_have_something_to_replace() -> None:
    history = lab()
    with pytest.raises(EditError, match="no 'x' in sites"):
        history.do(Replace(site("x"), "x"))
    with pytest.raises(EditError, match="no 'x' in sites"):
        history.do(Remove("sites", "x", "x"))


def test_a_replacement_may_not_take_glass_away_that_is_joined() -> None:
    history = lab()
    made = history.plant.cables["c"]
    uncut = replace(made, stops=(made.stops[0], replace(made.stops[1], tubes=()), made.stops[2]))
    shorter = replace(made, stops=(made.stops[0], made.stops[2]))
    kind = history.plant.splitter_types["1x2"]
    for entity in (uncut, shorter, replace(kind, inputs=0)):
        with pytest.raises(EditError, match="joins glass that"):
            history.do(Replace(entity, "replace"))
    history.do(Replace(replace(made, name="renamed"), "rename"))
    history.do(Replace(replace(kind, legs_db=(3.8,)), "one leg fewer: nothing is joined to it"))


def test_adding_a_taken_id_is_refused() -> None:
    with pytest.raises(EditError, match="already taken"):
        lab().do(Add((site("new"), site("a")), "add"))


def test_a_part_brought_twice_is_there_once_but_another_part_of_its_id_is_refused() -> None:
    history = lab()
    history.do(Bring(parts_for("lt-24", "1x2")))
    assert history.undo_name != "bring part types"
    with pytest.raises(EditError, match="another part 'lt-24'"):
        history.do(Bring((replace(history.plant.cable_types["lt-24"], od_mm=1.0),)))
