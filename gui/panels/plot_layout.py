"""Where everything on the loss plot stands: the heights of its curves, the area they lie in, and their pixels.

dB against fibre metres of the path; metres become pixels by the scale the plot shares with strip and rulers.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath

from gui.panels.mark_window import MarkWindow
from gui.panels.skin import Skin
from gui.panels.trace_cursors import NO_CURVE, Curve
from gui.panels.trace_scale import TraceScale
from gui.views.trace_plan import Plan
from model.otdr.trace_file import Curve as OtdrCurve

BELOW_DB = 2.0
"""How far below the expected end of the path the picture reaches."""
EventKind = Literal["as expected", "differs", "missing", "extra", "end"]


@dataclass(frozen=True, slots=True)
class PlotEvent:
    """A numbered event: where, what it is, and whether the record expects it."""

    number: int
    at_m: float
    words: str
    kind: EventKind = "as expected"


@dataclass(frozen=True, slots=True)
class PlotData:
    """What the plot shows. ``found_m`` is the place read off, ``band`` the fibre metres it may lie between."""

    plan: Plan | None = None
    expected: Curve = NO_CURVE
    measured: Curve = NO_CURVE
    events: tuple[PlotEvent, ...] = ()
    found_m: float | None = None
    band: tuple[float, float] | None = None
    window: MarkWindow | None = None
    wavelength_nm: int = 1310
    note: str = ""
    trace: OtdrCurve | None = None
    file_m: Callable[[float], float] = float
    """Distance of the trace file at a place of the path."""


def heights_of(data: PlotData) -> tuple[float, float]:
    """(highest, lowest) dB in the picture: that of the whole path, so that zooming along it keeps the heights.

    Found once for each data, not for each point: a trace file has tens of thousands.
    """
    values = [v for curve in (data.expected, data.measured) if curve for v in (min(curve.db), max(curve.db))]
    high, low = max([0.0, *values]), min([-3.0, *values])
    if data.expected:
        # Noise far below the light that is looked for would press everything else together.
        low = max(low, min(data.expected.db) - BELOW_DB)
    return high + 0.06 * (high - low), low - 0.10 * (high - low)


class PlotLayout:
    """The plot laid out in a width and height; ``heights`` are the highest and lowest dB in the picture."""

    def __init__(
        self, data: PlotData, heights: tuple[float, float], scale: TraceScale, skin: Skin, width: float, height: float
    ) -> None:
        self.data, self.heights = data, heights
        self.scale, self.skin, self.width, self.height = scale, skin, width, height
        top, bottom = skin.px(34.0), skin.px(26.0)
        self.area = QRectF(
            scale.left_px,
            top,
            max(width - scale.left_px - scale.right_px, 10.0),
            max(height - top - bottom, 20.0),
        )
        self._paths: dict[str, QPainterPath] = {}

    def y(self, db: float) -> float:
        """Pixel of a level."""
        high, low = self.heights
        return self.area.top() + (high - db) / (high - low) * self.area.height()

    def path(self, name: str, curve: Curve) -> QPainterPath:
        """The curve in pixels, kept as long as the layout; of many points in one column the extremes are kept."""
        found = self._paths.get(name)
        if found is not None:
            return found
        path = QPainterPath()
        low, high = self.scale.shown
        first = max(bisect_left(curve.at_m, low) - 1, 0)
        last = min(bisect_right(curve.at_m, high) + 1, len(curve.at_m))
        column: int | None = None
        for n in range(first, last):
            point = QPointF(self.scale.x_of(curve.at_m[n]), self.y(curve.db[n]))
            if column is None:
                path.moveTo(point)
            elif last - first < 4000 or int(point.x()) != column:
                path.lineTo(point)
            else:
                # Only what stands out within one column of pixels is drawn.
                here = path.currentPosition()
                if abs(point.y() - here.y()) > 1.0:
                    path.lineTo(point)
            column = int(point.x())
        self._paths[name] = path
        return path
