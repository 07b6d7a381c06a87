# mypy: disable-error-code="arg-type, misc"
"""Small mid-span plants for the planner from plain facts about each fibre, and the answer by trying everything."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations

from model.catalogue import catalogue, parts_for
from model.edits.cutting import CutFibres, OpenTubes
from model.edits.joining import Join, Plug
from model.edits.parts import Add, Bring
from model.entities import Cable, Enclosure, FibreEnd, Port, Service, Site, Stop, Tray
from model.graph import Continuity
from model.history import History
from model.plant import Plant


@dataclass
class Facts:
    """What is true of the fibres of one cable passing one box; numbers run through the tubes."""

    tubes: tuple[int, ...]
    live: set[int] = field(default_factory=set)
    planned: set[int] = field(default_factory=set)
    unplugged: set[int] = field(default_factory=set)
    opened: set[int] = field(default_factory=set)
    stubs: set[int] = field(default_factory=set)
    joined: set[int] = field(default_factory=set)
    reserved: set[int] = field(default_factory=set)
    ports: set[int] = field(default_factory=set)
    """Numbers of the exchange ports that will do; any where it is empty. Fibre n is plugged to port n."""
    reserve: int = 0
    wanted: int = 1
    trays: int = 4

    @property
    def count(self) -> int:
        return sum(self.tubes)

    def tube(self, fibre: int) -> int:
        for number, size in enumerate(self.tubes, start=1):
            if fibre <= size:
                return number
            fibre -= size
        raise ValueError(fibre)

    def worked(self) -> set[int]:
        """Tubes open at the box: said to be, or with a cut fibre."""
        return self.opened | {self.tube(f) for f in self.stubs | self.joined}

    def free(self) -> list[int]:
        taken = self.live | self.planned | self.unplugged | self.joined | self.reserved
        return [f for f in range(1, self.count + 1) if f not in taken and (not self.ports or f in self.ports)]


def random_facts(seed: int) -> Facts:
    """A small case: up to five tubes of one to five fibres, any mixture of states."""
    dice = random.Random(seed)
    tubes = tuple(dice.randint(1, 5) for _ in range(dice.randint(1, 5)))
    facts = Facts(tubes, reserve=dice.choice((0, 0, 0, 1)), wanted=dice.randint(1, 6))
    for fibre in range(1, facts.count + 1):
        state = dice.choices(
            ("free", "live", "planned", "unplugged", "stubs", "joined", "reserved"), (60, 9, 4, 5, 8, 4, 5)
        )[0]
        if state != "free":
            getattr(facts, state).add(fibre)
    facts.opened = {t for t in range(1, len(tubes) + 1) if dice.random() < 0.1}
    if dice.random() < 0.3:
        facts.ports = {f for f in range(1, facts.count + 1) if dice.random() < 0.8}
    return facts


def ways(facts: Facts) -> Iterator[tuple[int, ...]]:
    """Every set of free fibres that serves the drops and leaves each tube its reserve."""
    free = facts.free()
    for chosen in combinations(free, facts.wanted):
        left = [f for f in free if f not in chosen]
        if all(sum(facts.tube(f) == t for f in left) >= facts.reserve for t in {facts.tube(f) for f in chosen}):
            yield chosen


def price(facts: Facts, chosen: tuple[int, ...]) -> tuple[int, ...]:
    """Live fibres beside the work, tubes opened, fibres from newly opened tubes, fibres cut, tubes worked on."""
    touched = {facts.tube(f) for f in chosen}
    new = touched - facts.worked()
    return (
        sum(facts.tube(f) in touched for f in facts.live),
        len(new),
        sum(facts.tube(f) in new for f in chosen),
        sum(f not in facts.stubs for f in chosen),
        len(touched),
    )


def brute(facts: Facts) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """(price, fibres) of the best of all ways, the lowest numbers of equals; None when there is none."""
    return min(((price(facts, chosen), chosen) for chosen in ways(facts)), default=None)


def box_plant(facts: Facts) -> Plant:
    """The plant that the facts describe: exchange, box with trays, far panel, and as many drops as are wanted."""
    base = catalogue().cable_types["lt-24-6"]
    kind = replace(base, id="trial", title="Trial cable", tubes=facts.tubes)
    ex, box, far = Site("ex", "Exchange", "exchange"), Site("box", "Box", "enclosure"), Site("far", "Far", "cabinet")
    middle = Stop("c.box", "box", 1000.0, 1003.0, entry_in="1A", entry_out="1B", coil_in_m=12.0, coil_out_m=12.0)
    cable = Cable(
        "c",
        "CAB-1",
        "trial",
        (Stop("c.ex", "ex", mark_out_m=0.0), middle, Stop("c.far", "far", mark_in_m=2000.0)),
    )
    drops = [
        Cable(
            f"d{n}",
            f"D-{n}",
            "rd-1",
            (Stop(f"d{n}.box", "box", mark_out_m=0.0, entry_out="4"), Stop(f"d{n}.home", "home", mark_in_m=30.0)),
        )
        for n in range(1, facts.wanted + len(facts.joined) + 1)
    ]
    enclosure = Enclosure("e", "box", "wall-box-large", "Box")
    trays = [Tray(f"t{n}", "e", "tray-24", n, str(n)) for n in range(1, facts.trays + 1)]
    numbers = range(1, facts.count + 1)
    ports = [Port(f"{site}.{n}", site, site.upper(), n) for site in ("ex", "far") for n in numbers]
    services = [Service(f"v{n}", f"V{n}", f"far.{n}", "live") for n in sorted(facts.live)]
    services += [Service(f"v{n}", f"V{n}", f"far.{n}", "planned") for n in sorted(facts.planned)]
    history = History(Plant())
    history.do(Bring((*parts_for("lt-24-6", "rd-1", "wall-box-large", "tray-24"), kind)))
    homes = Site("home", "Homes", "premises")
    history.do(Add((ex, box, far, homes, cable, *drops, enclosure, *trays, *ports, *services), "lay"))
    near = [n for n in numbers if n not in facts.unplugged]
    history.do(Plug(tuple(FibreEnd("c", n, "c.ex", ">") for n in near), tuple(f"ex.{n}" for n in near)))
    history.do(Plug(tuple(FibreEnd("c", n, "c.far", "<") for n in numbers), tuple(f"far.{n}" for n in numbers)))
    if facts.opened:
        history.do(OpenTubes("c", "c.box", tuple(sorted(facts.opened))))
    if facts.stubs | facts.joined:
        history.do(CutFibres("c", "c.box", tuple(sorted(facts.stubs | facts.joined))))
    for n, fibre in enumerate(sorted(facts.joined), start=facts.wanted + 1):
        history.do(Join("box", ((FibreEnd("c", fibre, "c.box", "<"), FibreEnd(f"d{n}", 1, f"d{n}.box", ">")),)))
    return history.plant


def drop_ends(facts: Facts) -> tuple[FibreEnd, ...]:
    return tuple(FibreEnd(f"d{n}", 1, f"d{n}.box", ">") for n in range(1, facts.wanted + 1))


def graph_of(plant: Plant) -> Continuity:
    return Continuity(plant)
