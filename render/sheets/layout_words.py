"""The sentences of the layout sheet: caution, count check and notes, computed from the plant.

A sentence here may cost a customer the service if it is wrong, so none is kept from an older drawing: every number is
counted anew. Nothing here knows where a sentence stands.
"""

from __future__ import annotations

from model.entities import Cable, Stop
from model.layout import TRANSPORT_BEND_MM
from model.lookup import cut_fibres, fibres_of, looped_fibres, work_on
from model.parts import CableType
from render.looks import ranges, tube_look
from render.sheets.layout_entries import bonded
from render.sheets.layout_scene import Scene, is_drop

NUMBERS = ("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve")


def number_word(count: int) -> str:
    """A count at the start of a sentence: "Five", or the figure above twelve."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def figure(value: float, places: int = 1) -> str:
    """A length or count with at most so many decimals."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def express_tubes(kind: CableType, stop: Stop) -> list[int]:
    """Tubes that pass uncut."""
    return [tube for tube in range(1, len(kind.tubes) + 1) if work_on(stop, tube) is None]


def express_count(kind: CableType, stop: Stop) -> int:
    """Fibres in tubes that pass uncut."""
    return sum(kind.tubes[tube - 1] for tube in express_tubes(kind, stop))


def cut_words(scene: Scene, cable: Cable, kind: CableType, stop: Stop) -> str:
    """What may be cut in one cable, tube by tube: "T2-OR fibres 13-16"; empty for nothing."""
    cut = cut_fibres(kind, stop)
    pieces = []
    for work in sorted(stop.tubes, key=lambda w: w.tube):
        inside = tuple(f for f in fibres_of(kind, work.tube) if f in cut)
        if inside:
            word = "fibre" if len(inside) == 1 else "fibres"
            pieces.append(f"{tube_look(scene.plant, cable, work.tube).label} {word} {ranges(inside)}")
    return ", ".join(pieces)


def _passing_words(scene: Scene, cable: Cable, kind: CableType, stop: Stop) -> str:
    name = f" of {cable.name}" if len(scene.passing) > 1 else ""
    what = cut_words(scene, cable, kind, stop)
    first = f"Cut only {what}{name}." if what else f"Cut nothing{name}."
    tubes, fibres = len(express_tubes(kind, stop)), express_count(kind, stop)
    loops = looped_fibres(kind, stop)
    if tubes:
        word = "tube passes" if tubes == 1 else "tubes pass"
        second = f"{number_word(tubes)} {word} UNCUT ({fibres} fibre{'s' if fibres != 1 else ''})"
    else:
        second = "No tube passes uncut"
    if loops:
        one = len(loops) == 1
        second += f" and fibre{'' if one else 's'} {ranges(loops)} loop{'s' if one else ''} through uncut"
    return f"{first} {second}."


def _live_words(scene: Scene) -> str:
    sentences = []
    for cable, kind, stop in scene.passing:
        lit = tuple(sorted(fibre for name, fibre in scene.live if name == cable.id))
        cut = tuple(fibre for fibre in lit if fibre in cut_fibres(kind, stop))
        near = tuple(fibre for fibre in lit if fibre not in cut)
        if cut:
            permit = f"only under outage {stop.outage}" if stop.outage else "do not cut before an outage is approved"
            sentences.append(f"Among the fibres to cut, {ranges(cut)} carry LIVE service: {permit}.")
        if near:
            word = "fibre" if len(near) == 1 else "fibres"
            sentences.append(f"LIVE beside the work: {cable.name} {word} {ranges(near)}.")
    return " ".join(sentences)


def caution(scene: Scene) -> tuple[str, ...]:
    """The lines of the caution strip: what may be cut and what not, then live services and the standing rules."""
    first = " ".join(_passing_words(scene, *passing) for passing in scene.passing) or "No cable passes this enclosure."
    live = _live_words(scene)
    metal = "Bond the armour before cutting it. " if any(m.kind.metal for _, m in bonded(scene)) else ""
    call = scene.plant.job.emergency_call
    stop = f"stop and call {call}." if call else "stop and call the planner."
    second = f"Never look into a fibre. {metal}If the tube count or colours differ from this sheet: {stop}"
    return (f"{first} {live}".strip(), second)


