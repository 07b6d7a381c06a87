# mypy: disable-error-code="arg-type, misc"
"""Plain text names things; what it cannot mean is an error with its column and the nearest real names."""

from __future__ import annotations

import contextlib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.entities import Port, Service, Tray
from model.errors import PlantError, RefError
from model.lookup import fibres_of
from model.numbers import to_text
from model.parts import CableType
from model.plant import Plant
from model.refs import LONGEST, CableRef, PortRef, ServiceRef, SiteRef, TrayRef, parse_ref
from model.templates import TEMPLATES
from tests.model.lab import box, cable, panel, site, start

RIBBON = CableType("rib", "Ribbon 48", "ribbon", (24, 24), "tia-598", "tia-598", "g652d", 12.0, ribbon=12)


def lab() -> Plant:
    """Awkward names: like ranges, like tubes, like each other, with spaces, dots, quotes, marks and another case."""
    lt48 = start().plant.cable_types["lt-48"]
    return start(
        RIBBON,
        replace(lt48, id="lt"),
        site("q", "Quill Lane"),
        site("w", "WB-07"),
        site("f", "Ferry Head"),
        site("tw", "Twin"),
        site("m", 'The "Mill"'),
        site("north", "North<"),
        site("dot", "No. 7/2"),
        cable("tm", "lt-48", "q", "w", "f", name="TM-B1"),
        cable("d1", "rd-4", "w", "m", name="D-1"),
        cable("d10", "rd-4", "w", "m", name="D-10"),
        cable("d01", "rd-4", "w", "dot", name="D-01"),
        cable("t2", "lt-24", "w", "north", name="T2"),
        cable("rb", "rib", "q", "f", name="RB.1"),
        cable("twin", "rd-4", "w", "tw", name="TWIN"),
        cable("same", "rd-4", "w", "tw", name="Ferry Head"),
        cable("aa", "rd-1", "w", "tw", name="a b"),
        cable("AA", "rd-4", "w", "tw", name="A B"),
        *box("w"),
        Tray("loft", "box-w", "tray-12", 2, "Loft 1/2"),
        *panel("q", 20),
        Port("out", "m", "outlet", 1, "outlet"),
        Port("out2", "m", "desk", 1, "outlet"),
        Service("s1", "TH-1", "out", "live", "Thistlemere Hall"),
        Service("s2", "Night line", "out"),
    ).plant


