"""What rules read: the plant, what each end of glass is used by, which services it carries, and the facts of one site.

``Facts`` belong to the whole plant, which keeps them until what they were read from changes, and ``Context`` to one
site; a new pair is built for every check, each value computed when first asked for. Nothing is judged here.
"""

from __future__ import annotations

from functools import cached_property

from model.entities import Cable, Enclosure, FibreEnd, GlassEnd, Mating, Service, Side, Splice, Stop, Tray
from model.graph import Continuity, end_node
from model.ids import SiteId
from model.layout import (
    Drawn,
    DropRun,
    ExpressRun,
    TrayLoad,
    TubeRun,
    drawn_routes,
    drop_runs,
    express_runs,
    tray_load,
    tube_runs,
)
from model.lookup import cut_fibres, enclosures_at, looped_fibres, passes, stays_inside, trays_of
from model.optics.budget import ServiceBudget, budget
from model.optics.loss import GlassLosses
from model.optics.readings import At, read_at
from model.parts import CableType, Entry
from model.plant import Plant
from model.rules.rings import Rings
from model.trace import services_by_node


class Here:
    """A cable at one of its stops, with what follows from its type."""

    def __init__(self, cable: Cable, index: int, kind: CableType) -> None:
        self.cable = cable
        self.index = index
        self.stop: Stop = cable.stops[index]
        self.kind = kind
        self.passing = passes(cable, index)

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides on which its glass can end here: both where it passes."""
        return ("<", ">") if self.passing else ((">",) if self.index == 0 else ("<",))

    @cached_property
    def cut(self) -> frozenset[int]:
        """Fibres that end here: those cut, or all at an end of the cable."""
        return cut_fibres(self.kind, self.stop) if self.passing else frozenset(range(1, self.kind.fibre_count + 1))

    @cached_property
    def loops(self) -> tuple[int, ...]:
        """Uncut fibres of opened tubes."""
        return looped_fibres(self.kind, self.stop) if self.passing else ()

    @property
    def express(self) -> tuple[int, ...]:
        """Tubes that pass unopened."""
        if not self.passing:
            return ()
        worked = {work.tube for work in self.stop.tubes}
        return tuple(tube for tube in range(1, len(self.kind.tubes) + 1) if tube not in worked)

    @property
    def legs(self) -> tuple[tuple[Side, str], ...]:
        """(side, entry name) of every leg of sheath here."""
        if self.passing:
            return ("<", self.stop.entry_in), (">", self.stop.entry_out)
        side = self.sides[0]
        own = self.stop.entry_out if side == ">" else self.stop.entry_in
        return ((side, own or self.stop.entry_in or self.stop.entry_out),)

    def node(self, fibre: int, side: str) -> str:
        """Graph node of a fibre's end here."""
        return f"{self.cable.id}:{fibre}@{self.stop.id}{side}"


def _users(plant: Plant) -> dict[str, tuple[Splice | Mating, ...]]:
    found: dict[str, tuple[Splice | Mating, ...]] = {}
    for splice in plant.splices.values():
        for node in dict.fromkeys((end_node(splice.a), end_node(splice.b))):
            found[node] = (*found.get(node, ()), splice)
    for mating in plant.matings.values():
        node = end_node(mating.end)
        found[node] = (*found.get(node, ()), mating)
    return found


def _rings(continuity: Continuity) -> Rings:
    return Rings(continuity.graph)


def _losses(plant: Plant) -> GlassLosses:
    return {}


def _services_at(plant: Plant) -> dict[SiteId, list[Service]]:
    found: dict[SiteId, list[Service]] = {}
    for service in plant.services.values():
        if service.status != "ceased":
            found.setdefault(plant.ports[service.at].site, []).append(service)
    return found


def _splices_at(plant: Plant) -> dict[SiteId, list[Splice]]:
    found: dict[SiteId, list[Splice]] = {}
    for splice in plant.splices.values():
        found.setdefault(splice.site, []).append(splice)
    return found


def _matings_at(plant: Plant) -> dict[SiteId, list[Mating]]:
    found: dict[SiteId, list[Mating]] = {}
    for mating in plant.matings.values():
        port = plant.ports.get(mating.port)
        if port is not None:
            found.setdefault(port.site, []).append(mating)
    return found


def _cables_at(plant: Plant) -> dict[SiteId, list[Here]]:
    found: dict[SiteId, list[Here]] = {}
    for cable in sorted(plant.cables.values(), key=lambda c: (c.name, c.id)):
        kind = plant.cable_types[cable.type]
        for index, stop in enumerate(cable.stops):
            found.setdefault(stop.site, []).append(Here(cable, index, kind))
    return found


