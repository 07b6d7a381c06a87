"""Loss against distance: what was measured solid, what the record expects dashed, events numbered, missing ones named.

It stands on the scale of the strip above and the rulers below. Two cursors are dragged or walked by arrows; what lies
between them is read off by two points and by least squares. Wheel with Ctrl zooms at the pointer, wheel alone moves.
"""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gui.panels.plot_layout import PlotData, PlotLayout, heights_of
from gui.panels.plot_paint import PlotPainter
from gui.panels.skin import Skin
from gui.panels.trace_cursors import Cursors, Readout, measured_readout, readout
from gui.panels.trace_scale import TraceScale
from gui.theme import DAY, Tokens

GRIP = 7
LOW = 150
"""Height asked for, pixels; it takes what there is."""


class LossPlot(QWidget):
    """The plot; ``moved`` after a cursor was moved."""

    moved = Signal()

    def __init__(self, scale: TraceScale, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("lossPlot")
        self.setAccessibleName("Loss along the path")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMouseTracking(True)
        self.scale = scale
        self.skin = Skin()
        self.data = PlotData()
        self.cursors = Cursors()
        self.reading_off = False
        """The cursors are in sight: a trace was measured, or somebody took one in hand."""
        self._held: int | None = None
        self._pan: float | None = None
        self._heights = heights_of(self.data)
        self._laid: PlotLayout | None = None
        scale.changed.connect(self._moved_scale)

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Wide and low."""
        return QSize(800, self.skin.px(LOW))

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """High enough for its labels."""
        return QSize(200, self.skin.px(LOW))

    def _moved_scale(self) -> None:
        self._laid = None
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """The curves lie elsewhere."""
        self._laid = None
        super().resizeEvent(event)

    def show_data(self, data: PlotData) -> None:
        """Show another path, reading or trace; the cursors stay where they are on the same path."""
        other = (data.plan.node if data.plan else "") != (self.data.plan.node if self.data.plan else "")
        self.data = data
        self._laid = None
        self._heights = heights_of(data)
        if other:
            end = data.plan.length_m if data.plan else 1000.0
            self.cursors = Cursors(end * 0.25, end * 0.5)
            self.reading_off = False
        self.reading_off = self.reading_off or bool(data.measured)
        self._describe()
        self.update()

    def _describe(self) -> None:
        read_off = self.readout().words if self.reading_off else ""
        said = [f"{event.number} {event.words}" for event in self.data.events]
        self.setAccessibleDescription("; ".join(filter(None, [read_off, *said, self.data.note])))

    def readout(self) -> Readout:
        """What lies between the cursors, off the measured curve if there is one."""
        if self.data.trace is not None:
            return measured_readout(self.data.trace, self.cursors, self.data.file_m)
        return readout(self.data.expected, self.cursors)

    def _lay_out(self) -> PlotLayout:
        """Where everything stands, kept until something moves: a trace file has tens of thousands of points."""
        if self._laid is None:
            self._laid = PlotLayout(self.data, self._heights, self.scale, self.skin, self.width(), self.height())
        return self._laid

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint all of it."""
        cursors = self.cursors if self.reading_off else None
        words = self.readout().words if cursors is not None else ""
        PlotPainter(QPainter(self), self._lay_out(), cursors, words).paint(focused=self.hasFocus())

    # -- by hand -------------------------------------------------------------------------------------------------

    def _put(self, number: int, at_m: float) -> None:
        self.reading_off = True
        self.cursors = self.cursors.put(number, min(max(at_m, self.scale.whole[0]), self.scale.whole[1]))
        self._describe()
        self.moved.emit()
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Take the cursor under the pointer, or bring the active one there; Shift brings the other. Middle pans."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        x = event.position().x()
        if event.button() == Qt.MouseButton.MiddleButton:
            self._pan = x
            return
        if event.button() != Qt.MouseButton.LeftButton or self.data.plan is None:
            return
        near = [abs(self.scale.x_of(at_m) - x) for at_m in self.cursors.places]
        if min(near) <= GRIP:
            self._held = near.index(min(near))
        else:
            other = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._held = 1 - self.cursors.active if other else self.cursors.active
        self._put(self._held, self.scale.m_of(x))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Carry the cursor, or the picture."""
        x = event.position().x()
        if self._held is not None:
            self._put(self._held, self.scale.m_of(x))
        elif self._pan is not None:
            self.scale.pan((self._pan - x) / self.scale.px_per_m)
            self._pan = x

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802  # Qt's name
        """Let go."""
        self._held = self._pan = None

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802  # Qt's name
        """Zoom at the pointer with Ctrl, else move along."""
        turn = event.angleDelta().y() or event.angleDelta().x()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.scale.zoom(1.25 ** (turn / 120), self.scale.m_of(event.position().x()))
        else:
            low, high = self.scale.shown
            self.scale.pan(-(high - low) * 0.1 * turn / 120)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Arrows walk the active cursor, Shift by ten and Alt by a tenth; Space takes the other one."""
        key = Qt.Key(event.key())
        way = {Qt.Key.Key_Right: 1.0, Qt.Key.Key_Left: -1.0}.get(key, 0.0)
        held = event.modifiers()
        if way and self.data.plan is not None and not held & Qt.KeyboardModifier.ControlModifier:
            by = (
                10.0
                if held & Qt.KeyboardModifier.ShiftModifier
                else 0.1
                if held & Qt.KeyboardModifier.AltModifier
                else 1.0
            )
            here = self.cursors.places[self.cursors.active] + way * by
            self._put(self.cursors.active, here)
            if not self.scale.shown[0] <= here <= self.scale.shown[1]:
                self.scale.pan(here - sum(self.scale.shown) / 2)
            return
        if way and held & Qt.KeyboardModifier.ControlModifier:
            self.scale.pan(way * (self.scale.shown[1] - self.scale.shown[0]) * 0.1)
            return
        if key == Qt.Key.Key_Space:
            self.cursors = self.cursors.other()
            self._describe()
            self.update()
            return
        super().keyPressEvent(event)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.skin = Skin(tokens, large)
        self._laid = None
        self.updateGeometry()
        self.update()