def count_check(scene: Scene, cable: Cable, kind: CableType, stop: Stop) -> tuple[str, str]:
    """Both sides of one cable summed: what is cut, loops and passes must be the whole cable."""
    cut = cut_fibres(kind, stop)
    joined = {"<": set(), ">": set()}  # type: dict[str, set[int]]
    for splice in scene.plant.splices.values():
        for end in (splice.a, splice.b):
            if getattr(end, "stop", None) == stop.id and getattr(end, "cable", None) == cable.id:
                joined[end.side].add(end.fibre)  # type: ignore[union-attr]
    loops, express = len(looped_fibres(kind, stop)), express_count(kind, stop)
    lines = []
    for side, name in (("<", "A"), (">", "B")):
        cuts = len(cut & joined[side])
        stubs = len(cut) - cuts
        total = cuts + stubs + loops + express
        terms = [f"{cuts} joined" if cuts else "", f"{stubs} stub" if stubs else ""]
        terms += [f"{loops} loop" if loops else "", f"{express} express"]
        sign = "=" if total == kind.fibre_count else "IS NOT"
        text = f"Side {name}: {' + '.join(term for term in terms if term)} = {total} F"
        lines.append(f"{text}." if sign == "=" else f"{text}, but the cable has {kind.fibre_count} F.")
    return f"Count check. {lines[0]}", lines[1]


def _storage(scene: Scene) -> str:
    coils = []
    for cable, _, stop in scene.passing:
        if stop.coil_in_m or stop.coil_out_m:
            both = stop.coil_in_m == stop.coil_out_m
            size = (
                f"{figure(stop.coil_in_m)} m each leg"
                if both
                else f"{figure(stop.coil_in_m)} m A, {figure(stop.coil_out_m)} m B"
            )
            round_ = f", coil D {figure(stop.coil_diameter_mm)}" if stop.coil_diameter_mm else ""
            name = f"{cable.name}: " if len(scene.passing) > 1 else ""
            coils.append(f"{name}{size}{round_}")
    return f" Slack outside: {'; '.join(coils)}." if coils else ""


def _limits(scene: Scene) -> str:
    pieces: list[str] = []
    kinds = {kind.id: kind for _, kind, _ in scene.passing}
    for kind in kinds.values():
        if kind.tube_bend_mm:
            pieces.append(f"tube R {figure(kind.tube_bend_mm)}")
        if kind.bend_mm:
            pieces.append(f"cable R {figure(kind.bend_mm)}")
    if any(item.route.transport_od_mm for item in scene.drawn):
        pieces.append(f"transport tube R {figure(TRANSPORT_BEND_MM)}")
    drops = {run.cable.type: scene.plant.cable_types[run.cable.type] for run in scene.drops}
    pieces += [
        f"{'drop ' if is_drop(kind) else ''}tube R {figure(kind.tube_bend_mm)}"
        for kind in drops.values()
        if kind.tube_bend_mm
    ]
    classes = {kind.fibre_class for kind in (*kinds.values(), *drops.values())}
    radii = [scene.plant.fibre_classes[c].least_radius_mm for c in classes if c in scene.plant.fibre_classes]
    if radii:
        pieces.append(f"fibre R {figure(max(radii))}")
    return f"Least: {', '.join(dict.fromkeys(pieces))}." if pieces else ""


def notes(scene: Scene, *, true_width: bool, ribbons: bool, faults: list[str]) -> list[str]:
    """The numbered notes."""
    found: list[str] = []
    for cable, _, _ in scene.passing:
        name = "S" if len(scene.passing) == 1 else f"{cable.name}: s"
        found.append(f"{name}ide A faces {scene.far(cable, '<')} (exchange), side B {scene.far(cable, '>')}.")
    if scene.passing:
        width = "Tubes at true width" if true_width else "Tubes at true place, wider than to scale"
        found.append(f"{width}; opened over uncut, no tie at a crossing.")
    if ribbons:
        found.append("Uncut tubes too many to colour one by one are drawn as one white ribbon; the table names each.")
    limits = _limits(scene)
    found += [limits] if limits else []
    for run in scene.express:
        lengths = [item.course.length_mm for item in run.routes if item.course]
        if run.opening_mm and len(lengths) > 1 and max(lengths) - min(lengths) > 1.0:
            over = max(lengths) - run.opening_mm
            under = run.opening_mm - min(lengths)
            found.append(
                f"Uncut lanes are drawn {figure(max(under, 0), 0)} shorter to {figure(max(over, 0), 0)} longer than "
                f"the opening: take it up in the lane."
            )
    kind = scene.kind
    size = f"Box {figure(kind.width_mm)} x {figure(kind.height_mm)} x {figure(kind.depth_mm)}."
    found.append(f"{size}{_storage(scene)}")
    return [*found, *(f"{fault}" for fault in faults)]
