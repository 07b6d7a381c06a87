"""A trace held against the plant: every kind of disagreement once, planted in a trace written for it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from model.catalogue import catalogue
from model.edits.parts import Replace
from model.edits.recording import Measure
from model.entities import Cable, Mating, Splice
from model.graph import Continuity
from model.history import History
from model.ids import CableTypeId, SpliceId
from model.nodes import node_of
from model.optics.readings import apparent_db, true_db
from model.otdr.bothways import both_ways, splice_readings
from model.otdr.expected import expected_events
from model.otdr.judged import Note
from model.otdr.match import TraceMatch, match
from model.otdr.reading import LaunchEnd
from model.otdr.sor import read_sor
from model.parts import CableType
from tests.model.lab import end, panel, site, splice
from tests.model.otdr.plants import laid, pon, stop
from tests.model.otdr.sor_writer import Mark, Shot, staircase, written

# Exchange port, A 2000 m, splice s1 at P, B 1500 m, splice s2 at Q, C 500 m to an outlet; no excess, n 1.468.
START = Mark(0.0, reflectance_db=-50.0, code="1F")
S1, S2 = Mark(2000.0, 0.12), Mark(3500.0, 0.08)
END = Mark(4000.0, reflectance_db=-15.0, code="1E")


def kind(key: str, fibre_class: str = "g652d") -> CableType:
    return replace(
        catalogue().cable_types[CableTypeId("lt-48")],
        id=CableTypeId(key), excess=0.0, excess_tol=0.0, group_index=((1310, 1.468), (1550, 1.468)),
        fibre_class=fibre_class,  # type: ignore[arg-type]
    )  # fmt: skip


def plant(last_class: str = "g652d", turned: bool = False) -> Continuity:
    def run(key: str, name: str, first: str, last: str, length: float, of: str) -> Cable:
        return Cable(key, name, of, (stop(key, first, None, 0.0, 0.0), stop(key, last, length, None, 0.0)))  # type: ignore[arg-type]

    s1 = splice("s1", "p", end("a", 1, "p", "<"), end("b", 1, "p", ">"))
    if turned:
        s1 = Splice(s1.id, s1.site, s1.b, s1.a)
    return laid(
        kind("k"),
        kind("other", last_class),
        *(site(key) for key in "xpqy"),
        run("a", "A", "x", "p", 2000.0, "k"),
        run("b", "B", "p", "q", 1500.0, "other"),
        run("c", "C", "q", "y", 500.0, "k"),
        *panel("x", 1, "equipment"),
        *panel("y", 1, "outlet"),
        Mating("m1", "x.1", end("a", 1, "x", ">"), "rear", None),  # type: ignore[arg-type]
        Mating("m2", "y.1", end("c", 1, "y", "<"), "rear", None),  # type: ignore[arg-type]
        s1,
        splice("s2", "q", end("b", 1, "q", "<"), end("c", 1, "q", ">")),
    )


def held(
    *marks: Mark, stretch: float = 0.0, from_end: LaunchEnd = "exchange", continuity: Continuity | None = None
) -> TraceMatch:
    """The trace of these events held against the path."""
    moved = [replace(mark, at_m=mark.at_m * (1.0 + stretch)) for mark in marks]
    last = max(mark.at_m for mark in moved)
    trace = read_sor(written(Shot(events=moved, levels_db=staircase(moved, last + 200.0, 0.2), pulse_ns=100)))
    known = continuity or plant()
    return match(trace, expected_events(known, node_of(known, "A:1"), from_end, trace.index, 0.0, trace.nominal_nm))


def noted(found: TraceMatch, kind: str) -> list[Note]:
    return [note for note in found.notes if note.kind == kind]


def test_a_trace_as_planned_has_nothing_to_say() -> None:
    found = held(START, S1, S2, END)
    assert [m.fate for m in found.matched] == ["matched"] * 4
    assert [m.expected.site_name for m in found.matched] == ["X", "P", "Q", "Y"]
    assert (found.notes, found.extra) == ((), ())
    assert found.stretch == pytest.approx(0.0, abs=1e-5)
    assert [m.loss_db for m in found.matched] == [0.0, 0.12, 0.08, None]
    assert found.matched[1].fitted_db == pytest.approx(0.12, abs=0.005)


@settings(max_examples=25)
@given(st.floats(-0.008, 0.008))
def test_a_common_stretch_is_found_and_disturbs_nothing(stretch: float) -> None:
    found = held(START, S1, S2, END, stretch=stretch)
    assert [m.fate for m in found.matched] == ["matched"] * 4
    # Where reach and pulse allow, no stretch is assumed; otherwise it is the true one.
    assert found.stretch == pytest.approx(stretch, abs=0.0035)


def test_a_lossy_splice_is_named_with_what_was_planned() -> None:
    found = held(START, replace(S1, loss_db=0.45), S2, END)
    (note,) = found.notes
    assert (note.kind, note.grave) == ("lossy", True)
    assert "splice A:1 to B:1 at P" in note.words
    assert "0.45 dB, planned 0.10 dB" in note.words


def test_a_splitter_that_loses_next_to_nothing_is_none() -> None:
    # 1023 m to the 1x2 with its two splices: a step of 0.1 dB there is no splitter.
    continuity = pon()
    marks = START, Mark(1023.0, 0.1), Mark(1535.0, 0.12), Mark(1635.0, reflectance_db=-14.0, code="1E")
    found = match(
        read_sor(written(Shot(events=marks, levels_db=staircase(marks, 1700.0, 0.2)))),
        expected_events(continuity, node_of(continuity, "D-48:1"), "exchange", 1.468),
    )
    (note,) = found.notes
    assert (note.kind, note.grave) == ("too little", True)
    assert "splitter SP at CAB with 2 splices loses only 0.10 dB" in note.words


def test_a_file_that_leaves_the_start_out_is_no_fault() -> None:
    (note,) = held(S1, S2, END).notes
    assert (note.kind, note.grave) == ("missing", False)
    assert "start of the path" in note.words


def test_a_splice_that_reflects_is_named() -> None:
    (note,) = held(START, replace(S1, code="1F", reflectance_db=-42.0), S2, END).notes
    assert note.kind == "reflective"
    assert "-42.0 dB" in note.words


def test_a_dirty_connector_is_named() -> None:
    (note,) = held(replace(START, reflectance_db=-28.0), S1, S2, END).notes
    assert (note.kind, "connector X P 1" in note.words) == ("reflective", True)


def test_a_splice_that_loses_too_little_to_be_seen_is_missing_but_no_fault() -> None:
    (note,) = held(START, S2, END).notes
    assert (note.kind, note.grave) == ("missing", False)
    assert "splice A:1 to B:1 at P is not seen: it loses less than 0.05 dB" in note.words


def test_a_loss_that_nobody_recorded_is_extra() -> None:
    found = held(START, S1, Mark(2700.0, 0.30), S2, END)
    (note,) = found.notes
    assert (note.kind, note.grave) == ("extra", True)
    assert "0.30 dB at 2700 m" in note.words
    assert found.extra[0].expected_m == pytest.approx(2700.0, abs=0.1)


def test_a_reflection_that_nobody_recorded_is_extra_unless_it_is_an_echo() -> None:
    crack = Mark(2700.0, reflectance_db=-30.0, code="1F")
    assert "reflection at 2700 m where nothing is recorded" in held(START, S1, crack, S2, END).notes[0].words
    # Two strong reflections at 0 and 1600 m: light that runs there twice shows at 3200 m.
    near, echo = Mark(1600.0, reflectance_db=-30.0, code="1F"), Mark(3200.0, reflectance_db=-45.0, code="1F")
    kinds = [note.kind for note in held(START, near, S1, echo, S2, END).notes]
    assert kinds == ["extra", "ghost"]


def test_an_early_end_leaves_the_rest_beyond() -> None:
    found = held(START, S1, Mark(2700.0, 8.0, code="0E"))
    assert [m.fate for m in found.matched] == ["matched", "matched", "beyond", "beyond"]
    (note,) = noted(found, "early end")
    assert "ends at 2700 m" in note.words
    assert "crushed, kinked or wet" in note.words
    clean = held(START, S1, Mark(2700.0, 8.0, reflectance_db=-15.0, code="1E"))
    assert "clean break" in noted(clean, "early end")[0].words


def test_an_end_at_a_splice_is_said_to_be_there() -> None:
    (note,) = noted(held(START, Mark(2000.0, 9.0, code="0E")), "early end")
    assert "at P" in note.words


def test_events_behind_the_end_are_echoes_or_noise() -> None:
    found = held(START, S1, S2, END, Mark(4300.0, 0.0, code="0F"))
    (note,) = found.notes
    assert (note.kind, note.grave) == ("extra", False)


def test_what_lies_in_the_blind_length_of_a_reflection_is_hidden() -> None:
    # A connector at the start blinds its 100 ns pulse (10 m) many times over; a splice 20 m behind is not to be seen.
    known = plant()
    close = replace(known.plant.cables["a"], stops=(stop("a", "x", None, 0.0, 0.0), stop("a", "p", 20.0, None, 0.0)))
    history = History(known.plant)
    history.do(Replace(close, "shorten"))
    found = held(START, replace(S2, at_m=1520.0), replace(END, at_m=2020.0), continuity=Continuity(history.plant))
    assert [m.fate for m in found.matched] == ["matched", "hidden", "matched", "matched"]


def test_from_the_exchange_a_joint_behind_a_splitter_need_not_be_seen() -> None:
    # Port, 1000 x 1.02 + 3 m of feeder, splitter, 2 m + 500 x 1.02 m, a splice, 100 m of drop, the outlet.
    continuity = pon()
    marks = START, Mark(1023.0, 4.4), Mark(1023.0 + 512.0 + 100.0, reflectance_db=-14.0, code="1E")
    found = match(
        read_sor(written(Shot(events=marks, levels_db=staircase(marks, 1700.0, 0.2)))),
        expected_events(continuity, node_of(continuity, "D-48:1"), "exchange", 1.468),
    )
    (note,) = noted(found, "missing")
    assert not note.grave
    assert "behind splitter SP, where all legs add up" in note.words


# -- gains and both directions ------------------------------------------------------------------------------------


def test_a_gain_is_explained_by_the_mode_fields_on_record() -> None:
    # G.652.D 10.4 um, G.657.A2 9.8 um at 1550 nm: 0.2581 dB too little from the first to the second (published).
    known = plant("g657a2")
    assert apparent_db(10.4, 9.8) == pytest.approx(-0.2581, abs=1e-4)
    found = held(START, replace(S1, loss_db=-0.21), replace(S2, loss_db=0.34), END, continuity=known)
    gain, high = found.notes
    assert (gain.kind, gain.grave, high.kind) == ("gain", False, "lossy")
    assert "from 10.4 to 9.8 µm" in gain.words
    assert "-0.26 dB is expected" in gain.words
    assert "+0.26 dB of it" in high.words


def test_a_gain_toward_the_wider_mode_field_doubts_the_record() -> None:
    found = held(START, S1, replace(S2, loss_db=-0.10), END, continuity=plant("g657a2"))
    assert "check which fibre is which" in noted(found, "gain")[0].words


def both(first_db: float, second_db: float) -> tuple[TraceMatch, TraceMatch]:
    """s1 read from the exchange and from the field, where it lies 2000 m from the outlet."""
    back = (START, Mark(500.0, 0.08), Mark(2000.0, second_db), END)
    return held(START, replace(S1, loss_db=first_db), S2, END), held(*back, from_end="field")


def test_the_mean_of_both_directions() -> None:
    # A training card: 0.20 one way, 0.10 the other, 0.15 dB true.
    found = {b.expected.joints[0].id: b for b in both_ways(*both(0.20, 0.10))}
    assert found["s1"].mean_db == pytest.approx(0.15)
    assert found["s2"].mean_db == pytest.approx(0.08)
    assert "both ways agree" in found["s2"].words


def test_a_gain_one_way_is_none_in_the_mean() -> None:
    (seen,) = [b for b in both_ways(*both(-0.10, 0.30)) if b.expected.joints[0].id == "s1"]
    assert seen.mean_db == pytest.approx(0.10)
    assert seen.half_db == pytest.approx(-0.20)
    # 10^(-0.20 / 10): the mode field behind is 0.955 times as wide.
    assert "0.95" in seen.words
    assert "a gain one way is none" in seen.words


@pytest.mark.parametrize("turned", [False, True])
def test_readings_for_the_splice_records_follow_the_direction_of_the_record(turned: bool) -> None:
    known = plant(turned=turned)
    forward = held(START, replace(S1, loss_db=0.20), S2, END, continuity=known)
    back = held(START, Mark(500.0, 0.08), Mark(2000.0, 0.10), END, from_end="field", continuity=known)
    readings = dict(splice_readings(known.plant, forward, back))
    assert sorted(readings) == ["s1", "s2"]
    ways = {reading.direction: reading.loss_db for reading in readings[SpliceId("s1")]}
    assert ways == ({"B-A": 0.20, "A-B": 0.10} if turned else {"A-B": 0.20, "B-A": 0.10})
    assert {reading.wavelength_nm for reading in readings[SpliceId("s1")]} == {1550}
    # One edit records them all, and the budget's figure is their mean.
    history = History(known.plant)
    history.do(Measure(splice_readings(known.plant, forward, back)))
    assert true_db(history.plant.splices[SpliceId("s1")], 1550) == pytest.approx(0.15)
