"""Which tray glass is drawn to, and courses drafted anew after planned work, so that a proposal leaves a true drawing.

Only where the enclosure is drawn already; what cannot be drafted is said, not raised.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from model.changes import Draft
from model.entities import FibreEnd, Side
from model.errors import EditError
from model.history import Edit
from model.ids import TrayId
from model.lookup import cable_type, enclosure_at, fibres_of, passes, stops_at
from model.missing import place_of
from model.plant import Plant
from model.redrafting import draft_tubes


def applied(plant: Plant, edits: Sequence[Edit]) -> Plant:
    """The plant as the edits would leave it; raises EditError when they cannot be done in their order."""
    draft = Draft(plant)
    for edit in edits:
        edit.write(draft)
    return draft.plant


def drawn_to(plant: Plant, site: str) -> dict[FibreEnd, TrayId]:
    """The tray that each fibre end at a site is drawn to, of tubes and drops alike; ends not drawn are left out."""
    box = enclosure_at(plant, site)
    found: dict[FibreEnd, TrayId] = {}
    if box is None:
        return found
    routes = [r for r in plant.routes.values() if r.enclosure == box.id and r.tray in plant.trays]
    by_stop = {stop.id: (cable, index) for cable, index, stop in stops_at(plant, site)}
    for route in sorted(routes, key=lambda r: r.id):
        for key in route.stops:
            if key not in by_stop or route.tray is None or route.kind == "sheath":
                continue
            cable, index = by_stop[key]
            kind = cable_type(plant, cable)
            side: Side = route.side or (">" if index == 0 else "<")
            if route.kind == "bundle":
                fibres: Iterable[int] = range(1, kind.fibre_count + 1)
            elif passes(cable, index) and not route.side:
                continue
            else:
                fibres = (f for tube in route.tubes if tube <= len(kind.tubes) for f in fibres_of(kind, tube))
            for fibre in fibres:
                found.setdefault(FibreEnd(cable.id, fibre, key, side), route.tray)
    return found


def redrawn(plant: Plant, site: str, stop: str, edits: Sequence[Edit]) -> tuple[list[Edit], list[str]]:
    """(edits that draft the tubes of a stop anew after ``edits``, what could not be drafted)."""
    box = enclosure_at(plant, site)
    if box is None or not any(route.enclosure == box.id for route in plant.routes.values()):
        return [], []
    place = place_of(applied(plant, edits), stop)
    if place is None:
        return [], []
    try:
        return draft_tubes(place), []
    except EditError as fault:
        return [], [f"the courses have to be drawn by hand: {fault}"]
