"""Painting the strip of a path as it is laid out: lanes, hatched suspects, boxes, names, chips, labels at the edge.

It decides nothing about places beyond which names and words give way to others.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from gui.marks import paint_swatch
from gui.panels.skin import BODY, LABEL, TITLE, focus_ring
from gui.panels.strip_layout import BOX, StripLayout
from gui.panels.trace_paint import CENTRE, LEFT, Clear, chip_width, guide, hatch, paint_chip
from gui.views.trace_plan import Plan, Station
from render.looks import GlassLook

MARK_COLOURS = {"black": "#111111", "yellow": "#F2C200", "white": "#FFFFFF"}


class StripPainter:
    """Paints one strip once; ``at`` is the number of the site that arrows have come to."""

    def __init__(self, painter: QPainter, laid: StripLayout, at: int, *, focused: bool) -> None:
        self.painter, self.laid, self.at, self.focused = painter, laid, at, focused
        self.scale, self.skin, self.tokens, self.px = laid.scale, laid.skin, laid.skin.tokens, laid.skin.px
        self.whole = QRectF(0, 0, laid.width, laid.height)

    def paint(self) -> None:
        """All of it."""
        painter, plan = self.painter, self.laid.data.plan
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.whole, QColor(self.tokens.paper))
        if plan is None:
            self._advice()
        else:
            self._plan(plan)
        painter.fillRect(QRectF(0, self.laid.height - 1, self.laid.width, 1), QColor(self.tokens.line))
        if plan is None:
            if self.focused:
                focus_ring(painter, self.whole, self.tokens)
        else:
            self._title(plan)

    def _advice(self) -> None:
        painter = self.painter
        painter.setPen(QColor(self.tokens.ink))
        painter.setFont(self.skin.font(TITLE))
        painter.drawText(
            self.whole.adjusted(16, 16, -16, -16), CENTRE | Qt.TextFlag.TextWordWrap, self.laid.data.advice
        )

    def _title(self, plan: Plan) -> None:
        painter, px = self.painter, self.px
        painter.setFont(self.skin.font(BODY, bold=True))
        painter.setPen(QColor(self.tokens.ink))
        cables = " and ".join(dict.fromkeys(s.name for s in plan.spans))
        title = f"Path, {cables}" + ("" if plan.true else "  (a length is not known: not to scale)")
        room = self.laid.width - px(28)
        painter.drawText(
            QPointF(px(14), px(24)), painter.fontMetrics().elidedText(title, Qt.TextElideMode.ElideRight, int(room))
        )

    def _plan(self, plan: Plan) -> None:
        painter, laid, px = self.painter, self.laid, self.px
        left = self.scale.left_px - px(18)
        painter.save()
        painter.setClipRect(QRectF(left, 0, laid.width - left, laid.height))
        for _, station, x in laid.stations():
            guide(painter, x, laid.bottom, laid.height, self.skin)
            if station.site == laid.data.place:
                halo = QRectF(
                    x - px(BOX) / 2 - px(8), laid.top - px(14), px(BOX) + px(16), laid.bottom - laid.top + px(28)
                )
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(self.tokens.tint))
                painter.drawRoundedRect(halo, 6, 6)
        self._spans(plan)
        self._suspects()
        for number, station, x in laid.stations():
            self._box(number, station, x)
        self._spot_words()
        self._names()
        for chip in laid.chips:
            paint_chip(painter, laid.chip_box(chip), chip.words, self.skin, chip.kind)
        painter.restore()
        self._labels(plan)

    def _spans(self, plan: Plan) -> None:
        painter = self.painter
        for number, span in enumerate(plan.spans):
            left, right = self.laid.ends(number)
            for tube, look in self.laid.lanes(span):
                own = tube == span.tube
                y = self.laid.tube_y(span, tube)
                thick = self.px(8.0 if own else 6.0)
                painter.fillRect(QRectF(left, y - thick / 2, right - left, thick), QColor(self.tokens.ink))
                painter.fillRect(QRectF(left, y - thick / 2 + 1.4, right - left, thick - 2.8), QColor(look.fill))
                if look.marks:
                    pen = QPen(QColor(MARK_COLOURS.get(look.mark_colour, "#111111")), thick - 2.8)
                    pen.setDashPattern([0.6, 4.0])
                    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
                    painter.setPen(pen)
                    painter.drawLine(QPointF(left, y), QPointF(right, y))
                if number and span.cable != plan.spans[number - 1].cable and len(span.tubes) > 1:
                    self._name_lane(look, tube, own, left, right, y)

    def _name_lane(self, look: GlassLook, tube: int, own: bool, left: float, right: float, y: float) -> None:
        """Name a lane where its cable begins, if it is not the cable that is named at the edge and there is room."""
        painter, px = self.painter, self.px
        words = f"T{tube} {look.code}"
        wide = self.skin.metrics(LABEL, bold=own, fixed=True).horizontalAdvance(words) + px(6)
        box = QRectF(left + px(BOX) / 2 + px(4), y - px(8), wide, px(16))
        if box.right() > right - px(BOX) / 2:
            return
        painter.fillRect(box, QColor(self.tokens.paper))
        painter.setFont(self.skin.font(LABEL, bold=own, fixed=True))
        painter.setPen(QColor(self.tokens.ink))
        painter.drawText(box, CENTRE, words)

    def _suspects(self) -> None:
        painter, colour = self.painter, self.tokens.suspect
        for spot in self.laid.data.spots:
            box = self.laid.spot_box(spot)
            if box is None:
                continue
            hatch(painter, box, colour, falling=True)
            painter.setPen(QPen(QColor(colour), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box)

    def _spot_words(self) -> None:
        """One word for a stretch of suspects, over it where it is too short for the word."""
        for box, tube in self.laid.spot_runs():
            seen = box.intersected(self.whole)
            if seen.isEmpty():
                continue
            words = f"suspect, T{tube}" if tube else "suspect"
            wide, high = chip_width(self.skin, words, bold=True), self.px(22.0)
            at = QRectF(seen.center().x() - wide / 2, box.center().y() - high / 2, wide, high)
            if wide + self.px(BOX) > seen.width():
                at.moveTop(box.top() - high + 4)
            paint_chip(self.painter, at, words, self.skin, "suspect")

    def _box(self, number: int, station: Station, x: float) -> None:
        painter, box, home = self.painter, self.laid.box(station, x), station.kind == "premises"
        painter.setPen(QPen(QColor(self.tokens.ink), 1.8))
        painter.setBrush(QColor(self.tokens.raised) if home else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 2 if home else 5, 2 if home else 5)
        if self.focused and number == self.at:
            focus_ring(painter, box.adjusted(-7, -7, 7, 7), self.tokens)

    def _names(self) -> None:
        """Names over the boxes; where two would run into each other the one that is less of a place gives way."""
        painter, laid, px = self.painter, self.laid, self.px
        clear = Clear()
        grades = {"exchange": 0, "premises": 2}
        order = sorted(
            laid.stations(),
            key=lambda s: (
                s[0] != self.at or not self.focused,
                s[1].site != laid.data.place,
                grades.get(s[1].kind, 1),
            ),
        )
        painter.setFont(self.skin.font(BODY, bold=True))
        painter.setPen(QColor(self.tokens.ink))
        for _, station, x in order:
            if not laid.in_sight(x):
                continue
            name = painter.fontMetrics().elidedText(station.name, Qt.TextElideMode.ElideRight, px(150))
            wide = painter.fontMetrics().horizontalAdvance(name) + 2.0
            left = min(max(x - wide / 2, self.scale.left_px - px(16)), laid.width - wide - 6.0)
            box = QRectF(left, laid.top - px(32), wide, px(22))
            if clear.takes(box):
                painter.drawText(box, CENTRE, name)

    def _labels(self, plan: Plan) -> None:
        """The tubes at the left edge, of the cable that is first in sight."""
        painter, laid, px = self.painter, self.laid, self.px
        if not plan.spans:
            return
        span = next((s for s in plan.spans if self.scale.x_of(s.to_m) > self.scale.left_px), plan.spans[-1])
        painter.save()
        for tube, look in laid.lanes(span):
            y = laid.tube_y(span, tube)
            size = px(13.0)
            paint_swatch(
                painter,
                QRectF(px(10), y - size / 2, size, size),
                look.fill,
                self.tokens,
                marks=look.marks,
                mark_colour=MARK_COLOURS.get(look.mark_colour, "#111111"),
            )
            painter.setFont(self.skin.font(LABEL, bold=tube == span.tube, fixed=True))
            painter.setPen(QColor(self.tokens.ink))
            words = f"T{tube} {look.code}" if len(span.tubes) > 1 else look.code
            painter.drawText(QRectF(px(28), y - px(10), self.scale.left_px - px(44), px(20)), LEFT, words)
        hidden = len(span.tubes) - len(laid.lanes(span))
        if hidden > 0:
            painter.setFont(self.skin.font(LABEL))
            painter.setPen(QColor(self.tokens.ink2))
            painter.drawText(QPointF(px(10), laid.lane_y(max(laid.rows.values())) + px(26)), f"and {hidden} tubes")
        painter.restore()
