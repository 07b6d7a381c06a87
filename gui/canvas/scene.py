"""The scene: groups reconciled by key, so that an edit repaints only what it changed.

A key is the group's ref and role and how often that pair came before; a group equal to the one shown is left alone.
The scene only shows; it never edits.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QGraphicsScene

from gui.canvas.items import GroupItem
from render.drawing import Group

Key = tuple[str, str, int]


def keyed(groups: Iterable[Group]) -> dict[Key, Group]:
    """Groups by key, in painting order."""
    made: dict[Key, Group] = {}
    seen: dict[tuple[str, str], int] = {}
    for group in groups:
        pair = (group.ref, group.role)
        number = seen.get(pair, 0)
        seen[pair] = number + 1
        made[*pair, number] = group
    return made


class DrawingScene(QGraphicsScene):
    """Shows the groups of one picture in millimetres."""

    def __init__(self) -> None:
        super().__init__()
        self.shown: dict[Key, GroupItem] = {}
        self.night = False
        self.unit_mm = 1.0
        """Scene millimetres of one millimetre of the picture: a picture drawn at 1:2.5 has 2.5, so that the scene
        stays true to size while its lettering grows with it."""
        self.rebuilt = 0
        """Items made or repainted by the last ``show_groups``: what an edit really touched."""

    def show_groups(self, groups: Iterable[Group], unit_mm: float = 1.0) -> None:
        """Show these groups and no others, touching only those that differ."""
        wanted = keyed(groups)
        self.unit_mm = unit_mm
        self.rebuilt = 0
        for key in [key for key in self.shown if key not in wanted]:
            self.removeItem(self.shown.pop(key))
            self.rebuilt += 1
        for order, (key, group) in enumerate(wanted.items()):
            item = self.shown.get(key)
            if item is None:
                item = GroupItem(group, self.night)
                self.shown[key] = item
                self.addItem(item)
                self.rebuilt += 1
            elif item.picture != group:
                item.show_group(group, self.night)
                self.rebuilt += 1
            if item.scale() != unit_mm:
                item.setScale(unit_mm)
            if item.zValue() != order:
                item.setZValue(order)

    def set_night(self, night: bool) -> None:
        """Paint everything again in day or night colours."""
        if night != self.night:
            self.night = night
            for item in self.shown.values():
                item.show_group(item.picture, night)

    def bounds(self) -> QRectF:
        """Bounds of everything shown."""
        box = QRectF()
        for item in self.shown.values():
            box = box.united(item.sceneBoundingRect())
        return box

    def items_of(self, ref: str) -> list[GroupItem]:
        """The items that picture one entity."""
        return [item for (key, _, _), item in self.shown.items() if key == ref]
