# mypy: disable-error-code="arg-type"
"""References to splitter legs: every form, names that are also a cable's or a site's, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.errors import RefError
from model.graph import Continuity
from model.nodes import node_of
from model.plant import Plant
from model.refs import CableRef, LegRef, SiteRef, parse_ref
from model.templates.cabinet import bramblecote

PLANT = bramblecote()


def with_splitter(name: str, site: str, key: str = "other") -> Plant:
    return Plant([*PLANT.entities(), replace(PLANT.splitters["sp-1"], id=key, name=name, site=site)])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("SP-2", LegRef("sp-2")),
        ("sp-2", LegRef("sp-2")),
        ("SP-2:in1", LegRef("sp-2", "in", 1)),
        ("SP-2:out9", LegRef("sp-2", "out", 9)),
        (' "SP-2":OUT32 ', LegRef("sp-2", "out", 32)),
        ("SP-2:out9@BC-5", LegRef("sp-2", "out", 9)),
        ("SP-2@BC-5", LegRef("sp-2")),
        ("HUB-3:out2@Fallow Cross", LegRef("hub-3", "out", 2)),
    ],
)
def test_every_form(text: str, expected: LegRef) -> None:
    assert parse_ref(PLANT, text) == expected


def test_every_leg_of_every_splitter_is_found_by_its_reference() -> None:
    continuity = Continuity(PLANT)
    for splitter in PLANT.splitters.values():
        kind = PLANT.splitter_types[splitter.type]
        for leg in range(1, len(kind.legs_db) + 1):
            assert node_of(continuity, f"{splitter.name}:out{leg}") == f"{splitter.id}/out{leg}"
        assert node_of(continuity, splitter.name) == node_of(continuity, f"{splitter.name}:in1") == f"{splitter.id}/in1"


def test_two_splitters_of_one_name_are_told_apart_by_their_site() -> None:
    plant = with_splitter("SP-2", "bramblecote-green")
    with pytest.raises(RefError, match="'SP-2' names 2 splitters"):
        parse_ref(plant, "SP-2:out1")
    assert parse_ref(plant, "SP-2:out1@BC-5") == LegRef("sp-2", "out", 1)
    assert parse_ref(plant, "SP-2:out1@Bramblecote Green") == LegRef("other", "out", 1)


def test_a_cable_or_a_site_of_that_name_comes_first() -> None:
    assert parse_ref(with_splitter("BF-48", "bc-5"), "BF-48:1") == CableRef("bf-48", (1,))
    plant = with_splitter("BC-5", "bc-5")
    assert parse_ref(plant, "BC-5") == SiteRef("bc-5")
    assert parse_ref(plant, "BC-5:out1") == LegRef("other", "out", 1)


@pytest.mark.parametrize(
    ("text", "column", "says"),
    [
        ("SP-2:out0", 6, "SP-2 has 32 legs, not 0"),
        ("SP-2:out33", 6, "SP-2 has 32 legs, not 33"),
        ("SP-2:in2", 6, "SP-2 has 1 input, not 2"),
        ("SP-2:9", 5, "':9' after SP-2 is not understood"),
        ("SP-2:", 5, "':' after SP-2 is not understood"),
        ("SP-2:out1@Nowhere", 11, "no site is called 'Nowhere'"),
        ("SP-2:out1@Bramblecote Green", 1, "no splitter is called 'SP-2'"),
        ("SP-9:out1", 1, "SP-9"),
    ],
)
def test_what_is_none_says_where_and_what(text: str, column: int, says: str) -> None:
    with pytest.raises(RefError) as fault:
        parse_ref(PLANT, text)
    assert says in fault.value.message
    assert fault.value.column == column
    assert fault.value.hint
