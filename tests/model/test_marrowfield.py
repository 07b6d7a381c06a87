# mypy: disable-error-code="arg-type"
"""The Marrowfield plant against the figures of its ticket, worked out by hand: marks, lengths, who hangs on what."""

from __future__ import annotations

from pathlib import Path

import pytest

from model.colours import colour_at
from model.entities import FibreEnd
from model.glass import Piece, fibre_m, span_m
from model.graph import Continuity
from model.lookup import cut_fibres, tube_of
from model.optics.budget import budget
from model.rules.run import check
from model.storage.document import decode, encode
from model.templates.marrowfield import marrowfield
from model.trace import service_node, trace

PLANT = marrowfield()
CONTINUITY = Continuity(PLANT)
CABLE = PLANT.cables["mf-48"]
KIND = PLANT.cable_types[CABLE.type]
SAMPLE = Path(__file__).parents[2] / "samples" / "marrowfield.gwp"
FIBRES = dict(zip((f"C{n}" for n in range(1, 13)), (1, 2, 13, 14, 15, 16, 25, 3, 17, 18, 19, 26), strict=True))


def test_the_sample_file_is_what_the_code_builds() -> None:
    assert SAMPLE.read_bytes() == encode(marrowfield())
    assert encode(decode(SAMPLE.read_bytes())) == SAMPLE.read_bytes()


def test_the_check_finds_no_error_and_warns_of_the_margin_of_the_far_box_alone() -> None:
    # 4.85 km at 0.35 dB/km, two pairs and three splices are 2.6 of 5.5 dB: less than 3 dB are left.
    found = [f for f in check(PLANT) if f.severity != "note"]
    assert {f.severity for f in found} == {"warning"}
    assert sorted((f.rule, f.message.split()[0]) for f in found) == [
        ("budget.margin", name) for name in ("C10", "C11", "C12", "C9")
    ]


def test_marks_and_openings() -> None:
    assert [(s.mark_in_m, s.mark_out_m) for s in CABLE.stops] == [
        (None, 4),
        (1859, 1861),
        (3151, 3153),
        (4093, 4095),
        (4765, None),
    ]
    assert [span_m(CABLE, n) for n in range(4)] == [1855, 1290, 940, 670]


def test_the_chainage_of_each_box_is_sheath_less_riser_coils_and_openings() -> None:
    # K2: 3151 - 4 sheath, less 15 of riser, 30 of coils and 2 of opening at K1, 15 of coil before K2: 3085.
    route = {"k1": 1825, "k2": 3085, "k3": 3995, "k4": 4635}
    for index, stop in enumerate(CABLE.stops[1:], start=1):
        passed = CABLE.stops[1:index]
        stored = CABLE.stops[0].coil_out_m + sum(s.coil_in_m + s.coil_out_m for s in passed) + stop.coil_in_m
        opened = sum((s.mark_out_m or 0) - (s.mark_in_m or 0) for s in passed)
        assert (stop.mark_in_m or 0) - 4 - stored - opened == route[stop.site]
        assert PLANT.sites[stop.site].chainage_m == route[stop.site]


def test_fibre_length_to_each_box() -> None:
    # To K3, where the cut lies at the field end of the opening: (4095 - 4) x 1.018 + 6 = 4170.6 m; with 150 m of
    # launch lead and n 1.4682 set for 1.4670, an instrument would show 4.317 km (4.315 to where the tube goes in).
    assert fibre_m(CABLE, KIND, Piece(CABLE.id, 15, 0, 3)) == pytest.approx(4091 * 1.018 + 6)
    shown_m = ((4093 - 4) * 1.018 + 6 + 150) * 1.4670 / 1.4682
    assert shown_m == pytest.approx(4315, abs=0.5)
    assert (KIND.excess, KIND.excess_tol, dict(KIND.group_index)[1550]) == (0.018, 0.005, 1.4670)


def test_services_lie_on_the_fibres_the_ticket_names() -> None:
    for name, fibre in FIBRES.items():
        found = trace(CONTINUITY, service_node(CONTINUITY, name.lower()))
        assert found.exchange == f"hub.{fibre}/front", name
        assert f"mf-48:{fibre}@mf-48.hub>" in found.nodes


def test_what_is_cut_and_what_loops_through_at_each_box() -> None:
    cuts = [sorted(cut_fibres(KIND, stop)) for stop in CABLE.stops[1:-1]]
    assert cuts == [[1, 2], [13, 14], [3, 15, 16, 25]]
    k2, k3 = CABLE.stops[2], CABLE.stops[3]
    assert [(s.fibres, s.tray) for s in k2.stored if not s.side] == [(tuple(range(15, 25)), "k2-tray-1")]
    assert {s.tray or "": s.fibres for s in k3.stored if not s.side}["k3-tray-2"] == (13, 14, *range(17, 25))
    # T1 and T3 pass K2 unopened; on K2's one used tray lie the joints of C3 and C4.
    assert [work.tube for work in k2.tubes] == [2]
    assert {s.tray for s in PLANT.splices.values() if s.site == "k2"} == {"k2-tray-1"}
    # At K3 tubes 1, 2 and 3 have a tray each, so that a pinched tray takes one tube alone.
    trays = {s.a.fibre: s.tray for s in PLANT.splices.values() if s.site == "k3" and isinstance(s.a, FibreEnd)}
    assert trays == {3: "k3-tray-1", 15: "k3-tray-2", 16: "k3-tray-2", 25: "k3-tray-3"}


def test_dark_fibres_20_to_24_run_unbroken_from_the_hub_to_k4() -> None:
    for fibre in range(20, 25):
        found = trace(CONTINUITY, f"mf-48:{fibre}@mf-48.hub>")
        assert (found.field, found.field_kind) == (f"mf-48:{fibre}@mf-48.k4<", "dark")
    assert tube_of(KIND, 20) == (2, 8)
    scheme = PLANT.schemes[KIND.fibre_scheme]
    assert colour_at(scheme, tube_of(KIND, 17)[1]).code == "SL"


def test_a_service_of_the_far_box_by_hand() -> None:
    # C9: fibre 4761 x 1.018 + 6 = 4852.7 m and 30 m of drop with its excess of 2 %; x 0.35 = 1.709;
    # pigtail splices at hub and outlet, a splice at K4, two pairs: 0.9.
    found = budget(CONTINUITY, "c9")
    assert found.length_m == pytest.approx(4852.698 + 30.6)
    assert found.loss_db[1310] == pytest.approx(2.609, abs=0.0005)
    assert found.complete
