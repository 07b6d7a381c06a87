# mypy: disable-error-code="arg-type"
"""A plant as one text: what goes in comes out, the same plant is the same bytes, and nothing else is read."""

from __future__ import annotations

import gc
import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.entities import Site
from model.errors import StorageError
from model.plant import Plant
from model.storage.document import decode, encode
from model.storage.migrations import migrate
from model.storage.schema import SHIPPED, schema_text
from tests.model.storage.builder import entities, passing, plant, plants

GOOD = encode(plant())
SCHEMA = jsonschema.Draft202012Validator(json.loads(SHIPPED.read_text(encoding="utf-8")))
DEEP = b"[" * 20_000


def fault(data: bytes) -> str:
    """The one line said about a bad file."""
    with pytest.raises(StorageError) as caught:
        decode(data)
    line = str(caught.value)
    assert "\n" not in line
    assert len(line) < 5000
    return line


def changed(path: str, value: Any) -> bytes:
    """The good file with the value at ``a.0.b`` replaced, or removed by ``...``."""
    document = json.loads(GOOD)
    *way, last = [int(key) if key.isdigit() else key for key in path.split(".")]
    at = document
    for key in way:
        at = at[key]
    if value is ...:
        del at[last]
    else:
        at[last] = value
    return json.dumps(document).encode()


@given(plants())
@settings(max_examples=60, deadline=None)
def test_a_plant_comes_back_equal_and_is_written_the_same_again(made: Plant) -> None:
    data = encode(made)
    again = decode(data)
    assert again == made
    assert encode(again) == data
    assert SCHEMA.is_valid(json.loads(data))


def test_the_order_in_which_entities_were_made_does_not_show() -> None:
    assert encode(Plant(reversed(entities()))) == GOOD


def test_numbers_are_rounded_to_six_decimals_once() -> None:
    made = Plant([Site("a", "A", "cabinet", chainage_m=1.23456789), Site("b", "B", "cabinet", chainage_m=-0.0)])
    again = decode(encode(made))
    assert again.sites["a"].chainage_m == 1.234568
    assert math.copysign(1, again.sites["b"].chainage_m or 0.0) == 1


def test_every_entity_has_its_line_and_so_has_every_stop() -> None:
    lines = [line.strip() for line in GOOD.decode().splitlines()]
    assert sum(line.startswith('{"id": "c@') for line in lines) == 3
    assert '{"id": "end", "name": "Premises Øre", "kind": "premises"},' not in lines
    assert '{"id": "end", "name": "Premises Øre", "kind": "premises"}' in lines


def test_one_changed_mark_is_one_changed_line() -> None:
    other = encode(plant(stop=passing(mark_in_m=809.0))).decode().splitlines()
    assert sum(a != b for a, b in zip(GOOD.decode().splitlines(), other, strict=True)) == 1


def test_fibres_are_ranges_and_ends_are_tagged_lists() -> None:
    document = json.loads(GOOD)
    assert document["cables"][0]["stops"][1]["tubes"][0]["cut"] == "3-5"
    assert document["cables"][0]["stops"][1]["stored"][0]["fibres"] == "1-2,6-12"
    assert document["splices"][0]["a"] == ["fibre", "c", 3, "c@enc", "<"]
    assert document["splices"][0]["b"] == ["leg", "sp", "in", 1]


