# mypy: disable-error-code="arg-type, misc"
"""Whatever is cut and joined: schedule, cut list, spares and fibre use say neither more nor less than the plant."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise

from hypothesis import Phase, find, given, settings
from hypothesis import strategies as st

from model.catalogue import parts_for
from model.edits.parts import Bring
from model.entities import (
    FibreEnd,
    GlassEnd,
    LegEnd,
    Mating,
    Reading,
    Service,
    Splice,
    Splitter,
    Stored,
    TubeWork,
)
from model.glass import Piece
from model.graph import Continuity
from model.history import History
from model.lists.cuts import cut_list
from model.lists.fibres import fibre_use, use_counts
from model.lists.naming import end_name
from model.lists.schedule import expand, fold, schedule
from model.lists.source import Source
from model.lists.stores import spares, storage
from model.lookup import cut_fibres, ends_at, fibres_of, looped_fibres, passes
from model.plant import Plant
from model.trace import service_node, trace
from tests.model.lab import TYPES, box, cable, panel, site

SEED = History(Plant())
SEED.do(Bring(parts_for(*TYPES)))
PARTS = tuple(SEED.plant.entities())
PLACES = ("ex", "j", "k", "fa")
TUBES = {1: range(1, 7), 2: range(7, 19), 3: range(19, 31)}  # lt-30: tubes of 6, 12 and 12


@st.composite
def plants(draw: st.DrawFn) -> Plant:
    """A 30-fibre cable passing two boxes, with drops there; anything cut, joined, plugged and stored at random."""
    feeder = cable("f", "lt-30", *PLACES)
    stops = list(feeder.stops)
    for index in (1, 2):
        works = []
        kept = []
        for tube, fibres in TUBES.items():
            state = draw(st.sampled_from(["express", "opened", "cut"]))
            chosen = tuple(sorted(draw(st.sets(st.sampled_from(fibres))))) if state == "opened" else ()
            if state != "express":
                works.append(TubeWork(tube, state, chosen, draw(st.none() | st.floats(0, 3000))))
        for side in ("", "<", ">"):
            held = draw(st.sets(st.integers(1, 30), max_size=4))
            if held:
                kept.append(Stored(tuple(sorted(held)), side, draw(st.sampled_from([None, f"tray-{PLACES[index]}-1"]))))
        stops[index] = replace(stops[index], tubes=tuple(works), stored=tuple(kept))
    feeder = replace(feeder, stops=tuple(stops))
    drops = [cable(f"d{n}", "rd-4", place, f"h{n}") for n, place in enumerate(("j", "j", "k"))]
    splitter = Splitter("sp", "j", "1x2", "SP")
    homes = [site(f"h{n}", kind="premises") for n in range(3)]
    places = (site("ex", kind="exchange"), site("j"), site("k"), site("fa"), *homes)
    ports = [*panel("ex", 30), *panel("fa", 30)]
    for home in homes:
        ports += panel(home.id, 4, "outlet")
    fixed = (*PARTS, *places, feeder, *drops, splitter, *box("j"), *box("k"), *ports)
    bare = Plant(fixed)
    joints: list[Splice] = []
    plugs: list[Mating] = []
    for place in PLACES[1:3]:
        free: list[GlassEnd] = _ends(bare, place)
        if place == "j":
            free += [LegEnd("sp", "in", 1), LegEnd("sp", "out", 1), LegEnd("sp", "out", 2)]
        order = draw(st.permutations(free))
        count = draw(st.integers(0, len(order) // 2))
        straight = draw(st.booleans())
        paired = zip(free[:count], free[count : 2 * count], strict=True) if straight else _by_two(order[: 2 * count])
        for number, (a, b) in enumerate(paired, start=1):
            tray = draw(st.sampled_from([f"tray-{place}-1", f"tray-{place}-1", None])) if not straight else None
            read = draw(st.sampled_from([(), (), (Reading(1550, "A-B", 0.05),)]))
            joints.append(Splice(f"s.{place}.{number}", place, a, b, tray, number if tray else None, measured=read))
    for place in ("ex", "fa", *(home.id for home in homes)):
        ends = _ends(bare, place)
        used = draw(st.sets(st.integers(0, len(ends) - 1)))
        plugs += [Mating(f"m.{place}.{n}", f"{place}.{n + 1}", ends[n]) for n in sorted(used)]
    at = draw(st.sets(st.sampled_from([port.id for port in ports if port.site != "ex"]), max_size=8))
    status = st.sampled_from(["live", "planned", "ceased"])
    services = [Service(f"v.{port}", f"V {port}", port, draw(status)) for port in sorted(at)]
    return Plant((*fixed, *joints, *plugs, *services))


def _ends(plant: Plant, place: str) -> list[GlassEnd]:
    found: list[GlassEnd] = []
    for made in plant.cables.values():
        for index, stop in enumerate(made.stops):
            if stop.site == place:
                found += ends_at(plant, made, index)
    return found


def _by_two(ends: list[GlassEnd]) -> list[tuple[GlassEnd, GlassEnd]]:
    return list(zip(ends[::2], ends[1::2], strict=True))


def source_of(plant: Plant) -> Source:
    return Source(Continuity(plant))


@settings(max_examples=40)
@given(plants())
def test_the_schedule_unfolds_to_exactly_the_splices_of_the_plant(plant: Plant) -> None:
    source = source_of(plant)
    found: list[str] = []
    for place in plant.sites:
        rows = schedule(source, place)
        ranges = fold(rows)
        assert expand(ranges) == rows
        assert [row.number for row in rows] == list(range(1, len(rows) + 1))
        for one in ranges:
            steps = {(y.a.number - x.a.number, y.b.number - x.b.number) for x, y in pairwise(one.rows)}
            assert steps <= {(1, 1)}
            assert len({(r.a.owner, r.a.tube, r.b.owner, r.b.tube, r.tray, r.status) for r in one.rows}) == 1
        for row in rows:
            splice = plant.splices[row.splice]
            assert (row.a, row.b, row.slot) == (end_name(plant, splice.a), end_name(plant, splice.b), splice.slot)
        found += [row.splice for row in rows]
    assert sorted(found) == sorted(plant.splices)


@settings(max_examples=40)
@given(plants())
def test_the_cut_list_names_every_tube_once_and_cuts_exactly_the_cut_fibres(plant: Plant) -> None:
    source = source_of(plant)
    for made in plant.cables.values():
        kind = plant.cable_types[made.type]
        for index, stop in enumerate(made.stops):
            rows = [row for row in cut_list(source, stop.site) if row.cable == made.name]
            if not passes(made, index):
                assert rows == []
                continue
            assert [row.tube for row in rows if row.what == "tube"] == [1, 2, 3]
            assert sorted(f for row in rows for f in row.cut) == sorted(cut_fibres(kind, stop))
            whole = [f for row in rows if row.state == "uncut" for f in row.fibres]
            assert sorted(whole) == list(looped_fibres(kind, stop))
            express = {row.tube for row in rows if row.state == "express"}
            assert express == {1, 2, 3} - {work.tube for work in stop.tubes}
            joined = {
                (end.fibre, end.side)
                for splice in plant.splices.values()
                for end in (splice.a, splice.b)
                if isinstance(end, FibreEnd) and end.stop == stop.id
            }
            assert {(f, "<") for r in rows for f in r.joined_in} | {
                (f, ">") for r in rows for f in r.joined_out
            } == joined


@settings(max_examples=40)
@given(plants())
def test_every_uncut_fibre_lies_somewhere_once(plant: Plant) -> None:
    source = source_of(plant)
    made = plant.cables["f"]
    kind = plant.cable_types[made.type]
    for stop in made.stops[1:-1]:
        rows = storage(source, stop.site)
        stored = [f for row in rows for f in row.fibres]
        assert sorted(stored) == sorted(set(range(1, 31)) - cut_fibres(kind, stop))
        assert all(set(row.fibres) <= set(fibres_of(kind, row.tube)) for row in rows)


@settings(max_examples=40)
@given(plants())
def test_stubs_are_exactly_the_ends_that_nothing_is_joined_to(plant: Plant) -> None:
    source = source_of(plant)
    used = {end for s in plant.splices.values() for end in (s.a, s.b)} | {m.end for m in plant.matings.values()}
    for place in plant.sites:
        found = Counter(
            (row.cable, row.side, f) for row in spares(source, place) if row.kind == "stub" for f in row.fibres
        )
        free = Counter(
            (plant.cables[end.cable].name, end.side, end.fibre)
            for end in _ends(plant, place)
            if isinstance(end, FibreEnd) and end not in used
        )
        assert found == free


@settings(max_examples=40)
@given(plants())
def test_on_every_span_fibres_in_use_dark_ones_and_stubs_are_all_there_are(plant: Plant) -> None:
    source = source_of(plant)
    for made in plant.cables.values():
        kind = plant.cable_types[made.type]
        rows, counts = fibre_use(source, made), use_counts(source, made)
        assert len(counts) == len(made.stops) - 1
        for count in counts:
            assert count.in_use + count.dark + count.stub == count.count == kind.fibre_count
            here = [row for row in rows if (row.start, row.end) == (count.start, count.end)]
            assert sorted(f for row in here for f in row.fibres) == list(range(1, kind.fibre_count + 1))
            sums = Counter[str]()
            for row in here:
                sums[row.use] += len(row.fibres)
                assert (row.use == "in use") == bool(row.services)
            assert (sums["in use"], sums["dark"], sums["stub"]) == (count.in_use, count.dark, count.stub)


@settings(max_examples=40)
@given(plants())
def test_a_fibre_is_in_use_where_the_path_of_a_service_runs_through_it(plant: Plant) -> None:
    source = source_of(plant)
    # Traced here service by service; those past a splitter with one input have one way up.
    lit: set[tuple[str, int, int]] = set()
    for service in plant.services.values():
        node = service_node(source.continuity, service.id)
        if service.status != "ceased" and node in source.continuity.graph:
            for step in trace(source.continuity, node).steps:
                piece = step.by
                if isinstance(piece, Piece):
                    lit |= {(piece.cable, piece.fibre, span) for span in range(piece.first, piece.last)}
    for made in plant.cables.values():
        for span, count in enumerate(use_counts(source, made)):
            in_use = {fibre for key, fibre, where in lit if (key, where) == (made.id, span)}
            assert count.in_use == len(in_use)


def rich(plant: Plant) -> bool:
    source = source_of(plant)
    uses = {row.use for row in fibre_use(source, plant.cables["f"])}
    ranges = [one for place in plant.sites for one in fold(schedule(source, place))]
    cut = any(row.cut for place in plant.sites for row in cut_list(source, place))
    return cut and uses == {"in use", "dark", "stub"} and any(len(one.rows) > 1 for one in ranges)


def test_random_plants_come_with_cuts_ranges_and_every_use() -> None:
    # A property over plants with nothing in them says nothing.
    assert find(plants(), rich, settings=settings(phases=[Phase.generate], max_examples=500))
