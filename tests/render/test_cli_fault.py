"""``glasswright fault`` as a person meets it: text, JSON, the sheet, a ticket of the plant, refusals in one line."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from model.entities import FibreEnd, Shot, Ticket
from model.plant import Plant
from model.storage.files import save
from model.templates.marrowfield import marrowfield
from render.cli import main
from tests.render.program import ROUTE, Run

WHO = ("--down", "C5,C6,C9,C10,C11", "--up", "C1,C2,C3,C4,C7,C8,C12")
SHOT = ("--ref", "MF-48:17", "--reading", "3359", "--index", "1.4682", "--lead", "150")


@pytest.fixture
def run(run: Run) -> Run:
    return Run(run.captured, "fault")


def test_in_words(run: Run) -> None:
    code, out, err = run(ROUTE, *WHO, *SHOT)
    assert (code, err) == (0, "")
    lines = out.splitlines()
    assert lines[0].split() == ["Down", "C5", "C6", "C9", "C10", "C11"]
    assert any(line.startswith("Mark          3153 m on MF-48 (fibre 17), 3138 m to 3169 m") for line in lines)
    assert any(line.endswith("4315 to 4317 m, excluded") for line in lines)
    assert "Do not disturb at K2" in lines
    assert any(line.startswith("Or            bridge MF-48:15-24 at K2: 20 splices") for line in lines)
    assert "never look into a fibre" in lines[-1]


def test_without_a_reading_the_three_stand(run: Run) -> None:
    code, out, _ = run(ROUTE, *WHO, "--json")
    found = json.loads(out)
    assert (code, found["located"], len(found["suspects"])) == (0, None, 3)
    assert not any(one["excluded"] for one in found["suspects"])


def test_the_sheet_is_drawn_the_same_every_time(run: Run, tmp_path: Path) -> None:
    place = tmp_path / "ft.svg"
    order = (ROUTE, "--ticket", "FT 118", *WHO, *SHOT, "-o", place, "--printed-on", "2026-02-11")
    assert run(*order) == (0, f"{place}\n", "")
    first = place.read_bytes()
    run(*order)
    assert place.read_bytes() == first
    text = first.decode()
    for words in ("GO TO K2", "Fault FT 118", "SUSPECTS", "0100 555 0163", "4315-4317 m, EXCLUDED"):
        assert words in text
    assert [path.name for path in tmp_path.iterdir()] == ["ft.svg"]


def test_a_ticket_of_the_plant_says_who_and_its_last_shot_where(run: Run, tmp_path: Path) -> None:
    plant = marrowfield()
    names = {service.name: service.id for service in plant.services.values()}
    cable = next(cable for cable in plant.cables.values() if cable.name == "MF-48")
    ticket = Ticket(
        "ticket-7",  # type: ignore[arg-type]
        "7",
        "2026-02-11 02:10",
        tuple(names[name] for name in ("C5", "C6", "C9", "C10", "C11")),
        tuple(names[name] for name in ("C1", "C2", "C3", "C4", "C7", "C8", "C12")),
        (Shot(FibreEnd(cable.id, 17, cable.stops[0].id, ">"), 3.359, "km", 1.4682, 150.0, wavelength_nm=1550),),
    )
    place = tmp_path / "p.gwp"
    save(Plant([*plant.entities(), ticket]), place)
    _, out, _ = run(place, "--ticket", "7", "--json")
    found = json.loads(out)
    assert (found["ticket"], found["since"], found["down"]) == (
        "7",
        "2026-02-11 02:10",
        ["C5", "C6", "C9", "C10", "C11"],
    )
    assert found["located"]["mark"] == 3153
    assert run(place, "--ticket", "8")[2].startswith("glasswright: the plant has no ticket '8'. It holds 7")


def test_a_service_without_a_path_still_has_a_sheet(run: Run, tmp_path: Path) -> None:
    plant = marrowfield()
    site = replace(plant.sites["c5"], id="k9", name="K9")  # type: ignore[arg-type]
    port = replace(plant.ports["c5.1"], id="k9.1", site="k9")  # type: ignore[arg-type]
    lone = replace(plant.services["c5"], id="x", name="X", at="k9.1")  # type: ignore[arg-type]
    place, sheet = tmp_path / "p.gwp", tmp_path / "x.svg"
    save(Plant([*plant.entities(), site, port, lone]), place)
    assert run(place, "--down", "X")[2] == ""
    assert run(place, "--down", "X", "-o", sheet) == (0, f"{sheet}\n", "")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "nobody is said to be down"),
        (("--down", "C13"), "C13"),
        (("--down", "C5", "--up", "C5"), "C5"),
        (("--ticket", "9"), "the plant has no ticket '9'. It holds none"),
        ((*WHO, "--reading", "3359"), "a reading needs the fibre it was taken on"),
        ((*WHO, "--ref", "MF-48:17"), "a reading needs the fibre it was taken on"),
        ((*WHO, "--ref", "MF-48:15", "--reading", "3359"), "Say which piece"),
        ((*WHO, "--ref", "MF-48:17", "--reading", "far"), "--reading"),
        ((*WHO, "--ref", "MF-48:17", "--reading", "33590"), "beyond the end of the path"),
        ((*WHO, "--ref", "MF-48:17", "--reading", "3359", "--index", "14"), "--index"),
        ((*WHO, *SHOT, "--nm", "1310,1550"), "a reading has one wavelength"),
        ((*WHO, *SHOT, "--json", "-o", "x.svg"), "one result at a time"),
        ((*WHO, *SHOT, "-o", "x.pdf"), "Let it end in .svg"),
        ((*WHO, *SHOT, "-o", "x.svg", "--page", "A9"), "is no page size"),
        ((*WHO, *SHOT, "-o", "x.svg", "--page", "A5"), "is no page size"),
        ((*WHO, *SHOT, "-o", "x.svg", "--printed-on", "today"), "is no date"),
    ],
)
def test_what_cannot_be_meant_is_one_line(run: Run, arguments: tuple[str, ...], says: str) -> None:
    code, out, err = run(ROUTE, *arguments)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1
    assert "inner fault" not in err


def test_a_repair_is_written_into_a_plant_and_gives_the_loss_that_was_promised(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = tmp_path / "mended.gwp"
    order = (ROUTE, *WHO, *SHOT, "--apply", "2", "-o", place)
    assert run(*order) == (0, f"bridge MF-48:15-24 at K2, written: {place}\n", "")
    with pytest.raises(SystemExit):
        main(["budget", str(place), "--service", "C9", "--json"])
    row = json.loads(capsys.readouterr().out)["services"][0]
    # 2.609 dB by hand before; two splices of 0.10 and 2 m of bridge at 0.35 dB/km more.
    assert row["loss_db"]["1310"] == pytest.approx(2.609 + 0.2 + 0.0007, abs=0.0006)
    assert "the file exists already" in run(*order)[2]
    assert run(*order, "--force")[0] == 0


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (("--apply", "1"), "a repair is applied to a file"),
        (("--apply", "3", "-o", "x.gwp"), "there is no repair 3: 2 repairs fit this fault"),
        (("--apply", "1", "-o", "x.svg"), "Let it end in .gwp"),
    ],
)
def test_a_repair_that_cannot_be_applied_is_refused(run: Run, more: tuple[str, ...], says: str) -> None:
    code, out, err = run(ROUTE, *WHO, *SHOT, *more)
    assert (code, out) == (2, "")
    assert says in err
    assert len(err.splitlines()) == 1


def test_a_new_box_is_nothing_a_plant_can_hold(run: Run, tmp_path: Path) -> None:
    # Only C9 and C5 down, all else not measured: a reading in the middle of K2 to K3 makes the span the place.
    where = (ROUTE, "--down", "C5,C6,C9,C10,C11", "--up", "C3,C4,C7,C8,C12", "--ref", "MF-48:17", "--reading", "3800")
    _, out, _ = run(*where, "--json")
    ways = [one["way"] for one in json.loads(out)["repairs"]]
    assert "new box" in ways
    rank = str(ways.index("new box") + 1)
    assert "is nothing a plant can hold" in run(*where, "--apply", rank, "-o", tmp_path / "x.gwp")[2]
