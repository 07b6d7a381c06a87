# mypy: disable-error-code="arg-type, union-attr"
"""What typed lines mean: the edits, what is said back, and that nothing changes before it is done."""

from __future__ import annotations

from model.entities import FibreEnd, LegEnd, Stop
from model.history import History
from model.line.context import Context
from model.line.entry import Entry
from model.line.readback import read_line
from model.lookup import cut_fibres
from tests.model.line.lines import chips, done, drops, joint, large, read, small


def stop_of(context: Context, cable: str) -> Stop:
    return next(s for s in context.plant.cables[cable].stops if s.site == context.place)


def cut_at(context: Context, cable: str) -> frozenset[int]:
    held = context.plant.cables[cable]
    return cut_fibres(context.plant.cable_types[held.type], stop_of(context, cable))


def test_open_opens_the_tube_and_cuts_nothing() -> None:
    _, after = done(small(), "open TM-B1:T3")
    work = {w.tube: (w.state, w.cut) for w in stop_of(after, "tm-b1").tubes}
    assert work[3] == ("opened", ())
    assert cut_at(after, "tm-b1") == {13, 14, 15, 16}


def test_keep_lets_tubes_pass_and_refuses_while_a_fibre_is_cut_here() -> None:
    context = small()
    assert chips(read(context, "keep TM-B1:T1,T3,T4"))["do"] == "let 3 tubes pass uncut"
    _, opened = done(context, "open TM-B1:T3")
    _, kept = done(opened, "keep TM-B1:T3")
    assert [w.tube for w in stop_of(kept, "tm-b1").tubes] == [2]
    refused = read_line(context, "keep TM-B1:T1,T2").error
    assert refused is not None
    assert (refused.column, refused.length) == (15, 2)
    assert "13-16 of tube 2" in refused.message
    assert refused.repaired == "keep TM-B1:T1"


def test_cut_names_its_undo_step_counts_its_fibres_and_waits_for_enter() -> None:
    context = drops()
    before = context.plant.copy()
    reading = read(context, "cut SB-72:13-16")
    assert chips(reading)["do"] == "cut 4 fibres"
    assert reading.name == "cut SB-72 13-16"
    assert context.plant == before
    history, after = done(context, "cut SB-72:13-16")
    assert history.undo_name == "cut SB-72 13-16"
    assert cut_at(after, "sb") == {13, 14, 15, 16}
    history.undo()
    assert after.plant == before


def test_a_cut_stores_the_field_side_and_both_stores_both_sides() -> None:
    _, one = done(small(), "cut TM-B1:17-20")
    stored = {(r.side, r.fibres) for r in stop_of(one, "tm-b1").stored}
    assert (">", (17, 18, 19, 20)) in stored
    assert all(17 not in fibres for side, fibres in stored if side == "<")
    _, two = done(small(), "cut TM-B1:T3 both outage W1")
    stored = {(r.side, r.fibres) for r in stop_of(two, "tm-b1").stored}
    assert ("<", tuple(range(25, 37))) in stored
    assert (">", tuple(range(25, 37))) in stored


def test_a_whole_tube_said_is_cut_as_a_tube() -> None:
    _, after = done(drops(), "cut SB-72:T5 both on tray 2")
    assert [(w.tube, w.state) for w in stop_of(after, "sb").tubes] == [(5, "cut")]


def test_cut_without_a_cable_takes_the_picked_one() -> None:
    context = drops()
    picked = context.at(context.place, cable="sb")
    assert read(picked, "cut 13-16").name == "cut SB-72 13-16"
    error = read_line(context, "cut 13-16").error
    assert error is not None
    assert error.column == 5


def test_letter_case_and_blanks_do_not_matter() -> None:
    context = drops()
    plain = read(context, "join SB-72:13-16 to D-01..D-04:1 on tray 1 from 3")
    odd = read(context, "  JOIN   sb-72 : 13 - 16   To d-01 .. d-04 : 1 ON  Tray 1   FROM 3 ")
    assert odd.edits == plain.edits
    assert odd.rows == plain.rows


