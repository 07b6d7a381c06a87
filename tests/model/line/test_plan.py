"""``plan`` in the Line: the planner's best way read back with its reasons, done as one step; faults at a column."""

from __future__ import annotations

from dataclasses import replace

import pytest

from model.edits.parts import Replace
from model.entities import FibreEnd, Mating, Port, Splice
from model.graph import Continuity
from model.history import History
from model.ids import CableId, MatingId, PortId, SiteId
from model.line.context import Context
from model.line.readback import all_completions, read_line
from model.planning import open_tubes
from model.plant import Plant
from model.rules.run import check
from tests.model.line.lines import chips, done, drops, read, small


def fed(live: int = 53) -> Context:
    """``drops`` with every fibre of SB-72 plugged at the exchange."""
    base = drops(live).plant
    stop = base.cables[CableId("sb")].stops[0].id
    ports = [Port(PortId(f"q{n}"), SiteId("ql"), "ODF", n, "equipment") for n in range(1, 73)]
    plugs = [Mating(MatingId(f"m{n}"), PortId(f"q{n}"), FibreEnd(CableId("sb"), n, stop, ">")) for n in range(1, 73)]
    plant = Plant([*base.entities(), *ports, *plugs])
    return Context(plant, Continuity(plant), SiteId("dp"))


def test_the_best_way_is_read_back_with_its_reasons_and_done_as_one_step() -> None:
    context = fed()
    before = context.plant.copy()
    reading = read(context, "plan drops D-01..D-12 from SB-72")
    said = chips(reading)
    # Twelve ends fill one tube of twelve; fibre 53 is live in tube 5, so the lowest dark tube is taken.
    assert said["do"] == "join SB-72:1-12 at DP-3"
    assert said["left alone"].startswith("tube 2 is left alone")
    assert "12 drops served with 1 tube newly opened" in next(c.text for c in reading.chips if c.label == "why")
    assert [(row.a, row.b) for row in reading.rows] == [(f"SB-72:{n}", f"D-{n:02d}:1") for n in range(1, 13)]
    assert not reading.holds
    assert context.plant == before
    history = History(context.plant)
    history.do(*reading.edits, name=reading.name)
    assert history.undo_name == "join SB-72:1-12 at DP-3"
    history.undo()
    assert context.plant == before


def test_reserve_ports_and_fibres_left_out_are_kept_to() -> None:
    context = fed(live=0)
    keep = read(context, "plan drops D-01..D-11 from SB-72 keep 2")
    assert [row.a for row in keep.rows] == [f"SB-72:{n}" for n in (*range(1, 11), 13)]
    ports = read(context, "plan drops D-01..D-03 from SB-72 ports 25-26,40")
    assert [row.a for row in ports.rows] == ["SB-72:25", "SB-72:26", "SB-72:40"]
    skip = read(context, "plan drops D-01..D-03 from SB-72 skip T1,13")
    assert [row.a for row in skip.rows] == [f"SB-72:{n}" for n in (14, 15, 16)]


def test_all_means_every_end_that_is_left() -> None:
    _, context = done(fed(live=0), "join SB-72:1-2 to D-01..D-02:1 on tray 1")
    rows = read(context, "plan drops all from SB-72").rows
    assert [row.b for row in rows] == [f"D-{n:02d}:1" for n in range(3, 13)]
    # Drops named alone give what is left of them; named with its fibre an end must be free.
    some = read(context, "plan drops D-01..D-04 from SB-72 at DP-3")
    assert [row.b for row in some.rows] == ["D-03:1", "D-04:1"]
    used = read_line(context, "plan drops D-01..D-04:1 from SB-72").error
    assert used is not None
    assert used.message == "D-01:1 is joined already"


def test_a_way_of_lower_rank_is_taken_by_its_number() -> None:
    # With one fibre of each tube kept two tubes are needed; giving the reserve up needs one: the second way.
    context = fed(live=0)
    ways = read(context, "plan drops D-01..D-12 from SB-72 keep 1").plan
    assert ways is not None
    assert len(ways.ways) > 1
    assert ways.taken == 1
    for rank, way in enumerate(ways.ways, start=1):
        text = ways.question.text(rank)
        again = read(context, text)
        assert again.edits == way.edits
        assert again.plan is not None
        assert again.plan.taken == rank
        assert again.name == way.name
    beyond = read_line(context, ways.question.text(9)).error
    assert beyond is not None
    assert beyond.repaired == ways.question.text(len(ways.ways))


def test_the_answer_is_that_of_the_planner() -> None:
    context = fed()
    stop = context.plant.cables[CableId("sb")].stops[1].id
    ends = [
        FibreEnd(CableId(f"d{n:02d}"), 1, context.plant.cables[CableId(f"d{n:02d}")].stops[0].id, ">") for n in (3, 1)
    ]
    expected = open_tubes(context.continuity, "sb", stop, ends, reserved=(2,))
    found = read(context, "plan drops D-03,D-01 from SB-72 skip 2").plan
    assert found is not None
    assert found.ways == expected


