"""``glasswright trace`` as a person meets it: through splitters and cascades, any wavelength, text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from tests.render.program import CABINET, ROUTE, Run


@pytest.fixture
def run(run: Run) -> Run:
    return Run(run.captured, "trace")


def document(run: Run, *arguments: object) -> Any:
    code, out, _ = run(*arguments, "--json")
    assert code == 0
    return json.loads(out)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_leg_9_of_splitter_2_leads_both_ways_through_the_cascade_above_it(run: Run) -> None:
    # Leg 9 of SP-2 is fibre (2 - 1) x 32 + 9 = 41; above SP-2 stands a 1x2 behind exchange port 3.
    got = document(run, CABINET, "SP-2:out9")
    assert got["ends"] == ["39 Bramblecote port 1", "Fallow Cross port PON/3"]
    assert [hop["fibre"] for hop in got["hops"] if hop["kind"] == "glass"] == [1, 41, 6]
    assert [hop["splitter"] for hop in got["hops"] if hop["kind"] == "splitter"] == ["SP-2", "HUB-3"]
    assert got["below"] == []


def test_below_a_splitter_input_stand_its_legs_with_who_is_on_them(run: Run) -> None:
    below = document(run, CABINET, "SP-2:in1")["below"]
    assert len(below) == 32
    assert sum(bool(leg["services"]) for leg in below) == 28
    assert [leg["leg"] for leg in below if leg["to"] is None] == [f"SP-2 leg {n}" for n in (29, 30, 31, 32)]
    # 8.1498 km x 0.35, 3.8 + 17.0 dB of splitters, 5 splices of 0.10 and 6 pairs of 0.30, by hand
    assert below[8]["services"] == ["BC-041"]
    assert below[8]["at_db"]["1310"] == pytest.approx(25.952, abs=0.001)


def test_a_cascade_is_followed_leg_by_leg_to_every_home(run: Run) -> None:
    below = document(run, CABINET, "HUB-3")["below"]
    assert [leg["leg"] for leg in below if leg["depth"] == 0] == ["HUB-3 leg 1", "HUB-3 leg 2"]
    assert sum(bool(leg["services"]) for leg in below if leg["depth"] == 1) == 30 + 28
    # The legs of SP-1 follow the leg that feeds it, those of SP-2 the other.
    assert [leg["leg"].split()[0] for leg in below] == ["HUB-3", *["SP-1"] * 32, "HUB-3", *["SP-2"] * 32]


def test_wavelengths_are_the_askers_and_1577_lies_between_1550_and_1625(run: Run) -> None:
    got = document(run, CABINET, "service:BC-041", "--nm", "1577,1270,1490")
    assert list(got["loss_db"]) == ["1270", "1490", "1577"]
    # 0.22 + 27/75 x (0.24 - 0.22) = 0.2272 dB/km on 8.1498 km; all else 23.1 dB. 1490: 0.25.
    assert got["loss_db"]["1577"] == pytest.approx(23.1 + 8.1498 * 0.2272, abs=0.0005)
    assert got["loss_db"]["1490"] == pytest.approx(23.1 + 8.1498 * 0.25, abs=0.0005)
    assert got["loss_db"]["1270"] == pytest.approx(23.1 + 8.1498 * 0.40, abs=0.0005)


def test_the_running_sum_ends_at_the_total_and_every_element_says_how_it_is_known(run: Run) -> None:
    code, out, _ = run(ROUTE, "service:C9", "--csv", "--nm", "1310,1550,1625")
    assert code == 0
    found = rows(out)
    assert [row["kind"] for row in found] == [
        *("mated pair", "pigtail splice", "fibre", "splice", "fibre", "pigtail splice", "mated pair")
    ]
    assert {row["service"] for row in found} == {"C9"}
    # 4761 m of sheath x 1.018 + 6 m of tail = 4852.698 m, and 30 m of drop x 1.02, by hand
    assert float(found[2]["from exchange, m"]) == pytest.approx(4852.7, abs=0.05)
    assert float(found[-1]["sum 1310 nm, dB"]) == pytest.approx(2.609, abs=0.001)
    assert float(found[-1]["sum 1625 nm, dB"]) == pytest.approx(0.9 + 4.8833 * 0.24, abs=0.001)
    assert found[2]["passes uncut"] == "K1, K2, K3"
    assert (found[2]["tube"], found[2]["tube colour"], found[2]["fibre colour"]) == ("2", "orange", "slate")
    assert found[3]["place"] == "tray 2 slot 1"
    assert found[3]["record"] == "verified 2025-10-14 TW"
    assert found[5]["record"] == "inherited 2025-10-06 drop fitters"


def test_a_file_gets_what_is_printed(run: Run, tmp_path: Path) -> None:
    _, printed, _ = run(CABINET, "SP-2:in1", "--csv")
    place = tmp_path / "legs.csv"
    assert run(CABINET, "SP-2:in1", "-o", place) == (0, f"{place}\n", "")
    assert rows(place.read_text(encoding="utf-8-sig")) == rows(printed)
    assert sum(row["kind"] == "leg below" for row in rows(printed)) == 32


def test_text_lists_the_legs_below(run: Run) -> None:
    code, out, _ = run(CABINET, "SP-2:in1")
    assert code == 0
    lines = out.splitlines()
    at = lines.index("Below")
    assert len(lines) == at + 2 + 32
    assert any(line.split()[:7] == ["SP-2", "leg", "9", "39", "Bramblecote", "port", "1"] for line in lines[at:])


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("SP-2:out33",), "SP-2 has 32 legs, not 33"),
        (("SP-2:in2",), "SP-2 has 1 input, not 2"),
        (("SP-2:leg9",), "Write SP-2:in1, or SP-2:out1 to :out32"),
        (("SP-2:out9@Fallow Cross",), "no splitter is called 'SP-2'"),
        (("SP-2:out29", "--nm", "850"), "850 nm is no wavelength of single-mode fibre"),
        (("SP-2:out9", "--nm", "1310;1550"), "is no wavelength"),
        (("SP-2:out9", "--nm", ""), "is no wavelength"),
        (("SP-2:out9", "--nm", ",".join(map(str, range(1300, 1320)))), "20 wavelengths are too many"),
        (("SP-2:out9", "--json", "--csv"), "one result at a time"),
        (("SP-2:out9", "-o", "out.svg"), "Let it end in .csv"),
    ],
)
def test_what_cannot_be_meant_is_one_line(run: Run, arguments: tuple[str, ...], says: str) -> None:
    code, out, err = run(CABINET, *arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1


def test_a_service_named_without_its_prefix_is_told_how_it_is_said(run: Run) -> None:
    # C9 is also the id of the customer's site, BC-033 of nothing else.
    for plant, said, hint in ((CABINET, "bc-033", "service:BC-033"), (ROUTE, "c9", "service:C9")):
        code, out, err = run(plant, said)
        assert (code, out) == (2, "")
        assert err.lower().rstrip().endswith(f"say {hint}".lower())
        assert run(plant, hint)[0] == 0
