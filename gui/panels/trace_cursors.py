"""Two cursors on a loss curve and what lies between them: length, loss by two points, loss and slope by least squares.

Two points take the noise at both of them; a line through everything between takes the noise out, but holds only where
no joint lies between the cursors.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Final


@dataclass(frozen=True, slots=True)
class Curve:
    """Points by rising fibre metres of the path; dB relative to where the path begins, falling with loss."""

    at_m: Sequence[float] = ()
    db: Sequence[float] = ()

    def __bool__(self) -> bool:
        return bool(self.at_m)

    def at(self, at_m: float) -> float | None:
        """dB at a place, straight between points; None outside."""
        xs, ys = self.at_m, self.db
        if not xs or not xs[0] <= at_m <= xs[-1]:
            return None
        right = bisect_right(xs, at_m)
        if right >= len(xs):
            return ys[-1]
        x0, x1 = xs[right - 1], xs[right]
        return ys[right] if x1 <= x0 else ys[right - 1] + (at_m - x0) / (x1 - x0) * (ys[right] - ys[right - 1])


NO_CURVE: Final = Curve()


@dataclass(frozen=True, slots=True)
class Cursors:
    """Places of cursor A and B in fibre metres; ``active`` is the one that keys move."""

    a_m: float = 0.0
    b_m: float = 0.0
    active: int = 0

    @property
    def places(self) -> tuple[float, float]:
        """A and B."""
        return self.a_m, self.b_m

    def put(self, number: int, at_m: float) -> Cursors:
        """Cursor 0 or 1 at another place, and active."""
        return replace(self, a_m=at_m, active=0) if number == 0 else replace(self, b_m=at_m, active=1)

    def other(self) -> Cursors:
        """The other cursor active."""
        return replace(self, active=1 - self.active)


@dataclass(frozen=True, slots=True)
class Readout:
    """What lies between the cursors; a loss is None where the curve does not reach or has too few points."""

    a_m: float
    b_m: float
    two_point_db: float | None
    least_squares_db: float | None
    measured: bool

    @property
    def length_m(self) -> float:
        """Metres of fibre from A to B."""
        return self.b_m - self.a_m

    @property
    def words(self) -> str:
        """One line; the slope in dB per kilometre after each loss."""
        said = [f"A {self.a_m:.1f} m", f"B {self.b_m:.1f} m", f"B\u2212A {self.length_m:.1f} m".replace("-", "\u2212")]
        km = self.length_m / 1000
        for name, loss in (("2 points", self.two_point_db), ("least squares", self.least_squares_db)):
            if loss is not None and km:
                said.append(f"{name} {loss:.3f} dB, {loss / km:.3f} dB/km")
        if not self.measured:
            said.append("expected")
        return "   ".join(said)


def readout(curve: Curve, cursors: Cursors, *, measured: bool) -> Readout:
    """Read a curve off between the cursors."""
    a, b = cursors.places
    one, two = curve.at(a), curve.at(b)
    two_point = one - two if one is not None and two is not None else None
    fitted = slope_db_per_m(curve, min(a, b), max(a, b)) if two_point is not None else None
    return Readout(a, b, two_point, None if fitted is None else -fitted * (b - a), measured)


def slope_db_per_m(curve: Curve, low_m: float, high_m: float) -> float | None:
    """Slope of the straight line with the least sum of squared errors through all points of a stretch; None below 3."""
    first, last = bisect_left(curve.at_m, low_m), bisect_right(curve.at_m, high_m)
    xs, ys = curve.at_m[first:last], curve.db[first:last]
    if len(xs) < 3:
        return None
    mean_x, mean_y = fsum(xs) / len(xs), fsum(ys) / len(ys)
    spread = fsum((x - mean_x) ** 2 for x in xs)
    return fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / spread if spread > 0 else None
