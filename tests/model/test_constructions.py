"""Every packaged cable in every packaged enclosure that seals it: opened or ending there, drafted, accounted, listed.

A draft may be refused, with one reason; what is drafted has no error of bends or courses, and nothing lies outside.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.colours import colour_at
from model.entries import fits
from model.geometry.errors import GeometryError
from model.graph import Continuity
from model.history import History
from model.ids import SiteId
from model.layout import course_of
from model.line.context import Context
from model.lists.cuts import cut_list
from model.lists.preps import prep
from model.lists.source import Source
from model.lists.stores import spares, storage
from model.lookup import cut_fibres, fibres_of
from model.parts import CableType, EnclosureType
from model.plant import Plant
from model.redrafting import draft_all
from model.rules.accounting import account
from model.rules.context import Context as RuleContext
from model.rules.context import Facts
from model.rules.run import check
from tests.model.line.lines import done

PARTS = catalogue()
BOXES = list(PARTS.enclosure_types.values())
CABLES = [kind for kind in PARTS.cable_types.values() if kind.construction != "pigtail"]
SEALED = [(box, kind) for box in BOXES for kind in CABLES if sum(fits(e, kind) for e in box.entries) >= 2]


def tray_for(box: EnclosureType, kind: CableType) -> str:
    """A tray of the box that takes the cable's joints: a ribbon tray for ribbons where it has one."""
    wanted = [key for key in box.trays if (PARTS.tray_types[key].kind == "ribbon") == bool(kind.ribbon)]
    return (wanted or list(box.trays))[0]


def placed(box: EnclosureType, kind: CableType, *more: str, ends: bool = False) -> Plant:
    """A plant of one cable that passes a box with an opening of two metres, or ends there; then more lines."""
    way = "to N at 100" if ends else "through N at 100/102 to Y at 300"
    lines = (
        "add site X exchange",
        "add site N",
        "add site Y cabinet",
        f"add box {box.id} at N",
        f"add tray {tray_for(box, kind)} to N",
        f"add cable A {kind.id} from X at 0 {way}",
        *more,
    )
    empty = Plant()
    _, context = done(Context(empty, Continuity(empty)), *lines)
    return context.plant


def drafted(plant: Plant) -> tuple[Plant, list[str]]:
    """The plant with what could be drafted, and why the rest could not."""
    edits, faults = draft_all(plant, "n")
    draft = plant.copy()
    if edits:
        History(draft).do(*edits, name="draft")
    return draft, faults


def wrongly_drawn(plant: Plant) -> list[str]:
    found = [f for f in check(plant, SiteId("n")) if f.severity == "error"]
    return [f.message for f in found if f.rule.startswith(("bend", "route"))]


def sums(plant: Plant, side: str) -> str:
    context = RuleContext(Facts(plant), SiteId("n"))
    here = next(h for h in context.cables if h.cable.name == "A")
    return account(context, here, side).text()  # type: ignore[arg-type]


def test_every_enclosure_seals_most_cables_and_every_drop_fits_somewhere() -> None:
    homes = {kind.id: [box.id for box in BOXES if any(fits(e, kind) for e in box.entries)] for kind in CABLES}
    assert [key for key, found in homes.items() if not found] == []


@pytest.mark.parametrize(("box", "kind"), SEALED, ids=lambda part: part.id)
def test_a_cable_that_passes_is_drafted_without_a_bend_or_course_at_fault(box: EnclosureType, kind: CableType) -> None:
    plant, faults = drafted(placed(box, kind, "cut A:1 both on tray 1 at N"))
    assert len(faults) <= 1
    assert all("Draw it by hand" in fault or "Open at least" in fault for fault in faults)
    assert wrongly_drawn(plant) == []
    assert not faults, "today every one of them is drafted"
    drawn = {(t, r.side) for r in plant.routes.values() if r.kind == "tube" for t in r.tubes}
    assert {(1, "<"), (1, ">"), *((t, "") for t in range(2, len(kind.tubes) + 1))} <= drawn
    for route in plant.routes.values():
        if route.kind != "sheath":
            left, top, right, bottom = course_of(route).bbox
            assert -1e-6 <= left <= right <= box.width_mm + 1e-6
            assert -1e-6 <= top <= bottom <= box.height_mm + 1e-6
    # One fibre cut, the rest of its tube loops through, the other tubes express.
    count, first = kind.fibre_count, kind.tubes[0]
    said = {s: sums(plant, s) for s in "<>"}
    assert all(text.endswith(f"= {count}") and "1 stub" in text for text in said.values())
    assert f"{count - first} express" in said["<"] or count == first


