"""Running the rules: order, sites, acceptances, and a rule that breaks down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from model.changes import Draft, apply
from model.edits.cutting import CutFibres, CutTubes, KeepTubes, MakeWhole, OpenTubes
from model.edits.joining import Join, MoveSplices, Part, Store
from model.edits.routing import Hold, SetPlugs, SetSupport
from model.entities import Acceptance, FibreEnd
from model.errors import PlantError
from model.graph import Continuity
from model.history import Edit, propose
from model.plant import Plant
from model.rules import examples
from model.rules.context import Context, Facts
from model.rules.registry import Found, rule
from model.rules.run import FAILED, RULES, check, check_sites
from model.rules.touched import sites_touched
from model.templates import LARKMOOR, THISTLEMERE, mid_span

SMALL, LARGE = mid_span(THISTLEMERE), mid_span(LARKMOOR)


def named(name: str) -> Plant:
    return next(r for r in RULES if r.name == name).bad()


def test_findings_are_sorted_gravest_first_and_stable() -> None:
    plant = examples.with_stop(mid_span(LARKMOOR), "lm-a1")
    plant = examples.put(plant, replace(plant.enclosures[next(iter(plant.enclosures))], plugged=()))
    findings = check(plant)
    order = [finding.severity for finding in findings]
    assert order == sorted(order, key=["error", "warning", "note"].index)
    assert order[0] == "error"
    assert order[-1] == "note"
    assert findings == check(plant.copy())
    assert findings == check(Plant(reversed(list(plant.entities()))))


def test_findings_of_one_rule_stand_in_the_order_of_their_names() -> None:
    some = check(named("entry.seal"))[0]
    ten, two = replace(some, refs=("d-10",)), replace(some, refs=("d-2",))
    assert sorted([ten, two]) == [two, ten]


def test_the_sites_together_say_what_the_whole_says() -> None:
    for plant in (SMALL, LARGE, named("fibre.idle"), named("path.ring"), named("service.path")):
        one_by_one = sorted(f for site in plant.sites.values() for f in check(plant, site.id))
        assert tuple(one_by_one) == check(plant)


def accepted(plant: Plant, measured: float | None) -> Plant:
    (finding,) = check(plant)
    return examples.put(
        plant, Acceptance("ok", finding.rule, finding.refs, measured, "the wall is curved", "A. Quarrie", "2026-03-02")
    )


@pytest.mark.parametrize(
    ("name", "measured", "stays"),
    [
        ("bend.tube", 30.0, True),
        ("bend.tube", 29.0, True),  # 30 mm now is better than the 29 mm accepted
        ("bend.tube", 31.0, False),  # and worse than 31 mm
        ("bend.tube", None, True),
        ("tray.sleeves", 3.0, True),
        ("tray.sleeves", 4.0, True),
        ("tray.sleeves", 2.5, False),
        ("bond.metal", None, True),
    ],
)
def test_an_acceptance_holds_until_the_value_gets_worse(name: str, measured: float | None, stays: bool) -> None:
    (finding,) = check(accepted(named(name), measured))
    assert finding.accepted == stays
    assert ("worse now" in finding.message) == (not stays)


def test_an_acceptance_of_something_else_changes_nothing() -> None:
    plant = named("bend.tube")
    other = Acceptance("ok", "bend.tube", ("elsewhere",), 1.0, "", "", "")
    assert [f.accepted for f in check(examples.put(plant, other))] == [False]


@rule(
    "test.breaks", "error", title="Breaks", reason="It does.", basis="a test", good=examples.clean, bad=examples.clean
)
def breaks(context: Context, limit: float) -> Iterator[Found]:
    yield Found(("x",), "said first")
    raise KeyError("tray-9")


def test_a_rule_that_breaks_down_is_named_and_the_others_speak() -> None:
    findings = check(named("bend.tube"), rules=(*RULES, breaks))
    assert findings[0].rule == "bend.tube"
    failed = [f for f in findings if f.rule == FAILED]
    assert {f.refs for f in failed} == {("test.breaks",)}
    assert len(failed) == len(SMALL.sites)
    assert all("tray-9" in f.message and f.severity == "note" for f in failed)


def edits(plant: Plant) -> st.SearchStrategy[Edit]:
    """Edits that a person might do in a wall box, sensible or not."""
    box = next(iter(plant.enclosures.values()))
    feeder = next(c for c in plant.cables.values() if len(c.stops) == 3)
    stop = feeder.stops[1]
    drops = [(c, c.stops[0]) for c in plant.cables.values() if len(c.stops) == 2]
    fibre = st.integers(1, plant.cable_types[feeder.type].fibre_count)
    fibres = st.lists(fibre, min_size=1, max_size=5, unique=True).map(lambda f: tuple(sorted(f)))
    tubes = st.lists(st.integers(1, 4), min_size=1, max_size=2, unique=True).map(tuple)
    tray = st.sampled_from([t.id for t in plant.trays.values()])
    side = st.sampled_from(["<", ">"])
    near = st.builds(lambda f, s: FibreEnd(feeder.id, f, stop.id, s), fibre, side)
    far = st.sampled_from([FibreEnd(c.id, 1, s.id, ">") for c, s in drops])
    splices = st.lists(st.sampled_from([s.id for s in plant.splices.values()]), min_size=1, max_size=3, unique=True)
    routes = [(r.id, i, s) for r in plant.routes.values() for i, s in enumerate(r.supports)]
    return st.one_of(
        st.builds(lambda t: OpenTubes(feeder.id, stop.id, t), tubes),
        st.builds(lambda t: CutTubes(feeder.id, stop.id, t), tubes),
        st.builds(lambda t: KeepTubes(feeder.id, stop.id, t), tubes),
        st.builds(lambda f: CutFibres(feeder.id, stop.id, f), fibres),
        st.builds(lambda f: MakeWhole(feeder.id, stop.id, f), fibres),
        st.builds(
            lambda f, s, t: Store(feeder.id, stop.id, f, s, t),
            fibres,
            st.sampled_from(["", "<", ">"]),
            st.none() | tray,
        ),
        st.builds(lambda a, b, t: Join(stop.site, ((a, b),), t), near, near | far, tray),
        st.builds(lambda s: Part(tuple(s)), splices),
        st.builds(lambda s, t, n: MoveSplices(tuple(s), t, n), splices, tray, st.integers(1, 24)),
        st.builds(lambda a, b: Hold(feeder.id, stop.id, a, b), st.booleans(), st.booleans()),
        st.builds(lambda n: SetPlugs(box.id, tuple(n)), st.lists(st.sampled_from(["1A", "2", "4", "5"]), unique=True)),
        st.builds(
            lambda at, x, y, r: SetSupport(
                at[0], at[1], replace(at[2], x_mm=at[2].x_mm + x, y_mm=at[2].y_mm + y, radius_mm=r)
            ),
            st.sampled_from(routes),
            st.floats(-80, 80),
            st.floats(-80, 80),
            st.floats(1, 90),
        ),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from([SMALL, LARGE]).flatmap(lambda p: st.tuples(st.just(p), st.lists(edits(p), max_size=6))))
def test_no_edit_breaks_a_rule_and_touched_sites_are_enough(case: tuple[Plant, list[Edit]]) -> None:
    plant = case[0].copy()
    continuity = Continuity(plant)
    kept = {site: check(plant, site, continuity=continuity) for site in plant.sites}  # type: ignore[arg-type]
    for edit in case[1]:
        try:
            changes = propose(plant, edit)
        except PlantError:
            continue
        apply(plant, changes)
        continuity.update(changes)
        touched = sites_touched(plant, changes, continuity)
        facts = Facts(plant, continuity)
        for site in touched:
            kept[site] = check_sites(facts, [site])
    whole = check(plant)
    assert tuple(sorted(f for found in kept.values() for f in found)) == whole
    assert [f.message for f in whole if f.rule == FAILED] == []


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_no_record_however_wrong_breaks_a_rule(data: st.DataObject) -> None:
    """Whole entities are swapped or dropped past the edits' own checks, as long as every id still names something."""
    plant = data.draw(st.sampled_from([SMALL, LARGE, named("path.ring")]))
    draft = Draft(plant)
    for _ in range(data.draw(st.integers(1, 4))):
        table = data.draw(st.sampled_from(["splices", "matings", "routes", "cables", "services"]))
        entity = data.draw(st.sampled_from(list(draft.table(table).values()) or [None]))
        if entity is None:
            continue
        if table == "cables":
            stops = data.draw(st.permutations(entity.stops)) if len(entity.stops) > 2 else entity.stops
            marks = data.draw(st.sampled_from([None, 0.0, 5000.0]))
            draft.put(replace(entity, stops=tuple(replace(s, mark_in_m=marks, strip_mm=None) for s in stops)))
        elif table == "splices" and data.draw(st.booleans()):
            other = data.draw(st.sampled_from(list(draft.table("splices").values())))
            end = data.draw(
                st.sampled_from([other.a, other.b, replace(entity.a, fibre=999), replace(entity.b, fibre=0)])
            )
            draft.put(replace(entity, b=end, slot=data.draw(st.sampled_from([None, 0, 1, 99]))))
        elif table == "routes":
            stop = data.draw(st.sampled_from([s.id for c in plant.cables.values() for s in c.stops]))
            draft.put(replace(entity, stops=(stop,), tubes=(data.draw(st.sampled_from([1, 3, 99])),), side=""))
        else:
            draft.remove(type(entity), entity.id)
    assert [f.message for f in check(draft.plant) if f.rule == FAILED] == []
