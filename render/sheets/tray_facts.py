"""What lies on a tray, before anything is placed: its rows, the labels of its glass, its limits and services.

Plain values in tray millimetres, read from the plant and from the courses on the tray; nothing here knows the page.
Labels are the words of the trade: "25 BL" for a fibre of the tube side, "D-01:1 BL" for one of a drop.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from model.catalogue import catalogue
from model.entities import FibreEnd, GlassEnd, Splice, Tray
from model.graph import Continuity, end_node
from model.layout import TubeRun, tube_runs
from model.lookup import passes, stops_at, tray_type, tube_of
from model.parts import TrayCorner, TrayType
from model.plant import Plant
from model.trace import services_by_node, trace
from model.traypath import StoredCourse, stored_courses
from render.looks import fibre_look, ranges, tube_look
from render.style import Look, look_of

Pair = tuple[tuple[GlassEnd, ...], tuple[GlassEnd, ...]]
WHITE = look_of("white")
FIELD_SIDE = "B:"
CAPPED_MM = 1.0  # fibre bare beyond its tube that is no length to lay


@dataclass(frozen=True, slots=True)
class Label:
    """Words on glass: ``name`` may be shortened, ``code`` (number and letters) may not. Look and marks of its colour.

    ``ref`` is its fibre, empty for several. ``own`` says that it belongs to a cable that passes here.
    """

    name: str
    code: str
    look: Look
    marks: int = 0
    mark_colour: str = ""
    ref: str = ""
    own: bool = True

    @property
    def named(self) -> bool:
        """Whether the name of a cable stands in it."""
        return self.name not in ("", FIELD_SIDE)

    @property
    def text(self) -> str:
        """The whole label."""
        return f"{self.name}{self.code}"


@dataclass(frozen=True, slots=True)
class Row:
    """A slot: its splices, the label of either side, services, and whether the work is done and was there before."""

    slot: int | None
    splices: tuple[Splice, ...] = ()
    first: Label | None = None
    second: Label | None = None
    second_ends: tuple[GlassEnd, ...] = ()
    services: tuple[str, ...] = ()
    done: bool = False
    existing: bool = False
    traced: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything a tray map tells."""

    plant: Plant
    tray: Tray
    kind: TrayType
    sleeve_diameter_mm: float
    entries: tuple[StoredCourse, ...]
    rows: tuple[Row, ...]
    loose: tuple[Row, ...]
    """Splices on the tray that have no slot."""
    labels: Mapping[GlassEnd, Label]
    passing: AbstractSet[str]
    """Stops at which the sheath passes."""
    carried: Mapping[str, tuple[str, ...]]
    """Services by node of the continuity graph."""
    traced: frozenset[str]
    least_mm: float | None
    """Tightest radius of all courses, None for an empty tray."""
    limit_mm: float
    runs: Mapping[tuple[str, int], TubeRun]


def tray_facts(plant: Plant, tray: Tray, traced_node: str = "", graph: Continuity | None = None) -> Facts:
    """Collect what is on a tray. ``traced_node`` marks the rows its light path goes through.

    ``graph`` is the graph of the plant, if the caller has one.
    """
    kind = tray_type(plant, tray)
    if tray.sleeve_mm is not None:
        kind = replace(kind, sleeve_mm=tray.sleeve_mm)
    entries = tuple(stored_courses(plant, tray))
    continuity = graph or Continuity(plant)
    carried = services_by_node(continuity)
    traced: frozenset[str] = frozenset()
    if traced_node and traced_node in continuity.graph:
        traced = frozenset(trace(continuity, traced_node).nodes)
    splices = sorted((s for s in plant.splices.values() if s.tray == tray.id), key=lambda s: (s.slot or 0, s.id))
    ends = [end for entry in entries for end in entry.ends]
    ends += [end for splice in splices for end in (splice.a, splice.b)]
    site = plant.enclosures[tray.enclosure].site
    passing = {stop.id for cable, index, stop in stops_at(plant, site) if passes(cable, index)}
    labels = _labels(plant, ends, passing)
    at = {end: entry.corner for entry in entries if entry.what == "tail" for end in entry.ends}
    of_slot: dict[int | None, list[Splice]] = {}
    for splice in splices:
        of_slot.setdefault(splice.slot, []).append(splice)

    def row(slot: int | None, held: list[Splice]) -> Row:
        first, second = _sides(held, at)
        nodes = [end_node(end) for splice in held for end in (splice.a, splice.b)]
        services = dict.fromkeys(key for node in nodes for key in carried.get(node, ()))
        return Row(
            slot,
            tuple(held),
            _together(plant, first, labels),
            _together(plant, second, labels),
            second,
            tuple(plant.services[key].name for key in services),
            bool(held) and all(splice.status in ("done", "existing") for splice in held),
            any(splice.status in ("existing", "remove") for splice in held),
            any(node in traced for node in nodes),
        )

    rows = [row(slot, of_slot.get(slot, [])) for slot in range(1, kind.slots + 1)]
    loose = [
        row(slot, [splice])
        for slot, held in of_slot.items()
        if slot is None or not 1 <= slot <= kind.slots
        for splice in held
    ]
    radii = [least[0] for entry in entries if entry.course and (least := entry.course.tightest())]
    used = {plant.cables[end.cable].type for end in ends if isinstance(end, FibreEnd)}
    limits = [plant.fibre_classes[plant.cable_types[key].fibre_class].storage_radius_mm for key in used]
    runs: dict[tuple[str, int], TubeRun] = {
        (run.stop.id, run.tube): run for run in tube_runs(plant, plant.enclosures[tray.enclosure])
    }
    diameters = [s.diameter_mm for s in catalogue().sleeve_types.values() if s.kind == kind.kind]
    return Facts(
        plant,
        tray,
        kind,
        min(max(diameters, default=3.0), kind.pitch_mm - 0.6),
        entries,
        tuple(rows),
        tuple(loose),
        labels,
        passing,
        carried,
        traced,
        min(radii, default=None),
        max(limits, default=kind.track_radius_mm),
        runs,
    )


