"""The splice schematic from four splices to 864: nothing overlaps, nothing is lost, its counts are those by hand."""

import xml.etree.ElementTree as ET
from collections import Counter
from dataclasses import replace
from itertools import pairwise
from pathlib import Path as FilePath
from typing import Literal

import pytest
import resvg_py
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import render.fonts
from model.catalogue import catalogue, parts_for
from model.edits.cutting import CutFibres, CutTubes
from model.edits.joining import Join, Store
from model.edits.parts import Add, Bring
from model.entities import Cable, Enclosure, FibreEnd, JobInfo, LegEnd, Reading, Site, Splice, Splitter, Stop, Tray
from model.graph import Continuity
from model.history import History
from model.ids import CableId, CableTypeId, EnclosureId, EnclosureTypeId, SiteId, SplitterId, StopId, TrayId, TrayTypeId
from model.plant import Plant
from model.storage.files import load
from model.templates import LARKMOOR, THISTLEMERE, mid_span, slug
from render.check import check
from render.drawing import Circle, Close, CurveTo, Drawing, Group, LineTo, MoveTo, Part, Path, Rect, Text, walk
from render.sheets.options import Options
from render.sheets.splice_build import build
from render.sheets.splice_fold import fold
from render.sheets.splices import splice_sheets, splices
from render.svg import to_svg

FACES = [str(path) for path in FilePath(render.fonts.__file__).parent.glob("*.ttf")]
SVG = "{http://www.w3.org/2000/svg}"
LARK = load(FilePath(__file__).parents[3] / "samples" / "larkmoor.gwp")
THISTLE = load(FilePath(__file__).parents[3] / "samples" / "thistlemere.gwp")
DATED = Options(printed_on="2026-03-15", file="x.svg")
Way = Literal["landscape", "portrait"]
WAYS: tuple[Way, ...] = ("landscape", "portrait")
PAGES = [(page, way) for page in ("A3", "A4", "Letter", "Tabloid") for way in WAYS]
JOINT, BOX, TRAY_24 = SiteId("j"), EnclosureId("e"), TrayTypeId("tray-24")
NEAR, FAR, NEAR_STOP, FAR_STOP = CableId("a"), CableId("b"), StopId("a.j"), StopId("b.j")
FEEDER, FEEDER_STOP, WORK_SITE = CableId("tm-b1"), StopId("tm-b1.wb-07"), SiteId("wb-07")


def texts(drawing: Drawing) -> list[str]:
    return [shape.content for shape, _ in walk(drawing.parts) if isinstance(shape, Text)]


def groups(parts: tuple[Part, ...]) -> list[Group]:
    found = []
    for part in parts:
        if isinstance(part, Group):
            found += [part, *groups(part.parts)]
    return found


def straight(kind: str, count: int, trays: int, crossed: bool = False) -> Plant:
    """Two cables of a kind that end at one joint, fibre to fibre, 24 to a tray; ``crossed`` swaps fibres 1 and 2."""
    history = History(Plant())
    history.do(Bring(parts_for(kind, "tray-24", "wall-box-large")))
    first, last, cable_type = SiteId("ex"), SiteId("fa"), CableTypeId(kind)
    sites = (
        Site(first, "Nettle Green", "exchange"),
        Site(JOINT, "Alder Fork", "enclosure"),
        Site(last, "Quarry Gate", "cabinet"),
    )
    near = Cable(NEAR, "NG-A1", cable_type, (Stop(StopId("a.ex"), first), Stop(NEAR_STOP, JOINT)))
    far = Cable(FAR, "AF-B1", cable_type, (Stop(FAR_STOP, JOINT), Stop(StopId("b.fa"), last)))
    held = [Tray(TrayId(f"t{n}"), BOX, TRAY_24, n, str(n)) for n in range(1, trays + 1)]
    box = Enclosure(BOX, JOINT, EnclosureTypeId("wall-box-large"), "Alder Fork")
    history.do(Add((JobInfo(), *sites, near, far, box, *held), "lay"))
    for index, tray in enumerate(held):
        left = list(range(index * 24 + 1, min(count, index * 24 + 24) + 1))
        right = [left[1], left[0], *left[2:]] if crossed else left
        ends = zip(left, right, strict=True)
        pairs = tuple((FibreEnd(NEAR, a, NEAR_STOP, "<"), FibreEnd(FAR, b, FAR_STOP, ">")) for a, b in ends)
        history.do(Join(JOINT, pairs, tray.id))
    return history.plant