def test_one_tube_to_twelve_drops_fills_slots_1_to_12_in_one_step() -> None:
    context = drops(live=0)
    before = context.plant.copy()
    reading = read(context, "join SB-72:T5 to D-01..D-12:1 on tray 2 from 1")
    assert [(r.slot, r.a, r.b) for r in reading.rows] == [(n, f"SB-72:{48 + n}", f"D-{n:02d}:1") for n in range(1, 13)]
    gauge = reading.gauges[0]
    assert (gauge.title, gauge.before, gauge.after, gauge.limit) == ("Tray 2 joints", 0, 12, 24)
    # 12 joints and 12 field-side stubs are stored.
    assert [(g.before, g.after) for g in reading.gauges if g.title == "Tray 2 stored fibres"] == [(0, 24)]
    said = chips(reading)
    assert said["do"] == "make 12 joints"
    assert said["from, A side"] == "SB-72 fibres 49-60"
    assert said["to"] == "fibre 1 of 12 drops"
    assert said["where"] == "tray 2, slots 1-12"
    assert said["first"] == "cut 12 here"
    history, after = done(context, reading.text)
    assert len(after.plant.splices) == 12
    history.undo()
    assert after.plant == before
    assert history.undo_name is None


def test_rows_and_ghosts_are_the_joints_that_doing_it_makes() -> None:
    context = drops()
    reading = read(context, "join SB-72:16-13 to D-01..D-04:1 on tray 1 from 20; join SB-72:1 to D-05:1 on tray 2")
    _, after = done(context, reading.text)
    made = {(s.a, s.b, s.tray, s.slot) for s in after.plant.splices.values()}
    stop = stop_of(after, "sb").id
    assert made == {
        *(
            (FibreEnd("sb", 17 - n, stop, "<"), FibreEnd(f"d0{n}", 1, f"d0{n}.dp", ">"), "t1", 19 + n)
            for n in range(1, 5)
        ),
        (FibreEnd("sb", 1, stop, "<"), FibreEnd("d05", 1, "d05.dp", ">"), "t2", 1),
    }
    assert {(r.tray, r.slot, r.a, r.b) for r in reading.rows} == {
        *(("1", 19 + n, f"SB-72:{17 - n}", f"D-0{n}:1") for n in range(1, 5)),
        ("2", 1, "SB-72:1", "D-05:1"),
    }
    assert {(g.tray, g.slot) for g in reading.ghosts} == {(t, s) for _, _, t, s in made}


def test_the_left_of_to_is_the_exchange_side_unless_field_is_said() -> None:
    context = drops()
    ends = [read(context, f"join SB-72:13{side} to D-01:1 on tray 1").ghosts[0].a for side in ("", "<", ">")]
    assert [end[-1] for end in ends] == ["<", "<", ">"]


def test_a_straight_joint_of_96_fibres_is_one_line() -> None:
    context = joint("lt-96", "tray-24", 1, slots=96)
    _, after = done(context, "join A:1-96 to B:1-96 on tray 1")
    assert {(s.a.fibre, s.b.fibre, s.slot) for s in after.plant.splices.values()} == {(n, n, n) for n in range(1, 97)}
    assert not any(s.tubes for c in after.plant.cables.values() for s in c.stops)


def test_a_straight_joint_over_four_trays_takes_four_lines_and_no_error() -> None:
    context = joint("lt-96", "tray-24", 4)
    lines = [f"join A:{a}-{a + 23} to B:{a}-{a + 23} on tray {t}" for t, a in enumerate((1, 25, 49, 73), start=1)]
    history, after = done(context, *lines)
    assert len(after.plant.splices) == 96
    assert len(history.steps) == 4


def test_every_second_and_skip() -> None:
    context = joint("lt-96", "tray-24", 4)
    pairs = [(r.a, r.b) for r in read(context, "join A:1-24 every 2 to B:1-12 on tray 1").rows]
    assert pairs == [(f"A:{2 * n - 1}", f"B:{n}") for n in range(1, 13)]
    pairs = [(r.a, r.b) for r in read(context, "join A:1-6 skip 2,5 to B:1-5 skip 3 on tray 1").rows]
    assert pairs == [("A:1", "B:1"), ("A:3", "B:2"), ("A:4", "B:4"), ("A:6", "B:5")]


