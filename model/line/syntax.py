"""The parts of a parsed line as values, each with its place in the typed text.

Nothing here is looked up yet: a name is a text that may or may not be a thing of the plant.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from model.entities import Side
from model.line.faults import Span


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the line: a name, a verb, a range of fibres or slots."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Glass:
    """``[CABLE ":"] part [side]`` or ``NAME ".." NAME [":" part]``; also a bare name of any kind.

    ``name`` is None where the cable is left out. ``part`` is None where only a name is said.
    """

    name: Word | None
    last: Word | None
    part: Word | None
    at: Word | None
    side: Side | None
    span: Span


@dataclass(frozen=True, slots=True)
class OnTray:
    """``tray NAME SLOTS`` or ``SITE/TRAY/SLOTS``; no slots means the whole tray."""

    site: Word | None
    tray: Word
    slots: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class AtPort:
    """``port N`` or ``port PANEL/N`` here, ``SITE/port/N`` or ``SITE/port/PANEL/N`` there; N may be a range."""

    site: Word | None
    port: Word
    span: Span


@dataclass(frozen=True, slots=True)
class OfService:
    """``service:NAME``."""

    name: Word
    span: Span


@dataclass(frozen=True, slots=True)
class Finding:
    """``finding N``."""

    number: int
    span: Span


Piece = Glass | OnTray | AtPort | OfService | Finding
What = tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class Thin:
    """``every N`` or ``skip what``: which ends of a side are taken, in the order written."""

    every: int
    skip: What
    span: Span


@dataclass(frozen=True, slots=True)
class Slot:
    """``on TRAY``: a tray by name, by ``SITE/TRAY``, or the slack bay."""

    tray: OnTray | None
    span: Span


@dataclass(frozen=True, slots=True)
class Record:
    """What is said of joints: wavelength, direction, values in the order of the joints, initials, date; a mark word."""

    nm: Word | None = None
    way: Word | None = None
    values: tuple[Word, ...] = ()
    by: Word | None = None
    on: Word | None = None
    sealed: Word | None = None
    mark: Word | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One verb with what it acts on and its tails; a tail that is not said is None, empty or false."""

    verb: Word
    what: What
    span: Span
    to: What = ()
    to_span: Span | None = None
    thin: tuple[Thin, ...] = ()
    to_thin: tuple[Thin, ...] = ()
    on: Slot | None = None
    first: Word | None = None
    both: Word | None = None
    singly: Word | None = None
    at: Word | None = None
    outage: Word | None = None
    reserve: Word | None = None
    sleeves: Word | None = None
    number: Word | None = None
    """The reading of ``read``, or how many for ``next``."""
    record: Record = Record()
    behind: Word | None = None
    front: Word | None = None
    turns: Word | None = None
    long: Word | None = None
    """A length with its unit, ``mm`` or ``m``, where one is said."""

    @property
    def what_span(self) -> Span:
        """Where the pieces stand, from the first to the last; the verb where none are said."""
        if not self.what:
            return self.verb.span
        return self.what[0].span.to(self.what[-1].span)


@dataclass(frozen=True, slots=True)
class Halt:
    """A site in the run of a cable that is added, with what is said of its stop there."""

    site: Word
    marks: tuple[Word, ...] = ()
    entries: tuple[Word, ...] = ()
    coil: Word | None = None


@dataclass(frozen=True, slots=True)
class Build:
    """One verb that makes or names something; a part that is not said is None or empty."""

    verb: Word
    span: Span
    kind: Word | None = None
    name: Word | None = None
    type: Word | None = None
    halts: tuple[Halt, ...] = ()
    marks: tuple[Word, ...] = ()
    entries: tuple[Word, ...] = ()
    at: Word | None = None
    length: Word | None = None
    new: Word | None = None
    customer: Word | None = None
    count: Word | None = None
    tray: Word | None = None
    power: Word | None = None
    outage: None = None
    """Nothing is cut by it."""

    @property
    def what_span(self) -> Span:
        """Where what it says stands."""
        return self.span


@dataclass(frozen=True, slots=True)
class Ask:
    """A question to the planner; a part that is not said is None or empty."""

    verb: Word
    span: Span
    kind: Word
    drops: What = ()
    cable: Word | None = None
    keep: Word | None = None
    ports: Word | None = None
    skip: What = ()
    by: Word | None = None
    at: Word | None = None
    take: Word | None = None
    outage: Word | None = None
    """Approved for live fibres beside the work; none of them is darkened."""

    @property
    def what_span(self) -> Span:
        """Where what it asks stands."""
        return self.span


@dataclass(frozen=True, slots=True)
class Line:
    """The steps of a line that starts with a verb."""

    steps: tuple[Step | Build | Ask, ...]


@dataclass(frozen=True, slots=True)
class Find:
    """A text that starts with no verb."""

    word: Word


Tail = Literal["to", "and", "on", "from", "every", "skip", "both", "singly", "at", "outage"]
