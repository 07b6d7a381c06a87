# mypy: disable-error-code="arg-type"
"""A small plant made by hand, and generated variations of it: one cable of three stops, an enclosure, a splice."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from model import entities as e
from model import parts as p
from model.plant import Plant

BOX = p.EnclosureType(
    "box",
    "Wall box",
    "wall box",
    300.0,
    400.0,
    120.0,
    8.0,
    entries=(p.Entry("1", 40.0, 400.0, 270.0, 8.0, 14.0), p.Entry("2", 80.0, 400.0, 270.0, 8.0, 14.0)),
    bays=(p.Bay("bay", 150.0, 300.0, 40.0, 60.0),),
    tray_positions=(p.TrayPosition(1, 60.0, 40.0),),
    trays=("t12",),
    guides=(p.Guide("post", "post", 30.0, 30.0, 15.0),),
)
TRAY = p.TrayType("t12", "Tray", "single", 160.0, 100.0, 12, 61.0, 80.0, 50.0, 35.0, 20.0, 0.0, 80.0, 20.0, 4.5)


def passing(**more: Any) -> e.Stop:
    """The stop at the enclosure, tube 1 opened and fibres 3 to 5 cut."""
    work = (e.TubeWork(1, "opened", (3, 4, 5)),)
    stored = (e.Stored((1, 2, 6, 7, 8, 9, 10, 11, 12), tray="tray", turns=2.0),)
    base = e.Stop("c@enc", "enc", 810.0, 811.5, "1", "2", coil_in_m=3.0, tubes=work, stored=stored)
    return replace(base, **more)


def entities(stop: e.Stop | None = None, name: str = "TM-B1") -> list[Any]:
    """Every kind of entity once or more, references whole."""
    stops = (e.Stop("c@co", "co", mark_out_m=12.25), stop or passing(), e.Stop("c@end", "end", 1600.0, tail_m=1.5))
    return [
        e.JobInfo(owner="Tarnholm", revisions=(e.Revision("A", "2031-02-03", "first"),)),
        p.Profile("own", "Own", (("bend", 30.0),), (("bend", "note"),), ("dust",)),
        p.ColourScheme("two", "Two", ("blue", "orange"), swaps=((2, "red", ""),)),
        p.FibreClass("a1", "A1", 10.0, 30.0, (p.BendPoint(15.0, 10.0, 1550, 0.25),), ((1310, 8.6),)),
        p.CableType(
            "lt24", "Loose tube", "loose tube", (12, 12), "two", "two", "a1", 10.5, attenuation=((1310, 0.36),)
        ),
        BOX,
        TRAY,
        p.SplitterType("s2", "1x2", 1, (3.8, 3.8)),
        p.SleeveType("sl", "Sleeve", 61.0, 2.6),
        e.Site("co", "Exchange Tarn", "exchange"),
        e.Site("enc", "Enclosure", "enclosure", chainage_m=800.0),
        e.Site("end", "Premises Øre", "premises"),
        e.Cable("c", name, "lt24", stops, evidence=e.Evidence("verified", "2031-02-03", "Ada")),
        e.Enclosure("box1", "enc", "box", "E1", ()),
        e.Tray("tray", "box1", "t12", 1, "T1"),
        e.Route(
            "r", "box1", "tube", ("c@enc",), (e.Support("anchor", 1.0, 2.0), e.Support("wrap", 3.0, 4.0, 15.0, -1))
        ),
        e.Splitter("sp", "enc", "s2", "SP1", "tray"),
        e.Splice(
            "x",
            "enc",
            e.FibreEnd("c", 3, "c@enc", "<"),
            e.LegEnd("sp", "in", 1),
            "tray",
            12,
            measured=(e.Reading(1310, "A-B", 0.05),),
        ),
        e.Port("po", "co", "P", 1, "equipment"),
        e.Mating("m", "po", e.FibreEnd("c", 3, "c@co", ">"), pigtail_db=None),
        e.Service("sv", "Line 1", "po", "live"),
        e.Acceptance("ac", "bend", ("c",), None, "kept", "Ada", "2031-02-03"),
    ]


def plant(**more: Any) -> Plant:
    """The plant of ``entities``."""
    return Plant(entities(**more))


words = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1, max_size=20)
metres = st.integers(-(10**9), 10**9).map(lambda n: n / 1e6) | st.integers(0, 10**6).map(float)
cuts = st.lists(st.integers(1, 12), unique=True).map(lambda numbers: tuple(sorted(numbers)))
stored = st.lists(st.integers(1, 24), unique=True).map(tuple)


@st.composite
def plants(draw: st.DrawFn) -> Plant:
    """Whole plants: other names, marks, cuts, stored glass, readings, and more splices."""
    stop = passing(
        mark_in_m=draw(st.none() | metres),
        mark_out_m=draw(st.none() | metres),
        bonded=draw(st.booleans()),
        outage=draw(words),
        tubes=(e.TubeWork(1, "opened", draw(cuts), draw(st.none() | metres)), e.TubeWork(2, "cut")),
        stored=(e.Stored(draw(stored), "<", "tray", draw(st.integers(0, 9)) / 2),),
    )
    rows = entities(stop, draw(words))
    for index in range(draw(st.integers(0, 3))):
        a = e.FibreEnd("c", draw(st.integers(1, 24)), "c@enc", draw(st.sampled_from("<>")))
        b = e.LegEnd("sp", "out", draw(st.integers(1, 2)))
        note = draw(st.sampled_from(["", 'a "quoted" \\ note', "two\nlines", "ligne é Ω"]))
        status = draw(st.sampled_from(["existing", "planned", "done", "remove"]))
        rows.append(e.Splice(f"x{index}", "enc", a, b, planned_db=draw(metres), note=note, status=status))
    return Plant(draw(st.permutations(rows)))
