"""Small plants for loss tests, laid from the exchange outward one element at a time."""

from __future__ import annotations

from typing import Literal

from model.entities import (
    Cable,
    FibreEnd,
    GlassEnd,
    LegEnd,
    Mating,
    Port,
    Reading,
    Service,
    Site,
    Splice,
    Splitter,
    Stop,
    TubeWork,
)
from model.graph import Continuity
from model.ids import (
    CableId,
    CableTypeId,
    FibreClassId,
    MatingId,
    PortId,
    SchemeId,
    ServiceId,
    SiteId,
    SpliceId,
    SplitterId,
    SplitterTypeId,
    StopId,
)
from model.parts import BendPoint, CableType, FibreClass, SplitterType
from model.plant import Entity, Plant

PLANNED = ((1310, 0.35), (1550, 0.22))
"""dB/km, planning values; common practice, no source."""

# Macrobend limits as in G.657 (11/2016) tables 1-2 and G.652 (11/2016) table 2, from memory; 15 mm for 10 turns of A2
# at 1550 also stands in a drop cable's specification.
A1 = FibreClass(
    FibreClassId("A1"),
    "G.657.A1",
    10,
    15,
    (
        BendPoint(15, 10, 1550, 0.25),
        BendPoint(10, 1, 1550, 0.75),
        BendPoint(15, 10, 1625, 1.0),
        BendPoint(10, 1, 1625, 1.5),
    ),
)
A2 = FibreClass(
    FibreClassId("A2"),
    "G.657.A2",
    7.5,
    15,
    (
        BendPoint(15, 10, 1550, 0.03),
        BendPoint(10, 1, 1550, 0.1),
        BendPoint(7.5, 1, 1550, 0.5),
        BendPoint(15, 10, 1625, 0.1),
        BendPoint(10, 1, 1625, 0.2),
        BendPoint(7.5, 1, 1625, 1.0),
    ),
)
B3 = FibreClass(
    FibreClassId("B3"),
    "G.657.B3",
    5,
    15,
    (
        BendPoint(10, 1, 1550, 0.03),
        BendPoint(7.5, 1, 1550, 0.08),
        BendPoint(5, 1, 1550, 0.15),
        BendPoint(10, 1, 1625, 0.1),
        BendPoint(7.5, 1, 1625, 0.25),
        BendPoint(5, 1, 1625, 0.45),
    ),
)
D = FibreClass(FibreClassId("D"), "G.652.D", 30, 30, (BendPoint(30, 100, 1625, 0.1),))


def cable_type(
    key: str = "drop",
    tubes: tuple[int, ...] = (4,),
    excess: float = 0.0,
    attenuation: tuple[tuple[int, float], ...] = PLANNED,
) -> CableType:
    """A plain cable type of A1 fibre."""
    return CableType(
        CableTypeId(key),
        key,
        "loose tube",
        tubes,
        SchemeId("s"),
        SchemeId("s"),
        FibreClassId("A1"),
        10.4,
        excess=excess,
        attenuation=attenuation,
    )


