"""Parts, Details and Findings beside the Trace view: away at first, for it has sides of its own; F7 brings them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gui.session import TRACE

if TYPE_CHECKING:
    from gui.window import MainWindow


class TraceDocks(QObject):
    """Remembers, for the Trace view and for all others, whether the docks are wanted."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self._wanted = {True: False, False: True}
        self.action = window.actions_by_key["docks"]
        self.action.triggered.connect(self._asked)
        window.session.view_changed.connect(self.settle)
        window.document.opened.connect(self.settle)

    def _asked(self, shown: bool) -> None:
        self._wanted[self.window_.session.view == TRACE] = shown

    def settle(self, *_: object) -> None:
        """Show or hide them as is wanted in the view in sight."""
        wanted = self._wanted[self.window_.session.view == TRACE]
        self.action.setChecked(wanted)
        self.window_.show_docks(wanted)
