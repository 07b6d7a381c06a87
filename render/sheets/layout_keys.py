"""Legend and colour key of the layout sheet: only the signs and colours that occur on it.

Each sign is drawn as on the sheet itself. Paper mm.
"""

from __future__ import annotations

from collections.abc import Sequence

from render import style
from render.bands import band, ribbon
from render.drawing import Circle, Group, Line, LineTo, MoveTo, Part, Path, PathStep, Pen, Rect
from render.legend import LegendEntry
from render.looks import GlassLook, fibre_look, tube_look
from render.marks import earth, entry_circle, plug, slash_count
from render.sheets.layout_courses import transports
from render.sheets.layout_entries import bonded
from render.sheets.layout_scene import Scene
from render.style import Look

WIDE = 13.0


def _line(x: float, y: float) -> tuple[PathStep, ...]:
    return (MoveTo(x, y), LineTo(x + WIDE, y))


def _tube(x: float, y: float, look: GlassLook, mono: bool, end: bool) -> Part:
    core = band(_line(x, y), look.colour, 1.25, marks=look.marks, mark_colour=look.mark_colour, mono=mono)
    parts: list[Part] = list(core.parts)
    if end:
        parts.append(Line(x + WIDE, y - 1.3, x + WIDE, y + 1.3, style.TUBE_END))
    return Group(tuple(parts))


def entries(scene: Scene, mono: bool, plain: bool, traced: bool = False) -> list[LegendEntry]:
    """The signs that occur, the ones a hand must know first."""
    found: list[LegendEntry] = []
    express = [(run.cable, tube) for run in scene.express for tube in run.tubes]
    if express:
        look = tube_look(scene.plant, *express[0])
        if plain:
            found.append(LegendEntry(lambda x, y: ribbon(_line(x, y), style.PAPER, 2.4), "uncut tubes, express"))
        else:
            found.append(LegendEntry(lambda x, y: _tube(x, y, look, mono, end=False), "uncut tube, express"))
    if scene.tubes:
        opened = tube_look(scene.plant, scene.tubes[0].cable, scene.tubes[0].tube)
        found.append(LegendEntry(lambda x, y: _tube(x, y, opened, mono, end=True), "opened tube and its end"))
    if traced:
        found.append(LegendEntry(lambda x, y: _traced(x, y, style.HARDWARE if mono else style.TRACE), "traced path"))
    if scene.members:
        pen = Pen(style.INK, style.W_THIN, style.SHEATH)
        found.append(LegendEntry(lambda x, y: Rect(x, y - 1.4, WIDE, 2.8, pen), "cable sheath"))
    if transports(scene):
        found.append(LegendEntry(_transport, "transport tube"))
    bundles = [len(item.route.stops) for item in scene.drawn if item.route.kind == "bundle" and item.course]
    if bundles:
        most = max(bundles)
        words = f"bundle, {most} drops" if most > 1 else "one drop"
        found.append(LegendEntry(lambda x, y: _bundle(x, y, most), words))
    grey = Pen(style.EDGE, style.W_OUTLINE, style.HARDWARE)
    found.append(LegendEntry(lambda x, y: Rect(x, y - 1.4, WIDE, 2.8, grey), "hardware"))
    heavy = Pen(style.INK, style.W_HEAVY, style.PAPER)
    if scene.trays:
        found.append(LegendEntry(lambda x, y: Rect(x + 1, y - 1.7, WIDE - 2, 3.4, heavy, 0.8), "tray in work"))
    if scene.enclosure.plugged:
        found.append(LegendEntry(lambda x, y: plug(x + WIDE / 2, y, 7.0, 4.0), "plugged entry"))
    if any(entry.rod_x_mm is not None and scene.members.get(entry.name) for entry in scene.kind.entries):
        found.append(LegendEntry(_rod, "rod anchor"))
    if scene.kind.bond_x_mm is not None:
        text = "bond to earth" if bonded(scene) else "bond stud, unused"
        found.append(LegendEntry(lambda x, y: earth(x + WIDE / 2, y - 2.1), text))
    found.append(LegendEntry(lambda x, y: entry_circle(x + WIDE / 2, y, "4", 2.5), "entry number"))
    return found


def _bundle(x: float, y: float, count: int) -> Part:
    line = Path(_line(x, y), style.BUNDLE)
    return Group((line, slash_count(x + 5, y, count))) if count > 1 else line


def _transport(x: float, y: float) -> Part:
    lines = tuple(Path(_line(x, y + dy), Pen(style.INK, style.W_THIN)) for dy in (-0.5, 0.5))
    return Group((ribbon(_line(x, y), style.PAPER, 3.2, style.W_OUTLINE), *lines))


def _traced(x: float, y: float, fill: str) -> Part:
    edge, core = Pen(style.INK, 4.0), Pen(fill, 3.5)
    return Group((Path(_line(x, y), edge), Path(_line(x, y), core)))


def _rod(x: float, y: float) -> Part:
    square = Rect(x + WIDE / 2 - 1.6, y - 1.6, 3.2, 3.2, Pen(style.INK, style.W_OUTLINE, style.HARDWARE), 0.4)
    return Group((square, Circle(x + WIDE / 2, y, 0.8, Pen(style.INK, style.W_THIN, style.PAPER))))


def colours(scene: Scene) -> tuple[list[tuple[str, str, Look]], list[str]]:
    """(chip text, name, look) of every colour that a tube or cut fibre here has, in their order, and footnotes."""
    looks: dict[str, tuple[int, GlassLook]] = {}
    marked: list[GlassLook] = []
    for cable, kind, stop in scene.passing:
        tubes = [tube_look(scene.plant, cable, tube) for tube in range(1, len(kind.tubes) + 1)]
        works = {work.tube for work in stop.tubes}
        fibres: list[GlassLook] = []
        first = 1
        for tube, count in enumerate(kind.tubes, start=1):
            if tube in works:
                fibres += [fibre_look(scene.plant, cable, f) for f in range(first, first + min(count, 24))]
            first += count
        for group in (tubes, fibres):
            for place, look in enumerate(group, start=1):
                looks.setdefault(look.colour, (place, look))
                if look.marks:
                    marked.append(look)
    ordered = sorted(looks.values(), key=lambda pair: pair[0])
    chips = [(f"{place} {look.code}", look.colour, look.look) for place, look in ordered]
    return chips, _footnotes(marked)


def _footnotes(marked: Sequence[GlassLook]) -> list[str]:
    if not marked:
        return []
    words = "stripe" if "stripe" in marked[0].words else "ring"
    dark = next((look for look in marked if look.colour == "black" and look.mark_colour != "black"), None)
    also = f" (on black: {dark.mark_colour})" if dark else ""
    return [f"From 13 on: one {marked[0].mark_colour} {words} more{also}."]