def test_a_byte_order_mark_is_tolerated() -> None:
    assert decode(b"\xef\xbb\xbf" + GOOD) == plant()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "empty"),
        (b" \n\t", "empty"),
        (b"{}", "not a plant"),
        (b"[1, 2]", "not a plant"),
        (b'"text"', "not a plant"),
        (GOOD[:-200], "ends in the middle"),
        (GOOD.decode().encode("utf-16"), "UTF-16"),
        (GOOD.decode().encode("latin-1"), "not UTF-8 text"),
        (GOOD[:50] + b"\0" + GOOD[50:], "byte 51: holds a NUL byte"),
        (DEEP, "nested too deeply"),
        (b'{"a":' * 20_000, "nested too deeply"),
        (GOOD.replace(b'"version": 1', b'"version": 1, "cables": ' + DEEP), "nested too deeply"),
        (GOOD.replace(b'"version": 1', b'"version": 2'), "made by a newer Glasswright: version 2, this one reads 1"),
        (GOOD.replace(b'"version": 1', b'"version": "1"'), "version is '1'"),
        (GOOD.replace(b'"version": 1', b'"version": true'), "version is True"),
        (GOOD.replace(b'"version": 1', b'"version": 0'), "version 0 is unknown"),
        (GOOD.replace(b'"version": 1', b'"version": 1, "version": 1'), "$.version: the key 'version' stands twice"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": NaN'), "NaN is no number"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": -Infinity'), "-Infinity is no number"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": 1e400'), "$.cables[0].stops[2].tail_m: is inf"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": 1e308'), "$.cables[0].stops[2].tail_m: is 1e+308"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": ' + b"9" * 5000), "too many digits"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": ' + b"9" * 400), "out of range"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": 1.5, "tail_m": 2'), "$.cables[0].stops[2].tail_m: the key"),
        (GOOD.replace(b'"tail_m": 1.5', b'"tail_m": .5'), "line "),
        (GOOD.replace(b'"TM-B1"', b'"\\u0000"'), "$.cables[0].name: holds the control character U+0000"),
        (GOOD.replace(b'"TM-B1"', b'"\\ud800"'), "$.cables[0].name: holds the control character U+D800"),
        (GOOD.replace(b'"3-5"', b'"5-3,99999"'), "out of bounds"),
        (GOOD.replace(b'"3-5"', b'"1-99999999999"'), "no list of numbers"),
        (GOOD.replace(b'"3-5"', b'" 3"'), "no list of numbers"),
        (GOOD.replace(b'"3-5"', b"[3, 4]"), "Expected text such as"),
        (b"{" * 5_000_000, "more records than any plant"),
    ],
)
def test_a_bad_file_gets_one_line_that_says_what(data: bytes, said: str) -> None:
    assert said in fault(data)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("cables.0.stops.1.mark_in_m", "810", "$.cables[0].stops[1].mark_in_m (TM-B1): Expected"),
        ("cables.0.stops.1.mark", 1, "$.cables[0].stops[1] (TM-B1): Object contains unknown field 'mark'"),
        ("cables.0.stops.1.id", ..., "$.cables[0].stops[1] (TM-B1): Object missing required field 'id'"),
        ("cables.0.stops.1.id", "c@co", "$.cables[0].stops[1].id is 'c@co'"),
        ("cables.0.stops", [], "$.cables[0].stops holds 0 stops"),
        ("cables.0.stops.1.site", "no", "$.cables[0].stops[1].site is 'no', which is not in sites"),
        ("cables.0.stops.1.entry_in", "9", "$.cables[0].stops[1].entry_in: is '9', which no enclosure"),
        ("cables.0.stops.0.entry_in", "1", "which no enclosure at the site has"),
        ("cables.0.stops.1.tubes.0.cut", "3-13", "names 13; tube 1 has fibres 1-12"),
        ("cables.0.stops.1.tubes.0.cut", "4,3", "does not rise"),
        ("cables.0.stops.1.tubes.0.tube", 3, "is 3; the cable has tubes 1-2"),
        ("cables.0.stops.2.tubes", [{"tube": 1, "state": "cut"}], "does not pass"),
        ("cables.0.stops.1.stored.0.tray", "no", "which is not in trays"),
        ("cables.0.stops.1.stored.0.fibres", "24-25", "names 25; the cable has fibres 1-24"),
        ("cables.0.stops.1.stored.0.fibres", "2,2", "names a number twice"),
        ("cables.0.type", "no", "$.cables[0].type: is 'no', which is not in cable_types"),
        ("cables.0.name", "", "$.cables[0].name: is empty"),
        ("cables.0.name", "x" * 201, "has 201 characters, more than 200"),
        ("cables.0.name", "a\nb", "U+000A"),
        ("cable_types.0.tubes", [0, 24], "must hold 1 to 10000 fibres"),
        ("cable_types.0.tubes", [-1, 24], "must hold 1 to 10000 fibres"),
        ("cable_types.0.tubes", [], "must hold 1 to 10000 fibres"),
        ("cable_types.0.tubes", [10**6], "must hold 1 to 10000 fibres"),
        ("cable_types.0.tube_scheme", "no", "which is not in schemes"),
        ("schemes.0.order", [], "the order is empty"),
        ("enclosure_types.0.trays.0", "no", "which is not in tray_types"),
        ("enclosures.0.plugged", ["7"], "which the enclosure type does not have"),
        ("trays.0.position", 2, "which the enclosure type does not have"),
        ("trays.0.enclosure", "no", "which is not in enclosures"),
        ("routes.0.stops.0", "no", "$.routes[0].stops[0]: is 'no', which no cable has"),
        ("routes.0.tubes", "3", "$.routes[0].tubes: names 3; the cable has tubes 1-2"),
        ("routes.0.supports.0.turns", 10**6, "beyond 10000"),
        ("splices.0.slot", 10_001, "$.splices[0].slot: is 10001; the tray has slots 1-12"),
        ("splices.0.tray", ..., "but the splice is on no tray"),
        ("splices.0.a.1", "no", "$.splices[0].a[1]: is 'no', which is not in cables"),
        ("splices.0.a.2", 10_001, "$.splices[0].a[2]: is 10001; the cable has fibres 1-24"),
        ("splices.0.a.3", "no", "which is no stop of cable 'c'"),
        ("splices.0.a.0", "leg", "$.splices[0].a"),
        ("splices.0.a", [], "$.splices[0].a"),
        ("splices.0.b.3", 2, "$.splices[0].b[3]: is 2; the splitter has in 1-1"),
        ("splices.0.b.1", "no", "which is not in splitters"),
        ("matings.0.end.4", "<", "$.matings[0].end[4]: is '<' at the first stop"),
        ("matings.0.port", "no", "which is not in ports"),
        ("services.0.at", "no", "$.services[0].at: is 'no', which is not in ports"),
        ("sites.1.id", "co", "as $.sites[0].id is already"),
        ("jobs.0.id", "work", "the one job has the id 'job'"),
        ("jobs.0.profile", "no", "which is not in profiles"),
        ("format", "other", "not a plant"),
        ("plants", [], "unknown field 'plants'"),
        ("cables", {}, "$.cables: Expected"),
    ],
)
def test_every_fault_is_named_with_its_path(path: str, value: Any, said: str) -> None:
    assert said in fault(changed(path, value))


