"""The Trays view: the rail of trays, and beside it the picture with a switch for the side whose fibres it shows.

Fibres of both sides cross in the lanes; with one side alone each can be followed. Uncut loops are shown always.
"""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from gui.panels.skin import Skin
from gui.panels.switch import Switch
from gui.panels.tray_rail import TrayRail
from gui.theme import DAY, Tokens

SIDES = {"both": "Both sides", "tube": "Tube side", "drop": "Drop side"}
NARROW_PX = 700


class TrayPage(QWidget):
    """The rail, the switch and the picture; ``side_asked`` carries the side that was pressed."""

    side_asked = Signal(str)

    def __init__(self, rail: TrayRail, view: QWidget) -> None:
        super().__init__()
        self.rail = rail
        self.side = "both"
        self.setObjectName("trayPage")
        ways = {
            side: (words, f"show {side} side", f"Show fibres of {words.lower()}; uncut loops always")
            for side, words in SIDES.items()
        }
        self.switch = Switch(ways, self.side, self.side_asked.emit)
        row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(rail)
        row.addWidget(view, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(self.switch)
        column.addLayout(row, 1)

    def set_side(self, side: str) -> None:
        """Show the fibres of one side, or of both."""
        self.side = side if side in SIDES else "both"
        self.switch.choose(self.side)

    @property
    def next_side(self) -> str:
        """The side after the one shown."""
        sides = list(SIDES)
        return sides[(sides.index(self.side) + 1) % len(sides)]

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802  # Qt's name
        """The rail gives way where the picture needs the room."""
        self.rail.set_narrow(self.width() < NARROW_PX)
        super().resizeEvent(event)

    def set_tokens(self, tokens: Tokens = DAY, large: bool = False) -> None:
        """Take colours and size."""
        self.switch.set_skin(Skin(tokens, large))
        self.rail.set_tokens(tokens, large)
