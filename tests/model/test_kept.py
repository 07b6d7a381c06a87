"""What a plant keeps is true again right after every write, in the plant and in a draft of it."""

from __future__ import annotations

from dataclasses import replace

from model.changes import Draft, apply
from model.entities import Cable, Site, Splice, Stop
from model.graph import Continuity
from model.ids import CableId, CableTypeId, SiteId, StopId
from model.lookup import find_stop, stops_at
from model.plant import Plant
from model.templates import THISTLEMERE, mid_span
from model.trace import services_by_node


def _names_at(plant: Plant, site: str) -> list[str]:
    return [cable.name for cable, _, _ in stops_at(plant, site)]


def _plant() -> Plant:
    stops = (Stop(StopId("a.1"), SiteId("s")), Stop(StopId("a.2"), SiteId("t")))
    return Plant(
        [
            Site(SiteId("s"), "S", "exchange"),
            Site(SiteId("t"), "T", "cabinet"),
            Cable(CableId("a"), "A", CableTypeId("k"), stops),
        ]
    )


def test_an_index_follows_a_draft_without_touching_the_plant_below_and_then_the_plant() -> None:
    plant = _plant()
    assert _names_at(plant, "s") == ["A"]
    draft = Draft(plant)
    draft.put(replace(plant.cables["a"], name="B"))
    assert (_names_at(draft.plant, "s"), _names_at(plant, "s")) == (["B"], ["A"])
    apply(plant, draft.change_set("rename"))
    assert _names_at(plant, "s") == ["B"]
    assert find_stop(plant, "a.2")[0].name == "B"
    apply(plant, draft.change_set("rename").inverse())
    assert _names_at(plant, "s") == ["A"]


def test_a_copy_and_its_plant_go_their_own_ways() -> None:
    plant = _plant()
    assert _names_at(plant, "t") == ["A"]
    other = plant.copy()
    draft = Draft(other)
    draft.remove(Cable, "a")
    apply(other, draft.change_set("remove"))
    assert (_names_at(plant, "t"), _names_at(other, "t")) == (["A"], [])


def test_services_on_a_node_follow_the_services_and_the_splices() -> None:
    plant = mid_span(THISTLEMERE)
    continuity = Continuity(plant)
    before = services_by_node(continuity)
    for what in ("service", "splice"):
        draft = Draft(plant)
        if what == "service":
            draft.put(replace(next(iter(plant.services.values())), status="ceased"))
        else:
            draft.remove(Splice, next(iter(plant.splices)))
        changes = draft.change_set("change")
        apply(plant, changes)
        continuity.update(changes)
        after = services_by_node(continuity)
        assert after == services_by_node(Continuity(plant))
        assert after != before
        before = after
