"""The one horizontal scale of the Trace view: strip, plot and rulers all ask it where a place of the path lies.

Places are fibre metres from the exchange end of the path; the launch lead lies before zero. Zooming and panning move
every picture at once, because there is nothing else to move.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

NEAREST_M = 5.0
"""Metres that are shown at the closest zoom."""


class TraceScale(QObject):
    """Pixels and metres; ``changed`` after anything that moves a place on the screen."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.whole = (0.0, 1000.0)
        self.shown = self.whole
        self.left_px, self.right_px, self.width_px = 96.0, 28.0, 800.0

    @property
    def px_per_m(self) -> float:
        """Pixels per metre of fibre."""
        return max(self.width_px - self.left_px - self.right_px, 1.0) / (self.shown[1] - self.shown[0])

    def x_of(self, at_m: float) -> float:
        """Pixel of a place."""
        return self.left_px + (at_m - self.shown[0]) * self.px_per_m

    def m_of(self, x: float) -> float:
        """Place under a pixel."""
        return self.shown[0] + (x - self.left_px) / self.px_per_m

    @property
    def zoomed(self) -> bool:
        """True when less than the whole path is in sight."""
        return self.shown != self.whole

    def set_whole(self, low_m: float, high_m: float) -> None:
        """The whole range; a zoom is kept where it still lies in it."""
        whole = (low_m, max(high_m, low_m + NEAREST_M))
        if whole == self.whole:
            return
        kept = self.zoomed and whole[0] <= self.shown[0] and self.shown[1] <= whole[1]
        self.whole = whole
        self.shown = self.shown if kept else whole
        self.changed.emit()

    def set_room(self, width_px: float, left_px: float, right_px: float) -> None:
        """The width of the pictures and the margins for their labels."""
        room = (float(width_px), float(left_px), float(right_px))
        if room != (self.width_px, self.left_px, self.right_px):
            self.width_px, self.left_px, self.right_px = room
            self.changed.emit()

    def show(self, low_m: float, high_m: float) -> None:
        """Show a part of the range, no closer than ``NEAREST_M`` and nothing beyond the whole."""
        size = min(max(high_m - low_m, NEAREST_M), self.whole[1] - self.whole[0])
        middle = (low_m + high_m) / 2
        low = min(max(middle - size / 2, self.whole[0]), self.whole[1] - size)
        shown = (low, low + size) if size < self.whole[1] - self.whole[0] else self.whole
        if shown != self.shown:
            self.shown = shown
            self.changed.emit()

    def zoom(self, factor: float, about_m: float | None = None) -> None:
        """Closer by a factor above 1, about a place that stays where it is."""
        low, high = self.shown
        about = (low + high) / 2 if about_m is None else min(max(about_m, low), high)
        self.show(about - (about - low) / factor, about + (high - about) / factor)

    def zoom_by(self, factor: float) -> None:
        """Closer about the middle."""
        self.zoom(factor)

    def pan(self, by_m: float) -> None:
        """Move along the path."""
        self.show(self.shown[0] + by_m, self.shown[1] + by_m)

    def fit(self) -> None:
        """The whole path."""
        self.show(*self.whole)


def steps(low: float, high: float, most: int) -> list[float]:
    """Round values of a range, at most about ``most`` of them: 1, 2 or 5 times a power of ten apart."""
    if not high > low or most < 1:
        return []
    rough = (high - low) / most
    power = 10.0 ** _floor_log10(rough)
    step = next(power * n for n in (1, 2, 5, 10) if power * n >= rough * 0.999)
    first = -(-low // step)
    return [n * step for n in range(int(first), int(high // step) + 1)]


def _floor_log10(value: float) -> int:
    """Exponent of the power of ten at or below a positive value."""
    return int(f"{value:e}".partition("e")[2])