def repaired() -> Plant:
    """Tube 4 of the small sample cut, fibres 37-44 joined straight through again, 45-48 left dark on both sides."""
    history = History(THISTLE.copy())
    tray = Tray(TrayId("t9"), EnclosureId("wb-07-box"), TRAY_24, 2, "9")
    history.do(CutTubes(FEEDER, FEEDER_STOP, (4,)), Add((tray,), "tray"))
    pairs = tuple((FibreEnd(FEEDER, f, FEEDER_STOP, "<"), FibreEnd(FEEDER, f, FEEDER_STOP, ">")) for f in range(37, 45))
    history.do(Join(WORK_SITE, pairs, tray.id))
    return history.plant


def with_splitter() -> Plant:
    """Fibre 1 into a splitter of eight whose legs feed fibres 1-8 of the next cable."""
    history = History(straight("lt-48", 0, 0))
    kind = catalogue().splitter_types["1x8"]
    splitter = Splitter(SplitterId("sp"), JOINT, kind.id, "SP-1")
    tray = Tray(TrayId("t"), BOX, TRAY_24, 1, "1")
    history.do(Bring((kind,)), Add((splitter, tray), "set"))
    history.do(Join(JOINT, ((FibreEnd(NEAR, 1, NEAR_STOP, "<"), LegEnd(splitter.id, "in", 1)),), tray.id))
    legs = tuple((LegEnd(splitter.id, "out", n), FibreEnd(FAR, n, FAR_STOP, ">")) for n in range(1, 9))
    history.do(Join(JOINT, legs, tray.id, first_slot=5))
    return history.plant


HOSTILE = replace(
    LARKMOOR,
    node="<script>alert(1)</script> & =1+1 " + "x" * 47,
    exchange="=1+1 " + "Long name " * 7,
    far="W" * 80,
    cable="LM<&>" + "y" * 60,
    drops=tuple(replace(d, customer="<b>" + d.customer * 6, name=d.name + "-" + "n" * 30) for d in LARKMOOR.drops),
)
VARIANTS = {
    "no drops": (mid_span(replace(LARKMOOR, drops=())), "wb-12"),
    "unnamed job": (mid_span(replace(LARKMOOR, job=JobInfo())), "wb-12"),
    "twelve tubes": (mid_span(replace(LARKMOOR, cable_type="lt-144")), "wb-12"),
    "twenty-four tubes": (mid_span(replace(LARKMOOR, cable_type="lt-288")), "wb-12"),
    "hostile names": (mid_span(HOSTILE), slug(HOSTILE.node)),
    "no trays": (straight("lt-24", 0, 0), "j"),
    "empty box": (Plant([JobInfo(), Site(SiteId("x"), "", "enclosure")]), "x"),
    "unknown site": (Plant([JobInfo()]), "nowhere"),
    "exchange": (LARK, "penny-cross"),
    "far panel": (LARK, "otter-bridge"),
    "customer": (LARK, "1-larkmoor-row"),
    "repair": (repaired(), "wb-07"),
    "splitter": (with_splitter(), "j"),
    "crossed": (straight("lt-12", 12, 1, crossed=True), "j"),
}


@pytest.mark.parametrize(("page", "way"), PAGES)
@pytest.mark.parametrize(("plant", "site"), [(LARK, "wb-12"), (THISTLE, "wb-07")])
def test_samples_have_no_fault_on_any_page(plant: Plant, site: str, page: str, way: Way) -> None:
    for drawing in splice_sheets(plant, site, replace(DATED, page=page, orientation=way)):
        assert check(drawing) == []


@pytest.mark.parametrize("name", VARIANTS)
def test_odd_plants_have_no_fault(name: str) -> None:
    plant, site = VARIANTS[name]
    for options in (DATED, replace(DATED, page="A4", orientation="portrait"), replace(DATED, mono=True)):
        for drawing in splice_sheets(plant, site, options):
            assert check(drawing) == []


