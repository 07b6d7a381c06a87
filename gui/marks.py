"""State marks, swatches of glass, and bars, painted at any size and in any theme.

A state is a shape, a letter and a lightness before it is a colour: a dark octagon E, a pale triangle W, an empty ring
N, a tick. A swatch is outlined and carries the stripes or rings of the later dozens as dashes. No widget is known here.
"""

from __future__ import annotations

import math
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QPolygonF

from gui.theme import Tokens, font

State = Literal["error", "warning", "note", "fine"]
"""How a thing stands, the gravest first."""
BarState = Literal["uncut", "opened", "part", "cut", "ends"]
"""What is done to a tube: nothing; a window; some of its fibres cut; all cut; the cable ends here."""

LETTERS: dict[State, str] = {"error": "E", "warning": "W", "note": "N", "fine": ""}
WORDS: dict[State, str] = {"error": "error", "warning": "warning", "note": "note", "fine": "in order"}
GRAVITY: dict[State, int] = {"error": 0, "warning": 1, "note": 2, "fine": 3}

STATE_WORDS: dict[BarState, str] = {
    "uncut": "uncut",
    "opened": "opened",
    "part": "partly cut",
    "cut": "cut",
    "ends": "ends here",
}


def worst(states: list[State]) -> State:
    """The gravest of some states; fine when there are none."""
    return min(states, key=lambda state: GRAVITY[state], default="fine")


def _square(rect: QRectF) -> QRectF:
    side = min(rect.width(), rect.height())
    return QRectF(rect.center().x() - side / 2, rect.center().y() - side / 2, side, side)


def octagon(rect: QRectF) -> QPolygonF:
    """A regular octagon filling the largest square in the middle of ``rect``."""
    box = _square(rect)
    cut = box.width() / (2 + math.sqrt(2))
    left, top, right, bottom = box.left(), box.top(), box.right(), box.bottom()
    return QPolygonF(
        [
            QPointF(left + cut, top),
            QPointF(right - cut, top),
            QPointF(right, top + cut),
            QPointF(right, bottom - cut),
            QPointF(right - cut, bottom),
            QPointF(left + cut, bottom),
            QPointF(left, bottom - cut),
            QPointF(left, top + cut),
        ]
    )


def _letter(painter: QPainter, box: QRectF, letter: str, colour: str, part: float) -> None:
    lettering: QFont = font(max(box.height() * part, 6.0), bold=True)
    painter.setFont(lettering)
    painter.setPen(QColor(colour))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, letter)


