"""Whole turns and the two ways of folding an angle into one of them; radians throughout.

The page has y pointing down, so an angle grows clockwise as the reader sees it.
"""

from __future__ import annotations

import math

TAU = 2 * math.pi
ANGLE_TOL_RAD = 1e-9
"""Below this two directions are the same: 1e-9 rad is a nanometre seen from a metre away."""


def folded(angle_rad: float) -> float:
    """The same direction within (-pi, pi]."""
    turned = math.remainder(angle_rad, TAU)
    return math.pi if turned <= -math.pi else turned


def forward(angle_rad: float) -> float:
    """The same direction within [0, 2*pi); anything within 1e-9 rad of a whole turn is 0."""
    turned = angle_rad % TAU
    return 0.0 if turned < ANGLE_TOL_RAD or turned > TAU - ANGLE_TOL_RAD else turned
