"""Three rulers under the plot on the one scale of the view: as the instrument shows it, printed marks, route.

What was read stands out in each of them; the marks of the sites come before round numbers, and no two labels touch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gui.panels.skin import LABEL, Skin
from gui.panels.trace_paint import CENTRE, LEFT, Clear
from gui.panels.trace_scale import TraceScale, steps
from gui.theme import DAY, Tokens
from gui.views.trace_plan import Plan

FEET_M = 0.3048
ROW = 28
MOST_TICKS = 8


@dataclass(frozen=True, slots=True)
class RulerData:
    """What the rulers show: the course, what the instrument shows for a place and back, and the place read off.

    ``shown_of`` and ``at_shown`` turn fibre metres of the path into metres of the instrument's scale and back.
    """

    plan: Plan | None = None
    shown_of: Callable[[float], float] = lambda at_m: at_m
    at_shown: Callable[[float], float] = lambda shown: shown
    found_m: float | None = None
    found_route_m: float | None = None
    unit: str = "m"


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on a ruler with its label; ``rank`` 0 is what was read, then sites, then round numbers."""

    at_m: float
    label: str
    rank: int


def shown_ticks(data: RulerData, low_m: float, high_m: float) -> Iterator[Tick]:
    """Round distances of the instrument, in its unit."""
    per = FEET_M if data.unit == "ft" else 1.0
    ends = sorted((data.shown_of(low_m) / per, data.shown_of(high_m) / per))
    if data.found_m is not None:
        yield Tick(data.found_m, f"{data.shown_of(data.found_m) / per:.0f}", 0)
    for value in steps(ends[0], ends[1], MOST_TICKS):
        far = data.unit != "ft" and ends[1] - ends[0] > 3000
        label = f"{value / 1000:g} km" if far else f"{value:g} {data.unit}"
        yield Tick(data.at_shown(value * per), label, 2)


def mark_ticks(data: RulerData, low_m: float, high_m: float) -> Iterator[Tick]:
    """Printed marks in the unit of each cable: those of the sites, then round ones along every span."""
    plan = data.plan
    if plan is None:
        return
    per = {s.site: FEET_M if s.mark_unit == "ft" else 1.0 for s in plan.stations}
    if data.found_m is not None and (mark := plan.mark_at(data.found_m)) is not None:
        yield Tick(data.found_m, f"{mark / _unit_m(plan, data.found_m):.0f}", 0)
    for station in plan.stations:
        for mark in station.marks[:1]:
            yield Tick(station.at_m, f"{mark / per[station.site]:.0f}", 1)
    for run in (run for span in plan.spans for run in span.runs):
        left, right = max(low_m, run.from_m), min(high_m, run.to_m)
        a, b = plan.mark_at(left), plan.mark_at(right)
        if left >= right or a is None or b is None:
            continue
        unit = _unit_m(plan, left)
        share = (right - left) / (high_m - low_m)
        for value in steps(min(a, b) / unit, max(a, b) / unit, max(round(MOST_TICKS * share), 1)):
            at_m = run.at(value * unit)
            if at_m is not None:
                yield Tick(at_m, f"{value:g}", 2)


def _unit_m(plan: Plan, at_m: float) -> float:
    near = min(plan.stations, key=lambda s: abs(s.at_m - at_m))
    return FEET_M if near.mark_unit == "ft" else 1.0


def route_ticks(data: RulerData, low_m: float, high_m: float) -> Iterator[Tick]:
    """Metres of route at the sites that know theirs, and of what was read."""
    plan = data.plan
    if plan is None:
        return
    if data.found_m is not None and data.found_route_m is not None:
        yield Tick(data.found_m, f"{data.found_route_m:.0f}", 0)
    for station in plan.stations:
        if station.route_m is not None:
            yield Tick(station.at_m, f"{station.route_m:.0f}", 1)


RULERS: tuple[tuple[str, Callable[[RulerData, float, float], Iterator[Tick]]], ...] = (
    ("shown", shown_ticks),
    ("mark", mark_ticks),
    ("route", route_ticks),
)


class TraceRulers(QWidget):
    """The three rulers."""

    def __init__(self, scale: TraceScale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("traceRulers")
        self.setAccessibleName("Rulers: shown, mark, route")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.scale = scale
        self.skin = Skin()
        self.data = RulerData()
        scale.changed.connect(self.update)

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Three rows."""
        return QSize(800, self.skin.px(ROW) * len(RULERS) + 8)

    def show_data(self, data: RulerData) -> None:
        """Show another path or reading."""
        self.data = data
        self.setAccessibleDescription(self.words())
        self.update()

    def words(self) -> str:
        """What was read, on all three."""
        if self.data.found_m is None:
            return ""
        at = self.data.found_m
        said = [
            f"{name} {tick.label}" for name, ticks in RULERS for tick in ticks(self.data, at, at + 1.0) if not tick.rank
        ]
        return ", ".join(said)

    def labels(self, name: str) -> list[tuple[str, QRectF, int]]:
        """(label, its box, rank) of every tick of a ruler that has room for its label."""
        row = [ruler for ruler, _ in RULERS].index(name)
        ticks = RULERS[row][1](self.data, *self.scale.shown)
        skin, px = self.skin, self.skin.px
        top = row * px(ROW)
        clear = Clear()
        found = []
        left, right = self.scale.left_px - px(24), self.width()
        for tick in sorted(ticks, key=lambda t: (t.rank, t.at_m)):
            x = self.scale.x_of(tick.at_m)
            if not self.scale.left_px - 1 <= x <= self.scale.width_px - self.scale.right_px + 1:
                continue
            wide = skin.metrics(LABEL, bold=not tick.rank, fixed=True).horizontalAdvance(tick.label) + 2
            box = QRectF(x - wide / 2, top + px(8), wide, px(18))
            if box.left() >= left and box.right() <= right and clear.takes(box, 6.0):
                found.append((tick.label, box, tick.rank))
        return found

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint."""
        painter = QPainter(self)
        skin, tokens, px = self.skin, self.skin.tokens, self.skin.px
        painter.fillRect(self.rect(), QColor(tokens.paper))
        for row, (name, _) in enumerate(RULERS):
            top = row * px(ROW)
            painter.fillRect(
                QRectF(self.scale.left_px, top, self.width() - self.scale.left_px - self.scale.right_px, 1.4),
                QColor(tokens.ink2),
            )
            painter.setFont(skin.font(LABEL, bold=True))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(QRectF(px(14), top + px(4), self.scale.left_px - px(30), px(22)), LEFT, name)
            for label, box, rank in self.labels(name):
                colour = tokens.error if rank == 0 else tokens.ink
                x = box.center().x()
                painter.setPen(QPen(QColor(colour), 2.0 if rank == 0 else 1.4))
                painter.drawLine(QPointF(x, top), QPointF(x, top + px(6)))
                painter.setFont(skin.font(LABEL, bold=rank == 0, fixed=True))
                painter.drawText(box, CENTRE, label)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self.updateGeometry()
        self.update()
