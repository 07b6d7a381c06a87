# mypy: disable-error-code="arg-type"
"""Services with two feeds: a splitter with two inputs, and a port in a ring. Decided, so tested: they change over.

Exchange X feeds a 2x4 splitter at S: input 1 on cable A, input 2 on cable B, each with a port of its own. Homes H1 and
H2 hang on legs 1 and 2. R is a port at S between cable A's fibre 2 and cable B's fibre 2. H3 hangs on A fibre 3 alone.
"""

from __future__ import annotations

import pytest

from model.correlate.affected import affected
from model.correlate.elements import elements_of
from model.correlate.named import elements_named
from model.correlate.shared import shared_feeds, shared_risk
from model.correlate.suspects import Answer, suspects
from model.edits.parts import Add
from model.entities import Cable, FibreEnd, Mating, Port, Service, Stop
from model.graph import Continuity
from model.history import History
from model.plant import Entity, Plant
from tests.model.lab import Watched, cable, end, leg, panel, site, splice, splitter, start


def plug(port: str, of: object, face: str = "rear") -> Mating:
    return Mating(f"m-{port}-{face}", port, of, face)


def plant(b_route: tuple[str, ...] = ("x", "north", "s")) -> Plant:
    homes: list[Entity] = []
    for n in (1, 2, 3):
        homes += [
            site(f"h{n}", kind="premises"),
            cable(f"d{n}", "rd-1", "s", f"h{n}"),
            Port(f"h{n}.1", f"h{n}", "outlet", 1, "outlet"),
            plug(f"h{n}.1", end(f"d{n}", 1, f"h{n}", "<")),
            Service(f"v{n}", f"H{n}", f"h{n}.1", "live"),
        ]
    return start(
        site("x", "X", "exchange"),
        site("north"),
        site("s"),
        cable("a", "lt-12", "x", "s"),
        cable("b", "lt-12", *b_route),
        splitter("sp", "s", "2x4"),
        *panel("x", 6),
        *(plug(f"x.{n}", end("a", n, "x", ">")) for n in (1, 2, 3)),
        *(plug(f"x.{n + 3}", end("b", n, "x", ">")) for n in (1, 2)),
        splice("in1", "s", end("a", 1, "s", "<"), leg("sp", "in", 1)),
        splice("in2", "s", end("b", 1, "s", "<"), leg("sp", "in", 2)),
        splice("out1", "s", leg("sp", "out", 1), end("d1", 1, "s", ">")),
        splice("out2", "s", leg("sp", "out", 2), end("d2", 1, "s", ">")),
        splice("straight", "s", end("a", 3, "s", "<"), end("d3", 1, "s", ">")),
        Port("r", "s", "ring", 1, "panel"),
        plug("r", end("a", 2, "s", "<"), "rear"),
        plug("r", end("b", 2, "s", "<"), "front"),
        Service("vr", "R", "r", "live"),
        *homes,
    ).plant


CONTINUITY = Continuity(plant())


def kinds(answer: Answer) -> set[str]:
    return {s.element.key for s in answer.suspects}


@pytest.mark.parametrize("ref", ["A", "B", "B@north>", "A:1", "X/port/1", "SP:in1", "SP:in2"])
def test_what_lies_on_one_feed_takes_nobody_with_two_down(ref: str) -> None:
    found = affected(CONTINUITY, elements_named(CONTINUITY, ref))
    assert not {"v1", "v2", "vr"} & set(found.services)
    assert found.standby


def test_what_lies_on_both_feeds_does() -> None:
    assert set(affected(CONTINUITY, elements_named(CONTINUITY, "SP")).services) == {"v1", "v2"}
    assert set(affected(CONTINUITY, elements_named(CONTINUITY, "S")).services) == {"v1", "v2", "v3", "vr"}
    assert set(affected(CONTINUITY, elements_named(CONTINUITY, "S/port/1")).services) == {"vr"}
    both = (*elements_named(CONTINUITY, "A"), *elements_named(CONTINUITY, "B"))
    assert set(affected(CONTINUITY, both).services) == {"v1", "v2", "v3", "vr"}


def test_all_legs_down_means_the_splitter_itself_and_not_one_of_its_inputs() -> None:
    answer = suspects(CONTINUITY, ["v1", "v2"], ["v3", "vr"])
    assert kinds(answer) == {"splitter|sp"}
    cleared = {c.element.key: c for c in answer.cleared}
    assert cleared["input|1|sp"].explains == ()
    assert "standby" in cleared["input|1|sp"].why


def test_a_service_up_on_its_other_feed_clears_nothing_on_this_one() -> None:
    # H3 is down and lies on cable A; H1 and R are up, but they may run over B.
    answer = suspects(CONTINUITY, ["v3"], ["v1", "v2", "vr"])
    assert "sheath|a.x" in kinds(answer)


