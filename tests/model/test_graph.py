# mypy: disable-error-code="arg-type"
"""The graph kept in step by change sets is the graph a fresh build gives, whatever the order of the edits."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.edits.cutting import CutFibres, CutTubes, MakeWhole
from model.edits.joining import Join, Part, Plug
from model.edits.parts import Add, Remove, Replace
from model.entities import FibreEnd, LegEnd, Mating, Port, Tray
from model.errors import EditError
from model.glass import Piece
from model.graph import Continuity, Held, Joint, end_node, node_end, port_node, tube_node
from model.history import History
from model.lookup import ends_at
from model.plant import Entity, Plant
from model.templates import TEMPLATES
from tests.model.lab import Watched, box, cable, end, leg, panel, site, splice, splitter, start


def lab() -> History:
    """Two cables meeting at B and C, a box, a splitter and some ports."""
    return start(
        *(site(place) for place in "abcz"),
        cable("c", "lt-24", "a", "b", "c", "z"),
        cable("d", "lt-12", "b", "c"),
        *box("b", trays=2),
        splitter("s", "b", "1x2"),
        *panel("a", 3),
        *panel("c", 2, "outlet"),
    )


def pool() -> list[Entity]:
    """Entities to put and remove in any order; some splices share an end, one joins an end to itself."""
    plant = lab().plant
    x, y, z = end("c", 1, "b", "<"), end("d", 1, "b", ">"), leg("s", "in")
    lt24, two = plant.cable_types["lt-24"], plant.splitter_types["1x2"]
    made = plant.cables["c"]
    return [
        splice("xy", "b", x, y),
        splice("xz", "b", x, z),
        replace(splice("yx", "b", y, x), tray="tray-b-1"),
        replace(splice("yz", "b", y, z), tray="tray-b-1", slot=1),
        replace(splice("zx", "b", z, x), tray="tray-b-2", slot=1),
        splice("xx", "b", x, x),
        Mating("m1", "a.1", end("c", 1, "a", ">")),
        Mating("m2", "a.1", end("c", 2, "a", ">")),
        Mating("m3", "a.1", leg("s", "out", 2), "front"),
        Port("a.1", "b", "P", 1),
        Tray("tray-b-1", "box-b", "tray-12", 2, "moved"),
        replace(made, type="lt-12"),
        replace(made, stops=made.stops[::-1]),
        replace(made, stops=(made.stops[0], *made.stops[2:])),
        replace(lt24, tubes=(6, 6)),
        replace(lt24, tubes=(8, 8, 8)),
        replace(two, inputs=2),
        replace(two, legs_db=(1.0,)),
    ]


@given(
    st.lists(st.tuples(st.sampled_from(["put", "remove", "cut", "undo", "redo"]), st.integers(0, 99)), max_size=25),
)
def test_updated_equals_rebuilt_after_any_changes_right_or_wrong(actions: list[tuple[str, int]]) -> None:
    watched = Watched(lab())
    history, before = watched.history, watched.history.plant.copy()
    values = pool()
    for action, number in actions:
        try:
            if action == "put":
                history.do(Put(values[number % len(values)]))
            elif action == "remove":
                history.do(Drop(values[number % len(values)]))
            elif action == "cut" and "lt-24" in history.plant.cable_types:
                history.do(CutFibres("c", "c.b", (number % 24 + 1,)))
            elif action == "undo":
                history.undo()
            elif action == "redo":
                history.redo()
        except EditError:
            continue
        assert watched.continuity.edges() == watched.rebuilt().edges()
        assert set(watched.continuity.graph) == set(watched.rebuilt().graph)
    while history.undo():
        pass
    assert history.plant == before
    assert watched.continuity.edges() == Continuity(before).edges()


class Put:
    """Writes a value without asking, as a wrong record in a file would stand."""

    name = "put"

    def __init__(self, entity: Entity) -> None:
        self.entity = entity

    def write(self, draft: object) -> None:
        draft.put(self.entity)  # type: ignore[attr-defined]


class Drop:
    """Removes a value without asking who leans on it."""

    name = "drop"

    def __init__(self, entity: Entity) -> None:
        self.entity = entity

    def write(self, draft: object) -> None:
        draft.remove(type(self.entity), self.entity.id)  # type: ignore[attr-defined]


def test_a_splice_of_an_end_used_twice_goes_and_leaves_the_other() -> None:
    watched = Watched(lab())
    x, y, z = end("c", 1, "b", "<"), end("d", 1, "b", ">"), end("d", 2, "b", ">")
    watched.do(CutFibres("c", "c.b", (1,)))
    one = replace(splice("one", "b", x, y), tray="tray-b-1")
    two = replace(splice("two", "b", x, z), tray="tray-b-1")
    watched.do(Add((one, two), "double"))
    graph = watched.continuity.graph
    assert graph.number_of_edges(end_node(x), "tray|tray-b-1") == 1
    watched.do(Part(("one",)))
    assert graph.has_edge(end_node(x), "tray|tray-b-1", "held")
    watched.do(Part(("two",)))
    assert not graph.has_edge(end_node(x), "tray|tray-b-1")
    assert watched.continuity.edges() == watched.rebuilt().edges()


def test_every_fibre_of_every_cable_is_glass_from_end_to_end_at_every_step() -> None:
    watched = Watched(lab())
    steps = [
        CutFibres("c", "c.b", (1, 13, 24)),
        CutTubes("c", "c.c", (2,)),
        Join("b", ((end("c", 1, "b", "<"), end("d", 1, "b", ">")),), "tray-b-1"),
        MakeWhole("c", "c.c", (14,)),
        Plug((end("c", 2, "a", ">"),), ("a.1",)),
    ]
    for step in steps:
        watched.do(step)
        assert_accounted(watched.continuity)
    while watched.history.undo():
        assert_accounted(watched.continuity)


def assert_accounted(continuity: Continuity) -> None:
    """Each fibre runs from the first to the last stop in pieces that meet; each end is a node of the graph."""
    plant = continuity.plant
    for made in plant.cables.values():
        kind = plant.cable_types[made.type]
        covered: Counter[int] = Counter()
        for payload in continuity.edges().values():
            if isinstance(payload, Piece) and payload.cable == made.id:
                covered[payload.fibre] += payload.last - payload.first
        assert covered == dict.fromkeys(range(1, kind.fibre_count + 1), len(made.stops) - 1)
        for index in range(len(made.stops)):
            for glass_end in ends_at(plant, made, index):
                assert end_node(glass_end) in continuity.graph


def test_a_fibre_that_is_cut_nowhere_is_one_edge_between_its_two_ends() -> None:
    continuity = Continuity(lab().plant)
    edge = continuity.graph.get_edge_data("c:5@c.a>", "c:5@c.z<")
    assert {key: held["data"] for key, held in edge.items()} == {"glass": Piece("c", 5, 0, 3)}


def test_a_port_has_two_faces_and_a_splitter_a_way_from_each_input_to_each_leg() -> None:
    history = lab()
    history.do(Add((splitter("q", "c", "2x4"),), "add"))
    graph = Continuity(history.plant).graph
    assert graph.get_edge_data("a.1/rear", "a.1/front")["a.1"]["data"] == Joint("pair", "a.1")
    assert sum(graph.number_of_edges(f"q/in{i}", f"q/out{leg_no}") for i in (1, 2) for leg_no in range(1, 5)) == 8


def test_things_are_held_by_what_holds_them() -> None:
    graph = Continuity(lab().plant).graph
    for inner, outer in [
        ("c:13@c.a>", tube_node("c", 2)),
        (tube_node("c", 2), "cable|c"),
        ("tray|tray-b-1", "enclosure|box-b"),
        ("enclosure|box-b", "site|b"),
        ("a.1/rear", "site|a"),
    ]:
        assert isinstance(graph.get_edge_data(inner, outer)["held"]["data"], Held)


ids = st.text(st.characters(codec="utf-8", exclude_characters=":"), min_size=1, max_size=8)


@given(ids, st.integers(1, 9999), st.text(max_size=8), st.sampled_from("<>"))
def test_a_fibre_end_is_read_back_from_its_node_whatever_its_ids(key: str, fibre: int, stop: str, side: str) -> None:
    made = FibreEnd(key, fibre, stop, side)
    assert node_end(end_node(made)) == made


@given(ids, st.sampled_from(["in", "out"]), st.integers(1, 64))
def test_a_leg_is_read_back_from_its_node(key: str, role: str, number: int) -> None:
    made = LegEnd(key, role, number)
    assert node_end(end_node(made)) == made


@pytest.mark.parametrize("node", ["", "a.1/rear", port_node("p", "front"), "tube|c|2", "site|b", "<", "@<", "x@y<"])
def test_other_nodes_are_no_ends_of_glass(node: str) -> None:
    assert node_end(node) is None


def test_a_type_replaced_by_another_of_its_id_redraws_every_cable_of_it() -> None:
    watched = Watched(lab())
    lt12 = watched.history.plant.cable_types["lt-12"]
    watched.do(Replace(replace(lt12, tubes=(4,)), "fewer"))
    assert watched.continuity.edges() == watched.rebuilt().edges()
    assert "d:5@d.b>" not in watched.continuity.graph
    watched.history.undo()
    assert "d:5@d.b>" in watched.continuity.graph


def test_removing_a_cable_leaves_no_trace_of_it() -> None:
    watched = Watched(lab())
    watched.do(Remove("cables", "d", "remove d"))
    assert not [node for node in watched.continuity.graph if node.startswith(("d:", "tube|d|", "cable|d"))]


@pytest.mark.parametrize("name", sorted(TEMPLATES))
def test_every_template_accounts_for_every_fibre(name: str) -> None:
    assert_accounted(Continuity(TEMPLATES[name]()))


def test_ends_of_a_fibre_run_from_the_exchange_outward() -> None:
    watched = Watched(lab())
    watched.do(CutFibres("c", "c.c", (7,)), CutFibres("c", "c.b", (7,)))
    made = watched.history.plant.cables["c"]
    assert watched.continuity.ends_of_fibre(made, 7) == ["c:7@c.a>", "c:7@c.b>", "c:7@c.c>"]
    assert watched.continuity.ends_of_fibre(made, 8) == ["c:8@c.a>"]


def test_an_empty_plant_has_an_empty_graph() -> None:
    assert Continuity(Plant()).edges() == {}


def test_the_fast_build_equals_one_made_by_add_edge() -> None:
    plant = TEMPLATES["mid-span-small"]()
    built = Continuity(plant).graph
    slow: nx.MultiGraph[str] = nx.MultiGraph()
    for u, v, key, data in built.edges(keys=True, data=True):
        slow.add_edge(u, v, key=key, **data)
    assert set(slow.nodes) == set(built.nodes)
    assert {n: dict(built.adj[n]) for n in built} == {n: dict(slow.adj[n]) for n in slow}
    assert built.number_of_edges() == slow.number_of_edges() == sum(1 for _ in built.edges)
