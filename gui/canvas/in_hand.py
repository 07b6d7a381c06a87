"""What a drag shows besides the picture: a ghost of what is in hand, the place it would go to, and words beside it.

Boxes are scene millimetres; strokes and the least height of a target are screen pixels. Nothing here knows the plant.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QGraphicsItem, QLabel, QStyleOptionGraphicsItem, QWidget

from gui.canvas.overlay import Overlay

SWELL_PX = 28.0
"""Least height of a slot or chip under the pointer, so that it can be hit and seen beside a hand."""
RIGHT_PX, BELOW_PX = 64, 14


@dataclass(frozen=True, slots=True)
class InHand:
    """What is shown: where it came from, the ghost, the target with whether it may go there, and a thread to it."""

    origin: QRectF | None = None
    ghost: QRectF | None = None
    target: QRectF | None = None
    good: bool = True
    label: str = ""
    thread: tuple[QPointF, QPointF] | None = None


class HandItem(QGraphicsItem):
    """Paints what is in hand, above the picture and its outlines; takes its colours from the board's overlay."""

    def __init__(self, overlay: Overlay) -> None:
        super().__init__()
        self.overlay = overlay
        self.shown = InHand()
        self.setZValue(2e6)
        self.setAcceptedMouseButtons(Qt.MouseButton.NoButton)

    def show_hand(self, shown: InHand) -> None:
        """Show something else in hand, or nothing."""
        self.prepareGeometryChange()
        self.shown = shown
        self.update()

    def boundingRect(self) -> QRectF:  # noqa: N802  # Qt's name
        """Everything shown, with room for strokes and a swollen target."""
        box = QRectF()
        for rect in (self.shown.origin, self.shown.ghost, self.shown.target):
            if rect is not None:
                box = box.united(rect)
        if self.shown.thread is not None:
            box = box.united(QRectF(*self.shown.thread).normalized())
        return box.adjusted(-40, -40, 40, 40) if not box.isNull() else box

    def paint(self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None) -> None:
        """Dotted where it was, dashed where it goes, the target swollen with its word."""
        px = 1.0 / max(QStyleOptionGraphicsItem.levelOfDetailFromTransform(painter.worldTransform()), 1e-6)
        tokens, shown = self.overlay.tokens, self.shown
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if shown.origin is not None:
            painter.setPen(QPen(QColor(tokens.ink2), 2 * px, Qt.PenStyle.DotLine))
            painter.drawRoundedRect(shown.origin, 3 * px, 3 * px)
        if shown.thread is not None:
            painter.setPen(QPen(QColor(tokens.accent), 3 * px, Qt.PenStyle.DashLine))
            painter.drawLine(*shown.thread)
        if shown.target is not None:
            self._target(painter, shown.target, px)
        if shown.ghost is not None:
            fill = QColor(tokens.tint)
            fill.setAlphaF(0.85)
            painter.setPen(QPen(QColor(tokens.accent), 2 * px, Qt.PenStyle.DashLine))
            painter.setBrush(fill)
            half = shown.ghost.height() / 2
            painter.drawRoundedRect(shown.ghost, half, half)

    def _target(self, painter: QPainter, rect: QRectF, px: float) -> None:
        tokens, good = self.overlay.tokens, self.shown.good
        grow = max(SWELL_PX * px - rect.height(), 4 * px) / 2
        box = rect.adjusted(-6 * px, -grow, 6 * px, grow)
        colour = QColor(tokens.accent if good else tokens.error)
        painter.setPen(QPen(colour, 3 * px))
        if self.shown.label:
            painter.setBrush(QColor(tokens.tint if good else tokens.error_tint))
        painter.drawRoundedRect(box, 5 * px, 5 * px)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if not good:
            # A bar across says it without colour.
            painter.drawLine(box.bottomLeft(), box.topRight())
        if self.shown.label:
            font = painter.font()
            font.setPixelSize(14)
            font.setBold(True)
            painter.save()
            painter.translate(box.center())
            painter.scale(px, px)
            painter.setFont(font)
            room = QRectF(-100, -11, 200, 22)
            wide = painter.fontMetrics().horizontalAdvance(self.shown.label) + 10
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(tokens.tint if good else tokens.error_tint))
            painter.drawRect(QRectF(-wide / 2, -10, wide, 20))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter, self.shown.label)
            painter.restore()


class HandTag(QLabel):
    """Words beside the pointer, never under it; a child of the canvas's viewport."""

    def __init__(self, viewport: QWidget, overlay: Overlay, name: str) -> None:
        super().__init__(viewport)
        self.viewport = viewport
        self.overlay = overlay
        self.setObjectName(name)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.hide()

    def say(self, text: str, pointer: QPoint, *, good: bool = True) -> None:
        """Show words for a pointer (viewport px), inside the viewport and clear of it."""
        tokens = self.overlay.tokens
        edge = tokens.accent if good else tokens.error
        self.setStyleSheet(
            f"background: {tokens.raised}; color: {tokens.ink}; border: 2px solid {edge}; border-radius: 6px;"
            " padding: 6px 10px; font-weight: bold;"
        )
        self.setText(text)
        self.setAccessibleName(text)
        self.adjustSize()
        port = self.viewport.rect()
        x = pointer.x() + RIGHT_PX
        if x + self.width() > port.right():
            x = pointer.x() - RIGHT_PX - self.width()
        y = pointer.y() + BELOW_PX
        if y + self.height() > port.bottom():
            y = pointer.y() - BELOW_PX - self.height()
        self.move(max(x, 0), max(y, 0))
        self.show()
        self.raise_()
