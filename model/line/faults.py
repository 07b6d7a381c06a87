"""What is wrong with a typed line: the piece by column, what would work instead, and how to put it in its place."""

from __future__ import annotations

from dataclasses import dataclass

from model.errors import PlantError


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of the typed text: 1-based column of its first character, and its length."""

    column: int
    length: int

    @property
    def end(self) -> int:
        """Column just after the piece."""
        return self.column + self.length

    def to(self, other: Span) -> Span:
        """From the start of this piece to the end of another."""
        return Span(self.column, max(other.end - self.column, self.length))


@dataclass(frozen=True, slots=True)
class Fix:
    """Replace a piece of the text by another; a span of length 0 inserts."""

    span: Span
    text: str

    def on(self, line: str) -> str:
        """The line with the fix made."""
        start = self.span.column - 1
        return line[:start] + self.text + line[start + self.span.length :]


class LineError(PlantError):
    """The line cannot be done as typed. ``nearest`` is what to show, ``fixes`` are tried in order to mend the text.

    ``incomplete`` means that nothing is wrong so far: something must still follow.
    """

    def __init__(
        self,
        message: str,
        span: Span,
        *,
        hint: str = "",
        nearest: str = "",
        fixes: tuple[Fix, ...] = (),
        incomplete: bool = False,
    ) -> None:
        super().__init__(message, hint=hint or (f"Nearest: {nearest}" if nearest else ""), column=span.column)
        self.span = span
        self.nearest = nearest
        self.fixes = fixes
        self.incomplete = incomplete
