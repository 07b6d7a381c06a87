"""Reading little-endian numbers and texts out of a block of a trace file, never past its end."""

from __future__ import annotations

import struct
from typing import Final

from model.errors import PlantError

LONGEST_TEXT: Final = 4096
"""Bytes of one text; a longer one has lost its end."""


class ShortError(PlantError):
    """A block that ends before what it should hold."""


class Cursor:
    """A place in the bytes of a block; ``where`` names the block in messages. Raises ShortError at its end."""

    def __init__(self, data: bytes, where: str) -> None:
        self.data, self.where, self.at = data, where, 0

    @property
    def left(self) -> int:
        """Bytes that have not been read."""
        return len(self.data) - self.at

    def take(self, count: int) -> bytes:
        """The next bytes."""
        if self.left < count:
            raise ShortError(f"block {self.where} ends after {len(self.data)} bytes", hint="The file may be cut off")
        self.at += count
        return self.data[self.at - count : self.at]

    def numbers(self, shape: str) -> tuple[int, ...]:
        """Numbers by the letters of ``struct``: H and h two bytes, I and i four, capitals unsigned."""
        return struct.unpack(f"<{shape}", self.take(struct.calcsize(f"<{shape}")))

    def number(self, letter: str) -> int:
        """One number."""
        return self.numbers(letter)[0]

    def letters(self, count: int) -> str:
        """A text of fixed length, without what cannot be printed."""
        return printable(self.take(count))

    def text(self) -> str:
        """A text up to its zero byte."""
        end = self.data.find(b"\0", self.at, self.at + LONGEST_TEXT)
        if end < 0:
            raise ShortError(f"a text of block {self.where} has no end", hint="The file may be damaged")
        found = printable(self.data[self.at : end])
        self.at = end + 1
        return found


def printable(data: bytes) -> str:
    """Bytes as text: UTF-8, else Latin-1; control characters become spaces, spaces at the ends go."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    return "".join(c if c.isprintable() else " " for c in text).strip()
