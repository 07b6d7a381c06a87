"""Hands in the Trays view of a sample, and where its slots are."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from PySide6.QtCore import QPoint
from pytestqt.qtbot import QtBot

from tests.gui.hands import Hands, at_the_window

TRAYS = 2
"""Number of the Trays view."""


@contextlib.contextmanager
def at_the_trays(qtbot: QtBot, folder: Path, name: str) -> Iterator[Hands]:
    """Hands at a new window with a copy of a sample in the Trays view, put away in the end."""
    with at_the_window(qtbot, folder) as found:
        found.open_sample(name)
        found.window.session.show_view(TRAYS)
        found.settle()
        yield found


def slot(hands: Hands, number: int) -> QPoint:
    """Viewport pixel left of the middle of a slot of tray 2, by the measures of the tray type alone."""
    tray = next(t for t in hands.plant.trays.values() if t.name == "2")
    kind = hands.plant.tray_types[tray.type]
    down = kind.holder_y_mm + (number - 1) * kind.pitch_mm + (number - 1) // kind.rows * kind.row_gap_mm
    return hands.at(kind.holder_x_mm - 8.0, down)