PLANT = lab()


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("WB-07", SiteRef("w")),
        ("wb-07", SiteRef("w")),
        ("Quill Lane", SiteRef("q")),
        ('"Quill Lane"', SiteRef("q")),
        ("  quill lane ", SiteRef("q")),
        ("No. 7/2", SiteRef("dot")),
        ('The "Mill"', SiteRef("m")),
        ("site:Ferry Head", SiteRef("f")),
        ('SITE:"ferry head"', SiteRef("f")),
        ("TM-B1", CableRef("tm")),
        ("tm-b1", CableRef("tm")),
        ("TM-B1:15", CableRef("tm", (15,))),
        ('"TM-B1":15', CableRef("tm", (15,))),
        ("TM-B1:13-16", CableRef("tm", (13, 14, 15, 16))),
        ("TM-B1:16-13,1", CableRef("tm", (16, 15, 14, 13, 1))),
        ("TM-B1:T2", CableRef("tm", tuple(range(13, 25)), (2,))),
        ("tm-b1:t2.3", CableRef("tm", (15,))),
        ("TM-B1:T2.3-5", CableRef("tm", (15, 16, 17))),
        ("TM-B1:T1-T2", CableRef("tm", tuple(range(1, 25)), (1, 2))),
        ("TM-B1:T4-3", CableRef("tm", (*range(37, 49), *range(25, 37)), (4, 3))),
        ("TM-B1:all", CableRef("tm", tuple(range(1, 49)), (1, 2, 3, 4))),
        ("TM-B1:15@WB-07", CableRef("tm", (15,), (), "w")),
        ('TM-B1:15@"Quill Lane">', CableRef("tm", (15,), (), "q", ">")),
        ("TM-B1:15@Quill Lane>", CableRef("tm", (15,), (), "q", ">")),
        ("TM-B1@WB-07<", CableRef("tm", (), (), "w", "<")),
        ("TM-B1:15<", CableRef("tm", (15,), (), None, "<")),
        ("D-1:3", CableRef("d1", (3,))),
        ("D-10:3", CableRef("d10", (3,))),
        ("D-01:3", CableRef("d01", (3,))),
        ("D-1", CableRef("d1")),
        ("T2:T2.3", CableRef("t2", (15,))),
        ("T2", CableRef("t2")),
        ("T2:1@North<", CableRef("t2", (1,), (), "north")),
        ("T2:1@North<<", CableRef("t2", (1,), (), "north", "<")),
        ('D-1:1@The "Mill"', CableRef("d1", (1,), (), "m")),
        ('D-1:1@"The "Mill""', CableRef("d1", (1,), (), "m")),
        ("RB.1:R2", CableRef("rb", tuple(range(13, 25)))),
        ("RB.1:R2-R3", CableRef("rb", tuple(range(13, 37)))),
        ("RB.1:R4.12", CableRef("rb", (48,))),
        ("RB.1:T2.1", CableRef("rb", (25,))),
        ("Ferry Head:all", CableRef("same", (1, 2, 3, 4), (1,))),
        ("TWIN", CableRef("twin")),
        ("Twin", SiteRef("tw")),
        ("a b:1", CableRef("aa", (1,))),
        ("A B:4", CableRef("AA", (4,))),
        ("service:TH-1", ServiceRef("s1")),
        ("Service:th-1", ServiceRef("s1")),
        ('service:"Night line"', ServiceRef("s2")),
        ("service: Night line", ServiceRef("s2")),
        ("WB-07/1", TrayRef("tray-w-1")),
        ("WB-07/1/5", TrayRef("tray-w-1", (5,))),
        ("wb-07/1/5-6,9", TrayRef("tray-w-1", (5, 6, 9))),
        ("WB-07/Loft 1/2/7", TrayRef("loft", (7,))),
        ('WB-07/"Loft 1/2"/7', TrayRef("loft", (7,))),
        ("WB-07/2/7", TrayRef("loft", (7,))),
        ('"WB-07"/1', TrayRef("tray-w-1")),
        ("Quill Lane/port/15", PortRef("q.15")),
        ("quill lane/PORT/15", PortRef("q.15")),
        ("Quill Lane/port/P/15", PortRef("q.15")),
        ('The "Mill"/port/desk/1', PortRef("out2")),
    ],
)
def test_every_form(text: str, expected: object) -> None:
    assert parse_ref(PLANT, text) == expected


@pytest.mark.parametrize(
    ("text", "column", "says", "hint"),
    [
        ("", 0, "empty", "Name a site"),
        ("   ", 0, "empty", "Name a site"),
        ("WB-08", 1, "WB-08", "WB-07"),
        ("  WB-08", 3, "WB-08", "WB-07"),
        ("TM-B2:3", 1, "TM-B2", "TM-B1"),
        ("TM-B1:49", 7, "48 fibres, not 49", "TM-B1:48"),
        ("TM-B1:47-50", 7, "48 fibres", "TM-B1:45-48"),
        ("TM-B1:1,x", 9, "'x'", "13"),
        ("TM-B1:1, x", 10, "'x'", "13"),
        ("TM-B1:1,T9", 9, "4 tubes, not T9", "1 to 4"),
        ("TM-B1:T2.13", 7, "positions 1-12", "T2.1-12"),
        ("TM-B1:T1-T2.3", 7, "positions", "T1.1-12"),
        ("TM-B1:T0", 7, "4 tubes", "1 to 4"),
        ("TM-B1:R1", 7, "no ribbons", "T1-T4"),
        ("TM-B1:", 7, "''", "13"),
        ("TM-B1:0", 7, "out of bounds", "1 to"),
        ("TM-B1:15@WB-08", 10, "WB-08", "WB-07"),
        ("TM-B1:15@Twin", 10, "does not stop at Twin", "Quill Lane, WB-07, Ferry Head"),
        ("TM-B1/15", 1, "TM-B1", "Nearest"),
        ("TM-B1 15", 1, "TM-B1 15", "TM-B1"),
        ('"TM-B1', 1, "not closed", "NAME"),
        ("Ferry Head", 1, "a site and a cable", "site:Ferry Head"),
        ("service:TH-9", 9, "TH-9", "TH-1"),
        ("service:", 9, "''", "Nearest"),
        ("WB-07/9", 7, "'9'", "Nearest"),
        ("WB-07/1/25", 9, "24 slots", "1 to 24"),
        ("WB-07/1/x", 9, "'x'", "13"),
        ("Quill Lane/port/21", 17, "'21'", "P/2"),
        ("Quill Lane/port/", 17, "''", "P/"),
        ('The "Mill"/port/1', 17, "2 ports", "port/desk/1"),
        ("site:Nowhere", 6, "Nowhere", "Nearest"),
        ("<", 1, "''", "Nearest"),
        ("@WB-07", 1, "''", "Nearest"),
    ],
)
def test_what_it_cannot_mean_is_said_with_its_column_and_the_nearest(
    text: str, column: int, says: str, hint: str
) -> None:
    with pytest.raises(RefError) as fault:
        parse_ref(PLANT, text)
    assert says in fault.value.message
    assert hint in fault.value.hint
    assert fault.value.column == column


