"""Parts, Details and Findings beside the Trace view: away at first, for it has sides of its own; F7 brings them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication

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
        focus = QApplication.focusWidget()
        self.action.setChecked(wanted)
        self.window_.show_docks(wanted)
        # Left to itself the focus of what was hidden falls into a field or a gauge: keys go to services or strip.
        page = self.window_.boards.trace
        hidden = any(dock.isAncestorOf(focus) and dock.isHidden() for dock in self.window_.docks.values() if focus)
        if self.window_.session.view == TRACE and (focus is None or hidden or page.isAncestorOf(focus)):
            ticket = self.window_.session.ticket is not None
            (page.ticket.table if ticket else page.front).setFocus(Qt.FocusReason.OtherFocusReason)
