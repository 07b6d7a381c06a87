"""What a free label is: the point it aims at, its lines, where it may stand and where it ended up.

Millimetres on the page, y downwards. These are the values that the placement of labels takes and gives;
nothing here searches or draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from render.box import Box, Leg
from render.text import text_width

Side = Literal["left", "right"]
Place = Literal["left", "right", "top"]
End = Literal["dot", "arrow"]

LINE = 4.0  # height of one line of a label, h + 1.5
SLOT_GAP = 4.0  # below the shelf, before the next label
SHELF_DROP = 1.1  # shelf under the last base line
TAG_HEIGHT = 4.4
TAG_GAP = 4.0
TAG_SQUARE_ROOM = 3.7  # from the edge of a tag to its text, with a colour square
TAG_PAD = 1.3
LEG_GAP = 0.8  # between two legs: clears the dot R 0.6 at another leg's end
OBSTACLE_GAP = 0.4


@dataclass(frozen=True, slots=True)
class Target:
    """What a label points at.

    ``key`` is unique among the targets of a drawing. (x, y) is the point aimed at, ``alternatives`` are
    further points along the same feature, the best first. ``lines`` are the lines of the label, the first
    one bold. ``end`` is a dot on a face or an arrow on a line. ``side`` is a wish, not an order. ``colour``
    (``#RRGGBB``) shows as a square if the label becomes a tag in the band above. ``ref`` is an entity of
    the plant.
    """

    key: str
    x: float
    y: float
    lines: tuple[str, ...]
    end: End = "dot"
    side: Place | None = None
    alternatives: tuple[tuple[float, float], ...] = ()
    colour: str | None = None
    ref: str = ""

    @property
    def points(self) -> tuple[tuple[float, float], ...]:
        """All points that may be aimed at, the wished one first."""
        return ((self.x, self.y), *self.alternatives)

    @property
    def width(self) -> float:
        """Width of the widest line, mm."""
        return max(text_width(text, weight="normal" if i else "bold") for i, text in enumerate(self.lines))

    @property
    def height(self) -> float:
        """From the top of the label down to its shelf, mm."""
        return LINE * len(self.lines)

    @property
    def tag_text(self) -> str:
        """The lines in one, as they stand on a tag."""
        return " ".join(self.lines)

    @property
    def tag_width(self) -> float:
        """Width of the tag in the band above, mm."""
        head = TAG_SQUARE_ROOM if self.colour else TAG_PAD
        return head + text_width(self.tag_text, weight="bold") + TAG_PAD


@dataclass(frozen=True, slots=True)
class Placed:
    """A label that has its place: its box, and the leg from the shelf (or the tag's edge) to the target."""

    target: Target
    place: Place
    box: Box
    leg: Leg


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A label that found no place, and why; the sheet has to put it elsewhere."""

    target: Target
    reason: str


@dataclass(frozen=True, slots=True)
class Placement:
    """All labels of a drawing: the placed ones top to bottom by place, and those left over, in the order
    given."""

    placed: tuple[Placed, ...]
    unplaced: tuple[Unplaced, ...]


@dataclass(frozen=True, slots=True)
class Field:
    """Where labels may stand and what leaders must keep clear of.

    ``left`` and ``right`` are the gutters; ``top`` is a band one tag high above the drawing, or ``None``.
    ``obstacles`` are the boxes of texts, tags and dimension lines, ``strokes`` are leaders already drawn.
    """

    left: Box | None
    right: Box | None
    top: Box | None = None
    obstacles: tuple[Box, ...] = ()
    strokes: tuple[Leg, ...] = ()

    def box(self, place: Place) -> Box | None:
        """The gutter or band of that name."""
        return {"left": self.left, "right": self.right, "top": self.top}[place]


def limit_text(name: str, measured: float | str, limit: float | str, holds: bool, *, at_least: bool = True) -> str:
    """A measured value and its limit with the true sign, such as "R 41 ≥ 38", or "R 36 < 38" when it fails.

    Numbers are written with at most one decimal. ``holds`` comes from the model's unrounded values:
    rounding must not turn a failure into a pass.
    """
    sign = ("≥" if holds else "<") if at_least else ("≤" if holds else ">")
    return f"{name} {_number(measured)} {sign} {_number(limit)}".strip()


def _number(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.1f}".removesuffix(".0")
