"""Where everything on the strip of a path stands: lanes, boxes, chips, suspects, and what lies under the pointer.

Pixels of the strip; metres become pixels by the scale it shares with the plot. It paints nothing and asks no widget.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from gui.panels.skin import Skin
from gui.panels.trace_paint import chip_width
from gui.panels.trace_scale import TraceScale
from gui.views.trace_plan import Hung, Plan, Span, Station
from render.looks import GlassLook
from render.refs import tube_ref

MOST_LANES = 6
LANE = 25
"""Least height of a lane: that of its label."""
BOX = 26
CHIP = 25
"""Height of a row of chips."""
NAMES_SHOWN = 4
EDGE = 8.0
"""Least distance of a chip from the edges of the strip."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A suspect on the strip: between two places of the path, on one tube or on all (0), by rank from 1."""

    cable: str
    tube: int
    from_m: float
    to_m: float
    rank: int
    words: str


@dataclass(frozen=True, slots=True)
class Chip:
    """Services under a box: where the chip stands and what it says."""

    left: float
    wide: float
    row: int
    kind: str
    words: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StripData:
    """What the strip shows; ``place`` is the site the person is at."""

    plan: Plan | None = None
    hung: tuple[Hung, ...] = ()
    spots: tuple[Spot, ...] = ()
    place: str = ""
    advice: str = "Pick a fibre, or say trace D-1:3"