def capped_at_tube(entry: StoredCourse) -> bool:
    """Whether stubs end with their tube at the corner, so that nothing of them lies in a lane."""
    return entry.what == "stub" and entry.turns == 0 and entry.bare_mm is not None and entry.bare_mm < CAPPED_MM


def _labels(plant: Plant, ends: Iterable[GlassEnd], passing: AbstractSet[str]) -> dict[GlassEnd, Label]:
    """Every end's label. Fibres of a lone passing cable need no cable name, all others carry it.

    The field side of a passing cable is marked B, for its fibres have the same numbers as on the exchange side.
    """
    held = list(dict.fromkeys(ends))
    through = {end.cable for end in held if isinstance(end, FibreEnd) and end.stop in passing}
    found: dict[GlassEnd, Label] = {}
    for end in held:
        if not isinstance(end, FibreEnd):
            name = plant.splitters[end.splitter].name if end.splitter in plant.splitters else end.splitter
            found[end] = Label(name, f" {end.role}{end.number}", WHITE, ref="", own=False)
            continue
        cable = plant.cables[end.cable]
        look = fibre_look(plant, cable, end.fibre)
        own = end.stop in passing
        name = "" if own and len(through) == 1 else f"{cable.name}:"
        if own and end.side == ">":
            name = f"{FIELD_SIDE}{name}"
        found[end] = Label(name, look.label, look.look, look.marks, look.mark_colour, look.ref, own)
    return found


def _sides(held: list[Splice], at: Mapping[GlassEnd, TrayCorner | None]) -> Pair:
    """The ends of a slot's splices, those of the tube side first."""
    first: list[GlassEnd] = []
    second: list[GlassEnd] = []
    for splice in held:
        a, b = at.get(splice.a), at.get(splice.b)
        swap = a is not None and b is not None and a.side == "drop" and b.side == "tube"
        first.append(splice.b if swap else splice.a)
        second.append(splice.a if swap else splice.b)
    return tuple(first), tuple(second)


def _together(plant: Plant, ends: tuple[GlassEnd, ...], labels: Mapping[GlassEnd, Label]) -> Label | None:
    """One label for all ends on one side of a slot."""
    if len(ends) < 2:
        return labels[ends[0]] if ends else None
    return group_label(plant, ends, labels)


def group_label(plant: Plant, ends: tuple[GlassEnd, ...], labels: Mapping[GlassEnd, Label]) -> Label:
    """A label for several ends: "T1-BL 1-12" of one tube, "D-1:1-12" of one cable, else their number."""
    fibres = [end for end in ends if isinstance(end, FibreEnd)]
    cables = {end.cable for end in fibres}
    if len(fibres) < len(ends) or len(cables) != 1:
        return Label("", f"{len(ends)} fibres", WHITE, own=any(labels[end].own for end in ends))
    cable = plant.cables[fibres[0].cable]
    kind = plant.cable_types[cable.type]
    numbers = ranges(tuple(end.fibre for end in fibres))
    tubes = {tube_of(kind, end.fibre)[0] for end in fibres}
    own = labels[fibres[0]].own
    if not own or len(tubes) != 1:
        return Label(f"{cable.name}:", numbers, WHITE, own=own)
    look = tube_look(plant, cable, tubes.pop())
    name = f"{cable.name} " if labels[fibres[0]].named else ""
    return Label(name, f"{look.label} {numbers}", look.look, look.marks, look.mark_colour, own=own)