def test_all_faults_are_counted_and_twenty_are_shown() -> None:
    document = json.loads(GOOD)
    document["services"] = [{"id": f"s{n}", "name": "a", "at": "no"} for n in range(30)]
    line = fault(json.dumps(document).encode())
    assert "30 faults" in line
    assert "and 10 more" in line
    assert line.count("which is not in ports") == 20


def test_a_broken_plant_is_not_written() -> None:
    with pytest.raises(StorageError, match=r"\$\.sites\[0\]\.chainage_m: is nan"):
        encode(Plant([Site("a", "A", "cabinet", chainage_m=math.nan)]))


@given(st.data())
@settings(max_examples=300, deadline=None)
def test_any_damage_is_a_storage_error_or_a_whole_plant(data: st.DataObject) -> None:
    way = data.draw(st.sampled_from(["cut", "flip", "delete", "replace"]))
    if way == "cut":
        bad = GOOD[: data.draw(st.integers(0, len(GOOD)))]
    elif way == "flip":
        raw = bytearray(GOOD)
        for _ in range(data.draw(st.integers(1, 4))):
            raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
        bad = bytes(raw)
    else:
        document = json.loads(GOOD)
        at, last = document, data.draw(st.sampled_from(list(document)))
        while isinstance(at[last], dict | list) and at[last] and data.draw(st.integers(0, 3)):
            at = at[last]
            last = data.draw(st.sampled_from(range(len(at)) if isinstance(at, list) else list(at)))
        if way == "delete":
            del at[last]
        else:
            at[last] = data.draw(
                st.sampled_from(
                    [None, True, 0, -1, 1.5, 1e300, "", "x", "9", [], {}, [[]], [None], {"id": "x"}, 10**30]
                )
            )
        bad = json.dumps(document).encode()
    try:
        made = decode(bad)
    except StorageError as error:
        assert "\n" not in str(error)  # noqa: PT017  # both outcomes are right, each has its check
    else:
        assert decode(encode(made)) == made


def test_the_collector_is_on_again_after_a_bad_file() -> None:
    assert gc.isenabled()
    fault(b"{")
    assert gc.isenabled()


def test_the_shipped_schema_is_the_one_the_records_make() -> None:
    assert SHIPPED.read_text(encoding="utf-8") == schema_text()


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("cables.0.stops.1.mark_in_m", "810"),
        ("cables.0.stops.1.mark", 1),
        ("cables.0.name", ...),
        ("splices.0.a.0", "glass"),
        ("splices.0.a.4", "="),
        ("cables.0.stops.1.tubes.0.cut", "3 to 5"),
        ("version", 2),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(path: str, value: Any) -> None:
    bad = changed(path, value)
    fault(bad)
    assert SCHEMA.is_valid(json.loads(GOOD))
    assert not SCHEMA.is_valid(json.loads(bad))


def test_the_file_of_version_1_can_be_read_for_ever() -> None:
    assert decode(Path(__file__).with_name("plant-1.gwp").read_bytes()) == plant()


def test_an_older_document_is_lifted_step_by_step() -> None:
    def lift(document: dict[str, Any]) -> dict[str, Any]:
        return {"version": 1, "sites": document["places"]}

    assert migrate({"version": 0, "places": [7]}, {0: lift}) == {"version": 1, "sites": [7]}
    assert migrate({"version": 0, "places": 1}, {0: lift, 1: lambda d: {**d, "version": 2}}, 2)["version"] == 2
    with pytest.raises(StorageError, match="cannot be lifted from version 0"):
        migrate({"version": 0}, {0: lift})
    with pytest.raises(StorageError, match="did not raise the version"):
        migrate({"version": 0}, {0: lambda d: d})


def test_the_whole_catalogue_can_be_kept_in_a_plant() -> None:
    made = Plant(catalogue().parts())
    assert decode(encode(made)) == made


def test_replacing_a_name_keeps_the_rest() -> None:
    made = plant()
    other = [replace(x, name="Renamed") if x.id == "co" else x for x in made.entities()]
    assert decode(encode(Plant(other))).sites["co"].name == "Renamed"