@pytest.mark.parametrize(
    ("kind", "count", "trays", "sheets"),
    [("lt-12", 4, 1, 1), ("lt-96", 96, 4, 1), ("lt-288", 288, 12, 1), ("rb-864", 864, 36, 2)],
)
def test_straight_joints_stay_few_sheets(kind: str, count: int, trays: int, sheets: int) -> None:
    drawings = splice_sheets(straight(kind, count, trays), "j", DATED)
    assert len(drawings) == sheets
    for drawing in drawings:
        assert check(drawing) == []
    assert f"Splices: 0 done + {count} planned = {count}, in trays of {trays * 24} slots." in texts(drawings[0])


def test_unfolded_sheets_name_every_fibre_on_both_sides() -> None:
    drawings = splice_sheets(straight("lt-96", 96, 4), "j", DATED, unfold=True)
    chips = Counter(
        g.title for d in drawings for g in groups(d.parts) if g.role == "chip" and g.ref.startswith("fibre:")
    )
    # TIA-598 order, from memory: position 1 is blue and 12 aqua in each tube of twelve.
    assert chips["1 BL"] == chips["13 BL"] == chips["96 AQ"] == 2
    assert sum(chips.values()) == 2 * 96
    assert all(check(d) == [] for d in drawings)


def test_count_check_of_the_small_sample() -> None:
    # Four tubes of twelve: 4 fibres cut and joined, 8 of that tube loop through, three tubes of twelve pass.
    said = texts(splices(THISTLE, "wb-07", DATED))
    counts = "Side A: 4 joined + 8 loop-through + 36 express = 48. Side B: 4 stub + 8 loop-through + 36 express = 48."
    assert f"TM-B1 {counts}" in " ".join(said)
    assert "UNCUT IN OPENED TUBE 17-24" in said
    assert "STUB 13-16, on tray 1, dark to Ferry Head" in said


def test_stubs_are_dark_to_the_node_their_glass_ends_at() -> None:
    said = texts(splices(LARK, "wb-12", DATED))
    assert "STUB 35-36, on tray 2, dark to Penny Cross" in said
    assert "STUB 25-36, on tray 2, dark to Otter Bridge" in said


@pytest.mark.parametrize(("plant", "site", "cable"), [(LARK, "wb-12", "lm-a1"), (THISTLE, "wb-07", "tm-b1")])
def test_every_tube_shows_the_state_it_has_in_the_plant(plant: Plant, site: str, cable: str) -> None:
    stop = next(s for s in plant.cables[cable].stops if s.site == site)
    worked = {work.tube for work in stop.tubes}
    count = len(plant.cable_types[plant.cables[cable].type].tubes)
    found = groups(splices(plant, site, DATED).parts)
    express = {g.ref for g in found if g.role == "express"}
    assert express == {f"tube:{cable}:{n}" for n in range(1, count + 1) if n not in worked}
    tagged = Counter(g.ref for g in found if g.role == "tag" and g.ref.startswith("tube:"))
    assert tagged == {f"tube:{cable}:{n}": 2 for n in range(1, count + 1)}
    loud = Counter(g.ref for g in found if g.role == "loud-tag")
    assert all(loud[ref] == 1 for ref in express)


def test_an_express_tube_is_one_unbroken_stroke_from_bar_to_bar() -> None:
    found = groups(splices(THISTLE, "wb-07", DATED).parts)
    bars = [g.parts[0] for g in found if g.role == "sheath"]
    inner, outer = sorted({bar.x for bar in bars if isinstance(bar, Rect)})
    assert all(isinstance(bar, Rect) for bar in bars)
    for group in (g for g in found if g.role == "express"):
        band = next(part for part in group.parts if isinstance(part, Group) and part.role == "band")
        strokes = [path for path in band.parts if isinstance(path, Path)]
        assert strokes
        for path in strokes:
            start, end = path.steps
            assert isinstance(start, MoveTo)
            assert isinstance(end, LineTo)
            assert (start.x, end.x) == (inner + 8.0, outer)


def test_a_loop_is_a_true_circle_under_its_ribbon() -> None:
    loop = next(g for g in groups(splices(THISTLE, "wb-07", DATED).parts) if g.role == "loop")
    circle = loop.parts[0]
    assert isinstance(circle, Circle)
    assert circle.r == 5.5


