"""The limits strip at the foot of the window: one button per gauge, each going to the place it is about.

Widgets are kept from one set of data to the next, so that focus never jumps. Gauges for which there is no room wait
behind a button that turns the page; the findings stay in sight.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QToolButton, QWidget

from gui.marks import State, paint_gauge, paint_mark
from gui.panels.gauge_data import GaugeData
from gui.panels.skin import LABEL, TITLE, Skin, focus_ring
from gui.theme import DAY, Tokens

PAD = 16
COUNTED: tuple[State, ...] = ("error", "warning", "note")


class Gauge(QAbstractButton):
    """One value with its limit and state; pressed, it goes to its place."""

    def __init__(self, data: GaugeData, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._hover = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setObjectName(f"gauge {data.key}")
        self.show_data(data)

    def show_data(self, data: GaugeData) -> None:
        """Show another reading of the same gauge."""
        self.data_shown = data
        self.setAccessibleName(data.label)
        self.setAccessibleDescription(data.spoken)
        self.setToolTip(f"{data.label}: {data.spoken}")
        self.update()

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self.updateGeometry()
        self.update()

    def needed(self) -> int:
        """Width at which nothing is cut."""
        skin, data = self._skin, self.data_shown
        mark = skin.px(18) + 10
        top = skin.metrics(LABEL).horizontalAdvance(data.label) + mark
        if data.counts is not None:
            middle = sum(self._count_width(count) for count in data.counts)
            bottom = skin.metrics(LABEL).horizontalAdvance(data.of)
            return round(max(top - mark, middle, bottom)) + 2 * PAD
        middle = skin.metrics(TITLE, bold=True).horizontalAdvance(data.value) + 8
        middle += skin.metrics(LABEL).horizontalAdvance(data.of)
        return max(round(max(top, middle)), skin.px(100)) + 2 * PAD

    def _count_width(self, count: int) -> float:
        return self._skin.px(20) + 6 + self._skin.metrics(TITLE, bold=True).horizontalAdvance(str(count)) + 16

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Width at which nothing is cut, height of the strip."""
        return QSize(self.needed(), self._skin.px(76) + 12)

    def enterEvent(self, event: QEvent) -> None:  # noqa: N802  # Qt's name
        """Light up under the pointer."""
        self._hover = True
        self.update()

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802  # Qt's name
        """Back to rest."""
        self._hover = False
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Label and mark, value, bar."""
        painter = QPainter(self)
        data, skin, tokens = self.data_shown, self._skin, self._skin.tokens
        box = QRectF(self.rect())
        alarm = data.state == "error" and data.counts is None
        if alarm:
            painter.fillRect(box, QColor(tokens.error_tint))
            painter.fillRect(QRectF(box.left(), box.top(), box.width(), 3), QColor(tokens.error))
        elif data.touched or self._hover:
            painter.fillRect(box, QColor(tokens.tint))
            if data.touched:
                painter.fillRect(QRectF(box.left(), box.top(), box.width(), 3), QColor(tokens.accent))
        painter.setPen(QPen(QColor(tokens.line), 1))
        painter.drawLine(box.topRight() + QPointF(-0.5, 10), box.bottomRight() + QPointF(-0.5, -10))
        inner = box.adjusted(PAD, 10, -PAD, -12)
        label_high = skin.metrics(LABEL).height()
        value_high = skin.metrics(TITLE, bold=True).height()
        painter.setFont(skin.font(LABEL))
        painter.setPen(QColor(tokens.ink if alarm or data.touched else tokens.ink2))
        align = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        label = QRectF(inner.left(), inner.top(), inner.width(), label_high)
        painter.drawText(label, align, data.label)
        middle = inner.top() + label_high + skin.px(4)
        if data.counts is not None:
            self._paint_counts(painter, inner.left(), middle, value_high)
            painter.setFont(skin.font(LABEL))
            painter.setPen(QColor(tokens.ink2))
            painter.drawText(
                QRectF(inner.left(), inner.bottom() - label_high + 4, inner.width(), label_high), align, data.of
            )
        else:
            size = skin.px(18)
            paint_mark(painter, QRectF(inner.right() - size, inner.top() - 2, size, size), data.state, tokens)
            painter.setFont(skin.font(TITLE, bold=True))
            painter.setPen(QColor(tokens.ink))
            painter.drawText(QRectF(inner.left(), middle, inner.width(), value_high), align, data.value)
            wide = skin.metrics(TITLE, bold=True).horizontalAdvance(data.value) + 8
            painter.setFont(skin.font(LABEL))
            painter.setPen(QColor(tokens.ink if alarm else tokens.ink2))
            painter.drawText(QRectF(inner.left() + wide, middle, inner.width() - wide, value_high + 1), align, data.of)
            if data.fraction is not None:
                high = skin.px(7)
                bar = QRectF(inner.left(), inner.bottom() - high + 2, inner.width(), high)
                paint_gauge(painter, bar, data.fraction, data.limit_fraction, data.state, tokens)
        if self.hasFocus():
            focus_ring(painter, box, tokens)

    def _paint_counts(self, painter: QPainter, left: float, top: float, high: float) -> None:
        skin, counts = self._skin, self.data_shown.counts or (0, 0, 0)
        size = skin.px(20)
        for state, count in zip(COUNTED, counts, strict=True):
            paint_mark(painter, QRectF(left, top + (high - size) / 2, size, size), state, skin.tokens, faded=not count)
            painter.setFont(skin.font(TITLE, bold=True))
            painter.setPen(QColor(skin.tokens.ink if count else skin.tokens.ink2))
            painter.drawText(QRectF(left + size + 6, top, 60, high), Qt.AlignmentFlag.AlignVCenter, str(count))
            left += self._count_width(count)


class LimitsStrip(QWidget):
    """All gauges of a place; ``asked`` carries the ref of the one that was pressed."""

    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._skin = Skin()
        self._order: list[str] = []
        self._gauges: dict[str, Gauge] = {}
        self._first = 0
        self.setObjectName("limits")
        self.setAccessibleName("Limits")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._more = QToolButton(self)
        self._more.setObjectName("moreGauges")
        self._more.clicked.connect(self._turn)
        self._more.hide()

    @property
    def gauges(self) -> list[Gauge]:
        """The gauges in order."""
        return [self._gauges[key] for key in self._order]

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self._skin = Skin(tokens, large)
        for gauge in self._gauges.values():
            gauge.set_skin(self._skin)
        self.updateGeometry()
        self._place()
        self.update()

    def show_gauges(self, data: Sequence[GaugeData]) -> None:
        """Show these readings; a gauge that stays keeps its widget and its focus."""
        wanted = [entry.key for entry in data]
        for key in [key for key in self._gauges if key not in wanted]:
            gone = self._gauges.pop(key)
            gone.hide()
            gone.deleteLater()
        for entry in data:
            gauge = self._gauges.get(entry.key)
            if gauge is None:
                gauge = Gauge(entry, self)
                gauge.set_skin(self._skin)
                gauge.clicked.connect(lambda _=False, key=entry.key: self._pressed(key))
                self._gauges[entry.key] = gauge
            else:
                gauge.show_data(entry)
        self._order = wanted
        self.setAccessibleDescription("; ".join(f"{entry.label}, {entry.spoken}" for entry in data))
        for one, two in zip(self.gauges, self.gauges[1:], strict=False):
            QWidget.setTabOrder(one, two)
        self._place()

    def _pressed(self, key: str) -> None:
        self.asked.emit(self._gauges[key].data_shown.where)

    def _turn(self) -> None:
        self._first += 1
        self._place()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """All gauges side by side."""
        return QSize(sum(gauge.needed() for gauge in self.gauges), self._skin.px(76) + 12)

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """The widest gauge and the findings."""
        return QSize(240, self._skin.px(76) + 12)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """Place the gauges anew."""
        self._place()

    def _place(self) -> None:
        fixed = [gauge for gauge in self.gauges if gauge.data_shown.counts is not None]
        loose = [gauge for gauge in self.gauges if gauge.data_shown.counts is None]
        room = self.width() - sum(gauge.needed() for gauge in fixed)
        shown = self._page(loose, room)
        hidden = len(loose) - len(shown)
        more_wide = 0
        self._more.setVisible(hidden > 0)
        if hidden:
            more_wide = self._skin.px(84)
            self._more.setText(f"{hidden} more")
            self._more.setAccessibleName(f"{hidden} more limits")
        for gauge in loose:
            gauge.setVisible(gauge in shown)
        spare = room - more_wide - sum(gauge.needed() for gauge in shown)
        share = min(max(spare, 0) // max(len(shown), 1), 80)
        left = 0
        for gauge in shown:
            gauge.setGeometry(left, 0, gauge.needed() + share, self.height())
            left += gauge.needed() + share
        if hidden:
            self._more.setGeometry(left + 4, (self.height() - 48) // 2, more_wide - 8, 48)
            left += more_wide
        for gauge in fixed:
            gauge.setVisible(True)
            gauge.setGeometry(left, 0, gauge.needed(), self.height())
            left += gauge.needed()

    def _page(self, loose: list[Gauge], room: int) -> list[Gauge]:
        """The gauges in sight: all where there is room, else from the page's first on, in order."""
        if sum(gauge.needed() for gauge in loose) <= room:
            self._first = 0
            return loose
        room -= self._skin.px(84)
        start = self._first % len(loose)
        if self._first == 0:
            # On the first page the gravest come first into sight, in their usual order.
            rank = sorted(loose, key=lambda gauge: ("error", "warning", "note", "fine").index(gauge.data_shown.state))
        else:
            rank = loose[start:] + loose[:start]
        taken: list[Gauge] = []
        for gauge in rank:
            if gauge.needed() > room:
                break
            taken.append(gauge)
            room -= gauge.needed()
        return [gauge for gauge in loose if gauge in taken] if self._first == 0 else taken

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """The ground of the strip and its upper rule."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._skin.tokens.panel))
        painter.fillRect(QRectF(0, 0, self.width(), 1), QColor(self._skin.tokens.line))
