# mypy: disable-error-code="arg-type"
"""From a reference to one piece of glass: every form, and what is answered when it means two pieces or none."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import parts_for
from model.entities import Cable, Enclosure, Port, Service, Site, Splice, Stop, Tray, TubeWork
from model.errors import RefError
from model.graph import Continuity
from model.nodes import SHOWN, SideError, node_of
from model.plant import Entity, Plant
from tests.model.lab import cable, end, site


def line_of(*cut_at: int, stops: int = 5, twice: bool = False) -> Continuity:
    """One cable ``M-1`` past sites S0 S1 ..., its fibre 2 cut at some stops; ``twice`` lays it past S1 once more."""
    places = [f"s{index}" for index in range(stops)]
    route = [*places[:-1], "s1", places[-1]] if twice else places
    laid = Cable("m1", "M-1", "lt-12", tuple(Stop(f"m1.{index}", place) for index, place in enumerate(route)))
    worked = tuple(
        replace(stop, tubes=(TubeWork(1, "opened", (2,)),)) if index in cut_at else stop
        for index, stop in enumerate(laid.stops)
    )
    parts: list[Entity] = [*parts_for("lt-12"), *(site(place) for place in places), replace(laid, stops=worked)]
    return Continuity(Plant(parts))


def test_an_uncut_fibre_is_one_piece_wherever_it_is_named() -> None:
    known = line_of()
    refs = ("M-1:2", "m-1:T1.2", "M-1:2@S0", "M-1:2@S1", "M-1:2@S2<", "M-1:2@S3>", "M-1:2<", "M-1:2>", '"M-1":2')
    assert {node_of(known, ref) for ref in refs} == {"m1:2@m1.0>"}
    # The far end is the same piece by its other end.
    assert node_of(known, "M-1:2@S4") == "m1:2@m1.4<"


def test_a_cut_has_an_exchange_side_and_a_field_side() -> None:
    known = line_of(2)
    assert node_of(known, "M-1:2@S2<") == "m1:2@m1.2<"
    assert node_of(known, "M-1:2@S2>") == "m1:2@m1.2>"
    assert node_of(known, "M-1:2<") == "m1:2@m1.0>"
    assert node_of(known, "M-1:2>") == "m1:2@m1.2>"
    # Before the cut the piece from the exchange passes, beyond it the piece from the cut.
    assert node_of(known, "M-1:2@S1") == "m1:2@m1.0>"
    assert node_of(known, "M-1:2@S3") == "m1:2@m1.2>"


def test_its_neighbour_in_the_opened_tube_stays_one_piece() -> None:
    assert node_of(line_of(2), "M-1:3") == "m1:3@m1.0>"


@pytest.mark.parametrize(("cut", "count"), [((1,), 2), ((1, 3), 3), ((1, 2, 3), 4)])
def test_a_cut_fibre_without_a_side_offers_each_piece_once(cut: tuple[int, ...], count: int) -> None:
    known = line_of(*cut)
    with pytest.raises(SideError) as fault:
        node_of(known, "M-1:2")
    assert len(fault.value.choices) == count
    nodes = [node_of(known, choice) for choice in fault.value.choices]
    pieces = [
        next(other for other in known.graph.adj[node] if re.fullmatch(r"m1:2@m1\.\d+[<>]", other)) for node in nodes
    ]
    assert len({frozenset(pair) for pair in zip(nodes, pieces, strict=True)}) == count
    assert all(f"S{index}" in fault.value.message for index in cut)
    assert all(choice in fault.value.hint for choice in fault.value.choices)


def test_at_a_cut_only_its_own_two_sides_are_offered() -> None:
    with pytest.raises(SideError) as fault:
        node_of(line_of(1, 3), "M-1:2@S3")
    assert fault.value.choices == ("M-1:2@S3<", "M-1:2@S3>")


def test_a_fibre_cut_at_many_places_is_answered_in_one_short_line() -> None:
    with pytest.raises(SideError) as fault:
        node_of(line_of(*range(1, 59), stops=60), "M-1:2")
    assert len(fault.value.choices) == SHOWN + 1
    assert f"{58 - SHOWN} more places" in fault.value.message
    assert len(str(fault.value)) < 400


def test_a_cable_that_stops_twice_at_a_site_is_cut_where_it_is_cut() -> None:
    # S0 S1 S2 S3 S1 S4: the fibre passes S1 uncut the first time and is cut there the second.
    known = line_of(4, twice=True)
    assert node_of(known, "M-1:2@S1<") == "m1:2@m1.4<"
    assert node_of(known, "M-1:2@S1>") == "m1:2@m1.4>"


@given(st.sets(st.integers(1, 6), max_size=6), st.integers(0, 7), st.sampled_from(["", "<", ">"]))
def test_every_place_and_side_names_a_piece_that_is_there(cut: set[int], place: int, side: str) -> None:
    known = line_of(*cut, stops=8)
    if place in cut and not side:
        with pytest.raises(SideError) as fault:
            node_of(known, f"M-1:2@S{place}")
        assert all(node_of(known, choice) in known.graph for choice in fault.value.choices)
        return
    node = node_of(known, f"M-1:2@S{place}{side}")
    assert node in known.graph
    if place in cut:
        assert node == f"m1:2@m1.{place}{side}"


def joined() -> Continuity:
    a, b = cable("a", "lt-12", "x", "k"), cable("b", "lt-12", "k", "y")
    return Continuity(
        Plant(
            [
                *parts_for("lt-12", "wall-box-small", "tray-24"),
                *(site(key) for key in "xky"),
                *(a, b),
                Enclosure("box", "k", "wall-box-small", "Box"),
                Tray("t1", "box", "tray-24", 1, "Top"),
                Splice("one", "k", end("a", 1, "k", "<"), end("b", 1, "k", ">"), "t1", 3),
                Port("p", "y", "ODF", 7),
                Service("s", "Cust & Sons", "p"),
                Site("bare", "Bare", "premises"),
            ]
        )
    )


def test_a_slot_a_port_and_a_service_name_their_glass() -> None:
    known = joined()
    assert node_of(known, "K/Top/3") == node_of(known, "K/1/3") == "a:1@a.k<"
    assert node_of(known, "Y/port/7") == node_of(known, "service:Cust & Sons") == "p/front"


@pytest.mark.parametrize(
    ("ref", "words"),
    [
        ("K/Top", "not one slot"),
        ("K/Top/3-4", "not one slot"),
        ("K/Top/4", "Slots in use: 3"),
        ("A", "Say one: A:1"),
        ("A:1-2", "Say one: A:1"),
        ("A:T1", "Say one: A:1"),
        ("Bare", "a whole site"),
        ("site:K", "a whole site"),
    ],
)
def test_what_is_not_one_piece_of_glass_is_refused_with_what_to_say(ref: str, words: str) -> None:
    with pytest.raises(RefError) as fault:
        node_of(joined(), ref)
    assert words in str(fault.value)
