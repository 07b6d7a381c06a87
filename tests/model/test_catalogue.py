"""The packaged parts fit together, and a bad parts file gives one clear line."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import PACKAGED, TABLES, catalogue, load_parts, parts_for, references
from model.errors import PlantError, RefError
from model.plant import KINDS, Plant


def test_it_is_read_once_and_cannot_be_altered() -> None:
    assert catalogue() is catalogue()
    with pytest.raises(TypeError):
        catalogue().cable_types["mine"] = catalogue().cable_types["lt-48"]  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        catalogue().cable_types = {}  # type: ignore[misc]


def test_tables_are_those_of_a_plant() -> None:
    assert all(KINDS[table] is kind for table, kind in TABLES.items())


def test_no_two_parts_share_an_id() -> None:
    ids = [part.id for part in catalogue().parts()]
    assert len(set(ids)) == len(ids)
    titles = [(type(part), part.title) for part in catalogue().parts()]
    assert len(set(titles)) == len(titles)


def test_a_cable_brings_its_schemes_and_fibre_class() -> None:
    parts = parts_for("lt-96-din")
    assert {part.id for part in parts} == {"lt-96-din", "din-tubes", "din-0888", "g652d"}
    assert parts[-1].id == "lt-96-din"


def test_an_enclosure_brings_its_trays() -> None:
    assert {part.id for part in parts_for("wall-box-small")} == {
        "wall-box-small",
        "tray-24",
        "tray-12",
        "tray-24-large",
    }


def test_parts_shared_by_two_come_once_and_fill_a_plant() -> None:
    parts = parts_for("lt-48", "lt-72", "rd-4", "wall-box-small", "default")
    plant = Plant(parts)
    assert list(plant.schemes) == ["tia-598"]
    assert set(plant.cable_types) == {"lt-48", "lt-72", "rd-4"}


def test_an_unknown_part_is_answered_with_near_ones() -> None:
    with pytest.raises(RefError, match=r"Did you mean .*wall-box-small"):
        parts_for("wall-box-smal")


@given(st.sets(st.sampled_from([part.id for part in catalogue().parts()])))
def test_what_is_asked_for_is_complete(ids: set[str]) -> None:
    parts = parts_for(*ids)
    have = {part.id for part in parts}
    assert ids <= have
    assert all(used in have for part in parts for _, _, used in references(part))


SLEEVE = '[sleeve_types.mine]\ntitle = "Mine"\nlength_mm = 30\ndiameter_mm = 2.5\n'
CABLE = """
[cable_types.mine]
title = "Mine"
construction = "loose tube"
tubes = [6, 12]
tube_scheme = "tia-598"
fibre_scheme = "my-order"
fibre_class = "g652d"
od_mm = 9.0
"""
SCHEME = '[schemes.my-order]\ntitle = "Mine"\norder = ["red", "green"]\n'


def test_own_parts_may_use_packaged_ones_and_each_other() -> None:
    own = load_parts(CABLE + SCHEME, "mine.toml")
    assert [part.id for part in own.parts()] == ["my-order", "mine"]
    both = catalogue().joined(own)
    assert {part.id for part in parts_for("mine", of=both)} == {"my-order", "tia-598", "g652d", "mine"}
    assert "mine" not in catalogue().cable_types


def test_an_empty_file_has_no_parts() -> None:
    assert list(load_parts("", "mine.toml").parts()) == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("x = ", "mine.toml: not TOML"),
        (SLEEVE + SLEEVE, "mine.toml: not TOML"),
        ("[sleeve.mine]", "mine.toml: unknown table 'sleeve'. Did you mean sleeve_types?"),
        ("sleeve_types = 3", "mine.toml: sleeve_types: expected one table per part"),
        ("[sleeve_types]\nmine = 3", "mine.toml: sleeve_types.mine: expected a table"),
        ("[[sleeve_types]]\n", "mine.toml: sleeve_types: expected one table per part"),
        (SLEEVE + "lenght_mm = 3", "mine.toml: sleeve_types.mine: unknown key 'lenght_mm'. Did you mean length_mm"),
        (SLEEVE + 'id = "x"', "sleeve_types.mine.id: the id stands in the table's heading. Remove the key"),
        (SLEEVE.replace("length_mm = 30", ""), "sleeve_types.mine: the key length_mm is missing"),
        (SLEEVE.replace("30", '"30"'), "sleeve_types.mine.length_mm: expected a number, got text in quotes"),
        (SLEEVE.replace("30", "true"), "sleeve_types.mine.length_mm: expected a number, got true or false"),
        (SLEEVE.replace("30", "nan"), "sleeve_types.mine.length_mm: the number is out of range"),
        (SLEEVE.replace("30", "-inf"), "sleeve_types.mine.length_mm: the number is out of range"),
        (SLEEVE.replace("30", "1" + "0" * 400), "mine.toml: "),
        (SLEEVE.replace("30", "1" * 3900), "mine.toml: "),
        (SLEEVE.replace("30", "-3"), "sleeve_types.mine.length_mm: -3 is below zero"),
        (SLEEVE.replace("30", "0"), "sleeve_types.mine.length_mm: must be above zero"),
        (SLEEVE + 'kind = "tin"', "sleeve_types.mine.kind: invalid enum value 'tin'. Write single or ribbon"),
        (SLEEVE.replace("mine", "sleeve-40"), "sleeve_types.sleeve-40: there is a part with this id already"),
        (SLEEVE.replace("mine", '""'), "sleeve_types: '' is no id"),
        (SLEEVE.replace("mine", '"a\\u0007b"'), "is no id"),
        (CABLE, "cable_types.mine.fibre_scheme: the schemes have no 'my-order'"),
        (CABLE + SCHEME.replace("red", "mauve"), "schemes.my-order.order: 'mauve' is no known colour name"),
        (CABLE.replace("12]", "0]") + SCHEME, "cable_types.mine.tubes: a tube without fibres"),
        (CABLE.replace("12]", "-1]") + SCHEME, "cable_types.mine.tubes[1]: -1 is below zero"),
        (CABLE.replace("12]", '"b"]') + SCHEME, "cable_types.mine.tubes[1]: expected a whole number"),
        (CABLE.replace("12]", "999999]") + SCHEME, "cable_types.mine.tubes: 1000005 fibres"),
        (CABLE + "od_minor_mm = 10\n" + SCHEME, "cable_types.mine.od_minor_mm: the smaller diameter is the larger"),
        (CABLE + "excess = 2\n" + SCHEME, "cable_types.mine.excess: fibre 3 times as long as its sheath"),
        (CABLE + "ribbon = 4\n" + SCHEME, "cable_types.mine.ribbon: 4 fibres per ribbon do not fill"),
        ("a = " + "[" * 3000, "mine.toml: "),
        ("a = " + "[\n" * 3000, "mine.toml: lists or tables stand too deep"),
        (".".join("a" * 3000) + " = 1", "line 1 has 6003 characters"),
        ("#" * 500_001, "mine.toml: a parts file of 500001 characters"),
        (
            '[fibre_classes.f]\ntitle = "F"\nleast_radius_mm = 1\nstorage_radius_mm = 2\nbends = [{ radius = 1 }]',
            "fibre_classes.f.bends[0]: unknown key 'radius'. Did you mean radius_mm",
        ),
        (
            '[fibre_classes.f]\ntitle = "F"\nleast_radius_mm = 1\nstorage_radius_mm = 2\nbends = [7]',
            "fibre_classes.f.bends[0]: expected a table",
        ),
    ],
)
def test_a_bad_file_gives_one_clear_line(text: str, expected: str) -> None:
    with pytest.raises(PlantError) as caught:
        load_parts(text, "mine.toml")
    line = str(caught.value)
    assert expected in line
    assert line.startswith("mine.toml: ")
    assert len(line) < 300
    assert "\n" not in line
    assert caught.value.hint


@given(st.text(max_size=200))
def test_any_text_is_parts_or_a_clear_line(text: str) -> None:
    line = "mine.toml: "
    try:
        load_parts(text, "mine.toml")
    except PlantError as error:
        line = str(error)
    assert line.startswith("mine.toml: ")


def test_every_packaged_file_is_named_once() -> None:
    assert len(set(PACKAGED)) == len(PACKAGED)