def _stop_sites(plant: Plant) -> dict[str, SiteId]:
    return {stop.id: stop.site for cable in plant.cables.values() for stop in cable.stops}


def _kinds(plant: Plant) -> dict[str, tuple[CableType, int]]:
    """Cable type and fibre count of every cable."""
    kinds = {key: (kind, kind.fibre_count) for key, kind in plant.cable_types.items()}
    return {cable.id: kinds[cable.type] for cable in plant.cables.values()}


class Facts:
    """Facts of a whole plant."""

    def __init__(self, plant: Plant, continuity: Continuity | None = None) -> None:
        self.plant = plant
        self._continuity = continuity

    @cached_property
    def continuity(self) -> Continuity:
        """The graph; the one given, or built now."""
        return self._continuity if self._continuity is not None else Continuity(self.plant)

    @cached_property
    def users(self) -> dict[str, tuple[Splice | Mating, ...]]:
        """What uses each end of glass, by node."""
        return self.plant.kept(_users, "splices", "matings")

    @cached_property
    def services(self) -> dict[str, tuple[str, ...]]:
        """Services carried, by node."""
        return services_by_node(self.continuity)

    @cached_property
    def rings(self) -> Rings:
        """Which light paths close on themselves."""
        return self.continuity.kept(_rings)

    @cached_property
    def losses(self) -> GlassLosses:
        """Losses of pieces of glass already worked out; to be added to."""
        return self.plant.kept(_losses, "cables", "cable_types")

    @cached_property
    def services_at(self) -> dict[SiteId, list[Service]]:
        """Services not ceased by the site of their port."""
        return self.plant.kept(_services_at, "services", "ports")

    @cached_property
    def splices_at(self) -> dict[SiteId, list[Splice]]:
        """Splices by the site they are recorded at."""
        return self.plant.kept(_splices_at, "splices")

    @cached_property
    def matings_at(self) -> dict[SiteId, list[Mating]]:
        """Plugs by the site of their port."""
        return self.plant.kept(_matings_at, "matings", "ports")

    @cached_property
    def cables_at(self) -> dict[SiteId, list[Here]]:
        """Cables by the sites they stop at, by name."""
        return self.plant.kept(_cables_at, "cables", "cable_types")

    @cached_property
    def stop_sites(self) -> dict[str, SiteId]:
        """Site of every stop."""
        return self.plant.kept(_stop_sites, "cables")

    @cached_property
    def _kinds(self) -> dict[str, tuple[CableType, int]]:
        return self.plant.kept(_kinds, "cables", "cable_types")

    @staticmethod
    def node(end: GlassEnd) -> str:
        """Graph node of an end of glass."""
        return end_node(end)

    def end_name(self, end: GlassEnd) -> str:
        """An end of glass in words: cable and fibre number, or splitter and leg."""
        if isinstance(end, FibreEnd):
            cable = self.plant.cables.get(end.cable)
            return f"{cable.name if cable else end.cable}:{end.fibre}"
        splitter = self.plant.splitters.get(end.splitter)
        return f"{splitter.name if splitter else end.splitter} {end.role} {end.number}"

    def end_kind(self, end: GlassEnd) -> CableType | None:
        """Cable type of a fibre end that its cable has; None for legs and for numbers beyond the count."""
        if not isinstance(end, FibreEnd):
            return None
        found = self._kinds.get(end.cable)
        return found[0] if found is not None and 1 <= end.fibre <= found[1] else None


