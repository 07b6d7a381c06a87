"""What a person types into the record of a joint, checked: initials, dates, notes, losses, words for status and proof.

Initials fit a column, a date is one of the calendar, a loss is one an instrument can show. dB, wavelengths in nm.
"""

from __future__ import annotations

import re
from datetime import date
from math import isfinite
from typing import Final, Literal

from model.entities import Reading, WorkStatus
from model.errors import EditError

LOSS_DB: Final = (-5.0, 30.0)
"""Readings outside are a slip of the hand: no splice shows them (common sense, no source)."""
WAVELENGTH_NM: Final = (800, 1700)
"""Wavelengths light in these fibres is measured at."""
LONGEST_BY: Final = 24
LONGEST_NOTE: Final = 200
STATUSES: Final[dict[str, WorkStatus]] = {
    "planned": "planned",
    "done": "done",
    "existing": "existing",
    "remove": "remove",
}
"""Words for what is to be done, or was done, with a joint."""
EVIDENCE: Final[dict[str, Literal["verified", "inherited", "assumed"]]] = {
    "verified": "verified",
    "inherited": "inherited",
    "assumed": "assumed",
}
"""Words for how well a record is known."""
_DATE: Final = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


def checked_date(text: str) -> str:
    """A date as YYYY-MM-DD, or nothing. Raises EditError for what is no day of the calendar."""
    typed = text.strip()
    try:
        if typed and not _DATE.fullmatch(typed):
            raise ValueError
        return typed and date.fromisoformat(typed).isoformat()
    except ValueError:
        raise EditError(f"{typed[:20]!r} is no date", hint="Write year-month-day, like 2026-03-01") from None


def checked_by(text: str) -> str:
    """Initials or a name, blanks tidied. Raises EditError for more than a column holds."""
    typed = " ".join(text.split())
    if len(typed) > LONGEST_BY or not typed.isprintable():
        raise EditError("these are no initials", hint=f"Use at most {LONGEST_BY} letters")
    return typed


def checked_note(text: str) -> str:
    """A note on one line. Raises EditError for one too long for a column."""
    typed = " ".join(text.split())
    if len(typed) > LONGEST_NOTE or not typed.isprintable():
        raise EditError("this is no note", hint=f"Use at most {LONGEST_NOTE} letters, digits and marks")
    return typed


def checked_kind(text: str) -> Literal["verified", "inherited", "assumed"]:
    """A word for how well a record is known; nothing means assumed. Raises EditError for any other."""
    word = text.strip().lower() or "assumed"
    if word not in EVIDENCE:
        raise EditError(f"{text.strip()[:20]!r} is no evidence", hint=f"It is one of {', '.join(EVIDENCE)}")
    return EVIDENCE[word]


def checked_reading(reading: Reading) -> Reading:
    """A reading an instrument can show. Raises EditError for any other."""
    low, high = LOSS_DB
    if not isfinite(reading.loss_db) or not low <= reading.loss_db <= high:
        raise EditError(
            f"{reading.loss_db:g} dB is no reading of a splice", hint=f"It lies between {low:g} and {high:g}"
        )
    if reading.wavelength_nm or reading.direction != "estimate":
        short, long = WAVELENGTH_NM
        if not short <= reading.wavelength_nm <= long:
            raise EditError(f"{reading.wavelength_nm} nm is no wavelength", hint=f"Use {short} to {long}, like 1550")
    return reading


def parse_db(text: str) -> float:
    """A loss as people type it: ``0.04``, ``-0,02``, ``0.04 dB``. Raises EditError."""
    typed = text.strip()
    found = re.fullmatch(r"([+-]?(?:\d{1,4}(?:[.,]\d{0,6})?|[.,]\d{1,6}))\s*(?:dB)?", typed, re.ASCII | re.IGNORECASE)
    if found is None:
        raise EditError(f"{typed[:20]!r} is no loss", hint="Write decibels, like 0.04")
    return float(found[1].replace(",", "."))
