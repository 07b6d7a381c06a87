"""The printed marks around the place that was read, enlarged: the band hatched, the sheath opening of a site, the mark.

Marks are shown as the sheath prints them, in whole units of the cable; whoever digs or opens reads them there.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from gui.panels.skin import BODY, LABEL, Skin
from gui.panels.trace_paint import CENTRE, Clear, hatch

WIDE, HIGH = 264, 104


@dataclass(frozen=True, slots=True)
class MarkWindow:
    """Marks as printed, ``low`` and ``high`` the ends of the band; ``opening`` the marks of the site named, if any."""

    low: float
    high: float
    mark: float
    unit: str = "m"
    site: str = ""
    opening: tuple[float, float] | None = None

    @property
    def words(self) -> str:
        """As it is read out."""
        near = f" near {self.site}" if self.site else ""
        return f"marks{near}: {self.mark:.0f}, between {self.low:.0f} and {self.high:.0f} {self.unit}"


def window_size(skin: Skin) -> QSizeF:
    """Its size in a skin."""
    return QSizeF(skin.px(WIDE), skin.px(HIGH))


def paint_window(painter: QPainter, box: QRectF, data: MarkWindow, skin: Skin) -> None:
    """Paint it into a box of ``window_size``."""
    tokens, px = skin.tokens, skin.px
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(tokens.ink), 1.6))
    painter.setBrush(QColor(tokens.raised))
    painter.drawRoundedRect(box, 5, 5)
    painter.setFont(skin.font(LABEL))
    painter.setPen(QColor(tokens.ink))
    near = f" near {data.site}" if data.site else ""
    title = painter.fontMetrics().elidedText(
        f"Printed marks{near}, {data.unit}", Qt.TextElideMode.ElideRight, int(box.width() - px(24))
    )
    painter.drawText(QPointF(box.left() + px(12), box.top() + px(22)), title)
    low, high = sorted((data.low, data.high))
    pad = max(high - low, 1.0) * 0.45
    left, right = box.left() + px(12), box.right() - px(12)

    def x_of(mark: float) -> float:
        part = (mark - (low - pad)) / (high - low + 2 * pad)
        return left + min(max(part, 0.0), 1.0) * (right - left)

    band = QRectF(x_of(low), box.top() + px(38), x_of(high) - x_of(low), px(22))
    hatch(painter, band, tokens.error, falling=False)
    painter.setPen(QPen(QColor(tokens.error), 1.6))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(band)
    if data.opening is not None:
        edges = sorted(data.opening)
        opening = QRectF(
            x_of(edges[0]), band.top() - px(6), max(x_of(edges[1]) - x_of(edges[0]), 4.0), band.height() + px(12)
        )
        painter.setPen(QPen(QColor(tokens.ink), 1.4))
        painter.setBrush(QColor(tokens.line))
        painter.drawRect(opening)
        painter.setFont(skin.font(LABEL, bold=True))
        wide = painter.fontMetrics().horizontalAdvance(data.site) + px(8)
        at_left = opening.left() - wide - px(3) >= left
        name = QRectF(
            opening.left() - wide - px(3) if at_left else opening.right() + px(5), band.top(), wide, band.height()
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(tokens.raised))
        painter.drawRoundedRect(name.adjusted(0, 3, 0, -3), 3, 3)
        painter.setPen(QColor(tokens.ink))
        painter.drawText(name, CENTRE, data.site)
    painter.setPen(QPen(QColor(tokens.error), 3.0))
    at = x_of(data.mark)
    painter.drawLine(QPointF(at, band.top() - px(8)), QPointF(at, band.bottom() + px(8)))
    clear = Clear()
    for mark, bold in ((data.mark, True), (low, False), (high, False)):
        x = x_of(mark)
        painter.setPen(QPen(QColor(tokens.ink), 1.4))
        painter.drawLine(QPointF(x, band.bottom() + px(8)), QPointF(x, band.bottom() + px(14)))
        painter.setFont(skin.font(BODY if bold else LABEL, bold=bold))
        words = f"{mark:.0f}"
        wide = painter.fontMetrics().horizontalAdvance(words) + 2
        label = QRectF(x - wide / 2, band.bottom() + px(14), wide, px(20))
        if clear.takes(label):
            painter.drawText(label, CENTRE, words)
    painter.restore()