@pytest.mark.parametrize(("box", "kind"), SEALED, ids=lambda part: part.id)
def test_a_cable_that_ends_is_drafted_without_a_bend_or_course_at_fault(box: EnclosureType, kind: CableType) -> None:
    plant, faults = drafted(placed(box, kind, ends=True))
    assert faults == []
    assert wrongly_drawn(plant) == []
    assert any(r.kind in ("tube", "bundle") for r in plant.routes.values())


@settings(max_examples=60)
@given(pair=st.sampled_from(SEALED), data=st.data())
def test_what_is_cut_on_any_construction_is_accounted_listed_and_stored(
    pair: tuple[EnclosureType, CableType], data: st.DataObject
) -> None:
    box, kind = pair
    opening = data.draw(st.integers(900, 6000))
    tube = data.draw(st.integers(1, len(kind.tubes)))
    fibres = list(fibres_of(kind, tube))
    first = data.draw(st.integers(0, len(fibres) - 1))
    last = data.draw(st.integers(first, len(fibres) - 1))
    both = data.draw(st.booleans())
    what = f"A:T{tube}" if (first, last) == (0, len(fibres) - 1) else f"A:{fibres[first]}-{fibres[last]}"
    line = f"cut {what} at N{' both on tray 1' if both else ''}"
    plant = placed(box, kind, f"mark A 100/{100 + opening / 1000:g} at N", line)
    plant, faults = drafted(plant)
    assert all(fault.count("\n") == 0 for fault in faults)
    cable = plant.table("cables")["a"]
    stop = cable.stops[1]
    cut = cut_fibres(kind, stop)
    assert cut == set(fibres[first : last + 1])
    source = Source(Continuity(plant))
    rows = cut_list(source, "n")
    assert sorted(f for row in rows if row.cut for f in row.cut) == sorted(cut)
    assert sorted(f for r in rows if r.what == "tube" for f in r.fibres) == list(range(1, kind.fibre_count + 1))
    stored = storage(source, "n")
    assert sorted(f for row in stored for f in row.fibres) == sorted(set(range(1, kind.fibre_count + 1)) - cut)
    stubs = {(row.side, f): row for row in spares(source, "n") if row.kind == "stub" for f in row.fibres}
    assert set(stubs) == {(side, f) for side in "<>" for f in cut}
    for row in stubs.values():
        # What the exchange side keeps and what the field side keeps is the whole opening.
        other = stubs[">" if row.side == "<" else "<", row.fibres[0]]
        assert row.length_mm is not None
        assert other.length_mm is not None
        assert row.length_mm + other.length_mm == pytest.approx(float(opening), abs=1e-3)
    prep(source, "n")
    assert [f for f in check(plant) if f.rule == "rule.failed"] == []


@settings(max_examples=40)
@given(pair=st.sampled_from([p for p in SEALED if p[0].kind == "in-line"]), opening=st.integers(400, 9000))
def test_across_a_body_the_uncut_tubes_take_up_the_opening(pair: tuple[EnclosureType, CableType], opening: int) -> None:
    box, kind = pair
    plant = placed(box, kind, f"mark A 100/{100 + opening / 1000:g} at N")
    plant, faults = drafted(plant)
    routes = [r for r in plant.routes.values() if r.kind == "tube"]
    if not routes:
        assert len(faults) == 1
        return
    assert len(routes) == len(kind.tubes)
    bay = box.bays[0]
    for route in routes:
        try:
            course = course_of(route)
        except GeometryError as fault:  # pragma: no cover
            raise AssertionError(str(fault)) from fault
        assert not course.kinks
        for support in route.supports:
            if support.kind == "wrap":
                assert bay.hub_mm - 1e-6 <= support.radius_mm <= bay.ring_mm + 1e-6
        # Never longer than what there is, but for the lanes outside the middle one.
        spread = 2 * 3.15 * (bay.ring_mm - bay.hub_mm) * (sum(s.turns for s in route.supports) + 1)
        assert course.length_mm <= opening + spread


