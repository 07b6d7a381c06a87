"""What the layout sheet shows of one site, gathered once: enclosure, trays, cables by entry, routes and their lengths.

Also the mapping from the enclosure's millimetres to the paper, and the register of places already taken there.
Nothing here draws or words anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from math import cos, hypot, radians, sin

from model.entities import Cable, Enclosure, Stop, Tray
from model.errors import PlantError
from model.geometry.course import Course
from model.glass import pieces
from model.graph import Continuity, end_node
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
from model.lookup import cable_type, enclosure_at, enclosure_type, passes, sheaths_at, trays_of
from model.parts import Bay, CableType, EnclosureType, Entry
from model.plant import Plant
from model.trace import services_by_node
from render.box import Box
from render.dims import Scale

MAIN_FIBRES = 12  # a cable that ends here with fewer fibres is called a drop


def is_drop(kind: CableType) -> bool:
    """Whether a cable that ends here is so small that it is called a drop."""
    return kind.fibre_count < MAIN_FIBRES


@dataclass(frozen=True, slots=True)
class Member:
    """A cable in an entry; ``side`` is the side of the box its sheath there leads to."""

    cable: Cable
    kind: CableType
    stop: Stop
    side: str
    passing: bool


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything the sheet of one enclosure needs from the plant, computed once."""

    plant: Plant
    site: str
    enclosure: Enclosure
    kind: EnclosureType
    trays: tuple[Tray, ...]
    loads: dict[str, TrayLoad]
    members: dict[str, tuple[Member, ...]]
    passing: tuple[tuple[Cable, CableType, Stop], ...]
    drawn: tuple[Drawn, ...]
    tubes: tuple[TubeRun, ...]
    express: tuple[ExpressRun, ...]
    drops: tuple[DropRun, ...]
    live: dict[tuple[str, int], tuple[str, ...]]

    def tray_name(self, tray: str | None) -> str:
        """ "tray 2" of a tray id, empty for none."""
        found = self.plant.trays.get(tray) if tray else None
        return f"tray {found.name}" if found else ""

    def site_name(self, site: str) -> str:
        """Name of a site, its id where it has none."""
        found = self.plant.sites.get(site)
        return found.name if found and found.name else site

    def far(self, cable: Cable, side: str) -> str:
        """Name of the place a cable comes from (``<``) or goes to (``>``)."""
        return self.site_name(cable.stops[0 if side == "<" else -1].site)

    def entry(self, name: str) -> Entry | None:
        """An entry of the enclosure by name."""
        return next((entry for entry in self.kind.entries if entry.name == name), None)


def gather(plant: Plant, site: str, *, live: bool = True) -> Scene:
    """Gather a site's enclosure. Raises PlantError when the site is unknown or has no enclosure.

    Without ``live`` no service is traced: for pictures that do not say which fibres are live.
    """
    place = plant.sites.get(site)
    if place is None:
        raise PlantError(f"there is no site {site!r}", hint="Name a site of this plant")
    enclosure = enclosure_at(plant, site)
    if enclosure is None:
        raise PlantError(f"{place.name} has no enclosure", where=place.name, hint="Add one, or choose another site")
    members: dict[str, list[Member]] = {}
    passing = []
    for cable, index, stop in sheaths_at(plant, site):
        kind, through = cable_type(plant, cable), passes(cable, index)
        if through:
            passing.append((cable, kind, stop))
            members.setdefault(stop.entry_in, []).append(Member(cable, kind, stop, "<", True))
            members.setdefault(stop.entry_out, []).append(Member(cable, kind, stop, ">", True))
        else:
            name, side = (
                (stop.entry_out or stop.entry_in, ">") if index == 0 else (stop.entry_in or stop.entry_out, "<")
            )
            members.setdefault(name, []).append(Member(cable, kind, stop, side, False))
    drawn = drawn_routes(plant, enclosure.id)
    trays = tuple(trays_of(plant, enclosure.id))
    return Scene(
        plant,
        site,
        enclosure,
        enclosure_type(plant, enclosure),
        trays,
        {tray.id: tray_load(plant, tray) for tray in trays},
        {name: tuple(found) for name, found in members.items()},
        tuple(passing),
        drawn,
        tuple(tube_runs(plant, enclosure, drawn)),
        tuple(express_runs(plant, enclosure, drawn)),
        tuple(drop_runs(plant, enclosure, drawn)),
        _live(plant, passing) if live else {},
    )


def _live(plant: Plant, passing: Iterable[tuple[Cable, CableType, Stop]]) -> dict[tuple[str, int], tuple[str, ...]]:
    """Names of the live services on each fibre of the passing cables, next to or through this site."""
    carried: dict[tuple[str, int], dict[str, None]] = {}
    nodes: dict[str, tuple[str, ...]] | None = None
    for cable, kind, stop in passing:
        nodes = services_by_node(Continuity(plant)) if nodes is None else nodes
        here = next(index for index, one in enumerate(cable.stops) if one.id == stop.id)
        for piece in pieces(cable, kind):
            if not piece.first <= here <= piece.last:
                continue
            for end in piece.ends(cable):
                for service in nodes.get(end_node(end), ()):
                    if plant.services[service].status == "live":
                        name = plant.services[service].name
                        carried.setdefault((cable.id, piece.fibre), {})[name] = None
    return {key: tuple(names) for key, names in carried.items()}


