"""Drafting anew: what is still true stays, what is no longer true goes, and no cure undoes another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.catalogue import catalogue
from model.edits.routing import DrawRoute, SetSupport
from model.entries import fits
from model.graph import Continuity
from model.history import History
from model.ids import SiteId
from model.layout import course_of
from model.line.context import Context
from model.line.readback import read_line
from model.missing import opened_missing, places, uncut_missing
from model.plant import Plant
from model.redrafting import draft_all
from model.rules.run import check
from model.templates import TEMPLATES


class Work:
    """A plant worked on by typed lines and cures."""

    def __init__(self, plant: Plant, site: str = "") -> None:
        self.history = History(plant)
        self.site = SiteId(site) if site else None

    @property
    def plant(self) -> Plant:
        return self.history.plant

    def say(self, *lines: str) -> None:
        for text in lines:
            reading = read_line(Context(self.plant, Continuity(self.plant), self.site), text, complete=False)
            assert reading.ok, f"{text}: {reading.error}"
            self.history.do(*reading.edits, name=reading.name)

    def cure_all(self) -> list[str]:
        """Take first cures until none is offered; the rules cured. Fails where cures go round in a ring."""
        cured: list[str] = []
        for _ in range(24):
            found = next((f for f in check(self.plant) if f.cures), None)
            if found is None:
                return cured
            self.history.do(*found.cures[0])
            cured.append(found.rule)
        raise AssertionError(f"cures go round: {cured}")

    def tube(self, number: int) -> set[tuple[str, str | None]]:
        routes = self.plant.routes.values()
        return {(r.side, r.tray) for r in routes if r.kind == "tube" and number in r.tubes}


def mid_span() -> Work:
    return Work(TEMPLATES["mid-span"](), "wb-01")


def test_an_opened_tube_goes_to_its_tray_and_an_uncut_one_back_through_the_bay() -> None:
    work = mid_span()
    work.say("open MS-48:T2", "draft all")
    assert work.tube(2) == {("<", "wb-01-tray-1"), (">", "wb-01-tray-1")}
    work.say("keep MS-48:T2", "draft all")
    assert work.tube(2) == {("", None)}


def test_drafting_back_gives_the_very_courses_that_were_there() -> None:
    work = mid_span()
    before = dict(work.plant.routes)
    work.say("open MS-48:T2", "draft all", "keep MS-48:T2", "draft all")
    assert {k: r.supports for k, r in work.plant.routes.items()} == {k: r.supports for k, r in before.items()}


def test_a_lane_that_somebody_has_moved_is_left_alone() -> None:
    work = mid_span()
    route = work.plant.routes["tube ms-48.wb-01 T1"]
    moved = replace(route.supports[1], x_mm=route.supports[1].x_mm + 1.5)
    work.history.do(SetSupport(route.id, 1, moved))
    work.say("open MS-48:T2", "draft all")
    assert work.plant.routes[route.id].supports[1] == moved
    assert work.tube(2) == {("<", "wb-01-tray-1"), (">", "wb-01-tray-1")}


def test_two_opened_tubes_are_cured_without_going_round() -> None:
    work = mid_span()
    work.say("add tray tray-24", "open MS-48:T2,T4")
    cured = work.cure_all()
    assert "express.whole" in cured
    assert not opened_missing(next(p for p in places(work.plant, "wb-01") if p.passing))


def test_tubes_with_no_room_left_on_the_first_tray_go_to_the_next() -> None:
    # A tray of 24 stores two tubes of 12; the third goes to the second tray.
    work = mid_span()
    work.say("add tray tray-24", "open MS-48:T1,T2,T3", "draft all")
    assert {tray for _, tray in work.tube(1) | work.tube(2)} == {"wb-01-tray-1"}
    assert {tray for _, tray in work.tube(3)} == {"wb-01-tray-2"}


def test_a_drop_joined_on_another_tray_gets_a_course_of_its_own() -> None:
    work = mid_span()
    work.say("add tray tray-24", 'add drop D-2 rd-4 to "Reed House" 40 m at 4', "cut MS-48:T2")
    work.say("join MS-48:13-16 to D-2:1-4 on tray 2", "draft all")
    trays = {key: r.tray for r in work.plant.routes.values() if r.kind == "bundle" for key in r.stops}
    assert trays == {"d-1.wb-01": "wb-01-tray-1", "d-2.wb-01": "wb-01-tray-2"}


def test_a_thicker_drop_makes_the_whole_bundle_bend_wider() -> None:
    work = mid_span()
    work.say('add drop D-2 rd-12 to "Reed House" 40 m at 4', "draft all")
    (bundle,) = [r for r in work.plant.routes.values() if r.kind == "bundle"]
    assert set(bundle.stops) == {"d-1.wb-01", "d-2.wb-01"}
    tightest = course_of(bundle).tightest()
    assert tightest is not None
    assert tightest[0] >= 30.0  # the 2 mm tube of the 12-fibre drop


@pytest.mark.parametrize("box", [key for key in catalogue().enclosure_types if not key.startswith("in-line")])
def test_a_passing_cable_is_drafted_in_every_box_with_entries_below(box: str) -> None:
    work = Work(Plant())
    work.say("add site X exchange", "add site N", "add site Y cabinet", f"add box {box} at N")
    work.site = SiteId("n")
    kind = work.plant.enclosure_types[box]
    sizes = {key: catalogue().cable_types[key] for key in ("lt-48", "lt-144")}
    size = next(key for key, cable in sizes.items() if sum(fits(entry, cable) for entry in kind.entries) > 1)
    work.say(f"add tray {kind.trays[0]}", f"add cable F {size} from X at 0 through N at 100/102 coil 12 to Y at 300")
    work.say("add drop D rd-4 to H 65 m", "open F:T1", "draft all")
    place = next(p for p in places(work.plant, "n") if p.passing)
    assert opened_missing(place) == []
    assert uncut_missing(place) == []
    assert not [f for f in check(work.plant) if f.rule.startswith(("route.", "bend.")) and f.severity == "error"]


def test_an_in_line_body_gets_its_legs_and_its_uncut_tubes_across() -> None:
    work = Work(Plant())
    work.say("add site X exchange", "add site N", "add site Y cabinet", "add box in-line-2 at N")
    work.say("add tray tray-24 to N", "add cable F lt-48 from X at 0 through N at 100/102 to Y at 300")
    edits, faults = draft_all(work.plant, "n")
    assert faults == []
    # Two legs of sheath, and the four tubes of 48 fibres, uncut.
    assert sorted(edit.route.kind for edit in edits if isinstance(edit, DrawRoute)) == ["sheath"] * 2 + ["tube"] * 4


def test_joints_moved_to_another_tray_take_their_courses_along_with_draft_all() -> None:
    # Larkmoor: tube 3 and ten drops lead to tray 2, which has their ten joints; two stubs of the tube stay behind.
    work = Work(TEMPLATES["mid-span-large"](), "wb-12")
    trays = {tray.name: tray.id for tray in work.plant.trays.values()}
    work.say("put tray 2 on tray 1")
    assert sum(found.rule == "route.tray" for found in check(work.plant)) == 11
    steps = len(work.history.steps)
    work.say("draft all")
    assert len(work.history.steps) == steps + 1
    assert [found.message for found in check(work.plant) if found.severity == "error"] == []
    assert work.tube(3) == {("<", trays["1"]), (">", trays["1"])}
    assert {r.tray for r in work.plant.routes.values() if r.kind == "bundle"} == {trays["1"]}
    assert draft_all(work.plant, "wb-12") == ([], [])


def test_a_tube_whose_joints_lie_on_two_trays_is_left_as_it_is_drawn() -> None:
    work = Work(TEMPLATES["mid-span-large"](), "wb-12")
    before = work.tube(3)
    work.say("put tray 2 1-4 on tray 1", "draft all")
    assert work.tube(3) == before