def test_live_fibres_beside_the_work_are_warned_of_until_an_outage_is_named() -> None:
    # Only tube 1 is offered, and fibre 5 of it is live.
    context = fed(live=5)
    asked = "plan drops D-01..D-11 from SB-72 skip T2-T6"
    plain, named = read(context, asked), read(context, f"{asked} outage CHG-12")
    assert [held.name for held in plain.holds] == ["C5 Cope Farm"]
    assert (plain.dark, named.holds) == ((), ())
    assert plain.hold_words == "C5 Cope Farm is live in the tubes worked on"
    assert chips(plain)["beside"] == "1 live fibre in the tubes worked on; name an outage"
    assert "beside" not in chips(named)
    assert chips(named)["outage"] == "CHG-12"
    found = {}
    for key, reading in (("plain", plain), ("named", named)):
        plant = context.plant.copy()
        History(plant).do(*reading.edits)
        found[key] = [f.rule for f in check(plant) if f.rule == "outage.live"]
    assert found == {"plain": ["outage.live"], "named": []}


def shuffled() -> Context:
    plant = small().plant
    history = History(plant)
    for splice in list(plant.splices.values()):
        assert isinstance(splice, Splice)
        history.do(Replace(replace(splice, slot=5 - (splice.slot or 0)), "turn round"))
    return Context(plant, Continuity(plant), SiteId("wb-07"))


@pytest.mark.parametrize("by", ["tube", "service", "side", "crossings"])
def test_slots_are_planned_by_groups(by: str) -> None:
    context = shuffled()
    reading = read(context, f"plan trays by {by}")
    # Four joints in opposite order: 6 pairs, each crossing on both sides.
    plan = reading.plan
    assert plan is not None
    assert "12 as they lie now" in plan.ways[0].reasons[0]
    assert [(row.slot, row.a) for row in reading.rows] == [(n, f"TM-B1:{12 + n}") for n in range(1, 5)]
    assert {row.state for row in reading.rows} == {"existing"}


def test_where_nothing_is_better_nothing_is_done() -> None:
    for text, why in (("plan trays", "the joints lie best already"), ("plan stubs", "has its place")):
        reading = read(small(), text)
        assert not reading.edits
        assert why in chips(reading)["why"]


def test_an_earlier_step_of_the_line_counts() -> None:
    context = fed(live=0)
    reading = read(context, "cut SB-72:25-36; plan drops D-01..D-03 from SB-72")
    # Ends that are cut already are used before another tube is opened.
    assert [row.a for row in reading.rows] == ["SB-72:25", "SB-72:26", "SB-72:27"]


@pytest.mark.parametrize(
    ("text", "column", "message"),
    [
        ("plan cables", 6, "'cables' is no question of plan"),
        ("plan drops D-01", 16, "from which cable?"),
        ("plan drops D-01 from D-02", 22, "D-02 does not pass DP-3"),
        ("plan drops D-99 from SB-72", 12, "no cable is called 'D-99'"),
        ("plan drops D-01:1,D-01:1 from SB-72", 19, "D-01:1 is said twice"),
        ("plan drops D-01 from SB-72 ports 99", 34, "no exchange port has the number 99"),
        ("plan drops D-01 from SB-72 take 5", 33, "there is 1 way, not 5"),
        ("plan drops D-01 from SB-72 keep", 32, "how much is kept is missing here"),
        ("plan drops D-01 from SB-72 with love", 28, "'with' is not understood after plan drops"),
        ("plan trays by colour", 15, "'colour' is no group"),
        ("plan trays keep 100 %", 17, "a reserve is a share of the slots"),
        ("plan stubs at Nowhere", 15, "no site is called 'Nowhere'"),
        ("plan drops D-01..D-12 from SB-72 ports 1-3", 1, "SB-72 can serve 3 of the 12 drops asked for"),
    ],
)
def test_what_cannot_be_planned_is_said_at_its_column(text: str, column: int, message: str) -> None:
    context = fed()
    before = context.plant.copy()
    error = read_line(context, text).error
    assert error is not None
    assert (error.column, error.message) == (column, message)
    assert context.plant == before


def test_the_question_is_asked_once_for_each_state_of_the_plant() -> None:
    context = fed()
    first = read(context, "plan drops D-01..D-12 from SB-72").plan
    again = read(context.at(context.place), "plan drops D-01..D-12 from SB-72").plan
    assert first is not None
    assert again is not None
    assert again.ways is first.ways


@pytest.mark.parametrize(
    ("text", "ending"),
    [
        ("plan ", "drops"),
        ("plan t", "trays"),
        ("plan drops ", "all"),
        ("plan drops D-01..D-12 from ", "SB-72"),
        ("plan drops D-01..D-12 from SB-72 k", "keep"),
        ("plan trays by s", "service"),
    ],
)
def test_endings_are_offered(text: str, ending: str) -> None:
    offered = all_completions(fed(), text)
    assert ending in [c.ending for c in offered]
    for item in offered:
        again = read_line(fed(), item.text, complete=False)
        assert again.ok or (again.error is not None and again.error.incomplete), item