class Chain:
    """One light path from the equipment port ``olt`` outward; ``service`` ends it at an outlet."""

    def __init__(self, pair_db: float = 0.30, power_class: str = "") -> None:
        self.entities: list[Entity] = [
            A1,
            Site(SiteId("X"), "Quill Lane", "exchange"),
            Site(SiteId("F"), "Field", "premises"),
        ]
        self.count = 0
        self.types: dict[str, Entity] = {}
        self.open: GlassEnd | Port = Port(PortId("olt"), SiteId("X"), "OLT", 1, "equipment", pair_db, power_class)
        self.face: Literal["rear", "front"] = "rear"
        self.entities.append(self.open)

    def _next(self, letter: str) -> str:
        self.count += 1
        return f"{letter}{self.count}"

    def _meet(self, end: GlassEnd, db: float | None, measured: tuple[Reading, ...] = ()) -> None:
        """Join ``end`` to what is open: a plug in a port (``db`` its pigtail) or a splice of ``db``."""
        if isinstance(self.open, Port):
            self.entities.append(Mating(MatingId(self._next("M")), self.open.id, end, self.face, db))
        else:
            splice = Splice(
                SpliceId(self._next("S")), SiteId("F"), self.open, end, planned_db=db or 0.0, measured=measured
            )
            self.entities.append(splice)

    def glass(
        self,
        length_m: float | None,
        db: float | None = None,
        *,
        excess: float = 0.0,
        attenuation: tuple[tuple[int, float], ...] = PLANNED,
        measured: tuple[Reading, ...] = (),
    ) -> Chain:
        """Fibre 1 of a new cable, joined by a splice or pigtail of ``db``."""
        key = f"type {excess:g} {attenuation}"
        self.types[key] = cable_type(key, (4,), excess, attenuation)
        name = self._next("C")
        stops = (
            Stop(StopId(f"{name}a"), SiteId("F"), mark_out_m=0.0),
            Stop(StopId(f"{name}b"), SiteId("F"), mark_in_m=length_m),
        )
        self.entities.append(Cable(CableId(name), name, CableTypeId(key), stops))
        self._meet(FibreEnd(CableId(name), 1, stops[0].id, ">"), db, measured)
        self.open = FibreEnd(CableId(name), 1, stops[1].id, "<")
        return self

    def split(
        self, *legs_db: float, leg: int = 1, db: float | None = None, inputs: int = 1, included: bool = False
    ) -> Chain:
        """A splitter joined by its last input, left by ``leg``."""
        key = f"split {inputs} {legs_db} {included}"
        self.types[key] = SplitterType(SplitterTypeId(key), key, inputs, legs_db, included)
        name = SplitterId(self._next("SP"))
        self.entities.append(Splitter(name, SiteId("F"), SplitterTypeId(key), name))
        self._meet(LegEnd(name, "in", inputs), db)
        self.open = LegEnd(name, "out", leg)
        return self

    def port(
        self,
        pair_db: float = 0.30,
        db: float | None = None,
        *,
        enter: Literal["rear", "front"] = "front",
        role: Literal["panel", "equipment", "outlet"] = "panel",
    ) -> Chain:
        """A port entered by ``enter`` with a pigtail of ``db``; the path goes on from its other face."""
        new = Port(PortId(self._next("P")), SiteId("F"), "PP", self.count, role, pair_db)
        self.entities.append(new)
        assert not isinstance(self.open, Port)
        self.entities.append(Mating(MatingId(self._next("M")), new.id, self.open, enter, db))
        self.open = new
        self.face = "rear" if enter == "front" else "front"
        return self

    def service(self, pair_db: float = 0.30, db: float | None = None, power_class: str = "") -> Chain:
        """The outlet at the end with a service at it."""
        self.port(pair_db, db, enter="rear", role="outlet")
        assert isinstance(self.open, Port)
        self.entities.append(Service(ServiceId("svc"), "SVC", self.open.id, "live", power_class=power_class))
        return self

    def done(self, *drop: str) -> Continuity:
        """The graph of it, without the entities of the ids in ``drop``."""
        kept = [entity for entity in (*self.types.values(), *self.entities) if entity.id not in drop]
        return Continuity(Plant(kept))


def hall(*, class_of_port: str = "", drop_fibre: int = 3, cut: bool = True) -> Continuity:
    """Fibre 15 from Quill Lane port 15, cut at a passing stop and spliced to a 65 m drop with an outlet at its end."""
    trunk = cable_type("trunk", (12, 12, 12, 12), 0.02)
    drop = cable_type("drop", (4,), 0.02)

    opened = Stop(
        StopId("mid"), SiteId("W"), 2148.0, 2149.6, tubes=(TubeWork(2, "opened", (13, 14, 15, 16) if cut else ()),)
    )
    b1 = Cable(
        CableId("B1"),
        "TM-B1",
        trunk.id,
        (
            Stop(StopId("head"), SiteId("Q"), mark_out_m=0.0),
            opened,
            Stop(StopId("far"), SiteId("E"), mark_in_m=4000.0),
        ),
    )
    d1 = Cable(
        CableId("D1"),
        "D-1",
        drop.id,
        (Stop(StopId("d0"), SiteId("W"), mark_out_m=10.0), Stop(StopId("d1"), SiteId("H"), mark_in_m=75.0)),
    )
    at_splice = FibreEnd(b1.id, 15, opened.id, "<"), FibreEnd(d1.id, drop_fibre, d1.stops[0].id, ">")
    port = Port(PortId("ql15"), SiteId("Q"), "ODF", 15, power_class=class_of_port)
    outlet = Port(PortId("out"), SiteId("H"), "OUT", 1, "outlet")
    return Continuity(
        Plant(
            [
                A1,
                trunk,
                drop,
                Site(SiteId("Q"), "Quill Lane", "exchange"),
                Site(SiteId("W"), "WB-07", "enclosure"),
                Site(SiteId("E"), "Ferry Head", "enclosure"),
                Site(SiteId("H"), "Thistlemere Hall", "premises"),
                b1,
                d1,
                Splice(SpliceId("J1"), SiteId("W"), *at_splice),
                port,
                outlet,
                Mating(MatingId("m1"), port.id, FibreEnd(b1.id, 15, b1.stops[0].id, ">")),
                Mating(MatingId("m2"), outlet.id, FibreEnd(d1.id, 3, d1.stops[1].id, "<")),
                Service(ServiceId("svc"), "D1:3", outlet.id),
            ]
        )
    )


def altered(continuity: Continuity, *entities: Entity) -> Continuity:
    """The same plant with entities added or put in place of those with their id."""
    new = {entity.id for entity in entities}
    return Continuity(Plant([*(e for e in continuity.plant.entities() if e.id not in new), *entities]))
