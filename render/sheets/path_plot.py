"""Loss against distance: fibre kilometres to the right (metres for a short path), dB downwards, one curve a wavelength.

The curves start at the exchange, slope along glass and step at joints; places are dashed lines named above, pushed
apart where they stand close. Where a length or a loss is not known the curve ends and says so. Millimetres on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from model.optics.classes import PowerClass
from render import style
from render.blocks import Block
from render.box import Box
from render.drawing import Circle, Group, Line, Part, Pen, Rect, Text
from render.hops import PathDescription
from render.marks import polyline
from render.sheets.path_way import Station
from render.spread import spread
from render.text import shorten, text_width

WINDOW_LINE = Pen(style.INK, style.W_BUNDLE, dash=(4.0, 1.2))
WINDOW_SHARE = 1.6  # a class limit further off than this times the loss would squeeze the curves
GRID = Pen(style.HARDWARE, style.W_THIN)
PLACE_LINE = Pen(style.EDGE, style.W_THIN, dash=(1.5, 1.0))
LEFT, TOP, BOTTOM = 14.0, 9.0, 10.5
END_ROOM = 36.0  # right of the curves' ends, for their wavelength and total
SHORT_KM = 0.5  # a shorter path is measured in metres along the axis
LABEL_STEP = 4.3
LIMIT_ROOM = 0.02  # below a limit's line, as a share of the loss
NAME_GAP = 2.5
LEAST_NAME = 9.0


def plot(box: Box, path: PathDescription, stations: Sequence[Station], entry: PowerClass | None = None) -> Block:
    """The plot in ``box``, with the window of loss of a class: its limits as lines where they lie near the curves."""
    field = Box(box.x + LEFT, box.y + TOP, box.width - LEFT, box.height - TOP - BOTTOM)
    curves = {nm: _curve(path, nm) for nm in path.loss_db}
    far_km = max((points[-1][0] for points in curves.values()), default=0.0)
    most_db = max((points[-1][1] for points in curves.values()), default=0.0)
    if far_km <= 0.0 or most_db <= 0.0:
        why = "; ".join(path.unknown) or "there is no glass on this path"
        words = shorten(f"No plot: {why}.", field.width - 6.0)
        parts: tuple[Part, ...] = (Rect(*field, style.OUTLINE), Text(field.x + 3.0, field.y + 7.0, words))
        return Block(Group(parts, role="plot"), box)
    km_mm = (field.width - END_ROOM) / far_km
    limits = _limits(entry, most_db)
    shown_db = max([most_db * 1.04, *(db + LIMIT_ROOM * most_db for db, _ in limits)])
    step_db = nice_step(shown_db / 1.04, 5)
    rows = int(shown_db / step_db) + 1
    db_mm = field.height / (rows * step_db)
    body: list[Part] = [*_axes(field, km_mm, step_db, rows, far_km), Rect(*field, style.OUTLINE)]
    body += _places(field, km_mm, stations)
    body += _window(field, db_mm, limits)
    for i, points in enumerate(curves.values()):
        pen = style.CURVES[i % len(style.CURVES)]
        at = tuple((field.x + km * km_mm, field.y + db * db_mm) for km, db in points)
        body.append(polyline(at if len(at) > 1 else (*at, at[0]), pen))
    body += _ends(field, curves, path, km_mm, db_mm)
    if entry is not None and not limits:
        text = f"Class {entry.name}: {entry.loss_min_db:g} to {entry.loss_max_db:g} dB"
        body.append(Text(field.x + 2.0, field.bottom - 2.0, shorten(text, field.width * 0.6), halo=style.PAPER))
    return Block(Group(tuple(body), role="plot", title="loss against distance"), box)


def _limits(entry: PowerClass | None, most_db: float) -> list[tuple[float, str]]:
    """(dB, words) of the limits of a class that the plot has room for; none unless its most is among them."""
    if entry is None or entry.loss_max_db > WINDOW_SHARE * most_db:
        return []
    found = [(entry.loss_max_db, f"{entry.name} most {entry.loss_max_db:g} dB")]
    if entry.loss_min_db > 0.0:
        found.append((entry.loss_min_db, f"least {entry.loss_min_db:g} dB"))
    return found


def _window(field: Box, db_mm: float, limits: Sequence[tuple[float, str]]) -> list[Part]:
    """Each limit as a line as long as the curves, its words above it at the left, where they have not come down yet."""
    parts: list[Part] = []
    right = field.right - END_ROOM
    for db, words in limits:
        y = field.y + db * db_mm
        text = Text(field.x + 2.0, y - 1.0, shorten(words, field.width * 0.5), halo=style.PAPER)
        parts += [Line(field.x, y, right, y, WINDOW_LINE), text]
    return [Group(tuple(parts), role="window", title="class window")] if parts else []


def _curve(path: PathDescription, nm: int) -> list[tuple[float, float]]:
    """(km, dB) from the exchange as far as both are known."""
    points = [(0.0, 0.0)]
    for hop in reversed(path.hops):
        if hop.at_m is None or nm not in hop.at_db:
            break
        points.append((hop.at_m / 1000.0, hop.at_db[nm]))
    return points


def nice_step(most: float, count: int) -> float:
    """The smallest of 1, 2, 5 times a power of ten that divides ``most`` into at most ``count`` steps or so."""
    power = 1e-3
    while True:
        for digit in (1, 2, 5):
            if most <= count * digit * power * 1.05:
                return digit * power
        power *= 10


def decimals(step: float) -> int:
    """Decimals that numbers a ``step`` apart need."""
    return 0 if step >= 1 else 1 if step >= 0.1 else 2 if step >= 0.01 else 3


def _axes(field: Box, km_mm: float, step_db: float, rows: int, far_km: float) -> list[Part]:
    parts: list[Part] = []
    digits = decimals(step_db)
    for i in range(rows + 1):
        y = field.y + field.height * i / rows
        if 0 < i < rows:
            parts.append(Line(field.x, y, field.right, y, GRID))
        parts.append(Text(field.x - 1.2, y + style.H_LABEL / 2, f"{i * step_db:.{digits}f}", anchor="end"))
    unit, per_km = ("m", 1000.0) if far_km < SHORT_KM else ("km", 1.0)
    whole = field.width / km_mm * per_km
    step = nice_step(whole, 8)
    digits = decimals(step)
    i = 0
    while i * step <= whole + 1e-9:
        x = field.x + i * step / per_km * km_mm
        if i:
            parts.append(Line(x, field.y, x, field.bottom, GRID))
        if x < field.right - 2.0:
            parts.append(Text(x, field.bottom + 4.6, f"{i * step:.{digits}f}", anchor="middle"))
        i += 1
    axis = f"fibre distance from the exchange end, {unit}"
    middle = field.y + field.height / 2
    parts.append(Text(field.right, field.bottom + 9.2, shorten(axis, field.width), anchor="end"))
    parts.append(Text(field.x - LEFT + 3.0, middle, "loss, dB", anchor="middle", angle=-90.0))
    return parts


def _places(field: Box, km_mm: float, stations: Sequence[Station]) -> list[Part]:
    """Dashed lines at the places, each named above; too many names for the width thin out, uncut places first."""
    marked = [s for s in stations[1:] if s.at_m is not None and s.at_m > 0.0]
    xs = [field.x + (s.at_m or 0.0) / 1000.0 * km_mm for s in marked]
    lines: list[Part] = [
        Line(x, field.y, x, field.bottom, PLACE_LINE) for x in dict.fromkeys(xs) if x < field.right - 0.5
    ]
    named = spread_names(
        field, [(x, s.name, bool(s.uncut)) for x, s in zip(xs, marked, strict=True) if x <= field.right]
    )
    for x, at, name in named:
        parts: tuple[Part, ...] = (Text(at, field.y - 4.2, name, anchor="middle"),)
        if name:
            parts += (Line(at, field.y - 3.2, x, field.y, Pen(style.EDGE, style.W_THIN)),)
        lines.append(Group(parts, role="leader"))
    return lines


def spread_names(field: Box, places: list[tuple[float, str, bool]]) -> list[tuple[float, float, str]]:
    """(place, middle of its name, name) for as many places as there is room for."""
    kept: list[tuple[float, str, bool]] = []
    for x, name, uncut in places:
        if kept and x - kept[-1][0] < 0.02:
            continue
        kept.append((x, name, uncut))
    for room in (26.0, 18.0, 13.0, LEAST_NAME):
        found = _spread(field, kept, room)
        if found is not None:
            return found
    joints = [place for place in kept if not place[2]]
    while joints:
        found = _spread(field, joints, LEAST_NAME + 3.0)
        if found is not None:
            return found
        joints = [*joints[:-1:2], joints[-1]] if len(joints) > 2 else joints[:1]
        if len(joints) == 1:
            return _spread(field, joints, LEAST_NAME) or []
    return []


def _spread(field: Box, places: list[tuple[float, str, bool]], room: float) -> list[tuple[float, float, str]] | None:
    names = [shorten(name, room) for _, name, _ in places]
    halves = [text_width(name) / 2 for name in names]
    if not names:
        return []
    gaps = [0.0, *(a + b + NAME_GAP for a, b in pairwise(halves))]
    low, high = field.x + halves[0] - 3.0, field.right - halves[-1]
    at = spread([x for x, _, _ in places], gaps, low, high)
    return None if at is None else [(p[0], m, name) for p, m, name in zip(places, at, names, strict=True)]


def _ends(
    field: Box, curves: dict[int, list[tuple[float, float]]], path: PathDescription, km_mm: float, db_mm: float
) -> list[Part]:
    """An open dot at each curve's end with its wavelength and total, or that it goes no further."""
    ends = sorted((points[-1][1], nm, points[-1][0]) for nm, points in curves.items())
    wishes = [field.y + db * db_mm for db, _, _ in ends]
    step = [0.0] + [LABEL_STEP] * (len(ends) - 1)
    at = spread(wishes, step, field.y + 3.0, field.bottom - 3.0) or wishes
    parts: list[Part] = []
    for (db, nm, km), y, wish in zip(ends, at, wishes, strict=True):
        x = field.x + km * km_mm
        whole = len(curves[nm]) == len(path.hops) + 1
        words = f"{nm} nm {db:.2f} dB" if whole else f"{nm} nm unknown"
        parts.append(Circle(x, wish, 0.9, Pen(style.INK, style.W_BUNDLE, style.PAPER)))
        parts.append(Text(x + 2.0, y + style.H_LABEL / 2, words, style.H_LABEL, "bold", halo=style.PAPER))
    return parts
