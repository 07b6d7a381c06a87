"""Drawing and moving routes inside an enclosure, plugging entries and anchoring strength members."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite

from model.changes import Draft
from model.edits.cutting import put_stop
from model.entities import Route, Support
from model.errors import EditError
from model.ids import CableId, EnclosureId, RouteId, StopId

FAR_MM = 10_000.0
"""No support lies farther out than this; a larger number is a slip."""


def check_support(support: Support) -> None:
    """Raises EditError for a support whose numbers cannot be drawn."""
    numbers = (support.x_mm, support.y_mm, support.radius_mm, support.level_mm, support.heading_deg or 0.0)
    if not all(isfinite(n) and abs(n) <= FAR_MM for n in numbers):
        raise EditError("a support lies out of bounds", hint=f"Keep it within {FAR_MM:.0f} mm")
    if support.radius_mm < 0 or (support.kind == "wrap" and support.radius_mm == 0):
        raise EditError("a support's radius must be above zero", hint="Give the radius in millimetres")
    if not 0 <= support.turns <= 50:
        raise EditError(f"{support.turns} turns at one support", hint="Between 0 and 50")


@dataclass(frozen=True, slots=True)
class DrawRoute:
    """Add a route, or replace the one with its id."""

    route: Route
    name: str = "draw route"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError for fewer than two supports or numbers out of bounds."""
        supports = self.route.supports
        if len(supports) < 2 or supports[0].kind != "anchor" or supports[-1].kind != "anchor":
            raise EditError("a route starts and ends at an anchored point", hint="Give both ends")
        for support in supports:
            check_support(support)
        if any(support.kind == "anchor" for support in supports[1:-1]):
            raise EditError("a route is anchored only at its two ends", hint="Use a corner or a wrap between them")
        plant = draft.plant
        if self.route.enclosure not in plant.enclosures:
            raise EditError(f"there is no enclosure {self.route.enclosure!r}", hint="Add the enclosure first")
        if self.route.tray is not None and self.route.tray not in plant.trays:
            raise EditError(f"there is no tray {self.route.tray!r}", hint="Add the tray first")
        site = plant.enclosures[self.route.enclosure].site
        here = {stop.id for cable in plant.cables.values() for stop in cable.stops if stop.site == site}
        strange = [stop for stop in self.route.stops if stop not in here]
        if strange:
            raise EditError(f"no cable has a stop {strange[0]!r} at this enclosure", hint="Name a stop of its site")
        draft.put(self.route)


@dataclass(frozen=True, slots=True)
class SetSupport:
    """Replace one support of a route: a corner dragged, a radius typed, a side or turns changed."""

    route: RouteId
    index: int
    support: Support
    name: str = "move support"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if there is no such route or support."""
        route = draft.plant.routes.get(self.route)
        if route is None or not 0 <= self.index < len(route.supports):
            raise EditError(f"route {self.route!r} has no support {self.index}", hint="It may have been removed")
        check_support(self.support)
        supports = (*route.supports[: self.index], self.support, *route.supports[self.index + 1 :])
        DrawRoute(replace(route, supports=supports)).write(draft)


@dataclass(frozen=True, slots=True)
class SetPlugs:
    """Say which entries of an enclosure are closed by a plug."""

    enclosure: EnclosureId
    entries: tuple[str, ...]
    name: str = "plug entries"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError for an entry the enclosure lacks."""
        enclosure = draft.plant.enclosures.get(self.enclosure)
        if enclosure is None:
            raise EditError(f"there is no enclosure {self.enclosure!r}", hint="Add the enclosure first")
        names = [entry.name for entry in draft.plant.enclosure_types[enclosure.type].entries]
        wrong = [name for name in self.entries if name not in names]
        if wrong:
            raise EditError(f"{enclosure.name} has no entry {wrong[0]}", hint="It has " + ", ".join(names))
        draft.put(replace(enclosure, plugged=tuple(sorted(set(self.entries)))))


@dataclass(frozen=True, slots=True)
class Hold:
    """Set how a cable is held at a stop: strength member anchored on either side, armour bonded."""

    cable: CableId
    stop: StopId
    anchored_in: bool | None = None
    anchored_out: bool | None = None
    bonded: bool | None = None
    name: str = "hold cable"

    def write(self, draft: Draft) -> None:
        """Write into the draft; raises EditError if the cable has no such stop."""
        cable = draft.plant.cables.get(self.cable)
        index = next((i for i, s in enumerate(cable.stops) if s.id == self.stop), None) if cable else None
        if cable is None or index is None:
            raise EditError(f"{self.cable!r} has no stop {self.stop!r}", hint="It may have been removed")
        stop = cable.stops[index]
        put_stop(
            draft,
            cable,
            index,
            replace(
                stop,
                anchored_in=stop.anchored_in if self.anchored_in is None else self.anchored_in,
                anchored_out=stop.anchored_out if self.anchored_out is None else self.anchored_out,
                bonded=stop.bonded if self.bonded is None else self.bonded,
            ),
        )
