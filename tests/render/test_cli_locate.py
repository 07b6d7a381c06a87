"""``glasswright locate`` on the sample fault: the figures of the worked ticket, and one line for what cannot be."""

from __future__ import annotations

import pytest

from tests.render.program import ROUTE, Run

FIBRE = "MF-48:17"
SET = ("--index", "1.4682", "--lead", "150")


def test_the_ticket_in_plain_values(run: Run) -> None:
    # Worked by hand: 3361.7 - 156 = 3205.7 m of fibre, 3149.1 m of sheath, mark 3153, 3085 m along the ground.
    found = run("locate", ROUTE, FIBRE, "--reading", "3.359km", *SET, "--json").json
    assert found["fibre_m"] == pytest.approx(3205.7, abs=0.1)
    assert found["sheath_m"] == pytest.approx(3149.1, abs=0.1)
    assert (found["mark"], found["mark_unit"], found["cable"]) == (3153, "m", "MF-48")
    assert found["band_marks"] == [3138, 3169]
    assert found["between"] == ["K2", "K3"]
    assert (found["nearest"]["site"], found["nearest"]["side"]) == ("K2", "out")
    assert found["route_m"] == pytest.approx(3085.0, abs=0.5)


def test_units_mean_the_same_place(run: Run) -> None:
    # 3359 m are 11 020.34 ft.
    marks = {
        run("locate", ROUTE, FIBRE, "--reading", shown, *SET, "--json").json["mark"]
        for shown in ("3359", "3.359 km", "11020.34 ft", "11.02034kft")
    }
    assert marks == {3153}


def test_a_person_reads_the_place_first_and_then_the_arithmetic(run: Run) -> None:
    lines = run("locate", ROUTE, FIBRE, "--reading", "3359", *SET).lines
    assert lines[0].split(maxsplit=1) == ["Mark", "3153 m on MF-48 (fibre 17), 3138 m to 3169 m"]
    assert any("3359.0 m shown x 1.4682 set / 1.467 of the cable = 3361.7 m" in line for line in lines)


def test_from_the_customer_over_the_drop(run: Run) -> None:
    # C9: a drop of 30 m of sheath, 2 % longer fibre, index 1.4675; then MF-48 down to mark 3153, x 1.018, index 1.4670.
    shown = 30.0 * 1.02 + (4765.0 - 3153.0) * 1.018 * 1.4670 / 1.4675
    found = run("locate", ROUTE, "service:C9", "--reading", shown, "--from-end", "field", "--json").json
    assert (found["mark"], found["nearest"]["site"]) == (3153, "K2")
    assert "field end" in found["from"]


def test_both_ends(run: Run) -> None:
    # The path of C9 is 4761 x 1.018 + 30 x 1.02 = 4877.3 m of fibre; the ticket's reading leaves 1671.6 m.
    both = run("locate", ROUTE, FIBRE, "--reading", "3359", *SET, "--other", "1671", "--json").json
    assert both["two_ended"]["verdict"] == "one cut"
    assert both["two_ended"]["length_m"] == pytest.approx(4761.0 * 1.018 + 30.6, abs=0.1)
    assert both["mark"] == 3153
    apart = run("locate", ROUTE, FIBRE, "--reading", "3359", *SET, "--other", "1000", "--json").json
    assert apart["two_ended"]["verdict"] == "two cuts"
    lines = run("locate", ROUTE, FIBRE, "--reading", "3359", *SET, "--other", "1000").lines
    assert lines[0].startswith("Both ends ")
    assert sum(line.startswith("Mark ") for line in lines) == 2


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("--reading", "33 km"), "beyond the end of the path"),
        (("--reading", "3,359"), "--reading: 3,359 may be read in two ways"),
        (("--reading", "3.359", "--lead", "150"), "ends in the launch lead"),
        (("--reading", "far"), "--reading: 'far' is no number"),
        (("--reading", "-3"), "a reading of -3 m cannot be"),
        (("--reading", "3359", "--index", "14.682"), "--index: '14.682' is no group index"),
        (("--reading", "3359", "--index", "2.5"), "a group index of 2.5 cannot be"),
        (("--reading", "3359", "--nm", "1310,1550"), "a reading has one wavelength"),
        (("--reading", "3359", "--nm", "85"), "85 nm is no wavelength"),
        (("--reading", "3359", "--other", "1e9"), "--other: '1e9'"),
        (("--reading", "3359", "--known", "K4"), "--known: 'K4' is not SITE=M"),
        (("--reading", "3359", "--known", "K9=3"), "K9"),
        (("--reading", "3359", "--known", "K4=3400"), "lies before the joint at K4"),
        (("--reading", "3359", "--known", "K4=3", "--other", "4"), "both ends need no known joint"),
        ((), "Missing option '--reading'"),
    ],
)
def test_what_cannot_be_is_one_line(run: Run, given: tuple[str, ...], words: str) -> None:
    line = run.refused("locate", ROUTE, FIBRE, *given)
    assert words in line


def test_a_whole_site_is_no_path(run: Run) -> None:
    assert "is a whole site" in run.refused("locate", ROUTE, "K2", "--reading", "3359")


def test_counted_from_a_joint(run: Run) -> None:
    # The splice at K4 shows at 4848.7; 10.2 m further on are 10 m of the drop's sheath.
    given = ("--reading", "4858.9", "--index", "1.4682", "--known", "K4=4848.7")
    found = run("locate", ROUTE, FIBRE, *given, "--json").json
    assert (found["cable"], found["mark"], found["nearest"]["site"]) == ("D-C9", 10, "K4")
    assert found["band_marks"][1] - found["band_marks"][0] <= 4
