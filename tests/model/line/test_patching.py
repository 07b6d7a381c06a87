"""Splitters, panels and patching by lines: what the plant holds, what is read back, and faults by their columns."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.entities import LegEnd
from model.graph import Continuity, end_node
from model.ids import SiteId
from model.line.context import Context
from model.line.readback import all_completions, read_line
from model.plant import Plant
from model.rules.run import check
from model.trace import trace
from tests.model.line.lines import chips, done, read

LINES = (
    "add site Ex exchange",
    "add site Cab cabinet",
    "add site Field cabinet",
    "add box cabinet-288 at Cab",
    "add tray tray-24 to Cab times 2",
    "add cable F lt-12 from Ex at 0 to Cab at 1000",
    "add cable D lt-24 from Cab at 0 to Field at 500",
    "add panel F at Ex",
    'add panel PON with 2 ports equipment class "GPON B+" at Ex',
    "add panel FD with 12 ports at Cab",
    "add panel DP with 24 ports at Cab",
    "patch F:1-12 to Cab/port/FD/1-12",
    "patch D:1-24 to Cab/port/DP/1-24",
    "add splitter SP-1 1x8 at Cab",
)


def cabinet(*more: str) -> Context:
    """A cabinet with a feeder behind FD, distribution behind DP and a 1x8, seen from the cabinet."""
    empty = Plant()
    _, context = done(Context(empty, Continuity(empty)), *LINES)
    _, context = done(context.at(SiteId("cab")), *more)
    return context.at(SiteId("cab"))


def test_fibres_go_behind_a_panel_by_pigtails_and_legs_in_front_by_their_own_connector() -> None:
    plant = cabinet("patch SP-1:in1 to port FD/3", "patch SP-1:out1-6 to port DP/1-6").plant
    behind = [m for m in plant.matings.values() if m.face == "rear" and plant.ports[m.port].panel == "DP"]
    assert len(behind) == 24
    assert {m.pigtail_db for m in behind} == {0.10}
    front = {plant.ports[m.port].number: m for m in plant.matings.values() if m.face == "front"}
    assert {n: m.end for n, m in front.items() if plant.ports[m.port].panel == "DP"} == {
        n: LegEnd("sp-1", "out", n)  # type: ignore[arg-type]
        for n in range(1, 7)
    }
    assert all(m.pigtail_db is None for m in front.values())


def test_a_new_splitter_stands_parked_and_what_is_patched_leaves_the_parking() -> None:
    context = cabinet()
    assert context.plant.table("splitters")["sp-1"].parked == (1, 2, 3, 4, 5, 6, 7, 8)
    _, context = done(context, "patch SP-1:out1-6 to port DP/1-6")
    assert context.plant.table("splitters")["sp-1"].parked == (7, 8)
    _, context = done(context, "part SP-1:out6")
    assert context.plant.table("splitters")["sp-1"].parked == (7, 8)
    found = [f for f in check(context.plant) if f.rule == "splitter.parked"]
    assert [f.message for f in found] == ["SP-1 at Cab: leg 6 is neither used nor parked"]
    _, context = done(context, "park SP-1:out6")
    assert [f for f in check(context.plant) if f.rule == "splitter.parked"] == []


def test_of_two_inputs_one_stands_by_until_it_is_fed() -> None:
    _, context = done(cabinet(), "add splitter TW 2x4 on tray 1")
    twin = context.plant.table("splitters")["tw"]
    assert (twin.standby, twin.tray) == ((2,), "cab-tray-1")
    _, context = done(context, "patch TW:in2 to port FD/4")
    assert context.plant.table("splitters")["tw"].standby == ()


def test_a_leg_is_spliced_like_any_fibre_and_an_unequal_tap_says_both_its_losses() -> None:
    context = cabinet("part D:24", "part F:12")
    reading = read(context, "add splitter TAP tap-10-90")
    # The two planning figures of a 10/90 tap in the catalogue, never 10 log10 2 twice.
    assert chips(reading)["what"].endswith("1.1 and 11 dB a leg")
    _, context = done(context, "add splitter TAP tap-10-90", "join TAP:out2 to D:24 on tray 1")
    splice = next(iter(context.plant.splices.values()))
    assert end_node(splice.a) == "tap/out2"
    assert context.plant.table("splitters")["tap"].parked == (1,)


def test_ports_are_patched_front_to_front_by_cords_that_light_goes_through() -> None:
    plant = cabinet("patch port FD/2 to port DP/10 long 3 m").plant
    cord = plant.table("cables")["pc-1"]
    assert (cord.name, cord.stops[0].site, cord.stops[-1].site, cord.stops[-1].mark_in_m) == ("PC-1", "cab", "cab", 3.0)
    path = trace(Continuity(plant), "d:10@d.cab>")
    assert any(node.startswith("f:2@") for node in path.nodes)
    assert any(node.startswith("pc-1:1@") for node in path.nodes)


def test_cords_between_equipment_and_a_panel_use_the_one_side_that_equipment_has() -> None:
    plant = cabinet("patch Ex/port/PON/1-2 to Ex/port/EX/5-6").plant
    faces = {(plant.ports[m.port].panel, m.face) for m in plant.matings.values() if m.end.cable.startswith("pc-")}  # type: ignore[union-attr]
    assert faces == {("PON", "rear"), ("EX", "front")}


def test_a_cord_asks_for_no_entry_no_anchor_and_no_course_in_the_box() -> None:
    before = {f.message for f in check(cabinet().plant)}
    after = {f.message for f in check(cabinet("patch port FD/2 to port DP/10").plant)}
    assert after <= before


def test_taking_out_a_port_takes_the_whole_cord_and_undo_brings_it_back() -> None:
    history, context = done(cabinet(), "patch port FD/2 to port DP/10", "part port DP/10")
    assert "pc-1" not in context.plant.cables
    assert not any(m.face == "front" for m in context.plant.matings.values())
    history.undo()
    assert "pc-1" in history.plant.cables


def test_pigtails_are_spliced_on_one_end_and_plugged_on_the_other() -> None:
    context = cabinet("part F:1-12", "add cable P-1 pt-12 from Cab at 0 to Cab at 1.5")
    _, context = done(context, "join F:1-12 to P-1:1-12 on tray 1", "patch P-1:1-12 to port FD/1-12 behind")
    plant = context.plant
    assert len(plant.splices) == 12
    assert {m.pigtail_db for m in plant.matings.values() if m.end.cable == "p-1"} == {None}  # type: ignore[union-attr]
    path = trace(Continuity(plant), "f:3@f.cab<")
    assert any(node == "cab.3/rear" for node in path.nodes)
    assert not [f for f in check(plant) if f.severity == "error" and "P-1" in f.message]


@pytest.mark.parametrize(
    ("line", "column", "words", "repaired"),
    [
        ("patch SP-1:out7 to port XX/1", 25, "there is no panel 'XX' here", "patch SP-1:out7 to port DP/1"),
        ("patch SP-1:out1 to port DP/25", 28, "panel DP has ports 1-24, not 25", "patch SP-1:out1 to port DP/24"),
        ("patch SP-1:out1-2 to port DP/3", 22, "2 on the left, 1 on the right", "patch SP-1:out1-2 to port DP/3-4"),
        ("patch SP-1:out9 to port DP/1", 12, "SP-1 has 8 outputs, not out9", "patch SP-1:out1-8 to port DP/1-8"),
        ("patch SP-1:out1 to D:1", 20, "neither side is a port", ""),
        ("patch port DP/1 to port DP/1", 7, "DP port 1 is patched to itself", ""),
        ("patch D:1 to port FD/1 front", 7, "D:1> is joined already", ""),
        ("patch port FD/1 to port DP/1 front", 30, "a cord goes from front to front", ""),
        ("park D:1", 8, "only a splitter's legs are parked", ""),
        ("part port DP/20", 6, "nothing is patched to DP 20", ""),
        ("add splitter SP-1 1x4", 14, "a splitter is called SP-1 already", ""),
        ("add splitter X 1x5", 16, "no splitter type is called '1x5'", "add splitter X 1x8"),
        ("add panel Q with 0 ports", 18, "a panel of 0 ports", ""),
        ('add panel Q with 2 ports class "GPON Z"', 32, "", ""),
        ("remove panel DP", 14, "24 ports of DP are in use: 1-24", ""),
    ],
)
def test_a_fault_says_its_column_and_what_would_do(line: str, column: int, words: str, repaired: str) -> None:
    context = cabinet()
    reading = read_line(context, line)
    assert not reading.ok
    assert reading.error is not None
    assert (reading.error.column, words) == (column, words if words in reading.error.message else reading.error.message)
    assert not reading.edits
    if repaired:
        assert reading.error.repaired == repaired


def test_a_taken_front_names_the_first_free_ports_and_the_repair_reads() -> None:
    context = cabinet("patch SP-1:out1-3 to port DP/1-3")
    error = read_line(context, "patch SP-1:out4-5 to port DP/3-4").error
    assert error is not None
    assert error.nearest == "Cab/port/DP/4-5"
    assert read_line(context, error.repaired).ok


def test_removing_a_splitter_in_use_says_how_to_take_its_legs_out() -> None:
    context = cabinet("patch SP-1:in1 to port FD/1", "patch SP-1:out2-3 to port DP/2-3")
    error = read_line(context, "remove SP-1").error
    assert error is not None
    assert error.repaired == "part SP-1:in1,SP-1:out2-3; remove SP-1"
    _, context = done(context, error.repaired)
    assert not context.plant.splitters


def test_what_is_typed_of_splitters_and_ports_is_completed() -> None:
    def offered(text: str) -> list[str]:
        return [found.ending for found in all_completions(cabinet(), text)]

    assert "splitter" in offered("add s")
    assert offered("add splitter X ")[:2] == ["1x2", "1x4"]
    assert "SP-1:" in offered("patch S")
    assert offered("patch SP-1:out1-2 to ")[0] == "port"
    assert offered("patch SP-1:out1-2 to port ") == ["DP/", "FD/"]
    assert offered("patch SP-1:out1-2 to port DP/")[:2] == ["1-2", "2-3"]
    assert offered("park ") == ["SP-1:"]
    assert offered("remove ")[0] == "SP-1"


def test_a_live_leg_is_held_before_it_is_taken_out() -> None:
    context = cabinet(
        "patch Ex/port/PON/1 to Ex/port/EX/1",
        "patch SP-1:in1 to port FD/1",
        "patch SP-1:out1 to port DP/1",
        "add panel D at Field",
        "serve Field port 1 as C-1",
    )
    service = next(iter(context.plant.services.values()))
    entities = [replace(e, status="live") if e == service else e for e in context.plant.entities()]
    plant = Plant(entities)
    reading = read_line(Context(plant, Continuity(plant), SiteId("cab")), "part SP-1:out1")
    assert [held.name for held in reading.holds] == ["C-1"]


def test_stored_glass_says_its_turns_and_its_length() -> None:
    context = cabinet("part D:13-24")
    _, context = done(context, "put D:13-24 on tray 2 turns 3 long 940 mm")
    record = next(r for r in context.plant.table("cables")["d"].stops[0].stored if 13 in r.fibres)
    assert (record.tray, record.turns, record.length_mm) == ("cab-tray-2", 3.0, 940.0)
