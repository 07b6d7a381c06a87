"""Two cursors on a loss curve and what lies between them: length, loss by two points, loss and slope by least squares.

Two points take the noise at both of them; a line through everything between takes the noise out, but holds only where
no joint lies between the cursors.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from model.errors import PlantError
from model.otdr.fit import least_squares, two_point
from model.otdr.trace_file import Curve as OtdrCurve


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


def readout(curve: Curve, cursors: Cursors) -> Readout:
    """Read an expected curve off: it has no noise, so two points say all."""
    a, b = cursors.places
    one, two = curve.at(a), curve.at(b)
    return Readout(a, b, one - two if one is not None and two is not None else None, None, measured=False)


def measured_readout(trace: OtdrCurve, cursors: Cursors, file_m: Callable[[float], float]) -> Readout:
    """Read a measured trace off; ``file_m`` gives the distance of the file at a place of the path."""
    a, b = file_m(cursors.a_m), file_m(cursors.b_m)
    # Loss counts from A to B as the cursors stand, not as the instrument looks along the fibre.
    way = 1.0 if (b >= a) == (cursors.b_m >= cursors.a_m) else -1.0
    way *= 1.0 if cursors.b_m >= cursors.a_m else -1.0
    try:
        points: float | None = two_point(trace, a, b)[0] * way
    except PlantError:
        points = None
    try:
        fitted: float | None = least_squares(trace, a, b).slope_db_per_km * abs(b - a) / 1000.0 * way
    except PlantError:
        fitted = None
    return Readout(cursors.a_m, cursors.b_m, points, fitted, measured=True)
