"""The Enclosure view: the box to scale, from the same parts as the layout sheet, one group per thing to pick."""

from __future__ import annotations

from dataclasses import replace

from model.graph import Continuity
from model.lookup import enclosure_at, enclosure_type
from model.plant import Plant
from render.dims import Scale
from render.drawing import Group, Part, Text
from render.refs import entry_ref, site_ref
from render.sheets import layout_courses as courses
from render.sheets import layout_entries as entries
from render.sheets import layout_hardware as hardware
from render.sheets import layout_tags as tags
from render.sheets.layout_scene import Scene, Taken, View, gather, inward
from render.sheets.layout_trace import glow, traced_routes, underlay

OUTSIDE_MM = 44.0
"""Length of sheath shown outside an entry."""
SHEET_MM = 170.0
"""Width at which an enclosure is drawn, so that its lettering is as large beside it as on the layout sheet."""


def picture_scale(width_mm: float) -> Scale:
    """The scale, in halves, at which a box is about ``SHEET_MM`` wide; never enlarged."""
    return Scale(2, max(2, round(2 * width_mm / SHEET_MM)))


def enclosure_groups(plant: Plant, site: str, node: str = "", continuity: Continuity | None = None) -> list[Group]:
    """The enclosure of a site at ``picture_scale``, in painting order. Raises PlantError when it has none.

    ``node`` is a node of the continuity graph whose path is underlaid; ``continuity`` saves building that graph.
    """
    scene = gather(plant, site, live=False)
    view, taken = View(picture_scale(scene.kind.width_mm), 0.0, 0.0), Taken()
    inside = view.box(0.0, 0.0, scene.kind.width_mm, scene.kind.height_mm)
    coloured, plain = tags.split_express(scene, view)
    ribbons = {route: width for run in plain for route, width in courses.as_ribbon(run).items()}
    titles: list[Part] = hardware.tray_titles(scene, view, taken)
    for run, rows in coloured:
        titles += tags.hub_chips(view, run, rows, taken)
    for run in scene.express:
        titles += tags.loud_tags(view, run, taken, inside)
    in_hub = {item.route.id for run, _ in coloured for item in run.routes}
    named = [i for i in scene.drawn if i.route.kind == "tube" and i.route.id not in in_hub]
    chips, _ = tags.course_chips(scene, view, named, taken, inside)
    titles += [*chips, *tags.slashes(view, scene.drawn, courses.transports(scene), taken, inside)]
    traced = traced_routes(scene, node, continuity)
    stubs = {entry.name: OUTSIDE_MM * view.k for entry in scene.kind.entries}
    loose = site_ref(site)
    groups: list[Group] = []
    for role, parts in (
        ("housing", hardware.housing(scene, view)),
        ("bays", hardware.bays(scene, view)),
        ("rails", entries.rails(scene, view)),
        ("trays", hardware.trays(scene, view)),
        ("bond", entries.bond(scene, view)),
        ("rods", entries.rods(scene, view)),
        ("sheaths", entries.sheaths(scene, view, stubs)),
        ("trace", underlay(view, traced, False)),
        ("glass", courses.glass(scene, view, ribbons, False, {item.route.id for item in traced}, glow(False))),
        ("ties", entries.ties(scene, view)),
        ("fittings", entries.fittings(scene, view)),
        ("titles", titles),
        ("numbers", _numbers(scene, view)),
    ):
        groups += as_groups(parts, role, loose)
    return groups


def _numbers(scene: Scene, view: View) -> list[Part]:
    """The name of every entry with what comes through it, outside the box."""
    parts: list[Part] = []
    for entry in scene.kind.entries:
        members = scene.members.get(entry.name, ())
        x, y = view.at(*inward(entry, -OUTSIDE_MM - 12.0))
        label = f"{entry.name}"
        plugged = ["plug"] if entry.name in scene.enclosure.plugged else []
        lines = [label, *([members[0].cable.name] if members else plugged)]
        if len(members) > 1:
            lines.append(f"+{len(members) - 1}")
        if members and members[0].passing:
            lines.append(f"to {scene.far(members[0].cable, members[0].side)}")
        texts = tuple(
            Text(x, y + 4.0 * i, line, 2.5, "normal" if i else "bold", "middle") for i, line in enumerate(lines)
        )
        parts.append(Group(texts, role="entry-name", ref=entry_ref(scene.enclosure.id, entry.name)))
    return parts


def as_groups(parts: list[Part], role: str, ref: str) -> list[Group]:
    """Parts as groups: loose shapes in a row go together under ``ref``."""
    made: list[Group] = []
    loose: list[Part] = []
    for part in parts:
        if isinstance(part, Group):
            if loose:
                made.append(Group(tuple(loose), role=role, ref=ref))
                loose = []
            made.append(part if part.role else replace(part, role=role))
        else:
            loose.append(part)
    if loose:
        made.append(Group(tuple(loose), role=role, ref=ref))
    return made


def unit_of(plant: Plant, site: str) -> float:
    """Enclosure millimetres of one millimetre of its picture."""
    enclosure = enclosure_at(plant, site)
    return 1.0 / picture_scale(enclosure_type(plant, enclosure).width_mm).factor if enclosure else 1.0