def test_repair_counts_both_sides() -> None:
    plant = repaired()
    sides = {c.side: c for c in build(Continuity(plant), "wb-07").counts if c.cable == "tm-b1"}
    a, b = sides["<"], sides[">"]
    # By hand: A joins 4 to the drop and 8 straight through; B joins those 8; 4 of tube 4 are dark on both, 4 more on B.
    assert (a.joined, a.stub, a.loop, a.express) == (12, 4, 8, 24)
    assert (b.joined, b.stub, b.loop, b.express) == (8, 8, 8, 24)
    assert "37-44 joined, each in its own row" in texts(splices(plant, "wb-07", DATED))


def test_measured_losses_show_the_mean_of_both_directions() -> None:
    plant = THISTLE.copy()
    key = next(iter(plant.splices))
    readings = (Reading(1550, "A-B", 0.02), Reading(1550, "B-A", 0.06), Reading(1550, "estimate", 0.01))
    plant._tables["splices"][key] = replace(plant.splices[key], status="done", measured=readings)
    said = texts(splices(plant, "wb-07", DATED))
    assert said.count("meas.") == 1
    assert "0.04" in said
    assert "Splices: 1 done + 3 planned = 4, in trays of 24 slots." in said


def test_one_way_or_an_estimate_leaves_a_joint_at_its_planned_loss() -> None:
    plant = THISTLE.copy()
    for key, reading in zip(plant.splices, (Reading(1550, "A-B", -0.25), Reading(0, "estimate", 0.02)), strict=False):
        plant._tables["splices"][key] = replace(plant.splices[key], status="done", measured=(reading,))
    said = texts(splices(plant, "wb-07", DATED))
    assert "meas." not in said
    assert not any("0.25" in text or "0.02" in text for text in said)


def test_a_joint_that_is_made_says_so_before_its_service_is_live() -> None:
    plant = THISTLE.copy()
    key = next(iter(plant.splices))
    plant._tables["splices"][key] = replace(plant.splices[key], status="done")
    said = texts(splices(plant, "wb-07", DATED))
    assert (said.count("done"), said.count("planned")) == (1, 3)


def test_live_services_are_named_in_the_caution() -> None:
    plant = THISTLE.copy()
    plant._tables["services"]["th-2"] = replace(plant.services["th-2"], status="live")
    said = texts(splices(plant, "wb-07", DATED))
    assert "Live over joints here: TH-2. Count the fibre twice, then cut." in said
    assert said.count("LIVE") == 1


def test_equal_ranges_fold_and_a_crossing_breaks_them() -> None:
    (tube,) = build(Continuity(straight("lt-12", 12, 1)), "j").blocks
    assert [row.count for row in fold(tube.rows)] == [12]
    (tube,) = build(Continuity(straight("lt-12", 12, 1, crossed=True)), "j").blocks
    # 1 to 2, then 2 to 1, then 3 to 12 straight: by hand three ranges.
    assert [row.count for row in fold(tube.rows)] == [1, 1, 10]


def test_crossed_fibres_cross_in_the_lane_right_of_the_slots_only() -> None:
    drawing = splices(straight("lt-12", 12, 1, crossed=True), "j", DATED)
    field = next(g.parts[0] for g in groups(drawing.parts) if g.role == "tray")
    assert isinstance(field, Rect)
    bows = [
        path.steps
        for g in groups(drawing.parts)
        if g.role == "band" and g.ref.startswith("fibre:b:")
        for path in g.parts
        if isinstance(path, Path) and any(isinstance(step, CurveTo) for step in path.steps)
    ]
    assert bows
    for steps in bows:
        for before, step in pairwise(steps):
            if isinstance(step, CurveTo):
                assert not isinstance(before, Close)
                assert before.x >= field.x + field.width


def test_a_traced_path_is_underlaid_and_named() -> None:
    drawing = splices(LARK, "wb-12", replace(DATED, trace="5-larkmoor-row.1/front"))
    assert check(drawing) == []
    assert "TRACE S-4103" in texts(drawing)
    assert [g.role for g in groups(drawing.parts)].count("trace") == 1
    through = splices(THISTLE, "wb-07", replace(DATED, trace="ferry-head.1/front"))
    assert check(through) == []
    assert "TRACE FERRY-HEAD-1" in texts(through)
    looped = splices(THISTLE, "wb-07", replace(DATED, trace="ferry-head.20/front"))
    assert check(looped) == []
    assert [g.role for g in groups(looped.parts)].count("trace") == 1


