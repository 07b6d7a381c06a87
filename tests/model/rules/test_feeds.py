# mypy: disable-error-code="arg-type"
"""Two feeds that should run apart, and trays that planned work opens: what the rules name and what they let pass."""

from __future__ import annotations

from dataclasses import replace

from model.entities import Port, Splitter
from model.plant import Entity, Plant
from model.rules import examples as ex
from model.rules import faults
from model.rules.registry import Finding
from model.rules.run import check
from tests.model.correlate import test_standby as lab
from tests.model.lab import box, end, leg, splice


def said(plant: Plant, rule: str) -> list[Finding]:
    return [finding for finding in check(plant) if finding.rule == rule]


def one_sheath() -> Plant:
    """The standby lab with the splitter's second input fed over cable A as well."""
    other = [e for e in lab.plant().entities() if e.id != "in2"]
    second = splice("in2", "s", end("a", 4, "s", "<"), leg("sp", "in", 2))
    return Plant([*other, second, Port("x.9", "x", "P", 9), lab.plug("x.9", end("a", 4, "x", ">"))])


def test_feeds_on_two_cables_pass_and_feeds_in_one_sheath_do_not() -> None:
    assert said(lab.plant(), "feeds.shared") == []
    (found,) = said(one_sheath(), "feeds.shared")
    assert found.refs == ("sp",)
    # Shared are the sheath, its tube, and where that leaves X and enters S; ports, fibres and joints are two.
    assert found.measured == 4
    assert "A sheath, X to S" in found.message


def test_a_port_in_a_ring_whose_sides_run_in_one_sheath_is_found() -> None:
    ring = [e for e in lab.plant().entities() if e.id != "m-r-front"]
    back: list[Entity] = [
        Port("x.8", "x", "P", 8),
        lab.plug("x.8", end("a", 5, "x", ">")),
        lab.plug("r", end("a", 5, "s", "<"), "front"),
    ]
    (found,) = said(Plant([*ring, *back]), "feeds.shared")
    assert found.refs == ("vr",)
    assert "A sheath, X to S" in found.message


def test_one_tray_for_both_feeds_is_named_where_they_meet() -> None:
    tray = [replace(e, tray="tray-s-1") if e.id in ("in1", "in2") else e for e in lab.plant().entities()]
    (found,) = said(Plant([*tray, *box("s")]), "feeds.shared")
    assert (found.measured, found.message) == (1, "SP at S: its feeds share tray 1 at S")


def test_an_input_kept_for_later_is_no_second_feed() -> None:
    assert said(faults.with_two_feeds(ex.clean(), both=False), "feeds.shared") == []
    plant = faults.with_two_feeds(ex.clean(), both=True)
    body = plant.table("splitters")["sp-2"]
    assert isinstance(body, Splitter)
    assert len(said(plant, "feeds.shared")) == 1


def test_planned_work_names_the_live_services_it_is_not_for() -> None:
    plant = ex.with_service_fields(ex.made(ex.clean(), *ex.both_ways(0.05, 0.05)), "th-1", status="live")
    (found,) = said(plant, "tray.live")
    assert found.refs == (ex.TRAY, "th-1")
    # The services of the planned joints themselves are what the work is for.
    plant = ex.with_service_fields(ex.clean(), "th-2", status="live")
    assert said(plant, "tray.live") == []
