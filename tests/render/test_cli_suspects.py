"""``glasswright suspects``, ``affected`` and ``shared`` as a person meets them: text, JSON, lists, refusals."""

from __future__ import annotations

import json
from pathlib import Path

from tests.render.program import CABINET, ROUTE, Run

DOWN, UP = "C5,C6,C9..C11", "C1..C4 C7;C8\nC12"


def test_the_ticket_in_json_has_three_suspects_and_the_shot_that_separates_them(run: Run) -> None:
    code, out, _ = run("suspects", ROUTE, "--down", DOWN, "--up", UP, "--json")
    assert code == 0
    got = json.loads(out)
    assert got["down"] == ["C5", "C6", "C9", "C10", "C11"]
    assert got["up"] == ["C1", "C2", "C3", "C4", "C7", "C8", "C12"]
    assert [s["grain"] for s in got["suspects"]] == ["tube in enclosure", "tube in span", "tube in enclosure"]
    assert all(s["explains"] == got["down"] and s["contradicted_by"] == [] for s in got["suspects"])
    assert got["next_tests"][0]["fibres"] == [f"MF-48:{n}" for n in range(20, 25)]
    sheath = next(c for c in got["cleared"] if c["element"] == "MF-48 sheath, K2 to K3")
    assert sheath["contradicted_by"] == ["C7", "C8", "C12"]


def test_the_ticket_in_text_names_suspects_the_cleared_and_the_next_test(run: Run) -> None:
    code, out, _ = run("suspects", ROUTE, "--down", DOWN, "--up", UP)
    assert code == 0
    lines = out.splitlines()
    assert lines[0] == "3 elements explain all 5 down and contradict nobody up."
    assert any("MF-48 sheath, K2 to K3" in line and "C7 C8 C12 are up through it" in line for line in lines)
    assert "Shoot dark fibres 20-24 of MF-48 T2 orange from ports MF/20-24 at Marrowfield Hub." in lines
    assert any("Treat every fibre as live" in line for line in lines)


def test_lists_of_names_may_stand_in_a_file(run: Run, tmp_path: Path) -> None:
    listed = tmp_path / "down.txt"
    listed.write_text("c5\nC6\n\n service:C9, C10..C11\n", encoding="utf-8")
    code, out, _ = run("suspects", ROUTE, "--down", f"@{listed}", "--up", "C1..C4", "--up", "C7,C8,C12", "--json")
    assert code == 0
    assert len(json.loads(out)["suspects"]) == 3


def test_a_pair_is_said_when_no_single_fault_fits(run: Run) -> None:
    code, out, _ = run("suspects", ROUTE, "--down", f"C1,{DOWN}", "--up", "C2,C3,C4,C7,C8,C12")
    assert code == 0
    assert "two faults at once, or an error in the record" in out
    assert "Best pair" in out


def test_what_the_verb_cannot_use_is_refused_in_one_line(run: Run, tmp_path: Path) -> None:
    assert "no service is called 'C55'. Nearest: C5" in run.refused("suspects", ROUTE, "--down", "C55")
    assert "nobody is said to be down" in run.refused("suspects", ROUTE, "--up", "C1")
    assert "C5..D9 is no series" in run.refused("suspects", ROUTE, "--down", "C5..D9")
    assert "no service is called 'C99'" in run.refused("suspects", ROUTE, "--down", "C5..C99")
    assert "C5 cannot be down and up at once" in run.refused("suspects", ROUTE, "--down", "C5", "--up", "C5")
    assert "the quotation mark is not closed" in run.refused("suspects", ROUTE, "--down", '"C5')
    assert "no such file" in run.refused("suspects", ROUTE, "--down", f"@{tmp_path / 'none.txt'}").lower()
    broken = tmp_path / "broken.txt"
    broken.write_bytes(b"C5\xff\xfe")
    assert "not UTF-8" in run.refused("suspects", ROUTE, "--down", f"@{broken}")


def test_affected_of_a_splitter_a_port_and_a_feeder_fibre(run: Run) -> None:
    # Live legs: SP-1 30, SP-2 28; port 3 feeds both through a 1x2, on feeder fibres 5 and 6.
    for ref, count in (
        ("SP-2:in1", 28),
        ("SP-2", 28),
        ("Fallow Cross/port/PON/3", 58),
        ("HUB-3:in1", 58),
        ("BF-48:6", 28),
        ("SP-2:out9", 1),
        ("SP-2:out29", 0),
        ("BF-48", 118),
    ):
        code, out, _ = run("affected", CABINET, ref, "--json")
        assert (code, len(json.loads(out)["services"])) == (0, count), ref


def test_affected_lists_fibres_in_it_and_beyond_it(run: Run) -> None:
    code, out, _ = run("affected", ROUTE, "MF-48@K2>", "--json")
    assert code == 0
    got = json.loads(out)
    assert got["services"] == ["C5", "C6", "C7", "C8", "C9", "C10", "C11", "C12"]
    assert got["fibres"][0] == {
        "cable": "MF-48",
        "fibres": "1-48",
        "count": 48,
        "dark": "1-2,4-14,20-24,27-48",
        "where": "in it",
    }
    code, out, _ = run("affected", ROUTE, "MF-48@K2>")
    assert "Goes dark     8 services, 8 live" in out


def test_affected_refuses_what_is_no_thing_to_cut(run: Run) -> None:
    assert "C5 is a service" in run.refused("affected", ROUTE, "service:C5")
    assert "Nearest: K4" in run.refused("affected", ROUTE, "K9")
    assert "slot 24 of tray 2 is empty" in run.refused("affected", ROUTE, "K3/2/24")
    assert "ends there" in run.refused("affected", ROUTE, "MF-48@K4>")


def test_affected_lists_who_else_is_on_a_tray_that_will_be_opened(run: Run) -> None:
    code, out, _ = run("affected", ROUTE, "K2/1", "--trays", "--json")
    assert code == 0
    trays = json.loads(out)["trays"]
    # C3 and C4 are joined on it; C5 C6 C9 C10 C11 loop through.
    assert [(t["tray"], t["services"]) for t in trays] == [
        ("tray 1 at K2", ["C3", "C4", "C5", "C6", "C9", "C10", "C11"])
    ]
    code, out, _ = run("affected", ROUTE, "K2", "--trays")
    assert (code, out) == (0, "no planned joint opens a tray here\n")
    assert "is no site" in run.refused("affected", ROUTE, "MF-48", "--trays")


def test_shared_lists_what_two_paths_have_in_common(run: Run) -> None:
    code, out, _ = run("shared", ROUTE, "C5", "C7")
    assert code == 0
    assert "sheath span  MF-48 sheath, K2 to K3" in out.splitlines()
    code, out, _ = run("shared", ROUTE, "C5")
    assert (code, out) == (0, "it has 1 feed\n")
    assert "names 2 services" in run.refused("shared", ROUTE, "C5..C6")