def test_splitter_legs_stand_left_of_what_they_feed() -> None:
    table = build(Continuity(with_splitter()), "j")
    legs = next(block for block in table.blocks if block.state == "legs")
    assert [(row.left.numbers, row.right.numbers) for row in legs.rows if row.left and row.right] == [
        ((n,), (n,)) for n in range(1, 9)
    ]
    first = table.blocks[0].rows[0]
    assert first.right is not None
    assert (first.right.name, first.right.side) == ("SP-1", "in")


def test_mono_has_no_colour_but_greys() -> None:
    svg = to_svg(splices(LARK, "wb-12", replace(DATED, mono=True, trace="5-larkmoor-row.1/front")))
    colours = {
        value
        for e in ET.fromstring(svg).iter()
        for key in ("fill", "stroke")
        if (value := e.get(key, "none")) != "none"
    }
    for colour in colours:
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        assert max(red, green, blue) - min(red, green, blue) <= 3


def test_same_plant_same_date_same_bytes() -> None:
    again = load(FilePath(__file__).parents[3] / "samples" / "larkmoor.gwp")
    assert to_svg(splices(LARK, "wb-12", DATED)) == to_svg(splices(again, "wb-12", DATED))


@pytest.mark.parametrize("name", ["hostile names", "splitter", "empty box"])
def test_svg_parses_and_renders(name: str) -> None:
    plant, site = VARIANTS[name]
    svg = to_svg(splices(plant, site, DATED), validate=True)
    root = ET.fromstring(svg)
    assert root.find(f".//{SVG}script") is None
    assert "<script" not in svg
    png = resvg_py.svg_to_bytes(svg_string=svg, font_files=FACES, skip_system_fonts=True, dpi=50.0)
    blank = resvg_py.svg_to_bytes(svg_string=f'<svg xmlns="{SVG[1:-1]}" width="420mm" height="297mm"/>', dpi=50.0)
    assert len(bytes(png)) > 4 * len(bytes(blank))


def test_stored_stubs_of_a_drop_are_said_at_its_end() -> None:
    plant = mid_span(replace(THISTLEMERE, joined=(13, 14, 15)))
    said = texts(splices(plant, "wb-07", DATED))
    assert "D-1:4" in said
    assert "stored" in said
    assert "Drops, 1 cable: 3 joined + 1 stub = 4." in said


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    kind=st.sampled_from(["lt-24", "lt-48", "lt-72", "lt-24-6", "lt-144"]),
    cut=st.sets(st.integers(1, 24), min_size=1, max_size=20),
    page=st.sampled_from(PAGES),
)
def test_any_set_of_cut_fibres_adds_up_and_has_no_fault(kind: str, cut: set[int], page: tuple[str, Way]) -> None:
    history = History(
        mid_span(replace(THISTLEMERE, cable_type=kind, tube=1, joined=(1,), live=(), drops=(), tubes_mm=None))
    )
    fibres = tuple(sorted(cut))
    history.do(CutFibres(FEEDER, FEEDER_STOP, fibres))
    ends = fibres[: len(fibres) // 2]
    if ends:
        history.do(Store(FEEDER, FEEDER_STOP, ends, "<", TrayId("wb-07-tray-1")))
    total = history.plant.cable_types[kind].fibre_count
    for count in build(Continuity(history.plant), "wb-07").counts:
        assert count.joined + count.stub + count.loop + count.express == count.total == total
        assert count.stub == len(cut | {1})
    for drawing in splice_sheets(history.plant, "wb-07", replace(DATED, page=page[0], orientation=page[1])):
        assert check(drawing) == []


def test_the_caution_names_the_sign_that_planned_splices_are_drawn_with() -> None:
    planned = texts(splices(mid_span(THISTLEMERE), "wb-07", Options()))
    assert any(line.startswith("Make only the splices drawn with a ring.") for line in planned)
    plant = mid_span(THISTLEMERE)
    done = Plant([replace(e, status="done") if isinstance(e, Splice) else e for e in plant.entities()])
    said = texts(splices(done, "wb-07", Options()))
    assert any(line.startswith("No splice is to be made here.") for line in said)
    assert not any("drawn with a ring." in line for line in said)
