"""The small wall box worked by hand, read off the command line to the printed digits; and the way back from its drop.

Hub side 2149.6 m of sheath to the cut and 65 m of drop at 2 % excess: 2.2589 km; 3 splices of 0.10 and 2 pairs of 0.30;
0.35 and 0.22 dB/km (planning values, common practice, no source): 1.691 dB at 1310 nm, 1.397 dB at 1550 nm.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from render.cli import main

SAMPLE = Path(__file__).parents[2] / "samples" / "thistlemere.gwp"


def ask(capsys: pytest.CaptureFixture[str], *arguments: str) -> object:
    with pytest.raises(SystemExit):
        main([arguments[0], str(SAMPLE), *arguments[1:], "--json"])
    return json.loads(capsys.readouterr().out)


def test_the_hall_loses_1_691_and_1_397_db(capsys: pytest.CaptureFixture[str]) -> None:
    found = ask(capsys, "budget", "--service", "TH-3")
    assert isinstance(found, dict)
    loss = found["services"][0]["loss_db"]
    assert {nm: round(db, 3) for nm, db in loss.items()} == {"1310": 1.691, "1550": 1.397}


def test_drop_fibre_3_is_fibre_15_tube_2_position_3_green_from_port_15(capsys: pytest.CaptureFixture[str]) -> None:
    found = ask(capsys, "trace", "D-1:3")
    assert isinstance(found, dict)
    (trunk,) = [hop for hop in found["hops"] if hop["cable"] == "TM-B1"]
    assert (trunk["fibre"], trunk["tube"], trunk["position"], trunk["fibre_colour"]) == (15, 2, 3, "green")
    assert found["ends"][1] == "Quill Lane port 15"
    assert {nm: round(db, 3) for nm, db in found["loss_db"].items()} == {"1310": 1.691, "1550": 1.397}
