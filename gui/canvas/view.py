"""The view onto a scene in millimetres: pan, zoom, rulers, picking, and one gesture at a time.

The view owns no plant and makes no edit: it reports what was picked, and hands the mouse and keys to the gesture that
the window gives it. A zoom of 1 shows the drawing at true size on a screen of the resolution Qt reports.
"""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QKeyEvent, QMouseEvent, QPainter, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QGraphicsView, QWidget

from gui.canvas.picking import candidates
from gui.canvas.rulers import RULER_PX, Ruler
from gui.canvas.scene import DrawingScene
from gui.theme import DAY, Tokens

START_PX = 4
"""A press that moves less than this many pixels is a click."""
HOLD_MS = 500
"""A press held still so long asks what is here."""
LARGE_ENOUGH = 2.5
"""A few words alone are not blown up beyond this many times what can just be read."""
LEAST_ZOOM, MOST_ZOOM = 0.02, 60.0


class Gesture(Protocol):
    """One way of using the mouse on the canvas: it starts, moves, and either commits one edit or leaves no trace."""

    def move(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """The pointer is at ``at`` (scene mm)."""
        ...

    def commit(self) -> None:
        """The button was released: make the one edit."""
        ...

    def cancel(self) -> None:
        """Put everything back as it was."""
        ...


class GestureSource(Protocol):
    """Who decides whether a press starts a gesture."""

    def gesture_at(self, at: QPointF, reach_mm: float) -> Gesture | None:
        """The gesture that a drag from here would be; None to pick or pan instead."""
        ...

    def nudge(self, dx_mm: float, dy_mm: float) -> bool:
        """Move what is picked by keys; True when something moved."""
        ...


class CanvasView(QGraphicsView):
    """Shows a ``DrawingScene``; ``picked`` carries the refs under a click, nearest first, and which was taken."""

    picked = Signal(list, bool)
    pointed = Signal(QPointF)
    zoomed = Signal(float)
    asked_here = Signal(QPointF, QPoint)
    asked_by_key = Signal()
    turned = Signal(int, int, str)
    """Which of how many things under a click was picked, and its ref; empty when there is none."""

    def __init__(self, scene: DrawingScene, parent: QWidget | None = None) -> None:
        super().__init__(scene, parent)
        self.drawing = scene
        self.source: GestureSource | None = None
        self.gesture: Gesture | None = None
        self.tokens: Tokens = DAY
        self.fitted = True
        self.readable_px = 0.0
        """Pixels per millimetre below which the words of the picture cannot be read; 0 for one that is to scale."""
        self._whole = False
        self._corner = QPoint()
        self._press: QPoint | None = None
        self._pan: QPoint | None = None
        self._space = False
        self.loose: tuple[str, ...] = ()
        """Beginnings of refs that stand for loose shapes of this picture and are no thing to pick."""
        self._hold = QTimer(self)
        self._hold.setSingleShot(True)
        self._hold.setInterval(HOLD_MS)
        self._hold.timeout.connect(self._held)
        self._under: list[str] = []
        self._clicked = QPointF()
        self._turn = 0
        self.setObjectName("canvas")
        self.setAccessibleName("Canvas")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setRenderHints(QPainter.RenderHint.Antialiasing | QPainter.RenderHint.TextAntialiasing)
        self.setViewportUpdateMode(QGraphicsView.ViewportUpdateMode.SmartViewportUpdate)
        self.setTransformationAnchor(QGraphicsView.ViewportAnchor.NoAnchor)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.ruler_top = Ruler(self, horizontal=True)
        self.ruler_left = Ruler(self, horizontal=False)
        self.set_rulers(True)

    # -- looks ---------------------------------------------------------------------------------------------------

    def set_tokens(self, tokens: Tokens) -> None:
        """Take day or night colours."""
        self.tokens = tokens
        self.setBackgroundBrush(QColor(tokens.paper))
        self.ruler_top.set_tokens(tokens)
        self.ruler_left.set_tokens(tokens)

    def set_rulers(self, shown: bool) -> None:
        """Show rulers in millimetres, where the picture is to scale."""
        margin = RULER_PX if shown else 0
        self.setViewportMargins(margin, margin, 0, 0)
        self.ruler_top.setVisible(shown)
        self.ruler_left.setVisible(shown)
        self._place_rulers()

    def _place_rulers(self) -> None:
        port = self.viewport().geometry()
        self.ruler_top.setGeometry(port.x(), port.y() - RULER_PX, port.width(), RULER_PX)
        self.ruler_left.setGeometry(port.x() - RULER_PX, port.y(), RULER_PX, port.height())

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Keep rulers in place, and a fitted picture fitted; a row that came in above moves nothing on the screen."""
        super().resizeEvent(event)
        self._place_rulers()
        corner = self.viewport().mapTo(self.window(), QPoint(0, 0))
        down, self._corner = corner.y() - self._corner.y(), corner
        lost = event.oldSize().height() - event.size().height()
        pushed = 0 < down == lost and event.oldSize().width() == event.size().width()
        if pushed:
            self._scroll(0, down)
        elif self.fitted and self.gesture is None:
            if self._whole:
                self.fit()
            else:
                self.home()

    # -- zoom and pan --------------------------------------------------------------------------------------------

    @property
    def scale_px(self) -> float:
        """Pixels per millimetre."""
        return self.transform().m11()

    @property
    def true_px(self) -> float:
        """Pixels per millimetre at true size."""
        return self.logicalDpiX() / 25.4

    def fit(self) -> None:
        """Show the whole picture."""
        box = self.drawing.bounds()
        if box.isEmpty():
            return
        port = self.viewport().rect()
        scale = min(port.width() / (box.width() * 1.06), port.height() / (box.height() * 1.06))
        self.set_scale(scale, None)
        self.centerOn(box.center())
        self.fitted = self._whole = True
        self._moved()

    def home(self) -> None:
        """Show the whole picture, its words no larger than they need be.

        A picture whose words could not be read then is shown from its top, as wide as the view.
        """
        self.fit()
        self._whole = False
        box, port = self.drawing.bounds(), self.viewport().rect()
        if self.readable_px and self.scale_px > LARGE_ENOUGH * self.readable_px:
            self.set_scale(LARGE_ENOUGH * self.readable_px, None)
            self.centerOn(box.center())
            self.fitted = True
        scale = port.width() / max(box.width() * 1.06, 1e-6)
        if box.isEmpty() or self.scale_px >= self.readable_px or scale <= self.scale_px * 1.05:
            return
        self.set_scale(scale, None)
        self.centerOn(box.center().x(), box.top() + port.height() / scale / 2 - 0.03 * box.width())
        self.fitted = True

    def set_scale(self, scale_px: float, about: QPoint | None) -> None:
        """Zoom to pixels per millimetre, keeping the point under ``about`` (viewport px) where it is."""
        scale = min(max(scale_px, LEAST_ZOOM), MOST_ZOOM)
        centre = about if about is not None else self.viewport().rect().center()
        before = self.mapToScene(centre)
        self.resetTransform()
        box = self.drawing.bounds()
        margin = 2000.0 / scale + max(box.width(), box.height())
        self.setSceneRect(box.adjusted(-margin, -margin, margin, margin))
        self.scale(scale, scale)
        shift = self.mapFromScene(before) - centre
        self._scroll(shift.x(), shift.y())
        self.fitted = False
        self.zoomed.emit(scale)
        self._moved()

    def _scroll(self, dx: int, dy: int) -> None:
        across, down = self.horizontalScrollBar(), self.verticalScrollBar()
        across.setValue(across.value() + dx)
        down.setValue(down.value() + dy)

    def zoom_by(self, factor: float, about: QPoint | None = None) -> None:
        """Zoom in (above 1) or out."""
        self.set_scale(self.scale_px * factor, about)

    def pan_by(self, dx: int, dy: int) -> None:
        """Move the picture by pixels."""
        self._scroll(-dx, -dy)
        self.fitted = False
        self._moved()

    def _moved(self) -> None:
        self.ruler_top.update()
        self.ruler_left.update()

    def scrollContentsBy(self, dx: int, dy: int) -> None:  # noqa: N802  # Qt's name
        """Keep the rulers in step."""
        super().scrollContentsBy(dx, dy)
        self._moved()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802  # Qt's name
        """Wheel pans, with Control it zooms at the pointer."""
        delta = event.angleDelta()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom_by(1.0015 ** delta.y(), event.position().toPoint())
        elif event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.pan_by(delta.y() // 2, 0)
        else:
            self.pan_by(delta.x() // 2, delta.y() // 2)
        event.accept()

    # -- mouse ---------------------------------------------------------------------------------------------------

    def reach_mm(self, pixels: float = 6.0) -> float:
        """How far a pointer reaches, in scene millimetres."""
        return pixels / max(self.scale_px, 1e-6)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Start a pan, a gesture or a click."""
        point = event.position().toPoint()
        if self.gesture is not None:
            if event.button() == Qt.MouseButton.RightButton:
                self.cancel_gesture()
            return
        if event.button() == Qt.MouseButton.MiddleButton or (
            event.button() == Qt.MouseButton.LeftButton and self._space
        ):
            self._pan = point
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif event.button() == Qt.MouseButton.LeftButton:
            self._press = point
            self._hold.start()
        elif event.button() == Qt.MouseButton.RightButton:
            self.asked_here.emit(self.mapToScene(point), event.globalPosition().toPoint())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Pan, or move the gesture; a press becomes a gesture once it has moved far enough."""
        point = event.position().toPoint()
        self.pointed.emit(self.mapToScene(point))
        self.ruler_top.point_at(point.x())
        self.ruler_left.point_at(point.y())
        if self._pan is not None:
            moved = point - self._pan
            self._pan = point
            self.pan_by(moved.x(), moved.y())
        elif self.gesture is not None:
            if not event.buttons() & Qt.MouseButton.LeftButton:
                # The release was lost outside the window: nothing may stay stuck to the pointer.
                self.cancel_gesture()
                return
            self.gesture.move(self.mapToScene(point), event.modifiers())
        elif self._press is not None and (point - self._press).manhattanLength() >= START_PX:
            self._hold.stop()
            start = self.mapToScene(self._press)
            found = self.source.gesture_at(start, self.reach_mm(10.0)) if self.source else None
            self._press = None
            if found is not None:
                self.gesture = found
                found.move(self.mapToScene(point), event.modifiers())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """End a pan, commit a gesture, or pick."""
        self._hold.stop()
        if self._pan is not None and event.button() in (Qt.MouseButton.MiddleButton, Qt.MouseButton.LeftButton):
            self._pan = None
            self.unsetCursor()
        elif self.gesture is not None and event.button() == Qt.MouseButton.LeftButton:
            done, self.gesture = self.gesture, None
            done.commit()
        elif self._press is not None and event.button() == Qt.MouseButton.LeftButton:
            self._press = None
            self.pick_at(self.mapToScene(event.position().toPoint()), event.modifiers())

    def pick_at(self, at: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        """Pick the nearest thing; again at the same spot, the next one underneath."""
        under = self.things_at(at)
        away = at - self._clicked
        again = under == self._under and max(abs(away.x()), abs(away.y())) <= self.reach_mm()
        self._turn = (self._turn + 1) % len(under) if under and again else 0
        self._under, self._clicked = under, at
        add = bool(modifiers & Qt.KeyboardModifier.ControlModifier)
        ref = under[self._turn] if under else ""
        self.picked.emit([ref] if ref else [], add)
        self.turned.emit(self._turn + 1, len(under), ref)

    def things_at(self, at: QPointF) -> list[str]:
        """Refs of the things under a point, the top one first."""
        return [ref for ref in candidates(self.drawing, at, self.reach_mm()) if not ref.startswith(self.loose)]

    def _held(self) -> None:
        """A press held still: it asks what is here, and is no click any more."""
        if self._press is not None and self.gesture is None:
            point, self._press = self._press, None
            self.asked_here.emit(self.mapToScene(point), self.viewport().mapToGlobal(point))

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802  # Qt's name
        """The right button and the Menu key have been answered as what they are."""
        event.accept()

    def cancel_gesture(self) -> bool:
        """Put the gesture in hand back; False when there is none."""
        if self.gesture is None:
            return False
        dropped, self.gesture = self.gesture, None
        dropped.cancel()
        return True

    def focusOutEvent(self, event: QEvent) -> None:  # noqa: N802  # Qt's name
        """A lost capture equals Esc."""
        self._space = False
        self._press = None
        self._hold.stop()
        self.cancel_gesture()
        super().focusOutEvent(event)  # type: ignore[arg-type]  # it is the focus event Qt sent

    # -- keys ----------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows nudge what is picked (Shift 10, Alt 0.1 mm), with Control they pan; Space pans with the mouse."""
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1),
            Qt.Key.Key_Down: (0, 1),
        }
        key = Qt.Key(event.key())
        modifiers = event.modifiers()
        if key == Qt.Key.Key_Escape and self.cancel_gesture():
            return
        if key == Qt.Key.Key_Menu or (key == Qt.Key.Key_F10 and modifiers & Qt.KeyboardModifier.ShiftModifier):
            self.asked_by_key.emit()
            return
        if key == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = True
            return
        if key in steps:
            dx, dy = steps[key]
            if modifiers & Qt.KeyboardModifier.ControlModifier:
                self.pan_by(-dx * 60, -dy * 60)
                return
            size = 10.0 if modifiers & Qt.KeyboardModifier.ShiftModifier else 1.0
            size = 0.1 if modifiers & Qt.KeyboardModifier.AltModifier else size
            if self.source is not None and self.source.nudge(dx * size, dy * size):
                return
        event.ignore()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Let Space go."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
            return
        super().keyReleaseEvent(event)

    def visible_mm(self) -> QRectF:
        """The part of the picture in sight, scene millimetres."""
        return self.mapToScene(self.viewport().rect()).boundingRect()
