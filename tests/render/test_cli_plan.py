"""``glasswright plan``: ranked ways with their reasons, one of them applied; faults in one line, nothing written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from model.edits.joining import Part
from model.edits.parts import Replace
from model.entities import FibreEnd
from model.graph import Continuity
from model.history import History
from model.storage.files import load, save
from model.templates import TEMPLATES
from model.trace import services_by_node
from tests.model.planning.boxes import Facts, box_plant
from tests.render.program import SMALL, Run


@pytest.fixture
def box(tmp_path: Path) -> Path:
    """A box with tubes of 6, 4 and 4; fibre 1 is live; five drops wait."""
    path = tmp_path / "box.gwp"
    save(box_plant(Facts((6, 4, 4), live={1}, wanted=5, trays=3)), path)
    return path


def test_the_ways_are_ranked_with_reasons_and_the_tubes_left_alone(run: Run, box: Path) -> None:
    got = run("plan", box, "tubes", "--json")
    assert got.code == 0
    first, second = got.json["ways"]
    # Two dark tubes come before one tube beside the live fibre.
    assert first["cost"]["live fibres beside the work"] == 0
    assert first["cost"]["tubes opened"] == 2
    assert second["cost"]["live fibres beside the work"] == 1
    assert any(line.startswith("tube 1 is left alone: 1 live (1)") for line in first["left_alone"])
    assert got.json["line"] == "plan drops all from CAB-1"
    text = run("plan", box, "tubes").lines
    assert text[0] == "Which tubes to open at Box"
    assert [line for line in text if line.startswith("  1  ")] == [f"  1  {first['name']}"]
    assert any("no choice of fibres costs less" in line for line in text)


@pytest.mark.parametrize(("rank", "fibres"), [(1, [7, 8, 9, 10, 11]), (2, [2, 3, 4, 5, 6])])
def test_the_way_of_a_rank_is_applied_to_a_file(
    run: Run, box: Path, tmp_path: Path, rank: int, fibres: list[int]
) -> None:
    out = tmp_path / "out.gwp"
    before = services_by_node(Continuity(load(box)))
    beside = ["--outage", "CHG-12"] if rank == 2 else []
    got = run("plan", box, "tubes", "--apply", rank, *beside, "-o", out)
    assert got.lines[-1] == f"applied way {rank}, written: {out}"
    plant = load(out)
    assert sorted(s.a.fibre for s in plant.splices.values() if isinstance(s.a, FibreEnd)) == fibres
    live = {key for keys in before.values() for key in keys}
    assert {key for keys in services_by_node(Continuity(plant)).values() for key in keys} == live


def test_a_way_beside_live_glass_needs_an_outage(run: Run, box: Path, tmp_path: Path) -> None:
    fault = run.refused("plan", box, "tubes", "--apply", 2, "-o", tmp_path / "out.gwp")
    assert "1 live service would be touched: V1 is live in the tubes worked on. Say --outage WORDS" in fault
    assert not (tmp_path / "out.gwp").exists()


def test_reserve_ports_and_fibres_left_out_are_kept_to(run: Run, tmp_path: Path) -> None:
    path, out = tmp_path / "box.gwp", tmp_path / "out.gwp"
    save(box_plant(Facts((6, 6), wanted=3, trays=3)), path)
    options = ["--drops", "D-1..D-3", "--keep", "1", "--ports", "1-2,4-9", "--skip", "2"]
    assert run("plan", path, "tubes", *options, "--apply", 1, "-o", out).code == 0
    # Tube 1 offers 1, 4, 5, 6 (no port 3, 2 is left out), of which one stays: three are enough.
    assert sorted(s.a.fibre for s in load(out).splices.values() if isinstance(s.a, FibreEnd)) == [1, 4, 5]


def test_slots_and_stubs_are_planned_too(run: Run, tmp_path: Path) -> None:
    history = History(load(SMALL))
    for splice in list(history.plant.splices.values()):
        history.do(Replace(replace(splice, slot=5 - (splice.slot or 0)), "turn round"))
    turned, out = tmp_path / "turned.gwp", tmp_path / "out.gwp"
    save(history.plant, turned)
    way = run("plan", turned, "trays", "--by", "tube", "--json").json["ways"][0]
    assert "12 as they lie now" in way["reasons"][0]
    run("plan", turned, "trays", "--apply", 1, "-o", out)
    slots = {s.a: s.slot for s in load(SMALL).splices.values()}
    assert {s.a: s.slot for s in load(out).splices.values()} == slots
    assert run("plan", SMALL, "stubs").lines[-1] == "  nothing to change: everything lies best already"


@pytest.mark.parametrize(
    ("options", "why"),
    [
        (["tubes", "--drops", "D-9"], "no cable is called 'D-9'"),
        (["tubes", "--from", "D-1"], "D-1 does not pass Box"),
        (["tubes", "--keep", "6"], "CAB-1 can serve 0 of the 5 drops asked for"),
        (["tubes", "--ports", "1,x"], "is no number or range"),
        (["tubes", "--site", "Nowhere"], "Nowhere"),
        (["tubes", "--apply", "1"], "Say both: --apply N -o OUT.gwp"),
        (["trays", "--apply", "9", "-o", "OUT"], "nothing"),
        (["trays", "--by", "colour"], "colour"),
        (["cables"], "cables"),
    ],
)
def test_bad_questions_are_one_line_and_write_nothing(
    run: Run, box: Path, tmp_path: Path, options: list[str], why: str
) -> None:
    given = [str(tmp_path / "out.gwp") if word == "OUT" else word for word in options]
    assert why in run.refused("plan", box, *given)
    assert not (tmp_path / "out.gwp").exists()


def test_which_cable_is_asked_where_several_pass_or_none(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "joint.gwp"
    save(TEMPLATES["straight-joint"](), path)
    assert "which cable? These pass" in run.refused("plan", path, "tubes")


def test_drops_that_are_served_already_are_said(run: Run, tmp_path: Path) -> None:
    assert "no drop here has an end left" in run.refused("plan", SMALL, "tubes")
    history = History(load(SMALL))
    history.do(Part(tuple(s.id for s in history.plant.splices.values())))
    save(history.plant, tmp_path / "free.gwp")
    got = run("plan", tmp_path / "free.gwp", "tubes", "--drops", "D-1")
    assert "  1  join TM-B1:13-16 at WB-07" in got.lines
