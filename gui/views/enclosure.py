"""The Enclosure view: the box to scale, from the same parts as the layout sheet, one group per thing to pick."""

from __future__ import annotations

from dataclasses import replace

from model.plant import Plant
from render.drawing import Group, Part
from render.refs import enclosure_ref
from render.sheets.layout_courses import glass
from render.sheets.layout_entries import entries
from render.sheets.layout_hardware import bays, housing, tray_titles, trays
from render.sheets.layout_scene import Taken, View, gather

TRUE_SIZE = View(1.0, 0.0, 0.0)


def enclosure_groups(plant: Plant, site: str) -> list[Group]:
    """The enclosure of a site in its own millimetres, in painting order. Raises PlantError when it has none."""
    scene = gather(plant, site)
    loose = enclosure_ref(scene.enclosure.id)
    taken = Taken()
    groups: list[Group] = []
    for role, parts in (
        ("housing", housing(scene, TRUE_SIZE)),
        ("entries", entries(scene, TRUE_SIZE, taken)),
        ("bays", bays(scene, TRUE_SIZE)),
        ("trays", trays(scene, TRUE_SIZE)),
        ("glass", glass(scene, TRUE_SIZE, set(), False)),
        ("titles", tray_titles(scene, TRUE_SIZE, taken)),
    ):
        groups += as_groups(parts, role, loose)
    return groups


def as_groups(parts: list[Part], role: str, ref: str) -> list[Group]:
    """Parts as groups: a loose shape joins the loose shapes before it under ``ref``."""
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