@dataclass(frozen=True, slots=True)
class View:
    """The mapping from the enclosure's mm to the paper's: times ``k``, then moved by (``ox``, ``oy``)."""

    scale: Scale
    ox: float
    oy: float

    @property
    def k(self) -> float:
        """Paper mm per real mm."""
        return self.scale.factor

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """A place of the enclosure on the paper."""
        return self.ox + x_mm * self.k, self.oy + y_mm * self.k

    def on(self, course: Course, s_mm: float) -> tuple[float, float]:
        """A place along a course on the paper."""
        return self.at(*course.point_at(min(max(s_mm, 0.0), course.length_mm)))

    def box(self, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Box:
        """A box of the enclosure on the paper."""
        x, y = self.at(x_mm, y_mm)
        return Box(x, y, width_mm * self.k, height_mm * self.k)


def inward(entry: Entry, along_mm: float, across_mm: float = 0.0) -> tuple[float, float]:
    """A place inside (or, if negative, outside) an entry along its heading, and right of it by ``across_mm``."""
    a = radians(entry.heading_deg)
    return (
        entry.x_mm + along_mm * cos(a) - across_mm * sin(a),
        entry.y_mm + along_mm * sin(a) + across_mm * cos(a),
    )


def side_of(entry: Entry) -> str:
    """The side of the box an entry stands on, from its heading inward."""
    turned = round(entry.heading_deg / 90.0) % 4
    return ("left", "top", "right", "bottom")[turned]


def touches_bay(course: Course, bay: Bay) -> tuple[float, float] | None:
    """Where a course first touches and last leaves the posts of a bay, mm along it; None if it never does."""
    posts = (bay.y_mm - bay.straight_mm / 2, bay.y_mm + bay.straight_mm / 2)
    found = [
        bend
        for bend in course.bends()
        if abs(bend.arc.cx - bay.x_mm) < 0.5 and any(abs(bend.arc.cy - post) < 0.5 for post in posts)
    ]
    return (found[0].start_mm, found[-1].end_mm) if found else None


SPOT_MM = 3.0
"""Real mm from one tried place of a chip to the next."""
GAP = 0.6
"""Paper mm kept free about words and marks."""
SLACK = 1e-6
MARGIN = 1e-6


@dataclass(slots=True)
class Taken:
    """Boxes on the paper that already hold words or marks."""

    boxes: list[Box] = field(default_factory=list)

    def free(self, box: Box, gap: float = GAP) -> bool:
        """Whether a box with a gap around it touches nothing taken."""
        grown = box.grown(gap)
        return not any(grown.overlaps(other) for other in self.boxes)

    def take(self, box: Box) -> Box:
        """Take a box and hand it back."""
        self.boxes.append(box)
        return box

    def along(
        self, view: View, course: Course, size: tuple[float, float], start_mm: float, end_mm: float, inside: Box
    ) -> tuple[float, float, float] | None:
        """The free spot for a box of ``size`` centred on a course nearest to the middle of a stretch of it.

        Returns (x, y) on paper and the mm along the course, or None when no spot is free.
        """
        wide, high = size
        step = SPOT_MM * view.k
        blocks = [(box.x, box.y, box.right, box.bottom) for box in self.boxes]
        left, top, right, bottom = inside.x - SLACK, inside.y - SLACK, inside.right + SLACK, inside.bottom + SLACK
        skipped = [0, 0]
        for index, (s, px, py) in enumerate(_spots_on(course, start_mm, end_mm)):
            # Spots come in turn from before and behind the middle; what blocks one blocks its neighbours as far as
            # the box would have to move to come clear, because a course is never shorter than the way it goes.
            side, number = index & 1, (index + 1) // 2
            if number < skipped[side]:
                continue
            x, y = view.at(px, py)
            x1, y1 = x - wide / 2, y - high / 2
            gx, gy, gr, gb = x1 - 0.5, y1 - 0.5, (x1 - 0.5) + (wide + 1.0), (y1 - 0.5) + (high + 1.0)
            if not (gx >= left and gy >= top and gr <= right and gb <= bottom):
                away = max(left - gx, top - gy, gr - right, gb - bottom)
                skipped[side] = number + 1 + int((away - MARGIN) / step)
                continue
            gx, gy, gr, gb = x1 - GAP, y1 - GAP, (x1 - GAP) + (wide + 2 * GAP), (y1 - GAP) + (high + 2 * GAP)
            for bx1, by1, bx2, by2 in blocks:
                if gx < bx2 and bx1 < gr and gy < by2 and by1 < gb:
                    away = min(bx2 - gx, gr - bx1, by2 - gy, gb - by1)
                    skipped[side] = number + 1 + int((away - MARGIN) / step)
                    break
            else:
                return x, y, s
        return None


@lru_cache(maxsize=256)
def _spots_on(course: Course, start_mm: float, end_mm: float) -> tuple[tuple[float, float, float], ...]:
    """``spots`` with their places in the enclosure, kept because most courses stay where they are."""
    return tuple((s, *course.point_at(min(max(s, 0.0), course.length_mm))) for s in spots(start_mm, end_mm, SPOT_MM))


def spots(start_mm: float, end_mm: float, step_mm: float) -> Iterator[float]:
    """Places along a stretch from its middle outward to both ends."""
    middle, half = (start_mm + end_mm) / 2, max(end_mm - start_mm, 0.0) / 2
    yield middle
    for i in range(1, int(half / step_mm) + 1):
        yield middle - i * step_mm
        yield middle + i * step_mm


def unit(dx: float, dy: float) -> tuple[float, float]:
    """The direction of (dx, dy); to the right for none."""
    size = hypot(dx, dy)
    return (dx / size, dy / size) if size else (1.0, 0.0)