def test_both_feeds_cut_is_found_as_a_pair() -> None:
    answer = suspects(CONTINUITY, ["v1", "v2", "v3", "vr"], [])
    assert not answer.single
    assert answer.pair is not None
    pairs = [(answer.pair.first, answer.pair.second)] + [(p.first, p.second) for p in answer.other_pairs]
    named = [({s.element.key for s in one}, {s.element.key for s in other}) for one, other in pairs]
    assert any("sheath|a.x" in one | other and "sheath|b.north" in one | other for one, other in named)


def test_a_pair_that_takes_down_both_feeds_of_somebody_up_is_not_offered() -> None:
    # R hangs on A fibre 2 and B fibre 2, the splitter on A fibre 1 and B fibre 1: with R up no pair of sheaths fits.
    answer = suspects(CONTINUITY, ["v1", "v3"], ["vr", "v2"])
    assert answer.pair is not None
    for pair in (answer.pair, *answer.other_pairs):
        for one in pair.first:
            for other in pair.second:
                down = affected(CONTINUITY, (one.element, other.element)).services
                assert {"v1", "v3"} <= set(down)
                assert not {"vr", "v2"} & set(down)


def test_feeds_on_two_routes_share_nothing_but_the_sites_at_both_ends() -> None:
    assert {e.key for e in shared_feeds(CONTINUITY, "v1")} == {"site|s", "site|x"}
    assert {e.key for e in shared_feeds(CONTINUITY, "vr")} == {"site|s", "site|x"}
    assert shared_feeds(CONTINUITY, "v3") == ()


def test_feeds_in_one_sheath_are_said_to_share_it() -> None:
    other = [e for e in plant().entities() if e.id != "in2"]
    second = splice("in2", "s", end("a", 4, "s", "<"), leg("sp", "in", 2))
    both = Plant([*other, second, Port("x.9", "x", "P", 9), plug("x.9", end("a", 4, "x", ">"))])
    shared = {e.key for e in shared_feeds(Continuity(both), "v1")}
    assert {"sheath|a.x", "tube|1|a.x", "tube_at|entry|1|a.s"} <= shared
    assert not {key for key in shared if key.startswith(("fibre|", "port|", "input|", "splice|"))}
    assert shared_risk(CONTINUITY, "v1", "v3")


def test_an_unfinished_path_is_correlated_as_far_as_it_goes_and_one_without_is_left_out() -> None:
    unplugged = Plant([e for e in plant().entities() if e.id != "m-x.3-rear"])
    continuity = Continuity(unplugged)
    assert "splice|straight" in kinds(suspects(continuity, ["v3"], []))
    gone = Plant([e for e in plant().entities() if e.id not in ("h3.1", "m-h3.1-rear")])
    answer = suspects(Continuity(gone), ["v3", "v1"], [])
    assert answer.unplaced == ("v3",)
    assert "H3 without a path in the record" in answer.statement
    nothing = suspects(Continuity(gone), ["v3"], [])
    assert (nothing.suspects, nothing.pair, nothing.single) == ((), None, False)


def test_a_patch_cord_is_one_element() -> None:
    # The equipment port feeds panel port x.3 by a cord: its two plugs and its fibre fail as one.
    stops = (Stop("k.1", "x", mark_out_m=0.0), Stop("k.2", "x", mark_in_m=2.0))
    cord = Cable("k", "K-1", "rd-1", stops)
    ends = (FibreEnd("k", 1, "k.1", ">"), FibreEnd("k", 1, "k.2", "<"))
    equipment = Port("pon", "x", "PON", 1, "equipment")
    patched = Continuity(
        Plant([*plant().entities(), cord, equipment, plug("pon", ends[0]), plug("x.3", ends[1], "front")])
    )
    named = [e.words for e in elements_of(patched, "v3")]
    assert named[-4:] == ["port P/3 at X", "fibre K-1:1, X to X", "cord K-1 at X", "port PON/1 at X"]
    assert affected(patched, elements_named(patched, "K-1")).services == ("v3",)


def test_what_is_kept_follows_every_edit() -> None:
    lab = Watched(History(Plant([e for e in plant().entities() if e.id != "straight"])))
    assert "sheath|a.x" not in {e.key for e in elements_of(lab.continuity, "v3")}
    lab.do(Add((splice("straight", "s", end("a", 3, "s", "<"), end("d3", 1, "s", ">")),), "join"))
    assert "sheath|a.x" in {e.key for e in elements_of(lab.continuity, "v3")}
    assert "v3" in affected(lab.continuity, elements_named(lab.continuity, "A")).services
    lab.history.undo()
    assert "v3" not in affected(lab.continuity, elements_named(lab.continuity, "A")).services
