"""Fibre and tube numbers of a file: range text such as ``13-16,20``, read strictly and within bounds.

The text keeps the order and any repetition of the numbers, so that reading gives back exactly what was written; whether
they make sense is for ``integrity`` to say.
"""

from __future__ import annotations

import re
from typing import Final

from model.errors import PlantError
from model.numbers import from_text

_NUMBER: Final = "[1-9][0-9]{0,4}"
PATTERN: Final = f"^({_NUMBER}(-{_NUMBER})?(,{_NUMBER}(-{_NUMBER})?)*)?$"
"""What a list of numbers looks like in a file: no spaces, no leading zeros, empty for none."""

_SHAPE: Final = re.compile(PATTERN.strip("^$"))


class Numbers:
    """The numbers of one field while a document is between text and entity."""

    __slots__ = ("values",)

    def __init__(self, values: tuple[int, ...] = ()) -> None:
        self.values = values


def read(text: str) -> tuple[int, ...]:
    """The numbers of a text; raises ValueError, saying why, for anything else."""
    if not text:
        return ()
    if not _SHAPE.fullmatch(text):
        shown = text if len(text) <= 40 else f"{text[:40]}..."
        raise ValueError(f"{shown!r} is no list of numbers such as '13-16,20'")
    try:
        return from_text(text)
    except PlantError as error:
        raise ValueError(error.message) from None
