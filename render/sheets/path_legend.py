"""The legend of a path sheet: only signs that are on it, beside the title block or in a band above it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from render import style
from render.bands import band
from render.blocks import loud_tag
from render.box import Box
from render.drawing import Group, Line, LineTo, MoveTo, Part, Pen, Rect
from render.legend import FIRST_ROW, PITCH, SAMPLE, LegendEntry, legend
from render.page import Page
from render.sheets.path_signs import TITLES, sign
from render.sheets.path_way import Sign, Way

ROWS_BESIDE, ROWS_BAND = 5, 2
TWO_COLUMNS = 74.0  # a narrower legend has one column
_ORDER: tuple[Sign, ...] = ("port", "done", "planned", "splitter", "branches", "dark", "ring", "crossed")


def _glass(mono: bool) -> Callable[[float, float], Part]:
    return lambda x, y: band((MoveTo(x, y), LineTo(x + SAMPLE, y)), "green", 2.4, mono=mono)


def _uncut(x: float, y: float) -> Part:
    pen = Pen(style.INK, style.W_OUTLINE, style.PAPER, dash=(2.0, 1.2))
    return Group((Rect(x, y - 2.3, SAMPLE, 4.6, pen, 1.0), loud_tag(x + SAMPLE / 2, y, "UNCUT", height=2.1).group))


def _curve(number: int) -> Callable[[float, float], Part]:
    pen = style.CURVES[number % len(style.CURVES)]
    return lambda x, y: Line(x, y, x + SAMPLE, y, pen)


def _signed(kind: Sign) -> Callable[[float, float], Part]:
    return lambda x, y: sign(kind, x + SAMPLE / 2, y)


def entries(way: Way, mono: bool, waves: Sequence[int]) -> list[LegendEntry]:
    """What the signs on this path and the curves of its plot mean, the most needed first."""
    used = {kind for station in way.stations for kind in station.signs}
    found = [LegendEntry(_glass(mono), "uncut glass")] if way.spans else []
    if any(station.uncut for station in way.stations):
        found.append(LegendEntry(_uncut, "passes uncut"))
    found += [LegendEntry(_signed(kind), TITLES[kind]) for kind in _ORDER if kind in used]
    return [*found, *(LegendEntry(_curve(number), f"{nm} nm") for number, nm in enumerate(waves))]


def band_height(way: Way) -> float:
    """Height of the legend as a band above the title block, mm."""
    return FIRST_ROW + PITCH * (ROWS_BAND - 1) + 3.0


def path_legend(page: Page, way: Way, space: Box, mono: bool, waves: Sequence[int]) -> Group:
    """The legend where the page has room for it; signs beyond the room fall away from the end."""
    shown = entries(way, mono, waves)
    if page.beside is None:
        columns = max(1, int(space.width / 44.0))
        return legend(space.x, space.bottom + 1.0, space.width, shown[: ROWS_BAND * columns], rows=ROWS_BAND).group
    columns = 2 if page.beside.width >= TWO_COLUMNS else 1
    most = ROWS_BESIDE * columns
    rows = max(3, -(-min(len(shown), most) // columns))
    return legend(page.beside.x, page.beside.y + 1.5, page.beside.width, shown[:most], rows=rows).group
