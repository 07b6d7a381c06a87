"""Templates give whole plants: the same every time, saved and read back, every fibre accounted for."""

from __future__ import annotations

import pytest

from model.colours import check_scheme
from model.layout import course_of, drawn_routes
from model.lookup import cut_fibres, fibres_of, looped_fibres
from model.plant import KINDS
from model.rules.run import check
from model.storage.document import decode, encode
from model.templates import LARKMOOR, TEMPLATES, THISTLEMERE, mid_span, slug

NAMES = sorted(TEMPLATES)


@pytest.mark.parametrize("name", NAMES)
def test_the_same_template_gives_the_same_bytes(name: str) -> None:
    assert encode(TEMPLATES[name]()) == encode(TEMPLATES[name]())


@pytest.mark.parametrize("name", NAMES)
def test_a_template_is_whole_and_survives_its_file(name: str) -> None:
    plant = TEMPLATES[name]()
    # The file rounds to a millionth of a millimetre; what it says is stable and draws the same.
    again = decode(encode(plant))
    assert encode(again) == encode(plant)
    for route in plant.routes.values():
        course = course_of(again.routes[route.id])
        assert course.kinks == ()
        assert course.length_mm == pytest.approx(course_of(route).length_mm, abs=1e-3)
    for table in set(KINDS) - {"routes", "jobs"}:
        assert again.table(table) == plant.table(table)
    assert again.job == plant.job
    assert plant.revision == 0
    assert all(not list(check_scheme(scheme)) for scheme in plant.schemes.values())


@pytest.mark.parametrize("name", NAMES)
def test_every_route_of_a_template_can_be_drawn_without_a_kink(name: str) -> None:
    plant = TEMPLATES[name]()
    for housing in plant.enclosures.values():
        for drawn in drawn_routes(plant, housing.id):
            assert drawn.course is not None, drawn.fault
            assert drawn.course.kinks == ()


@pytest.mark.parametrize("spec", [THISTLEMERE, LARKMOOR], ids=["small", "large"])
def test_every_fibre_of_the_feeder_is_accounted_for_at_the_box(spec: object) -> None:
    plant = mid_span(spec)  # type: ignore[arg-type]
    feeder = min(plant.cables.values(), key=lambda c: -len(c.stops))
    kind, stop = plant.cable_types[feeder.type], feeder.stops[1]
    worked = {work.tube for work in stop.tubes}
    express = {f for t in range(1, len(kind.tubes) + 1) if t not in worked for f in fibres_of(kind, t)}
    cut, loops = set(cut_fibres(kind, stop)), set(looped_fibres(kind, stop))
    assert sorted([*express, *cut, *loops]) == list(range(1, kind.fibre_count + 1))
    ends = {(end.fibre, end.side) for s in plant.splices.values() for end in (s.a, s.b) if end.stop == stop.id}  # type: ignore[union-attr]
    stored = {(f, r.side) for r in stop.stored for f in r.fibres}
    assert ends | {(f, s) for f, s in stored if s} == {(f, s) for f in cut for s in "<>"}
    assert {f for f, s in stored if not s} == loops


def test_the_mid_span_template_opens_nothing_and_draws_four_tubes() -> None:
    plant = TEMPLATES["mid-span"]()
    feeder = plant.cables["ms-48"]
    assert feeder.stops[1].tubes == ()
    assert not plant.splices
    through = {t for r in plant.routes.values() if r.kind == "tube" and r.side == "" for t in r.tubes}
    assert through == {1, 2, 3, 4}
    assert {m.port for m in plant.matings.values() if m.end.cable == "d-1"} == {  # type: ignore[union-attr]
        f"alder-cottage.{n}" for n in range(1, 5)
    }


@pytest.mark.parametrize(("name", "ends"), [("mid-span", 4), ("straight-joint", 2 * 96), ("drop-terminal", 12 + 12)])
def test_a_template_to_begin_with_has_only_its_unjoined_ends_to_answer_for(name: str, ends: int) -> None:
    # 4 fibres of the drop; 96 of each cable; one tube of 12 and twelve drops of one fibre.
    errors = [f for f in check(TEMPLATES[name]()) if f.severity == "error"]
    assert {f.rule for f in errors} == {"fibre.accounted"}
    assert sum(f.measured or 0 for f in errors) == ends


def test_the_straight_joint_has_a_slot_for_every_fibre() -> None:
    plant = TEMPLATES["straight-joint"]()
    assert sum(plant.tray_types[tray.type].slots for tray in plant.trays.values()) == 96


def test_thistlemere_joins_four_keeps_36_uncut_and_loops_eight() -> None:
    # 48 fibres: 3 tubes of 12 express, 13-16 cut, 17-24 looped.
    plant = mid_span(THISTLEMERE)
    feeder = plant.cables["tm-b1"]
    kind, stop = plant.cable_types[feeder.type], feeder.stops[1]
    assert sorted(cut_fibres(kind, stop)) == [13, 14, 15, 16]
    assert looped_fibres(kind, stop) == tuple(range(17, 25))
    assert len(plant.splices) == 4
    assert {s.customer for s in plant.services.values() if s.status == "planned"} == {"Thistlemere Hall"}


def test_larkmoor_cuts_tube_3_for_ten_drops_and_leaves_two_fibres() -> None:
    plant = mid_span(LARKMOOR)
    feeder = plant.cables["lm-a1"]
    kind, stop = plant.cable_types[feeder.type], feeder.stops[1]
    assert sorted(cut_fibres(kind, stop)) == list(range(25, 37))
    assert len(plant.splices) == 10
    spare = next(r for r in stop.stored if r.side == "<")
    assert spare.fibres == (35, 36)


@pytest.mark.parametrize(
    ("name", "expected"), [("TM-B1", "tm-b1"), ("Quill Lane", "quill-lane"), ("  D.01/2 ", "d-01-2"), ("--", "x")]
)
def test_an_id_is_made_of_the_letters_and_digits_of_a_name(name: str, expected: str) -> None:
    assert slug(name) == expected
