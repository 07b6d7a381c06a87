# mypy: disable-error-code="arg-type, union-attr"
"""Places of joints on the trays of a site: groups kept apart, fewest crossings, applied and taken back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.edits.joining import Join
from model.edits.parts import Replace
from model.entities import FibreEnd, Route
from model.errors import PlantError
from model.graph import Continuity
from model.history import History
from model.planning import fill_trays
from model.plant import Plant
from model.rules.run import check
from model.templates import LARKMOOR, TEMPLATES, THISTLEMERE, mid_span


def joint(fibres: list[tuple[int, int]], tray: str | None = "j-01-tray-1", first: int = 1) -> History:
    """The straight joint of two 96-fibre cables with these pairs joined and nothing drawn."""
    drawn = TEMPLATES["straight-joint"]()
    plant = Plant([e for e in drawn.entities() if not isinstance(e, Route)])
    a, b = plant.cables["gl-96"].stops[-1].id, plant.cables["pb-96"].stops[0].id
    pairs = tuple((FibreEnd("gl-96", x, a, "<"), FibreEnd("pb-96", y, b, ">")) for x, y in fibres)
    history = History(plant)
    history.do(Join("j-01", pairs, tray, first))
    return history


def lay_of(plant: Plant) -> dict[int, tuple[str, int]]:
    return {s.a.fibre: ((s.tray or "")[-1:], s.slot or 0) for s in plant.splices.values()}


def test_joints_in_the_wrong_slots_are_laid_in_order_without_a_crossing() -> None:
    history = joint([(3, 3), (2, 2), (1, 1)])
    plant = history.plant
    before = plant.copy()
    first = fill_trays(Continuity(plant), "j-01")[0]
    # three pairs, each crossing on both sides
    assert "0 crossings, 6 as they lie now" in first.reasons[0]
    assert "no order of slots has fewer" in first.reasons[1]
    history.do(*first.edits, name=first.name)
    assert lay_of(plant) == {1: ("1", 1), 2: ("1", 2), 3: ("1", 3)}
    history.undo()
    assert plant == before


def test_each_tube_has_a_tray_of_its_own() -> None:
    fibres = [*range(1, 7), *range(13, 17), *range(30, 33)]
    history = joint([(f, f) for f in fibres])
    first = fill_trays(Continuity(history.plant), "j-01", "tube")[0]
    history.do(*first.edits)
    trays = {fibre: tray for fibre, (tray, _) in lay_of(history.plant).items()}
    assert {trays[f] for f in fibres[:6]} == {"1"}
    assert {trays[f] for f in fibres[6:10]} == {"2"}
    assert {trays[f] for f in fibres[10:]} == {"3"}
    assert dict(first.cost)["groups that share a tray"] == 0
    assert "GL-96 tube 2: 4 joints on tray 2" in first.reasons
    assert "tray 4 is left alone: not needed" in first.left_alone
    assert not fill_trays(Continuity(history.plant), "j-01", "tube")


def test_crossings_that_separation_costs_are_said_and_mixing_is_the_second_proposal() -> None:
    # By their left ends 1, 13 are tubes 1 and 2; groups given so that 1 and 13 belong together and 2 apart:
    # left 1, 2, 13 in order; with {1, 13} first the joint 2 must cross 13 on both sides.
    history = joint([(1, 1), (2, 2), (13, 13)], tray=None)
    ids = {s.a.fibre: s.id for s in history.plant.splices.values()}
    groups = {ids[1]: "one", ids[13]: "one", ids[2]: "two"}
    first, second = fill_trays(Continuity(history.plant), "j-01", groups=groups)
    assert (dict(first.cost)["crossings"], dict(second.cost)["crossings"]) == (2, 0)
    assert "every order of the groups was looked at; with the groups mixed 0 would do" in first.reasons
    assert "mixed" in second.name


def test_a_tenth_of_the_slots_stays_free() -> None:
    # 24 slots: 21 may be used, so 24 joints need a second tray.
    history = joint([(f, f) for f in range(1, 25)])
    first = fill_trays(Continuity(history.plant), "j-01", "none")[0]
    history.do(*first.edits)
    trays = [tray for tray, _ in lay_of(history.plant).values()]
    assert (trays.count("1"), trays.count("2")) == (21, 3)
    assert not [f for f in check(history.plant) if f.rule == "tray.reserve"]


def test_joints_made_already_stay() -> None:
    history = joint([(2, 2), (1, 1)])
    plant = history.plant
    made = next(s for s in plant.splices.values() if s.a.fibre == 2)
    history.do(Replace(replace(made, status="done"), "made"))
    first = fill_trays(Continuity(plant), "j-01", "none")
    for proposal in first:
        history.do(*proposal.edits)
    assert lay_of(plant)[2] == ("1", 1)


def test_too_little_room_and_a_site_without_a_tray_are_said() -> None:
    plant = joint([(1, 1)]).plant
    with pytest.raises(PlantError, match="has no tray"):
        fill_trays(Continuity(plant), "gorse-lane")
    with pytest.raises(PlantError, match="no site"):
        fill_trays(Continuity(plant), "nowhere")
    with pytest.raises(PlantError, match="share from 0"):
        fill_trays(Continuity(plant), "j-01", kept=1.0)
    with pytest.raises(PlantError, match="take 0 joints"):
        fill_trays(Continuity(plant), "j-01", kept=0.97)


@pytest.mark.parametrize("by", ["tube", "service", "side", "none"])
def test_a_site_in_good_order_is_left_as_it_is(by: str) -> None:
    plant = mid_span(THISTLEMERE)
    assert fill_trays(Continuity(plant), "wb-07", by) == ()


def test_joints_of_each_customer_lie_together() -> None:
    # Two customers over one tube, their fibres taking turns: 1 and 3 to one, 2 and 4 to the other.
    history = joint([(f, f) for f in (1, 2, 3, 4)])
    ids = {s.a.fibre: s.id for s in history.plant.splices.values()}
    groups = {ids[f]: "odd" if f % 2 else "even" for f in ids}
    first = fill_trays(Continuity(history.plant), "j-01", groups=groups)[0]
    history.do(*first.edits)
    trays = {f: tray for f, (tray, _) in lay_of(history.plant).items()}
    assert trays[1] == trays[3] != trays[2] == trays[4]


def test_joints_stay_on_the_tray_their_glass_is_drawn_to() -> None:
    # All ten joints of Larkmoor are on tray 2, where tube 3 and the drops are drawn to: two groups share it anyhow.
    plant = mid_span(LARKMOOR)
    ids = sorted(plant.splices, key=lambda key: plant.splices[key].a.fibre)
    groups = {key: "odd" if n % 2 else "even" for n, key in enumerate(ids)}
    assert fill_trays(Continuity(plant), "wb-12", groups=groups) == ()
    loose = fill_trays(Continuity(plant), "wb-12", groups=groups, keep_drawn=False)[0]
    assert dict(loose.cost)["groups that share a tray"] == 0


def test_shuffled_slots_of_a_drawn_tray_are_put_in_order_without_an_error() -> None:
    plant = mid_span(LARKMOOR)
    history = History(plant)
    slots = {s.a.fibre: s.slot for s in plant.splices.values()}
    for splice in list(plant.splices.values()):
        history.do(Replace(replace(splice, slot=11 - (splice.slot or 0)), "turn round"))
    first = fill_trays(Continuity(plant), "wb-12")[0]
    # 45 pairs of ten joints, each crossing on both sides, come to none.
    assert "0 crossings, 90 as they lie now" in first.reasons[0]
    assert "10 joints kept on the tray the glass is drawn to" in first.reasons
    history.do(*first.edits)
    assert {s.a.fibre: s.slot for s in plant.splices.values()} == slots
    assert not [f for f in check(plant) if f.severity == "error"]
