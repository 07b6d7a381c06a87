"""The lists of a splitter cabinet: legs and ports with patching and parking, against sums done by hand."""

from __future__ import annotations

from collections import Counter

from model.graph import Continuity
from model.ids import SiteId
from model.line.context import Context
from model.lists.legs import leg_table
from model.lists.ports import port_table
from model.lists.source import Source
from model.templates.cabinet import bramblecote
from tests.model.line.lines import done

SOURCE = Source(Continuity(bramblecote()))


def test_the_leg_table_counts_118_legs_patched_and_ten_parked() -> None:
    # Four 1x32 splitters: 4 x 32 = 128 outputs, 30 + 28 + 31 + 29 = 118 with a home, so 10 parked; 4 inputs.
    rows = leg_table(SOURCE, "bc-5")
    assert Counter((r.role, r.state) for r in rows) == {
        ("out", "patched"): 118,
        ("out", "parked"): 10,
        ("in", "patched"): 4,
    }
    parked = {r.splitter: [q.number for q in rows if q.splitter == r.splitter and q.state == "parked"] for r in rows}
    assert parked == {"SP-1": [31, 32], "SP-2": [29, 30, 31, 32], "SP-3": [32], "SP-4": [30, 31, 32]}


def test_leg_9_of_splitter_2_leads_to_fibre_41_and_its_home() -> None:
    row = next(r for r in leg_table(SOURCE, "bc-5") if (r.splitter, r.role, r.number) == ("SP-2", "out", 9))
    assert (row.to, row.state, row.planned_db, row.services) == ("DP 41 front", "patched", 17.0, ("BC-041",))
    # The 39th live home: 30 on splitter 1, then the ninth of splitter 2.
    assert (row.reaches.site, row.reaches.kind) == ("39 Bramblecote", "port")


def test_an_input_carries_all_the_services_below_it_and_leads_to_the_exchange_port() -> None:
    feed = next(r for r in leg_table(SOURCE, "fallow-cross") if (r.splitter, r.role) == ("HUB-3", "in"))
    assert len(feed.services) == 30 + 28
    assert (feed.reaches.site, feed.reaches.name, feed.reaches.numbers) == ("Fallow Cross", "PON", (3,))
    assert feed.planned_db is None


def test_the_port_table_says_what_is_patched_and_what_is_free() -> None:
    rows = port_table(SOURCE, "bc-5")
    # 144 distribution ports with fibre behind, 118 patched in front; 48 feeder ports, 4 of them with an input in front.
    assert Counter((r.panel, r.state) for r in rows) == {
        ("DP", "in use"): 118,
        ("DP", "front free"): 26,
        ("FD", "in use"): 4,
        ("FD", "front free"): 44,
    }
    row = next(r for r in rows if (r.panel, r.number) == ("DP", 41))
    assert ([e.text for e in row.rear], [e.text for e in row.front]) == (["BD-144:41"], ["SP-2 leg 9"])
    assert (row.rear[0].tube, row.rear[0].tube_colour, row.rear[0].position, row.rear[0].colour) == (
        4,
        "brown",
        5,
        "slate",
    )
    assert (row.fed_by.site, row.fed_by.name, row.fed_by.numbers) == ("Fallow Cross", "PON", (3,))


def test_spliced_loose_and_standby_legs_are_told_apart() -> None:
    plant = bramblecote()
    context = Context(plant, Continuity(plant), SiteId("bc-5"))
    _, context = done(
        context,
        "add splitter TW 2x2 on tray 1",
        "part BF-48:9",
        "join BF-48:9 to TW:in1 on tray 1",
        "part SP-1:out1",
    )
    rows = leg_table(Source(context.continuity), "bc-5")
    twin = {(r.role, r.number): r.state for r in rows if r.splitter == "TW"}
    assert twin == {("in", 1): "spliced", ("in", 2): "standby", ("out", 1): "parked", ("out", 2): "parked"}
    assert next(r.to for r in rows if (r.splitter, r.role, r.number) == ("TW", "in", 1)) == "BF-48:9"
    assert next(r.state for r in rows if (r.splitter, r.role, r.number) == ("SP-1", "out", 1)) == "idle"


def test_the_legs_of_an_unequal_tap_lose_two_different_amounts() -> None:
    plant = bramblecote()
    context = Context(plant, Continuity(plant), SiteId("bc-5"))
    _, context = done(context, "add splitter TAP tap-10-90")
    losses = [r.planned_db for r in leg_table(Source(context.continuity), "bc-5") if r.splitter == "TAP"]
    # The planning table of a 10/90 tap: input, tapped leg, leg that goes on.
    assert losses == [None, 11.0, 1.1]
