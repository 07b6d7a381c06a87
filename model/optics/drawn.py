"""The bends that drawn routes and trays put on each piece of glass, for the bend item of a budget.

Radii in millimetres and sweeps in radians, as drawn: tubes from sheath end to tray, drops to their tray, fibres on
their track and into their slot, uncut tubes in the slack bay. The bends of a whole sheath are left out: no published
limit of a fibre class speaks of radii that wide. Glass whose route or tray course cannot be drawn has no bends here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from model.entities import Cable, FibreEnd, Side, Stop
from model.geometry.course import Course
from model.glass import Piece, pieces
from model.graph import end_node
from model.layout import Drawn, drawn_routes
from model.lookup import cut_fibres, enclosures_at, fibres_of, find_stop, passes, trays_of
from model.plant import Plant
from model.traypath import stored_courses

Arcs = list[tuple[float, float]]


def arcs_of(course: Course) -> Arcs:
    """(radius mm, sweep rad) of every bend of a course."""
    return [(bend.radius_mm, abs(bend.sweep_rad)) for bend in course.bends()]


def drawn_bends(plant: Plant, site: str = "") -> dict[str | Piece, Arcs]:
    """Bends under the node of each fibre end that lies in an enclosure, and under each piece that passes one uncut.

    Of the enclosures of one site only, if one is named: what a piece has at several it is then known by place.
    """
    found: defaultdict[str | Piece, Arcs] = defaultdict(list)
    glass = _Glass(plant)
    for enclosure in enclosures_at(plant, site) if site else plant.enclosures.values():
        for item in drawn_routes(plant, enclosure.id):
            if item.course is not None and item.route.kind != "sheath":
                arcs = arcs_of(item.course)
                for place in glass.carried(item):
                    found[place].extend(arcs)
        for tray in trays_of(plant, enclosure.id):
            for stored in stored_courses(plant, tray):
                if stored.course is None:
                    continue
                arcs = arcs_of(stored.course)
                for end in stored.ends:
                    if isinstance(end, FibreEnd):
                        lies = glass.through(end) if stored.what == "loop" else end_node(end)
                        if lies is not None:
                            found[lies].extend(arcs)
    return dict(found)


class _Glass:
    """Which piece of a fibre passes a stop, looked up cable by cable."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self._pieces: dict[str, dict[int, list[Piece]]] = {}

    def _of(self, cable: Cable) -> dict[int, list[Piece]]:
        known = self._pieces.get(cable.id)
        if known is None:
            known = self._pieces[cable.id] = {}
            for piece in pieces(cable, self.plant.cable_types[cable.type]):
                known.setdefault(piece.fibre, []).append(piece)
        return known

    def passing(self, cable: Cable, index: int, fibre: int) -> Piece | None:
        """The piece of a fibre that runs through a stop uncut."""
        return next((p for p in self._of(cable).get(fibre, ()) if p.first < index < p.last), None)

    def through(self, end: FibreEnd) -> Piece | None:
        """The piece that loops through at the stop of an end."""
        cable, index = find_stop(self.plant, end.stop)
        return self.passing(cable, index, end.fibre)

    def carried(self, item: Drawn) -> Iterable[str | Piece]:
        """The ends and pieces whose glass lies in a route."""
        route = item.route
        for stop_id in route.stops:
            cable, index = find_stop(self.plant, stop_id)
            stop: Stop = cable.stops[index]
            kind = self.plant.cable_types[cable.type]
            if not passes(cable, index):
                side: Side = ">" if index == 0 else "<"
                for fibre in range(1, kind.fibre_count + 1):
                    yield end_node(FibreEnd(cable.id, fibre, stop.id, side))
                continue
            cut = cut_fibres(kind, stop)
            for fibre in (f for tube in route.tubes for f in fibres_of(kind, tube)):
                if fibre not in cut:
                    piece = self.passing(cable, index, fibre)
                    if piece is not None:
                        yield piece
                elif route.side:
                    yield end_node(FibreEnd(cable.id, fibre, stop.id, route.side))