def test_names_that_differ_by_case_are_refused_in_a_third_case() -> None:
    with pytest.raises(RefError, match="names 2 cables") as fault:
        parse_ref(PLANT, "a B:1")
    assert fault.value.hint == "Say which: AA, aa"


def test_an_empty_plant_has_nothing_to_name() -> None:
    with pytest.raises(RefError) as fault:
        parse_ref(Plant(), "TM-B1:3")
    assert "none yet" in fault.value.hint


def test_the_longest_line_is_read_and_a_longer_one_refused() -> None:
    text = "TM-B1:" + ",".join(["1"] * ((LONGEST - 6 + 1) // 2))
    text = text.ljust(LONGEST)
    assert len(text) == LONGEST
    assert set(parse_ref(PLANT, text).fibres) == {1}  # type: ignore[union-attr]
    with pytest.raises(RefError, match=str(LONGEST + 1)):
        parse_ref(PLANT, text + " ")


MARKS = [*'\n\0 :/@<>",-.TR1é', "İ", "٣", "🧵", "../.."]
pieces = st.sampled_from(
    [*MARKS, "TM-B1", "D-1", "T2", "WB-07", "Ferry Head", "site:", "service:", "port", "all", "99999"]
)


@given(st.lists(pieces, max_size=12).map("".join) | st.text(max_size=60))
def test_any_text_names_something_or_is_one_clear_line(text: str) -> None:
    fault = None
    try:
        parse_ref(PLANT, text)
    except RefError as raised:
        fault = raised
    if fault is not None:
        assert 0 <= fault.column <= len(text) + 1
        assert "\n" not in str(fault)
        assert fault.hint


names = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=12)


@given(names, st.sets(st.integers(1, 48), min_size=1), st.sampled_from(["", "<", ">"]), st.booleans(), st.booleans())
def test_a_written_reference_is_read_back(name: str, fibres: set[int], side: str, quoted: bool, placed: bool) -> None:
    """Whatever a cable is called, its quoted or plain name with a range reads back as itself."""
    if '"' in name and quoted:
        return
    if name.lower().startswith(("service:", "site:")) and not quoted:
        return
    made = cable("the id", "lt-48", "q", "w", name=name)
    plant = Plant([site("q", "Quill Lane"), site("w", "WB-07"), *start().plant.entities(), made])
    text = (f'"{name}"' if quoted else name) + ":" + to_text(sorted(fibres)) + ("@WB-07" if placed else "") + side
    expected = CableRef("the id", tuple(sorted(fibres)), (), "w" if placed else None, side or None)
    assert parse_ref(plant, text) == expected


@pytest.mark.parametrize("template", sorted(TEMPLATES))
def test_every_name_of_a_template_is_read_back(template: str) -> None:
    plant = TEMPLATES[template]()
    for place in plant.sites.values():
        assert parse_ref(plant, place.name) == SiteRef(place.id)
    for made in plant.cables.values():
        kind = plant.cable_types[made.type]
        assert parse_ref(plant, made.name) == CableRef(made.id)
        for tube in range(1, len(kind.tubes) + 1):
            whole = tuple(fibres_of(kind, tube))
            assert parse_ref(plant, f"{made.name}:T{tube}") == CableRef(made.id, whole, (tube,))
            for position, fibre in enumerate(whole, start=1):
                assert parse_ref(plant, f"{made.name}:T{tube}.{position}") == CableRef(made.id, (fibre,))
    for service in plant.services.values():
        assert parse_ref(plant, f"service:{service.name}") == ServiceRef(service.id)
    for port in plant.ports.values():
        text = f"{plant.sites[port.site].name}/port/{port.panel}/{port.number}"
        assert parse_ref(plant, text) == PortRef(port.id)


def test_a_long_hostile_line_is_refused_quickly_enough_to_be_typed() -> None:
    for text in ("TM-B1:" + "9-1," * 2000, "a/" * 4000, '"' * LONGEST, ":" * LONGEST, "TM-B1:" + "T1-T4.1-12," * 700):
        with contextlib.suppress(PlantError):
            parse_ref(PLANT, text[:LONGEST])
