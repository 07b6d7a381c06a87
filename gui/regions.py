"""Moving the focus from region to region: parts, canvas, details, findings, limits, the Line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication, QWidget

if TYPE_CHECKING:
    from gui.window import MainWindow


class Regions(QObject):
    """Knows where the focus was before the Line took it, and what comes next."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window_ = window
        self._before: QWidget | None = None
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._moved)

    def _moved(self, old: QWidget | None, new: QWidget | None) -> None:
        if new is self.window_.line and old is not None and old is not new and self.window_.isAncestorOf(old):
            self._before = old

    def back(self) -> None:
        """Give the focus back to where it was before the Line."""
        target = self._before if self._before is not None and self._before.isVisible() else None
        (target or self.window_.boards.front).setFocus(Qt.FocusReason.OtherFocusReason)

    def all(self) -> list[QWidget]:
        """The regions in reading order, those in sight."""
        window = self.window_
        listed: list[QWidget] = [
            window.parts.tree,
            *window.boards.regions,
            window.planning.panel,
            window.details,
            window.findings,
            window.limits,
            window.line,
        ]
        return [region for region in listed if region.isVisible()]

    def step(self, by: int) -> None:
        """Move to the next (1) or previous (-1) region."""
        regions = self.all()
        if not regions:
            return
        focus = QApplication.focusWidget()
        here = next(
            (i for i, r in enumerate(regions) if focus is not None and (r is focus or r.isAncestorOf(focus))), -1
        )
        target = regions[(here + by) % len(regions)] if here >= 0 else regions[0]
        if target is self.window_.limits and self.window_.limits.gauges:
            target = self.window_.limits.gauges[0]
        target.setFocus(Qt.FocusReason.TabFocusReason)
        if not target.hasFocus():
            child = target.nextInFocusChain()
            if child is not None and target.isAncestorOf(child):
                child.setFocus(Qt.FocusReason.TabFocusReason)
