"""Moving a picked route's supports in the Enclosure view: by drag, by arrows, judged while it moves.

One drag is one edit. Nothing in the plant changes before the release; Esc, the right button and a lost pointer put
everything back.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, QPoint, QPointF, Qt, Signal

from gui.canvas.drag_tag import DragTag, TagText
from gui.canvas.judging import Judged, farthest_drawn, judge, just_legal, level_with, moved, shifted
from gui.canvas.overlay import Overlay, Shown
from gui.canvas.view import CanvasView, Gesture
from gui.document import Document, Notice
from gui.panels.bend_limits import support_names
from model.edits.routing import DrawRoute, SetSupport
from model.entities import Route, Support

SNAP_SHARE = 0.06
"""A corner sticks at the smallest allowed radius while it is within this share of it."""
SNAP_PX = 6.0
"""A corner this near to being level with a neighbour is level with it."""


def handle_at(support: Support) -> tuple[float, float]:
    """Where a support is gripped: a wrap at the top of its circle, everything else where it is."""
    return (support.x_mm, support.y_mm - support.radius_mm) if support.kind == "wrap" else (support.x_mm, support.y_mm)


def route_words(document: Document, route: Route) -> str:
    """What a person calls a route: ``T2 A side``, ``drops in 4``."""
    if route.kind == "tube":
        tubes = "+".join(f"T{tube}" for tube in route.tubes)
        return {"": tubes, "<": f"{tubes} A side", ">": f"{tubes} B side"}[route.side]
    if route.kind == "bundle":
        names = [c.name for c in document.plant.cables.values() if any(s.id in route.stops for s in c.stops)]
        return "drop " + ", ".join(sorted(names)[:3])
    return "sheath"


class RouteTools(QObject):
    """The gestures of the Enclosure view; ``live`` carries what is judged while it moves, None when it ends."""

    live = Signal(object)

    def __init__(self, document: Document, view: CanvasView, overlay: Overlay) -> None:
        super().__init__(view)
        self.document = document
        self.view = view
        self.overlay = overlay
        self.tag = DragTag(view.viewport())
        self.route_id: str | None = None
        self.active = -1

    @property
    def route(self) -> Route | None:
        """The picked route."""
        return self.document.plant.routes.get(self.route_id) if self.route_id else None

    def pick(self, route_id: str | None) -> None:
        """Show handles on a route, or on none."""
        self.route_id = route_id
        self.active = -1
        self.refresh()

    def refresh(self) -> None:
        """Show the picked route as the plant has it now."""
        route = self.route
        if route is None:
            self.route_id = None
            self.overlay.show_route(Shown())
            return
        if self.active >= len(route.supports):
            self.active = -1
        self.show_judged(judge(self.document.plant, route), None)

    def show_judged(self, judged: Judged, before: Judged | None) -> None:
        """Show a course and how it stands; ``before`` is the old course while it is being moved."""
        kinks = tuple((k.x, k.y) for k in judged.course.kinks) if judged.course else ()
        self.overlay.show_route(
            Shown(
                course=judged.course,
                before=before.course if before else None,
                supports=tuple(
                    replace(s, y_mm=s.y_mm - s.radius_mm) if s.kind == "wrap" else s for s in judged.route.supports
                ),
                active=self.active if before is None else shifted(before.route, judged.route, self.active),
                tight=judged.tight.arc if judged.tight else None,
                limit_mm=judged.limit_mm,
                bad=judged.bad,
                kinks=kinks,
            )
        )

    def support_at(self, at: QPointF, reach_mm: float) -> int:
        """Index of the movable support whose handle is within reach; -1 for none."""
        route = self.route
        if route is None:
            return -1
        best, found = reach_mm, -1
        for index, support in enumerate(route.supports):
            if support.kind == "anchor":
                continue
            x, y = handle_at(support)
            away = ((x - at.x()) ** 2 + (y - at.y()) ** 2) ** 0.5
            if away <= best:
                best, found = away, index
        return found

    def gesture_at(self, at: QPointF, reach_mm: float) -> Gesture | None:
        """A drag of the support under the pointer, if a route is picked and may be edited."""
        index = self.support_at(at, reach_mm)
        route = self.route
        if index < 0 or route is None or self.document.read_only:
            return None
        self.active = index
        x, y = handle_at(route.supports[index])
        return SupportDrag(self, route, index, QPointF(x - at.x(), y - at.y()))

    def nudge(self, dx_mm: float, dy_mm: float) -> bool:
        """Move the active support by arrows; a wrap's lane grows upward. One press is one edit."""
        route = self.route
        if route is None:
            return False
        if self.active < 0:
            self.active = next((i for i, s in enumerate(route.supports) if s.kind == "corner"), -1)
            if self.active < 0:
                return False
        support = route.supports[self.active]
        x, y = handle_at(support)
        made = moved(route, self.active, x + dx_mm, y + dy_mm)
        return self.commit(route, made)

    def commit(self, before: Route, after: Route) -> bool:
        """Make the one edit of a move; nothing when nothing moved."""
        if after == before:
            self.refresh()
            return False
        name = f"move {support_names(before)[self.active]} of {route_words(self.document, before)}"
        same = len(before.supports) == len(after.supports)
        one_moved = same and sum(one != two for one, two in zip(before.supports, after.supports, strict=True)) == 1
        alone = SetSupport(before.id, self.active, after.supports[self.active], name)
        done = self.document.do(alone if one_moved else DrawRoute(after, name))
        self.active = shifted(before, after, self.active)
        self.refresh()
        return done

    def step_support(self, forward: bool) -> None:
        """Make the next movable support the active one."""
        route = self.route
        if route is None:
            return
        movable = [i for i, s in enumerate(route.supports) if s.kind != "anchor"]
        if movable:
            place = movable.index(self.active) if self.active in movable else (-1 if forward else 0)
            self.active = movable[(place + (1 if forward else -1)) % len(movable)]
            self.refresh()


