"""Tokens, Large, and what follows from the two for a panel: fonts, row heights, labels that paint themselves anew.

Sizes are pixels at normal size; ``px`` multiplies them for Large. A widget repaints when given a new ``Skin``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QWidget

from gui.theme import BODY, DAY, LABEL, LARGE, TITLE, Tokens, font

Tone = Literal["ink", "ink2", "accent", "error", "warning"]

__all__ = ["BODY", "LABEL", "LARGE", "TITLE", "Painted", "Skin", "Words", "button", "focus_ring"]


@dataclass(frozen=True, slots=True)
class Skin:
    """The look of a panel now."""

    tokens: Tokens = DAY
    large: bool = False

    def px(self, pixels: float) -> int:
        """A size that grows with the lettering."""
        return round(pixels * (1.33 if self.large else 1.0))

    def font(self, pixels: float = BODY, *, bold: bool = False, fixed: bool = False) -> QFont:
        """The interface font at a size of normal pixels."""
        return font(pixels, bold=bold, fixed=fixed, large=self.large)

    def metrics(self, pixels: float = BODY, *, bold: bool = False, fixed: bool = False) -> QFontMetricsF:
        """Measures of that font."""
        return QFontMetricsF(self.font(pixels, bold=bold, fixed=fixed))

    def tone(self, tone: Tone) -> str:
        """The colour of a tone of lettering."""
        t = self.tokens
        tones = {"ink": t.ink, "ink2": t.ink2, "accent": t.accent, "error": t.error, "warning": t.on_warning}
        return tones[tone]

    @property
    def row(self) -> int:
        """Height of a list row; at least 48 in Large, which goes with fingers."""
        return 48 if self.large else 32

    @property
    def target(self) -> int:
        """Height of a button."""
        return 48 if self.large else 40


class Words(QLabel):
    """A label whose size and tone survive the window's style sheet."""

    def __init__(
        self,
        text: str = "",
        size: float = BODY,
        *,
        tone: Tone = "ink",
        bold: bool = False,
        fixed: bool = False,
        elide: bool = False,
    ) -> None:
        """``elide`` lets it shrink below its words, which then end in dots and stand whole in the tool tip."""
        super().__init__(text)
        self._size, self._tone, self._bold, self._fixed, self._elide = size, tone, bold, fixed, elide
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.set_skin(Skin())

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self.setFont(skin.font(self._size, bold=self._bold, fixed=self._fixed))
        family = "font-family: 'DejaVu Sans Mono';" if self._fixed else ""
        weight = "bold" if self._bold else "normal"
        colour = skin.tone(self._tone)
        size = skin.px(self._size)
        self.setStyleSheet(f"font-size: {size}px; font-weight: {weight}; color: {colour}; background: none; {family}")

    def minimumSizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """No wider than a few letters when it may shrink."""
        hint = super().minimumSizeHint()
        return QSize(min(40, hint.width()), hint.height()) if self._elide else hint

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint the words, or as many as there is room for."""
        measure = self.fontMetrics()
        room = self.contentsRect()
        if not self._elide or measure.horizontalAdvance(self.text()) <= room.width():
            if self._elide:
                self.setToolTip("")
            super().paintEvent(event)
            return
        self.setToolTip(self.text())
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        words = measure.elidedText(self.text(), Qt.TextElideMode.ElideRight, room.width())
        painter.drawText(room, int(self.alignment()), words)


class Painted(QWidget):
    """A small widget painted by a function of (painter, rect, skin): a mark, a swatch or a bar in a form."""

    def __init__(self, width: float, height: float, paint: Callable[[QPainter, QRectF, Skin], None]) -> None:
        super().__init__()
        self._width, self._height, self._paint = width, height, paint
        self._skin = Skin()
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def set_skin(self, skin: Skin) -> None:
        """Take colours and size."""
        self._skin = skin
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Its size in this skin."""
        return QSize(self._skin.px(self._width), self._skin.px(self._height))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Paint."""
        self._paint(QPainter(self), QRectF(self.rect()), self._skin)


def focus_ring(painter: QPainter, rect: QRectF, tokens: Tokens, radius: float = 5.0) -> None:
    """The ring of what has focus: 2.5 px of accent, a gap inside ``rect``."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(tokens.accent), 2.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(rect.adjusted(2.25, 2.25, -2.25, -2.25), radius, radius)
    painter.restore()


def button(text: str, *, main: bool = False, name: str = "", about: str = "") -> QPushButton:
    """A push button that is reached by Tab and pressed by Enter as well as Space."""
    made = QPushButton(text)
    made.setProperty("main", "true" if main else "false")
    made.setAutoDefault(True)
    made.setMinimumHeight(40)
    made.setAccessibleName(text)
    if name:
        made.setObjectName(name)
    if about:
        made.setAccessibleDescription(about)
    return made
