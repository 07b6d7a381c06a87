"""Lengths as people type them: ``3.36 km``, ``3360``, ``11024 ft``, ``12 1/2 in``, with a decimal point or comma.

A bare number has the unit the caller says. A thousands separator is refused with the reason, because it may as well be
a decimal comma.
"""

from __future__ import annotations

import re
from math import isfinite

from model.errors import PlantError

FOOT_M = 0.3048
"""Metres in a foot, exact by the international definition of 1959."""
MM_PER: dict[str, float] = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "km": 1e6,
    "in": 25.4,
    "ft": 304.8,
    "kft": 304_800.0,
}
"""Millimetres in one of each unit; the inch is 25.4 mm exactly."""
MOST = 1e9

_SHAPE = re.compile(r"([+-]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)?(?:\s+(\d+)/(\d+)|(?<!\d)(\d+)/(\d+))?\s*([a-zA-Z\"']*)")
_GROUPED = re.compile(r"\d{1,3}([,. '\u202f\u00a0]\d{3})+(?![\d/])")


def parse_length(text: str, unit: str) -> float:
    """The number typed, in ``unit``. Raises PlantError with the reason for anything else.

    >>> parse_length("12 1/2 in", "mm")
    317.5
    >>> parse_length("37,5", "mm")
    37.5
    """
    typed = text.strip()
    if not typed:
        raise PlantError("there is no number", hint=f"Write a number in {unit}" if unit else "Write a number")
    if len(typed) > 40:
        raise PlantError("that is too long for a number", hint="Write a number such as 38 mm")
    grouped = _GROUPED.search(typed)
    if grouped and (grouped.group(0).count(",") + grouped.group(0).count(" ") or len(grouped.group(0)) > 7):
        plain = re.sub(r"\D", "", grouped.group(0))
        raise PlantError(f"{grouped.group(0)} may be read in two ways", hint=f"Write {plain} whole, or a decimal point")
    found = _SHAPE.fullmatch(typed)
    whole, over, under = (
        (found.group(2), found.group(3) or found.group(5), found.group(4) or found.group(6)) if found else ("", "", "")
    )
    if found is None or (not whole and not over):
        raise PlantError(f"{typed!r} is no number", hint="Write a number such as 38, 37.5 or 12 1/2 in")
    if under and int(under) == 0:
        raise PlantError(f"{typed!r} divides by zero", hint="Write a fraction such as 1/2")
    value = float(whole.replace(",", ".")) if whole else 0.0
    value += int(over) / int(under) if over and under else 0.0
    value = -value if found.group(1) == "-" else value
    named = {'"': "in", "'": "ft"}.get(found.group(7), found.group(7).lower())
    if named and named != unit:
        if unit not in MM_PER or named not in MM_PER:
            known = ", ".join(MM_PER) if unit in MM_PER else "no unit"
            raise PlantError(f"{found.group(7)!r} is no unit for this", hint=f"Use {known}")
        value = value * MM_PER[named] / MM_PER[unit]
    if not isfinite(value) or abs(value) > MOST:
        raise PlantError(f"{typed!r} is out of bounds", hint="Check the number and its unit")
    return value