class SupportDrag:
    """One drag of one support; ``grip`` is from where it was gripped to its handle, so that nothing jumps."""

    def __init__(self, tools: RouteTools, route: Route, index: int, grip: QPointF) -> None:
        self.grip = grip
        self.tools = tools
        self.index = index
        self.before = judge(tools.document.plant, route)
        self.now = self.before
        self._at = handle_at(route.supports[index])
        self._drawn = self._at
        self._held_back = False
        self._pointer = QPointF(*self._at)

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Propose the place under the pointer, level with a neighbour or just legal where that is near.

        Alt holds both off.
        """
        plant, route = self.tools.document.plant, self.before.route
        free = bool(modifiers & Qt.KeyboardModifier.AltModifier)
        self._pointer = at
        wanted = at + self.grip
        reach_mm = 0.0 if free else self.tools.view.reach_mm(SNAP_PX)
        x, y = level_with(route, self.index, wanted.x(), wanted.y(), reach_mm)
        self._at = (x, y)
        judged = judge(plant, moved(route, self.index, x, y))
        self._held_back = judged.course is None and self.before.course is not None
        if self._held_back:
            # Between circles and ends there may be no course at all: the corner stays as near as there is one.
            x, y = farthest_drawn(route, self.index, self._drawn, (x, y))
            judged = judge(plant, moved(route, self.index, x, y))
        self._drawn = (x, y)
        radius = judged.radius_mm
        if judged.bad and radius is not None and radius >= judged.limit_mm * (1.0 - SNAP_SHARE) and not free:
            legal = just_legal(plant, route, self.index, x, y)
            if legal is not None:
                judged = judge(plant, legal)
        self.now = judged
        self.tools.show_judged(judged, self.before)
        self._say(at)
        self.tools.live.emit(judged)

    def _say(self, at: QPointF) -> None:
        old = self.before.course.length_mm if self.before.course else 0.0
        length = self.now.course.length_mm if self.now.course else 0.0
        text = TagText(
            radius_mm=self.now.radius_mm,
            limit_mm=self.now.limit_mm,
            whose=self.now.whose,
            place=f"at {self.now.place}" if self.now.place else "",
            held_back=self._held_back,
            length_mm=length,
            change_mm=length - old,
            fault=self.now.fault,
        )
        pointer: QPoint = self.tools.view.mapFromScene(at)
        self.tools.tag.show_text(text, pointer)

    def cure(self) -> bool:
        """Go back to the farthest legal place on the way here; False when there is none."""
        legal = just_legal(self.tools.document.plant, self.before.route, self.index, *self._at)
        if legal is None:
            return False
        self.now = judge(self.tools.document.plant, legal)
        self.tools.show_judged(self.now, self.before)
        self._say(self._pointer)
        self.tools.live.emit(self.now)
        return True

    def commit(self) -> None:
        """Make the one edit; a course that cannot be drawn is put back instead, and that is said."""
        self.tools.tag.hide()
        self.tools.live.emit(None)
        if self.now.course is None:
            self.tools.refresh()
            self.tools.document.noticed.emit(Notice("warning", f"The route is as before: {self.now.fault}"))
            return
        self.tools.commit(self.before.route, self.now.route)

    def cancel(self) -> None:
        """Put the route back as it was."""
        self.tools.tag.hide()
        self.tools.live.emit(None)
        self.tools.refresh()