def test_ribbons_join_as_ribbons_one_slot_each_and_singly_as_fibres() -> None:
    context = joint("rb-144", "tray-ribbon-12", 1)
    reading = read(context, "join A:R1-R12 to B:R1-R12")
    assert chips(reading)["do"] == "make 12 ribbon joints of 144 fibres"
    _, after = done(context, reading.text)
    assert {(s.slot, s.method) for s in after.plant.splices.values()} == {(n, "ribbon") for n in range(1, 13)}
    assert all(s.slot == (s.a.fibre - 1) // 12 + 1 and s.a.fibre == s.b.fibre for s in after.plant.splices.values())
    single = joint("rb-144", "tray-24", 1, slots=144)
    _, after = done(single, "join A:R1-R12 to B:R1-R12 singly")
    assert {(s.slot, s.method) for s in after.plant.splices.values()} == {(n, "fusion") for n in range(1, 145)}


def test_ribbon_sleeves_move_whole() -> None:
    context = joint("rb-144", "tray-ribbon-12", 2)
    _, after = done(context, "join A:R1-R3 to B:R1-R3 on tray 1", "put tray 1 1-2 on tray 2 from 5")
    where = {(s.tray, s.slot, (s.a.fibre - 1) // 12 + 1) for s in after.plant.splices.values()}
    assert where == {("t2", 5, 1), ("t2", 6, 2), ("t1", 3, 3)}


def test_ribbons_on_a_tray_for_single_sleeves_are_refused_and_singly_mends_it() -> None:
    error = read_line(joint("rb-144", "tray-24", 1), "join A:R1-R2 to B:R1-R2 on tray 1").error
    assert error is not None
    assert error.repaired == "join A:R1-R2 to B:R1-R2 on tray 1 singly"


def test_splitter_legs_join_like_fibres() -> None:
    context = joint("lt-96", "tray-24", 1)
    _, after = done(context, "join A:1 to SP-1:in1; join SP-1:out1-8 to B:1-8")
    ends = [(s.a, s.b) for s in after.plant.splices.values()]
    assert LegEnd("sp", "in", 1) in [b for _, b in ends]
    assert [(a.number, b.fibre) for a, b in ends if isinstance(a, LegEnd)] == [(n, n) for n in range(1, 9)]


def test_part_takes_joints_apart_and_the_ends_become_stubs_on_their_tray() -> None:
    _, after = done(small(), "part TM-B1:13-16")
    assert not after.plant.splices
    assert any(r.side == "<" and r.fibres == (13, 14, 15, 16) and r.tray for r in stop_of(after, "tm-b1").stored)
    assert any(r.fibres == (1, 2, 3, 4) and r.tray for r in stop_of(after, "d-1").stored)


def test_put_moves_joints_and_stores_uncut_fibres_and_stubs() -> None:
    _, after = done(large(), "put tray 2 1-4 on tray 1 from 13")
    moved = {(s.a.fibre, s.slot) for s in after.plant.splices.values() if s.tray == "wb-12-tray-1"}
    assert moved == {(25, 13), (26, 14), (27, 15), (28, 16)}
    _, after = done(small(), "put TM-B1:17-24 on bay")
    assert [(r.fibres, r.tray) for r in stop_of(after, "tm-b1").stored if r.side == ""] == [
        (tuple(range(17, 25)), None)
    ]
    _, after = done(large(), "put LM-A1:35-36< on tray 3")
    assert ((35, 36), "<", "wb-12-tray-3") in [(r.fibres, r.side, r.tray) for r in stop_of(after, "lm-a1").stored]


def test_put_of_a_tube_that_is_not_open_offers_to_open_it() -> None:
    error = read_line(small(), "put TM-B1:25-28 on tray 1").error
    assert error is not None
    assert error.repaired == "open TM-B1:T3; put TM-B1:25-28 on tray 1"


def test_trace_who_and_go_change_nothing_and_answer() -> None:
    context = small()
    assert read(context, "trace D-1:3").answers[0].nodes == ("d-1:3@d-1.wb-07>",)
    assert read(context, "trace TM-B1:13").answers[0].nodes == (
        "tm-b1:13@tm-b1.quill-lane>",
        "tm-b1:13@tm-b1.wb-07>",
    )
    assert read(context, "who TM-B1:T1").answers[0].ids == ("ferry-head-1", "ferry-head-2")
    assert read(context, "go WB-07").answers[0].ids == ("wb-07",)
    assert read(context, "go finding 2").answers[0].number == 2
    assert read(context, "go tray 1").answers[0].ids == ("wb-07-tray-1",)
    assert read(context, "go TM-B1").answers[0].kind == "cable"
    assert not read(context, "who TM-B1:T1").edits


def test_a_text_without_a_verb_finds_names_and_marks() -> None:
    # 3153 m lies between 2149.6 (WB-07, out) and 3665.2 (Ferry Head, in).
    context = small()
    assert chips(read(context, "3153"))["mark"] == "TM-B1 3153 m, WB-07 to Ferry Head"
    assert chips(read(context, "hall"))["1 site"] == "Thistlemere Hall"


def test_a_live_fibre_holds_the_first_enter_and_a_change_of_text_holds_again() -> None:
    context = drops(live=53)
    line = "join SB-72:T5 to D-01..D-12:1 on tray 2"
    reading = read(context, line)
    assert [h.name for h in reading.holds] == ["C5 Cope Farm"]
    assert chips(reading)["first"] == "cut 12 here, 1 is live"
    assert chips(reading)["1 live service goes dark"] == "C5 Cope Farm"
    entry = Entry()
    assert entry.enter(reading) == "hold"
    assert entry.enter(reading) == "do"
    assert entry.enter(reading) == "hold"
    changed = line.replace("tray 2", "tray 1")
    entry.typed(changed)
    entry.typed(line)
    assert entry.enter(read(context, line)) == "hold"
    assert entry.enter(read(context, changed)) == "hold"


def test_a_named_outage_does_it_at_once_and_is_written_at_the_stop() -> None:
    context = drops(live=53)
    reading = read(context, "cut SB-72:53 outage CHG-12 night")
    assert not reading.holds
    assert [h.name for h in reading.dark] == ["C5 Cope Farm"]
    assert Entry().enter(reading) == "do"
    _, after = done(context, reading.text)
    assert stop_of(after, "sb").outage == "CHG-12 night"


def test_a_second_enter_records_the_name_of_who_confirmed() -> None:
    context = drops(live=53)
    plant = context.plant.copy()
    reading = read(context, "cut SB-72:53")
    History(plant).do(*reading.confirmed_by("A. Quarrie"), name=reading.name)
    assert next(s for s in plant.cables["sb"].stops if s.site == "dp").outage == "confirmed by A. Quarrie"


def test_taking_a_live_joint_apart_holds() -> None:
    # Service TH-1 of the small box is made live: fibre 13 carries it through the joint in slot 1.
    from dataclasses import replace

    from model.edits.parts import Replace
    from model.graph import Continuity

    context = small()
    plant = context.plant
    History(plant).do(Replace(replace(plant.services["th-1"], status="live"), "live"))
    now = Context(plant, Continuity(plant), context.place)
    assert [h.service for h in read(now, "part TM-B1:13-16").holds] == ["th-1"]
    assert not read(now, "put tray 1 1-4 on tray 1 from 5").holds


def test_a_dark_fibre_and_an_open_tube_hold_nothing() -> None:
    context = small()
    assert not read(context, "cut TM-B1:3").holds
    assert not read(context, "open TM-B1:T1").holds


def test_steps_see_what_the_earlier_ones_did_and_are_one_undo_step() -> None:
    context = small()
    before = context.plant.copy()
    history, after = done(context, "part TM-B1:13-16; join TM-B1:17-20 to D-1:1-4 on tray 1 from 5")
    assert {s.a.fibre for s in after.plant.splices.values()} == {17, 18, 19, 20}
    assert len(history.steps) == 1
    history.undo()
    assert after.plant == before


def test_a_place_is_asked_for_where_several_could_be_meant() -> None:
    context = small()
    anywhere = context.at(None)
    assert read(anywhere, "cut TM-B1:17").name == "cut TM-B1 17"  # it passes one place only
    error = read_line(anywhere, "put TM-B1:17 on tray 1").error
    assert error is not None
    assert error.message == "at which site?"
    assert read(anywhere, "put TM-B1:17 on tray 1 at WB-07").ok