def paint_mark(painter: QPainter, rect: QRectF, state: State, tokens: Tokens, *, faded: bool = False) -> None:
    """The mark of a state in the largest square of ``rect``; ``faded`` for a finding somebody has accepted."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if faded:
        painter.setOpacity(painter.opacity() * 0.55)
    box = _square(rect).adjusted(0.5, 0.5, -0.5, -0.5)
    size = box.width()
    if state == "error":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.error))
        painter.drawPolygon(octagon(box))
        _letter(painter, box, "E", tokens.on_error, 0.62)
    elif state == "warning":
        pen = QPen(QColor(tokens.on_warning), max(size * 0.07, 1.2))
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.setBrush(QColor(tokens.warning))
        inset = pen.widthF() / 2
        triangle = [
            QPointF(box.center().x(), box.top() + inset),
            QPointF(box.right() - inset, box.bottom() - inset - size * 0.06),
            QPointF(box.left() + inset, box.bottom() - inset - size * 0.06),
        ]
        painter.drawPolygon(QPolygonF(triangle))
        _letter(painter, box.translated(0, size * 0.14), "W", tokens.on_warning, 0.44)
    elif state == "note":
        pen = QPen(QColor(tokens.ink2), max(size * 0.08, 1.2))
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(box.adjusted(1, 1, -1, -1))
        _letter(painter, box, "N", tokens.ink2, 0.56)
    else:
        pen = QPen(QColor(tokens.ink), max(size * 0.13, 1.6))
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        tick = [(0.12, 0.52), (0.40, 0.78), (0.90, 0.20)]
        painter.drawPolyline(QPolygonF([QPointF(box.left() + x * size, box.top() + y * size) for x, y in tick]))
    painter.restore()


def paint_swatch(
    painter: QPainter, rect: QRectF, fill: str, tokens: Tokens, *, marks: int = 0, mark_colour: str = "#111111"
) -> None:
    """A swatch of glass: its colour in an ink casing, ``marks`` dashes across it for a stripe or ring each."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    width = max(min(rect.width(), rect.height()) * 0.11, 1.2)
    box = rect.adjusted(width / 2, width / 2, -width / 2, -width / 2)
    radius = min(box.width(), box.height()) * 0.16
    shape = QPainterPath()
    shape.addRoundedRect(box, radius, radius)
    painter.fillPath(shape, QColor(fill))
    if marks > 0:
        painter.setClipPath(shape)
        dash = box.width() / (2 * marks + 1)
        for number in range(marks):
            left = box.left() + dash * (2 * number + 1)
            painter.fillRect(QRectF(left, box.top(), dash, box.height()), QColor(mark_colour))
        painter.setClipping(False)
    painter.setPen(QPen(QColor(tokens.ink), width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(shape)
    painter.restore()


def bar_pieces(rect: QRectF, state: BarState) -> tuple[list[QRectF], list[QRectF]]:
    """(solid pieces, hollow windows) of a tube's bar in ``rect``.

    Uncut is one unbroken piece. A window is a hollow in it; where only some fibres are cut two gaps stand in it, where
    all are, one wide gap. At the end of a cable the right half is missing.
    """
    x, y, w, h = rect.left(), rect.top(), rect.width(), rect.height()
    if state == "uncut":
        return [rect], []
    if state == "opened":
        return [rect], [QRectF(x + w * 0.32, y + h * 0.28, w * 0.36, h * 0.44)]
    if state == "part":
        gap = max(w * 0.12, 3.0)
        piece = (w - 2 * gap) / 3
        return [QRectF(x + n * (piece + gap), y, piece, h) for n in range(3)], []
    if state == "cut":
        return [QRectF(x, y, w * 0.32, h), QRectF(x + w * 0.68, y, w * 0.32, h)], []
    return [QRectF(x, y, w * 0.5, h)], []


def paint_bar(painter: QPainter, rect: QRectF, state: BarState, tokens: Tokens, *, ground: str | None = None) -> None:
    """The bar of a tube. ``ground`` is what shows through a window, the panel by default."""
    solid, hollow = bar_pieces(rect, state)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for piece in solid:
        painter.fillRect(piece, QColor(tokens.ink))
    for window in hollow:
        painter.fillRect(window, QColor(ground or tokens.raised))
    painter.restore()


def paint_gauge(
    painter: QPainter, rect: QRectF, fraction: float, limit: float | None, state: State, tokens: Tokens
) -> None:
    """A value as a bar from the left, 0 to 1 of the width, with the limit as a tick standing out above and below.

    What lies past the limit is hatched when the state is an error, so that the grey copy tells it too.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.fillRect(rect, QColor(tokens.line))
    part = 0.0 if math.isnan(fraction) else min(max(fraction, 0.0), 1.0)
    filled = QRectF(rect.left(), rect.top(), rect.width() * part, rect.height())
    painter.fillRect(filled, QColor(tokens.error if state == "error" else tokens.ink2))
    if limit is not None:
        at = rect.left() + rect.width() * min(max(limit, 0.0), 1.0)
        if state == "error":
            low, high = sorted((at, filled.right()))
            painter.save()
            painter.setClipRect(QRectF(low, rect.top(), high - low, rect.height()))
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            over = filled.right() > at
            painter.setPen(QPen(QColor(tokens.on_error if over else tokens.error), 1.2))
            step = 4.0
            start = low - rect.height()
            while start < high:
                painter.drawLine(QPointF(start, rect.bottom()), QPointF(start + rect.height(), rect.top()))
                start += step
            painter.restore()
        painter.fillRect(
            QRectF(at - 1.25, rect.top() - rect.height() * 0.4, 2.5, rect.height() * 1.8), QColor(tokens.ink)
        )
    painter.restore()
