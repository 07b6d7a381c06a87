"""Painting the loss plot as it is laid out: grid, curves, cursors, the place found with its marks, events, the key.

Words move to where they touch nothing; an event that finds no room is named in the description of the plot alone.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from gui.panels.mark_window import paint_window, window_size
from gui.panels.plot_layout import PlotLayout
from gui.panels.skin import LABEL, focus_ring
from gui.panels.trace_cursors import Cursors
from gui.panels.trace_paint import CENTRE, LEFT, RIGHT, Clear, guide, ring
from gui.panels.trace_scale import steps


class PlotPainter:
    """Paints one plot once; ``cursors`` only while they are in sight, with the words read off between them."""

    def __init__(self, painter: QPainter, laid: PlotLayout, cursors: Cursors | None, words: str) -> None:
        self.painter, self.laid, self.cursors, self.words = painter, laid, cursors, words
        self.data, self.scale, self.skin, self.tokens = laid.data, laid.scale, laid.skin, laid.skin.tokens

    def paint(self, *, focused: bool) -> None:
        """All of it."""
        painter, whole = self.painter, QRectF(0, 0, self.laid.width, self.laid.height)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(whole, QColor(self.tokens.paper))
        if self.data.plan is not None:
            self._grid()
            self._curves()
            self._cursors()
            self._found()
            clear = self._window()
            self._events(clear)
            self._key()
            self._readout()
        if focused:
            focus_ring(painter, whole, self.tokens)

    def _grid(self) -> None:
        painter, skin, tokens, area = self.painter, self.skin, self.tokens, self.laid.area
        high, low = self.laid.heights
        painter.setFont(skin.font(LABEL))
        for value in steps(low, high, 4):
            y = self.laid.y(value)
            painter.fillRect(QRectF(area.left(), y, area.width(), 1.0), QColor(tokens.line))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(QRectF(0, y - 10, area.left() - 8, 20), RIGHT, f"{value:g}".replace("-", "\u2212"))
        painter.setPen(QColor(tokens.ink2))
        head = f"dB, {self.data.wavelength_nm}"
        painter.drawText(QRectF(skin.px(14), skin.px(6), area.left(), skin.px(20)), LEFT, head)
        for station in self.data.plan.stations if self.data.plan else ():
            x = self.scale.x_of(station.at_m)
            if area.left() <= x <= area.right():
                guide(painter, x, 0, self.laid.height, skin)

    def _curves(self) -> None:
        painter, tokens = self.painter, self.tokens
        painter.save()
        painter.setClipRect(self.laid.area.adjusted(0, -self.skin.px(28), 0, self.skin.px(20)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if self.data.expected:
            pen = QPen(QColor(tokens.ink2), 1.8)
            pen.setDashPattern([4.0, 3.0])
            painter.setPen(pen)
            painter.drawPath(self.laid.path("expected", self.data.expected))
        if self.data.measured:
            painter.setPen(QPen(QColor(tokens.ink), 1.8))
            painter.drawPath(self.laid.path("measured", self.data.measured))
        painter.restore()

    def _cursors(self) -> None:
        painter, skin, tokens, area = self.painter, self.skin, self.tokens, self.laid.area
        if self.cursors is None:
            return
        for number, at_m in enumerate(self.cursors.places):
            x = self.scale.x_of(at_m)
            if not area.left() <= x <= area.right():
                continue
            active = number == self.cursors.active
            painter.setPen(QPen(QColor(tokens.accent), 2.0 if active else 1.2))
            painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
            size = skin.px(16)
            box = QRectF(x - size / 2, area.bottom(), size, size)
            painter.setBrush(QColor(tokens.accent if active else tokens.raised))
            painter.drawRoundedRect(box, 3, 3)
            painter.setFont(skin.font(LABEL - 1, bold=True))
            painter.setPen(QColor(tokens.on_accent if active else tokens.ink))
            painter.drawText(box, CENTRE, "AB"[number])

    def _found(self) -> None:
        if self.data.found_m is None:
            return
        area, colour = self.laid.area, QColor(self.tokens.error)
        x = self.scale.x_of(self.data.found_m)
        if area.left() <= x <= area.right():
            self.painter.setPen(QPen(colour, 2.0))
            self.painter.drawLine(QPointF(x, 0), QPointF(x, self.laid.height))

    def _window(self) -> Clear:
        """The enlarged marks, beside the place, where the picture is emptiest; returns what is taken."""
        clear, painter = Clear(), self.painter
        window, found = self.data.window, self.data.found_m
        if window is None or found is None:
            return clear
        area = self.laid.area
        size = window_size(self.skin)
        x = self.scale.x_of(found)
        room_right = area.right() - x >= size.width() + self.skin.px(34)
        left = x + self.skin.px(26) if room_right else x - self.skin.px(26) - size.width()
        if left < area.left() - 8 or left + size.width() > self.laid.width or size.height() > area.height():
            return clear
        box = QRectF(QPointF(left, area.top()), size)
        tip = QPointF(x + (3 if room_right else -3), box.top() + self.skin.px(30))
        side = box.left() if room_right else box.right()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self.tokens.ink))
        half = self.skin.px(7)
        painter.drawPolygon(QPolygonF([tip, QPointF(side, tip.y() - half), QPointF(side, tip.y() + half)]))
        paint_window(painter, box, window, self.skin)
        clear.takes(box)
        return clear

    def _events(self, clear: Clear) -> None:
        """Rings and words at the curve, moved to where they touch nothing; what finds no room is only described."""
        painter, px = self.painter, self.skin.px
        skin, tokens, area = self.skin, self.tokens, self.laid.area
        clear.taken.append(QRectF(0, area.bottom() + 1, self.laid.width, px(40)))
        clear.taken.append(QRectF(0, -px(40), self.laid.width, px(40) + px(30)))
        curve = self.data.measured or self.data.expected
        for event in sorted(self.data.events, key=lambda e: (e.kind == "as expected", e.number)):
            x = self.scale.x_of(event.at_m)
            if not area.left() - 1 <= x <= area.right() + 1:
                continue
            level = curve.at(event.at_m)
            y = self.laid.y(level if level is not None else sum(self.laid.heights) / 2)
            # A level below the picture, as noise behind an end is, keeps its label in it.
            y = min(max(y, area.top() + px(30)), area.bottom() - px(60))
            bold = event.kind in ("end", "extra", "differs")
            painter.setFont(skin.font(LABEL, bold=bold))
            wide, high, size = painter.fontMetrics().horizontalAdvance(event.words) + 4, px(20), px(22)
            for dy in (px(22), -px(24), px(46), -px(48), px(70), px(94), px(118)):
                top = min(max(y + dy, area.top() + size / 2), area.bottom() - size / 2)
                placed = False
                for to_left in (x + size + wide + 8 > area.right(), x + size + wide + 8 <= area.right()):
                    ring_x = x - size * 0.8 if to_left else x + size * 0.8
                    words = QRectF(
                        ring_x - size / 2 - 6 - wide if to_left else ring_x + size / 2 + 6, top - high / 2, wide, high
                    )
                    whole = words.united(QRectF(ring_x - size / 2, top - size / 2, size, size))
                    if whole.left() > area.left() - px(10) and whole.right() < self.laid.width and clear.takes(whole):
                        ring(painter, QPointF(ring_x, top), str(event.number), skin)
                        painter.setFont(skin.font(LABEL, bold=bold))
                        painter.setPen(QColor(tokens.ink))
                        painter.drawText(words, LEFT, event.words)
                        placed = True
                        break
                if placed:
                    break

    def _key(self) -> None:
        """What solid and dashed mean, at the foot; a file that could not be read whole is named here too."""
        painter, px = self.painter, self.skin.px
        skin, tokens, area = self.skin, self.tokens, self.laid.area
        painter.setFont(skin.font(LABEL))
        x, y = area.left(), area.bottom() + px(13)
        for words, curve, dashed in (("measured", self.data.measured, False), ("expected", self.data.expected, True)):
            if not curve:
                continue
            painter.setPen(QColor(tokens.ink if not dashed else tokens.ink2))
            wide = painter.fontMetrics().horizontalAdvance(words)
            painter.drawText(QRectF(x, y - 10, wide + 2, 20), LEFT, words)
            pen = QPen(QColor(tokens.ink if not dashed else tokens.ink2), 1.8)
            if dashed:
                pen.setDashPattern([4.0, 3.0])
            painter.setPen(pen)
            painter.drawLine(QPointF(x + wide + 8, y), QPointF(x + wide + 44, y))
            x += wide + px(72)
        if self.data.note:
            painter.setPen(QColor(tokens.ink))
            room = self.laid.width - x - px(14)
            words = painter.fontMetrics().elidedText(self.data.note, Qt.TextElideMode.ElideRight, int(room))
            painter.drawText(QRectF(x, y - 10, room, 20), LEFT, words)

    def _readout(self) -> None:
        painter, px = self.painter, self.skin.px
        if not self.words:
            return
        painter.setFont(self.skin.font(LABEL, fixed=True))
        painter.setPen(QColor(self.tokens.ink))
        left = px(90)
        room = self.laid.width - left - px(14)
        painter.drawText(
            QRectF(left, px(6), room, px(20)),
            RIGHT,
            painter.fontMetrics().elidedText(self.words, Qt.TextElideMode.ElideLeft, int(room)),
        )
