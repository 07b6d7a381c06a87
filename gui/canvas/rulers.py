"""Rulers along the canvas: millimetres of the drawing, with a mark that follows the pointer."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from gui.theme import DAY, LABEL, Tokens, font

if TYPE_CHECKING:
    from gui.canvas.view import CanvasView

RULER_PX = 26
STEPS_MM = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def tick_step_mm(scale_px: float, least_px: float = 48.0) -> float:
    """Distance between numbered ticks: the smallest of 1, 2, 5 steps that stands at least ``least_px`` apart."""
    for step in STEPS_MM:
        if step * scale_px >= least_px:
            return step
    return STEPS_MM[-1]


class Ruler(QWidget):
    """One edge's ruler; reads its scale off the view."""

    def __init__(self, view: CanvasView, *, horizontal: bool) -> None:
        super().__init__(view)
        self._view = view
        self._horizontal = horizontal
        self._pointer: int | None = None
        self._tokens: Tokens = DAY
        self.setObjectName("rulerTop" if horizontal else "rulerLeft")
        self.setAccessibleName("Ruler, millimetres")

    def set_tokens(self, tokens: Tokens) -> None:
        """Take day or night colours."""
        self._tokens = tokens
        self.update()

    def point_at(self, pixel: int) -> None:
        """Mark where the pointer is."""
        self._pointer = pixel
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint ticks at round millimetres, numbers at the larger ones."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._tokens.panel))
        painter.setPen(QPen(QColor(self._tokens.ink2), 1))
        painter.setFont(font(LABEL - 1))
        scale = self._view.scale_px
        if scale <= 0:
            return
        step = tick_step_mm(scale)
        span = self.width() if self._horizontal else self.height()
        corner = self._view.mapToScene(0, 0)
        first = corner.x() if self._horizontal else corner.y()
        fine = step / 5
        number = math.floor(first / fine)
        while True:
            value = number * fine
            at = (value - first) * scale
            if at > span:
                break
            major = number % 5 == 0
            self._tick(painter, at, 9 if major else 4)
            if major:
                self._number(painter, at, f"{value:g}")
            number += 1
        if self._pointer is not None:
            painter.setPen(QPen(QColor(self._tokens.accent), 3))
            self._tick(painter, self._pointer, RULER_PX)

    def _tick(self, painter: QPainter, at: float, length: int) -> None:
        edge = float(RULER_PX)
        if self._horizontal:
            painter.drawLine(QPointF(at, edge - length), QPointF(at, edge))
        else:
            painter.drawLine(QPointF(edge - length, at), QPointF(edge, at))

    def _number(self, painter: QPainter, at: float, text: str) -> None:
        if self._horizontal:
            painter.drawText(QPointF(at + 3, 12), text)
            return
        painter.save()
        painter.translate(12, at - 3)
        painter.rotate(-90)
        painter.drawText(QPointF(0, 0), text)
        painter.restore()
