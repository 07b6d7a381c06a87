"""Moving over typed text from left to right: blanks, marks, names, numbers and ranges, each with its column."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from model.line.faults import Fix, LineError, Span
from model.line.names import Kind, Names, ends_name
from model.line.syntax import Word
from model.numbers import DASHES, hyphened

_TO = rf"\s*[-{DASHES}]\s*"
_PART = re.compile(
    rf"all|(?:in|out)\s*\d*(?:{_TO}\d+)?|[tr]\d+(?:{_TO}[tr]?\d+)?(?:\.\d+(?:{_TO}\d+)?)?|\d+(?:{_TO}\d+)?",
    re.IGNORECASE,
)
_WRITE: Final[Mapping[str, str]] = MappingProxyType(
    {"cable": "Write CABLE:13-16", "site": "Write the name of the site", "tray": "Write its name, like tray 1"}
)
"""How a name that is still missing is written, by its first kind."""
_MEASURE = re.compile(r"\d{1,7}(?:\.\d{1,4})?")
WORD = re.compile(r"[^\W\d_]+")


class Scanner:
    """A place in one text; each step moves it on or raises LineError where the text does not go on so."""

    def __init__(self, text: str, names: Names) -> None:
        self.text = text
        self.names = names
        self.at = 0

    # Moving over the text

    def space(self) -> None:
        """Step over blanks."""
        while self.at < len(self.text) and self.text[self.at].isspace():
            self.at += 1

    def done(self) -> bool:
        """True at the end of the step, blanks stepped over."""
        self.space()
        return self.at >= len(self.text) or self.text[self.at] == ";"

    def span(self, start: int) -> Span:
        """From an index up to here, without trailing blanks."""
        end = self.at
        while end > start and self.text[end - 1].isspace():
            end -= 1
        return Span(start + 1, end - start)

    def here(self) -> Span:
        """What stands here up to the next blank or mark, for a message; length 0 at the end."""
        end = self.at
        while end < len(self.text) and not (self.text[end].isspace() or self.text[end] in ",;"):
            end += 1
        return Span(self.at + 1, end - self.at)

    def take(self, mark: str) -> bool:
        """Step over a mark, blanks before it too."""
        held = self.at
        self.space()
        if self.text.startswith(mark, self.at):
            self.at += len(mark)
            return True
        self.at = held
        return False

    def keyword(self) -> str:
        """The word here in lower case if it stands alone, else nothing."""
        match = WORD.match(self.text, self.at)
        return match[0].lower() if match and ends_name(self.text, match.end()) else ""

    def missing(self, what: str, hint: str = "") -> LineError:
        """The fault that something must stand here; only incomplete at the end of the text."""
        span = self.here()
        return LineError(what, Span(span.column, 0), hint=hint, incomplete=self.done() and span.length == 0)

    # Words

    def name(self, kinds: tuple[Kind, ...], what: str) -> Word:
        """A quoted name, the longest known one, or what stands up to the next blank or mark."""
        self.space()
        start = self.at
        if self.text.startswith('"', start):
            close = self.text.find('"', start + 1)
            if close < 0:
                raise LineError(
                    "the quotation mark is not closed",
                    Span(start + 1, len(self.text) - start),
                    hint='Write "NAME"',
                    fixes=(Fix(Span(len(self.text.rstrip()) + 1, 0), '"'),),
                    incomplete=True,
                )
            self.at = close + 1
            return Word(self.text[start + 1 : close], Span(start + 1, close + 1 - start))
        length = self.names.longest(self.text, start, kinds)
        if not length:
            while not ends_name(self.text, start + length):
                length += 1
        if not length:
            raise self.missing(f"{what} is missing here", _WRITE.get(kinds[0], "") if kinds else "")
        self.at = start + length
        return Word(self.text[start : self.at], Span(start + 1, length))

    def number(self, what: str) -> Word:
        """A whole number of at most six digits."""
        self.space()
        match = re.compile(r"\d+").match(self.text, self.at)
        if not match or not match[0].isascii() or len(match[0]) > 6 or not ends_name(self.text, match.end()):
            span = self.here()
            if span.length == 0:
                raise self.missing(f"{what} is missing here", "Write a number")
            raise LineError(f"{self.said(span)} is no number", span, hint=f"Write {what} as a whole number")
        self.at = match.end()
        return Word(match[0], Span(match.start() + 1, len(match[0])))

    def measure(self, what: str, hint: str = "") -> Word:
        """A number with at most four decimals."""
        self.space()
        match = _MEASURE.match(self.text, self.at)
        if match is None or not match[0].isascii():
            span = self.here()
            if span.length == 0:
                raise self.missing(f"{what} is missing here", hint or "Write a number")
            raise LineError(f"{self.said(span)} is no number", span, hint=hint or f"Write {what} as a number")
        self.at = match.end()
        return Word(match[0], Span(match.start() + 1, len(match[0])))

    def outage(self) -> Word:
        """The words of an outage: all up to the end of the step."""
        self.space()
        start = self.at
        while self.at < len(self.text) and self.text[self.at] != ";":
            self.at += 1
        text = " ".join(self.text[start : self.at].replace('"', " ").split())
        if not text:
            raise self.missing("which outage?", "Write its number: outage CHG-12")
        return Word(text, self.span(start))

    def said(self, span: Span) -> str:
        """The text of a piece, for a message."""
        return repr(self.text[span.column - 1 : span.end - 1][:40])

    def part_length(self) -> int:
        """Length of the range of fibres or slots that stands here, 0 for none."""
        match = _PART.match(self.text, self.at)
        return len(match[0]) if match and ends_name(self.text, match.end()) else 0

    def part(self) -> Word:
        """A range of fibres or slots; a text that is none is kept whole, for the message."""
        self.space()
        start = self.at
        length = self.part_length() or self.here().length
        if not self.part_length():
            while length and self.text[start + length - 1] in "<>":
                length -= 1
        if not length:
            raise self.missing("a fibre, tube or range is missing here", "Write 13, 13-16, T2 or all")
        self.at = start + length
        return Word(hyphened("".join(self.text[start : self.at].split())), Span(start + 1, length))