class StripLayout:
    """The strip laid out in a width and height; ``top`` and ``bottom`` are those of the boxes, ``lane`` a height."""

    def __init__(self, data: StripData, scale: TraceScale, skin: Skin, width: float, height: float) -> None:
        self.data, self.scale, self.skin, self.width, self.height = data, scale, skin, width, height
        self.most, self.rows = self._rows()
        self.chips = self._chips()
        self.below = skin.px(16 + max((chip.row + 1 for chip in self.chips), default=0) * CHIP)
        """Height of the chips under the boxes."""
        self.top = skin.px(62.0)
        under = max(height - self.below, self.top + skin.px(34.0))
        self.lane = min((under - self.top) / self.most, skin.px(40.0))
        self.bottom = self.top + self.lane * self.most

    @property
    def least_height(self) -> int:
        """What lanes and chips need."""
        px = self.skin.px
        return px(62) + self.most * px(LANE) + self.below + px(8)

    # -- lanes ---------------------------------------------------------------------------------------------------

    def lanes(self, span: Span) -> list[tuple[int, GlassLook]]:
        """(number, look) of a span's tubes that are drawn, ``MOST_LANES`` at most: its own and the suspects' first."""
        wanted = {span.tube, *(s.tube for s in self.data.spots if s.cable == span.cable and s.tube)}
        order = sorted(range(1, len(span.tubes) + 1), key=lambda n: (n not in wanted, abs(n - span.tube), n))
        return [(n, span.tubes[n - 1]) for n in sorted(order[:MOST_LANES])]

    def _rows(self) -> tuple[int, dict[tuple[str, int], int]]:
        """(rows of lanes, the row of each tube of each cable); a lone tube runs on in the row of the tube before it."""
        plan = self.data.plan
        rows: dict[tuple[str, int], int] = {}
        most, before = 1, 0
        for span in plan.spans if plan else ():
            lanes = self.lanes(span)
            for number, (tube, _) in enumerate(lanes):
                rows.setdefault((span.cable, tube), before if len(lanes) == 1 else number)
            most = max(most, 1 + max((rows[span.cable, tube] for tube, _ in lanes), default=0))
            before = rows.get((span.cable, span.tube), before)
        return most, rows

    def lane_y(self, row: int) -> float:
        """Middle of a row."""
        return self.top + self.lane * (row + 0.5)

    def tube_y(self, span: Span, tube: int) -> float:
        """Middle of the lane of a tube that is drawn."""
        return self.lane_y(self.rows[span.cable, tube])

    def ends(self, number: int) -> tuple[float, float]:
        """(left, right) of the lanes of a span.

        An opening passed uncut is glass as well: the lane runs on to the next span of the same cable.
        """
        spans = self.data.plan.spans if self.data.plan else ()
        span = spans[number]
        onward = spans[number + 1] if number + 1 < len(spans) else None
        end = onward.from_m if onward is not None and onward.cable == span.cable else span.to_m
        return self.scale.x_of(span.from_m), self.scale.x_of(end)

    # -- boxes and chips -----------------------------------------------------------------------------------------

    def stations(self) -> Iterator[tuple[int, Station, float]]:
        """(number, station, x) along the path."""
        for number, station in enumerate(self.data.plan.stations if self.data.plan else ()):
            yield number, station, self.scale.x_of(station.at_m)

    def in_sight(self, x: float) -> bool:
        """True between the margins."""
        return self.scale.left_px - 1 <= x <= self.scale.width_px - self.scale.right_px + 1

    def box(self, station: Station, x: float) -> QRectF:
        """The box of a site; a house is at the end of one lane, and no box that lanes pass."""
        px = self.skin.px
        if station.kind != "premises":
            wide = px(BOX)
            return QRectF(x - wide / 2, self.top - px(6), wide, self.bottom - self.top + px(12))
        span = self.data.plan.spans[-1] if self.data.plan and self.data.plan.spans else None
        row = self.rows.get((span.cable, span.tube), 0) if span is not None else 0
        size = px(11)
        return QRectF(x - size / 2, self.lane_y(row) - size / 2, size, size)

    def _chips(self) -> list[Chip]:
        """The chips under the boxes in sight, each in the first row where it touches no other; a box's own in order."""
        taken: list[list[tuple[float, float]]] = []
        found: list[Chip] = []
        for (_, _, x), hung in zip(self.stations(), self.data.hung, strict=False):
            if not self.in_sight(x):
                continue
            row = 0
            for kind, word, names in (
                ("down", "down", hung.down),
                ("up", "up", hung.up),
                ("unknown", "not known", hung.unknown),
            ):
                if not names:
                    continue
                many = len(names) > NAMES_SHOWN
                words = f"{len(names)} {word}" if many else f"{word} {' '.join(names)}"
                wide = chip_width(self.skin, words, bold=kind == "down")
                left = min(max(x - wide / 2, EDGE), self.width - wide - EDGE)
                while row < len(taken) and any(left < b + 4 and a < left + wide + 4 for a, b in taken[row]):
                    row += 1
                if row == len(taken):
                    taken.append([])
                taken[row].append((left, left + wide))
                found.append(Chip(left, wide, row, kind, words, names))
                row += 1
        return found

    def chip_box(self, chip: Chip) -> QRectF:
        """Where a chip is painted."""
        px = self.skin.px
        return QRectF(chip.left, self.bottom + px(14) + chip.row * px(CHIP), chip.wide, px(CHIP - 4))

    # -- suspects ------------------------------------------------------------------------------------------------

    def spot_box(self, spot: Spot) -> QRectF | None:
        """Where a suspect is hatched: its lane, or all lanes for a sheath; None where no lane of it is drawn."""
        own = [row for (cable, tube), row in self.rows.items() if cable == spot.cable and spot.tube in (0, tube)]
        if not own:
            return None
        half = self.skin.px(BOX) / 2 if spot.to_m - spot.from_m < 1e-6 else 0.0
        left, right = self.scale.x_of(spot.from_m) - half, self.scale.x_of(spot.to_m) + half
        up = min(self.lane / 2, self.skin.px(12.0))
        first, last = self.lane_y(min(own)), self.lane_y(max(own))
        return QRectF(left, first - up, right - left, last - first + 2 * up)

    def spot_runs(self) -> list[tuple[QRectF, int]]:
        """(box, tube) of every stretch of suspects that stand end to end on one tube."""
        runs: list[tuple[QRectF, int, str]] = []
        for spot in sorted(self.data.spots, key=lambda s: (s.cable, s.tube, s.from_m)):
            box = self.spot_box(spot)
            if box is None:
                continue
            last = runs[-1] if runs else None
            if (
                last
                and last[1] == spot.tube
                and last[2] == spot.cable
                and box.left() <= last[0].right() + self.skin.px(24)
            ):
                runs[-1] = (last[0].united(box), spot.tube, spot.cable)
            else:
                runs.append((box, spot.tube, spot.cable))
        return [(box, tube) for box, tube, _ in runs]

    # -- under the pointer ---------------------------------------------------------------------------------------

    def hot(self) -> list[tuple[QRectF, str, list[str]]]:
        """(box, ``site``, ``tube`` or ``services``, what it stands for) of all that can be clicked, topmost last."""
        found: list[tuple[QRectF, str, list[str]]] = []
        for number, span in enumerate(self.data.plan.spans if self.data.plan else ()):
            left, right = self.ends(number)
            for tube, _ in self.lanes(span):
                lane = QRectF(left, self.tube_y(span, tube) - self.lane / 2, right - left, self.lane)
                found.append((lane, "tube", [tube_ref(span.cable, tube)]))
        found += [(self.box(station, x), "site", [station.site]) for _, station, x in self.stations()]
        if self.data.plan is not None:
            found += [(self.chip_box(chip), "services", list(chip.names)) for chip in self.chips]
        return found
