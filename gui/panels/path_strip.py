"""The path as a strip: a lane for every tube, a box for every site, suspects hatched, services hung under the sites.

It stands on the scale that the plot and the rulers below it use. Arrows walk the sites, Enter goes to one; a click
picks a site, a tube or the services of a chip. It makes no edit.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, QSize, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gui.panels.skin import Skin
from gui.panels.strip_layout import StripData, StripLayout
from gui.panels.strip_paint import StripPainter
from gui.panels.trace_scale import TraceScale
from gui.theme import DAY, Tokens
from gui.views.trace_plan import Hung
from render.refs import site_ref


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
        self._below_before = 0
        scale.changed.connect(self._rescaled)

    def _rescaled(self) -> None:
        """Chips that stand nearer to each other need more rows."""
        below = self.laid().below
        if below != self._below_before:
            self._below_before = below
            self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Wide, and as high as its lanes and labels need; it takes what there is."""
        return QSize(800, self.laid().least_height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """No lower than its lanes."""
        return QSize(200, self.sizeHint().height())

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

    def laid(self) -> StripLayout:
        """Where everything stands in the present size and zoom."""
        return StripLayout(self.data, self.scale, self.skin, self.width(), self.height())

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint all of it."""
        StripPainter(QPainter(self), self.laid(), self.at, focused=self.hasFocus()).paint()

    # -- by hand -------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Pick what is under the pointer: chips and boxes before lanes."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        if event.button() != Qt.MouseButton.LeftButton:
            return
        for box, kind, what in reversed(self.laid().hot()):
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
        found = [
            ref for box, kind, what in reversed(self.laid().hot()) if box.contains(at) for ref in _refs(kind, what)
        ]
        self.asked_here.emit(list(dict.fromkeys(found)), event.globalPos())

    def ask_here(self) -> None:
        """The list Here for the site that the arrows have come to."""
        plan = self.data.plan
        if plan is not None:
            station = plan.stations[self.at]
            spot = QPoint(round(self.scale.x_of(station.at_m)), self.height() // 2)
            self.asked_here.emit([site_ref(station.site)], self.mapToGlobal(spot))

    def _stand_at(self, site: str) -> None:
        for number, station, _ in self.laid().stations():
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

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self.updateGeometry()
        self.update()


def _refs(kind: str, what: list[str]) -> list[str]:
    """Refs of what a hot box stands for; chips of services are named, and have none."""
    return {"site": [site_ref(site) for site in what], "tube": what}.get(kind, [])
