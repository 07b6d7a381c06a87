"""An OTDR curve on paper: level against distance, its events numbered above, the plant's places named with them.

The curve is drawn as it was sampled, with the highest and lowest sample of every fifth of a millimetre, so that noise
stays noise and no peak is lost. It stops a little behind the end, where only noise is left. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Sequence

from model.otdr.trace_file import TraceFile
from render import style
from render.blocks import Block
from render.box import Box
from render.drawing import Circle, Group, Line, LineTo, MoveTo, Part, Path, PathStep, Pen, Rect, Text
from render.sheets.path_plot import GRID, PLACE_LINE, decimals, nice_step, spread_names
from render.shot import Shot, ShotRow
from render.text import shorten

LEFT, TOP, BOTTOM = 14.0, 9.0, 10.5
CURVE = Pen(style.INK, style.W_OUTLINE)
MISSING_LINE = Pen(style.EDGE, style.W_THIN, dash=(0.6, 1.0))
COLUMN = 0.2
"""Width of paper that one pair of samples stands for, mm."""
BEHIND = 0.06
"""Part of the length that is shown behind the end."""
BELOW_DB = 6.0
"""Levels shown below the end of the fibre."""
ABOVE_DB = 8.0
"""Levels shown above the glass: the peaks of strong reflections are cut off, or no step could be seen below them."""
DOT = 0.9
ENOUGH = 20_000
"""Samples looked at to find the range of levels."""


class Scale:
    """From metres and dB to paper."""

    def __init__(self, field: Box, from_m: float, to_m: float, top_db: float, floor_db: float) -> None:
        self.field, self.from_m, self.to_m = field, from_m, to_m
        self.top_db, self.floor_db = top_db, floor_db

    def x(self, metres: float) -> float:
        """Place on the page of a distance."""
        return self.field.x + self.field.width * (metres - self.from_m) / (self.to_m - self.from_m)

    def y(self, level_db: float) -> float:
        """Place on the page of a level, kept within the field."""
        part = (self.top_db - level_db) / (self.top_db - self.floor_db)
        return self.field.y + self.field.height * min(max(part, 0.0), 1.0)


def plot(box: Box, shot: Shot) -> Block:
    """The curve of a shot in ``box``."""
    field = Box(box.x + LEFT, box.y + TOP, box.width - LEFT, box.height - TOP - BOTTOM)
    scale = _scale(field, shot)
    if scale is None:
        parts: tuple[Part, ...] = (
            Rect(*field, style.OUTLINE),
            Text(field.x + 3.0, field.y + 7.0, "No plot: the file holds no curve."),
        )
        return Block(Group(parts, role="plot"), box)
    body: list[Part] = [*_axes(scale), *_events(scale, shot.rows), Rect(*field, style.OUTLINE)]
    body += _curve(scale, shot.trace)
    body += _dots(scale, shot)
    return Block(Group(tuple(body), role="plot", title="level against distance"), box)


def _scale(field: Box, shot: Shot) -> Scale | None:
    curve = shot.trace.curve
    if len(curve) < 2:
        return None
    last = curve.at_m(len(curve) - 1)
    ends = [row.at_m for row in shot.rows if row.end and row.number is not None]
    end = max(ends, default=last)
    from_m = min(curve.start_m, 0.0)
    to_m = min(last, end + BEHIND * max(end - from_m, 1.0)) if end > from_m else last
    levels = [level for _, level in curve.points(from_m, to_m, ENOUGH)]
    if not levels or to_m <= from_m:
        return None
    near_end = [level for _, level in curve.points(end - 0.05 * (end - from_m), end, ENOUGH)]
    floor = min(levels)
    if near_end:
        floor = max(floor, sorted(near_end)[len(near_end) // 2] - BELOW_DB)
    glass = sorted(levels)[int(0.98 * (len(levels) - 1))]
    top = min(max(levels), glass + ABOVE_DB)
    return Scale(field, from_m, to_m, top + 0.03 * (top - floor) + 0.1, floor - 0.1)


def _axes(scale: Scale) -> list[Part]:
    field, parts = scale.field, list[Part]()
    step_db = nice_step(scale.top_db - scale.floor_db, 6)
    digits = decimals(step_db)
    row = 1
    while row * step_db < scale.top_db - scale.floor_db:
        y = scale.y(scale.top_db - row * step_db)
        parts.append(Line(field.x, y, field.right, y, GRID))
        parts.append(Text(field.x - 1.8, y + style.H_LABEL / 2, f"-{row * step_db:.{digits}f}", anchor="end"))
        row += 1
    parts.append(Text(field.x - 1.8, field.y + style.H_LABEL / 2, "0", anchor="end"))
    metres = scale.to_m - scale.from_m < 500.0
    unit, per = ("m", 1.0) if metres else ("km", 1000.0)
    step = nice_step((scale.to_m - scale.from_m) / per, 10)
    digits = decimals(step)
    mark = -int(-scale.from_m / per / step) if scale.from_m < 0 else 0
    while mark * step * per <= scale.to_m:
        x = scale.x(mark * step * per)
        if x > field.x + 0.5:
            parts.append(Line(x, field.y, x, field.bottom, GRID))
        if x < field.right - 2.0:
            parts.append(Text(x, field.bottom + 4.6, f"{mark * step:.{digits}f}", anchor="middle"))
        mark += 1
    words = shorten(f"fibre distance as the file shows it, {unit}", field.width)
    parts.append(Text(field.right, field.bottom + 9.2, words, anchor="end"))
    middle = field.y + field.height / 2
    parts.append(Text(field.x - LEFT + 3.0, middle, "level, dB", anchor="middle", angle=-90.0))
    return parts


def row_name(row: ShotRow) -> str:
    """What an event is called above the plot: its number and its place, or that it is missing."""
    number = "?" if row.number is None else str(row.number)
    place = "" if row.state in ("extra", "ghost", "early end") else row.place
    return f"{number} {place}".strip()


def _events(scale: Scale, rows: Sequence[ShotRow]) -> list[Part]:
    field = scale.field
    shown = [row for row in rows if scale.from_m <= row.at_m <= scale.to_m and row.state != "beyond"]
    places = [(scale.x(row.at_m), row_name(row), row.number is None) for row in shown]
    parts: list[Part] = []
    for x, _, missing in places:
        if field.x + 0.3 < x < field.right - 0.3:
            parts.append(Line(x, field.y, x, field.bottom, MISSING_LINE if missing else PLACE_LINE))
    for x, at, name in spread_names(field, places):
        label: tuple[Part, ...] = (Text(at, field.y - 4.2, name, anchor="middle"),)
        if name:
            label += (Line(at, field.y - 3.2, x, field.y, Pen(style.EDGE, style.W_THIN)),)
        parts.append(Group(label, role="leader"))
    return parts


def _curve(scale: Scale, trace: TraceFile) -> list[Part]:
    """The samples as lines; a new line wherever signal is missing."""
    curve = trace.curve
    steps: list[PathStep] = []
    column: list[tuple[float, float]] = []
    joined = False
    for index in range(curve.index_at(scale.from_m), curve.index_at(scale.to_m) + 1):
        level = curve.level_db(index)
        x = scale.x(curve.at_m(index))
        if column and (level is None or int(x / COLUMN) != int(column[0][0] / COLUMN)):
            steps += _strokes(column, joined)
            column, joined = [], True
        if level is None:
            joined = False
        else:
            column.append((x, scale.y(level)))
    steps += _strokes(column, joined)
    return [Group((Path(tuple(steps), CURVE),), role="curve")] if len(steps) > 1 else []


def _strokes(column: Sequence[tuple[float, float]], joined: bool) -> list[PathStep]:
    """First, lowest, highest and last sample of a column in their order, joined to what was drawn before or not."""
    if not column:
        return []
    kept = {0, len(column) - 1}
    kept |= {pick(range(len(column)), key=lambda i: column[i][1]) for pick in (min, max)}
    points = [column[i] for i in sorted(kept)]
    steps: list[PathStep] = [LineTo(x, y) for x, y in points]
    return steps if joined else [MoveTo(*points[0]), *steps[1:]]


def _dots(scale: Scale, shot: Shot) -> list[Part]:
    """A dot on the curve at every event that was seen: filled where it should be looked at."""
    parts: list[Part] = []
    curve = shot.trace.curve
    for row in shot.rows:
        if row.number is None or not scale.from_m <= row.at_m <= scale.to_m:
            continue
        level = curve.level_db(curve.index_at(row.at_m))
        if level is None:
            continue
        pen = Pen(style.INK, style.W_BUNDLE, style.INK if row.grave else style.PAPER)
        parts.append(Circle(scale.x(row.at_m), scale.y(level), DOT, pen))
    return parts