def test_ribbons_are_opened_and_joined_one_by_one() -> None:
    box, kind = PARTS.enclosure_types["dome-6"], PARTS.cable_types["rb-144"]
    plant = placed(
        box,
        kind,
        "add cable B rb-144 from N at 0 to Y at 50",
        "join A:R2-R3 to B:R1-R2 on tray 1 at N",
    )
    joints = [s for s in plant.splices.values() if s.method == "ribbon"]
    assert len(joints) == 24
    assert len({s.slot for s in joints}) == 2
    cable = plant.table("cables")["a"]
    assert cut_fibres(kind, cable.stops[1]) == set(range(13, 37))
    rows = [r for r in cut_list(Source(Continuity(plant)), "n") if r.what == "fibres"]
    assert [(r.state, r.ribbons) for r in rows] == [("cut", (2, 3)), ("uncut", (1, 4, 5, 6, 7, 8, 9, 10, 11, 12))]


@pytest.mark.parametrize(
    ("kind", "tube", "position", "tube_words", "fibre_words"),
    [
        # TIA-598: position 13 to 24 repeat the order with a stripe; 24 fibres in a tube, 12 tubes.
        ("lt-288-24", 2, 13, "orange", "blue with black stripe"),
        ("lt-288-24", 12, 20, "aqua", "black with yellow stripe"),
        # The other way with 24: tubes beyond the twelfth carry the stripe.
        ("lt-288", 13, 1, "blue with black stripe", "blue"),
        ("lt-72-6", 12, 6, "aqua", "white"),
    ],
)
def test_tracers_are_spelled_out(kind: str, tube: int, position: int, tube_words: str, fibre_words: str) -> None:
    found = PARTS.cable_types[kind]
    assert colour_at(PARTS.schemes[found.tube_scheme], tube).words == tube_words
    assert colour_at(PARTS.schemes[found.fibre_scheme], position).words == fibre_words


def test_stored_glass_is_as_long_as_measured_else_its_turns_times_the_loop() -> None:
    box, kind = PARTS.enclosure_types["wall-box-small"], PARTS.cable_types["lt-48"]
    plant = placed(
        box,
        kind,
        "cut A:13-14 at N",
        "put A:15-18 on tray 1 turns 3 at N",
        "put A:19-20 on bay turns 2 at N",
        "put A:21-24 on tray 1 turns 3 long 940 mm at N",
    )
    rows = {row.fibres: row for row in storage(Source(Continuity(plant)), "n") if row.tube == 2}
    # One turn of the track is 2 x 60 + 2 pi 30 = 308.5 mm, of the bay 2 pi 45 = 282.7 mm.
    assert rows[15, 16, 17, 18].length_mm == pytest.approx(3 * 308.5, abs=0.1)
    assert rows[19, 20].length_mm == pytest.approx(2 * 282.7, abs=0.1)
    assert rows[21, 22, 23, 24].length_mm == 940.0
    assert rows[15, 16, 17, 18].where == "tray 1"
    assert rows[19, 20].where == "slack bay"


def test_a_tube_too_stiff_for_the_box_is_cut_back_and_its_glass_goes_on_in_a_transport_tube() -> None:
    # The central tube of 144 fibres bends to 120 mm, the dome has 68 mm beside its trays; a transport tube takes 38 mm.
    box, kind = PARTS.enclosure_types["dome-6"], PARTS.cable_types["rb-144"]
    plant, faults = drafted(placed(box, kind, "cut A:R1 both on tray 1 at N"))
    assert faults == []
    ends = [r for r in plant.routes.values() if r.kind == "tube"]
    assert [r.transport_od_mm for r in ends] == [5.0, 5.0]
    rows = [r for r in prep(Source(Continuity(plant)), "n") if r.part == "tube"]
    assert {(r.action, r.remark) for r in rows} == {
        ("cut the tube back at the sheath, put a transport tube on", "transport tube of 5 mm")
    }
    route = ends[0]
    tight = tuple(replace(s, radius_mm=30.0) if s.kind == "corner" and s.radius_mm < 45 else s for s in route.supports)
    plant = Plant([replace(route, supports=tight) if e == route else e for e in plant.entities()])
    found = [f for f in check(plant) if f.rule == "bend.tube"]
    assert [f.limit for f in found] == [38.0]
    assert found[0].measured == pytest.approx(30.0)
