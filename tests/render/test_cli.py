"""The command line as a person meets it: what it says of the samples, by check, trace and budget."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from model.plant import Plant
from model.storage.files import save
from model.templates import TEMPLATES
from tests.render.program import BROKEN, SMALL, Run


def test_the_small_sample_is_good_and_its_tray_holds_more_than_its_joints(run: Run) -> None:
    got = run("check", SMALL)
    assert got.code == 0
    # 4 joints, 8 loop-through and 4 stubs, counted on the drawing
    assert any("tray.load" in line and "16 of 24" in line for line in got.lines)
    assert got.lines[-1].startswith("0 errors, ")


def test_a_row_that_joins_uncut_fibre_17_to_fibre_5_of_4_is_named_for_both(run: Run) -> None:
    got = run("check", BROKEN / "fibre-17-to-drop-5.gwp")
    assert got.code == 1
    assert any("D-1 has 4 fibres, not 5" in line for line in got.lines)
    assert any("TM-B1:17 is uncut" in line for line in got.lines)
    assert got.lines[-1].startswith("2 errors, ")


def test_findings_stand_under_each_other_gravest_first(run: Run) -> None:
    lines = run("check", BROKEN / "fibre-17-to-drop-5.gwp").lines[:-1]
    starts = {re.match(r"\w+ +[\w.]+ +", line).end() for line in lines}  # type: ignore[union-attr]
    assert len(starts) == 1
    order = [line.split()[0] for line in lines]
    assert order == sorted(order, key=["error", "warning", "note"].index)


def test_check_answers_a_program_with_findings_and_their_counts(run: Run) -> None:
    got = run("check", BROKEN / "fibre-17-to-drop-5.gwp", "--json")
    assert got.code == 1
    assert list(got.json) == ["findings", "errors", "warnings", "notes"]
    for finding in got.json["findings"]:
        assert list(finding) == [
            *("rule", "severity", "refs", "message", "measured", "limit", "unit", "basis", "accepted")
        ]
    kinds = [finding["severity"] for finding in got.json["findings"]]
    assert [got.json["errors"], got.json["warnings"], got.json["notes"]] == [
        kinds.count(kind) for kind in ("error", "warning", "note")
    ]


def test_drop_fibre_3_leads_to_port_15_by_the_third_fibre_of_the_second_tube(run: Run) -> None:
    got = run("trace", SMALL, "D-1:3")
    assert got.code == 0
    assert "Exchange end  Quill Lane port 15" in got.lines
    # fibre 15 of tubes of 12: tube 2, position 3, and the third colour is green (TIA-598, from memory)
    assert any("TM-B1:15, tube 2 orange, position 3 green" in line for line in got.lines)


def test_trace_answers_a_program_hop_by_hop(run: Run) -> None:
    got = run("trace", SMALL, "D-1:3", "--json").json
    assert {"from", "hops", "ends", "loss_db"} <= set(got)
    assert got["ends"][-1] == "Quill Lane port 15"
    keys = {"kind", "site", "cable", "tube", "tube_colour", "fibre", "fibre_colour", "tray", "slot"}
    assert all(keys | {"length_m", "loss_db", "cum_m", "cum_db"} <= set(hop) for hop in got["hops"])
    glass = [hop for hop in got["hops"] if hop["cable"] == "TM-B1"]
    assert [(hop["fibre"], hop["tube"], hop["position"], hop["fibre_colour"]) for hop in glass] == [(15, 2, 3, "green")]
    # 2 pairs of 0.3, 3 splices of 0.1 and 2.2589 km of fibre at 0.35 and 0.22 dB/km, by hand
    assert got["loss_db"]["1310"] == pytest.approx(0.9 + 2.2589 * 0.34, abs=0.03)


def test_the_numbers_of_a_trace_stand_in_columns(run: Run) -> None:
    lines = run("trace", SMALL, "D-1:3").lines
    ends = {len(line) for line in lines if re.search(r"\d\.\d{3}$", line)}
    assert ends == {len(lines[1])}


def test_both_pieces_of_a_cut_fibre_are_offered_ready_to_copy(run: Run) -> None:
    line = run.refused("trace", SMALL, "TM-B1:15")
    offered = re.findall(r'"([^"]+)"', line)
    assert offered == ["TM-B1:15@WB-07<", "TM-B1:15@WB-07>"]
    inward, outward = (run("trace", SMALL, ref) for ref in offered)
    assert "Exchange end  Quill Lane port 15" in inward.lines
    assert "Field end     Ferry Head port 15" in outward.lines
    assert any(line.startswith("Exchange end  dark at WB-07") for line in outward.lines)


@pytest.mark.parametrize(
    "ref", ["D-1:3", "d-1:T1.3", "TM-B1:T2.3@WB-07<", "service:TH-3", "WB-07/1/3", "Quill Lane/port/15", "TM-B1:15<"]
)
def test_every_way_to_name_it_finds_the_same_path(run: Run, ref: str) -> None:
    got = run("trace", SMALL, ref, "--json").json
    assert got["ends"] == ["Thistlemere Hall port 3", "Quill Lane port 15"]


def test_the_service_on_port_15_loses_what_the_hand_says(run: Run) -> None:
    rows = run("budget", SMALL, "--json").json["services"]
    row = next(row for row in rows if row["port"] == "Quill Lane port 15")
    assert list(row)[:7] == ["service", "port", "class", "loss_db", "bend_db", "margin_max_db", "margin_min_db"]
    assert row["service"] == "TH-3"
    # 2192.6 m and 66.3 m of fibre, 3 splices of 0.1 dB and 2 pairs of 0.3 dB
    assert row["loss_db"]["1310"] == pytest.approx(1.691, abs=0.001)
    assert row["loss_db"]["1550"] == pytest.approx(1.397, abs=0.001)


def test_a_budget_with_a_class_names_what_is_left_and_what_is_missing(run: Run) -> None:
    got = run("budget", BROKEN / "too-little-light.gwp", "--service", "TH-1")
    dim = [line.split()[0] for line in got.lines if line.endswith("too little light")]
    assert dim == ["1310", "1490", "1550"]  # those asked for, and 1490, which the class sends on
    # GPON class B+ allows 28 dB (G.984.2 Amd 1, from memory)
    row = run("budget", BROKEN / "too-little-light.gwp", "--service", "TH-1", "--json").json["services"][0]
    assert row["margin_max_db"]["1310"] == pytest.approx(28 - row["loss_db"]["1310"] - row["bend_db"]["1310"], abs=1e-3)


def test_a_plant_without_services_has_no_budget(run: Run, tmp_path: Path) -> None:
    save(Plant(), tmp_path / "empty.gwp")
    got = run("budget", tmp_path / "empty.gwp")
    assert (got.code, got.lines) == (1, ["no service is live or planned"])
    assert run("budget", tmp_path / "empty.gwp", "--json").json == {"services": []}


@pytest.mark.parametrize("template", sorted(TEMPLATES))
def test_a_new_plant_can_be_judged_and_budgeted(run: Run, here: Path, template: str) -> None:
    assert run("new", template, "-o", "new.gwp").lines == ["new.gwp"]
    judged = run("check", "new.gwp", "--json")
    assert judged.code == (1 if judged.json["errors"] else 0)
    assert not [f["message"] for f in judged.json["findings"] if "could not judge" in f["message"]]
    budgeted = run("budget", "new.gwp", "--json")
    assert budgeted.code == (0 if budgeted.json["services"] else 1)
