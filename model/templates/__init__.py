"""Starting points for a new plant: each builds a whole, consistent plant from generic parts and invented names.

A template is code over edits, not a file, so that it can never fall behind the model. The same arguments give the same
plant, ids included.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from model.plant import Plant
from model.templates.blank import MID_SPAN, drop_terminal, straight_joint
from model.templates.midspan import Drop, MidSpan, mid_span, slug
from model.templates.samples import LARKMOOR, THISTLEMERE

TEMPLATES: Final[Mapping[str, Callable[[], Plant]]] = MappingProxyType(
    {
        "mid-span": lambda: mid_span(MID_SPAN),
        "straight-joint": straight_joint,
        "drop-terminal": drop_terminal,
        "mid-span-small": lambda: mid_span(THISTLEMERE),
        "mid-span-large": lambda: mid_span(LARKMOOR),
    }
)
"""What ``glasswright new`` offers: three to begin with, where nothing is joined yet, and two finished samples."""

__all__ = ["LARKMOOR", "TEMPLATES", "THISTLEMERE", "Drop", "MidSpan", "mid_span", "slug"]
