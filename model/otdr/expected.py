"""What an OTDR should show of a path: its connectors, splices, splitters, bends and end, each with its distance.

``true_m`` is fibre from the instrument, launch lead included; ``shown_m`` is what an instrument with the index set
shows for it. Joints at one place, such as a pigtail's splice behind its connector, are one event: no pulse parts them.
Losses are planned, in dB at one wavelength; a bend's is an upper bound. Nothing here knows a trace.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from model.entities import FibreEnd, Side
from model.errors import PlantError
from model.glass import Piece
from model.graph import Continuity, Joint, end_node, node_end
from model.ids import FibreClassId
from model.lists.naming import called, end_name, site_name, tray_name
from model.lookup import cable_type
from model.nodes import site_of
from model.optics.bend import course_loss_db
from model.optics.budget import Bends
from model.optics.drawn import drawn_bends
from model.optics.loss import step_loss
from model.otdr.reading import DEFAULT_INDEX, LaunchEnd, index_at
from model.otdr.way import Crossing, Stretch, Way, way_of
from model.parts import FibreClass
from model.plant import Plant
from model.trace import Step

ExpectedKind = Literal["connector", "splice", "splitter", "bend", "end", "unknown"]
LEAST_BEND_DB: Final = 0.05
"""A bend that may lose less is no event: instruments are set to overlook that much."""


@dataclass(frozen=True, slots=True)
class Expected:
    """One event that a path should show.

    ``steps`` cross what lies there, in the order light meets it from the instrument. ``mode_fields_um`` are those of
    the glass before and behind, ``None`` where unknown. ``behind`` names the splitter whose legs all add up here, for
    a path measured from its exchange end. ``start`` is where the instrument is plugged in.
    """

    kind: ExpectedKind
    true_m: float
    shown_m: float
    site: str
    site_name: str
    words: str
    planned_db: float
    reflects: bool
    steps: tuple[Step, ...] = ()
    mode_fields_um: tuple[float | None, float | None] = (None, None)
    behind: str = ""
    start: bool = False

    @property
    def joints(self) -> tuple[Joint, ...]:
        """The joints alone."""
        return tuple(step.by for step in self.steps if isinstance(step.by, Joint))

    @property
    def splices(self) -> tuple[Step, ...]:
        """The steps over splices of the schedule."""
        return tuple(step for step in self.steps if isinstance(step.by, Joint) and step.by.kind == "splice")


@dataclass(slots=True)
class _Progress:
    """How far the light has come."""

    true_m: float
    optical_m: float
    behind: str = ""
    glass: FibreClass | None = None
    open: list[Crossing] = field(default_factory=list)


def expected_events(
    continuity: Continuity,
    node: str,
    from_end: LaunchEnd = "exchange",
    index: float | None = None,
    lead_m: float = 0.0,
    wavelength_nm: int = 1550,
) -> tuple[Expected, ...]:
    """The events of the path through ``node``, from one of its ends. Bends are those drawn in its enclosures.

    ``index`` is the group index set on the instrument, that of the first cable if ``None``. Where a printed mark is
    missing the last event is of kind "unknown" and says so. Raises KeyError for a node that is not in the graph.
    """
    way = way_of(continuity, node, from_end)
    return tuple(_Lister(continuity, way, index, wavelength_nm).events(lead_m))


class _Lister:
    """Walks one way and tells its events."""

    def __init__(self, continuity: Continuity, way: Way, index: float | None, wavelength_nm: int) -> None:
        self.continuity, self.way, self.nm = continuity, way, wavelength_nm
        self.plant: Plant = continuity.plant
        first = next((index_at(cable_type(self.plant, s.cable), wavelength_nm) for s in way.stretches), None)
        self.first = first or index or DEFAULT_INDEX
        self.set = index or self.first
        self._bends: dict[str, Bends] = {}

    def events(self, lead_m: float) -> Iterator[Expected]:
        at = _Progress(lead_m, lead_m * self.first)
        started = False
        for item in self.way.items:
            if isinstance(item, Crossing):
                at.open.append(item)
                continue
            if at.open or not started:
                yield self._joined(at, item, started)
            started = True
            if item.fibre_m is None:
                where = site_name(self.plant, item.cable.stops[item.stop].site)
                words = f"the length of {item.cable.name} beyond {where} is not known: a printed mark is missing"
                yield self._at(at, "unknown", item.cable.stops[item.stop].site, words, 0.0, False)
                return
            yield from self._bent(at, item)
            index = index_at(cable_type(self.plant, item.cable), self.nm) or self.first
            at.true_m += item.fibre_m
            at.optical_m += item.fibre_m * index
        yield self._end(at)

    def _at(
        self,
        at: _Progress,
        kind: ExpectedKind,
        site: str,
        words: str,
        planned_db: float,
        reflects: bool,
        ahead_m: float = 0.0,
    ) -> Expected:
        true_m = at.true_m + ahead_m
        shown_m = (at.optical_m + ahead_m * self.first) / self.set
        name = site_name(self.plant, site)
        return Expected(kind, true_m, shown_m, site, name, words, planned_db, reflects, behind=at.behind)

    def _joined(self, at: _Progress, onward: Stretch, started: bool) -> Expected:
        """The event of the joints that are open, before the glass that follows them."""
        crossings, at.open = at.open, []
        before, behind = at.glass, _class_of(self.plant, onward)
        at.glass = behind
        site = crossings[0].site if crossings else site_of(self.plant, self.way.start)
        loss_db = _loss_db(self.continuity, crossings, self.nm)
        # At the start the instrument itself is plugged in, whatever the plant ends in there.
        event = self._at(at, _kind(crossings, started), site, "", loss_db, not started)
        mode_fields = (mode_field_um(before, self.nm), mode_field_um(behind, self.nm))
        made = _with(event, crossings, self._words(crossings, started), mode_fields, not started)
        for crossing in crossings:
            if crossing.joint.kind == "splitter" and self.way.from_end == "exchange":
                at.behind = self.plant.splitters[crossing.joint.id].name
        return made

    def _words(self, crossings: Sequence[Crossing], started: bool) -> str:
        said = joint_words(self.plant, crossings)
        return said if started else f"start of the path: {said or 'a bare end'}"

    def _end(self, at: _Progress) -> Expected:
        kind = self.way.end_kind
        site = site_of(self.plant, self.way.end)
        said = joint_words(self.plant, at.open)
        name = site_name(self.plant, site)
        what = {
            "port": said or f"a port at {name}",
            "dark": f"a dark end at {name}",
            "branches": f"it branches at {name}, no single trace from here on",
            "ring": "it closes on itself",
            "crossed": f"joined more than once at {name}",
        }[kind]
        words = f"end of the path: {what}"
        event = self._at(at, "end", site, words, _loss_db(self.continuity, at.open, self.nm), kind == "port")
        return _with(event, at.open, words, (mode_field_um(at.glass, self.nm), None))

    def _bent(self, at: _Progress, stretch: Stretch) -> Iterator[Expected]:
        """The bends drawn where a piece of glass begins, ends, or runs through an opening."""
        cable, stop = stretch.cable, stretch.cable.stops[stretch.stop]
        if stretch.kind == "span" or stop.site not in self._sites():
            return
        bends = self._bends.setdefault(stop.site, drawn_bends(self.plant, stop.site))
        side: Side = ">" if stretch.stop == 0 else "<"
        keys: list[str | Piece] = [end_node(FibreEnd(cable.id, stretch.fibre, stop.id, side))]
        keys += [key for key in bends if isinstance(key, Piece) and _runs_through(key, stretch)]
        loss_db = 0.0
        for key in keys:
            loss_db += self._bend_db(stretch, bends.get(key, ()))
        if loss_db >= LEAST_BEND_DB:
            where = site_name(self.plant, stop.site)
            words = f"bends of {end_name(self.plant, FibreEnd(cable.id, stretch.fibre, stop.id, side)).text} at {where}"
            yield self._at(at, "bend", stop.site, words, loss_db, False, (stretch.fibre_m or 0.0) / 2)

    def _sites(self) -> set[str]:
        return {enclosure.site for enclosure in self.plant.enclosures.values()}

    def _bend_db(self, stretch: Stretch, arcs: Sequence[tuple[float, float]]) -> float:
        kind = _class_of(self.plant, stretch)
        if kind is None or not arcs:
            return 0.0
        try:
            return course_loss_db(kind, arcs, self.nm)
        except PlantError:
            return 0.0  # tighter than the class has a number for: the bend rules say so


def _runs_through(piece: Piece, stretch: Stretch) -> bool:
    return (piece.cable, piece.fibre) == (stretch.cable.id, stretch.fibre) and piece.first < stretch.stop < piece.last


def _class_of(plant: Plant, stretch: Stretch) -> FibreClass | None:
    return plant.fibre_classes.get(FibreClassId(cable_type(plant, stretch.cable).fibre_class))


def mode_field_um(kind: FibreClass | None, wavelength_nm: int) -> float | None:
    """Mode field diameter of a class at the given wavelength nearest to one, micrometres; ``None`` if it has none."""
    if kind is None or not kind.mode_field_um:
        return None
    return min(kind.mode_field_um, key=lambda pair: abs(pair[0] - wavelength_nm))[1]


def _kind(crossings: Sequence[Crossing], started: bool) -> ExpectedKind:
    kinds = {crossing.joint.kind for crossing in crossings}
    if "splitter" in kinds:
        return "splitter"
    return "splice" if kinds == {"splice"} and started else "connector"


def _loss_db(continuity: Continuity, crossings: Sequence[Crossing], wavelength_nm: int) -> float:
    return sum(step_loss(continuity, c.step, (wavelength_nm,)).loss_db.get(wavelength_nm, 0.0) for c in crossings)


def _with(
    event: Expected,
    crossings: Sequence[Crossing],
    words: str,
    mode_fields: tuple[float | None, float | None],
    start: bool = False,
) -> Expected:
    reflects = event.reflects or any(c.joint.kind in ("pair", "plug") for c in crossings)
    steps = tuple(crossing.step for crossing in crossings)
    return replace(event, words=words, reflects=reflects, steps=steps, mode_fields_um=mode_fields, start=start)


def joint_words(plant: Plant, crossings: Sequence[Crossing]) -> str:
    """The joints of one place in words, the plugs and pigtails of a connector with it:
    ``splitter SP-2 at BC-5 between DP 41 and FD 6``, ``connector Quill Lane QU 15 with its pigtail``."""
    ports: dict[str, bool] = {}
    splitters: list[str] = []
    splices: list[str] = []
    for crossing in crossings:
        joint = crossing.joint
        if joint.kind == "splitter":
            splitters.append(f"{plant.splitters[joint.id].name} at {site_name(plant, crossing.site)}")
        elif joint.kind == "splice":
            splices.append(_splice_words(plant, crossing))
        else:
            mating = plant.matings[joint.id] if joint.kind == "plug" else None
            port = mating.port if mating else joint.id
            ports[port] = ports.get(port, False) or (mating is not None and mating.pigtail_db is not None)
    names = [f"{plant.ports[key].panel} {plant.ports[key].number}" for key in ports]
    if splitters:
        on = f" on {names[0]}" if len(names) == 1 else f" between {' and '.join(names)}" if names else ""
        more = f" with {len(splices)} splice{'s' * (len(splices) > 1)}" if splices else ""
        return f"splitter {' and '.join(splitters)}{on}{more}"
    connectors = [
        f"connector {site_name(plant, plant.ports[key].site)} {name}{' with its pigtail' if tail else ''}"
        for (key, tail), name in zip(ports.items(), names, strict=True)
    ]
    return ", ".join([*connectors, *splices])


def _splice_words(plant: Plant, crossing: Crossing) -> str:
    splice = plant.splices[crossing.joint.id]
    ends = [end_name(plant, end).text for end in map(node_end, (crossing.step.start, crossing.step.end)) if end]
    tray = tray_name(plant, splice.tray)
    place = f", {called('tray', tray)}" if tray else ""
    slot = f" slot {splice.slot}" if splice.slot is not None else ""
    return f"splice {' to '.join(ends)} at {site_name(plant, crossing.site)}{place}{slot}"
