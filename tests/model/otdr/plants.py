"""Plants with distances worked by hand: the fault ticket of Marrowfield, and paths over several cables."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from model.catalogue import catalogue
from model.edits.parts import Add, Bring
from model.entities import Cable, Mating, Splice, Stop
from model.graph import Continuity
from model.history import History
from model.ids import CableTypeId
from model.parts import CableType
from model.plant import Entity
from tests.model.lab import end, leg, panel, site, splice, splitter, start

COIL_M = 15.0


def drum(
    excess: float = 0.018,
    index: float | None = 1.4670,
    key: str = "drum",
    excess_of: Literal["sheath", "fibre"] = "sheath",
    tol: float = 0.005,
) -> CableType:
    """A 48-fibre cable with the figures of its drum sheet."""
    return replace(
        catalogue().cable_types[CableTypeId("lt-48")],
        id=CableTypeId(key),
        excess=excess,
        excess_tol=tol,
        excess_of=excess_of,
        group_index=() if index is None else ((1550, index),),
    )


def stop(
    key: str, place: str, mark_in: float | None, mark_out: float | None, coil: float = COIL_M, tail: float = 0.0
) -> Stop:
    inner = coil if mark_in is not None else 0.0
    outer = coil if mark_out is not None else 0.0
    return Stop(f"{key}.{place}", place, mark_in, mark_out, coil_in_m=inner, coil_out_m=outer, tail_m=tail)  # type: ignore[arg-type]


def marrowfield() -> Continuity:
    """Hub, K1 to K4 on one 48-fibre cable, the marks, coils and tail of the worked fault ticket; nothing joined."""
    stops = (
        stop("mf", "hub", None, 4.0, tail=6.0),
        stop("mf", "k1", 1859.0, 1861.0),
        stop("mf", "k2", 3151.0, 3153.0),
        stop("mf", "k3", 4093.0, 4095.0),
        stop("mf", "k4", 4765.0, None),
    )
    chainage = {"hub": 0.0, "k1": 1825.0, "k2": 3085.0, "k3": 3995.0, "k4": 4635.0}
    sites = [replace(site(key), chainage_m=at) for key, at in chainage.items()]
    return laid(drum(), *sites, Cable("mf", "MF-48", "drum", stops))  # type: ignore[arg-type]


def laid_with_port() -> Continuity:
    """Marrowfield with fibre 17 plugged at the hub."""
    plant = marrowfield().plant
    history = History(plant)
    port = panel("hub", 1)[0]
    plug = Mating("m", port.id, end("mf", 17, "hub", ">"), "rear", None)  # type: ignore[arg-type]
    history.do(Add((port, plug), "plug"))
    return Continuity(history.plant)


def laid(*entities: Entity | CableType) -> Continuity:
    """A continuity over the types and entities given."""
    history = start()
    types = tuple(e for e in entities if isinstance(e, CableType))
    history.do(Bring(types))
    history.do(Add(tuple(e for e in entities if not isinstance(e, CableType)), "lay"))
    return Continuity(history.plant)


def one_cable(kind: CableType, *marks: tuple[float | None, float | None], **more: object) -> Continuity:
    """A cable over as many sites as there are pairs of marks; ``more`` alters the cable."""
    places = "abcdefgh"[: len(marks)]
    stops = tuple(stop("c", place, *pair, coil=0.0) for place, pair in zip(places, marks, strict=True))
    cable = replace(Cable("c", "C-48", kind.id, stops), **more)  # type: ignore[arg-type]
    return laid(kind, *(site(place) for place in places), cable)


def pon() -> Continuity:
    """Exchange port, 1000 m feeder, a 1x2 splitter, 500 m distribution spliced to a 100 m drop, an outlet.

    Feeder and distribution have an excess of 2 %, the drop none; indexes 1.468, 1.468 and 1.470. Tails of 3 m lie at
    the splitter's side of the feeder and of 2 m at the distribution's; marks start at 0.
    """
    feeder, drop = drum(0.02, 1.468, "fd"), drum(0.0, 1.470, "dr", tol=0.0)
    return laid(
        feeder,
        drop,
        site("x", kind="exchange"),
        site("cab"),
        site("pole"),
        site("home", kind="premises"),
        Cable("f", "F-48", feeder.id, (stop("f", "x", None, 0.0, 0.0), stop("f", "cab", 1000.0, None, 0.0, 3.0))),  # type: ignore[arg-type]
        Cable("d", "D-48", feeder.id, (stop("d", "cab", None, 0.0, 0.0, 2.0), stop("d", "pole", 500.0, None, 0.0))),  # type: ignore[arg-type]
        Cable("h", "H-1", drop.id, (stop("h", "pole", None, 0.0, 0.0), stop("h", "home", 100.0, None, 0.0))),  # type: ignore[arg-type]
        *panel("x", 1, "equipment"),
        *panel("home", 1, "outlet"),
        splitter("sp", "cab", "1x2"),
        Mating("m1", "x.1", end("f", 1, "x", ">"), "rear", 0.10),  # type: ignore[arg-type]
        Mating("m2", "home.1", end("h", 1, "home", "<"), "rear", None),  # type: ignore[arg-type]
        splice("s1", "cab", end("f", 1, "cab", "<"), leg("sp", "in")),
        splice("s2", "cab", leg("sp", "out", 2), end("d", 1, "cab", ">")),
        replace(splice("s3", "pole", end("d", 1, "pole", "<"), end("h", 1, "pole", ">")), planned_db=0.12),
    )


def spliced(continuity: Continuity, key: str) -> Splice:
    return continuity.plant.splices[key]


def spliced_line(lengths_m: list[float], index: float) -> Continuity:
    """Cables C1, C2 ... one behind the other between the sites P0, P1 ..., fibre 1 spliced all along, no excess."""
    kind = drum(0.0, index, tol=0.0)
    cables = [
        Cable(
            f"c{n}",  # type: ignore[arg-type]
            f"C{n}",
            kind.id,
            (stop(f"c{n}", f"p{n - 1}", None, 0.0, 0.0), stop(f"c{n}", f"p{n}", metres, None, 0.0)),
        )
        for n, metres in enumerate(lengths_m, start=1)
    ]
    joints = [
        splice(f"s{n}", f"p{n}", end(f"c{n}", 1, f"p{n}", "<"), end(f"c{n + 1}", 1, f"p{n}", ">"))
        for n in range(1, len(lengths_m))
    ]
    return laid(kind, *(site(f"p{n}") for n in range(len(lengths_m) + 1)), *cables, *joints)
