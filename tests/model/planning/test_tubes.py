# mypy: disable-error-code="arg-type, union-attr"
"""Tubes to open: as good as trying everything, said in words, applied and taken back as one step."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.entities import FibreEnd
from model.errors import PlantError
from model.graph import Continuity
from model.history import History
from model.lookup import looped_fibres
from model.planning import Proposal, open_tubes
from model.rules.run import check
from model.templates import LARKMOOR, TEMPLATES, mid_span
from model.trace import services_by_node
from tests.model.planning.boxes import Facts, box_plant, brute, drop_ends, graph_of, price, random_facts

SEEDS = range(400)


def ask(facts: Facts, **options: object) -> tuple[Proposal, ...]:
    graph = graph_of(box_plant(facts))
    asked = {"ports": tuple(f"ex.{n}" for n in sorted(facts.ports)), **options}
    return open_tubes(graph, "c", "c.box", drop_ends(facts), reserved=facts.reserved, reserve=facts.reserve, **asked)


def used(proposal: Proposal) -> tuple[int, ...]:
    ends = [end for edit in proposal.edits for pair in getattr(edit, "pairs", ()) for end in pair]
    return tuple(sorted(end.fibre for end in ends if isinstance(end, FibreEnd) and end.cable == "c"))


@pytest.mark.parametrize("seed", SEEDS)
def test_the_answer_is_the_best_of_all_ways(seed: int) -> None:
    facts = random_facts(seed)
    best = brute(facts)
    if best is None:
        with pytest.raises(PlantError, match="can serve"):
            ask(facts)
        return
    first = ask(facts)[0]
    assert (first.weight, used(first)) == best


def test_the_random_cases_ask_something() -> None:
    cases = [random_facts(seed) for seed in SEEDS]
    found = [brute(facts) for facts in cases]
    answered = [best for best in found if best is not None]
    assert len(answered) >= 200
    assert sum(best[0][1] > 1 for best in answered) >= 30  # several tubes opened
    assert sum(best[0][0] > 0 for best in answered) >= 30  # live glass that cannot be avoided
    assert sum(best is None for best in found) >= 20
    assert sum(bool(facts.ports) for facts, best in zip(cases, found, strict=True) if best) >= 30  # ports are chosen
    assert sum(facts.reserve > 0 for facts, best in zip(cases, found, strict=True) if best) >= 30
    assert sum(bool(facts.unplugged) for facts in cases) >= 100  # glass that leads to no exchange port


@pytest.mark.parametrize("seed", range(0, 400, 8))
def test_applied_it_serves_every_drop_in_order_and_undo_restores_the_plant(seed: int) -> None:
    facts = random_facts(seed)
    if brute(facts) is None:
        return
    plant = box_plant(facts)
    before = plant.copy()
    graph = Continuity(plant)
    proposal = open_tubes(graph, "c", "c.box", drop_ends(facts), reserved=facts.reserved, reserve=facts.reserve)[0]
    history = History(plant)
    history.listen(graph.update)
    was = services_by_node(graph)
    history.do(*proposal.edits, name=proposal.name)
    assert history.steps[-1].name == proposal.name
    assert len(history.steps) == 1
    pairs = sorted((s.a.fibre, s.b.cable) for s in plant.splices.values() if s.a.fibre in used(proposal))
    assert [drop for _, drop in pairs] == [f"d{n}" for n in range(1, facts.wanted + 1)]
    for end in drop_ends(facts):
        (port,) = {f"ex.{s.a.fibre}" for s in plant.splices.values() if s.b == end}
        assert f"{port}/rear" in graph.graph
    live = {key for ids in was.values() for key in ids}
    assert {key for ids in services_by_node(graph).values() for key in ids} == live
    history.undo()
    assert plant == before


@pytest.mark.parametrize("seed", range(0, 400, 16))
def test_applied_it_brings_no_new_error(seed: int) -> None:
    facts = random_facts(seed)
    facts.live.clear()  # live glass in an opened tube is an error by right
    if brute(facts) is None:
        return
    plant = box_plant(facts)
    before = {(f.rule, f.refs) for f in check(plant) if f.severity == "error"}
    proposal = open_tubes(
        Continuity(plant), "c", "c.box", drop_ends(facts), reserved=facts.reserved, reserve=facts.reserve
    )[0]
    History(plant).do(*proposal.edits, name=proposal.name)
    after = [f for f in check(plant) if f.severity == "error" and f.rule != "fibre.accounted"]
    assert {(f.rule, f.refs) for f in after} <= before
    kind, stop = plant.cable_types["trial"], plant.cables["c"].stops[1]
    fresh = {facts.tube(f) for f in used(proposal)} - facts.worked()
    stored = {f for record in stop.stored for f in record.fibres if record.side == ""}
    assert {f for f in looped_fibres(kind, stop) if facts.tube(f) in fresh} <= stored


def test_two_dark_tubes_come_before_one_beside_live_glass_which_is_the_second_proposal() -> None:
    facts = Facts((6, 4, 4), live={1}, wanted=5)
    first, second = ask(facts)
    assert used(first) == (7, 8, 9, 10, 11)
    assert dict(first.cost)["tubes opened"] == 2
    assert used(second) == (2, 3, 4, 5, 6)
    assert dict(second.cost)["live fibres beside the work"] == 1
    assert any("1 tube fewer" in line and "outage" in line for line in second.reasons)
    assert any(
        line.startswith("tube 1 is left alone: 1 live (1)") and "move 1 live fibre" in line for line in first.left_alone
    )


def test_live_glass_that_cannot_be_avoided_is_said() -> None:
    facts = Facts((4, 4), live={1, 5, 6}, wanted=4)
    first = ask(facts)[0]
    assert price(facts, used(first))[0] == 3
    assert "3 live fibres in the tubes worked on, which cannot be avoided" in first.reasons[0]
    assert "tubes without a live fibre have only 0 dark fibres" in first.reasons[0]


def test_every_tube_is_either_worked_on_or_named_among_those_left_alone() -> None:
    facts = Facts((3, 3, 3, 3), live={4, 5}, unplugged={7, 8, 9}, wanted=2)
    first = ask(facts)[0]
    assert used(first) == (1, 2)
    assert [line.split(" is")[0] for line in first.left_alone] == ["tube 2", "tube 3", "tube 4"]
    assert "it has nothing to give" in first.left_alone[1]
    assert "the fibres of the other tubes are enough" in first.left_alone[2]


def test_a_tube_open_already_is_used_before_another_is_opened() -> None:
    assert used(ask(Facts((4, 4), opened={2}, wanted=3))[0]) == (5, 6, 7)


def test_the_reserve_is_kept_and_using_it_is_a_proposal_of_its_own() -> None:
    facts = Facts((4, 4), reserve=1, wanted=4)
    first, second = ask(facts)
    assert used(first) == (1, 2, 3, 5)
    assert used(second) == (1, 2, 3, 4)
    assert any("the reserve of 1 is used in tube 1" in line for line in second.reasons)


def test_only_fibres_whole_to_a_named_port_are_taken() -> None:
    assert used(ask(Facts((4, 4), wanted=2), ports=("ex.3", "ex.6", "ex.7"))[0]) == (6, 7)


def test_the_same_plant_gives_the_same_words() -> None:
    assert ask(random_facts(3)) == ask(random_facts(3))


def test_too_few_fibres_are_said_with_what_each_tube_has() -> None:
    with pytest.raises(PlantError, match="CAB-1 can serve 3 of the 5 drops") as fault:
        ask(Facts((4,), live={1}, wanted=5))
    assert "tube 1: 1 live (1), 3 dark" in fault.value.hint


def test_too_few_slots_are_said() -> None:
    with pytest.raises(PlantError, match="no tray has room for tube 1"):
        ask(replace(Facts((30,), wanted=25), trays=1))


def test_an_end_of_the_cable_has_no_tube_to_open() -> None:
    graph = graph_of(box_plant(Facts((2,))))
    with pytest.raises(PlantError, match="ends there"):
        open_tubes(graph, "c", "c.ex", drop_ends(Facts((2,))))


def test_no_drops_and_a_negative_reserve_are_refused() -> None:
    graph = graph_of(box_plant(Facts((2,))))
    with pytest.raises(PlantError, match="no drop"):
        open_tubes(graph, "c", "c.box", ())
    with pytest.raises(PlantError, match="reserve"):
        open_tubes(graph, "c", "c.box", drop_ends(Facts((2,))), reserve=-1)


def test_a_drawn_box_is_drawn_again_and_has_no_error_left() -> None:
    # 1, 2, 25 and 40 are live, so of four tubes only the second is wholly dark: fibres 13-24.
    plant = TEMPLATES["mid-span"]()
    before = plant.copy()
    wanted = [FibreEnd("d-1", n, plant.cables["d-1"].stops[0].id, ">") for n in range(1, 5)]
    first = open_tubes(Continuity(plant), "ms-48", plant.cables["ms-48"].stops[1].id, wanted)[0]
    history = History(plant)
    history.do(*first.edits, name=first.name)
    assert {s.a.fibre: s.b.fibre for s in plant.splices.values()} == {13: 1, 14: 2, 15: 3, 16: 4}
    drawn = {(t, r.side) for r in plant.routes.values() if r.kind == "tube" for t in r.tubes}
    assert drawn == {(1, ""), (3, ""), (4, ""), (2, "<"), (2, ">")}
    assert [f.message for f in check(plant) if f.severity == "error"] == []
    assert [line.split(":")[0] for line in first.left_alone] == [f"tube {t} is left alone" for t in (1, 3, 4)]
    history.undo()
    assert plant == before


def test_sixty_drops_from_288_fibres_take_the_five_tubes_without_live_glass() -> None:
    # 24 tubes of 12, a live fibre in each of tubes 1-18, tube 20 promised whole: 19 and 21-24 hold 60 dark fibres.
    live = {12 * (tube - 1) + 1 for tube in range(1, 19)}
    facts = Facts((12,) * 24, live=live, planned=set(range(229, 241)), wanted=60, trays=24)
    first = ask(facts)[0]
    assert used(first) == (*range(217, 229), *range(241, 289))
    assert first.weight == (0, 5, 60, 60, 5)
    alone = [line.split(":")[0] for line in first.left_alone]
    assert alone == [f"tube {tube} is left alone" for tube in (*range(1, 19), 20)]
    assert "12 with a planned service (229-240)" in first.left_alone[-1]
    assert "touching it would move 1 live fibre" in first.left_alone[0]


def test_larkmoor_unopened_is_planned_as_it_was_drawn_by_hand() -> None:
    # Live glass in tubes 1, 2, 4, 5 and 6 of 6 leaves tube 3; the drops are drawn to tray 2 of 3.
    plant = mid_span(replace(LARKMOOR, tube=0, joined=(), whole_tube=False, tubes_mm=None))
    wanted = [FibreEnd(f"d-{n:02d}", 1, plant.cables[f"d-{n:02d}"].stops[0].id, ">") for n in range(1, 11)]
    stop = plant.cables["lm-a1"].stops[1].id
    first = open_tubes(Continuity(plant), "lm-a1", stop, wanted)[0]
    History(plant).do(*first.edits, name=first.name)
    made = mid_span(LARKMOOR)
    joints = {(s.a, s.b, s.tray, s.slot) for s in plant.splices.values()}
    assert joints == {(s.a, s.b, s.tray, s.slot) for s in made.splices.values()}
    assert [f.message for f in check(plant) if f.severity == "error"] == []
