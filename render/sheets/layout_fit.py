"""Where the drawing of the box stands on a page, at which scale, and what is left for tables.

The largest scale wins at which the box, its outside, both label gutters and the dimensions fit. Paper mm; real sizes
come from the enclosure's type. It draws nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from model.errors import PlantError
from render.box import Box
from render.dims import Scale
from render.page import Page
from render.sheets.layout_outside import Outside, chain_depth, plan
from render.sheets.layout_scene import Scene, View

GUTTER_LEFT, GUTTER_RIGHT = 37.0, 27.0
GUTTER_GAP = 5.0  # lugs and the first piece of a leader stand here
TOP_BAND = 6.4
BAR_ROOM = 6.6
LEAST_BAR = 70.0
COLUMN = 108.0
COLUMN_GAP = 4.0

# ISO 5455 allows intermediate scales where a standard one would waste the sheet or crowd the glass.
SCALES = tuple(
    Scale(a, b)
    for a, b in (
        (2, 1),
        (1, 1),
        (1, 2),
        (2, 5),
        (1, 3),
        (1, 4),
        (1, 5),
        (1, 6),
        (1, 8),
        (1, 10),
        (1, 15),
        (1, 20),
        (1, 25),
        (1, 50),
        (1, 100),
    )
)


@dataclass(frozen=True, slots=True)
class Fit:
    """A placed drawing: view, outside, gutters, the band above, the scale bar's corner and the columns left."""

    view: View
    outside: Outside
    left: Box
    right: Box
    top: Box
    bar: tuple[float, float]
    bar_width: float
    whole: Box
    columns: tuple[Box, ...]
    below: Box | None


def _try(scene: Scene, scale: Scale, room: Box) -> Fit | None:
    k = scale.factor
    wide, high = scene.kind.width_mm * k, scene.kind.height_mm * k
    outside = plan(scene, k, GUTTER_RIGHT)
    flank = outside.depth["left"], outside.depth["right"]
    need_x = GUTTER_LEFT + GUTTER_RIGHT + 2 * GUTTER_GAP + wide + flank[0] + flank[1]
    below = outside.depth["bottom"] + chain_depth(scene, k) + BAR_ROOM
    need_y = TOP_BAND + outside.depth["top"] + high + below
    if need_x > room.width + 1e-6 or need_y > room.height + 1e-6:
        return None
    spare = room.width - need_x
    x = room.x + GUTTER_LEFT + GUTTER_GAP + flank[0] + spare / 2
    # Spare width goes to the gutters first, so that labels may be longer.
    left = Box(room.x, room.y, GUTTER_LEFT + min(spare / 2, 8.0), need_y - BAR_ROOM)
    right_edge = x + wide + flank[1] + GUTTER_GAP + spare / 2
    right_wide = GUTTER_RIGHT + min(spare / 2, 8.0)
    right = Box(right_edge + GUTTER_RIGHT - right_wide, room.y, right_wide, need_y - BAR_ROOM)
    y = room.y + TOP_BAND + outside.depth["top"]
    top = Box(left.right + 2.0, room.y, right.x - left.right - 4.0, 4.4)
    bar = (x, y + high + below - BAR_ROOM + 1.2)
    return Fit(
        View(scale, x, y),
        outside,
        left,
        right,
        top,
        bar,
        min(130.0, room.right - x),
        Box(room.x, room.y, room.width, need_y),
        (),
        None,
    )


def _largest(
    scene: Scene, room: Box, free_x: float | None = None, free_y: float = 0.0, below: float = inf
) -> Fit | None:
    """The largest drawing in a room; what reaches right of ``free_x`` must end above ``free_y``.

    Only scales smaller than ``below`` are tried.
    """
    if room.width <= 0 or room.height <= 0:
        return None
    for scale in (scale for scale in SCALES if scale.factor < below):
        found = _try(scene, scale, room)
        if found is None:
            continue
        right = found.view.at(scene.kind.width_mm, 0)[0]
        if free_x is None or found.whole.bottom <= free_y:
            return found
        if right >= free_x - 2.0 and found.whole.bottom - BAR_ROOM > free_y:
            continue
        # The bar alone reaches below: it keeps left of what stands there.
        x = max(room.x, min(found.bar[0], free_x - 2.0 - LEAST_BAR))
        if free_x - 2.0 - x >= LEAST_BAR - 1e-6:
            return replace(found, bar=(x, found.bar[1]), bar_width=min(found.bar_width, free_x - 2.0 - x))
    return None


def _with_table(scene: Scene, area: Box, need: float, largest: Fit) -> Fit:
    """A smaller drawing if that keeps the first table on the same sheet, but never less than 0.6 of the largest."""
    for scale in SCALES:
        if 0.6 * largest.view.k <= scale.factor <= largest.view.k:
            found = _try(scene, scale, area)
            if found is not None and area.bottom - found.whole.bottom - 3.0 >= need:
                return found
    return largest


def smaller(scene: Scene, page: Page, top: float, than: Fit) -> Fit | None:
    """The next smaller arrangement with the tables beside the drawing; None below 0.75 of the size, or without them."""
    try:
        found = fit(scene, page, top, 0.0, than.view.k) if than.columns else None
    except PlantError:  # than was the smallest there is
        return None
    return found if found and found.columns and found.view.k >= 0.75 * than.view.k else None


def fit(scene: Scene, page: Page, top: float, need: float, below: float = inf) -> Fit:
    """The arrangement for a page below ``top``; ``need`` is the height of the first table.

    Only scales smaller than ``below`` are tried. Raises PlantError when the box fits at no scale."""
    space = page.space
    area = Box(space.x, top, space.width, space.bottom - top)
    narrow = Box(area.x, area.y, area.width - COLUMN - COLUMN_GAP, area.height)
    block = page.revision_box if page.beside else None
    free_x, free_y = (block.x, block.y - 1.5) if block else (None, 0.0)
    beside, full = (_largest(scene, room, free_x, free_y, below) for room in (narrow, area))
    if beside is not None and (full is None or beside.view.k >= 0.75 * full.view.k):
        low = block.y - 3.0 if block else area.bottom
        column = Box(space.right - COLUMN, area.y, COLUMN, low - area.y)
        under = Box(area.x, beside.whole.bottom + 3.0, narrow.width, area.bottom - beside.whole.bottom - 3.0)
        if block:
            under = Box(under.x, under.y, min(under.width, block.x - 3.0 - under.x), under.height)
        return _with(beside, (column,), under)
    if full is None:
        raise PlantError(
            f"{scene.kind.title} does not fit this page at any scale",
            where=scene.enclosure.name,
            hint="Use a larger page",
        )
    full = _with_table(scene, area, need, full)
    low = block.y - 3.0 if block else area.bottom
    under = Box(area.x, full.whole.bottom + 3.0, area.width, low - full.whole.bottom - 3.0)
    return _with(full, (), under)


def _with(found: Fit, columns: tuple[Box, ...], under: Box) -> Fit:
    below = under if under.height > 14.0 and under.width > 60.0 else None
    return replace(found, columns=columns, below=below)
