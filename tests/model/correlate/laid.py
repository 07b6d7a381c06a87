# mypy: disable-error-code="arg-type"
"""Random small plants that remember what was laid: for every service the elements of each of its ways.

What a service runs over is written down while its path is laid, never read back from the graph, so that it can stand
as the truth the correlation is held against. Trunks and branches have tubes and mid-span stops where tubes pass
express, opened or cut; fibres go straight to drops, through splitters and cascades, or on through a joint. Some
services have two feeds: a splitter with two inputs, or a port in a ring that is fed from both its faces.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from random import Random

from model.catalogue import parts_for
from model.entities import (
    Cable,
    Enclosure,
    FibreEnd,
    GlassEnd,
    LegEnd,
    Mating,
    Port,
    Service,
    Site,
    Splice,
    Splitter,
    Stop,
    Stored,
    Tray,
    TubeWork,
)
from model.parts import CableType, SplitterType
from model.plant import Entity, Plant

PARTS = parts_for("lt-24", "rd-1", "wall-box-small", "tray-24", "1x2", "1x4", "2x4")
LT_24 = next(p for p in PARTS if isinstance(p, CableType) and p.id == "lt-24")
KINDS = [replace(LT_24, id=f"laid-{i}", tubes=tubes) for i, tubes in enumerate([(3, 3), (4, 2), (2, 3, 2), (5,)])]
SPLITTERS: dict[str, SplitterType] = {p.id: p for p in PARTS if isinstance(p, SplitterType)}

Ways = list[list[str]]
"""Keys of the elements of each way from a point to the exchange."""


@dataclass
class Open:
    """An end of glass at a site, and the ways from it to the exchange."""

    end: GlassEnd
    ways: Ways


def more(ways: Ways, *keys: str) -> Ways:
    return [[*way, *keys] for way in ways]


@dataclass
class Laid:
    """A plant under construction; ``ways`` is the truth about each service."""

    rng: Random
    entities: list[Entity] = field(default_factory=list)
    ways: dict[str, Ways] = field(default_factory=dict)
    count: int = 0

    def number(self) -> int:
        self.count += 1
        return self.count

    def plant(self) -> Plant:
        return Plant([*PARTS, *KINDS, *self.entities])

    @property
    def keys(self) -> list[str]:
        """Every element that somebody runs over."""
        return list(dict.fromkeys(key for ways in self.ways.values() for way in ways for key in way))

    def dark(self, failed: Iterable[str]) -> set[str]:
        """Services that go dark when these elements fail: those with every way hit."""
        gone = set(failed)
        return {s for s, ways in self.ways.items() if all(not gone.isdisjoint(way) for way in ways)}

    def site(self, kind: str = "enclosure") -> str:
        key = f"s{self.number()}"
        self.entities.append(Site(key, key.upper(), kind))
        if kind == "enclosure":
            self.entities.append(Enclosure(f"{key}.box", key, "wall-box-small", key.upper()))
            self.entities += [Tray(f"{key}.t{n}", f"{key}.box", "tray-24", n, str(n)) for n in (1, 2)]
        return key

    def splice(self, site: str, a: GlassEnd, b: GlassEnd) -> tuple[str, ...]:
        """Keys of a new joint, with its tray if it lies on one."""
        key = f"x{self.number()}"
        tray = f"{site}.t{self.rng.choice((1, 1, 2))}" if self.rng.random() < 0.9 else None
        self.entities.append(Splice(key, site, a, b, tray, status="done"))
        return (f"splice|{key}", *([f"tray|{tray}"] if tray else []))

    def service(self, port: str, ways: Ways) -> None:
        key = f"v{self.number()}"
        self.entities.append(Service(key, key.upper(), port, "live"))
        self.ways[key] = ways

    def drop(self, site: str, near: Open) -> None:
        """A customer on a drop, with now and then nobody at its far end."""
        home, cable = self.site("premises"), f"d{self.number()}"
        stops = (Stop(f"{cable}.a", site, mark_out_m=0.0), Stop(f"{cable}.b", home, mark_in_m=60.0))
        self.entities.append(Cable(cable, cable.upper(), "rd-1", stops))
        joint = self.splice(site, near.end, FibreEnd(cable, 1, f"{cable}.a", ">"))
        port = f"{home}.1"
        self.entities.append(Port(port, home, "outlet", 1, "outlet"))
        self.entities.append(Mating(f"m{port}", port, FibreEnd(cable, 1, f"{cable}.b", "<")))
        if self.rng.random() < 0.9:
            self.service(port, more(near.ways, *joint, f"fibre|1|{cable}.a", f"drop|{cable}", f"port|{port}"))

    def splitter(self, site: str, feeds: list[Open], depth: int = 0) -> None:
        """A splitter on one or two feeds, its legs to drops, to another splitter or to nothing."""
        kind = "2x4" if len(feeds) == 2 else self.rng.choice(("1x2", "1x4"))
        key = f"p{self.number()}"
        tray = f"{site}.t1" if self.rng.random() < 0.3 else None
        self.entities.append(Splitter(key, site, kind, key.upper(), tray))
        ways: Ways = []
        for n, feed in enumerate(feeds, start=1):
            joint = self.splice(site, feed.end, LegEnd(key, "in", n))
            ways += more(feed.ways, *joint, f"input|{n}|{key}")
        own = [f"splitter|{key}"] * (len(feeds) == 2) + [f"tray|{tray}"] * bool(tray)
        for leg in range(1, len(SPLITTERS[kind].legs_db) + 1):
            out = Open(LegEnd(key, "out", leg), more(ways, *own, f"leg|{leg}|{key}"))
            chance = self.rng.random()
            if chance < 0.15:
                continue
            if chance < 0.3 and depth < 2:
                self.splitter(site, [out], depth + 1)
            else:
                self.drop(site, out)

    def ring(self, site: str, feeds: list[Open]) -> None:
        """A customer at a port that is fed from both its faces."""
        port = f"r{self.number()}"
        self.entities.append(Port(port, site, "ring", self.count, "panel"))
        for face, feed in zip(("rear", "front"), feeds, strict=True):
            self.entities.append(Mating(f"m{port}{face}", port, feed.end, face))
        self.service(port, [[*way, f"port|{port}"] for feed in feeds for way in feed.ways])

    def use(self, site: str, ends: list[Open], depth: int) -> None:
        """Join ends of glass at a site to what they feed."""
        rest = list(ends)
        self.rng.shuffle(rest)
        while rest:
            chance = self.rng.random()
            if chance < 0.12 and len(rest) > 1:
                self.splitter(site, [rest.pop(), rest.pop()])
            elif chance < 0.2 and len(rest) > 1:
                self.ring(site, [rest.pop(), rest.pop()])
            elif chance < 0.32:
                self.splitter(site, [rest.pop()])
            elif chance < 0.4 and len(rest) > 2 and depth < 1:
                self.cable(site, [rest.pop(), rest.pop(), rest.pop()], depth + 1)
            elif chance < 0.85:
                self.drop(site, rest.pop())
            else:
                rest.pop()

    def cable(self, start: str, feeds: list[Open] | None, depth: int = 0) -> None:
        """A cable from the exchange (no feeds) or spliced to glass at a site, with stops on the way."""
        kind = self.rng.choice(KINDS)
        key = f"c{self.number()}"
        sites = [
            start,
            *(self.site() for _ in range(self.rng.choice((1, 2, 2, 3)) if depth else self.rng.choice((2, 3, 4)))),
        ]
        tube = {}
        fibre = 0
        for t, size in enumerate(kind.tubes, start=1):
            for _ in range(size):
                fibre += 1
                tube[fibre] = t
        last = len(sites) - 1
        names = [f"{key}.{i}" for i in range(len(sites))]
        feed: dict[int, Ways | None] = dict.fromkeys(tube)
        for n in tube:
            first = FibreEnd(key, n, names[0], ">")
            if feeds is None:
                if self.rng.random() < 0.95:
                    port = f"{start}.{key}.{n}"
                    self.entities.append(Port(port, start, key, n, self.rng.choice(("panel", "equipment"))))
                    self.entities.append(Mating(f"m{port}", port, first))
                    feed[n] = [[f"port|{port}", f"fibre|{n}|{names[0]}", f"tube_at|exit|{tube[n]}|{names[0]}"]]
            elif feeds:
                near = feeds.pop()
                joint = self.splice(start, near.end, first)
                own = (f"fibre|{n}|{names[0]}", f"tube_at|exit|{tube[n]}|{names[0]}")
                feed[n] = more(near.ways, *joint, *own)
        stops = [Stop(names[0], start, mark_out_m=0.0)]
        mark = 0.0
        for i in range(1, len(sites)):
            for n in tube:
                if (old := feed[n]) is not None:
                    feed[n] = more(old, f"sheath|{names[i - 1]}", f"tube|{tube[n]}|{names[i - 1]}")
            mark += 300.0
            if i == last:
                stops.append(Stop(names[i], sites[i], mark_in_m=mark))
                ends = [
                    Open(FibreEnd(key, n, names[i], "<"), more(old, f"tube_at|entry|{tube[n]}|{names[i]}"))
                    for n in tube
                    if (old := feed[n]) is not None
                ]
                self.use(sites[i], ends, depth)
            else:
                stops.append(self._stop(key, names[i], sites[i], mark, tube, feed, depth))
                mark += 2.0
        self.entities.append(Cable(key, key.upper(), kind.id, tuple(stops)))

    def _stop(
        self,
        key: str,
        stop: str,
        site: str,
        mark: float,
        tube: dict[int, int],
        feed: dict[int, Ways | None],
        depth: int,
    ) -> Stop:
        """A passing stop: what is done to each tube, and where its fibres lead from there."""
        work: list[TubeWork] = []
        stored: list[Stored] = []
        ends: list[Open] = []
        for t in sorted(set(tube.values())):
            fibres = [n for n in tube if tube[n] == t]
            state = self.rng.choice(("express", "express", "opened", "opened", "cut"))
            if state == "express":
                for n in fibres:
                    if (old := feed[n]) is not None:
                        feed[n] = more(old, f"tube_at|express|{t}|{stop}")
                continue
            cut = fibres if state == "cut" else [n for n in fibres if self.rng.random() < 0.5]
            on = {n for n in cut if self.rng.random() < 0.35}
            work.append(TubeWork(t, state, tuple(cut) if state == "opened" else ()))
            loops = [n for n in fibres if n not in cut]
            tray = f"{site}.t{self.rng.choice((1, 2))}" if loops and self.rng.random() < 0.7 else None
            if loops:
                stored.append(Stored(tuple(loops), "", tray))
            leaving = [f"tube_at|exit|{t}|{stop}"] if on else []
            for n in fibres:
                old = feed[n]
                if n in on:
                    near, far = FibreEnd(key, n, stop, "<"), FibreEnd(key, n, stop, ">")
                    joint = self.splice(site, near, far)
                    if old is not None:
                        own = (f"tube_at|entry|{t}|{stop}", *joint, f"fibre|{n}|{stop}", *leaving)
                        feed[n] = more(old, *own)
                elif n in cut:
                    if old is not None:
                        ends.append(Open(FibreEnd(key, n, stop, "<"), more(old, f"tube_at|entry|{t}|{stop}")))
                    feed[n] = None
                elif old is not None:
                    own = (f"tube_at|entry|{t}|{stop}", f"tube_at|loop|{t}|{stop}", *leaving)
                    feed[n] = more(old, *own, *([f"tray|{tray}"] if tray else []))
        self.use(site, ends, depth)
        return Stop(stop, site, mark, mark + 2.0, tubes=tuple(work), stored=tuple(stored))


def laid(seed: int) -> Laid:
    """A plant of one or two trunks from one exchange; every plant has at least two services."""
    rng = Random(seed)
    while True:
        made = Laid(rng)
        exchange = made.site("exchange")
        for _ in range(rng.choice((1, 1, 2))):
            made.cable(exchange, None)
        if len(made.ways) > 1:
            return made
