"""The path as a strip: a lane for every tube, a box for every site, suspects hatched, services hung under the sites.

It stands on the scale that the plot and the rulers below it use. Arrows walk the sites, Enter goes to one; a click
picks a site, a tube or the services of a chip. It makes no edit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QContextMenuEvent, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gui.marks import paint_swatch
from gui.panels.skin import BODY, LABEL, TITLE, Skin, focus_ring
from gui.panels.trace_paint import CENTRE, Clear, chip_width, guide, hatch, paint_chip
from gui.panels.trace_scale import TraceScale
from gui.theme import DAY, Tokens
from gui.views.trace_plan import Hung, Plan, Span, Station
from render.looks import GlassLook
from render.refs import site_ref, tube_ref

MOST_LANES = 6
LANE = 25
"""Least height of a lane: that of its label."""
BOX = 26
CHIP = 25
"""Height of a row of chips."""
NAMES_SHOWN = 4
MARK_COLOURS = {"black": "#111111", "yellow": "#F2C200", "white": "#FFFFFF"}


@dataclass(frozen=True, slots=True)
class Spot:
    """A suspect on the strip: between two places of the path, on one tube or on all (0), by rank from 1."""

    cable: str
    tube: int
    from_m: float
    to_m: float
    rank: int
    words: str


@dataclass(frozen=True, slots=True)
class Chip:
    """Services under a box: where the chip stands and what it says."""

    left: float
    wide: float
    row: int
    kind: str
    words: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StripData:
    """What the strip shows; ``place`` is the site the person is at."""

    plan: Plan | None = None
    hung: tuple[Hung, ...] = ()
    spots: tuple[Spot, ...] = ()
    place: str = ""
    advice: str = "Pick a fibre, or say trace D-1:3"


class PathStrip(QWidget):
    """``went`` carries a site, ``picked`` refs of glass, ``called`` names of services."""

    went = Signal(str)
    picked = Signal(list)
    called = Signal(list)
    asked_here = Signal(list, QPoint)
    """What lies under the pointer, or at the site that arrows have come to, and where on the screen."""

    def __init__(self, scale: TraceScale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("pathStrip")
        self.setAccessibleName("Path")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.scale = scale
        self.skin = Skin()
        self.data = StripData()
        self.at = 0
        self._hot: list[tuple[QRectF, str, list[str]]] = []
        self._below_before = 0
        scale.changed.connect(self._rescaled)

    def _rescaled(self) -> None:
        """Chips that stand nearer to each other need more rows."""
        if self._below() != self._below_before:
            self._below_before = self._below()
            self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Wide, and as high as its lanes and labels need; it takes what there is."""
        px = self.skin.px
        return QSize(800, px(62) + self._rows()[0] * px(LANE) + self._below() + px(8))

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """No lower than its lanes."""
        return QSize(200, self.sizeHint().height())

    def _below(self) -> int:
        """Height of the chips under the boxes."""
        rows = max((chip.row + 1 for chip in self._chips()), default=0)
        return self.skin.px(16 + rows * CHIP)

    def show_data(self, data: StripData) -> None:
        """Show a path."""
        if data == self.data:
            return
        self.data = data
        self.at = min(self.at, max(len(data.plan.stations) - 1, 0)) if data.plan else 0
        self.setAccessibleDescription(self.words())
        self.updateGeometry()
        self.update()

    def words(self) -> str:
        """The strip as it is read out."""
        plan = self.data.plan
        if plan is None:
            return self.data.advice
        said = []
        for station, hung in zip(plan.stations, self.data.hung or [Hung()] * len(plan.stations), strict=False):
            names = [
                f"{word} {' '.join(group)}"
                for word, group in (("down", hung.down), ("up", hung.up), ("not known", hung.unknown))
                if group
            ]
            said.append(": ".join(filter(None, (station.name, ", ".join(names)))))
        said += [f"suspect {spot.rank}: {spot.words}" for spot in self.data.spots]
        return "; ".join(said)

    # -- geometry ------------------------------------------------------------------------------------------------

    def _lanes(self, span: Span) -> list[GlassLook]:
        """The tubes of a span that are drawn, ``MOST_LANES`` at most: the path's own and the suspects' first."""
        wanted = {span.tube, *(s.tube for s in self.data.spots if s.cable == span.cable and s.tube)}
        order = sorted(range(1, len(span.tubes) + 1), key=lambda n: (n not in wanted, abs(n - span.tube), n))
        return [span.tubes[n - 1] for n in sorted(order[:MOST_LANES])]

    def _rows(self) -> tuple[int, dict[tuple[str, int], int]]:
        """(rows of lanes, the row of each tube of each cable); a lone tube runs on in the row of the tube before it."""
        plan = self.data.plan
        rows: dict[tuple[str, int], int] = {}
        most, before = 1, 0
        for span in plan.spans if plan else ():
            looks = self._lanes(span)
            for number, look in enumerate(looks):
                tube = span.tubes.index(look) + 1
                rows.setdefault((span.cable, tube), before if len(looks) == 1 else number)
            most = max(most, 1 + max((rows[span.cable, span.tubes.index(k) + 1] for k in looks), default=0))
            before = rows.get((span.cable, span.tube), before)
        return most, rows

    def _frame(self) -> tuple[float, float, float]:
        """(top of the boxes, their bottom, height of a lane)."""
        px = self.skin.px
        top = px(62.0)
        most, _ = self._rows()
        bottom = max(self.height() - self._below(), top + px(34.0))
        lane = min((bottom - top) / most, px(40.0))
        return top, top + lane * most, lane

    def _stations(self) -> Iterator[tuple[int, Station, float]]:
        for number, station in enumerate(self.data.plan.stations if self.data.plan else ()):
            yield number, station, self.scale.x_of(station.at_m)

    # -- painting ------------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint all of it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        skin, tokens, px = self.skin, self.skin.tokens, self.skin.px
        painter.fillRect(self.rect(), QColor(tokens.paper))
        self._hot = []
        plan = self.data.plan
        if plan is None:
            painter.setPen(QColor(tokens.ink))
            painter.setFont(skin.font(TITLE))
            painter.drawText(
                QRectF(self.rect()).adjusted(16, 16, -16, -16), CENTRE | Qt.TextFlag.TextWordWrap, self.data.advice
            )
        else:
            self._paint_plan(painter, plan)
        painter.fillRect(QRectF(0, self.height() - 1, self.width(), 1), QColor(tokens.line))
        if self.hasFocus() and plan is None:
            focus_ring(painter, QRectF(self.rect()), tokens)
        painter.setFont(skin.font(BODY, bold=True))
        painter.setPen(QColor(tokens.ink))
        cables = " and ".join(dict.fromkeys(s.name for s in plan.spans)) if plan else ""
        if plan is not None:
            title = f"Path, {cables}" + ("" if plan.true else "  (a length is not known: not to scale)")
            room = self.width() - px(28)
            painter.drawText(
                QPointF(px(14), px(24)), painter.fontMetrics().elidedText(title, Qt.TextElideMode.ElideRight, room)
            )

    def _paint_plan(self, painter: QPainter, plan: Plan) -> None:
        skin, tokens, px = self.skin, self.skin.tokens, self.skin.px
        top, bottom, lane = self._frame()
        _, rows = self._rows()
        inside = QRectF(self.scale.left_px - px(18), 0, self.width() - self.scale.left_px + px(18), self.height())
        painter.save()
        painter.setClipRect(inside)
        for _, station, x in self._stations():
            guide(painter, x, bottom, self.height(), skin)
            if station.site == self.data.place:
                halo = QRectF(x - px(BOX) / 2 - px(8), top - px(14), px(BOX) + px(16), bottom - top + px(28))
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(QColor(tokens.tint))
                painter.drawRoundedRect(halo, 6, 6)
        self._paint_spans(painter, plan, rows, top, lane)
        self._paint_suspects(painter, rows, top, lane)
        for number, station, x in self._stations():
            self._paint_box(painter, number, station, x, top, bottom)
        self._paint_spot_words(painter, rows, top, lane)
        self._paint_names(painter, top)
        self._paint_hung(painter, bottom)
        painter.restore()
        self._paint_labels(painter, plan, rows, top, lane)

    def _lane_y(self, row: int, top: float, lane: float) -> float:
        return top + lane * (row + 0.5)

    def _paint_spans(
        self, painter: QPainter, plan: Plan, rows: dict[tuple[str, int], int], top: float, lane: float
    ) -> None:
        tokens = self.skin.tokens
        for number, span in enumerate(plan.spans):
            # An opening passed uncut is glass as well: the lane runs on to the next span of the same cable.
            onward = plan.spans[number + 1] if number + 1 < len(plan.spans) else None
            end = onward.from_m if onward is not None and onward.cable == span.cable else span.to_m
            left, right = self.scale.x_of(span.from_m), self.scale.x_of(end)
            for look in self._lanes(span):
                tube = span.tubes.index(look) + 1
                own = tube == span.tube
                y = self._lane_y(rows[span.cable, tube], top, lane)
                thick = self.skin.px(8.0 if own else 6.0)
                painter.fillRect(QRectF(left, y - thick / 2, right - left, thick), QColor(tokens.ink))
                painter.fillRect(QRectF(left, y - thick / 2 + 1.4, right - left, thick - 2.8), QColor(look.fill))
                if look.marks:
                    pen = QPen(QColor(MARK_COLOURS.get(look.mark_colour, "#111111")), thick - 2.8)
                    pen.setDashPattern([0.6, 4.0])
                    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
                    painter.setPen(pen)
                    painter.drawLine(QPointF(left, y), QPointF(right, y))
                if number and span.cable != plan.spans[number - 1].cable and len(span.tubes) > 1:
                    self._name_lane(painter, look, tube, own, left, right, y)
                spot = QRectF(left, y - lane / 2, right - left, lane)
                self._hot.append((spot, "tube", [tube_ref(span.cable, tube)]))

    def _name_lane(
        self, painter: QPainter, look: GlassLook, tube: int, own: bool, left: float, right: float, y: float
    ) -> None:
        """Name a lane where its cable begins, if it is not the cable that is named at the edge and there is room."""
        px = self.skin.px
        words = f"T{tube} {look.code}"
        wide = self.skin.metrics(LABEL, bold=own, fixed=True).horizontalAdvance(words) + px(6)
        box = QRectF(left + px(BOX) / 2 + px(4), y - px(8), wide, px(16))
        if box.right() > right - px(BOX) / 2:
            return
        painter.fillRect(box, QColor(self.skin.tokens.paper))
        painter.setFont(self.skin.font(LABEL, bold=own, fixed=True))
        painter.setPen(QColor(self.skin.tokens.ink))
        painter.drawText(box, CENTRE, words)

    def _spot_box(self, spot: Spot, rows: dict[tuple[str, int], int], top: float, lane: float) -> QRectF | None:
        """Where a suspect is hatched: its lane, or all lanes for a sheath."""
        own = [row for (cable, tube), row in rows.items() if cable == spot.cable and spot.tube in (0, tube)]
        if not own:
            return None
        half = self.skin.px(BOX) / 2 if spot.to_m - spot.from_m < 1e-6 else 0.0
        left, right = self.scale.x_of(spot.from_m) - half, self.scale.x_of(spot.to_m) + half
        up = min(lane / 2, self.skin.px(12.0))
        return QRectF(
            left,
            self._lane_y(min(own), top, lane) - up,
            right - left,
            self._lane_y(max(own), top, lane) - self._lane_y(min(own), top, lane) + 2 * up,
        )

    def _paint_suspects(self, painter: QPainter, rows: dict[tuple[str, int], int], top: float, lane: float) -> None:
        colour = self.skin.tokens.suspect
        for spot in self.data.spots:
            box = self._spot_box(spot, rows, top, lane)
            if box is None:
                continue
            hatch(painter, box, colour, falling=True)
            painter.setPen(QPen(QColor(colour), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(box)

    def _paint_spot_words(self, painter: QPainter, rows: dict[tuple[str, int], int], top: float, lane: float) -> None:
        """One word for a stretch of suspects that stand end to end on one tube."""
        runs: list[tuple[QRectF, int, str]] = []
        for spot in sorted(self.data.spots, key=lambda s: (s.cable, s.tube, s.from_m)):
            box = self._spot_box(spot, rows, top, lane)
            if box is None:
                continue
            last = runs[-1] if runs else None
            if (
                last
                and last[1] == spot.tube
                and last[2] == spot.cable
                and box.left() <= last[0].right() + self.skin.px(24)
            ):
                runs[-1] = (last[0].united(box), spot.tube, spot.cable)
            else:
                runs.append((box, spot.tube, spot.cable))
        for box, tube, _ in runs:
            seen = box.intersected(QRectF(self.rect()))
            if seen.isEmpty():
                continue
            words = f"suspect, T{tube}" if tube else "suspect"
            wide, high = chip_width(self.skin, words, bold=True), self.skin.px(22.0)
            at = QRectF(seen.center().x() - wide / 2, box.center().y() - high / 2, wide, high)
            if wide + self.skin.px(BOX) > seen.width():
                at.moveTop(box.top() - high + 4)
            paint_chip(painter, at, words, self.skin, "suspect")

    def _paint_box(self, painter: QPainter, number: int, station: Station, x: float, top: float, bottom: float) -> None:
        skin, tokens = self.skin, self.skin.tokens
        wide = skin.px(BOX)
        box = QRectF(x - wide / 2, top - skin.px(6), wide, bottom - top + skin.px(12))
        home = station.kind == "premises"
        if home:
            # A house is at the end of one lane, and no box that lanes pass.
            most, rows = self._rows()
            span = self.data.plan.spans[-1] if self.data.plan and self.data.plan.spans else None
            row = rows.get((span.cable, span.tube), 0) if span is not None else 0
            size = skin.px(11)
            box = QRectF(x - size / 2, self._lane_y(row, top, (bottom - top) / most) - size / 2, size, size)
        painter.setPen(QPen(QColor(tokens.ink), 1.8))
        painter.setBrush(QColor(tokens.raised) if home else Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 2 if home else 5, 2 if home else 5)
        if self.hasFocus() and number == self.at:
            focus_ring(painter, box.adjusted(-7, -7, 7, 7), tokens)
        self._hot.append((box, "site", [station.site]))

    def _paint_names(self, painter: QPainter, top: float) -> None:
        """Names over the boxes; where two would run into each other the one that is less of a place gives way."""
        skin, tokens = self.skin, self.skin.tokens
        clear = Clear()
        grades = {"exchange": 0, "premises": 2}
        order = sorted(
            self._stations(),
            key=lambda s: (
                s[0] != self.at or not self.hasFocus(),
                s[1].site != self.data.place,
                grades.get(s[1].kind, 1),
            ),
        )
        painter.setFont(skin.font(BODY, bold=True))
        painter.setPen(QColor(tokens.ink))
        for _, station, x in order:
            if not self._in_sight(x):
                continue
            most = skin.px(150)
            name = painter.fontMetrics().elidedText(station.name, Qt.TextElideMode.ElideRight, most)
            wide = painter.fontMetrics().horizontalAdvance(name) + 2.0
            left = min(max(x - wide / 2, self.scale.left_px - skin.px(16)), self.width() - wide - 6.0)
            box = QRectF(left, top - skin.px(32), wide, skin.px(22))
            if clear.takes(box):
                painter.drawText(box, CENTRE, name)

    def _chips(self) -> list[Chip]:
        """The chips under the boxes in sight, each in the first row where it touches no other; a box's own in order."""
        skin = self.skin
        taken: list[list[tuple[float, float]]] = []
        found: list[Chip] = []
        for (_, _, x), hung in zip(self._stations(), self.data.hung, strict=False):
            if not self._in_sight(x):
                continue
            row = 0
            for kind, word, names in (
                ("down", "down", hung.down),
                ("up", "up", hung.up),
                ("unknown", "not known", hung.unknown),
            ):
                if not names:
                    continue
                many = len(names) > NAMES_SHOWN
                words = f"{len(names)} {word}" if many else f"{word} {' '.join(names)}"
                wide = chip_width(skin, words, bold=kind == "down")
                left = min(max(x - wide / 2, 4.0), self.width() - wide - 4.0)
                while row < len(taken) and any(left < b + 4 and a < left + wide + 4 for a, b in taken[row]):
                    row += 1
                if row == len(taken):
                    taken.append([])
                taken[row].append((left, left + wide))
                found.append(Chip(left, wide, row, kind, words, names))
                row += 1
        return found

    def _in_sight(self, x: float) -> bool:
        return self.scale.left_px - 1 <= x <= self.scale.width_px - self.scale.right_px + 1

    def _paint_hung(self, painter: QPainter, bottom: float) -> None:
        px = self.skin.px
        for chip in self._chips():
            box = QRectF(chip.left, bottom + px(14) + chip.row * px(CHIP), chip.wide, px(CHIP - 4))
            paint_chip(painter, box, chip.words, self.skin, chip.kind)
            self._hot.append((box, "services", list(chip.names)))

    def _paint_labels(
        self, painter: QPainter, plan: Plan, rows: dict[tuple[str, int], int], top: float, lane: float
    ) -> None:
        skin, tokens, px = self.skin, self.skin.tokens, self.skin.px
        if not plan.spans:
            return
        # The cable that is first in sight is the one whose tubes are named.
        span = next((s for s in plan.spans if self.scale.x_of(s.to_m) > self.scale.left_px), plan.spans[-1])
        painter.save()
        for look in self._lanes(span):
            tube = span.tubes.index(look) + 1
            y = self._lane_y(rows[span.cable, tube], top, lane)
            size = px(13.0)
            paint_swatch(
                painter,
                QRectF(px(10), y - size / 2, size, size),
                look.fill,
                tokens,
                marks=look.marks,
                mark_colour=MARK_COLOURS.get(look.mark_colour, "#111111"),
            )
            painter.setFont(skin.font(LABEL, bold=tube == span.tube, fixed=True))
            painter.setPen(QColor(tokens.ink))
            words = f"T{tube} {look.code}" if len(span.tubes) > 1 else look.code
            painter.drawText(
                QRectF(px(28), y - px(10), self.scale.left_px - px(44), px(20)),
                Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
                words,
            )
        hidden = len(span.tubes) - len(self._lanes(span))
        if hidden > 0:
            painter.setFont(skin.font(LABEL))
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(
                QPointF(px(10), self._lane_y(max(rows.values()), top, lane) + px(26)), f"and {hidden} tubes"
            )
        painter.restore()

    # -- by hand -------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Pick what is under the pointer: chips and boxes before lanes."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() != Qt.MouseButton.LeftButton:
            return
        for box, kind, what in reversed(self._hot):
            if box.contains(event.position()):
                if kind == "site":
                    self._stand_at(what[0])
                    self.went.emit(what[0])
                elif kind == "tube":
                    self.picked.emit(what)
                else:
                    self.called.emit(what)
                return

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802  # Qt's name
        """The list Here, by the right button or the Menu key."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            self.ask_here()
            return
        at = QPointF(event.pos())
        found = [ref for box, kind, what in reversed(self._hot) if box.contains(at) for ref in _refs(kind, what)]
        self.asked_here.emit(list(dict.fromkeys(found)), event.globalPos())

    def ask_here(self) -> None:
        """The list Here for the site that the arrows have come to."""
        plan = self.data.plan
        if plan is not None:
            station = plan.stations[self.at]
            spot = QPoint(round(self.scale.x_of(station.at_m)), self.height() // 2)
            self.asked_here.emit([site_ref(station.site)], self.mapToGlobal(spot))

    def _stand_at(self, site: str) -> None:
        for number, station, _ in self._stations():
            if station.site == site:
                self.at = number
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows walk the sites, Enter and Space go there, plus and minus zoom."""
        plan = self.data.plan
        key = Qt.Key(event.key())
        step = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}.get(key, 0)
        plain = not event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if plan is not None and step and plain:
            self.at = min(max(self.at + step, 0), len(plan.stations) - 1)
            station = plan.stations[self.at]
            if not self.scale.shown[0] <= station.at_m <= self.scale.shown[1]:
                self.scale.pan(station.at_m - sum(self.scale.shown) / 2)
            self.update()
            return
        if plan is not None and plain and key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.at = 0 if key == Qt.Key.Key_Home else len(plan.stations) - 1
            self.update()
            return
        if plan is not None and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.went.emit(plan.stations[self.at].site)
            return
        super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """Show where the focus is."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802  # Qt's name
        """No ring any more."""
        super().focusOutEvent(event)
        self.update()

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self.updateGeometry()
        self.update()


def _refs(kind: str, what: list[str]) -> list[str]:
    """Refs of what a hot box stands for; chips of services are named, and have none."""
    return {"site": [site_ref(site) for site in what], "tube": what}.get(kind, [])
