"""Changing places: joints of two slots, and two trays of an enclosure with the courses that end on them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from model.changes import Draft
from model.edits.joining import require_tray
from model.entities import Route, Splice, Support, Tray
from model.errors import EditError
from model.geometry.errors import GeometryError
from model.ids import SpliceId, TrayId
from model.layout import course_of
from model.lookup import enclosure_type

SHRINK = 0.9
"""A fillet that no longer fits after a tray has moved is made smaller by this factor until it does."""
TRIES = 30


@dataclass(frozen=True, slots=True)
class SwapSlots:
    """Let the joints of two slots change places, pair by pair: each pair holds the joints of one slot and of another.

    Raises EditError for a joint that is gone or has no slot, or when a tray is not at the joint's site.
    """

    pairs: tuple[tuple[tuple[SpliceId, ...], tuple[SpliceId, ...]], ...]
    name: str = "swap joints"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        for one, other in self.pairs:
            here, there = ([self._joint(draft, key) for key in keys] for keys in (one, other))
            for moving, slot in ((here, there[0]), (there, here[0])):
                for splice in moving:
                    if slot.tray is not None:
                        require_tray(draft, slot.tray, splice.site)
                    draft.put(replace(splice, tray=slot.tray, slot=slot.slot))

    def _joint(self, draft: Draft, key: SpliceId) -> Splice:
        splice = draft.plant.splices.get(key)
        if splice is None or splice.slot is None:
            raise EditError(f"there is no joint {key!r} in a slot", hint="It may have been taken apart or moved")
        return splice


@dataclass(frozen=True, slots=True)
class SwapTrays:
    """Let two trays of an enclosure change positions; what lies on them stays, and courses to them follow.

    The end of a course goes with its tray, and so do the corners in line with it; the rest keeps its place. A fillet
    that no longer fits is made smaller, which the rules on bends then judge. Raises EditError for trays of different
    enclosures, and for a course that cannot follow.
    """

    one: TrayId
    other: TrayId
    name: str = "swap trays"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        plant = draft.plant
        trays = [self._tray(draft, key) for key in (self.one, self.other)]
        if trays[0].enclosure != trays[1].enclosure:
            raise EditError(
                f"trays {trays[0].name} and {trays[1].name} are in different boxes", hint="Move the joints instead"
            )
        kind = enclosure_type(plant, plant.enclosures[trays[0].enclosure])
        places = {place.number: (place.x_mm, place.y_mm) for place in kind.tray_positions}
        for tray, new in ((trays[0], trays[1]), (trays[1], trays[0])):
            start, end = places.get(tray.position), places.get(new.position)
            draft.put(replace(tray, position=new.position))
            if start is None or end is None or start == end:
                continue
            for route in [r for r in draft.plant.routes.values() if r.tray == tray.id]:
                draft.put(followed(route, end[0] - start[0], end[1] - start[1]))

    def _tray(self, draft: Draft, key: TrayId) -> Tray:
        tray = draft.plant.trays.get(key)
        if tray is None:
            raise EditError(f"there is no tray {key!r}", hint="It may have been removed")
        return tray


def followed(route: Route, dx_mm: float, dy_mm: float) -> Route:
    """A route whose end has moved by (dx, dy), millimetres, its corners in line with the end moved across that line.

    Raises EditError when no fillets make it a course.
    """
    last = route.supports[-1]
    level = last.heading_deg is not None and abs(last.heading_deg % 180.0) < 1e-6
    upright = last.heading_deg is not None and abs(last.heading_deg % 180.0 - 90.0) < 1e-6
    lined: Callable[[Support], bool] = (
        (lambda s: abs(s.y_mm - last.y_mm) < 1e-6)
        if level
        else (lambda s: abs(s.x_mm - last.x_mm) < 1e-6)
        if upright
        else lambda _: False
    )
    supports = [*route.supports[:-1], _moved(last, dx_mm, dy_mm)]
    at = len(supports) - 2
    while at > 0 and supports[at].kind == "corner" and lined(supports[at]):
        corner = supports[at]
        supports[at] = _moved(corner, 0.0, dy_mm) if level else _moved(corner, dx_mm, 0.0)
        at -= 1
    for _ in range(TRIES):
        found = replace(route, supports=tuple(supports))
        try:
            course_of(found)
        except GeometryError:
            supports = [*supports[: max(at, 0)], *(_smaller(support) for support in supports[max(at, 0) :])]
        else:
            return found
    raise EditError(f"a course to tray {route.tray} cannot follow it", hint="Remove the course, then draft it anew")


def _moved(support: Support, dx_mm: float, dy_mm: float) -> Support:
    """A support moved, to the digits a file keeps."""
    return replace(support, x_mm=round(support.x_mm + dx_mm, 6), y_mm=round(support.y_mm + dy_mm, 6))


def _smaller(support: Support) -> Support:
    return replace(support, radius_mm=round(support.radius_mm * SHRINK, 6)) if support.kind == "corner" else support
