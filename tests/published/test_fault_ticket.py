"""The Marrowfield ticket from a phone call to a mark on a sheath, end to end by the command line.

Scenario worked by hand beforehand, to the digits it was written down with: cable MF-48, hub - K1 - K2 - K3 - K4, marks
4, 1859/1861, 3151/3153, 4093/4095, 4765; excess 1.8 % (1.3 to 2.3), index 1.4670; 6 m of tail, 15 m of riser and coils.
C5 C6 C9 C10 C11 are down, the other seven up. An OTDR set to 1.4682 behind 150 m of lead shows 3.359 km on fibre 17.
Formulas F16 to F18 and the grain of a fault are trade practice, no source.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from render.cli import main

SAMPLE = Path(__file__).parents[2] / "samples" / "marrowfield.gwp"
DOWN, UP = "C5,C6,C9,C10,C11", "C1,C2,C3,C4,C7,C8,C12"
WHO = ("--down", DOWN, "--up", UP)
SHOT = ("--ref", "MF-48:17", "--reading", "3.359 km", "--index", "1.4682", "--lead", "150")
Ask = Callable[..., Any]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    def go(verb: str, *arguments: str) -> Any:
        with pytest.raises(SystemExit) as end:
            main([verb, str(SAMPLE), *arguments, "--json"])
        out, err = capsys.readouterr()
        assert (end.value.code, err) == (0, "")
        return json.loads(out)

    return go


def test_the_suspects_are_exactly_the_three(ask: Ask) -> None:
    found = ask("suspects", *WHO)
    assert found["single"]
    assert [s["key"] for s in found["suspects"]] == [
        "tube_at|loop|2|mf-48.k2",
        "tube|2|mf-48.k2",
        "tube_at|entry|2|mf-48.k3",
    ]
    assert all((len(s["explains"]), s["contradicted_by"]) == (5, []) for s in found["suspects"])


@pytest.mark.parametrize(
    ("key", "explains", "against"),
    [
        ("sheath|mf-48.hub", 5, 7),
        ("sheath|mf-48.k1", 5, 5),
        ("tube|2|mf-48.hub", 5, 2),
        ("tube|2|mf-48.k1", 5, 2),
        ("sheath|mf-48.k2", 5, 3),
        ("tube|2|mf-48.k3", 3, 0),
    ],
)
def test_what_is_cleared_and_by_how_many(ask: Ask, key: str, explains: int, against: int) -> None:
    (found,) = [c for c in ask("suspects", *WHO)["cleared"] if c["key"] == key]
    assert (len(found["explains"]), len(found["contradicted_by"])) == (explains, against)


def test_the_separating_test_is_on_dark_fibres_20_to_24_of_tube_2(ask: Ask) -> None:
    test = ask("suspects", *WHO)["next_tests"][0]
    assert test["fibres"] == [f"MF-48:{fibre}" for fibre in range(20, 25)]
    assert test["separates_top"]


def test_the_reading_is_mark_3153_at_k2s_out_side_band_3138_to_3169(ask: Ask) -> None:
    found = ask("fault", *WHO, *SHOT)["located"]
    # 3359 x 1.4682 / 1.4670 = 3361.748, printed 3361.7; less 156: 3205.748, printed 3205.7.
    assert found["true_m"] == pytest.approx(3361.748, abs=0.005)
    assert found["fibre_m"] == pytest.approx(3205.748, abs=0.005)
    assert (round(found["sheath_m"], 1), found["mark"]) == (3149.1, 3153)
    assert (found["nearest"]["site"], found["nearest"]["side"]) == ("K2", "out")
    assert found["band_marks"] == [3138, 3169]
    assert round(found["route_m"]) == 3085


def test_both_trap_answers_are_rejected(ask: Ask) -> None:
    # 3.359 km taken for route is 274 m past K2; with the lead alone removed, 3.203 km, 118 m past it.
    k2_m = 3085
    assert (3359 - k2_m, round(3203 - k2_m)) == (274, 118)
    found = ask("fault", *WHO, *SHOT)["located"]
    assert abs(found["route_m"] - k2_m) < 1
    assert found["nearest"]["offset_m"] < 1


def test_k3_would_have_shown_4_315_km_and_is_excluded(ask: Ask) -> None:
    suspects = {s["key"]: s for s in ask("fault", *WHO, *SHOT)["suspects"]}
    third = suspects["tube_at|entry|2|mf-48.k3"]
    assert round(third["would_show_m"][0] / 1000, 3) == 4.315
    assert [key for key, s in suspects.items() if s["excluded"]] == ["tube_at|entry|2|mf-48.k3"]


def test_whom_not_to_disturb_at_k2(ask: Ask) -> None:
    found = ask("fault", *WHO, *SHOT)
    assert found["place"] == "K2"
    assert [(row["tube"], row["fibres"], row["services"]) for row in found["do_not_disturb"]] == [
        (2, "13-14", ["C3", "C4"]),
        (1, "3", ["C8"]),
        (3, "25-26", ["C7", "C12"]),
    ]


def test_the_repair_costs_20_splices_2_m_of_bridge_and_20_slots(ask: Ask) -> None:
    (bridge,) = [one for one in ask("fault", *WHO, *SHOT)["repairs"] if one["way"] == "bridge"]
    assert (bridge["fibres"], bridge["splices"]) == ("15-24", 20)
    assert bridge["bridge_m"] == pytest.approx(2.0)
    assert bridge["extra_db"] == 0.2
    assert bridge["trays"] == [{"tray": "tray 1", "slots": 24, "used": 2, "taken": 20}]
    assert any("No shortening" in reason for reason in bridge["reasons"])
    # 5.5 dB less 2.609 (C9 by hand) less the drawn bends, and 0.2 less after.
    before, after = bridge["margins_db"]["C9"]
    assert before == pytest.approx(5.5 - 2.609, abs=0.03)
    assert before - after == pytest.approx(0.2)


def test_the_ticket_is_closed_with_the_five_back_and_20_to_24_tested_again(ask: Ask) -> None:
    found = ask("fault", *WHO, *SHOT)
    assert found["close_out"].startswith("Close with: C5, C6, C9, C10, C11 back, dark MF-48:20-24 tested again")
    assert [one["retest_dark"] for one in found["repairs"]] == ["", "20-24"]


def test_services_can_be_rolled_onto_other_tubes_instead(ask: Ask) -> None:
    found = ask("fault", *WHO, *SHOT)
    roll = found["repairs"][0]
    assert (roll["way"], roll["splices"], roll["left_dark"]) == ("roll", 5, [])
    assert [(move["services"], move["from"]) for move in roll["moves"]] == [
        (["C5"], 15), (["C6"], 16), (["C9"], 17), (["C10"], 18), (["C11"], 19),
    ]  # fmt: skip
    assert {move["to"] for move in roll["moves"]}.isdisjoint({*range(13, 25), 1, 2, 3, 25, 26})
