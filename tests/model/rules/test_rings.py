"""A ring found by the remembering walk is the ring the plain walk finds, whatever the plant looks like."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from model.catalogue import parts_for
from model.entities import Cable, FibreEnd, GlassEnd, LegEnd, Site, Splice, Splitter, Stop
from model.graph import Continuity, end_node
from model.ids import CableId, CableTypeId, SiteId, SpliceId, SplitterId, SplitterTypeId, StopId
from model.plant import Plant
from model.rules.rings import Rings
from model.trace import walk

CABLES = 4
SITE = SiteId("s")


def _ends() -> list[GlassEnd]:
    """Both ends of two fibres of every cable, and the legs of one splitter into four."""
    made: list[GlassEnd] = [LegEnd(SplitterId("p"), "in", 1), *(LegEnd(SplitterId("p"), "out", n) for n in range(1, 5))]
    for c in range(CABLES):
        for fibre in (1, 2):
            made.append(FibreEnd(CableId(f"c{c}"), fibre, StopId(f"c{c}.a"), ">"))
            made.append(FibreEnd(CableId(f"c{c}"), fibre, StopId(f"c{c}.b"), "<"))
    return made


ENDS = _ends()
PAIRS = st.lists(st.tuples(st.sampled_from(ENDS), st.sampled_from(ENDS)), max_size=16)


def _plant(pairs: list[tuple[GlassEnd, GlassEnd]]) -> Plant:
    """Cables beginning and ending at one site, with these ends spliced, some of them twice."""
    cables = [
        Cable(
            CableId(f"c{c}"),
            f"C{c}",
            CableTypeId("lt-48"),
            (Stop(StopId(f"c{c}.a"), SITE), Stop(StopId(f"c{c}.b"), SITE)),
        )
        for c in range(CABLES)
    ]
    splices = [Splice(SpliceId(f"j{n}"), SITE, a, b) for n, (a, b) in enumerate(pairs)]
    splitter = Splitter(SplitterId("p"), SITE, SplitterTypeId("1x4"), "P")
    return Plant([*parts_for("lt-48", "1x4"), Site(SITE, "S", "enclosure"), *cables, splitter, *splices])


@given(PAIRS)
def test_the_remembering_walk_answers_as_the_plain_walk_for_every_end_in_any_order(
    pairs: list[tuple[GlassEnd, GlassEnd]],
) -> None:
    graph = Continuity(_plant(pairs)).graph
    rings = Rings(graph)
    for node in [node for node in map(end_node, ENDS) if node in graph]:
        plain = walk(graph, node, "inside")
        closed = plain.kind == "ring" and plain.end == node
        assert rings.through(node) == (tuple(step.end for step in plain.steps) if closed else ())
