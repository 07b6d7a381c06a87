# mypy: disable-error-code="arg-type, misc"
"""A light path is the same from every node of it, and reaches what an independently built plain graph reaches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.edits.cutting import CutFibres, CutTubes
from model.edits.joining import Join, Plug
from model.edits.parts import Add, Replace
from model.entities import FibreEnd, GlassEnd, LegEnd, Service
from model.graph import Continuity, end_node
from model.history import History
from model.plant import Plant
from model.templates import TEMPLATES
from model.trace import path_nodes, service_node, services_by_node, trace, tree, walk, ways_on
from tests.model.lab import cable, end, leg, panel, site, splice, splitter, start


def same_from_everywhere(continuity: Continuity, node: str, but: Iterable[str] = ()) -> None:
    """Each node of the path gives the same steps, end nodes and reasons."""
    whole = trace(continuity, node)
    assert len(set(whole.nodes)) == len(whole.nodes)
    for place, other in enumerate(whole.nodes):
        if other in but:
            continue
        again = trace(continuity, other)
        assert (again.steps, again.field, again.exchange) == (whole.steps, whole.field, whole.exchange)
        assert (again.field_kind, again.exchange_kind) == (whole.field_kind, whole.exchange_kind)
        assert (again.start, again.below) == (other, place)


def plain(plant: Plant) -> Any:
    """Who is joined to whom, from the entities alone: no model code but the names of ends."""
    graph: Any = nx.Graph()
    for made in plant.cables.values():
        kind = plant.cable_types[made.type]
        last = len(made.stops) - 1
        for fibre in range(1, kind.fibre_count + 1):
            tube, left = 0, fibre
            while left > kind.tubes[tube]:
                left -= kind.tubes[tube]
                tube += 1
            here = 0
            for index in range(1, last + 1):
                work = [w for w in made.stops[index].tubes if w.tube == tube + 1]
                if index == last or (work and (work[0].state == "cut" or fibre in work[0].cut)):
                    a, b = made.stops[here].id, made.stops[index].id
                    graph.add_edge(f"{made.id}:{fibre}@{a}>", f"{made.id}:{fibre}@{b}<")
                    here = index
    for joint in plant.splices.values():
        graph.add_edge(name(joint.a), name(joint.b))
    for mating in plant.matings.values():
        graph.add_edge(f"{mating.port}/{mating.face}", name(mating.end))
    for port in plant.ports.values():
        graph.add_edge(f"{port.id}/rear", f"{port.id}/front")
    for device in plant.splitters.values():
        kind_s = plant.splitter_types[device.type]
        for i in range(kind_s.inputs):
            for o in range(len(kind_s.legs_db)):
                graph.add_edge(f"{device.id}/in{i + 1}", f"{device.id}/out{o + 1}")
    return graph


def name(glass_end: GlassEnd) -> str:
    if isinstance(glass_end, FibreEnd):
        return f"{glass_end.cable}:{glass_end.fibre}@{glass_end.stop}{glass_end.side}"
    return f"{glass_end.splitter}/{glass_end.role}{glass_end.number}"


def shortest(graph: Any, a: str, b: str) -> list[str]:
    return list(nx.shortest_path(graph, a, b))


def test_drop_fibre_3_of_thistlemere_is_port_15_of_quill_lane_both_ways() -> None:
    # Worked by hand: D-1 fibre 3 is joined to fibre 15, third of the second tube of twelve, on port 15.
    plant = TEMPLATES["mid-span-small"]()
    continuity = Continuity(plant)
    drop = plant.cables["d-1"]
    customer = end_node(FibreEnd("d-1", 3, drop.stops[-1].id, "<"))
    down = trace(continuity, customer)
    assert down.exchange == "quill-lane.15/front"
    assert down.field == "thistlemere-hall.3/front"
    port = plant.ports["quill-lane.15"]
    assert (plant.sites[port.site].name, port.number) == ("Quill Lane", 15)
    assert trace(continuity, "quill-lane.15/front").steps == down.steps
    assert "tm-b1:15@tm-b1.wb-07<" in down.nodes
    same_from_everywhere(continuity, customer)


@pytest.mark.parametrize("template", sorted(TEMPLATES))
def test_every_path_of_a_template_is_the_same_from_each_of_its_nodes_and_is_the_shortest(template: str) -> None:
    plant = TEMPLATES[template]()
    continuity, graph = Continuity(plant), plain(plant)
    for part in list(nx.connected_components(graph)):
        whole = trace(continuity, min(part))
        assert set(whole.nodes) == part
        assert list(whole.nodes) == shortest(graph, whole.field, whole.exchange)
    for node in sorted(graph)[:: max(1, len(graph) // 60)]:
        same_from_everywhere(continuity, node)


def test_the_stub_beyond_a_cut_is_dark_at_the_cut() -> None:
    continuity = Continuity(TEMPLATES["mid-span-small"]())
    stub = trace(continuity, "ferry-head.15/front")
    assert (stub.exchange, stub.exchange_kind) == ("tm-b1:15@tm-b1.wb-07>", "dark")
    assert (stub.field, stub.field_kind) == ("ferry-head.15/front", "port")


def cascade() -> History:
    """Port a.1 - feeder f:1 - 1x2 at B - feeders g:1, g:2 - a 1x32 each at C - drop fibres; one drop has a service."""
    return start(
        *(site(place) for place in "abcd"),
        cable("f", "lt-12", "a", "b"),
        cable("g", "lt-12", "b", "c"),
        cable("h", "lt-48", "c", "d"),
        *panel("a", 2),
        *panel("d", 48, "outlet"),
        splitter("hub", "b", "1x2"),
        splitter("s1", "c", "1x32"),
        splitter("s2", "c", "1x32"),
        Service("svc", "S-9", "d.9", "live"),
        Service("svc2", "S-41", "d.41", "live"),
        Service("gone", "S-10", "d.10", "ceased"),
    )


def joined_cascade() -> History:
    history = cascade()
    history.do(
        Plug((end("f", 1, "a", ">"),), ("a.1",)),
        Join("b", ((end("f", 1, "b", "<"), leg("hub", "in")),)),
        Join("b", tuple((leg("hub", "out", n), end("g", n, "b", ">")) for n in (1, 2))),
        Join("c", tuple((end("g", n, "c", "<"), leg(f"s{n}", "in")) for n in (1, 2))),
        Join("c", tuple((leg("s1", "out", n), end("h", n, "c", ">")) for n in range(1, 33))),
        Join("c", tuple((leg("s2", "out", n), end("h", 32 + n, "c", ">")) for n in range(1, 17))),
        Plug(tuple(end("h", n, "d", "<") for n in range(1, 49)), tuple(f"d.{n}" for n in range(1, 49))),
    )
    return history


def test_a_customer_below_two_splitters_is_traced_to_the_exchange_port() -> None:
    history = joined_cascade()
    continuity, graph = Continuity(history.plant), plain(history.plant)
    for number, leg_number, top in ((9, 9, "s1"), (41, 9, "s2")):
        whole = trace(continuity, f"d.{number}/front")
        assert (whole.exchange, whole.exchange_kind) == ("a.1/front", "port")
        assert f"{top}/out{leg_number}" in whole.nodes
        assert list(whole.nodes) == shortest(graph, f"d.{number}/front", "a.1/front")
        below = [node for node in whole.nodes if node != "a.1/front"]
        above_branch = set(trace(continuity, "hub/in1").nodes) | set(trace(continuity, f"{top}/in1").nodes)
        same_from_everywhere(continuity, f"d.{number}/front", but=above_branch)
        assert len(below) == len(whole.nodes) - 1


def test_from_above_a_path_stops_where_it_branches_and_the_tree_holds_every_customer_once() -> None:
    history = joined_cascade()
    continuity, graph = Continuity(history.plant), plain(history.plant)
    top = trace(continuity, "a.1/front")
    assert (top.field, top.field_kind, top.exchange) == ("hub/in1", "branches", "a.1/front")
    same_from_everywhere(continuity, "a.1/front")
    walks = list(tree(continuity.graph, "hub/in1"))
    assert sum(level == 0 for level, _ in walks) == 2
    assert sum(level == 1 for level, _ in walks) == 64
    reached = sorted(below.end for _, below in walks if below.kind == "port")
    wanted = sorted(node for node in nx.node_connected_component(graph, "hub/in1") if node.endswith("/front"))
    assert reached == [node for node in wanted if node != "a.1/front"]
    assert sum(below.kind == "dark" for _, below in walks) == 16


def test_services_are_carried_by_every_node_up_to_the_exchange_and_ceased_ones_by_none() -> None:
    history = joined_cascade()
    continuity = Continuity(history.plant)
    carried = services_by_node(continuity)
    assert carried["a.1/front"] == ("svc2", "svc")  # by name: S-41 before S-9
    assert carried["hub/in1"] == ("svc2", "svc")
    assert carried["s1/in1"] == ("svc",)
    assert carried["h:9@h.c>"] == ("svc",)
    assert "h:10@h.c>" not in carried
    assert service_node(continuity, "svc") == "d.9/front"


def test_two_input_splitters_in_cascade_lead_up_every_input() -> None:
    # Ports 1 and 2 feed q by its two inputs, port 3 feeds input 1 of r; a leg of q feeds input 2 of r.
    history = start(
        *(site(place) for place in "abcd"),
        cable("f", "lt-12", "a", "b"),
        cable("g", "lt-12", "b", "c"),
        cable("h", "lt-12", "c", "d"),
        *panel("a", 3),
        *panel("d", 1, "outlet"),
        splitter("q", "b", "2x4"),
        splitter("r", "c", "2x4"),
        Service("svc", "S", "d.1", "live"),
    )
    history.do(
        Plug(tuple(end("f", n, "a", ">") for n in (1, 2, 3)), ("a.1", "a.2", "a.3")),
        Join("b", tuple((end("f", n, "b", "<"), leg("q", "in", n)) for n in (1, 2))),
        Join("b", ((leg("q", "out", 1), end("g", 2, "b", ">")), (end("f", 3, "b", "<"), end("g", 1, "b", ">")))),
        Join("c", tuple((end("g", n, "c", "<"), leg("r", "in", n)) for n in (1, 2))),
        Join("c", ((leg("r", "out", 3), end("h", 1, "c", ">")),)),
        Plug((end("h", 1, "d", "<"),), ("d.1",)),
    )
    continuity = Continuity(history.plant)
    whole = trace(continuity, "d.1/front")
    assert (whole.exchange, whole.exchange_kind) == ("r/out3", "branches")
    up = path_nodes(continuity, "d.1/front")
    assert {"a.1/front", "a.2/front", "a.3/front"} <= set(up)
    assert len(up) == len(set(up))
    carried = services_by_node(continuity)
    assert carried["a.1/front"] == carried["a.2/front"] == carried["a.3/front"] == ("svc",)
    assert trace(continuity, "a.3/front").field == "r/in1"


def test_the_bare_leg_of_a_two_input_splitter_has_the_exchange_on_its_inside() -> None:
    history = start(site("b"), splitter("q", "b", "2x4"))
    whole = trace(Continuity(history.plant), "q/out1")
    assert (whole.exchange_kind, whole.field_kind) == ("branches", "dark")


def test_ids_that_look_like_legs_do_not_turn_a_path_round() -> None:
    history = start(site("a"), site("b"), splitter("x/out1", "b", "1x2"), cable("f", "lt-12", "a", "b"), *panel("a", 1))
    history.do(Plug((end("f", 1, "a", ">"),), ("a.1",)), Join("b", ((end("f", 1, "b", "<"), leg("x/out1", "in")),)))
    whole = trace(Continuity(history.plant), "x/out1/out2")
    assert (whole.exchange, whole.field) == ("a.1/front", "x/out1/out2")


def test_a_drop_laid_backwards_does_not_turn_the_path_round_in_its_middle() -> None:
    # The drop's stops run customer first; two of three cables on the path still say where the exchange is.
    history = start(
        *(site(place) for place in "abcd"),
        cable("f", "lt-12", "a", "b"),
        cable("g", "lt-12", "b", "c"),
        cable("h", "lt-12", "d", "c"),
    )
    history.do(
        Join("b", ((end("f", 1, "b", "<"), end("g", 1, "b", ">")),)),
        Join("c", ((end("g", 1, "c", "<"), end("h", 1, "c", "<")),)),
    )
    continuity = Continuity(history.plant)
    whole = trace(continuity, "h:1@h.d>")
    assert (whole.exchange, whole.field) == ("f:1@f.a>", "h:1@h.d>")
    same_from_everywhere(continuity, "h:1@h.d>")


def ring() -> Continuity:
    history = start(*(site(place) for place in "abc"), cable("f", "lt-12", "a", "b"), cable("g", "lt-12", "b", "a"))
    history.do(
        Join("b", ((end("f", 1, "b", "<"), end("g", 1, "b", ">")),)),
        Join("a", ((end("g", 1, "a", "<"), end("f", 1, "a", ">")),)),
    )
    return Continuity(history.plant)


def test_a_ring_is_said_to_be_one_from_each_of_its_nodes() -> None:
    continuity = ring()
    nodes = {"f:1@f.a>", "f:1@f.b<", "g:1@g.b>", "g:1@g.a<"}
    for node in nodes:
        whole = trace(continuity, node)
        assert (whole.field_kind, whole.exchange_kind) == ("ring", "ring")
        assert set(whole.nodes) == nodes
        assert len(whole.steps) == 4
        assert set(path_nodes(continuity, node)) == nodes


def test_an_end_spliced_to_itself_is_a_ring_of_one_step() -> None:
    history = start(site("a"), site("b"), cable("f", "lt-12", "a", "b"))
    x = end("f", 1, "b", "<")
    history.do(Add((splice("self", "b", x, x),), "wrong record"))
    whole = trace(Continuity(history.plant), "f:1@f.a>")
    assert (whole.exchange_kind, whole.field_kind) == ("dark", "ring")
    assert walk(Continuity(history.plant).graph, end_node(x), "outside").kind == "ring"


def test_a_cable_spliced_to_itself_through_a_cut_is_one_path() -> None:
    history = start(*(site(place) for place in "abz"), cable("f", "lt-24", "a", "b", "z"))
    history.do(
        CutFibres("f", "f.b", (1, 2)),
        Join("b", ((end("f", 1, "b", "<"), end("f", 2, "b", ">")), (end("f", 2, "b", "<"), end("f", 1, "b", ">")))),
    )
    continuity = Continuity(history.plant)
    assert [trace(continuity, f"f:{n}@f.a>").field for n in (1, 2)] == ["f:2@f.z<", "f:1@f.z<"]
    same_from_everywhere(continuity, "f:1@f.a>")


def test_an_end_used_twice_ends_the_path_from_every_side() -> None:
    history = start(*(site(place) for place in "abd"), cable("f", "lt-12", "a", "b"), cable("d", "lt-12", "b", "d"))
    x = end("f", 1, "b", "<")
    history.do(
        Add(
            (splice("one", "b", x, end("d", 1, "b", ">")), splice("two", "b", end("d", 2, "b", ">"), x)), "wrong record"
        )
    )
    continuity = Continuity(history.plant)
    above = trace(continuity, "f:1@f.a>")
    assert (above.field, above.field_kind) == (end_node(x), "crossed")
    for fibre in (1, 2):
        below = trace(continuity, f"d:{fibre}@d.d<")
        assert (below.exchange, below.exchange_kind, len(below.steps)) == (end_node(x), "crossed", 2)
        same_from_everywhere(continuity, f"d:{fibre}@d.d<", but=[end_node(x)])


def test_two_plugs_in_one_face_end_the_path_there() -> None:
    history = start(site("a"), site("b"), cable("f", "lt-12", "a", "b"), *panel("a", 1))
    history.do(Plug((end("f", 1, "a", ">"),), ("a.1",)))
    held = next(iter(history.plant.matings.values()))
    history.do(Add((replace(held, id="second", end=end("f", 2, "a", ">")),), "wrong record"))
    whole = trace(Continuity(history.plant), "f:2@f.b<")
    assert (whole.exchange, whole.exchange_kind) == ("a.1/rear", "crossed")


def test_a_splitter_that_feeds_itself_ends_as_a_ring() -> None:
    history = start(site("b"), splitter("s", "b", "1x2"))
    history.do(Join("b", ((leg("s", "out", 1), leg("s", "in")),)))
    continuity = Continuity(history.plant)
    for node in ("s/in1", "s/out1", "s/out2"):
        trace(continuity, node)
        path_nodes(continuity, node)
    assert len(list(tree(continuity.graph, "s/in1"))) == 2
    assert walk(continuity.graph, "s/out2", "inside").kind == "ring"


def test_a_node_that_is_not_there_is_a_key_error() -> None:
    continuity = ring()
    with pytest.raises(KeyError):
        trace(continuity, "nothing")
    assert ways_on(continuity.graph, "nothing", "inside") == []


@st.composite
def laid(draw: st.DrawFn) -> Plant:
    """Four cables over five sites, cut and joined at random; every end is used at most once."""
    history = start(
        *(site(place) for place in "abcde"),
        cable("f", "lt-12", "a", "b", "c"),
        cable("g", "lt-12", "b", "c", "d"),
        cable("h", "rd-4", "c", "e"),
        cable("k", "rd-4", "e", "c"),
        *panel("a", 4),
        *panel("e", 4, "outlet"),
        splitter("s", "c", "1x2"),
        splitter("t", "c", "2x4"),
    )
    history.do(CutTubes("f", "f.b", (1,)), CutFibres("g", "g.c", (1, 2, 3, 5)))
    b = [end("f", n, "b", s) for n in range(1, 5) for s in "<>"] + [end("g", n, "b", ">") for n in range(1, 5)]
    c: list[FibreEnd | LegEnd] = [end("f", n, "c", "<") for n in range(1, 5)]
    c += [end("g", n, "c", s) for n in (1, 2, 3) for s in "<>"]
    c += [end("h", n, "c", ">") for n in range(1, 5)] + [end("k", n, "c", "<") for n in range(1, 5)]
    c += [leg("s", "in"), leg("s", "out", 1), leg("s", "out", 2), leg("t", "in", 1), leg("t", "in", 2)]
    c += [leg("t", "out", n) for n in range(1, 5)]
    for place, ends in (("b", b), ("c", c)):
        order = draw(st.permutations(ends))
        pairs = draw(st.integers(0, len(order) // 2))
        history.do(Join(place, tuple((order[2 * i], order[2 * i + 1]) for i in range(pairs))))
    e = draw(
        st.permutations([end("h", n, "e", "<") for n in range(1, 5)] + [end("k", n, "e", ">") for n in range(1, 5)])
    )
    history.do(Plug(tuple(e[:4]), tuple(f"e.{n}" for n in range(1, 5))))
    return history.plant


@given(laid())
def test_whatever_is_joined_a_path_without_splitters_is_what_is_connected(plant: Plant) -> None:
    continuity, graph = Continuity(plant), plain(plant)
    for part in list(nx.connected_components(graph)):
        if any(node.startswith(("s/", "t/")) for node in part):
            for node in sorted(part):
                whole = trace(continuity, node)
                assert set(whole.nodes) <= part
                assert set(path_nodes(continuity, node)) <= part
            continue
        whole = trace(continuity, min(part))
        assert set(whole.nodes) == part
        if whole.exchange_kind != "ring":
            assert list(whole.nodes) == shortest(graph, whole.field, whole.exchange)
            same_from_everywhere(continuity, min(part))


def test_renaming_a_splitter_type_does_not_break_a_path() -> None:
    history = joined_cascade()
    kind = history.plant.splitter_types["1x2"]
    history.do(Replace(replace(kind, title="other"), "retitle"))
    assert trace(Continuity(history.plant), "d.9/front").exchange == "a.1/front"
