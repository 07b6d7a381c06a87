"""Strokes the pictures of the Trace view share: hatches, chips, numbered rings, guides and text that keeps clear.

Suspects are hatched the other way than a band of marks, in their own colour, and always named by a word, so that a
grey copy tells them apart.
"""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from gui.panels.skin import LABEL, Skin

CENTRE = Qt.AlignmentFlag.AlignCenter
LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter


def hatch(
    painter: QPainter, rect: QRectF, colour: str, *, falling: bool, step: float = 7.0, width: float = 1.6
) -> None:
    """Slanted lines over a box: rising to the right for a band, ``falling`` for a suspect."""
    if rect.width() <= 0 or rect.height() <= 0:
        return
    painter.save()
    painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
    painter.setPen(QPen(QColor(colour), width))
    x = rect.left() - rect.height()
    while x < rect.right():
        ends = (rect.top(), rect.bottom()) if falling else (rect.bottom(), rect.top())
        painter.drawLine(QPointF(x, ends[0]), QPointF(x + rect.height(), ends[1]))
        x += step
    painter.restore()


def chip_width(skin: Skin, text: str, *, bold: bool = False) -> float:
    """Width of a chip with its padding."""
    return skin.metrics(LABEL, bold=bold).horizontalAdvance(text) + skin.px(14)


def paint_chip(painter: QPainter, rect: QRectF, text: str, skin: Skin, kind: str) -> None:
    """A rounded label: ``down`` dark and bold, ``up`` in outline, ``unknown`` in a dashed outline, ``suspect``."""
    tokens = skin.tokens
    edges = {"down": tokens.ink, "up": tokens.ink2, "unknown": tokens.ink2, "suspect": tokens.suspect}
    grounds = {"down": tokens.ink, "suspect": tokens.paper}
    pens = {"down": tokens.paper, "suspect": tokens.suspect}
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor(edges[kind]), 1.4)
    if kind == "unknown":
        pen.setStyle(Qt.PenStyle.DashLine)
    painter.setPen(pen)
    painter.setBrush(QColor(grounds.get(kind, tokens.raised)))
    radius = rect.height() / 2 if kind == "suspect" else 5.0
    painter.drawRoundedRect(rect, radius, radius)
    painter.setFont(skin.font(LABEL, bold=kind in ("down", "suspect")))
    painter.setPen(QColor(pens.get(kind, tokens.ink)))
    painter.drawText(rect, CENTRE, text)
    painter.restore()


def ring(painter: QPainter, centre: QPointF, text: str, skin: Skin) -> QRectF:
    """A numbered ring; returns its box."""
    size = skin.px(22)
    box = QRectF(centre.x() - size / 2, centre.y() - size / 2, size, size)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(skin.tokens.ink), 1.8))
    painter.setBrush(QColor(skin.tokens.raised))
    painter.drawEllipse(box)
    painter.setFont(skin.font(LABEL, bold=True))
    painter.drawText(box, CENTRE, text)
    painter.restore()
    return box


def guide(painter: QPainter, x: float, top: float, bottom: float, skin: Skin) -> None:
    """A dotted upright that leads a station from picture to picture."""
    pen = QPen(QColor(skin.tokens.line), 1.2)
    pen.setStyle(Qt.PenStyle.DotLine)
    painter.setPen(pen)
    painter.drawLine(QPointF(x, top), QPointF(x, bottom))


class Clear:
    """Boxes taken so far; ``takes`` says whether another has room, and takes it if so."""

    def __init__(self, taken: Iterable[QRectF] = ()) -> None:
        self.taken = list(taken)

    def takes(self, box: QRectF, gap: float = 4.0) -> bool:
        """True when the box is free of all others by a gap; then it is taken."""
        wide = box.adjusted(-gap, -gap / 2, gap, gap / 2)
        if any(wide.intersects(other) for other in self.taken):
            return False
        self.taken.append(box)
        return True
