# mypy: disable-error-code="arg-type"
"""Small plants for tests of the core, made by hand from catalogue parts: a line of sites and what is laid on it."""

from __future__ import annotations

from model.catalogue import parts_for
from model.changes import ChangeSet
from model.edits.parts import Add, Bring
from model.entities import Cable, Enclosure, FibreEnd, LegEnd, Port, Site, Splice, Splitter, Stop, Tray
from model.graph import Continuity
from model.history import Edit, History
from model.plant import Entity, Plant

TYPES = (
    "lt-12",
    "lt-24",
    "lt-48",
    "lt-30",
    "rd-4",
    "rd-1",
    "wall-box-small",
    "tray-24",
    "tray-12",
    "1x2",
    "1x32",
    "2x4",
)


def site(key: str, name: str = "", kind: str = "enclosure") -> Site:
    return Site(key, name or key.upper(), kind)


def cable(key: str, kind: str, *sites: str, span_m: float = 100.0, opening_m: float = 2.0, name: str = "") -> Cable:
    """A cable stopping at each site; spans of ``span_m`` and openings of ``opening_m`` by its marks."""
    stops = []
    mark = 0.0
    for index, place in enumerate(sites):
        first, last = index == 0, index == len(sites) - 1
        mark_in = None if first else mark + span_m
        mark_out = None if last else (0.0 if first else mark + span_m + opening_m)
        stops.append(Stop(f"{key}.{place}", place, mark_in, mark_out))
        mark = mark_out or 0.0
    return Cable(key, name or key.upper(), kind, tuple(stops))


def end(key: str, fibre: int, place: str, side: str) -> FibreEnd:
    return FibreEnd(key, fibre, f"{key}.{place}", side)


def leg(key: str, role: str, number: int = 1) -> LegEnd:
    return LegEnd(key, role, number)


def start(*entities: Entity, types: tuple[str, ...] = TYPES) -> History:
    """A history over a plant with catalogue parts and the entities given; nothing to undo yet."""
    seed = History(Plant())
    seed.do(Bring(parts_for(*types)))
    if entities:
        seed.do(Add(entities, "lay"))
    return History(seed.plant)


def box(place: str, trays: int = 1) -> tuple[Entity, ...]:
    """A small wall box at a site with trays of 24 slots, ids ``box-SITE`` and ``tray-SITE-N``."""
    made: list[Entity] = [Enclosure(f"box-{place}", place, "wall-box-small", f"Box {place}")]
    made += [Tray(f"tray-{place}-{n}", f"box-{place}", "tray-24", n, str(n)) for n in range(1, trays + 1)]
    return tuple(made)


def panel(place: str, count: int, role: str = "panel") -> tuple[Port, ...]:
    return tuple(Port(f"{place}.{n}", place, "P", n, role) for n in range(1, count + 1))


def splice(key: str, place: str, a: FibreEnd | LegEnd, b: FibreEnd | LegEnd) -> Splice:
    return Splice(key, place, a, b)


def splitter(key: str, place: str, kind: str) -> Splitter:
    return Splitter(key, place, kind, key.upper())


class Watched:
    """A history whose graph is kept in step by its change sets."""

    def __init__(self, history: History) -> None:
        self.history = history
        self.continuity = Continuity(history.plant)
        self.told: list[ChangeSet] = []
        history.listen(self.told.append)
        history.listen(self.continuity.update)

    def do(self, *edits: Edit) -> None:
        self.history.do(*edits)

    def rebuilt(self) -> Continuity:
        return Continuity(self.history.plant)
