"""Sheets filled from the top: the parts of each page, the page now written on, and how far down it is full.

What does not fit goes on to the next sheet; nothing is made smaller. Millimetres on paper.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from render.box import Box
from render.drawing import Part
from render.page import Page, page_size, start_page
from render.titleblock import SheetInfo


@dataclass(slots=True)
class Filling:
    """Sheets of one size being filled; ``info`` is that of the first. ``turn`` begins the first, too."""

    size_name: str
    orientation: str
    info: SheetInfo
    pages: list[tuple[Page, list[Part]]] = field(default_factory=list, kw_only=True)
    y: float = field(default=0.0, kw_only=True)

    def turn(self) -> None:
        """Begin the next sheet."""
        info = replace(self.info, sheet=self.info.sheet + len(self.pages))
        size = page_size(self.size_name, "portrait" if self.orientation == "portrait" else "landscape")
        self.pages.append((start_page(size, info), []))
        self.y = self.space.y

    @property
    def page(self) -> Page:
        """The sheet now written on."""
        return self.pages[-1][0]

    @property
    def parts(self) -> list[Part]:
        """What stands on it so far."""
        return self.pages[-1][1]

    @property
    def foot(self) -> float:
        """Height kept free at the foot, mm."""
        return 0.0

    @property
    def space(self) -> Box:
        """The box to fill: above title block, revision table and foot."""
        whole = self.page.space.grown(-1.0)
        floor = min(whole.bottom, self.page.revision_box.y - 2.0) if self.page.revision_box else whole.bottom
        return Box(whole.x, whole.y, whole.width, floor - self.foot - whole.y)

    @property
    def left(self) -> float:
        """Height still free, mm."""
        return self.space.bottom - self.y
