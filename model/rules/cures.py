"""Cures that draw: each answers with proposals, lists of edits done as one step, and with none where no draft fits.

Rules ask here only when they have found something, so that a clean plant costs nothing. Millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from model.edits.parts import Replace
from model.edits.routing import DrawRoute
from model.entities import Cable, Stop
from model.errors import EditError
from model.geometry.errors import GeometryError
from model.history import Edit
from model.layout import TubeRun
from model.missing import Place, place_of, places, undrawn_end
from model.plant import Plant
from model.redrafting import as_drafted, draft_all, draft_legs, draft_through, draft_tubes, draft_uncut, tune_opened
from model.redrafting_ends import draft_end

Cures = tuple[tuple[Edit, ...], ...]


def _tried(make: Callable[[], Iterable[Edit]]) -> Cures:
    try:
        edits = tuple(make())
    except (EditError, GeometryError):
        return ()
    return (edits,) if edits else ()


def _news(plant: Plant, edits: Iterable[Edit]) -> list[Edit]:
    """The edits without courses that are drawn so already: a cure that changes nothing is none."""
    return [e for e in edits if not (isinstance(e, DrawRoute) and plant.routes.get(e.route.id) == e.route)]


def drawn_again(plant: Plant, stop_id: str, tubes: Iterable[int] = (), tray: str | None = None) -> Cures:
    """Draft what the tubes of a passing stop lack, and take away courses that are no longer true."""
    place = place_of(plant, stop_id)
    if place is None:
        return ()
    own = plant.table("trays").get(tray) if tray else None
    whole = _tried(lambda: _news(plant, draft_tubes(place, tubes, own)))
    return whole or _tried(lambda: _news(plant, draft_through(place)))


def legs(plant: Plant, stop_id: str) -> Cures:
    """Draft the missing legs of sheath of a cable here."""
    place = place_of(plant, stop_id)
    return _tried(lambda: draft_legs(place)) if place else ()


def end(plant: Plant, stop_id: str, tray: str | None = None) -> Cures:
    """Draft a cable that ends here to its tray, or to one said, with its leg where that is missing."""
    place = place_of(plant, stop_id)
    own = plant.table("trays").get(tray) if tray else None
    return _tried(lambda: [*draft_legs(place), *draft_end(place, own)]) if place else ()


def everything(plant: Plant, site: str) -> Cures:
    """Draft all that is missing at a site."""
    return _tried(lambda: [replace(edit, name="draft everything") for edit in draft_all(plant, site)[0]])  # type: ignore[type-var]


def undrawn_ends(plant: Plant, site: str) -> list[Place]:
    """Cables in an entry here that end here and have no course to a tray."""
    return [place for place in places(plant, site) if place.entries and undrawn_end(place)]


def _changed(cable: Cable, stop_id: str, **values: float) -> Cable:
    stops = tuple(replace(s, **values) if s.id == stop_id else s for s in cable.stops)  # type: ignore[arg-type]
    return replace(cable, stops=stops)


def _with_opening(plant: Plant, stop: Stop, cable: Cable, opening_mm: float) -> list[Edit]:
    """The field-side mark set to an opening; uncut tubes that lie as drafted are drafted anew for it."""
    if stop.mark_in_m is None or stop.mark_out_m is None:
        return []
    way = 1.0 if stop.mark_out_m >= stop.mark_in_m else -1.0
    mark = round(stop.mark_in_m + way * opening_mm / 1000.0, 4)
    changed = _changed(cable, stop.id, mark_out_m=mark)
    edits: list[Edit] = [Replace(changed, f"open {cable.name} {opening_mm:.0f} mm")]
    place = place_of(plant, stop.id)
    if place is not None and as_drafted(place):
        after = Plant([changed if e is cable else e for e in plant.entities()])
        try:
            edits += draft_uncut(replace(place, plant=after, cable=changed))
        except EditError:
            return []
    return edits


def opening(plant: Plant, cable: Cable, stop: Stop, opening_mm: float) -> Cures:
    """Open the sheath by another length: the field-side mark changes, uncut tubes follow."""
    return _tried(lambda: _with_opening(plant, stop, cable, opening_mm))


def lanes_or_mark(plant: Plant, cable: Cable, stop: Stop, drawn_mm: float) -> Cures:
    """Draft the uncut tubes for the opening by the marks, or set the mark to the opening as drawn."""
    place = place_of(plant, stop.id)
    lane = _tried(lambda: _news(plant, draft_uncut(place))) if place else ()
    if stop.mark_in_m is None or stop.mark_out_m is None:
        return lane
    way = 1.0 if stop.mark_out_m >= stop.mark_in_m else -1.0
    mark = round(stop.mark_in_m + way * drawn_mm / 1000.0, 4)
    changed = _changed(cable, stop.id, mark_out_m=mark)
    return (*lane, (Replace(changed, f"open {cable.name} {drawn_mm:.0f} mm"),))


def bare(plant: Plant, run: TubeRun, bare_mm: float) -> Cures:
    """Bring an opened tube's bare fibre to a length: by the opening, or by the lane its tube takes in the bay."""
    if run.opening_mm is None or run.bare_mm is None:
        return ()
    work = next((w for w in run.stop.tubes if w.tube == run.tube), None)
    if work is not None and work.cut_at_mm is not None:
        return ()
    place, tray, tubes_mm = place_of(plant, run.stop.id), run.tray, run.opening_mm - bare_mm
    lane: Cures = ()
    if place is not None and tray is not None:
        lane = _tried(lambda: tune_opened(place, run.tube, tray, tubes_mm))
    if len(run.stop.tubes) > 1:
        return lane  # another opening would only send the other tubes off
    return (*opening(plant, run.cable, run.stop, run.opening_mm + bare_mm - run.bare_mm), *lane)


def strip(cable: Cable, stop: Stop, needed_mm: float) -> Cures:
    """Strip as much jacket as the course needs."""
    return ((Replace(_changed(cable, stop.id, strip_mm=float(round(needed_mm))), f"strip {cable.name}"),),)


__all__ = [
    "bare",
    "drawn_again",
    "end",
    "everything",
    "lanes_or_mark",
    "legs",
    "opening",
    "strip",
    "undrawn_ends",
]