class Context:
    """Facts of one site, each computed once."""

    def __init__(self, facts: Facts, site: SiteId) -> None:
        self.facts = facts
        self.plant = facts.plant
        self.site = site

    @property
    def name(self) -> str:
        """The site's name."""
        return self.plant.sites[self.site].name

    @cached_property
    def enclosures(self) -> tuple[Enclosure, ...]:
        """Enclosures here, by name."""
        return enclosures_at(self.plant, self.site)

    @property
    def main(self) -> Enclosure | None:
        """The enclosure that the cables of this site enter: the first by name."""
        return self.enclosures[0] if self.enclosures else None

    @cached_property
    def cables(self) -> tuple[Here, ...]:
        """Cables stopping here."""
        return tuple(self.facts.cables_at.get(self.site, ()))

    @cached_property
    def sheaths(self) -> tuple[Here, ...]:
        """Cables whose sheath comes into the box here: all but cords and pigtails, which stay inside."""
        return tuple(here for here in self.cables if not stays_inside(here.cable))

    @cached_property
    def stops(self) -> dict[str, Here]:
        """Cables stopping here, by the id of the stop."""
        return {here.stop.id: here for here in self.cables}

    @cached_property
    def trays(self) -> tuple[Tray, ...]:
        """Trays of the enclosures here, by enclosure and position."""
        return tuple(tray for enclosure in self.enclosures for tray in trays_of(self.plant, enclosure.id))

    @cached_property
    def loads(self) -> tuple[TrayLoad, ...]:
        """What lies on each tray."""
        return tuple(tray_load(self.plant, tray) for tray in self.trays)

    @cached_property
    def splices(self) -> tuple[Splice, ...]:
        """Splices recorded here, by tray, slot and id."""
        return tuple(sorted(self.facts.splices_at.get(self.site, ()), key=lambda s: (s.tray or "", s.slot or 0, s.id)))

    @cached_property
    def read(self) -> tuple[tuple[Splice, tuple[At, ...]], ...]:
        """Splices here that were measured, each with what counts of its readings."""
        return tuple((splice, read_at(splice)) for splice in self.splices if splice.measured)

    @cached_property
    def pairs(self) -> dict[tuple[str, str], list[tuple[FibreEnd, FibreEnd, Splice]]]:
        """Splices between two different cables whose fibres exist, by the cables' ids."""
        pairs: dict[tuple[str, str], list[tuple[FibreEnd, FibreEnd, Splice]]] = {}
        for splice in self.splices:
            a, b = splice.a, splice.b
            if isinstance(a, FibreEnd) and isinstance(b, FibreEnd) and a.cable != b.cable:
                if (b.cable, a.cable) in pairs:
                    a, b = b, a
                if self.facts.end_kind(a) and self.facts.end_kind(b):
                    pairs.setdefault((a.cable, b.cable), []).append((a, b, splice))
        return pairs

    @cached_property
    def matings(self) -> tuple[Mating, ...]:
        """Plugs in ports of this site."""
        return tuple(sorted(self.facts.matings_at.get(self.site, ()), key=lambda m: m.id))

    @cached_property
    def uses(self) -> tuple[tuple[Splice | Mating, GlassEnd], ...]:
        """Every use of an end of glass here, with the end."""
        spliced = [(splice, end) for splice in self.splices for end in (splice.a, splice.b)]
        return (*spliced, *((mating, mating.end) for mating in self.matings))

    @cached_property
    def drawn(self) -> tuple[Drawn, ...]:
        """Routes in the enclosures here with their courses."""
        return tuple(item for enclosure in self.enclosures for item in self.drawn_in(enclosure))

    def drawn_in(self, enclosure: Enclosure) -> tuple[Drawn, ...]:
        """Routes of one enclosure with their courses."""
        return self._by_enclosure[enclosure.id]

    @cached_property
    def _by_enclosure(self) -> dict[str, tuple[Drawn, ...]]:
        return {enclosure.id: drawn_routes(self.plant, enclosure.id) for enclosure in self.enclosures}

    @cached_property
    def tube_runs(self) -> tuple[TubeRun, ...]:
        """Opened and cut tubes, in the main enclosure."""
        return tuple(tube_runs(self.plant, self.main, self.drawn_in(self.main))) if self.main else ()

    @cached_property
    def express_runs(self) -> tuple[ExpressRun, ...]:
        """Uncut tubes in slack bays, in the main enclosure."""
        return tuple(express_runs(self.plant, self.main, self.drawn_in(self.main))) if self.main else ()

    @cached_property
    def drop_runs(self) -> tuple[DropRun, ...]:
        """Cables ending here, in the main enclosure."""
        return tuple(drop_runs(self.plant, self.main, self.drawn_in(self.main))) if self.main else ()

    @cached_property
    def entries(self) -> dict[str, Entry]:
        """Entries of the main enclosure by name."""
        return {e.name: e for e in self.plant.enclosure_types[self.main.type].entries} if self.main else {}

    @cached_property
    def in_entry(self) -> dict[str, tuple[Here, ...]]:
        """Cables by the name of the entry they use; the empty name holds those that have none."""
        found: dict[str, tuple[Here, ...]] = {}
        for here in self.sheaths:
            for _, name in here.legs:
                found[name] = (*found.get(name, ()), here)
        return found

    @cached_property
    def budgets(self) -> tuple[ServiceBudget, ...]:
        """Budgets of the services whose port is here, by name."""
        mine = self.facts.services_at.get(self.site, ())
        return tuple(
            budget(self.facts.continuity, s.id, memo=self.facts.losses)
            for s in sorted(mine, key=lambda s: (s.name, s.id))
        )
