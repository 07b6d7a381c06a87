"""A path hop by hop: order, names, colours, lengths and losses, worked out by hand on the two sample plants."""

import json
from dataclasses import replace

import pytest

from model.entities import Cable, Evidence, Mating, Port, Reading, Splice
from model.glass import Piece, fibre_m
from model.graph import Continuity
from model.plant import Entity, Plant
from model.templates import LARKMOOR, THISTLEMERE, mid_span
from model.trace import service_node, trace
from render.hops import PathDescription, describe, hop_words, weakest


def thistlemere() -> Plant:
    """The sample with its marks written out here, since the sums below are made from them."""
    return mid_span(replace(THISTLEMERE, mark_in_m=2148.0, mark_out_m=2149.6, far_mark_m=3665.2))


def of_service(plant: Plant, service: str) -> PathDescription:
    continuity = Continuity(plant)
    return describe(continuity, trace(continuity, service_node(continuity, service)))


def of_node(plant: Plant, node: str) -> PathDescription:
    continuity = Continuity(plant)
    return describe(continuity, trace(continuity, node))


def test_hops_run_from_the_customer_to_the_exchange() -> None:
    path = of_service(thistlemere(), "th-2")
    assert [hop.kind for hop in path.hops] == ["pair", "pigtail", "glass", "splice", "glass", "pigtail", "pair"]
    assert path.ends == ("Thistlemere Hall port 2", "Quill Lane port 14")
    assert path.kinds == ("port", "port")
    assert path.start == "Thistlemere Hall port 2"


def test_glass_is_named_by_cable_tube_fibre_and_colours() -> None:
    # fibre 14 is the second of tube 2 in a cable of twelve to a tube: orange tube, orange fibre (TIA-598 order)
    feeder = of_service(thistlemere(), "th-2").hops[4]
    assert (feeder.cable, feeder.tube, feeder.fibre, feeder.position) == ("TM-B1", 2, 14, 2)
    assert (feeder.tube_colour, feeder.fibre_colour) == ("orange", "orange")
    assert (feeder.site, feeder.to) == ("WB-07", "Quill Lane")


def test_splice_has_its_tray_and_slot() -> None:
    splice = of_service(mid_span(LARKMOOR), "s-4103").hops[3]
    assert (splice.site, splice.tray, splice.slot) == ("WB-12", "2", 3)
    assert not splice.done
    assert hop_words(splice) == "Splice WB-12, tray 2 slot 3"


def test_lengths_and_losses_add_up_by_hand() -> None:
    # sheath 2148.0 + opening 1.6 (cut at its field end) = 2149.6, x 1.02 = 2192.592; drop 65.0 x 1.02 = 66.3
    # 1310: 2 x 0.30 + 3 x 0.10 + 2.258892 x 0.35; 1550: the same joints + 2.258892 x 0.22
    path = of_service(thistlemere(), "th-2")
    assert path.hops[4].sheath_m == pytest.approx(2149.6)
    assert path.hops[4].length_m == pytest.approx(2192.592)
    assert path.hops[2].length_m == pytest.approx(66.3)
    assert path.length_m == pytest.approx(2258.892)
    assert path.loss_db == pytest.approx({1310: 0.9 + 2.258892 * 0.35, 1550: 0.9 + 2.258892 * 0.22})


def test_sums_run_from_the_field_and_from_the_exchange() -> None:
    path = of_service(thistlemere(), "th-2")
    splice = path.hops[3]
    assert splice.cum_m == pytest.approx(66.3)
    assert splice.at_m == pytest.approx(2192.592)
    assert splice.cum_db[1310] == pytest.approx(0.30 + 0.10 + 0.0663 * 0.35 + 0.10)
    assert splice.at_db[1310] == pytest.approx(0.30 + 0.10 + 2.192592 * 0.35 + 0.10)
    assert path.hops[-1].cum_db == pytest.approx(path.loss_db)
    assert path.hops[0].at_db == pytest.approx(path.loss_db)


def test_an_uncut_fibre_names_the_places_it_passes() -> None:
    plant = thistlemere()
    express = of_service(plant, "ferry-head-25").hops[2]
    assert [(p.site, p.state, p.mark_in_m, p.mark_out_m) for p in express.passes] == [
        ("WB-07", "express", 2148.0, 2149.6)
    ]
    looped = of_node(plant, "tm-b1:17@tm-b1.quill-lane>").hops[2]
    assert [(p.site, p.state, p.tray) for p in looped.passes] == [("WB-07", "opened", "1")]


