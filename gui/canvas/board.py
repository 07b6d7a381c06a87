"""One view's canvas: its scene, its overlay, and the outlines of what is picked."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainterPath

from gui.canvas.overlay import Overlay
from gui.canvas.scene import DrawingScene
from gui.canvas.view import CanvasView
from gui.theme import Tokens
from render.drawing import Group

LABELS = ("chip", "tag", "loud-tag", "slot")
"""Roles of groups that name glass and are not drawn over by it."""


NAMING = (*LABELS, "on-tube")
"""Roles of groups that are lettering alone."""
READABLE_PX = 2.4
"""Pixels per millimetre below which the lettering of a schematic cannot be read: a long one is shown from its top."""


EDGE_PX = 12.0
"""What lies nearer to the edge of the view than this is not counted as in sight."""


class Board:
    """A canvas with its scene; ``show_groups`` keeps the zoom unless the picture is another place's."""

    def __init__(self, name: str, *, to_scale: bool) -> None:
        self.scene = DrawingScene()
        self.overlay = Overlay()
        self.scene.addItem(self.overlay)
        self.view = CanvasView(self.scene)
        self.view.setObjectName(name)
        self.view.set_rulers(to_scale)
        # A box or tray is seen whole first, however high; of a schematic the words are the point.
        self.view.readable_px = 0.0 if to_scale else READABLE_PX
        self.stale = True
        self._fit_for: object = None

    def show_groups(self, groups: Sequence[Group], unit_mm: float, place: object) -> None:
        """Show a picture; another ``place`` than last time fits it into view."""
        self.scene.show_groups(groups, unit_mm)
        self.stale = False
        if place != self._fit_for:
            self._fit_for = place
            self.view.home()

    def shapes_of(self, refs: Sequence[str]) -> tuple[QPainterPath, ...]:
        """Shapes of things in scene millimetres, as they are hit; the labels that name them are left out."""
        items = [item for ref in refs for item in self.scene.items_of(ref) if item.picture.role not in NAMING]
        return tuple(item.mapToScene(item.hit_shape().simplified()) for item in items)

    def outline(self, refs: Sequence[str], labels: bool = False) -> None:
        """Outline the things picked; ``labels``: where a thing has labels, those alone."""
        items = []
        for ref in refs:
            held = self.scene.items_of(ref)
            named = [item for item in held if item.picture.role in LABELS] if labels else []
            items += named or held
        self.overlay.show_outlines(tuple(item.mapToScene(item.hit_shape().simplified()) for item in items))

    def centre_on(self, ref: str) -> bool:
        """Bring a thing that is not wholly in sight into the middle; False when it is not in this picture."""
        items = self.scene.items_of(ref)
        if not items:
            return False
        box = QRectF()
        for item in items:
            box = box.united(item.sceneBoundingRect())
        seen = self.view.visible_mm().adjusted(*(n * self.view.reach_mm(EDGE_PX) for n in (1, 1, -1, -1)))
        if not seen.contains(box):
            self.view.fitted = False
            self.view.centerOn(box.center())
        return True

    def set_tokens(self, tokens: Tokens, night: bool) -> None:
        """Take day or night colours."""
        self.scene.set_night(night)
        self.overlay.tokens = tokens
        self.view.set_tokens(tokens)
        self.overlay.update()
