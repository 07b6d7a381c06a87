"""The tag beside the pointer during a drag: tightest radius, limit and whose it is, length and change.

It stands 64 px right and 14 px below the pointer, flips at the edges, and never covers the handle in hand.
"""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from gui.theme import DAY, LABEL, READING, Tokens, font

WIDTH, HEIGHT = 272, 116
RIGHT, BELOW = 64, 14


@dataclass(frozen=True, slots=True)
class TagText:
    """What the tag says. ``radius_mm`` None: a straight course; ``limit_mm`` 0: nothing limits it."""

    radius_mm: float | None
    limit_mm: float
    whose: str
    place: str
    length_mm: float
    change_mm: float
    fault: str = ""
    held_back: bool = False
    """The corner stays behind the pointer: farther out no course can be laid."""

    @property
    def bad(self) -> bool:
        """True when the limit is broken or the course cannot be drawn."""
        return bool(self.fault) or (self.radius_mm is not None and self.radius_mm < self.limit_mm - 1e-6)

    @property
    def spare_mm(self) -> float:
        """How much the tightest bend has to spare; negative when it is short."""
        return (self.radius_mm or 0.0) - self.limit_mm


def place_beside(pointer: QPoint, port: QRect) -> QPoint:
    """Top left corner of the tag for a pointer, inside the viewport and clear of the pointer."""
    x = pointer.x() + RIGHT if pointer.x() + RIGHT + WIDTH <= port.right() else pointer.x() - RIGHT - WIDTH
    y = pointer.y() + BELOW if pointer.y() + BELOW + HEIGHT <= port.bottom() else pointer.y() - BELOW - HEIGHT
    return QPoint(max(x, port.left()), max(y, port.top()))


class DragTag(QWidget):
    """Child of the canvas's viewport."""

    def __init__(self, viewport: QWidget) -> None:
        super().__init__(viewport)
        self._viewport = viewport
        self.setObjectName("dragTag")
        self.setAccessibleName("Bend while dragging")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.resize(WIDTH, HEIGHT)
        self.tokens: Tokens = DAY
        self.text: TagText | None = None
        self.hide()

    def show_text(self, text: TagText, pointer: QPoint) -> None:
        """Say what the course under the pointer is like now."""
        self.text = text
        self.move(place_beside(pointer, self._viewport.rect()))
        self.setAccessibleDescription(self.words())
        self.show()
        self.raise_()
        self.update()

    def words(self) -> str:
        """The tag in words, for a screen reader and the tests."""
        text = self.text
        if text is None:
            return ""
        if text.fault:
            return text.fault
        radius = "straight" if text.radius_mm is None else f"{text.radius_mm:.1f} mm at {text.place}"
        limit = f"limit {text.limit_mm:g} mm ({text.whose})"
        state = f"{-text.spare_mm:.1f} short" if text.bad else f"{text.spare_mm:.1f} to spare"
        if text.radius_mm is None:
            state = "no bend"
        return f"{radius}, {limit}, {state}, length {text.length_mm:.0f} mm ({text.change_mm:+.0f})" + (
            ", no course farther" if text.held_back else ""
        )

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """A dark plate with a large reading, a bar with the limit's tick, and two small lines."""
        text = self.text
        if text is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor("#15202B"))
        painter.drawRoundedRect(QRectF(self.rect()), 8, 8)
        light, dim, red = QColor("#FFFFFF"), QColor("#C9D1D6"), QColor("#FFA797")
        painter.setPen(light)
        if text.fault:
            painter.setFont(font(LABEL + 1))
            painter.drawText(self.rect().adjusted(16, 12, -16, -12), int(Qt.TextFlag.TextWordWrap), text.fault)
            return
        painter.setFont(font(READING - 2, bold=True))
        reading = "straight" if text.radius_mm is None else f"{text.radius_mm:.1f} mm"
        painter.drawText(16, 36, reading)
        painter.setFont(font(LABEL))
        painter.drawText(
            QRect(150, 14, WIDTH - 166, 26),
            int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter),
            text.place,
        )
        self._bar(painter, text, red)
        painter.setPen(dim)
        painter.drawText(16, 80, f"limit {text.limit_mm:g} mm ({text.whose})")
        painter.drawText(16, 100, f"length {text.length_mm:.0f} mm ({text.change_mm:+.0f})")
        right = int(Qt.AlignmentFlag.AlignRight)
        painter.drawText(
            QRect(WIDTH - 136, 88, 120, 18), right, "no course farther" if text.held_back else "Esc puts it back"
        )
        painter.setFont(font(LABEL, bold=True))
        painter.setPen(red if text.bad else light)
        state = f"{-text.spare_mm:.1f} short" if text.bad else f"{text.spare_mm:.1f} spare"
        if text.radius_mm is not None:
            painter.drawText(QRect(WIDTH - 136, 68, 120, 18), right, state)

    def _bar(self, painter: QPainter, text: TagText, red: QColor) -> None:
        left, top, width, high = 16.0, 48.0, WIDTH - 32.0, 8.0
        full = max(text.limit_mm * 1.7, 1.0)
        part = 1.0 if text.radius_mm is None else min(text.radius_mm / full, 1.0)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor("#465360"))
        painter.drawRect(QRectF(left, top, width, high))
        painter.setBrush(red if text.bad else QColor("#A9CBD3"))
        painter.drawRect(QRectF(left, top, width * part, high))
        painter.setBrush(QColor("#FFFFFF"))
        painter.drawRect(QRectF(left + width * min(text.limit_mm / full, 1.0) - 1.5, top - 5, 3, high + 10))
