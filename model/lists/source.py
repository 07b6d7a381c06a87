"""What every list asks of a plant, looked up once: services by glass, joints by site, ends in use, pieces of a cable.

A source stays true only until its plant changes; make a new one then. Indexes only, no words and no lengths.
"""

from __future__ import annotations

from functools import cached_property

from model.entities import Cable, Enclosure, FibreEnd, Mating, Port, Side, Splice
from model.glass import Piece, pieces
from model.graph import Continuity, end_node
from model.ids import PortId, SiteId
from model.layout import Drawn, drawn_routes
from model.lookup import cable_type, cut_fibres, passes
from model.optics.budget import Bends
from model.optics.drawn import drawn_bends
from model.trace import services_by_node


class Source:
    """A plant's continuity with the indexes lists need."""

    def __init__(self, continuity: Continuity) -> None:
        self.continuity = continuity
        self.plant = continuity.plant
        self._pieces: dict[str, dict[int, tuple[Piece, ...]]] = {}
        self._cut: dict[tuple[str, int], frozenset[int]] = {}
        self._drawn: dict[str, tuple[Drawn, ...]] = {}

    @cached_property
    def services(self) -> dict[str, tuple[str, ...]]:
        """Ids of the services not ceased that a node carries, by name."""
        return services_by_node(self.continuity)

    @cached_property
    def splices_at(self) -> dict[SiteId, list[Splice]]:
        """Splices by site."""
        found: dict[SiteId, list[Splice]] = {}
        for splice in self.plant.splices.values():
            found.setdefault(splice.site, []).append(splice)
        return found

    @cached_property
    def users(self) -> dict[str, tuple[Splice | Mating, ...]]:
        """What is joined to each end of glass, by node."""
        found: dict[str, tuple[Splice | Mating, ...]] = {}
        for splice in self.plant.splices.values():
            for node in dict.fromkeys((end_node(splice.a), end_node(splice.b))):
                found[node] = (*found.get(node, ()), splice)
        for mating in self.plant.matings.values():
            node = end_node(mating.end)
            found[node] = (*found.get(node, ()), mating)
        return found

    @cached_property
    def faces(self) -> dict[tuple[str, str], tuple[Mating, ...]]:
        """What is plugged into each face of a port."""
        found: dict[tuple[str, str], tuple[Mating, ...]] = {}
        for mating in self.plant.matings.values():
            key = (mating.port, mating.face)
            found[key] = (*found.get(key, ()), mating)
        return found

    def pieces(self, cable: Cable) -> dict[int, tuple[Piece, ...]]:
        """Pieces of glass of a cable by fibre, from the exchange outward."""
        if cable.id not in self._pieces:
            found: dict[int, tuple[Piece, ...]] = {}
            for piece in pieces(cable, cable_type(self.plant, cable)):
                found[piece.fibre] = (*found.get(piece.fibre, ()), piece)
            self._pieces[cable.id] = found
        return self._pieces[cable.id]

    @cached_property
    def ports_at(self) -> dict[SiteId, list[Port]]:
        """Ports by site, by panel and number."""
        found: dict[SiteId, list[Port]] = {}
        for port in sorted(self.plant.ports.values(), key=lambda p: (p.panel, p.number, p.id)):
            found.setdefault(port.site, []).append(port)
        return found

    @cached_property
    def services_at(self) -> dict[PortId, list[str]]:
        """Ids of the services not ceased by their port."""
        found: dict[PortId, list[str]] = {}
        for service in self.plant.services.values():
            if service.status != "ceased":
                found.setdefault(service.at, []).append(service.id)
        return found

    @cached_property
    def boxes(self) -> dict[SiteId, list[Enclosure]]:
        """Enclosures by site, by name."""
        found: dict[SiteId, list[Enclosure]] = {}
        for box in sorted(self.plant.enclosures.values(), key=lambda e: (e.name, e.id)):
            found.setdefault(box.site, []).append(box)
        return found

    @cached_property
    def bends(self) -> Bends:
        """The bends that the drawn routes put on each piece of glass."""
        return drawn_bends(self.plant)

    def drawn(self, enclosure: Enclosure) -> tuple[Drawn, ...]:
        """The routes of an enclosure with their courses."""
        if enclosure.id not in self._drawn:
            self._drawn[enclosure.id] = drawn_routes(self.plant, enclosure.id)
        return self._drawn[enclosure.id]

    def piece_on(self, cable: Cable, fibre: int, span: int) -> Piece:
        """The piece of a fibre that lies along a span, counted by the index of the stop it begins at."""
        return next(piece for piece in self.pieces(cable)[fibre] if piece.first <= span < piece.last)

    def carried(self, cable: Cable, fibre: int, index: int) -> tuple[str, ...]:
        """Ids of the services a fibre carries at a stop, on either side of a cut there."""
        spans = (index - 1, index) if fibre in self.cut(cable, index) else (max(index - 1, 0),)
        found: dict[str, None] = {}
        for span in spans:
            first, _ = self.piece_on(cable, fibre, span).ends(cable)
            found.update(dict.fromkeys(self.services.get(end_node(first), ())))
        return tuple(found)

    def live(self, cable: Cable, fibres: tuple[int, ...], index: int) -> tuple[str, ...]:
        """Names of the live services that fibres carry at a stop, each once, in the order of the fibres."""
        ids = dict.fromkeys(service for fibre in fibres for service in self.carried(cable, fibre, index))
        return tuple(self.plant.services[key].name for key in ids if self.plant.services[key].status == "live")

    def cut(self, cable: Cable, index: int) -> frozenset[int]:
        """Fibres cut at a stop where the cable passes; none at its ends."""
        key = (cable.id, index)
        if key not in self._cut:
            through = passes(cable, index)
            self._cut[key] = cut_fibres(cable_type(self.plant, cable), cable.stops[index]) if through else frozenset()
        return self._cut[key]

    def joined(self, cable: Cable, fibre: int, index: int, side: Side) -> bool:
        """Whether something is spliced or plugged to a fibre's end at a stop."""
        return end_node(FibreEnd(cable.id, fibre, cable.stops[index].id, side)) in self.users

    def names(self, services: tuple[str, ...]) -> tuple[str, ...]:
        """Names of services."""
        return tuple(self.plant.services[key].name for key in services)
