"""The one error of the geometry package: a route that cannot be laid as asked.

The message says which support or which length is at fault and what to do about it; ``support`` is
the index of that support in the list given to ``belt``, so that a caller can point at it.
"""

from __future__ import annotations

import math


class GeometryError(ValueError):
    """A shape that does not exist: ``support`` is the index from 0 of the support to look at, if any."""

    def __init__(self, message: str, support: int | None = None) -> None:
        super().__init__(message)
        self.support = support


def require_finite(what: str, *numbers: float) -> None:
    """Raise GeometryError naming ``what`` unless every number is finite."""
    if not all(math.isfinite(number) for number in numbers):
        shown = ", ".join(f"{number:g}" for number in numbers)
        raise GeometryError(f"{what}: {shown} holds a number that is not finite; give plain millimetres")


def require_positive(what: str, number: float) -> None:
    """Raise GeometryError naming ``what`` unless the number is finite and above zero."""
    require_finite(what, number)
    if number <= 0:
        raise GeometryError(f"{what} is {number:g}; it must be greater than 0")