def test_parts_and_openings_are_the_whole_piece() -> None:
    plant = thistlemere()
    cable = plant.cables["tm-b1"]
    kind = plant.cable_types[cable.type]
    hop = of_service(plant, "ferry-head-25").hops[2]
    whole = fibre_m(cable, kind, Piece(cable.id, 25, 0, 2))
    glass = sum(part.fibre_m or 0.0 for part in hop.parts)
    assert glass + 1.6 * (1.0 + kind.excess) == pytest.approx(whole)
    assert [part.sheath_m for part in hop.parts] == pytest.approx([3665.2 - 2149.6, 2148.0])


def test_a_cut_unspliced_fibre_ends_dark_on_its_side() -> None:
    plant = thistlemere()
    assert of_node(plant, "tm-b1:13@tm-b1.wb-07>").ends == ("Ferry Head port 13", "dark at WB-07 TM-B1:13 field side")


def test_a_missing_mark_leaves_lengths_and_sums_unknown() -> None:
    plant = thistlemere()
    cable = plant.cables["d-1"]
    stops = (replace(cable.stops[0], mark_out_m=None), cable.stops[1])
    entities = [replace(cable, stops=stops) if e is cable else e for e in plant.entities()]
    path = of_service(Plant(entities), "th-2")
    assert path.length_m is None
    assert path.hops[2].length_m is None
    assert path.hops[3].cum_m is None
    assert path.hops[3].at_m == pytest.approx(2192.592)
    assert path.unknown == ("the length of D-1 is not known: a printed mark is missing",)


def test_weakest_records_are_assumed_then_the_oldest() -> None:
    plant = thistlemere()
    feeder = plant.cables["tm-b1"]
    dated: list[Entity] = []
    for entity in plant.entities():
        if isinstance(entity, Cable | Splice | Port | Mating):
            known = (
                Evidence("inherited", "2019") if entity.id == feeder.id else Evidence("verified", "2026-01-05", "AQ")
            )
            dated.append(replace(entity, evidence=known))
        else:
            dated.append(entity)
    weak = weakest(of_service(Plant(dated), "th-2"))
    assert [(hop.cable, evidence.date) for hop, evidence in weak] == [("TM-B1", "2019")]


def test_a_splice_carries_its_record_and_what_was_planned() -> None:
    plant = thistlemere()
    done = Reading(1550, "A-B", -0.02), Reading(1550, "B-A", 0.10), Reading(0, "estimate", 0.01)
    entities = [
        replace(e, status="done", measured=done, done_by="AB", done_on="2026-03-01") if isinstance(e, Splice) else e
        for e in plant.entities()
    ]
    path = of_service(Plant(entities), "th-2")
    plain = path.as_json()["hops"][3]
    assert plain["splice"] == {
        "status": "done",
        "planned_db": 0.1,
        "mean_db": {"1550": 0.04},
        "readings": [
            {"nm": 1550, "direction": "A-B", "loss_db": -0.02, "sealed": False},
            {"nm": 1550, "direction": "B-A", "loss_db": 0.1, "sealed": False},
        ],
        "estimate_db": 0.01,
        "times_made": 1,
        "by": "AB",
        "date": "2026-03-01",
    }
    assert plain["measured_nm"] == [1550]
    assert plain["loss_db"] == {"1310": 0.1, "1550": 0.04}
    assert path.as_json()["hops"][2]["splice"] is None


def test_json_has_the_documented_keys_and_survives_a_round_trip() -> None:
    plain = of_service(thistlemere(), "th-2").as_json()
    assert json.loads(json.dumps(plain)) == plain
    assert {"from", "hops", "ends", "loss_db"} <= set(plain)
    wanted = "kind site cable tube tube_colour fibre fibre_colour tray slot length_m loss_db cum_m cum_db"
    assert all(set(wanted.split()) <= set(hop) for hop in plain["hops"])
    assert plain["ends"][-1] == "Quill Lane port 14"
    assert plain["loss_db"] == {"1310": 1.6906, "1550": 1.397}
