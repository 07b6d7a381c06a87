# mypy: disable-error-code="arg-type"
"""Lists of services as they are typed and pasted: separators, series, names with spaces, and what is not there."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from model.correlate.listed import MOST_TEXT, services_listed
from model.entities import Port, Service
from model.errors import RefError
from model.plant import Plant
from tests.model.lab import site, start

NAMES = ["C1", "C2", "C3", "C10", "Night line", "Night", "a,b", 'say "hi"', "X-9", "X-11"]


def lab() -> Plant:
    ports = [Port(f"p{n}", "h", "outlet", n, "outlet") for n in range(len(NAMES))]
    services = [Service(f"id-{n}", name, f"p{n}", "live") for n, name in enumerate(NAMES)]
    return start(site("h", kind="premises"), *ports, *services).plant


PLANT = lab()


def listed(text: str) -> list[str]:
    return [PLANT.services[s].name for s in services_listed(PLANT, text)]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("", []),
        (" ,;\n\t", []),
        ("C1,C2", ["C1", "C2"]),
        ("C1 C2;C3\r\nC10", ["C1", "C2", "C3", "C10"]),
        ("c1..c3", ["C1", "C2", "C3"]),
        ("C10..C2", ["C10", "C3", "C2"]),
        ("X-9..X-11", ["X-9", "X-11"]),
        ("Night line Night", ["Night line", "Night"]),
        ('"Night line",C1', ["Night line", "C1"]),
        ('"a,b" C1', ["a,b", "C1"]),
        ("a,b", ["a,b"]),
        ('say "hi"', ['say "hi"']),
        ("service:C1", ["C1"]),
        ("C1 C1 C1..C2", ["C1", "C2"]),
        ("id-3", ["C10"]),
    ],
)
def test_a_list_names_services_in_its_order_each_once(text: str, names: list[str]) -> None:
    assert listed(text) == names


@pytest.mark.parametrize(
    ("text", "message", "column"),
    [
        ("C1, C9", "no service is called 'C9'", 5),
        ("C1..X-9", "C1..X-9 is no series", 1),
        ("C1..Night", "C1..Night is no series", 1),
        ("C1..C7", "no service is called 'C7'", 1),
        ('C1 "C2', "the quotation mark is not closed", 4),
        ("C1..", "C1.. is no series", 1),
        ("..", "is no series", 1),
    ],
)
def test_what_a_list_cannot_mean_is_said_with_its_column(text: str, message: str, column: int) -> None:
    with pytest.raises(RefError) as fault:
        services_listed(PLANT, text)
    assert message in str(fault.value)
    assert fault.value.column == column


def test_a_name_of_two_services_asks_which_and_an_endless_list_is_refused() -> None:
    twice = Plant([*PLANT.entities(), Port("q", "h", "outlet", 99, "outlet"), Service("other", "C1", "q", "live")])
    with pytest.raises(RefError, match="names 2 services"):
        services_listed(twice, "C1")
    with pytest.raises(RefError, match="characters long"):
        services_listed(PLANT, "C" * (MOST_TEXT + 1))


@given(st.text(alphabet='C12 ,;."\n-Night lines:', max_size=40))
def test_any_text_is_a_list_or_one_clear_refusal(text: str) -> None:
    fault: RefError | None = None
    found: tuple[str, ...] = ()
    try:
        found = services_listed(PLANT, text)
    except RefError as raised:
        fault = raised
    assert fault is None or (fault.message and 1 <= fault.column <= len(text))
    assert len(set(found)) == len(found)
